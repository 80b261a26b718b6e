"""The refrigerant side of a visit: saturation, superheat, subcooling and their targets, each with its doubt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number
from airside.air.properties import Impossible
from airside.errors import AirsideError, OutOfRangeError, Problem, VisitError
from airside.refrigerant import contradictions, cycle, saturation, targets
from airside.refrigerant.names import find_refrigerant, safety_caution
from airside.results import Result, Row, plain, rows_to_dict
from airside.units import probability, show_difference
from airside.visit.inputs import Measured
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit
from airside.visit.superheat_table import SuperheatTable, read_superheat_table
from airside.visit.uncertainty import VisitUncertainty

Device = Literal["fixed orifice", "valve", "unknown"]
# Short names of thermostatic and electronic expansion valves.
_VALVES = ("txv", "tev", "tx", "exv", "eev")

# How near to a single target a superheat or subcooling should be [K]: 5 °F and 3 °F; common practice, no source.
SUPERHEAT_TOLERANCE = 5 / 1.8
SUBCOOLING_TOLERANCE = 3 / 1.8
# How far readings may contradict each other before it is said [K]; no source.
MARGIN = 1.0


def device_of(visit: Visit) -> Device:
    """Kind of metering device, from its words in the visit."""
    words = (visit.system.metering_device or "").casefold()
    if "valve" in words or any(w in words.split() for w in _VALVES):
        return "valve"
    if any(w in words for w in ("orifice", "piston", "capillary", "fixed")):
        return "fixed orifice"
    return "unknown"


def figures(visit: Visit, measured: Measured, impossible: Impossible) -> dict[str, tuple[Number, str]]:
    """Derived figures by name, each with its kind; scalars at the readings, arrays for draws.

    Parameters
    ----------
    visit : Visit
    measured : Measured
    impossible : "raise" or "nan"
        What becomes of pressures outside the refrigerant's range.
    """
    name, got, p = str(visit.system.refrigerant), measured.refrigerant, measured.return_air.pressure
    found: dict[str, tuple[Number, str]] = {}
    if "suction_pressure" in got:
        suction = got["suction_pressure"]
        dew = saturation.dew_temperature(name, cycle.absolute_pressure(suction, p), impossible=impossible)
        found["saturated_suction"] = (dew, "temperature")
        # In heating the coils have changed places: the return air passes the condensing one.
        if visit.mode == "cooling":
            below = cycle.suction_below_return(name, suction, measured.return_air.dry_bulb, p, impossible=impossible)
            found["suction_below_return"] = (below, "temperature_difference")
        for line, title in (("suction_line_at_coil", "superheat_at_coil"),
                            ("suction_line_at_outdoor_unit", "superheat_at_outdoor_unit")):  # fmt: skip
            if line in got:
                superheat = cycle.superheat(name, suction, got[line], p, impossible=impossible)
                found[title] = (superheat, "temperature_difference")
    if "suction_line_at_coil" in got and "suction_line_at_outdoor_unit" in got:
        rise = got["suction_line_at_outdoor_unit"] - got["suction_line_at_coil"]
        found["suction_line_rise"] = (rise, "temperature_difference")
    if "liquid_pressure" in got:
        liquid = got["liquid_pressure"]
        bubble = saturation.bubble_temperature(name, cycle.absolute_pressure(liquid, p), impossible=impossible)
        glide = saturation.glide(name, cycle.absolute_pressure(liquid, p), impossible=impossible)
        found["saturated_liquid"] = (bubble, "temperature")
        found["glide_at_liquid_pressure"] = (glide, "temperature_difference")
        if "liquid_line" in got:
            cooled = cycle.subcooling(name, liquid, got["liquid_line"], p, impossible=impossible)
            found["subcooling"] = (cooled, "temperature_difference")
        if measured.outdoor_dry_bulb is not None and visit.mode == "cooling":
            above = cycle.condensing_over_outdoor(name, liquid, measured.outdoor_dry_bulb, p, impossible=impossible)
            found["condensing_over_outdoor"] = (above, "temperature_difference")
    if "discharge_line" in got:
        found["discharge_line"] = (got["discharge_line"], "temperature")
    return found


@dataclass(frozen=True)
class Target:
    """What a figure should be: from, to [K], where that comes from, and the probability of being inside."""

    name: str
    low: float
    high: float
    source: str
    probability: float


@dataclass(frozen=True, eq=False, repr=False)
class RefrigerantSide(Result):
    """Refrigerant side of a visit.

    Attributes
    ----------
    doubt : VisitUncertainty
    at_readings, drawn : dict of str to (number or array, kind)
    targets : tuple of Target
    sentences : tuple of str
        Assumptions, and why there is no target where there is none.
    warnings : tuple of VisitWarning
    """

    doubt: VisitUncertainty
    at_readings: dict[str, tuple[Number, str]]
    drawn: dict[str, tuple[Number, str]]
    targets: tuple[Target, ...] = ()
    sentences: tuple[str, ...] = ()
    warnings: tuple[VisitWarning, ...] = ()

    @property
    def refrigerant(self) -> str:
        """ASHRAE 34 designation."""
        return find_refrigerant(str(self.doubt.visit.system.refrigerant)).name

    @property
    def title(self) -> str:  # type: ignore[override]
        """Names the refrigerant."""
        return f"Refrigerant side, {self.refrigerant}"

    @cached_property
    def _rows(self) -> list[Row]:
        here = [Row(n, v, k) for n, (v, k) in self.at_readings.items()]
        drawn = [Row(n, v, k) for n, (v, k) in self.drawn.items()]
        return self.doubt.with_doubt(here, drawn)

    def rows(self) -> Iterable[Row]:
        """Every figure with uncertainty and interval."""
        return self._rows

    def draws(self, name: str) -> Array:
        """Draws of one figure, shape (draws,)."""
        return np.broadcast_to(np.asarray(self.drawn[name][0], dtype=np.float64), (self.doubt.draws.count,))

    def notes(self) -> Iterable[str]:
        """Targets as sentences, assumptions, the refrigerant's own caution."""
        units = self.doubt.visit.units
        said = []
        for t in self.targets:
            low, high = (show_difference(v, "temperature_difference", units) for v in (t.low, t.high))
            answer = probability(t.probability) if np.isfinite(t.probability) else "not known"
            said.append(
                f"Target of {t.name.replace('_', ' ')}: {low} to {high} ({t.source}). The probability of being within it "
                f"is {answer}."
            )
        return [*said, *self.sentences]

    def to_dict(self) -> dict[str, Any]:
        """Every figure in SI with ``_u`` and ``_95``, and the targets."""
        return {
            "refrigerant": self.refrigerant,
            "metering_device": device_of(self.doubt.visit),
            **rows_to_dict(self._rows),
            "targets": [
                {
                    "name": t.name,
                    "low_K": t.low,
                    "high_K": t.high,
                    "source": t.source,
                    "probability_within": plain(t.probability),
                }
                for t in self.targets
            ],
            "notes": list(self.notes()),
        }


