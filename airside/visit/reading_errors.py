"""The errors of one list of readings: calibration, resolution, repeatability, placement, side-by-side check."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from airside.instruments import defaults
from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.instruments.named_error import NamedError, Shape, unique
from airside.instruments.steadiness import degrees_of_freedom, standard_error
from airside.units import KINDS, UnitSystem, difference_from_inside, percent, show_difference
from airside.visit.accuracy_schema import Accuracy
from airside.visit.inputs import PLACES, Corrections, readings_at
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit


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
    units : "IP" or "SI"
        For the sentences.
    logged : mapping of str to (float, float)
        Standard error and degrees of freedom of the readings of an input that is logged; empty for a typed visit.
    """

    errors: list[NamedError] = field(default_factory=list)
    uses: dict[str, list[tuple[str, float]]] = field(default_factory=dict)
    sizes: dict[str, float] = field(default_factory=dict)
    warnings: list[VisitWarning] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)
    units: UnitSystem = "SI"
    logged: Mapping[str, tuple[float, float]] = field(default_factory=dict)

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


# What is written about a visit, and is no part of what was measured: filling it in later moves no draw.
_PAPERWORK: Any = {
    **dict.fromkeys(
        ("path", "units", "file_units", "stretch", "panel", "customer", "work", "measured_by", "notes"), True
    ),
    "site": {"name": True, "address": True},
}


def visit_identity(visit: Visit) -> str:
    """A short text that differs between two visits, for errors that come anew with each."""
    content = visit.model_dump(mode="json", exclude=_PAPERWORK, exclude_defaults=True)
    return hashlib.sha256(repr(_rounded(content)).encode()).hexdigest()[:12]


def _rounded(value: Any) -> Any:
    """Content without the rounding of a change of units, and tables without their folder."""
    if isinstance(value, float):
        return f"{value:.7g}"
    if isinstance(value, dict):
        return {k: Path(str(v)).name if k.endswith("table") else _rounded(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(v) for v in value]
    return value


def statement_of(
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
                "temperature_rise": "temperature_difference", "line_temperature": "temperature"}.get(quantity, quantity)  # fmt: skip
        parts.append(f"± {show_difference(kind.accuracy, name, visit.units)}")
    if kind.of_reading:
        parts.append(f"± {percent(kind.of_reading, 0)} of reading")
    return " and ".join(parts) + " as a limit"


def add_reading(
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
    statement, new = statement_of(found, visit, quantity, instrument, label)
    words = quantity.replace("_", " ")
    # Without a name nobody can say that it was the same instrument: nothing is shared.
    who, identity = (instrument, instrument) if instrument else (f"unnamed at {label}", f"{own}/{entry}")
    u, shape = statement.standard_uncertainty(at), statement.shape
    corrected = check is not None and check.is_applied and quantity in check.offsets and instrument in check.instruments
    if corrected:
        assert check is not None
        _checked(found, visit, own, entry, quantity, at, check, str(instrument))
    else:
        for error in calibration_errors(str(who), identity, own, quantity, words, u, new, shape):
            found.add(entry, error)
    count, scatter = len(values), float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
    found.add(entry, NamedError(
        f"{label}, resolution", f"{own}/{entry}/resolution", "resolution",
        resolution_uncertainty(statement.resolution, scatter, count), "rectangular",
    ))  # fmt: skip
    found.add(entry, repeatability_error(found, own, entry, label, quantity, values))


def calibration_errors(
    who: str, identity: str, own: str, quantity: str, words: str, u: float, new: float, shape: Shape
) -> list[NamedError]:
    """Calibration and what is new at this visit: an accuracy's standard uncertainty ``u`` in two named errors, ``new`` being the part of its variance that is new."""
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
        statement, new = statement_of(found, visit, quantity, who, who)
        u = statement.standard_uncertainty(at)
        for error in calibration_errors(who, who, own, quantity, words, u, new, statement.shape):
            # Halfway between both probes: half of each one's error is in both readings.
            found.add(entry, error, 0.5)
        if who == me:
            found.add(entry, NamedError(
                f"{who} {words}, beyond the side-by-side check", f"instrument/{who}/{quantity}/beyond check",
                "calibration", u * remains, statement.shape,
            ))  # fmt: skip
    doubt = check.offsets[quantity]
    allowed = sum(statement_of(found, visit, quantity, n, n)[0].half_width(at) for n in check.instruments)
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


def repeatability_error(
    found: VisitErrors, own: str, entry: str, label: str, quantity: str, values: Sequence[float]
) -> NamedError:
    """Scatter of a list of readings as an error of its mean; a usual scatter where there are too few."""
    name, key, count = f"{label}, repeatability", f"{own}/{entry}/repeatability", len(values)
    if entry in found.logged:
        # A minute's reading hangs together with the next one's: the log's own standard error knows that.
        size, freedom = found.logged[entry]
        return NamedError(name, key, "repeatability", size, "student", freedom)
    if count >= defaults.ENOUGH_READINGS:
        return NamedError(name, key, "repeatability", standard_error(values), "student", degrees_of_freedom(count))
    scatter = float(np.std(values, ddof=1)) if count > 1 else 0.0
    usual = defaults.SCATTER[quantity]
    readings = f"{count} readings have" if count > 1 else "a single reading has"
    found.note(
        f"{label[0].upper()}{label[1:]}: {readings} no scatter to go by; a usual scatter is taken in its place, "
        f"{size_text(usual, quantity, found.units)} (common practice, no source)."
    )
    return NamedError(name, key, "repeatability", max(scatter, usual) / math.sqrt(count))


# Kind of the doubt of each quantity of an instrument, where its name is not a kind itself.
_KIND_OF = dict.fromkeys(
    ("dry_bulb", "wet_bulb", "dew_point", "temperature_rise", "line_temperature"), "temperature_difference"
)


def size_text(size: float, quantity: str, units: UnitSystem) -> str:
    """A doubt, a half-width or a scatter [SI] of an instrument's quantity in display units, to two digits."""
    kind = _KIND_OF.get(quantity, quantity)
    shown = f"{float(difference_from_inside(size, kind, units)):.2g} {KINDS[kind].display(units).label}"
    return f"{shown} RH" if quantity == "relative_humidity" else shown


def add_placement(found: VisitErrors, visit: Visit, own: str, place: str, stated: float | None) -> None:
    """Doubt of a dry bulb [K] because the stream is not quite mixed where the probe sits."""
    size = defaults.PLACEMENT[place] if stated is None else stated
    if stated is None:
        found.note(_placement_text(visit))
    found.add(f"{place}.dry_bulb", NamedError(
        f"{place} dry bulb, placement", f"{own}/{place}/placement", "placement", size
    ))  # fmt: skip


def _placement_text(visit: Visit) -> str:
    """Which default doubts of placement are taken, in one sentence for all places."""
    at = {f"at {p}": defaults.PLACEMENT[p] for p in PLACES if readings_at(visit, p).placement is None}
    if visit.readings.outdoor is not None and visit.readings.outdoor.placement is None:
        at["outdoors"] = defaults.PLACEMENT["outdoor"]
    sizes = [f"{size_text(size, 'dry_bulb', visit.units)} {where}" for where, size in at.items()]
    listed = f"{', '.join(sizes[:-1])} and {sizes[-1]}" if len(sizes) > 1 else sizes[0]
    return (
        f"Probes sit in streams that are not quite mixed: the default standard uncertainty of dry bulb is {listed} "
        "(common practice, no source)."
    )
