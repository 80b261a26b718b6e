"""The named errors of a visit: what each reading is worth, and which errors two visits share.

`visit_errors` lists them and says where each enters; `perturbed` shifts the inputs by their draws.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import numpy as np

from airside.air.blocks import Array, Number
from airside.airflow import Airflow
from airside.instruments import defaults
from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.instruments.named_error import Kind, NamedError, Shape, unique
from airside.instruments.steadiness import degrees_of_freedom, standard_error
from airside.units import percent, show_difference
from airside.visit.inputs import PLACES, Corrections, VisitInputs, corrections, readings_at, refrigerant_means
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Accuracy, Traverse, Visit

# Quantity of an instrument for each reading of the airflow table.
_AIRFLOW_QUANTITY = {
    "external_static_pressure": "duct_pressure", "normal_static_pressure": "duct_pressure",
    "device_static_pressure": "duct_pressure", "pressure_drop": "duct_pressure", "velocity_pressure": "duct_pressure",
    "velocity": "velocity", "volume_flow": "volume_flow", "device_flow": "volume_flow",
    "temperature_rise": "temperature_rise", "heat_input": "power", "fuel_input": "power",
}  # fmt: skip

# Methods whose own error is that of the device.
_BY_DEVICE = ("measured", "pressure match")


@dataclass
class VisitErrors:
    """Named errors of one visit and where they enter.

    Attributes
    ----------
    errors : list of NamedError
        One a key.
    uses : dict of str to list of (key, size)
        For each input: the errors that shift it, and by how much for one standard uncertainty.
    sizes : dict of str to float
        Standard uncertainty of each key's draws; one error may be larger at one reading than at another.
    warnings : list of VisitWarning
    assumptions : list of str
    """

    errors: list[NamedError] = field(default_factory=list)
    uses: dict[str, list[tuple[str, float]]] = field(default_factory=dict)
    sizes: dict[str, float] = field(default_factory=dict)
    warnings: list[VisitWarning] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)

    def add(self, entry: str, error: NamedError, factor: float = 1.0) -> None:
        """Let an error shift an input; nothing where it has no size."""
        if error.standard_uncertainty <= 0 or factor == 0:
            return
        self.errors.append(error)
        self.uses.setdefault(entry, []).append((error.key, factor * error.standard_uncertainty))

    def settle(self, errors: Sequence[NamedError] | None = None) -> None:
        """Keep each key once, with the sizes of its draws; for a pair of visits, with those of the pair."""
        pair = {e.key: e for e in errors or ()}
        # An error of reading is larger at one visit than at the other: one draw serves both, scaled for each.
        self.errors = [pair.get(e.key, e) for e in unique(self.errors)]
        self.sizes = {e.key: e.standard_uncertainty for e in self.errors}

    def note(self, sentence: str) -> None:
        """Keep an assumption once."""
        if sentence not in self.assumptions:
            self.assumptions.append(sentence)

    def warn(self, code: str, sentence: str) -> None:
        """Keep a warning once."""
        warning = VisitWarning(code, sentence)
        if warning not in self.warnings:
            self.warnings.append(warning)


def visit_identity(visit: Visit) -> str:
    """A short text that differs between two visits, for errors that come anew with each."""
    content = repr(visit.model_dump(mode="json", exclude={"path", "units"}))
    return hashlib.sha256(content.encode()).hexdigest()[:12]


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
    found = VisitErrors()
    own = visit_identity(visit)
    check = corrections(visit)
    for place in PLACES:
        readings = readings_at(visit, place)
        name = readings.humidity_name
        assert name is not None
        for quantity, at in zip(("dry_bulb", name), inputs.air[place], strict=True):
            values = getattr(readings, quantity)
            entry = f"{place}.{'dry_bulb' if quantity == 'dry_bulb' else 'humidity'}"
            _reading(found, visit, own, entry, f"{place} {quantity.replace('_', ' ')}", quantity,
                     readings.instrument, values, float(cast(float, at)), check)  # fmt: skip
        _placement(found, own, place, readings.placement)
    outdoor = visit.readings.outdoor
    if outdoor is not None:
        _reading(found, visit, own, "outdoor.dry_bulb", "outdoor dry bulb", "dry_bulb", outdoor.instrument,
                 outdoor.dry_bulb, float(np.mean(outdoor.dry_bulb)), None)  # fmt: skip
        _placement(found, own, "outdoor", outdoor.placement)
    _pressure(found, visit, own)
    _powers(found, visit, own)
    _refrigerant(found, visit, own)
    _airflow(found, visit, own, airflow)
    found.settle()
    return found


def _statement(
    found: VisitErrors, visit: Visit, quantity: str, instrument: str | None, label: str
) -> tuple[Statement, float]:
    """Accuracy of an instrument's quantity, and the part of its variance that is new with each visit."""
    stated: Accuracy | None = None
    if instrument is not None:
        stated = getattr(visit.instruments[instrument], quantity, None)
    share = defaults.NEW_EACH_VISIT[quantity]
    words = quantity.replace("_", " ")
    if stated is None:
        kind = defaults.ACCURACY_CLASSES[quantity]
        who = f'instrument "{instrument}" has no accuracy for {words}' if instrument else f"{label} names no instrument"
        found.warn(
            "default_accuracy",
            f"{who[0].upper()}{who[1:]}; a default class is taken ({_class_text(quantity, visit)}). "
            + ("State the data sheet's accuracy." if instrument else
               "Name the instrument, so that what it shares with another visit cancels."),
        )  # fmt: skip
        found.note(f"Default accuracy class for {words}: {kind.source}.")
        return Statement(kind.accuracy, kind.of_reading), share.share
    new = stated.new_each_visit
    if new is None:
        new = share.share
        found.note(
            f"Of the variance of {words} accuracy, {percent(new, 0)} comes anew with each visit ({share.source})."
        )
    return stated.statement(), new


