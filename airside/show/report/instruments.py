"""The instruments of a report: what each is worth, and whether its data sheet says so or a default is taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from airside.instruments import defaults
from airside.instruments.accuracy import Statement
from airside.show.report.blocks import Grid
from airside.show.report.subject import Subject
from airside.units import KINDS, UnitSystem, difference_from_inside, percent
from airside.visit.accuracy_schema import Instrument
from airside.visit.airflow_errors import AIRFLOW_QUANTITY
from airside.visit.reading_errors import VisitErrors, statement_of
from airside.visit.schema import Visit

# Kind of a half-width of each quantity of an instrument, where its name is not a kind itself.
_KIND_OF = {
    "dry_bulb": "temperature_difference", "wet_bulb": "temperature_difference", "dew_point": "temperature_difference",
    "temperature_rise": "temperature_difference", "line_temperature": "temperature_difference",
}  # fmt: skip
_HEADS = ("Instrument", "quantity", "accuracy", "resolution", "new at each visit", "accuracy is", "used for")
_WIDTHS = (18, 13, 20, 10, 10, 9, 20)
UNNAMED = "not named"


def instrument_tables(subject: Subject) -> list[Grid]:
    """One table where both visits had the same instruments, else one for each visit."""
    return instruments_of([d.visit for d in subject.doubts], subject.units, subject.heads)


def instruments_of(
    visits: Sequence[Visit], units: UnitSystem, heads: Sequence[str], what: str = "visits"
) -> list[Grid]:
    """Instruments of one visit, or of two: one table where they are the same."""
    each = [tuple(_rows(visit, units)) for visit in visits]
    if len(set(each)) == 1:
        names = [f"Instruments, the same in both {what}" if heads else "Instruments"]
        each = each[:1]
    else:
        names = [f"Instruments {name} the work" for name in heads]
    return [
        Grid(name, _HEADS, rows, text_columns=tuple(range(len(_HEADS))), widths=_WIDTHS)
        for name, rows in zip(names, each, strict=True)
    ]


def assumed_text(visit: Visit) -> list[str]:
    """Where the accuracies come from that no data sheet states."""
    assumed = {
        quantity for name, quantity, _ in uses(visit)
        if name is None or getattr(visit.instruments[name], quantity, None) is None
    }  # fmt: skip
    sources: dict[str, list[str]] = {}
    for quantity, accuracy in defaults.ACCURACY_CLASSES.items():
        if quantity in assumed:
            sources.setdefault(accuracy.source, []).append(quantity.replace("_", " "))
    return [f"Assumed accuracy of {', '.join(quantities)}: {source}." for source, quantities in sources.items()]


def uses(visit: Visit) -> Iterable[tuple[str | None, str, str]]:
    """Instrument, quantity and reading of everything whose accuracy counts in a visit."""
    readings = visit.readings
    for place, air in (("return", readings.return_air), ("supply", readings.supply), ("outdoor", readings.outdoor)):
        if air is None:
            continue
        yield air.instrument, "dry_bulb", f"{place} dry bulb"
        # Outdoors only the dry bulb is used.
        if air.humidity_name is not None and place != "outdoor":
            yield air.instrument, air.humidity_name, f"{place} {air.humidity_name.replace('_', ' ')}"
    if visit.site.barometric_pressure is not None:
        yield visit.site.instrument, "barometric_pressure", "site"
    yield from _airflow_uses(visit)
    if visit.fan is not None:
        yield visit.fan.instrument, "power", "fan"
    if readings.power is not None:
        yield readings.power.instrument, "power", "power"
    refrigerant = readings.refrigerant
    if refrigerant is None:
        return
    for name in type(refrigerant).model_fields:
        if name.endswith("pressure") and getattr(refrigerant, name) is not None:
            yield refrigerant.instrument, "refrigerant_pressure", f"refrigerant {name.replace('_', ' ')}"
        elif name.endswith(("_coil", "_unit", "_line")) and getattr(refrigerant, name) is not None:
            yield _line_instrument(visit), "line_temperature", f"refrigerant {name.replace('_', ' ')}"


def _line_instrument(visit: Visit) -> str | None:
    """Who read the lines: a gauge set without thermometers did not."""
    readings = visit.readings.refrigerant
    assert readings is not None
    if readings.line_instrument is not None or readings.instrument is None:
        return readings.line_instrument
    known = visit.instruments[readings.instrument].line_temperature is not None
    return readings.instrument if known else None


def _airflow_uses(visit: Visit) -> Iterable[tuple[str | None, str, str]]:
    """Readings of the airflow's evidence; a method's own uncertainty covers those of an unnamed instrument but pressures."""
    evidence = visit.airflow
    for name, quantity in AIRFLOW_QUANTITY.items():
        if getattr(evidence, name, None) is None:
            continue
        if evidence.instrument is not None or (quantity == "duct_pressure" and evidence.method != "traverse"):
            yield evidence.instrument, quantity, f"airflow, {name.replace('_', ' ')}"


def _rows(visit: Visit, units: UnitSystem) -> Iterable[tuple[str, ...]]:
    found: dict[tuple[str | None, str], list[str]] = {}
    for instrument, quantity, reading in uses(visit):
        found.setdefault((instrument, quantity), []).append(reading)
    # What a data sheet says of a quantity that nobody read is part of the visit too.
    for own, stated in visit.instruments.items():
        for quantity in Instrument.model_fields:
            if quantity != "description" and getattr(stated, quantity) is not None:
                found.setdefault((own, quantity), [])
    order = {name: i for i, name in enumerate(visit.instruments)}
    for (name, quantity), readings in sorted(found.items(), key=lambda item: order.get(item[0][0] or "", len(order))):
        yield _row(visit, name, quantity, readings, units)


def _row(visit: Visit, name: str | None, quantity: str, readings: list[str], units: UnitSystem) -> tuple[str, ...]:
    statement, share = statement_of(VisitErrors(), visit, quantity, name, "")
    stated = getattr(visit.instruments[name], quantity, None) if name is not None else None
    description = visit.instruments[name].description if name is not None else None
    own_share = stated is not None and stated.new_each_visit is not None
    who = UNNAMED if name is None else name
    return (
        f"{who}: {description}" if description else who,
        quantity.replace("_", " "),
        accuracy_text(statement, quantity, units),
        _amount(statement.resolution, quantity, units) if statement.resolution else "",
        f"{percent(share)} ({'stated' if own_share else 'assumed'})",
        "assumed" if stated is None else "stated",
        ", ".join(readings) or "no reading here",
    )


def accuracy_text(statement: Statement, quantity: str, units: UnitSystem) -> str:
    """An accuracy as a data sheet says it: "± 0.9 °F and 1 % of reading, limit"."""
    parts = []
    if statement.accuracy:
        parts.append(_amount(statement.accuracy, quantity, units))
    if statement.of_reading:
        parts.append(f"{statement.of_reading * 100:.3g} % of reading")
    if not parts:
        return "none"
    between = " plus " if statement.combination == "sum" else " or, if larger, "
    return f"± {between.join(parts)} ({statement.coverage})"


def _amount(value: float, quantity: str, units: UnitSystem) -> str:
    """A half-width or a step in display units, with the digits that it has."""
    kind = _KIND_OF.get(quantity, quantity)
    label = KINDS[kind].display(units).label
    return f"{float(difference_from_inside(value, kind, units)):.3g} {label}{' RH' if quantity == 'relative_humidity' else ''}"
