"""What is assumed of instruments when the visit does not say: one table each, with the source beside it.

All figures are SI: K, fractions of RH, Pa, m/s, m³/s, W.
"""

from __future__ import annotations

from dataclasses import dataclass

_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class AccuracyClass:
    """An accuracy statement taken for an instrument that has none: half-width [SI], part of reading, source."""

    accuracy: float
    of_reading: float
    source: str


# Limits of a decent field instrument, where the data sheet is not given.
ACCURACY_CLASSES: dict[str, AccuracyClass] = {
    "dry_bulb": AccuracyClass(0.5, 0.0, _PRACTICE),
    "wet_bulb": AccuracyClass(0.7, 0.0, _PRACTICE),
    "dew_point": AccuracyClass(1.0, 0.0, _PRACTICE),
    "relative_humidity": AccuracyClass(0.03, 0.0, _PRACTICE),
    "temperature_rise": AccuracyClass(0.7, 0.0, _PRACTICE),
    "duct_pressure": AccuracyClass(2.5, 0.01, _PRACTICE),
    "velocity": AccuracyClass(0.1, 0.03, _PRACTICE),
    "volume_flow": AccuracyClass(0.0, 0.05, _PRACTICE),
    "power": AccuracyClass(0.0, 0.02, _PRACTICE),
    "barometric_pressure": AccuracyClass(300.0, 0.0, _PRACTICE),
    "refrigerant_pressure": AccuracyClass(7000.0, 0.01, _PRACTICE),
    "line_temperature": AccuracyClass(1.0, 0.0, f"{_PRACTICE}; clamp on a clean pipe, insulated"),
}


@dataclass(frozen=True)
class NewShare:
    """Part of an accuracy's variance that comes anew with each visit, and where the figure comes from."""

    share: float
    source: str


_LABORATORY = (
    "from one-minute readings of one unchanged heat pump on six laboratory days (NIST facility, US DOE EE-0009153)"
)
# How much of an accuracy statement does not repeat from one visit to the next. In that laboratory the dry-bulb pair
# repeated to a third of its stated uncertainty, the dew-point pair not at all, the flow station to half.
NEW_EACH_VISIT: dict[str, NewShare] = {
    "dry_bulb": NewShare(0.10, _LABORATORY),
    "dew_point": NewShare(1.00, _LABORATORY),
    "volume_flow": NewShare(0.25, _LABORATORY),
    "wet_bulb": NewShare(0.50, f"{_PRACTICE}; the wick and its water are new each time"),
    "relative_humidity": NewShare(0.50, f"{_PRACTICE}; drift and hysteresis of the sensor"),
    "temperature_rise": NewShare(0.25, _PRACTICE),
    "duct_pressure": NewShare(0.25, _PRACTICE),
    "velocity": NewShare(0.25, _PRACTICE),
    "power": NewShare(0.10, _PRACTICE),
    "barometric_pressure": NewShare(0.25, _PRACTICE),
    "refrigerant_pressure": NewShare(0.25, _PRACTICE),
    "line_temperature": NewShare(0.50, f"{_PRACTICE}; the clamp sits anew each time"),
}

# Probe in a stream that is not quite mixed: standard uncertainty of its dry bulb [K]; common practice, no source.
PLACEMENT = {"return": 0.1, "supply": 0.3, "outdoor": 0.5}

# Scatter of readings (one standard deviation) taken where a visit has too few to show its own; common practice,
# no source.
SCATTER: dict[str, float] = {
    "dry_bulb": 0.2, "wet_bulb": 0.2, "dew_point": 0.4, "relative_humidity": 0.010, "temperature_rise": 0.3,
    "duct_pressure": 3.0, "velocity": 0.1, "volume_flow": 0.01, "power": 20.0, "barometric_pressure": 20.0, "refrigerant_pressure": 7000.0, "line_temperature": 0.4,
}  # fmt: skip
# Readings that a visit needs before its own scatter is used (JCGM 101:2008 6.4.9 needs more than three).
ENOUGH_READINGS = 4

# Weather about the standard atmosphere of an elevation, relative standard uncertainty; common practice, no source.
WEATHER_PRESSURE = 0.008

# Side-by-side check: part of each probe's own standard uncertainty that stays, because the check is made at one
# condition and the probes are used at another; common practice, no source.
SIDE_BY_SIDE_REMAINS = 0.25

# Airflow methods: part of the method's variance that is new with each visit, and part that belongs to the settings
# (speed, coil, filter); the rest belongs to the method with its table or instrument. Common practice, no source, but
# for "measured", whose part is from the laboratory above.
METHOD_SHARES: dict[str, tuple[float, float]] = {
    "fan table": (0.10, 0.40),
    "measured": (0.25, 0.25),
    "traverse": (0.40, 0.30),
    "temperature rise": (0.25, 0.25),
    "pressure match": (0.25, 0.25),
    "coil pressure drop": (0.10, 0.40),
    "rule of thumb": (0.10, 0.40),
}