def _class_text(quantity: str, visit: Visit) -> str:
    kind = defaults.ACCURACY_CLASSES[quantity]
    parts = []
    if kind.accuracy:
        name = {"dry_bulb": "temperature", "wet_bulb": "temperature", "dew_point": "temperature",
                "temperature_rise": "temperature_difference"}.get(quantity, quantity)  # fmt: skip
        parts.append(f"± {show_difference(kind.accuracy, name, visit.units)}")
    if kind.of_reading:
        parts.append(f"± {percent(kind.of_reading, 0)} of reading")
    return " and ".join(parts) + " as a limit"


def _reading(
    found: VisitErrors,
    visit: Visit,
    own: str,
    entry: str,
    label: str,
    quantity: str,
    instrument: str | None,
    values: Sequence[float],
    at: float,
    check: Corrections | None,
) -> None:
    """Calibration, drift, resolution and repeatability of one list of readings."""
    statement, new = _statement(found, visit, quantity, instrument, label)
    words = quantity.replace("_", " ")
    # Without a name nobody can say that it was the same instrument: nothing is shared.
    who, identity = (instrument, instrument) if instrument else (f"unnamed at {label}", f"{own}/{entry}")
    u, shape = statement.standard_uncertainty(at), statement.shape
    corrected = check is not None and check.is_applied and quantity in check.offsets and instrument in check.instruments
    if corrected:
        assert check is not None
        _checked(found, visit, own, entry, quantity, at, check, str(instrument))
    else:
        for error in _calibration(str(who), identity, own, quantity, words, u, new, shape):
            found.add(entry, error)
    count, scatter = len(values), float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
    found.add(entry, NamedError(
        f"{label}, resolution", f"{own}/{entry}/resolution", "resolution",
        resolution_uncertainty(statement.resolution, scatter, count), "rectangular",
    ))  # fmt: skip
    found.add(entry, _repeatability(found, own, entry, label, quantity, values))


def _calibration(
    who: str, identity: str, own: str, quantity: str, words: str, u: float, new: float, shape: Shape
) -> list[NamedError]:
    return [
        NamedError(f"{who} {words}, calibration", f"instrument/{identity}/{quantity}", "calibration",
                   u * math.sqrt(1 - new), shape),
        NamedError(f"{who} {words}, new at this visit", f"{own}/instrument/{identity}/{quantity}", "drift",
                   u * math.sqrt(new), shape),
    ]  # fmt: skip


