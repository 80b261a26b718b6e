"""Fleets of invented systems with known truth, for tests, benchmarks and trials.

The readings go where a fleet is read from; what is true goes apart, into ``truth/``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from airside.errors import FileError, OutputError
from airside.files import check_free, write_whole
from airside.fleet.made_system import (
    DRY_BULB,
    FAULTS,
    FLOW_STATION,
    OUTDOOR,
    POWER,
    RELATIVE_HUMIDITY,
    STEPS,
    MadeLog,
    MadeSystem,
    draw_system,
    instrument_errors,
    make_log,
    minutes,
)

Form = Literal["parquet", "folders"]
# 2026-07-01 00:00 of the systems' own clock.
BEGIN = 1_782_864_000.0
INVENTED = "Invented: nobody measured this. Made by airside.fleet.make_fleet."
# Columns of the made files, their decimals, and what a reading in SI is multiplied with.
COLUMNS = {
    "return_dry_bulb": (1, 1.0), "return_humidity": (1, 100.0), "supply_dry_bulb": (1, 1.0),
    "supply_humidity": (1, 100.0), "outdoor_dry_bulb": (1, 1.0), "volume_flow": (1, 1000.0), "power": (3, 1e-3),
}  # fmt: skip


@dataclass(frozen=True)
class MadeFleet:
    """Where a made fleet lies.

    Attributes
    ----------
    folder : Path
    readings : Path
        What `airside fleet` takes: a Parquet file, or a folder of systems.
    template : Path or None
        Visit file of all systems, for a Parquet file.
    truth : Path
        CSV, a row for each system and period.
    minutes : Path or None
        Parquet with the true capacity of every minute, where it was asked for.
    """

    folder: Path
    readings: Path
    template: Path | None
    truth: Path
    minutes: Path | None


def make_fleet(
    folder: str | Path,
    systems: int = 20,
    days: float = 7.0,
    *,
    seed: int = 1,
    form: Form = "parquet",
    faulty: float = 0.3,
    mended: bool = False,
    with_minutes: bool = False,
) -> MadeFleet:
    """Make a fleet of invented systems, a reading a minute.

    Parameters
    ----------
    folder : str or Path
        A new folder, or an empty one.
    systems : int
    days : float
        Of each system; of each period where `mended`.
    seed : int
        The same seed, the same fleet.
    form : "parquet" or "folders"
        One Parquet file of all readings in long form with a template, or a folder with a visit file and a CSV file for
        each system.
    faulty : float [fraction]
        Share of the systems with a low airflow or a low capacity.
    mended : bool
        Two periods each, before and after; the faults are mended between them.
    with_minutes : bool
        Write the true capacity of every minute too; as large as a tenth of the readings.

    Raises
    ------
    OutputError
        The folder holds something, or cannot be written.
    FileError
        pyarrow is not installed.
    """
    try:
        import pyarrow  # noqa: F401
    except ImportError:
        raise FileError("make_fleet", 'needs pyarrow: pip install "airside[fleet]".') from None
    if systems < 1 or not days * 1440 >= 60 or not 0 <= faulty <= 1:
        raise OutputError(
            f"{systems} systems of {days:g} days, {faulty:g} of them faulty: expected at least one system, an hour, and a "
            "share from 0 to 1."
        )
    place = Path(folder)
    try:
        place.mkdir(parents=True, exist_ok=True)
        if any(place.iterdir()):
            raise OutputError(f"{folder}: holds files already. Name a new folder.")
        (place / "truth").mkdir()
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror}). Name another place.") from None
    digits = max(len(str(systems)), 3)
    names = [f"unit_{i:0{digits}d}" for i in range(1, systems + 1)]
    random = np.random.default_rng(seed)
    faults = np.full(systems, FAULTS[0], dtype=object)
    which = random.permutation(systems)[: round(faulty * systems)]
    faults[which] = [FAULTS[1 + i % 2] for i in range(which.size)]
    streams = random.spawn(systems)
    made = _made(zip(names, faults, streams, strict=True), days, mended)
    write = _write_parquet if form == "parquet" else _write_folders
    return write(place, made, days, mended, with_minutes)


@dataclass(frozen=True)
class _Period:
    """A system's log in one period."""

    system: MadeSystem
    name: str
    log: MadeLog


