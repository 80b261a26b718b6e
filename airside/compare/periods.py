"""A period: the steady stretches of one logged visit or of several, with what shifts them all.

Each named error that stretches share has its effect on every column, conditions included, so that an instrument that
reads both capacity and the return's wet bulb shifts both together. Errors of one key are one error, in one period or two.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import ComparisonError, NothingSteadyError
from airside.instruments.named_error import NamedError, unique
from airside.units import UnitSystem
from airside.visit.doubts import visit_errors
from airside.visit.inputs import mean_inputs, measure
from airside.visit.load import read_visit_data
from airside.visit.logs.log import Floats, wall_time
from airside.visit.logs.log_schema import has_logs
from airside.visit.logs.logged_visit import LoggedVisit, load_logged
from airside.visit.logs.stretch_capacity import stretch_inputs
from airside.visit.perturbation import perturbed
from airside.visit.schema import Visit

# What capacity and power are modelled on, the first one first; in heating the return's dry bulb takes its wet bulb's place.
TERMS = {
    "cooling": ("outdoor_dry_bulb", "return_wet_bulb", "volume_flow"),
    "heating": ("outdoor_dry_bulb", "return_dry_bulb", "volume_flow"),
}
# Kinds of error that are each stretch's own.
_OWN = ("resolution", "repeatability")


@dataclass(frozen=True, eq=False, repr=False)
class Period:
    """Steady stretches of a period, in order of time.

    Attributes
    ----------
    name : str
    mode : "cooling" or "heating"
    begin : array, shape (n,) [s, as `airside.visit.logs.log.Log.time`]
    day : tuple of str, length n
        The day on the wall's clock; with the file's name where two files hold one day.
    columns : mapping of str to array, shape (n,)
        "total" [W], where it is known "power" [W], and the conditions: "outdoor_dry_bulb", "return_wet_bulb" or in
        heating "return_dry_bulb" [°C], "volume_flow" [m³/s].
    effects : mapping of str to mapping of str to array, shape (n,)
        By the error's key and the column: what one standard deviation of a shared error moves.
    errors : tuple of NamedError
        Those of `effects`.
    units : "IP" or "SI"
        In which its files are.
    stages : tuple of str
        Stages that the stretches are of; empty where no stage is known.
    visits : tuple of Visit
        The standing visit of each file.
    zone : str or None
    notes : tuple of str
        What was assumed.
    """

    name: str
    mode: str
    begin: Floats
    day: tuple[str, ...]
    columns: Mapping[str, Floats]
    effects: Mapping[str, Mapping[str, Floats]] = field(default_factory=dict)
    errors: tuple[NamedError, ...] = ()
    units: UnitSystem = "SI"
    stages: tuple[str, ...] = ()
    visits: tuple[Visit, ...] = ()
    zone: str | None = None
    notes: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.begin)

    def __repr__(self) -> str:
        return f"<Period: {self.name}, {len(self)} stretches>"

    @property
    def days(self) -> tuple[str, ...]:
        """Every day once."""
        return tuple(dict.fromkeys(self.day))

    @property
    def conditions(self) -> tuple[str, ...]:
        """The conditions that are known, in the order of `TERMS`."""
        return tuple(t for t in TERMS[self.mode] if t in self.columns)

    def table(self, terms: Sequence[str]) -> Floats:
        """Conditions as columns, shape (n, terms)."""
        return np.column_stack([np.ones((len(self), 0)), *(self.columns[t] for t in terms)])

    def moved(self, key: str, by: float) -> dict[str, Floats]:
        """Columns with one shared error of so many standard deviations."""
        moves = self.effects.get(key, {})
        return {n: v + by * moves[n] if n in moves else v for n, v in self.columns.items()}

    def keeping(self, which: NDArray[Any]) -> Period:
        """The period with some of its stretches: a mask, or numbers in the order that is wanted."""
        at = np.arange(len(self))[which]
        return replace(
            self, begin=self.begin[at], day=tuple(self.day[i] for i in at),
            columns={n: v[at] for n, v in self.columns.items()},
            effects={k: {n: v[at] for n, v in moves.items()} for k, moves in self.effects.items()},
        )  # fmt: skip

    def text_of(self, index: int) -> str:
        """When a stretch began, on the wall's clock."""
        return wall_time(float(self.begin[index]), self.zone)[:16]