def refrigerant_side(doubt: VisitUncertainty) -> tuple[RefrigerantSide | None, str]:
    """The refrigerant side of a visit, and why there is none.

    Raises
    ------
    VisitError
        An unknown refrigerant, a pressure that the refrigerant cannot have, or a table that cannot be used.
    """
    visit = doubt.visit
    if visit.readings.refrigerant is None:
        return None, "The visit has no refrigerant readings."
    if visit.system.refrigerant is None:
        raise _visit_error(visit, "is missing; it is needed with [readings.refrigerant].", "system.refrigerant")
    try:
        find_refrigerant(visit.system.refrigerant)
    except AirsideError as error:
        raise _visit_error(visit, str(error), "system.refrigerant") from None
    if problems := list(_pressures_out_of_range(visit, doubt.at_readings)):
        raise VisitError(str(visit.path or visit.name), problems)
    try:
        here = figures(visit, doubt.at_readings, "raise")
    except AirsideError as error:
        raise _visit_error(visit, str(error), "readings.refrigerant") from None
    side = RefrigerantSide(doubt, here, figures(visit, doubt.measured, "nan"))
    found, said = _targets(side)
    said.append("Superheat is counted from dew, subcooling from bubble, condensing and evaporating from their middle.")
    caution = safety_caution(visit.system.refrigerant)
    said += [caution] if caution else []
    warnings = tuple(VisitWarning(code, text) for code, text in _contradictions(visit, doubt.at_readings) if text)
    return replace(side, targets=tuple(found), sentences=tuple(said), warnings=warnings), ""


