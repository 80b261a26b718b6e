"""What cannot be: errors about a visit's data, each with its place and its reason.

Judged on a draft, so that one run names every problem even where other parts of the file are wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

import numpy as np

from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.properties import humidity_ratio_from_wet_bulb
from airside.air.state import ACCEPTED_DRY_BULB, TESTED_DRY_BULB, TESTED_PRESSURE
from airside.airflow.defaults import RULE_OF_THUMB_LEAST
from airside.errors import Problem
from airside.units import KINDS, UnitSystem, parse, show, to_input, to_inside
from airside.visit.draft import Draft
from airside.visit.quantities import found

# A supply this much warmer than return in cooling is not cooling [K] (common practice, no source).
SWAP_DIFFERENCE = 3.0
# Readings further apart than this are not of one condition [K] (common practice, no source).
WIDEST_CONDITION = 20.0
# Elevations [m] at which the standard atmosphere stays inside the tested pressures.
ELEVATIONS = (-500.0, 4300.0)
# Relative humidities of 1 % and less are fractions typed as percent [fraction]; common practice, no source.
FRACTION_AS_PERCENT = 0.01
PLACES = ("return", "supply", "outdoor")


def impossible_readings(data: Mapping[str, Any], units: UnitSystem) -> list[Problem]:
    """Everything in a visit's data that cannot be; one problem for each value.

    Parameters
    ----------
    data : mapping
        Nested dictionaries as the file holds them. What cannot be read is passed over; the schema names it.
    units : "IP" or "SI"
    """
    draft = Draft(data, units)
    pressure = list(_impossible_site(draft))
    problems = [
        *pressure, *_impossible_air(draft, wet_bulbs=not pressure), *_swapped(draft), *_impossible_numbers(draft),
        *_impossible_evidence(draft),
    ]  # fmt: skip
    # The only value of a field needs no number.
    return [p if draft.count(p.field) > 1 else replace(p, row=None) for p in problems]


def missing_instruments(data: Mapping[str, Any]) -> list[Problem]:
    """Instruments that are named but not described."""
    draft = Draft(data, "SI")
    described = draft.raw("instruments")
    known = [str(k) for k in described] if isinstance(described, Mapping) else []
    problems = []
    tables = (("site",), ("airflow",), ("fan",), *(("readings", p) for p in (*PLACES, "power", "refrigerant")))
    named = [((*path, "instrument"), draft.raw(*path, "instrument")) for path in tables]
    line = ("readings", "refrigerant", "line_instrument")
    named.append((line, draft.raw(*line)))
    pair = draft.raw("side_by_side", "instruments")
    named += [(("side_by_side", "instruments"), name) for name in (pair if isinstance(pair, list) else ())]
    for path, name in named:
        if isinstance(name, str) and name not in known:
            near = get_close_matches(name, known, n=1, cutoff=0.6)
            hint = f' Did you mean "{near[0]}"?' if near else f" There are: {', '.join(known) or 'none'}."
            problems.append(Problem(
                f"found {found(name)}, but there is no table [instruments.{name}]. Add the table, or correct the "
                f"name.{hint}", ".".join(path),
            ))  # fmt: skip
    return problems


def _shown(value: float, kind: str, units: UnitSystem, decimals: int | None = None) -> str:
    """A value with its unit; one of many digits is cut short, because it is a slip of the hand."""
    if abs(float(to_input(value, kind, units))) < 1e7:
        return show(value, kind, units, decimals=decimals)
    return f"{float(to_input(value, kind, units)):.3g} {KINDS[kind].display(units).label}"


def _impossible_air(draft: Draft, *, wet_bulbs: bool) -> Iterator[Problem]:
    for place in PLACES:
        dry_bulbs = draft.numbers("temperature", "readings", place, "dry_bulb")
        yield from _outside(draft, dry_bulbs, TESTED_DRY_BULB, ("readings", place, "dry_bulb"))
        yield from _too_wide(draft, dry_bulbs, f"readings.{place}.dry_bulb")
        humidities = draft.numbers("relative_humidity", "readings", place, "relative_humidity")
        if humidities and min(humidities) >= 0 and 0 < max(humidities) <= FRACTION_AS_PERCENT:
            yield Problem(
                f"the highest is {max(humidities) * 100:g} % RH, drier than any room. Bare numbers are percent: a "
                "fraction of 0.46 is written 46.",
                f"readings.{place}.relative_humidity",
            )
        for row, value in enumerate(humidities, 1):
            if value < 0 or value > 1 + 1e-9:
                yield Problem(
                    f"found {value * 100:.6g} % RH; expected 0 to 100 %. Is the column another quantity?",
                    f"readings.{place}.relative_humidity", row,
                )  # fmt: skip
        for name in ("wet_bulb", "dew_point"):
            values = draft.numbers("temperature", "readings", place, name)
            # Above the range the comparison with the dry bulb says it better.
            yield from _outside(draft, values, (ACCEPTED_DRY_BULB[0], np.inf), ("readings", place, name))
            yield from _too_wide(draft, values, f"readings.{place}.{name}")
            for row, (dry, value) in enumerate(zip(dry_bulbs, values, strict=False), 1):
                yield from _against_dry_bulb(draft, dry, value, place, name, row, wet_bulbs=wet_bulbs)


def _outside(
    draft: Draft, values: list[float], limits: tuple[float, float], path: tuple[str, ...]
) -> Iterator[Problem]:
    """Temperatures outside a range, with the other unit as a hint where it fits."""
    units = draft.units
    other: UnitSystem = "SI" if units == "IP" else "IP"
    label = KINDS["temperature"].display(other).label
    low = show(limits[0], "temperature", units)
    wanted = f"{low} to {show(limits[1], 'temperature', units)}" if np.isfinite(limits[1]) else f"{low} or above"
    raw = draft.raw(*path)
    for row, value in enumerate(values, 1):
        if np.isnan(value) or limits[0] <= value <= limits[1]:
            continue
        bare = raw[row - 1] if isinstance(raw, list | tuple) else raw
        hint = ""
        if not isinstance(bare, str) and limits[0] <= to_inside(bare, "temperature", other) <= limits[1]:
            hint = f' If it is {bare:g} {label}, write "{bare:g} {label}" or set units = "{other}".'
        yield Problem(f"found {_shown(value, 'temperature', units)}; expected {wanted}.{hint}", ".".join(path), row)


def _too_wide(draft: Draft, values: list[float], field: str) -> Iterator[Problem]:
    readable = [v for v in values if TESTED_DRY_BULB[0] <= v <= TESTED_DRY_BULB[1]]
    if readable and max(readable) - min(readable) > WIDEST_CONDITION:
        low, high = (show(v, "temperature", draft.units) for v in (min(readable), max(readable)))
        yield Problem(
            f"found {low} and {high} in one list; readings of one condition lie closer together. "
            "A decimal comma makes two numbers of one.",
            field,
        )


def _against_dry_bulb(
    draft: Draft, dry: float, value: float, place: str, name: str, row: int, *, wet_bulbs: bool
) -> Iterator[Problem]:
    where, word = f"readings.{place}.{name}", name.replace("_", " ")
    dry_said, said = (_shown(v, "temperature", draft.units, 2) for v in (dry, value))
    if value > dry + 1e-9:
        yield Problem(
            f"found a {word} of {said} above the dry bulb of {dry_said}, which cannot be. Check for swapped columns, "
            "or leave the reading out if the sensor lagged.",
            where, row,
        )  # fmt: skip
    elif name == "wet_bulb" and wet_bulbs and ACCEPTED_DRY_BULB[0] <= value <= dry <= ACCEPTED_DRY_BULB[1]:
        pressure = _site_pressure(draft)
        if pressure is not None and np.isnan(humidity_ratio_from_wet_bulb(dry, value, pressure, impossible="nan")):
            yield Problem(
                f"found a wet bulb of {said} at a dry bulb of {dry_said}: below that of dry air, which cannot be. "
                "Check the wick and its water, and the columns.",
                where, row,
            )  # fmt: skip


def _site_pressure(draft: Draft) -> float | None:
    pressure = draft.one("barometric_pressure", "site", "barometric_pressure")
    elevation = draft.one("elevation", "site", "elevation")
    if pressure is None and elevation is not None:
        pressure = float(standard_atmosphere_pressure(elevation))
    return pressure


def _impossible_site(draft: Draft) -> Iterator[Problem]:
    pressure = draft.one("barometric_pressure", "site", "barometric_pressure")
    elevation, units = draft.one("elevation", "site", "elevation"), draft.units
    if elevation is not None and not ELEVATIONS[0] <= elevation <= ELEVATIONS[1]:
        low, high = (show(v, "elevation", units) for v in ELEVATIONS)
        yield Problem(
            f"found {_shown(elevation, 'elevation', units)}; expected {low} to {high}. "
            "Bare elevations are feet in IP, metres in SI.",
            "site.elevation",
        )
    if pressure is not None and not TESTED_PRESSURE[0] <= pressure <= TESTED_PRESSURE[1]:
        raw = draft.raw("site", "barometric_pressure")
        raw = raw[0] if isinstance(raw, list) else raw
        written = re.split(r"[^0-9.eE+-]", raw.strip())[0] if isinstance(raw, str) else f"{raw:.10g}"
        fits = [
            unit
            for unit in ("inHg", "inH2O", "kPa", "hPa", "psi", "Pa")
            if TESTED_PRESSURE[0] <= parse(f"{written} {unit}", "barometric_pressure") <= TESTED_PRESSURE[1]
        ]
        hint = f' {written} looks like {fits[0]}: write "{written} {fits[0]}".' if fits else ""
        low, high = (show(v, "barometric_pressure", units) for v in TESTED_PRESSURE)
        yield Problem(
            f"found {_shown(pressure, 'barometric_pressure', units)}; expected {low} to {high}, absolute.{hint}",
            "site.barometric_pressure",
        )


def _swapped(draft: Draft) -> Iterator[Problem]:
    mode = draft.raw("mode")
    means = [draft.mean("temperature", "readings", place, "dry_bulb") for place in ("return", "supply")]
    if mode not in ("cooling", "heating") or means[0] is None or means[1] is None:
        return
    if not all(TESTED_DRY_BULB[0] <= v <= TESTED_DRY_BULB[1] for v in (means[0], means[1])):
        return
    rise = means[1] - means[0]
    if (rise if mode == "cooling" else -rise) < SWAP_DIFFERENCE:
        return
    amount = show(abs(rise), "temperature_difference", draft.units)
    side = "warmer" if rise > 0 else "colder"
    other = "heating" if mode == "cooling" else "cooling"
    yield Problem(
        f'the supply is {amount} {side} than the return, but mode is "{mode}". The probes look swapped: '
        f'change the names of the two tables, or set mode = "{other}". If one place was typed in other units, '
        "write them.",
        "readings",
    )


def _impossible_numbers(draft: Draft) -> Iterator[Problem]:
    powers = (("fan", "power"), *(("readings", "power", n) for n in ("total", "outdoor_unit", "indoor_unit")))
    for path in powers:
        for row, power in enumerate(draft.numbers("power", *path), 1):
            if power < 0:
                yield Problem(
                    f"found {_shown(power, 'power', draft.units)}; expected zero or above.", ".".join(path), row
                )
    for place in PLACES:
        placement = draft.one("temperature_difference", "readings", place, "placement")
        if placement is not None and placement < 0:
            yield Problem("found a doubt below zero; expected zero or above.", f"readings.{place}.placement")
    interval = draft.one("time", "readings", "interval")
    if interval is not None and interval <= 0:
        yield Problem("found a time that is not above zero; expected minutes between readings.", "readings.interval")
    method = draft.raw("airflow", "method")
    stated = draft.one("fraction", "airflow", "relative_uncertainty")
    if stated is not None and not 0 < stated < 1:
        yield Problem(
            f"found {stated:.6g}; expected a standard uncertainty as a fraction between 0 and 1, such as 0.05.",
            "airflow.relative_uncertainty",
        )
    elif stated is not None and method == "rule of thumb" and stated < RULE_OF_THUMB_LEAST:
        yield Problem(
            f"found {stated:.6g}; expected at least {RULE_OF_THUMB_LEAST:g} for the rule of thumb, because nothing was "
            "measured. Measure the airflow to do better.",
            "airflow.relative_uncertainty",
        )
    if method == "rule of thumb" and draft.raw("system", "nominal_capacity") is None:
        yield Problem("is missing; the rule of thumb multiplies it with flow_per_capacity.", "system.nominal_capacity")


def _impossible_evidence(draft: Draft) -> Iterator[Problem]:
    """Fields of the airflow table that contradict each other, or of which one is missing."""
    method = draft.raw("airflow", "method")
    given = set(draft.raw("airflow") or ()) if isinstance(draft.raw("airflow"), Mapping) else set()
    if method == "traverse":
        yield from _impossible_traverse(draft, given)
    if method == "temperature rise":
        sources = [given & {"heat_input"}, given & {"voltage", "current"}, given & {"fuel_input", "efficiency"}]
        wanted = "expected one of heat_input, or voltage and current, or fuel_input and efficiency."
        if sum(map(bool, sources)) != 1:
            listed = " and ".join(sorted(set().union(*sources))) or "no heat input"
            yield Problem(f"found {listed}; {wanted}", "airflow")
        elif len(sources[1]) == 1 or len(sources[2]) == 1:
            yield Problem(f"found {' and '.join(sources[1] | sources[2])} alone; {wanted}", "airflow")
        efficiency = draft.one("fraction", "airflow", "efficiency")
        if efficiency is not None and not 0 < efficiency <= 1:
            yield Problem(f"found {efficiency:.6g}; expected a fraction such as 0.80.", "airflow.efficiency")
        test = draft.numbers("temperature", "airflow", "test_dry_bulb")
        yield from _outside(draft, test, TESTED_DRY_BULB, ("airflow", "test_dry_bulb"))


def _impossible_traverse(draft: Draft, given: set[str]) -> Iterator[Problem]:
    readings = sorted(given & {"velocity", "velocity_pressure"})
    if len(readings) != 1:
        listed = " and ".join(readings) or "neither velocity nor velocity_pressure"
        yield Problem(f"found {listed}; expected one of the two.", "airflow")
    wanted = {"rectangular": {"width", "height"}, "round": {"diameter"}}.get(str(draft.raw("airflow", "shape")))
    sides = given & {"width", "height", "diameter"}
    if wanted is not None and sides != wanted:
        yield Problem(
            f"found {' and '.join(sorted(sides, reverse=True)) or 'no duct sides'}; "
            f'expected {" and ".join(sorted(wanted, reverse=True))} for a "{draft.raw("airflow", "shape")}" duct.',
            "airflow",
        )
    for row, value in enumerate(draft.numbers("duct_pressure", "airflow", "velocity_pressure"), 1):
        if value < 0:
            yield Problem(
                f"found {show(value, 'duct_pressure', draft.units)}; expected zero or above. The tube may face away "
                "from the flow, or the hoses are swapped; a point without flow is 0.",
                "airflow.velocity_pressure", row,
            )  # fmt: skip
