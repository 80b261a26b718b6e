"""The sections on what was done and measured: by whom, where, with what, at which conditions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from airside.airflow.defaults import METHODS
from airside.results import Row
from airside.show.report.blocks import Block, Facts, Grid, Section, figures_table, section, told
from airside.show.report.customer import date_of, joined, place_of
from airside.show.report.instruments import assumed_text, instrument_tables
from airside.show.report.pictures import inline_svg, new_figure, theme
from airside.show.report.subject import Subject
from airside.show.report.wording import with_minus
from airside.units import KINDS, UnitSystem, show, show_difference
from airside.visit.accuracy_schema import Table
from airside.visit.analysis import VisitResult
from airside.visit.convert import kind_of
from airside.visit.inputs import corrections, site_pressure
from airside.visit.schema import HUMIDITIES, Visit
from airside.visit.steady import unsteady_readings
from airside.visit.uncertainty import VisitUncertainty


def measured_sections(subject: Subject) -> list[Section]:
    """What was done, conditions, airflow, instruments and readings, check."""
    return [
        section("What was done and measured, and by whom", [_who_and_what(subject)]),
        section("Site, pressure and conditions of the air", _conditions(subject)),
        section("Airflow", _airflow(subject)),
        section(
            "Instruments and readings",
            [*instrument_tables(subject), _assumed(subject), *_readings(subject), _steadiness(subject)],
        ),
        section("Side-by-side check of the probes", _check(subject)),
    ]


def _who_and_what(subject: Subject) -> Facts:
    visits, units = subject.visits, subject.units

    def of(name: str, part: str = "") -> tuple[str | None, ...]:
        return joined([getattr(getattr(v, part) if part else v, name) for v in visits])

    def given(label: str, values: tuple[str | None, ...]) -> list[tuple[str, tuple[str | None, ...]]]:
        """A row that is there only where something was given; what is missing in one visit is said."""
        if values == (None,):
            return []
        return [(label, tuple("not given" if v is None else v for v in values))]

    nominal = joined([
        None if v.system.nominal_capacity is None else show(v.system.nominal_capacity, "nominal_capacity", units) for v in visits
    ])  # fmt: skip
    charge = joined([None if v.system.charge is None else show(v.system.charge, "mass", units) for v in visits])
    return Facts(
        (
            ("Visit", of("name")),
            ("Customer", of("customer")),
            ("Place", joined([place_of(v) for v in visits])),
            ("Measured on", joined([date_of(v) for v in visits])),
            ("Measured by", of("measured_by")),
            ("Work before this visit", of("work")),
            ("Mode", of("mode")),
            *given("System", of("name", "system")),
            ("Equipment", of("equipment", "system")),
            *given("Nominal capacity", nominal),
            *given("Refrigerant", of("refrigerant", "system")),
            *given("Charge by the nameplate", charge),
            *given("Metering device", of("metering_device", "system")),
            *given("Coil", of("coil", "system")),
            *given("Filter", of("filter", "system")),
            *given("Notes", of("notes")),
        ),
        subject.heads,
    )


def _conditions(subject: Subject) -> list[Block | None]:
    units, results = subject.units, subject.results
    each = [_site_rows(d, units) for d in subject.doubts]
    said = told("", [[site_pressure(d.visit)[1]] for d in subject.doubts])
    parts = [dict(zip(("capacity", "airflow", "return", "supply"), r.parts(), strict=True)) for r in results]
    return [
        figures_table("Site and outdoors", each, units),
        said,
        figures_table("Return air", [p["return"][1] for p in parts], units),
        figures_table("Supply air", [p["supply"][1] for p in parts], units),
    ]


def _site_rows(doubt: VisitUncertainty, units: UnitSystem) -> list[Row]:
    """Elevation, barometric pressure and outdoor dry bulb, with their doubt."""
    at, drawn = doubt.at_readings, doubt.measured
    rows = [Row("barometric_pressure", float(at.return_air.pressure), "barometric_pressure")]
    there = [Row("barometric_pressure", drawn.return_air.pressure, "barometric_pressure")]
    if at.outdoor_dry_bulb is not None:
        rows.append(Row("outdoor_dry_bulb", float(np.asarray(at.outdoor_dry_bulb)), "temperature"))
        there.append(Row("outdoor_dry_bulb", drawn.outdoor_dry_bulb, "temperature"))
    rows = doubt.with_doubt(rows, there)
    if doubt.visit.site.elevation is not None:
        rows.insert(0, Row("elevation", doubt.visit.site.elevation, "elevation"))
    return rows


def _airflow(subject: Subject) -> list[Block | None]:
    rows = [r.parts()[1][1] for r in subject.results]
    # Its warnings stand among the warnings.
    said = [[_airflow_doubt(r), *r.airflow.assumptions] for r in subject.results]
    return [_evidence(subject), figures_table("What follows from it", rows, subject.units), told("", said)]


def _airflow_doubt(result: VisitResult) -> str:
    return f"Airflow uncertainty: {result.airflow.uncertainty_source}."


def told_before(result: VisitResult) -> list[str]:
    """Assumptions that these sections say already, with the figures that they belong to."""
    check = corrections(result.visit)
    found = [site_pressure(result.visit)[1], _airflow_doubt(result), *result.airflow.assumptions]
    return [*found, *(check.sentences if check is not None else ())]


def _evidence(subject: Subject) -> Facts:
    """The airflow table of each visit as it was given, without its readings."""
    each: list[dict[str, str]] = []
    for visit in subject.visits:
        found = {name: _value(visit.airflow, name, subject.units) for name in type(visit.airflow).model_fields}
        found["at"] = visit.airflow.at or METHODS[visit.airflow.method].at
        each.append({name: text for name, text in found.items() if text})
    titles = {"at": "Flow holds for the air at", "method": "Evidence"}
    names = list(dict.fromkeys(name for facts in each for name in facts))
    # The method stands first, whatever the order of the model's fields.
    names.sort(key=lambda n: n != "method")
    return Facts(
        tuple((titles.get(n, _words(n)), _or_dash([facts.get(n) for facts in each])) for n in names), subject.heads
    )


def _or_dash(values: Sequence[str | None]) -> tuple[str | None, ...]:
    texts = tuple("–" if v is None else v for v in values)
    return texts[:1] if len(set(texts)) == 1 else texts


def _words(name: str) -> str:
    words = name.replace("_", " ")
    return words[:1].upper() + words[1:]


def _value(table: Table, name: str, units: UnitSystem) -> str:
    """One field that is no list of readings, as text; empty for a list or nothing."""
    value = getattr(table, name)
    field = type(table).model_fields[name]
    if value is None or isinstance(value, tuple):
        return ""
    kind = kind_of(field.annotation, field.metadata)
    return str(value) if kind is None else show(value, kind, units)


def _lists(table: Table | None, place: str) -> Iterable[tuple[str, str, tuple[float, ...]]]:
    """Label, kind and values of each list of readings in a table."""
    if table is None:
        return
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        kind = kind_of(field.annotation, field.metadata)
        if kind is not None and isinstance(value, tuple):
            yield f"{place} {name.replace('_', ' ')}".strip(), kind, value


def _assumed(subject: Subject) -> Block | None:
    return told("", [assumed_text(d.visit) for d in subject.doubts])


def _readings(subject: Subject) -> list[Grid]:
    """Every list of readings: how many, their mean and their spread."""
    each = [tuple(_reading_rows(visit, subject.units)) for visit in subject.visits]
    heads = ("Reading", "instrument", "readings", "mean", "lowest", "highest", "standard deviation")
    widths = (27, 18, 9, 15, 9, 9, 13)
    names = [f"Readings {name} the work, as taken" for name in subject.heads] or ["Readings, as taken"]
    return [Grid(name, heads, rows, text_columns=(0, 1), widths=widths) for name, rows in zip(names, each, strict=True)]


def _all_lists(visit: Visit) -> Iterable[tuple[str, str, str, tuple[float, ...]]]:
    """Label, instrument, kind and values of every list of readings."""
    readings = visit.readings
    tables: list[tuple[Any, str]] = [
        (readings.return_air, "return"), (readings.supply, "supply"), (readings.outdoor, "outdoor"),
        (visit.airflow, "airflow"), (visit.fan, "fan"), (readings.power, "power,"), (readings.refrigerant, "refrigerant"),
    ]  # fmt: skip
    for table, place in tables:
        for label, kind, values in _lists(table, place):
            who = getattr(table, "instrument", None)
            if kind == "temperature" and getattr(table, "line_instrument", None) is not None:
                who = table.line_instrument
            yield label[:1].upper() + label[1:], who or "not named", kind, values


def _reading_rows(visit: Visit, units: UnitSystem) -> Iterable[tuple[str, ...]]:
    for label, who, kind, values in _all_lists(visit):
        # One decimal more than a reading: a scatter of 0.04 K is not none.
        finer = KINDS[kind].display(units).decimals + 1
        scatter = float(np.std(values, ddof=1)) if len(values) > 1 else None
        spread = "" if scatter is None else show_difference(scatter, kind, units, decimals=finer)
        yield (
            label, who, str(len(values)), show(float(np.mean(values)), kind, units), show(min(values), kind, units, unit=False),
            show(max(values), kind, units, unit=False), spread,
        )  # fmt: skip


def _steadiness(subject: Subject) -> Facts:
    """Minutes between readings, and whether the visit's tolerances were met."""
    intervals = [d.visit.readings.interval for d in subject.doubts]
    return Facts(
        (
            (
                "Interval between readings",
                joined([None if t is None else show(t, "time", subject.units) for t in intervals]),
            ),
            ("Steadiness", joined([_steady_text(d) for d in subject.doubts])),
        ),
        subject.heads,
    )