def period_of(source: object, name: str) -> Period:
    """A period from what names it.

    Parameters
    ----------
    source : str, Path, LoggedVisit, Period, or a sequence of visit files or LoggedVisits
        A visit file that names logger files, a folder of such files, or several.
    name : str
        "before" or "after", for messages.

    Raises
    ------
    ComparisonError
        Files of different modes, nothing in the folder, or one stretch in two files.
    VisitError, FileError
        As `load_logged`.
    """
    if isinstance(source, Period):
        return source
    notes: list[str] = []
    logs = list(_logged(source, name, notes))
    if not logs:
        raise ComparisonError(f"{name}: no visit file is named; expected a visit file, a folder of them, or a list.")
    modes = {log.standing.mode for log in logs}
    if len(modes) > 1:
        raise ComparisonError(
            f"{name}: its files are in cooling and in heating; expected one mode. Give each mode by itself."
        )
    parts = [_part(log) for log in logs]
    known = [n for n in parts[0].columns if all(n in p.columns for p in parts)]
    for lost in sorted({n for p in parts for n in p.columns} - set(known)):
        notes.append(f"{name}: {lost.replace('_', ' ')} is not known in every file, so it is left out.")
    together = _joined(parts, known, logs, notes)
    order = np.argsort(together.begin, kind="stable")
    _no_repeats(together, order, name)
    usable: NDArray[np.bool_] = np.asarray(
        np.isfinite(np.column_stack([together.columns[n] for n in known])).all(axis=1)
    )
    aside = int((~usable).sum())
    if aside:
        notes.append(
            f"{name}: {aside} of {len(together)} stretches have no value, or the airflow's evidence is outside its table; they "
            "are not used."
        )
    return replace(together.keeping(order[usable[order]]), notes=tuple(notes))


def _logged(source: object, name: str, notes: list[str]) -> Iterable[LoggedVisit]:
    if isinstance(source, LoggedVisit):
        yield source
    elif isinstance(source, str | Path):
        yield from _of_folder(Path(source), name, notes) if Path(source).is_dir() else [load_logged(source)]
    elif isinstance(source, Sequence):
        for one in source:
            yield from _logged(one, name, notes)
    else:
        raise ComparisonError(
            f"{name} is {type(source).__name__}; expected a visit file, a folder of visit files, a LoggedVisit, or a list of them."
        )


def _of_folder(folder: Path, name: str, notes: list[str]) -> Iterable[LoggedVisit]:
    """The logged visits of a folder; what is left out is noted."""
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise ComparisonError(f"{folder}: the folder holds no visit file; expected files that end in .toml.")
    logged = [f for f in files if has_logs(read_visit_data(f))]
    if not logged:
        raise ComparisonError(
            f'{folder}: no file in the folder names logger files; expected [readings...] with log = "FILE".'
        )
    notes += [f"{name}: {f.name} names no logger file and is left out." for f in files if f not in logged]
    empty: list[NothingSteadyError] = []
    for file in logged:
        try:
            yield load_logged(file)
        except NothingSteadyError as error:
            # One day of many on which the system stood still is no reason to stop.
            empty.append(error)
            said = error.problems[0].message
            notes.append(f"{name}: {file.name} gives no steady stretch and is left out: {said}")
    if len(empty) == len(logged):
        raise empty[0]


def _part(logged: LoggedVisit) -> Period:
    """One file as a period."""
    found, visit = logged.capacities(), logged.standing
    figures = {n: found.figures[n] for n in ("total", "power", "volume_flow") if n in found.figures}
    terms = TERMS[visit.mode]
    columns = {n: f.value for n, f in figures.items() if n != "volume_flow"}
    columns |= {t: found.conditions[t] for t in terms if t in found.conditions}
    columns["volume_flow"] = figures["volume_flow"].value
    effects: dict[str, dict[str, Floats]] = {}
    for i, error in enumerate(found.errors):
        effects[error.key] = {n: f.effects[i] for n, f in figures.items()}
    errors = list(found.errors)
    for error, moves in _moves_of_conditions(logged, terms):
        at = effects.setdefault(error.key, {})
        at |= {n: at.get(n, 0.0) + v for n, v in moves.items()}
        errors.append(error)
    stages = {logged.runs.stage_name(float(s)) for s in np.unique(found.stage[np.isfinite(found.stage)])}
    day = tuple(wall_time(t, found.zone)[:10] for t in found.begin)
    return Period(
        visit.name, visit.mode, found.begin, day, columns, effects, tuple(unique(errors)), visit.units,
        tuple(sorted(s for s in stages if s)), (visit,), found.zone,
    )  # fmt: skip


