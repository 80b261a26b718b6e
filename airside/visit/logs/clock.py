"""How far apart the clocks of two loggers are, from the starts and stops that both have seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from airside.errors import OutOfRangeError
from airside.units import percent
from airside.visit.logs.log import Floats, Log

# A transient is where a value moves faster than this many robust standard deviations of its moves; common practice, no
# source.
FAST = 6.0
# Transients nearer than this many steps are one [steps].
TOGETHER = 12
# Of more transients than this, evenly spread ones are taken.
MOST_TRANSIENTS = 500
# Half-width of the piece of the log around a transient that is correlated [steps].
AROUND = 12
# Below this the two do not show the same transients; common practice, no source.
LEAST_CORRELATION = 0.3
# Half-width of what an offset is searched in [s].
SEARCH = 3600.0
ROBUST = 1.4826
# Where both loggers have one interval, all transients are caught at one phase, and the parabola through the top has one
# bias for all: its standard uncertainty [steps], from simulated loggers (tests/visit/logs/test_log_clock.py).
BIAS = 0.08
# How late a channel may follow a start, because of its sensor and of the coil, as a standard uncertainty [s]; the
# quickest come first. Common practice, no source.
LAGS = {
    "power": 5.0, "stage": 5.0, "flow": 10.0, "pressure": 10.0, "discharge": 60.0, "line": 60.0, "dry_bulb": 60.0,
    "wet_bulb": 90.0, "": 120.0,
}  # fmt: skip
# Of each file the quickest few channels are tried.
MOST_CHANNELS = 3


@dataclass(frozen=True)
class ClockOffset:
    """Offset of two clocks.

    Attributes
    ----------
    seconds : float
        What is to be added to the second logger's stamps, so that they agree with the first's [s].
    standard_uncertainty : float
        From the spread over separate transients; NaN where there is one alone [s].
    correlation : float
        Of the two loggers' changes at that offset.
    count : int
        Transients that it rests on.
    """

    seconds: float
    standard_uncertainty: float
    correlation: float
    count: int

    @property
    def found(self) -> bool:
        """Whether the two show transients in common."""
        return self.count > 0 and self.correlation >= LEAST_CORRELATION

    def sentence(self, first: str, second: str, *, how: bool = True, stated: float = 0.0) -> str:
        """What was found, in words.

        Parameters
        ----------
        first, second : str
            Names of the two files.
        how : bool
            Whether to say how it is applied in a visit file.
        stated : float
            Offset that the visit file has already; what is found comes on top [s].
        """
        if not self.found:
            return f"The clocks of {first} and {second} cannot be compared: they show no starts or stops in common."
        doubt = (
            f" ± {2 * self.standard_uncertainty:.0f} s (95 %)"
            if np.isfinite(self.standard_uncertainty)
            else " (one transient alone: no certainty)"
        )
        behind = "behind" if self.seconds > 0 else "ahead of"
        said = (
            f"The clock of {second} is {abs(self.seconds):.0f} s{doubt} {behind} that of {first}, by {self.count} starts and "
            f"stops (correlation {percent(self.correlation)})."
        )
        if not how:
            return said
        return f'{said} It is not applied; to apply it, write clock_offset = {stated + self.seconds:.0f} in [log.files."{second}"].'


@dataclass(frozen=True)
class ComparedClocks:
    """Clocks of two logger files: the channels that show it best, and what they show.

    `stated` is the offset of the second that the visit file has already [s]; the first keeps its own.
    """

    first: str
    second: str
    first_channel: str
    second_channel: str
    offset: ClockOffset
    stated: float = 0.0

    @property
    def lag(self) -> float:
        """How far the channels themselves may follow one another, as a standard uncertainty [s]."""
        return float(np.hypot(_lag(self.first_channel), _lag(self.second_channel)))

    @property
    def agree(self) -> bool:
        """Whether the offset is no more than sensors may follow late."""
        doubt = np.nan_to_num(self.offset.standard_uncertainty)
        return bool(self.offset.found and abs(self.offset.seconds) <= 2 * np.hypot(self.lag, doubt))

    def sentence(self, *, how: bool = True) -> str:
        """What was found, in words; and how it is applied in a visit file, unless that is not wanted."""
        if not self.offset.found:
            return self.offset.sentence(self.first, self.second)
        a, b = (
            c.removeprefix("readings.").replace("_", " ").replace(".", " ")
            for c in (self.first_channel, self.second_channel)
        )
        if self.agree:
            return (
                f"{b.capitalize()} ({self.second}) comes {abs(self.offset.seconds):.0f} s "
                f"{'before' if self.offset.seconds > 0 else 'after'} {a} ({self.first}), by {self.offset.count} starts and "
                "stops: no more than sensors may follow late. The clocks may agree."
            )
        said = self.offset.sentence(self.first, self.second, how=how, stated=self.stated)
        return f"{said} Seen in {a} and {b}; up to {2 * self.lag:.0f} s of it may be that one follows the other late."


def compare_clocks(log: Log) -> tuple[ComparedClocks, ...]:
    """Clocks of a log's files against that of the first, by the channels whose changes go together best.

    Parameters
    ----------
    log : Log

    Returns
    -------
    tuple of ComparedClocks
        One for each further file; empty for one file alone.
    """
    files = list(dict.fromkeys(r.file for r in log.records))
    of = {f: sorted((r.channel for r in log.records if r.file == f), key=_lag)[:MOST_CHANNELS] for f in files}
    found = []
    for other in files[1:]:
        best: ComparedClocks | None = None
        for a in of[files[0]]:
            for b in of[other]:
                try:
                    offset = clock_offset(log.time, log.channels[a], log.time, log.channels[b])
                except OutOfRangeError:
                    continue
                compared = ComparedClocks(files[0], other, a, b, offset, log.clock_offsets.get(other, 0.0))
                if best is None or _merit(compared) > _merit(best):
                    best = compared
        if best is not None:
            found.append(best)
    return tuple(found)


def _lag(channel: str) -> float:
    return next(lag for word, lag in LAGS.items() if word in channel)


def _merit(compared: ComparedClocks) -> tuple[bool, float, float]:
    return compared.offset.found, -compared.lag, compared.offset.correlation


def clock_offset(
    log_a_times: Floats, values_a: Floats, times_b: Floats, values_b: Floats, *, search: float = SEARCH
) -> ClockOffset:
    """Offset of the clocks of two loggers by cross-correlation of their changes.

    Both are brought to one step by lines between neighbours, differences are taken (what does not move says nothing of
    time), and the shift with the largest correlation by magnitude is found to a fraction of a step by a parabola through
    its top: one quantity may fall where the other rises. Each transient by itself then gives an offset; their spread
    gives the certainty. Two sensors of different lag differ by their lags too, and no correlation tells that apart.

    Parameters
    ----------
    log_a_times, times_b : array, shapes (n,) and (m,)
        Strictly rising [s].
    values_a, values_b : array, shapes (n,) and (m,)
        In any unit; NaN where there is no value.
    search : float
        Largest offset that is looked for [s].

    Returns
    -------
    ClockOffset
        `seconds` is NaN where there is no transient in common.

    Raises
    ------
    OutOfRangeError
        The two have fewer than ten values each, or the arrays do not fit.
    """
    pairs = []
    for times, values in ((log_a_times, values_a), (times_b, values_b)):
        t, v = np.asarray(times, dtype=np.float64), np.asarray(values, dtype=np.float64)
        if t.shape != v.shape or t.ndim != 1:
            raise OutOfRangeError(f"found {t.shape} times and {v.shape} values; expected equal lengths.")
        sound = np.isfinite(t) & np.isfinite(v)
        if sound.sum() < 10 or not (np.diff(t[sound]) > 0).all():
            raise OutOfRangeError("A clock offset needs at least ten values of each logger, at times that rise.")
        pairs.append((t[sound], v[sound]))
    (time_a, a), (time_b, b) = pairs
    step = float(max(np.median(np.diff(time_a)), np.median(np.diff(time_b))))
    nothing = ClockOffset(np.nan, np.nan, 0.0, 0)
    # The second log may lie as far off as is searched for.
    first, last = max(time_a[0], time_b[0] - search), min(time_a[-1], time_b[-1] + search)
    lags = round(search / step)
    if last - first < 4 * step:
        return nothing
    grid = np.arange(first - lags * step, last + lags * step + step / 2, step)
    move_a, move_b = _moves(grid, time_a, a, step), _moves(grid, time_b, b, step)
    whole = _best_lag(move_a, move_b, lags)
    if whole is None:
        return nothing
    lag, correlation, sign = whole
    offsets = []
    centres = _transients(move_a)
    for centre in centres[:: max(1, len(centres) // MOST_TRANSIENTS)]:
        low, high = centre - AROUND, centre + AROUND + 1
        shift = round(lag)
        low_b, high_b = low - shift - AROUND, high - shift + AROUND
        if low < 0 or high > len(move_a) or low_b < 0 or high_b > len(move_b):
            continue
        piece = np.zeros(high_b - low_b)
        piece[AROUND : AROUND + high - low] = move_a[low:high]
        own = _best_lag(piece, move_b[low_b:high_b], AROUND - 1, sign)
        if own is not None and own[1] >= LEAST_CORRELATION:
            offsets.append(shift + own[0])
    if not offsets:
        return ClockOffset(np.nan, np.nan, correlation, 0)
    each = np.array(offsets) * step
    centre_offset = float(np.median(each))
    spread = ROBUST * float(np.median(np.abs(each - centre_offset)))
    # Where two loggers read in turn, steps of one fall on either side of the other's: neighbouring lags belong together.
    near = each[np.abs(each - centre_offset) <= max(3.0 * spread, 1.1 * step)]
    mean = float(near.mean())
    # The stamps themselves are good for a step of the slower logger.
    floor = np.hypot(step / np.sqrt(12.0 * len(near)), BIAS * step)
    doubt = float(np.hypot(near.std(ddof=1) / np.sqrt(len(near)), floor)) if len(near) > 1 else np.nan
    return ClockOffset(mean, doubt, correlation, len(near))


def _moves(grid: Floats, time: Floats, values: Floats, step: float) -> Floats:
    """Changes from step to step, zero where the log has no values; slow drift is below what counts."""
    level = np.interp(grid, time, values, left=np.nan, right=np.nan)
    # Between neighbours that are far apart nothing is known.
    after = np.clip(np.searchsorted(time, grid), 1, len(time) - 1)
    level[(time[after] - time[after - 1]) > 3 * step] = np.nan
    moves = np.nan_to_num(np.diff(level))
    usual = ROBUST * float(np.median(np.abs(moves[moves != 0]))) if (moves != 0).any() else 0.0
    return np.where(np.abs(moves) > 2 * usual, moves, 0.0) if (np.abs(moves) > FAST * usual).any() else moves


def _best_lag(a: Floats, b: Floats, lags: int, sign: float = 0.0) -> tuple[float, float, float] | None:
    """Shift of `b` [steps] at which it goes best with `a`, the correlation there, and its sign."""
    from scipy.signal import correlate

    size = float(np.sqrt((a**2).sum() * (b**2).sum()))
    if size == 0:
        return None
    whole = correlate(a, b, mode="full", method="auto") / size
    middle = len(b) - 1
    low = max(middle - lags, 0)
    part = whole[low : middle + lags + 1]
    strength = np.abs(part) if sign == 0 else part * sign
    top = int(np.argmax(strength))
    shift = float(top)
    if 0 < top < len(part) - 1:
        left, here, right = (strength[top - 1], strength[top], strength[top + 1])
        bend = left - 2 * here + right
        shift += 0.5 * float((left - right) / bend) if bend < 0 else 0.0
    return shift + low - middle, float(strength[top]), float(np.sign(part[top]) or 1.0)


def _transients(moves: Floats) -> list[int]:
    """Where the log moves fast: the largest move of each."""
    size = np.abs(moves)
    usual = ROBUST * float(np.median(size[size > 0])) if (size > 0).any() else 0.0
    # With few moves in all, most of them are the transients themselves.
    limit = min(FAST * usual, 0.3 * float(size.max(initial=0.0)))
    fast = np.flatnonzero(size > max(limit, 0.1 * float(size.max(initial=0.0))))
    if not len(fast):
        return []
    groups = np.split(fast, np.flatnonzero(np.diff(fast) > TOGETHER) + 1)
    return [int(g[np.argmax(size[g])]) for g in groups]
