"""The named errors of a visit: what each reading is worth, and which errors two visits share.

`visit_errors` lists them and says where each enters; `airside.visit.perturbation` shifts the inputs by their draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import numpy as np

from airside.airflow import Airflow
from airside.instruments import defaults
from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.instruments.named_error import NamedError
from airside.units import percent
from airside.visit.airflow_errors import add_airflow
from airside.visit.inputs import PLACES, VisitInputs, corrections, readings_at, refrigerant_means
from airside.visit.reading_errors import (
    VisitErrors,
    add_placement,
    add_reading,
    calibration_errors,
    repeatability_error,
    statement_of,
    visit_identity,
)
from airside.visit.schema import Visit


def visit_errors(visit: Visit, airflow: Airflow, inputs: VisitInputs) -> VisitErrors:
    """Every named error of a visit.

    Parameters
    ----------
    visit : Visit
    airflow : Airflow
        At the readings; gives the method's own uncertainty.
    inputs : VisitInputs
        At the readings.
    """
    logged = visit.stretch.standard_errors if visit.stretch is not None else {}
    found = VisitErrors(units=visit.units, logged=logged)
    own = visit_identity(visit)
    check = corrections(visit)
    for place in PLACES:
        readings = readings_at(visit, place)
        name = readings.humidity_name
        assert name is not None
        for quantity, at in zip(("dry_bulb", name), inputs.air[place], strict=True):
            values = getattr(readings, quantity)
            entry = f"{place}.{'dry_bulb' if quantity == 'dry_bulb' else 'humidity'}"
            add_reading(found, visit, own, entry, f"{place} {quantity.replace('_', ' ')}", quantity,
                     readings.instrument, values, float(cast(float, at)), check)  # fmt: skip
        add_placement(found, visit, own, place, readings.placement)
    outdoor = visit.readings.outdoor
    if outdoor is not None:
        add_reading(found, visit, own, "outdoor.dry_bulb", "outdoor dry bulb", "dry_bulb", outdoor.instrument,
                 outdoor.dry_bulb, float(np.mean(outdoor.dry_bulb)), None)  # fmt: skip
        add_placement(found, visit, own, "outdoor", outdoor.placement)
    _pressure(found, visit, own)
    _powers(found, visit, own)
    _refrigerant(found, visit, own)
    add_airflow(found, visit, own, airflow)
    found.settle()
    return found


def _pressure(found: VisitErrors, visit: Visit, own: str) -> None:
    pressure = visit.site.barometric_pressure
    if pressure is None:
        found.add("pressure", NamedError(
            "barometric pressure, weather", f"{own}/pressure", "pressure", defaults.WEATHER_PRESSURE
        ))  # fmt: skip
        return
    statement, new = (Statement(defaults.ACCURACY_CLASSES["barometric_pressure"].accuracy),
                      defaults.NEW_EACH_VISIT["barometric_pressure"].share)  # fmt: skip
    who = visit.site.instrument
    if who is not None:
        statement, new = statement_of(found, visit, "barometric_pressure", who, "site")
    u = statement.standard_uncertainty(pressure) / pressure
    for error in calibration_errors(who or "barometer", who or f"{own}/barometer", own, "barometric_pressure",
                              "barometric pressure", u, new, statement.shape):  # fmt: skip
        found.add("pressure", error)


def _powers(found: VisitErrors, visit: Visit, own: str) -> None:
    """Relative errors of the fan's and the system's power."""
    sources: list[tuple[str, str | None, Sequence[float]]] = []
    if visit.fan is not None:
        sources.append(("fan.power", visit.fan.instrument, visit.fan.power))
    powers = visit.readings.power
    if powers is not None:
        if visit.fan is None and powers.indoor_unit is not None:
            sources.append(("fan.power", powers.instrument, powers.indoor_unit))
        values = powers.total if powers.total is not None else powers.outdoor_unit
        assert values is not None
        sources.append(("power", powers.instrument, values))
    for entry, who, values in sources:
        at = float(np.mean(values))
        if at <= 0:
            continue
        if who is None:
            kind = defaults.ACCURACY_CLASSES["power"]
            statement, new = Statement(kind.accuracy, kind.of_reading), defaults.NEW_EACH_VISIT["power"].share
            found.note(f"Power is taken to be read within {percent(kind.of_reading, 0)} ({kind.source}).")
        else:
            statement, new = statement_of(found, visit, "power", who, entry)
        u = statement.standard_uncertainty(at) / at
        for error in calibration_errors(who or "power meter", who or f"{own}/{entry}", own, "power", "power", u, new,
                                  statement.shape):  # fmt: skip
            found.add(entry, error)
        label = entry.replace(".", " ")
        scatter = float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
        found.add(entry, NamedError(
            f"{label}, resolution", f"{own}/{entry}/resolution", "resolution",
            resolution_uncertainty(statement.resolution, scatter, len(values)) / at, "rectangular",
        ))  # fmt: skip
        error = repeatability_error(found, own, entry, label, "power", values)
        found.add(entry, replace(error, standard_uncertainty=error.standard_uncertainty / at))


def _refrigerant(found: VisitErrors, visit: Visit, own: str) -> None:
    """Gauges, clamps and flow meter of the refrigerant side."""
    readings = visit.readings.refrigerant
    if readings is None:
        return
    for name, at in refrigerant_means(visit).items():
        values = getattr(readings, name)
        label = f"refrigerant {name.replace('_', ' ')}"
        if name == "mass_flow":
            # 2 % of reading, common practice, no source; a flow meter is rare in the field.
            found.add(f"refrigerant.{name}", NamedError(f"{label}, calibration", f"{own}/refrigerant/{name}", "calibration",
                                                        0.02 * abs(float(np.asarray(at)))))  # fmt: skip
            continue
        is_pressure = name.endswith("pressure")
        quantity = "refrigerant_pressure" if is_pressure else "line_temperature"
        who = readings.instrument if is_pressure else (readings.line_instrument or readings.instrument)
        if who is not None and getattr(visit.instruments[who], quantity, None) is None and not is_pressure:
            who = None if readings.line_instrument is None else who
        add_reading(found, visit, own, f"refrigerant.{name}", label, quantity, who, values, float(np.asarray(at)), None)