def _made(drawn: Any, days: float, mended: bool) -> Iterator[list[_Period]]:
    """The periods of each system, one system at a time."""
    for name, fault, random in drawn:
        system = draw_system(name, str(fault), random)
        lasting = instrument_errors(random)
        if not mended:
            yield [_Period(system, "", make_log(system, minutes(days, BEGIN), lasting, random))]
            continue
        well = replace(system, health=1.0, flow_ratio=system.flow_ratio if fault != "low airflow" else 0.98)
        later = BEGIN + (np.ceil(days) + 1) * 86_400.0
        yield [
            _Period(system, "before", make_log(system, minutes(days, BEGIN), lasting, random)),
            _Period(well, "after", make_log(well, minutes(days, later), lasting, random)),
        ]


def _table(log: MadeLog) -> dict[str, Any]:
    """The readings in the units of the made files."""
    import pyarrow as pa

    time = pa.array(log.time.astype(np.int64) * 1000, pa.timestamp("ms"))
    return {"time": time} | {n: np.round(log.readings[n] * factor, d) for n, (d, factor) in COLUMNS.items()}


def _write_parquet(place: Path, made: Iterator[list[_Period]], days: float, mended: bool, with_minutes: bool) -> MadeFleet:  # fmt: skip
    import pyarrow as pa
    from pyarrow import parquet

    readings, template = place / "readings.parquet", place / "template.toml"
    writer, own = None, []
    truth = _Truth(place, with_minutes)
    for periods in made:
        # A row group for each system: it can be read by itself.
        tables = [pa.table({"system": _same(p.system.name, p.log.time.size), **_table(p.log)}) for p in periods]
        table = pa.concat_tables(tables)
        if writer is None:
            writer = parquet.ParquetWriter(readings, table.schema, compression="zstd")
        writer.write_table(table, row_group_size=table.num_rows)
        own.append(_own_table(periods[0].system))
        truth.add(periods)
    assert writer is not None
    writer.close()
    write_whole(template, _template(days, mended) + "\n" + "\n".join(own))
    return truth.finish(readings, template)


def _write_folders(place: Path, made: Iterator[list[_Period]], days: float, mended: bool, with_minutes: bool) -> MadeFleet:  # fmt: skip
    import pyarrow as pa
    from pyarrow import csv

    truth = _Truth(place, with_minutes)
    for periods in made:
        system = periods[0].system
        folder = place / "systems" / system.name
        folder.mkdir(parents=True)
        for period in periods:
            log = f"log_{period.name}.csv" if period.name else "log.csv"
            csv.write_csv(pa.table(_table(period.log)), folder / log)
            name = f"{period.name}.toml" if period.name else "visit.toml"
            title = f"{system.name}{f', {period.name}' if period.name else ''}"
            write_whole(folder / name, _visit(title, log, system.nominal_capacity, system.elevation))
        truth.add(periods)
    return truth.finish(place / "systems", None)


def _same(text: str, count: int) -> Any:
    """One text over and over, as a dictionary holds it."""
    import pyarrow as pa

    return pa.DictionaryArray.from_arrays(pa.array(np.zeros(count, np.int32)), pa.array([text]))


