"""Refrigerant readings of a cycle of known saturation temperatures, to change the visit of `pair_of_visits`. Invented."""

from __future__ import annotations

from typing import Any

from airside.refrigerant.saturation import bubble_pressure, dew_pressure

# As in `pair_of_visits.BASE` [Pa].
BAROMETER = 98_000.0
# What healthy equipment shows there [°C, K]: the middle of each range that airside expects.
EVAPORATING, CONDENSING, SUPERHEAT, SUBCOOLING = 5.5, 44.5, 5.8, 5.0


def steps(value: float, size: float = 0.05) -> list[float]:
    """Five readings about a value."""
    return [round(value + size * k, 6) for k in (0.0, 1.0, -1.0, 2.0, -2.0)]


def cycle(
    *,
    refrigerant: str = "R-410A",
    evaporating: float = EVAPORATING,
    condensing: float = CONDENSING,
    superheat: float = SUPERHEAT,
    subcooling: float = SUBCOOLING,
) -> dict[str, Any]:
    """Changes that give a visit refrigerant readings: gauges and clamps with names."""
    low = (float(dew_pressure(refrigerant, evaporating)) - BAROMETER) / 1000
    high = (float(bubble_pressure(refrigerant, condensing)) - BAROMETER) / 1000
    return {
        "system.refrigerant": refrigerant, "system.metering_device": "thermostatic valve",
        "instruments.gauges": {"refrigerant_pressure": {"accuracy": 7, "accuracy_of_reading": 0.5, "resolution": 1}},
        "instruments.clamps": {"line_temperature": {"accuracy": 1.0, "resolution": 0.1}},
        "readings.refrigerant": {
            "instrument": "gauges", "line_instrument": "clamps",
            "suction_pressure": steps(low, 1.0), "liquid_pressure": steps(high, 2.0),
            "suction_line_at_coil": steps(evaporating + superheat),
            "suction_line_at_outdoor_unit": steps(evaporating + superheat + 2.0),
            "liquid_line": steps(condensing - subcooling),
        },
    }  # fmt: skip
