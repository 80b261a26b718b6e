"""Running or off, and at which stage: the runs of a log, each with its age.

The signal is a status column, electric power, airflow, or the supply's dry bulb by its distance from the return's. A run
is an unbroken row of running minutes at one stage: a change of stage begins a new run, and a gap ends one. Minutes that do
not count are given a reason, the first that holds, so that all minutes are accounted for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import NothingSteadyError, Problem, VisitError
from airside.visit.logs.counting import Counting
from airside.visit.logs.log import Floats, Log
from airside.visit.logs.signals import Signal, find_signal, nothing_runs

# Why a minute does not count, in the order in which it is asked; the number in `Runs.reason` is the place in this list.
REASONS = (
    "counts", "outside the stated dates", "off", "other stage", "start-up", "before a stop", "no value", "impossible",
    "too short", "unsteady", "left over",
)  # fmt: skip
COUNTS, OUTSIDE, OFF, OTHER_STAGE, START, STOP, NO_VALUE, IMPOSSIBLE, TOO_SHORT, UNSTEADY, LEFT_OVER = range(11)
# Rounding of times [s].
KEEP = 1e-6


@dataclass(frozen=True, eq=False)
class Runs:
    """Runs of a log, columnar, and what became of each row.

    Attributes
    ----------
    start, stop : int array, shape (r,)
        First row, and one past the last row.
    begin, length : array, shape (r,)
        Time of the first row [s, as `Log.time`]; from the first row to the end of the last [s].
    stage : array, shape (r,)
        Value of the status channel, or 1 and 2 by power; NaN where the stage is not known.
    run : int array, shape (n,)
        Number of the run of each row; -1 outside runs.
    age : array, shape (n,)
        Time since the first row of its run [s]; NaN outside runs.
    reason : int array, shape (n,)
        Place in `REASONS`; `COUNTS` for minutes at the stage that counts, after start-up and before the stop.
    stage_that_counts : float
        NaN where there is one stage only.
    signal, channel : str
        From what, and its path in the visit file.
    threshold : float or None
        [inside unit of the channel; K for the supply's distance from the return]; None for a status.
    sentences : tuple of str
        How running and stage were found.
    words : tuple of str
        Words of a status channel that holds words.
    step : float [s]
    """

    start: NDArray[np.intp]
    stop: NDArray[np.intp]
    begin: Floats
    length: Floats
    stage: Floats
    run: NDArray[np.intp]
    age: Floats
    reason: NDArray[np.int8]
    stage_that_counts: float
    signal: str
    channel: str
    threshold: float | None
    sentences: tuple[str, ...]
    words: tuple[str, ...]
    step: float

    def __len__(self) -> int:
        return len(self.start)

    def stage_name(self, stage: float) -> str:
        """A stage in words: ``"stage 2"``, the status word, or an empty text where it is not known."""
        return _stage_name(stage, self.words)


def _stage_name(stage: float, words: tuple[str, ...]) -> str:
    if not np.isfinite(stage):
        return ""
    return f'status "{words[int(stage)]}"' if words else f"stage {stage:g}"


def find_runs(log: Log, counting: Counting, *, mode: str = "cooling", name: str = "visit") -> Runs:
    """Find the runs of a log.

    Parameters
    ----------
    log : Log
    counting : Counting
    mode : "cooling" or "heating"
        On which side of the return the supply is where the system runs.
    name : str
        The visit file's, for messages.

    Raises
    ------
    VisitError
        The signal is not logged, nothing runs, or the stage that is asked for is never seen.
    """
    if not len(log):
        raise VisitError(name, [Problem("the log has no rows; expected readings.", "log")])
    signal = find_signal(log, counting, mode, name)
    running = signal.running == 1
    reason = np.zeros(len(log), dtype=np.int8)
    reason[~running] = OFF
    reason[np.isnan(signal.running)] = NO_VALUE
    if counting.first is not None:
        reason[log.time < counting.first] = OUTSIDE
    if counting.last is not None:
        reason[log.time > counting.last] = OUTSIDE
    is_in = running & (reason != OUTSIDE)
    if not is_in.any():
        raise NothingSteadyError(name, [Problem(nothing_runs(log, signal, counting), "log.counting")])
    has_stages = not np.isnan(signal.stage).all()
    stage = np.where(is_in, signal.stage, np.nan) if has_stages else signal.stage
    starts, stops, run = _rows(log, is_in, stage, has_stages)
    begins, ends = log.time[starts], log.time[stops - 1]
    age = np.where(is_in, log.time - begins[run], np.nan)
    before_end = ends[run] - log.time
    length = ends - begins + log.step
    needed = counting.after_start + counting.before_stop + counting.rows(log.step) * log.step
    chosen, said = _chosen_stage(counting, signal, stage[starts], length, needed, name)
    half = 0.5 * log.step
    reason[(before_end < counting.before_stop - half) & is_in] = STOP
    reason[(age < counting.after_start - half) & is_in] = START
    if np.isfinite(chosen):
        reason[is_in & (stage != chosen)] = OTHER_STAGE
    return Runs(
        starts, stops, begins, length, stage[starts], run, age, reason, chosen, signal.name, signal.channel,
        signal.threshold, (*signal.sentences, *said), signal.words, log.step,
    )  # fmt: skip


def _rows(log: Log, is_in: NDArray[np.bool_], stage: Floats, has_stages: bool) -> tuple[Any, Any, NDArray[np.intp]]:
    """Starts and stops of runs, and each row's run."""
    same = is_in[1:] & is_in[:-1] & (np.diff(log.time) <= 1.5 * log.step)
    # Not-a-number stands for one unknown stage throughout.
    if has_stages:
        unknown = np.isnan(stage)
        same &= (stage[1:] == stage[:-1]) | (unknown[1:] & unknown[:-1])
    begins = is_in & np.concatenate([[True], ~same])
    ends = is_in & np.concatenate([~same, [True]])
    run = np.where(is_in, np.cumsum(begins) - 1, -1)
    return np.flatnonzero(begins), np.flatnonzero(ends) + 1, run


def _chosen_stage(
    counting: Counting, signal: Signal, stages: Floats, lengths: Floats, needed: float, name: str
) -> tuple[float, tuple[str, ...]]:
    """The stage that counts, and what is said of the choice."""
    seen = np.unique(stages[np.isfinite(stages)])
    names = [_stage_name(s, signal.words) for s in seen]
    listed = ", ".join(names) or "no stage"
    if counting.stage is not None:
        wanted = counting.stage
        if isinstance(wanted, str) and signal.words:
            known = {w.casefold(): float(i) for i, w in enumerate(signal.words)}
            value = known.get(wanted.strip().casefold(), np.nan)
        else:
            try:
                value = float(wanted)
            except ValueError:
                value = np.nan
        if value not in seen:
            shown = f'"{wanted}"' if isinstance(wanted, str) else f"{wanted:g}"
            raise VisitError(name, [Problem(
                f"found {shown}, but the system never runs at it; expected what is seen while it runs: {listed}.",
                "log.counting.stage",
            )])  # fmt: skip
        return value, ()
    if len(seen) < 2:
        return (float(seen[0]) if len(seen) else np.nan), ()
    long_enough = [s for s in seen if (lengths[stages == s] >= needed - KEEP).any()]
    if signal.words:
        minutes = {float(s): float(lengths[stages == s].sum()) for s in (long_enough or seen)}
        chosen = max(minutes, key=lambda s: minutes[s])
        why = "which runs for most minutes"
    else:
        chosen = float(max(long_enough or seen))
        why = "the highest" if chosen == max(seen) else "the highest that runs long enough"
    return chosen, (f"Seen are {listed}; {_stage_name(chosen, signal.words)} counts, {why}.",)