class _Truth:
    """What is true, written apart from the readings."""

    def __init__(self, folder: Path, with_minutes: bool) -> None:
        self._folder = folder
        self._path = check_free(folder / "truth" / "systems.csv")
        self._minutes = folder / "truth" / "minutes.parquet" if with_minutes else None
        self._writer: Any = None
        self._lines = ["system,period,fault,nominal_capacity_W,blower_setting,health,mean_running_total_W"]

    def add(self, periods: list[_Period]) -> None:
        for p in periods:
            s, log = p.system, p.log
            mean = float(log.total[log.total > 0].mean())
            self._lines.append(
                f"{s.name},{p.name},{s.fault},{s.nominal_capacity:.0f},{s.flow_ratio!r},{s.health!r},{mean!r}"
            )
            if self._minutes is not None:
                self._add_minutes(p)

    def _add_minutes(self, period: _Period) -> None:
        import pyarrow as pa
        from pyarrow import parquet

        log = period.log
        table = pa.table({
            "system": _same(period.system.name, log.time.size), "time_s": log.time, "total_W": log.total,
            "expected_W": log.expected,
        })  # fmt: skip
        if self._writer is None:
            self._writer = parquet.ParquetWriter(self._minutes, table.schema, compression="zstd")
        self._writer.write_table(table)

    def finish(self, readings: Path, template: Path | None) -> MadeFleet:
        if self._writer is not None:
            self._writer.close()
        write_whole(self._path, "\n".join([f"# {INVENTED}", *self._lines]) + "\n")
        return MadeFleet(self._folder, readings, template, self._path, self._minutes)


def _visit(title: str, log: str, nominal: float | None, elevation: float | None) -> str:
    """A visit file for the columns of the made logs."""
    site = "" if elevation is None else f"\n[site]\nelevation = {elevation:g}\n"
    system = "" if nominal is None else f"\n[system]\nnominal_capacity = {nominal / 1000:g}\n"
    steps = {n: f"{s:g}" for n, s in STEPS.items()}
    probe = (
        f"dry_bulb = {{ accuracy = {DRY_BULB}, resolution = {steps['dry_bulb']} }}\n"
        f"relative_humidity = {{ accuracy = {100 * RELATIVE_HUMIDITY:g}, resolution = {100 * STEPS['relative_humidity']:g} }}"
    )
    columns = '{ dry_bulb = "PLACE_dry_bulb", relative_humidity = "PLACE_humidity" }'
    return f"""# {INVENTED}
format = "airside visit 1"
units = "SI"
name = "{title} (invented)"
mode = "cooling"
{site}{system}
[airflow]
method = "measured"
basis = "actual"
at = "return"
instrument = "flow_station"
relative_uncertainty = {FLOW_STATION}
log = "{log}"
columns = {{ volume_flow = "volume_flow" }}

[instruments.return_probe]
{probe}

[instruments.supply_probe]
{probe}

[instruments.outdoor_probe]
dry_bulb = {{ accuracy = {OUTDOOR}, resolution = {steps["outdoor"]} }}

[instruments.power_meter]
power = {{ accuracy_of_reading = {100 * POWER:g} }}

[instruments.flow_station]
volume_flow = {{ accuracy_of_reading = 5 }}

[readings.return]
instrument = "return_probe"
log = "{log}"
columns = {columns.replace("PLACE", "return")}

[readings.supply]
instrument = "supply_probe"
log = "{log}"
columns = {columns.replace("PLACE", "supply")}

[readings.outdoor]
instrument = "outdoor_probe"
log = "{log}"
columns = {{ dry_bulb = "outdoor_dry_bulb" }}

[readings.power]
instrument = "power_meter"
log = "{log}"
columns = {{ total = "power" }}
"""


def _template(days: float, mended: bool) -> str:
    """The visit file of a whole fleet; what differs between systems is in the tables that follow."""
    said = "Visit file of every system in readings.parquet: its columns name those of the Parquet file.\n# "
    text = _visit("Fleet", "readings.parquet", None, None).replace(f"# {INVENTED}", f"# {said}{INVENTED}", 1)
    if not mended:
        return text
    from airside.visit.logs.log import wall_time

    end, begin = BEGIN + np.ceil(days) * 86_400.0, BEGIN + (np.ceil(days) + 1) * 86_400.0
    return (
        text
        + f"""
[periods]
before = {{ last = "{wall_time(end, None)}" }}
after = {{ first = "{wall_time(begin, None)}" }}
"""
    )


def _own_table(system: MadeSystem) -> str:
    return (
        f"[systems.{system.name}]\nsite.elevation = {system.elevation:g}\n"
        f"system.nominal_capacity = {system.nominal_capacity / 1000:g}\n"
    )