def _checked(
    found: VisitErrors, visit: Visit, own: str, entry: str, quantity: str, at: float, check: Corrections, me: str
) -> None:
    """After a side-by-side correction: the common error of both probes, the check's doubt, what remains."""
    words = quantity.replace("_", " ")
    remains = visit.side_by_side.remains if visit.side_by_side is not None else None
    if remains is None:
        remains = defaults.SIDE_BY_SIDE_REMAINS
        found.note(
            f"After the side-by-side check {percent(remains, 0)} of each probe's own standard uncertainty stays, because the "
            "check is made at one condition and used at another (common practice, no source)."
        )
    for who in check.instruments:
        statement, new = _statement(found, visit, quantity, who, who)
        u = statement.standard_uncertainty(at)
        for error in _calibration(who, who, own, quantity, words, u, new, statement.shape):
            # Halfway between both probes: half of each one's error is in both readings.
            found.add(entry, error, 0.5)
        if who == me:
            found.add(entry, NamedError(
                f"{who} {words}, beyond the side-by-side check", f"instrument/{who}/{quantity}/beyond check",
                "calibration", u * remains, statement.shape,
            ))  # fmt: skip
    doubt = check.offsets[quantity]
    allowed = sum(_statement(found, visit, quantity, n, n)[0].half_width(at) for n in check.instruments)
    if abs(doubt.offset) > 1.5 * allowed and not any(w.code == "probes_disagree" for w in found.warnings):
        kind = "relative_humidity" if quantity == "relative_humidity" else "temperature"
        found.warnings.append(VisitWarning(
            "probes_disagree",
            f"side_by_side: {check.instruments[1]} reads {show_difference(doubt.offset, kind, visit.units)} from "
            f"{check.instruments[0]} in {words}, more than their accuracies allow together "
            f"({show_difference(allowed, kind, visit.units)}). One of them may be faulty; the correction does not mend that.",
        ))  # fmt: skip
    mark = hashlib.sha256(repr((check.instruments, quantity, doubt)).encode()).hexdigest()[:12]
    sign = 0.5 if me == check.instruments[0] else -0.5
    found.add(entry, NamedError(
        f"side-by-side check, {words}", f"side by side/{mark}", "side by side", doubt.standard_uncertainty
    ), sign)  # fmt: skip


def _repeatability(
    found: VisitErrors, own: str, entry: str, label: str, quantity: str, values: Sequence[float]
) -> NamedError:
    name, key, count = f"{label}, repeatability", f"{own}/{entry}/repeatability", len(values)
    if count >= defaults.ENOUGH_READINGS:
        return NamedError(name, key, "repeatability", standard_error(values), "student", degrees_of_freedom(count))
    scatter = float(np.std(values, ddof=1)) if count > 1 else 0.0
    usual = defaults.SCATTER[quantity]
    readings = f"{count} readings have" if count > 1 else "a single reading has"
    found.note(
        f"{label[0].upper()}{label[1:]}: {readings} no scatter to go by; a usual scatter is taken in its place "
        "(common practice, no source)."
    )
    return NamedError(name, key, "repeatability", max(scatter, usual) / math.sqrt(count))


