"""Capacity, split, airflow and efficiency of every steady stretch at once, each with its uncertainty.

The physics is that of one visit (`airside.visit.inputs.measure`), on arrays of stretches. Each input is shifted by its
standard uncertainty up and down, and every named error of the visit is carried through by the slopes (JCGM 100:2008,
5.1.2, Eq. 10; for errors that enter several inputs 5.2.2). Calibration, placement and method are the same in all stretches
of a visit: their part is shared, and does not shrink in a mean of stretches. Scatter and resolution are each stretch's own.

Sources
-------
JCGM 100:2008 (GUM) 5.1.2, 5.2.2 and F.1.2.3 (correlation through a shared error).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Number
from airside.errors import AirsideError
from airside.instruments.named_error import NamedError
from airside.results import plain
from airside.units import KINDS
from airside.visit.doubts import visit_errors
from airside.visit.inputs import PLACES, Measured, VisitInputs, corrections, mean_inputs, measure, readings_at
from airside.visit.logs.log import Floats, Log
from airside.visit.logs.stretches import Stretches
from airside.visit.perturbation import perturbed
from airside.visit.reading_errors import VisitErrors
from airside.visit.schema import Visit

# Inputs whose errors are fractions of the reading.
RELATIVE = ("power", "fan.power", "airflow.factor", "pressure")
# Kind of quantity of each figure.
FIGURES = {"total": "capacity", "sensible": "capacity", "latent": "capacity", "split": "temperature_difference",
           "volume_flow": "volume_flow", "power": "power", "coefficient_of_performance": "efficiency"}  # fmt: skip
# Of the normal distribution.
WIDE_95 = 1.959964


@dataclass(frozen=True, eq=False)
class StretchFigure:
    """One figure over m stretches [inside unit of its kind].

    Attributes
    ----------
    name, kind : str
    value : array, shape (m,)
        NaN where the airflow's evidence is outside its table.
    own : array, shape (m,)
        Standard uncertainty that is each stretch's own: scatter and resolution.
    shared : array, shape (m,)
        Standard uncertainty from errors that all stretches share.
    effects : array, shape (e, m)
        What one standard deviation of each shared error moves; their squares add up to that of `shared`, and the shared
        part of the covariance of two stretches i and k is the sum of ``effects[:, i] * effects[:, k]``.
    """

    name: str
    kind: str
    value: Floats
    own: Floats
    shared: Floats
    effects: Floats

    @property
    def standard_uncertainty(self) -> Floats:
        """Of each stretch by itself."""
        return np.hypot(self.own, self.shared)

    @property
    def interval_95(self) -> tuple[Floats, Floats]:
        """Value less and plus 1.96 standard uncertainties."""
        wide = WIDE_95 * self.standard_uncertainty
        return self.value - wide, self.value + wide


@dataclass(frozen=True, eq=False, repr=False)
class StretchCapacities:
    """Figures of every stretch of a logged visit, columnar.

    Attributes
    ----------
    number : int array, shape (m,)
        Counted from 1.
    begin, end : array, shape (m,)
        [s, as `Log.time`].
    run : int array, shape (m,)
        Counted from 1.
    age : array, shape (m,)
        Since the run's begin [s].
    stage : array, shape (m,)
    figures : mapping of str to StretchFigure
        "total", "sensible", "latent" [W], "split" [K; return less supply dry bulb in cooling, the other way in heating],
        "volume_flow" [m³/s], and where it is known "power" [W] with "coefficient_of_performance".
    conditions : mapping of str to array, shape (m,)
        "return_dry_bulb", "return_wet_bulb" [°C], "supply_dry_bulb" [°C], and where it is known "outdoor_dry_bulb" [°C]:
        means, with a side-by-side correction, without uncertainty.
    errors : tuple of NamedError
        The shared ones, in the order of `StretchFigure.effects`.
    zone : str or None
        Of the wall's clock.
    """

    number: NDArray[np.intp]
    begin: Floats
    end: Floats
    run: NDArray[np.intp]
    age: Floats
    stage: Floats
    figures: Mapping[str, StretchFigure]
    conditions: Mapping[str, Floats]
    errors: tuple[NamedError, ...]
    zone: str | None = None

    def __len__(self) -> int:
        return len(self.number)

    def __repr__(self) -> str:
        return f"<StretchCapacities: {len(self)} stretches>"

    def columns(self) -> dict[str, Any]:
        """Every number by name and SI unit, as `to_frame` and `to_dict` have it."""
        found: dict[str, Any] = {
            "number": self.number, "begin_s": self.begin, "end_s": self.end, "run": self.run, "age_s": self.age,
            "stage": self.stage,
        }  # fmt: skip
        found |= {f"{name}_{KINDS['temperature'].suffix}": values for name, values in self.conditions.items()}
        for name, figure in self.figures.items():
            suffix = KINDS[figure.kind].suffix
            key = f"{name}_{suffix}" if suffix else name
            low, high = figure.interval_95
            found |= {
                key: figure.value, f"{key}_u": figure.standard_uncertainty, f"{key}_u_own": figure.own,
                f"{key}_u_shared": figure.shared, f"{key}_95_low": low, f"{key}_95_high": high,
            }  # fmt: skip
        return found

    def to_dict(self) -> dict[str, Any]:
        """For JSON: a list for each column, SI; ``_u`` standard uncertainty, ``_u_own`` and ``_u_shared`` its parts."""
        return {name: plain(values) for name, values in self.columns().items()}

    def to_frame(self) -> Any:
        """A row for each stretch as a pandas frame in SI; ``begin`` and ``end`` as time stamps."""
        import pandas as pd

        frame = pd.DataFrame(self.columns())
        for at, name in enumerate(("begin", "end"), 1):
            stamps = pd.to_datetime(frame[f"{name}_s"], unit="s", utc=self.zone is not None)
            frame.insert(at, name, stamps.dt.tz_convert(self.zone) if self.zone is not None else stamps)
        return frame.drop(columns=["begin_s", "end_s"])


# Further figures of measured states: values by name, arrays over stretches.
MoreFigures = Callable[[Measured], Mapping[str, Number]]


def stretch_capacities(
    visit: Visit, log: Log, stretches: Stretches, more: MoreFigures | None = None
) -> StretchCapacities:
    """Figures of every stretch with standard uncertainties by linear propagation.

    Parameters
    ----------
    visit : Visit
        Of the stretch that stands for the others: says what the numbers are, and lists the named errors. Their sizes are
        taken as they are at this stretch.
    log : Log
    stretches : Stretches
    more : callable, optional
        Further figures, without unit, that follow from states, airflow and outdoor dry bulb; their uncertainty has the
        outdoor probe's errors too.

    Raises
    ------
    VisitError, TableError
        The airflow's evidence cannot be used.
    """
    standing = mean_inputs(visit)
    errors = visit_errors(visit, measure(visit, standing).airflow, standing)
    inputs = stretch_inputs(visit, standing, stretches)
    at = _measure(visit, inputs)
    outside = _outside(visit, inputs, at)

    def figures_of(measured: Measured) -> dict[str, Floats]:
        return _figures(visit, measured, len(stretches), more)

    values = {n: np.where(outside, np.nan, v) for n, v in figures_of(at).items()}
    own, shared = _sizes(visit, errors, stretches, with_outdoor=more is not None)
    # In one order, so that the same log gives the same last digit.
    entries = dict.fromkeys([*own, *(e for _, e in shared)])
    slopes = {e: _slopes(visit, inputs, at, values, errors, e, figures_of) for e in entries}
    keys = list(dict.fromkeys(key for key, _ in shared))
    known = {e.key: e for e in errors.errors}
    figures = {}
    for name, value in values.items():
        moved = np.zeros((len(keys), len(stretches)))
        for (key, entry), size in shared.items():
            moved[keys.index(key)] += slopes[entry][name] * size
        mine = np.sqrt(sum(((slopes[e][name] * u) ** 2 for e, u in own.items()), np.zeros(len(stretches))))
        figures[name] = StretchFigure(
            name, FIGURES.get(name, "fraction"), value, mine, np.sqrt((moved**2).sum(axis=0)), moved
        )
    return StretchCapacities(
        np.arange(1, len(stretches) + 1), stretches.begin, stretches.end, stretches.run + 1, stretches.age,
        stretches.stage, figures, _conditions(at, stretches), tuple(known[k] for k in keys), log.zone,
    )  # fmt: skip


def stretch_inputs(visit: Visit, standing: VisitInputs, stretches: Stretches) -> VisitInputs:
    """Inputs of all stretches: what is logged as arrays over them, what is typed as in the standing visit."""
    mean = {c: s.mean for c, s in stretches.channels.items()}
    check = corrections(visit)
    air: dict[str, tuple[Number, Number]] = {}
    for place in PLACES:
        readings = readings_at(visit, place)
        found = list(standing.air[place])
        for i, quantity in enumerate(("dry_bulb", str(readings.humidity_name))):
            logged = mean.get(f"readings.{place}.{quantity}")
            if logged is not None:
                shift = check.for_instrument(readings.instrument, quantity) if check is not None else 0.0
                found[i] = logged + shift
        air[place] = (found[0], found[1])
    outdoors = mean.get("readings.outdoor.dry_bulb", standing.outdoor_dry_bulb)
    flow = {n: mean.get(f"airflow.{n}", v) for n, v in standing.airflow.readings.items()}
    indoor, outdoor = (mean.get(f"readings.power.{n}") for n in ("indoor_unit", "outdoor_unit"))
    powers = visit.readings.power
    fan: Any = mean.get("fan.power", standing.fan_power if visit.fan is not None or indoor is None else indoor)
    total: Any = mean.get("readings.power.total", standing.power)
    if powers is not None and powers.total is None and standing.power is not None:
        inside: Any = fan if powers.indoor_unit is None else (np.mean(powers.indoor_unit) if indoor is None else indoor)
        outside: Any = standing.outdoor_unit_power if outdoor is None else outdoor
        total = outside + inside
    return replace(
        standing, air=air, airflow=replace(standing.airflow, readings=flow), fan_power=fan, power=total,
        pressure=mean.get("site.barometric_pressure", standing.pressure), outdoor_dry_bulb=outdoors,
    )  # fmt: skip


def _measure(visit: Visit, inputs: VisitInputs, known: tuple[VisitInputs, Measured] | None = None) -> Measured:
    return measure(visit, inputs, outside="extend", impossible="nan", known=known)


def _figures(visit: Visit, measured: Measured, count: int, more: MoreFigures | None = None) -> dict[str, Floats]:
    sign = 1.0 if visit.mode == "cooling" else -1.0
    capacity = measured.capacity
    found: dict[str, Any] = {
        "total": capacity.total, "sensible": capacity.sensible, "latent": capacity.latent,
        "split": sign * np.subtract(measured.return_air.dry_bulb, measured.supply_air.dry_bulb),
        "volume_flow": measured.airflow.volume_flow,
    }  # fmt: skip
    if measured.power is not None:
        found["power"] = measured.power
        found["coefficient_of_performance"] = np.divide(capacity.total, measured.power)
    found |= {} if more is None else more(measured)
    return {n: np.broadcast_to(np.asarray(v, dtype=np.float64), (count,)) for n, v in found.items()}


def _conditions(at: Measured, stretches: Stretches) -> dict[str, Floats]:
    found: dict[str, Any] = {
        "return_dry_bulb": at.return_air.dry_bulb, "return_wet_bulb": at.return_air.wet_bulb,
        "supply_dry_bulb": at.supply_air.dry_bulb,
        "outdoor_dry_bulb": at.outdoor_dry_bulb,
    }  # fmt: skip
    known = {n: v for n, v in found.items() if v is not None}
    return {n: np.broadcast_to(np.asarray(v, dtype=np.float64), (len(stretches),)) for n, v in known.items()}


def _outside(visit: Visit, inputs: VisitInputs, at: Measured) -> NDArray[np.bool_]:
    """Stretches at which the airflow's evidence is outside its table."""
    count = np.broadcast_shapes(*(np.shape(v) for pair in inputs.air.values() for v in pair))
    outside = np.zeros(count or (1,), dtype=bool)
    try:
        measure(visit, inputs, impossible="nan", known=(inputs, at))
    except AirsideError:
        table = inputs.airflow.table
        if table is None:
            raise
        columns = list(table.columns.values())
        coil = getattr(visit.airflow, "coil", None)
        axis = columns[0] if coil is None else table.column(coil, "airflow.coil")
        name = "external_static_pressure" if coil is None else "pressure_drop"
        reading = np.asarray(inputs.airflow.readings[name])
        outside = np.broadcast_to((reading < np.nanmin(axis)) | (reading > np.nanmax(axis)), outside.shape)
    return outside


