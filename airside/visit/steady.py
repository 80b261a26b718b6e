"""Was the visit steady? Ranges against the tolerance set, trends, and how far the capacity was moving."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from airside.air.blocks import Array, Number
from airside.instruments.steadiness import Trend, beyond_tolerance, trend
from airside.units import percent, show_difference
from airside.visit.inputs import PLACES, VisitInputs, measure, readings_at
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit

# Change of capacity over the readings that is worth a sentence (common practice, no source).
MOVING = 0.02


def capacity_series(visit: Visit, inputs: VisitInputs) -> Array | None:
    """Total capacity at each reading [W], with the mean airflow; None where the places have unequal counts."""
    counts = {len(readings_at(visit, place).dry_bulb) for place in PLACES}
    if len(counts) != 1 or counts == {1}:
        return None
    air: dict[str, tuple[Number, Number]] = {}
    for place in PLACES:
        readings = readings_at(visit, place)
        name = readings.humidity_name
        assert name is not None
        columns = [np.asarray(getattr(readings, n)) for n in ("dry_bulb", name)]
        # A side-by-side correction shifts each reading as it shifts the mean.
        shifts = [at - float(c.mean()) for at, c in zip(inputs.air[place], columns, strict=True)]
        air[place] = (columns[0] + shifts[0], columns[1] + shifts[1])
    moved = measure(visit, replace(inputs, air=air), outside="extend", impossible="nan")
    return np.asarray(moved.capacity.total)


def capacity_trend(visit: Visit, inputs: VisitInputs) -> Trend | None:
    """How far the total capacity moved along its trend from the first reading to the last [W]."""
    series = capacity_series(visit, inputs)
    return None if series is None or not np.isfinite(series).all() else trend(series.tolist())


def unsteady_readings(visit: Visit, inputs: VisitInputs) -> list[VisitWarning]:
    """Warnings about readings that ranged too wide or a capacity that was still moving."""
    chosen = visit.readings.tolerances
    columns: list[tuple[str, str, tuple[float, ...]]] = []
    for place in PLACES:
        readings = readings_at(visit, place)
        name = readings.humidity_name
        assert name is not None
        columns += [(f"{place} {n.replace('_', ' ')}", n, getattr(readings, n)) for n in ("dry_bulb", name)]
    if visit.readings.outdoor is not None:
        columns.append(("outdoor dry bulb", "outdoor", visit.readings.outdoor.dry_bulb))
    warnings = []
    for found in beyond_tolerance(columns, chosen):
        kind = "relative_humidity" if "humidity" in found.quantity else "temperature"
        spread, limit = (show_difference(v, kind, visit.units) for v in (found.range, found.tolerance))
        warnings.append(VisitWarning(
            "unsteady",
            f"The {found.quantity} ranged over {spread}; the {chosen} tolerance is {limit}. The system was not steady.",
        ))  # fmt: skip
    moved = capacity_trend(visit, inputs)
    mean = float(measure(visit, inputs, impossible="nan").capacity.total)
    if moved is not None and moved.is_significant and mean and abs(moved.change / mean) > MOVING:
        warnings.append(VisitWarning(
            "drifting",
            f"The capacity was still moving: {percent(moved.change / mean, 1, sign=True)} along its trend from the first reading to the last. "
            "Let the system run longer before it counts.",
        ))  # fmt: skip
    return warnings