def _placement(found: VisitErrors, own: str, place: str, stated: float | None) -> None:
    size = defaults.PLACEMENT[place] if stated is None else stated
    if stated is None:
        found.note(
            "Probes sit in streams that are not quite mixed: default doubts of dry bulb at return, supply and outdoors "
            "(common practice, no source)."
        )
    found.add(f"{place}.dry_bulb", NamedError(
        f"{place} dry bulb, placement", f"{own}/{place}/placement", "placement", size
    ))  # fmt: skip


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
        statement, new = _statement(found, visit, "barometric_pressure", who, "site")
    u = statement.standard_uncertainty(pressure) / pressure
    for error in _calibration(who or "barometer", who or f"{own}/barometer", own, "barometric_pressure",
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
            statement, new = _statement(found, visit, "power", who, entry)
        u = statement.standard_uncertainty(at) / at
        for error in _calibration(who or "power meter", who or f"{own}/{entry}", own, "power", "power", u, new,
                                  statement.shape):  # fmt: skip
            found.add(entry, error)
        label = entry.replace(".", " ")
        scatter = float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
        found.add(entry, NamedError(
            f"{label}, resolution", f"{own}/{entry}/resolution", "resolution",
            resolution_uncertainty(statement.resolution, scatter, len(values)) / at, "rectangular",
        ))  # fmt: skip
        error = _repeatability(found, own, entry, label, "power", values)
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
            found.add(f"refrigerant.{name}", NamedError(f"{label}, calibration", f"refrigerant/{name}", "calibration",
                                                        0.02 * abs(float(np.asarray(at)))))  # fmt: skip
            continue
        is_pressure = name.endswith("pressure")
        quantity = "refrigerant_pressure" if is_pressure else "line_temperature"
        who = readings.instrument if is_pressure else (readings.line_instrument or readings.instrument)
        if who is not None and getattr(visit.instruments[who], quantity, None) is None and not is_pressure:
            who = None if readings.line_instrument is None else who
        _reading(found, visit, own, f"refrigerant.{name}", label, quantity, who, values, float(np.asarray(at)), None)


def _airflow(found: VisitErrors, visit: Visit, own: str, airflow: Airflow) -> None:
    evidence: Any = visit.airflow
    who = evidence.instrument
    if who is not None:
        for name, quantity in _AIRFLOW_QUANTITY.items():
            values = getattr(evidence, name, None)
            if values is None:
                continue
            at = float(np.mean(values))
            if evidence.method == "measured":
                # The instrument's own statement is in the method's part already.
                _scatter(found, own, name, values, at)
            else:
                traversed = isinstance(evidence, Traverse)
                # Velocities differ from point to point because the profile does: that scatter is in the method's part.
                _reading(found, visit, own, f"airflow.{name}", f"airflow {name.replace('_', ' ')}", quantity, who,
                         (at,) * defaults.ENOUGH_READINGS if traversed else values, at, None)  # fmt: skip
    else:
        for name in _AIRFLOW_QUANTITY:
            values = getattr(evidence, name, None)
            if values is not None and not isinstance(evidence, Traverse) and name != "flow_per_capacity":
                quantity = _AIRFLOW_QUANTITY[name]
                if quantity == "duct_pressure":
                    _reading(found, visit, own, f"airflow.{name}", f"airflow {name.replace('_', ' ')}", quantity, None,
                             values, float(np.mean(values)), None)  # fmt: skip
                else:
                    _scatter(found, own, name, values, float(np.mean(values)))
    _method(found, visit, own, airflow.relative_standard_uncertainty)


def _scatter(found: VisitErrors, own: str, name: str, values: Sequence[float], at: float) -> None:
    """Repeatability of a flow-like reading, relative, into the flow factor."""
    if len(values) >= defaults.ENOUGH_READINGS and at != 0:
        relative = standard_error(values) / abs(at)
        found.add("airflow.factor", NamedError(
            f"airflow {name.replace('_', ' ')}, repeatability", f"{own}/airflow.{name}/repeatability", "repeatability",
            relative, "student", degrees_of_freedom(len(values)),
        ))  # fmt: skip
    elif len(values) < defaults.ENOUGH_READINGS:
        readings = f"{len(values)} readings have" if len(values) > 1 else "a single reading has"
        found.note(
            f"Airflow {name.replace('_', ' ')}: {readings} no scatter to go by; it is taken to be in the method's own "
            "uncertainty (common practice, no source)."
        )


def _method(found: VisitErrors, visit: Visit, own: str, u: float) -> None:
    """The method's own error, in three parts: with the method, with its settings, anew with each visit."""
    evidence: Any = visit.airflow
    new, settings = defaults.METHOD_SHARES[evidence.method]
    means = [evidence.method, visit.system.name or "", getattr(evidence, "table", ""), evidence.instrument or ""]
    if evidence.method in _BY_DEVICE and evidence.instrument is None:
        # Without a name nobody can say that it was the same device.
        means.append(own)
        found.note("The airflow's instrument has no name, so nothing of its error is shared with another visit.")
    setting = [
        *means, getattr(evidence, "speed", ""), getattr(evidence, "coil", ""), getattr(evidence, "shape", ""),
        repr([getattr(evidence, n, None) for n in ("width", "height", "diameter", "flow_per_capacity")]),
        visit.system.coil or "", visit.system.filter or "", evidence.at or "",
    ]  # fmt: skip
    parts: list[tuple[str, str, Kind, float]] = [
        (f"airflow by {evidence.method}", "airflow/" + "/".join(means), "method", 1 - new - settings),
        (
            f"airflow by {evidence.method}, at these settings",
            "airflow settings/" + "/".join(setting),
            "method",
            settings,
        ),
        (f"airflow by {evidence.method}, this visit", f"{own}/airflow", "method", new),
    ]
    for name, key, kind, share in parts:
        found.add("airflow.factor", NamedError(name, key, kind, u * math.sqrt(max(share, 0.0))))
    found.note(
        f"Of the variance of the airflow method's own error, {percent(new, 0)} comes anew with each visit and {percent(settings, 0)} "
        "with a change of speed, coil or filter; the rest is shared by visits of one method, table and instrument "
        "(common practice, no source)."
    )


def shifts_of(
    errors: VisitErrors, draws: Mapping[str, Number], entries: Iterable[str] | None = None
) -> dict[str, Number]:
    """Sum of all errors that shift each input; an error that is not among the draws is zero.

    Parameters
    ----------
    errors : VisitErrors
    draws : mapping of key to float or array
    entries : iterable of str, optional
        The inputs that are asked for; default all.
    """
    found: dict[str, Number] = {}
    for entry in errors.uses if entries is None else entries:
        total: Number = 0.0
        for key, size in errors.uses[entry]:
            if key in draws:
                total = total + size / errors.sizes[key] * draws[key]
        found[entry] = total
    return found


def perturbed(inputs: VisitInputs, shifts: Mapping[str, Number], base: VisitInputs | None = None) -> VisitInputs:
    """Inputs shifted by errors.

    Parameters
    ----------
    inputs : VisitInputs
        At the readings.
    shifts : mapping of entry to float or array
        From `shifts_of`.
    base : VisitInputs, optional
        Inputs for every entry that is not among the shifts; default ``inputs``.
    """
    base = inputs if base is None else base
    air = dict(base.air)
    for place, at in inputs.air.items():
        names = (f"{place}.dry_bulb", f"{place}.humidity")
        if names[0] in shifts or names[1] in shifts:
            moved = [v + shifts[n] if n in shifts else b for v, b, n in zip(at, base.air[place], names, strict=True)]
            air[place] = (moved[0], moved[1])
    readings = dict(base.airflow.readings)
    for name, value in inputs.airflow.readings.items():
        if f"airflow.{name}" in shifts:
            readings[name] = _moved_reading(name, value, shifts[f"airflow.{name}"])
    same_air = all(readings[n] is base.airflow.readings[n] for n in readings)
    changed: dict[str, Any] = {}
    if "pressure" in shifts:
        changed["pressure"] = inputs.pressure * (1 + shifts["pressure"])
    if "airflow.factor" in shifts:
        # The relative error acts on the logarithm, so that no draw turns the flow round.
        factor = np.exp(shifts["airflow.factor"])
        changed["flow_factor"] = float(factor) if np.ndim(factor) == 0 else factor
    if "fan.power" in shifts and inputs.fan_power is not None:
        changed["fan_power"] = inputs.fan_power * (1 + shifts["fan.power"])
    if "outdoor.dry_bulb" in shifts and inputs.outdoor_dry_bulb is not None:
        changed["outdoor_dry_bulb"] = inputs.outdoor_dry_bulb + shifts["outdoor.dry_bulb"]
    if "power" in shifts and inputs.power is not None:
        changed["power"] = inputs.power * (1 + shifts["power"])
    if "power" in shifts and inputs.outdoor_unit_power is not None:
        changed["outdoor_unit_power"] = inputs.outdoor_unit_power * (1 + shifts["power"])
    moved_lines = {
        n: v + shifts[f"refrigerant.{n}"] for n, v in inputs.refrigerant.items() if f"refrigerant.{n}" in shifts
    }
    if moved_lines:
        changed["refrigerant"] = {**base.refrigerant, **moved_lines}
    if not same_air:
        changed["airflow"] = replace(inputs.airflow, readings=readings)
    return replace(base, air=air, **changed)


def _moved_reading(name: str, value: Number, moved: Number) -> Number:
    """An airflow reading with its error; a traverse has one error for all its points."""
    if not np.ndim(value):
        return value + moved
    if name != "velocity_pressure":
        # Velocities are averaged anyway: the mean alone keeps the draws small.
        mean: Array = (float(np.mean(value)) + np.asarray(moved))[..., np.newaxis]
        return mean
    points: Array = np.maximum(np.asarray(value) + np.asarray(moved)[..., np.newaxis], 0.0)
    return points