def _moves_of_conditions(logged: LoggedVisit, terms: Sequence[str]) -> Iterable[tuple[NamedError, dict[str, Floats]]]:
    """What each shared error moves of return and outdoor temperatures."""
    visit, stretches = logged.standing, logged.stretches
    standing = mean_inputs(visit)
    errors = visit_errors(visit, measure(visit, standing).airflow, standing)
    inputs = stretch_inputs(visit, standing, stretches)
    here = measure(visit, inputs, outside="extend", impossible="nan")
    known = {e.key: e for e in errors.errors}
    count = len(stretches)
    for entry in ("return.dry_bulb", "return.humidity", "pressure", "outdoor.dry_bulb"):
        for key, size in errors.uses.get(entry, ()):
            error = known[key]
            if error.kind in _OWN:
                continue
            # A student error of few degrees of freedom has no standard deviation: its scale is taken.
            if math.isfinite(error.standard_deviation):
                size *= error.standard_deviation / error.standard_uncertainty
            if entry == "outdoor.dry_bulb":
                yield error, {"outdoor_dry_bulb": np.full(count, size)}
                continue
            moves = {}
            for term in terms:
                if not term.startswith("return_"):
                    continue
                quantity = term.removeprefix("return_")
                base = np.asarray(getattr(here.return_air, quantity))
                for sign in (1.0, -1.0):
                    at = measure(visit, perturbed(inputs, {entry: sign * size}), outside="extend", impossible="nan")
                    step = sign * (np.asarray(getattr(at.return_air, quantity)) - base)
                    # Near saturation one side may be air that cannot be.
                    if np.isfinite(step).all():
                        moves[term] = np.broadcast_to(step, (count,))
                        break
            if moves:
                yield error, moves


def _joined(parts: Sequence[Period], known: Sequence[str], logs: Sequence[LoggedVisit], notes: list[str]) -> Period:
    """Files behind one another."""
    days = Counter(day for p in parts for day in p.days)
    day: list[str] = []
    for part, log in zip(parts, logs, strict=True):
        day += [f"{d}, {Path(log.name).stem}" if days[d] > 1 else d for d in part.day]
    keys = list(dict.fromkeys(k for p in parts for k in p.effects))
    effects: dict[str, dict[str, Floats]] = {}
    for key in keys:
        moves = {}
        for name in known:
            columns = [np.broadcast_to(p.effects.get(key, {}).get(name, 0.0), (len(p),)) for p in parts]
            if any(c.any() for c in columns):
                moves[name] = np.concatenate(columns)
        if moves:
            effects[key] = moves
    names = list(dict.fromkeys(p.name for p in parts))
    first = parts[0]
    name = names[0] if len(names) == 1 else f"{names[0]} and {len(parts) - 1} more"
    zones = {p.zone for p in parts}
    if len(zones) > 1:
        notes.append("Files of one period are in different time zones: days are told apart by the first file's.")
    return Period(
        name, first.mode, np.concatenate([p.begin for p in parts]), tuple(day),
        {n: np.concatenate([p.columns[n] for p in parts]) for n in known}, effects,
        tuple(e for e in unique([e for p in parts for e in p.errors]) if e.key in effects), first.units,
        tuple(dict.fromkeys(s for p in parts for s in p.stages)), tuple(v for p in parts for v in p.visits), first.zone,
    )  # fmt: skip


def _no_repeats(period: Period, order: NDArray[np.intp], name: str) -> None:
    """Stop where two files give the same stretch.

    Raises
    ------
    ComparisonError
    """
    begin, total = period.begin[order], period.columns["total"][order]
    same = (np.diff(begin) == 0) & (np.diff(total) == 0)
    if same.any():
        raise ComparisonError(
            f"{name}: {int(same.sum())} stretches stand in two of its files, the first at "
            f"{period.text_of(int(order[int(np.flatnonzero(same)[0])]))}. Name each log once."
        )