def _visit_error(visit: Visit, message: str, field: str) -> VisitError:
    return VisitError(str(visit.path or visit.name), [Problem(message, field)])


def _pressures_out_of_range(visit: Visit, measured: Measured) -> Iterable[Problem]:
    """Pressures without a saturation temperature, each at its own field."""
    barometer = float(np.asarray(measured.return_air.pressure))
    for name in ("suction_pressure", "liquid_pressure"):
        if name in measured.refrigerant:
            gauge = float(np.asarray(measured.refrigerant[name]))
            text = contradictions.pressure_out_of_range(str(visit.system.refrigerant), gauge, barometer)
            if text:
                yield Problem(text, f"readings.refrigerant.{name}")


def _contradictions(visit: Visit, measured: Measured) -> Iterable[tuple[str, str]]:
    """Readings that contradict each other: a code and a sentence, or an empty one."""
    name, units = str(visit.system.refrigerant), visit.units
    got = {k: float(np.asarray(v)) for k, v in measured.refrigerant.items()}
    p, air = float(np.asarray(measured.return_air.pressure)), float(np.asarray(measured.return_air.dry_bulb))
    lines = [got[n] for n in ("suction_line_at_coil", "suction_line_at_outdoor_unit") if n in got]
    yield "gauge_as_absolute", _typed_absolute(visit, got, lines, p)
    if "suction_pressure" in got and visit.mode == "cooling":
        first = lines[0] if lines else None
        text = contradictions.suction_not_plausible(
            name, got["suction_pressure"], air, p, suction_temperature=first, units=units, margin=MARGIN
        )
        yield "suction_pressure", text
        if not text and lines:
            yield (
                "suction_line_colder",
                contradictions.suction_line_colder(
                    name, got["suction_pressure"], min(lines), p, units=units, margin=MARGIN
                ),
            )
    if "suction_pressure" in got and "liquid_pressure" in got:
        yield "pressures_swapped", contradictions.pressures_swapped(got["suction_pressure"], got["liquid_pressure"])
    if "liquid_pressure" in got and "liquid_line" in got:
        yield (
            "no_subcooling",
            contradictions.liquid_line_warmer(name, got["liquid_pressure"], got["liquid_line"], p, units=units),
        )
    if "liquid_pressure" in got and measured.outdoor_dry_bulb is not None and visit.mode == "cooling":
        yield (
            "condensing",
            contradictions.condensing_not_plausible(
                name,
                got["liquid_pressure"],
                float(np.asarray(measured.outdoor_dry_bulb)),
                p,
                units=units,
                margin=MARGIN,
            ),
        )


def _typed_absolute(visit: Visit, got: dict[str, float], lines: list[float], barometer: float) -> str:
    """Whether both gauges less the barometer would mend a superheat that cannot be: below zero.

    A low superheat may be the finding itself. A shift of one atmosphere is small on the liquid side: without the suction line it cannot be seen.
    """
    if not lines or "suction_pressure" not in got or got["suction_pressure"] <= barometer:
        return ""
    name = str(visit.system.refrigerant)
    low, high = targets.VALVE_SUPERHEAT
    try:
        here, there = (
            float(np.asarray(cycle.superheat(name, got["suction_pressure"] - shift, lines[0], barometer)))
            for shift in (0.0, barometer)
        )
    except AirsideError:
        return ""
    if here >= 0 or not low <= there <= high:
        return ""
    found, would = (show_difference(v, "temperature_difference", visit.units) for v in (here, there))
    return (
        f"readings.refrigerant.suction_pressure: superheat is {found}; were the pressure absolute, it would be {would}, which "
        "is usual. Was an absolute pressure typed as gauge?"
    )