def _sizes(
    visit: Visit, errors: VisitErrors, stretches: Stretches, *, with_outdoor: bool = False
) -> tuple[dict[str, Floats], dict[tuple[str, str], float]]:
    """Standard uncertainty of each input that is each stretch's own, and that of each shared error at each input."""
    known = {e.key: e for e in errors.errors}
    squares: dict[str, Floats] = {}
    shared: dict[tuple[str, str], float] = {}
    left_out = ("refrigerant.",) if with_outdoor else ("outdoor.", "refrigerant.")
    logged = [(e, u) for e, u in _scatter(visit, stretches) if not e.startswith(left_out)]
    for entry, u in logged:
        squares[entry] = squares.get(entry, np.zeros(len(stretches))) + u**2
    for entry, uses in errors.uses.items():
        is_logged = any(e == entry for e, _ in logged)
        for key, size in uses:
            error = known[key]
            spread = size * error.standard_deviation / error.standard_uncertainty if math.isfinite(error.standard_deviation) else size  # fmt: skip
            if is_logged and error.kind == "repeatability":
                continue
            if is_logged and error.kind == "resolution":
                squares[entry] = squares[entry] + spread**2
            elif not entry.startswith(left_out):
                shared[key, entry] = shared.get((key, entry), 0.0) + spread
    return {e: np.sqrt(v) for e, v in squares.items()}, shared


