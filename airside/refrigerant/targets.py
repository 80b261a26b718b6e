"""What superheat and subcooling should be: the maker's table first, the rule of thumb else.

Sources
-------
Common practice, no source, for every rule and range here: they are screening values, and the
maker's data stands above each of them.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number, blockwise
from airside.errors import EvidenceError, OutOfRangeError
from airside.units import UnitSystem, show, show_difference

NoTarget = Literal["nan", "extend"]
Outside = Literal["raise", "nan"]

FAHRENHEIT_PER_KELVIN = 1.8

# Common practice, no source [K]: 6 to 15 °F at the bulb of a thermostatic valve.
VALVE_SUPERHEAT = (6 / FAHRENHEIT_PER_KELVIN, 15 / FAHRENHEIT_PER_KELVIN)
# Common practice, no source [K]: 8 to 14 °F on a valve system without a nameplate value.
SUBCOOLING = (8 / FAHRENHEIT_PER_KELVIN, 14 / FAHRENHEIT_PER_KELVIN)
# Common practice, no source [K]: 15 to 30 °F, lower on high-efficiency units.
CONDENSING_OVER_OUTDOOR = (15 / FAHRENHEIT_PER_KELVIN, 30 / FAHRENHEIT_PER_KELVIN)
# Common practice, no source [K]: 30 to 40 °F.
SUCTION_BELOW_RETURN = (30 / FAHRENHEIT_PER_KELVIN, 40 / FAHRENHEIT_PER_KELVIN)
# Below this the rule gives no target [K]: 5 °F, common practice, no source.
LOWEST_TARGET = 5 / FAHRENHEIT_PER_KELVIN
# The rule, in °F: (3 wet bulb - 80 - outdoor dry bulb) / 2; common practice, no source.
_WET_BULB_FACTOR, _OFFSET, _DIVISOR = 3.0, 80.0, 2.0
RULE_ASSUMPTION = (
    "The target superheat of a fixed orifice is the rule (3 x return wet bulb - 80 - outdoor dry bulb) / 2 in °F; "
    "common practice, no source. The manufacturer's table stands above it."
)


def _fahrenheit(celsius: Any) -> Any:
    return celsius * FAHRENHEIT_PER_KELVIN + 32


def target_superheat_fixed_orifice(
    return_wet_bulb: Number, outdoor_dry_bulb: Number, *, no_target: NoTarget = "nan"
) -> Number:
    """Target superheat of a fixed orifice by rule of thumb.

    Parameters
    ----------
    return_wet_bulb, outdoor_dry_bulb : float or array [°C]
    no_target : "nan" or "extend"
        What is given where the rule gives less than 5 °F: NaN, as there is no target; or the number
        all the same, for error draws about a reading that has one.

    Returns
    -------
    float or array [K]

    Notes
    -----
    Common practice, no source. `no_target_reason` says in a sentence where it has no target.
    """
    if no_target not in ("nan", "extend"):
        raise ValueError(f"no_target must be 'nan' or 'extend', not {no_target!r}")

    def kernel(wet: Array, outdoor: Array) -> Array:
        fahrenheit = (_WET_BULB_FACTOR * _fahrenheit(wet) - _OFFSET - _fahrenheit(outdoor)) / _DIVISOR
        target: Array = fahrenheit / FAHRENHEIT_PER_KELVIN
        return target if no_target == "extend" else np.where(target >= LOWEST_TARGET - 1e-9, target, np.nan)

    return blockwise(kernel, return_wet_bulb, outdoor_dry_bulb)


def lowest_wet_bulb(outdoor_dry_bulb: Number) -> Number:
    """Return wet bulb [°C] from which on the rule has a target, at an outdoor dry bulb [°C]."""
    lowest = _DIVISOR * LOWEST_TARGET * FAHRENHEIT_PER_KELVIN
    wet_bulb: Number = (lowest + _OFFSET + _fahrenheit(outdoor_dry_bulb)) / _WET_BULB_FACTOR
    return (wet_bulb - 32) / FAHRENHEIT_PER_KELVIN


def no_target_reason(return_wet_bulb: float, outdoor_dry_bulb: float, units: UnitSystem = "SI") -> str:
    """A sentence where the rule has no target, with the range in which it has one; empty where it has."""
    if not np.isnan(target_superheat_fixed_orifice(return_wet_bulb, outdoor_dry_bulb)):
        return ""
    if not np.isfinite([return_wet_bulb, outdoor_dry_bulb]).all():
        return "There is no target superheat without return wet bulb and outdoor dry bulb."
    wet, outdoor, least = (
        show(float(t), "temperature", units) for t in (return_wet_bulb, outdoor_dry_bulb, lowest_wet_bulb(outdoor_dry_bulb))
    )  # fmt: skip
    return (
        f"There is no target superheat at a return wet bulb of {wet} and {outdoor} outdoors: the rule gives less than "
        f"{show_difference(LOWEST_TARGET, 'temperature_difference', units)}. At this outdoor temperature it needs a "
        f"return wet bulb of {least} or more."
    )


def target_from_table(
    table_wet_bulb: Any,
    table_outdoor: Any,
    table_superheat: Any,
    return_wet_bulb: Number,
    outdoor_dry_bulb: Number,
    *,
    outside: Outside = "raise",
    units: UnitSystem = "SI",
) -> Number:
    """Target superheat read from a manufacturer's table, linear between its entries.

    Parameters
    ----------
    table_wet_bulb : array, shape (n,) [°C]
    table_outdoor : array, shape (m,) [°C]
    table_superheat : array, shape (n, m) [K]
        NaN where the table has no target.
    return_wet_bulb, outdoor_dry_bulb : float or array [°C]
    outside : "raise" or "nan"
        What becomes of readings beyond the table's ends; "nan" is for error draws.
    units : "IP" or "SI"
        For messages.

    Returns
    -------
    float or array [K]
        NaN where an entry that is needed is empty: there the maker gives no target.

    Raises
    ------
    EvidenceError
        The table is not rectangular, too small, or its heads do not rise.
    OutOfRangeError
        A reading beyond the table's ends.
    """
    heads = [np.asarray(h, dtype=np.float64) for h in (table_wet_bulb, table_outdoor)]
    try:
        body = np.asarray(table_superheat, dtype=np.float64)
    except ValueError:
        raise EvidenceError("target superheat table: its rows are not of one length.") from None
    for head, name in zip(heads, ("return wet bulb", "outdoor dry bulb"), strict=True):
        if head.ndim != 1 or head.size < 2 or not np.isfinite(head).all() or (np.diff(head) <= 0).any():
            raise EvidenceError(f"target superheat table: {name} needs at least 2 rising values, none missing.")
    if body.shape != (heads[0].size, heads[1].size):
        raise EvidenceError(
            f"target superheat table: found {' by '.join(map(str, body.shape))} entries for {heads[0].size} wet bulbs "
            f"and {heads[1].size} outdoor temperatures; expected {heads[0].size} by {heads[1].size}."
        )
    readings = [np.asarray(r, dtype=np.float64) for r in (return_wet_bulb, outdoor_dry_bulb)]
    places = []
    for reading, head, name in zip(readings, heads, ("return wet bulb", "outdoor dry bulb"), strict=True):
        beyond = (reading < head[0]) | (reading > head[-1])
        if beyond.any() and outside == "raise":
            found, low, high = (show(float(t), "temperature", units) for t in (reading[beyond].flat[0], *head[[0, -1]]))
            raise OutOfRangeError(
                f"target superheat table: {name} {found} is outside the table, which goes from {low} to {high}. "
                "Nothing is read beyond a table's ends."
            )
        index = np.clip(np.searchsorted(head, reading, side="right") - 1, 0, head.size - 2)
        share = (reading - head[index]) / (head[index + 1] - head[index])
        places.append((index, np.where(beyond, np.nan, share)))
    (i, x), (j, y) = places

    def part(row: Any, column: Any, weight: Any) -> Any:
        # An empty entry without weight does not count.
        return np.where(weight == 0, 0.0, weight * body[row, column])

    result = np.asarray(
        part(i, j, (1 - x) * (1 - y)) + part(i + 1, j, x * (1 - y)) + part(i, j + 1, (1 - x) * y) + part(i + 1, j + 1, x * y)
    )  # fmt: skip
    return float(result) if result.ndim == 0 else result


def probability_within(draws: Number, low: Number, high: Number) -> float:
    """Share of the draws from ``low`` to ``high``, all of one unit; NaN draws do not count, NaN where none are left."""
    values, least, most = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in (draws, low, high)))
    known = np.isfinite(values) & ~np.isnan(least) & ~np.isnan(most)
    if not known.any():
        return float("nan")
    return float(np.mean((values[known] >= least[known]) & (values[known] <= most[known])))
