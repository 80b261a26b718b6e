"""The standard uncertainty of a named error with its unit, as far as the error's identity tells its quantity."""

from __future__ import annotations

from math import isfinite

from airside.instruments import defaults
from airside.instruments.named_error import NamedError
from airside.units import UnitSystem
from airside.visit.airflow_errors import AIRFLOW_QUANTITY
from airside.visit.reading_errors import size_text

# Quantities whose errors are parts of the reading, as `airside.visit.doubts` makes them.
_RELATIVE = {"power": "reading", "barometric_pressure": "pressure"}
_HUMIDITIES = ("relative_humidity", "wet_bulb", "dew_point")


def error_text(error: NamedError, units: UnitSystem) -> str:
    """Standard uncertainty of an error with its unit; empty where its quantity is not known."""
    # What counts is the deviation of the draws; a few readings have tails so long that it has none.
    size = error.standard_deviation if isfinite(error.standard_deviation) else error.standard_uncertainty
    if error.kind == "method":
        return _part(size, "flow") if "airflow" in error.name else _part(size, "itself")
    if error.kind == "curve":
        return _part(size, "itself")
    if error.key.endswith("/pressure"):
        return _part(size, "pressure")
    quantity = _quantity(error)
    if quantity == "volume_flow":
        return _part(size, "flow")
    if quantity in _RELATIVE:
        return _part(size, _RELATIVE[quantity])
    return size_text(size, quantity, units) if quantity else ""


def _part(size: float, of: str) -> str:
    return f"{100 * size:.2g} % of {of}"


def _quantity(error: NamedError) -> str:
    """Name of an instrument's quantity as in `defaults.ACCURACY_CLASSES`; empty where it cannot be told."""
    if error.kind == "placement":
        return "dry_bulb"
    parts = error.key.split("/")
    if error.kind in ("resolution", "repeatability") and len(parts) > 1:
        return _of_entry(parts[-2], error)
    if error.kind == "side by side":
        parts = [error.name.rpartition(", ")[2].replace(" ", "_")]
    # An instrument may bear the name of a quantity; the quantity comes after it.
    return next((p for p in reversed(parts) if p in defaults.ACCURACY_CLASSES), "")


def _of_entry(entry: str, error: NamedError) -> str:
    """Quantity of an input of the visit, such as "supply.humidity"."""
    place, _, name = entry.rpartition(".")
    if name == "humidity":
        return next((q for q in _HUMIDITIES if q.replace("_", " ") in error.name), "")
    if place == "refrigerant":
        return (
            "refrigerant_pressure" if name.endswith("pressure") else "" if name == "mass_flow" else "line_temperature"
        )
    if place == "airflow":
        quantity = AIRFLOW_QUANTITY.get(name, "")
        # The others are a part of the flow with one instrument and in their unit with another; the key does not tell.
        known = quantity in ("duct_pressure", "velocity") or name == "volume_flow"
        return quantity if known else ""
    return name if name in defaults.ACCURACY_CLASSES else ""
