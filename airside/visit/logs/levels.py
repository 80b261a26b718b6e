"""Two levels of a logged quantity, such as off and running, and the value that parts them.

First Otsu's method: the cut for which the variance between both classes is largest. Its cut counts where it explains
nearly all of the variance. Where one class is rare the method parts the other class instead; then a wide gap in the
histogram is looked for. The threshold is in the emptiest place between the two levels.

Sources
-------
N. Otsu, "A threshold selection method from gray-level histograms", IEEE Transactions on Systems, Man, and Cybernetics 9
(1979), 62-66: variance between classes, Eq. 14 to 18, and the measure of separability, Eq. 12. The limits below are
common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.log import Floats, is_complete

# Share of the variance that a cut must explain. One broad level gives 0.75 (uniform) or less; a daily wave gives 0.81.
SEPARABLE = 0.85
# Two stages differ less from each other than running from off, so more is asked.
SEPARABLE_STAGES = 0.92
# A gap counts from this share of the range, if nearly no reading is in it.
GAP, NEARLY_NONE = 0.25, 0.001
# A lower level of running: its distance from off over that of the upper level, and its share of the running minutes.
LOWER_LEVEL, LOWER_SHARE = 0.25, 0.05
BINS = 64
# Places along the range, more than readings of a logger have different values.
PLACES = 1 << 16


@dataclass(frozen=True)
class Levels:
    """Two levels.

    Attributes
    ----------
    threshold : float
    low, high : float
        Means of both classes.
    share : float [fraction]
        Readings in the upper class.
    how : str
        How the threshold was found, in words.
    """

    threshold: float
    low: float
    high: float
    share: float
    how: str


@dataclass(frozen=True, eq=False)
class Distinct:
    """Readings by value: a year of minutes has few different ones.

    Attributes
    ----------
    values, counts : array, shape (k,)
        Strictly rising, and how many readings there are of each.
    """

    values: Floats
    counts: NDArray[np.int64]

    @classmethod
    def of(cls, readings: Floats) -> Distinct:
        """The readings; NaN is left out."""
        known = readings if is_complete(readings) else readings[np.isfinite(readings)]
        return cls._by_places(known) or cls._by_order(known)

    @classmethod
    def _by_places(cls, known: Floats) -> Distinct | None:
        """Quickly, for readings of few decimals; None where two values share one of many places along the range."""
        low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
        if known.size < PLACES or not 0 < high - low < np.inf:
            return None
        place = ((known - low) * ((PLACES - 1) / (high - low))).astype(np.intp)
        counts = np.bincount(place, minlength=PLACES)
        values = np.zeros(PLACES)
        values[place] = known
        if not (values[place] == known).all():
            return None
        taken = counts > 0
        return cls(values[taken], counts[taken])

    @classmethod
    def _by_order(cls, known: Floats) -> Distinct:
        ordered = np.sort(known)
        starts = np.concatenate([[0], np.flatnonzero(ordered[1:] != ordered[:-1]) + 1])[: ordered.size]
        return cls(ordered[starts], np.diff(starts, append=ordered.size))

    @property
    def size(self) -> int:
        """Readings in all."""
        return int(self.counts.sum())

    def part(self, above: float = -np.inf, up_to: float = np.inf) -> Distinct:
        """Readings above one value, up to another."""
        first, last = np.searchsorted(self.values, (above, up_to), side="right")
        return Distinct(self.values[first:last], self.counts[first:last])

    def mean(self) -> float:
        """Mean of all readings."""
        return float((self.values * self.counts).sum() / self.size)

    def quantile(self, share: float) -> float:
        """The value that this share of the readings is below, on a line between neighbours."""
        place = (self.size - 1) * share
        up_to = np.cumsum(self.counts)
        before, after = self.values[np.searchsorted(up_to, (np.floor(place), np.ceil(place)), side="right")]
        return float(before + (after - before) * (place % 1))

    def histogram(self, low: float, high: float) -> tuple[Floats, Floats]:
        """Readings in each of `BINS` equal parts between two values, and the edges of these."""
        counts, edges = np.histogram(self.values, bins=BINS, range=(low, high), weights=self.counts)
        return counts.astype(float), edges


def otsu(readings: Floats | Distinct) -> tuple[float, float]:
    """Otsu's cut and its separability.

    Parameters
    ----------
    readings : array, shape (n,), or Distinct

    Returns
    -------
    tuple of float
        The highest value of the lower class, and the share of the variance between the classes (0 to 1).
    """
    known = readings if isinstance(readings, Distinct) else Distinct.of(readings)
    values, counts, size = known.values, known.counts, known.size
    if values.size < 2:
        return float(values[0]) if values.size else float("nan"), 0.0
    below = np.cumsum(counts)[:-1] / size
    # About the mean, so that nothing is lost to large offsets.
    centred = values - known.mean()
    sums = np.cumsum(centred * counts)[:-1] / size
    between = sums**2 / (below * (1 - below))
    at = int(np.argmax(between))
    return float(values[at]), float(between[at] / ((centred**2 * counts).sum() / size))


def two_levels(readings: Floats | Distinct, separable: float = SEPARABLE) -> Levels | None:
    """Both levels of a quantity; None where there is only one.

    Parameters
    ----------
    readings : array, shape (n,), or Distinct
        NaN is left out.
    separable : float [fraction]
        Share of the variance that the cut must explain.
    """
    known = readings if isinstance(readings, Distinct) else Distinct.of(readings)
    if known.size < 4:
        return None
    cut, share = otsu(known)
    if share >= separable:
        threshold = _emptiest(known, known.part(up_to=cut).quantile(0.5), known.part(above=cut).quantile(0.5))
        how = "by Otsu's method, in the emptiest place between two levels"
    else:
        gap = _widest_gap(known)
        if gap is None:
            return None
        threshold, how = gap, "in the widest gap of the histogram"
    lower, upper = known.part(up_to=threshold), known.part(above=threshold)
    return Levels(threshold, lower.mean(), upper.mean(), upper.size / known.size, how)


def running_threshold(readings: Floats | Distinct) -> Levels | None:
    """What parts off from running, where running itself may have two levels; None where there is one level only.

    Parameters
    ----------
    readings : array, shape (n,), or Distinct
        Higher where the system runs; NaN is left out.
    """
    known = readings if isinstance(readings, Distinct) else Distinct.of(readings)
    found = two_levels(known)
    if found is None:
        return None
    lower = two_levels(known.part(up_to=found.threshold))
    if lower is None:
        return found
    far = (lower.high - lower.low) / (found.high - lower.low)
    in_lower = lower.share * (1 - found.share)
    if far >= LOWER_LEVEL and in_lower >= LOWER_SHARE * (in_lower + found.share):
        upper = known.part(above=lower.threshold)
        return Levels(lower.threshold, lower.low, upper.mean(), upper.size / known.size, lower.how)
    return found


def _emptiest(known: Distinct, low: float, high: float) -> float:
    """Middle of the emptiest place between two values."""
    counts, edges = known.histogram(low, high)
    # Ends belong to the levels themselves.
    inside = np.convolve(counts, np.ones(3), mode="same")
    inside[: BINS // 16] = inside[-(BINS // 16) :] = np.inf
    first, last = _longest(inside == inside.min())
    return float((edges[first] + edges[last]) / 2)


def _widest_gap(known: Distinct) -> float | None:
    low, high = float(known.values[0]), known.quantile(0.999)
    if not high > low:
        return None
    counts, edges = known.histogram(low, high)
    first, last = _longest(counts <= NEARLY_NONE * known.size)
    # Both ends of the range are taken by a level, so a gap at an end is none.
    if first == 0 or last == BINS or (last - first) < GAP * BINS:
        return None
    return float((edges[first] + edges[last]) / 2)


def _longest(flags: np.ndarray) -> tuple[int, int]:
    """First and one past the last of the longest row of true values."""
    padded = np.concatenate([[False], flags, [False]]).astype(np.int8)
    steps = np.diff(padded)
    starts, stops = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    if not starts.size:
        return 0, 0
    at = int(np.argmax(stops - starts))
    return int(starts[at]), int(stops[at])