def _scatter(visit: Visit, stretches: Stretches) -> list[tuple[str, Floats]]:
    """Standard deviation of the mean of each logged input, by the entry that it shifts."""
    found = []
    names = {f"readings.{p}.{n}": f"{p}.{'dry_bulb' if n == 'dry_bulb' else 'humidity'}"
             for p in PLACES for n in ("dry_bulb", "relative_humidity", "wet_bulb", "dew_point")}  # fmt: skip
    names |= {
        "readings.outdoor.dry_bulb": "outdoor.dry_bulb",
        "fan.power": "fan.power",
        "readings.power.total": "power",
        "readings.power.outdoor_unit": "power",
    }
    if visit.fan is None:
        names["readings.power.indoor_unit"] = "fan.power"
    for channel, scatter in stretches.channels.items():
        entry = names.get(channel, "")
        if channel.startswith("airflow."):
            # As `airside.visit.airflow_errors` puts it: pressures shift the reading, flows the factor.
            by_reading = channel.endswith(("pressure", "pressure_drop")) or (
                visit.airflow.instrument is not None and visit.airflow.method != "measured"
            )
            entry = channel if by_reading else "airflow.factor"
        if not entry:
            continue
        freedom = scatter.degrees_of_freedom
        u = scatter.standard_error * (math.sqrt(freedom / (freedom - 2)) if freedom > 2 else 1.0)
        found.append((entry, u / np.abs(scatter.mean) if entry in RELATIVE else u))
    return found


def _slopes(
    visit: Visit, inputs: VisitInputs, at: Measured, values: Mapping[str, Floats], errors: VisitErrors, entry: str,
    figures_of: Callable[[Measured], dict[str, Floats]],
) -> dict[str, Floats]:  # fmt: skip
    """Change of each figure for a unit of an input: central differences over its standard uncertainty."""
    size = math.hypot(*(u for _, u in errors.uses.get(entry, ()))) or 1e-3
    ends = []
    for step in (size, -size):
        moved = perturbed(inputs, {entry: step})
        ends.append(figures_of(_measure(visit, moved, (inputs, at))))
    found = {}
    for name, here in values.items():
        high, low = (end[name] for end in ends)
        both = (high - low) / (2 * size)
        if np.isfinite(both).all():
            found[name] = both
            continue
        # Near saturation one side may be air that cannot be: the other side's slope is taken.
        one = np.where(np.isfinite(high), (high - here) / size, (here - low) / size)
        found[name] = np.where(np.isfinite(both), both, one)
    return found