def _steady_text(doubt: VisitUncertainty) -> str:
    """Which tolerances were met, and where they were not; the ranges stand among the warnings."""
    readings = doubt.visit.readings
    places = {"return": readings.return_air, "supply": readings.supply, "outdoors": readings.outdoor}
    several = [name for name, air in places.items() if air is not None and len(air.dry_bulb) > 1]
    if not several:
        return "cannot be told from single readings"
    found = [w for w in unsteady_readings(doubt.visit, doubt.inputs) if w.code == "unsteady"]
    at = f"{', '.join(several[:-1])} and {several[-1]}" if len(several) > 1 else several[0]
    at = at if several == ["outdoors"] else f"at {at}"
    tolerances = f"{readings.tolerances} tolerances"
    if not found:
        return f"{tolerances}, met {at}"
    # "The supply dry bulb ranged over …": what stands before the verb is the quantity.
    wide = [w.message.removeprefix("The ").split(" ranged over ")[0] for w in found]
    return f"{tolerances}, not met by {' and '.join([', '.join(wide[:-1]), wide[-1]] if len(wide) > 1 else wide)}"


def readings_appendix(subject: Subject) -> Grid:
    """Every reading of every list, in its order; of two visits beside each other."""
    each = [dict(_value_rows(visit, subject.units)) for visit in subject.visits]
    names = list(dict.fromkeys(name for found in each for name in found))
    rows = tuple((*name, *(found.get(name, "–") for found in each)) for name in names)
    heads = ("Reading", "unit", *(subject.heads or ("values, in the order of reading",)))
    return Grid("", heads, rows, text_columns=tuple(range(len(heads))), widths=_VALUE_WIDTHS[len(heads)])