def _targets(side: RefrigerantSide) -> tuple[list[Target], list[str]]:
    """Targets of superheat and subcooling, and what is said where there is none."""
    visit, device = side.doubt.visit, device_of(side.doubt.visit)
    if visit.mode != "cooling":
        return [], ["Targets of superheat and subcooling are for cooling; there are none in heating."]
    found: list[Target] = []
    said: list[str] = []
    table = _table_of(visit)
    if table is not None and device == "valve":
        said.append("The target superheat table is not used: it is for a fixed orifice, and the visit names a valve.")
    # A fixed orifice is judged where the charge is set, at the outdoor unit; a valve at its bulb, on the coil.
    order = ("superheat_at_outdoor_unit", "superheat_at_coil")
    name = next((n for n in (order if device == "fixed orifice" else order[::-1]) if n in side.drawn), None)
    if name is not None:
        if visit.system.target_superheat is not None:
            found.append(_around(side, name, visit.system.target_superheat, SUPERHEAT_TOLERANCE, "nameplate"))
        elif device == "fixed orifice":
            target, why = _orifice_target(side, name, table)
            found += [target] if target is not None else []
            said += [why] if why else []
        else:
            found.append(
                _between(side, name, targets.VALVE_SUPERHEAT, "a thermostatic valve's; common practice, no source")
            )
    if "subcooling" in side.drawn:
        # The nameplate's stands for any device; the customary range is of valve systems.
        if visit.system.target_subcooling is not None:
            found.append(_around(side, "subcooling", visit.system.target_subcooling, SUBCOOLING_TOLERANCE, "nameplate"))
        elif device != "fixed orifice":
            found.append(
                _between(side, "subcooling", targets.SUBCOOLING, "a valve system's; common practice, no source")
            )
    if device == "unknown":
        named = visit.system.metering_device
        what = f'"{named}" is not known as' if named else "is not named:"
        said.append(f"The metering device {what} a fixed orifice or a valve; targets are those of a valve.")
    return found, said


def _table_of(visit: Visit) -> SuperheatTable | None:
    """The manufacturer's table that the visit names; read even where it is not used, so that a bad one is said."""
    if visit.system.target_superheat_table is None:
        return None
    folder = visit.path.parent if visit.path is not None else Path()
    return read_superheat_table(folder / visit.system.target_superheat_table, visit.table_units)


def _orifice_target(side: RefrigerantSide, name: str, table: SuperheatTable | None) -> tuple[Target | None, str]:
    visit, at, drawn = side.doubt.visit, side.doubt.at_readings, side.doubt.measured
    if at.outdoor_dry_bulb is None or drawn.outdoor_dry_bulb is None:
        return None, "There is no outdoor dry bulb, so a fixed orifice has no target superheat."
    here = (float(np.asarray(at.return_air.wet_bulb)), float(np.asarray(at.outdoor_dry_bulb)))
    there = (drawn.return_air.wet_bulb, drawn.outdoor_dry_bulb)
    if table is not None:
        try:
            value = float(np.asarray(targets.target_from_table(*table, *here, units=visit.units)))
        except OutOfRangeError as error:
            return None, f"There is no target superheat. {str(error)[:1].upper()}{str(error)[1:]}"
        if not np.isfinite(value):
            return None, "The manufacturer's table gives no target superheat at these conditions."
        draws = targets.target_from_table(*table, *there, outside="nan")
        return _around(side, name, value, SUPERHEAT_TOLERANCE, "the manufacturer's table", draws), ""
    why = targets.no_target_reason(*here, visit.units)
    if why:
        return None, f"{why} {targets.RULE_ASSUMPTION}"
    value = float(np.asarray(targets.target_superheat_fixed_orifice(*here)))
    draws = targets.target_superheat_fixed_orifice(*there, no_target="extend")
    return _around(side, name, value, SUPERHEAT_TOLERANCE, "rule of thumb; common practice, no source", draws), (
        targets.RULE_ASSUMPTION
    )


def _around(
    side: RefrigerantSide, name: str, value: float, tolerance: float, source: str, draws: Number | None = None
) -> Target:
    middle = value if draws is None else draws
    inside = targets.probability_within(side.draws(name), middle - tolerance, middle + tolerance)
    return Target(name, value - tolerance, value + tolerance, source, inside)


def _between(side: RefrigerantSide, name: str, limits: tuple[float, float], source: str) -> Target:
    return Target(name, *limits, source, targets.probability_within(side.draws(name), *limits))