# Of the columns [percent], by their count.
_VALUE_WIDTHS = {3: (32, 12, 56), 4: (26, 10, 32, 32)}


def _value_rows(visit: Visit, units: UnitSystem) -> Iterable[tuple[tuple[str, str], str]]:
    """Label and unit of each list, and its values."""
    lists = [(label, kind, values) for label, _, kind, values in _all_lists(visit)]
    check = visit.side_by_side
    if check is not None:
        for name in ("dry_bulb", *HUMIDITIES):
            for who, values in zip(check.instruments, getattr(check, name) or (), strict=False):
                kind = "relative_humidity" if name == "relative_humidity" else "temperature"
                lists.append((f"Side-by-side {name.replace('_', ' ')}, {who}", kind, values))
    for label, kind, values in lists:
        shown = "  ".join(show(v, kind, units, unit=False) for v in values)
        yield (label, KINDS[kind].display(units).label), with_minus(shown)


def _check(subject: Subject) -> list[Block | None]:
    """What the side-by-side check found, or that there was none."""
    each = []
    for doubt in subject.doubts:
        found = corrections(doubt.visit)
        each.append(["There was no side-by-side check of the probes."] if found is None else list(found.sentences))
    return [told("", each)]


def psychrometric_picture(subject: Subject) -> str:
    """The processes on the chart, as SVG to stand in the page."""
    from airside.show.psychrometric import Process, psychrometric_chart

    figure = new_figure(3.9)
    axes = figure.add_axes((0.02, 0.125, 0.89, 0.81))
    names = subject.heads or ("",)
    processes = [
        Process(d.at_readings.return_air, d.at_readings.supply_air, name)
        for d, name in zip(subject.doubts, names, strict=True)
    ]
    psychrometric_chart(processes, units=subject.units, theme=theme(), axes=axes)
    states = "; ".join(
        f"{name or 'air'} from {show(float(p.start.dry_bulb), 'temperature', subject.units)} to "
        f"{show(float(p.end.dry_bulb), 'temperature', subject.units)}"
        for name, p in zip(names, processes, strict=True)
    )
    return inline_svg(figure, "chart", f"Psychrometric chart: {states}")
