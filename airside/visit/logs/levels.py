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

from airside.visit.logs.log import Floats

# Share of the variance that a cut must explain. One broad level gives 0.75 (uniform) or less; a daily wave gives 0.81.
SEPARABLE = 0.85
# Two stages differ less from each other than running from off, so more is asked.
SEPARABLE_STAGES = 0.92
# A gap counts from this share of the range, if nearly no reading is in it.
GAP, NEARLY_NONE = 0.25, 0.001
# A lower level of running: its distance from off over that of the upper level, and its share of the running minutes.
LOWER_LEVEL, LOWER_SHARE = 0.25, 0.05
BINS = 64


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


def otsu(values: Floats) -> tuple[float, float]:
    """Otsu's cut and its separability.

    Parameters
    ----------
    values : array, shape (n,)
        Without NaN.

    Returns
    -------
    tuple of float
        The highest value of the lower class, and the share of the variance between the classes (0 to 1).
    """
    ordered = np.sort(values)
    count = ordered.size
    if count < 2 or ordered[0] == ordered[-1]:
        return float(ordered[0]) if count else float("nan"), 0.0
    below = np.arange(1, count) / count
    # About the mean, so that nothing is lost to large offsets.
    centred = ordered - ordered.mean()
    sums = np.cumsum(centred)[:-1] / count
    between = sums**2 / (below * (1 - below))
    # A cut between equal values is none.
    between[ordered[1:] == ordered[:-1]] = -1.0
    at = int(np.argmax(between))
    return float(ordered[at]), float(between[at] / np.mean(centred**2))


def two_levels(values: Floats, separable: float = SEPARABLE) -> Levels | None:
    """Both levels of a quantity; None where there is only one.

    Parameters
    ----------
    values : array, shape (n,)
        NaN is left out.
    separable : float [fraction]
        Share of the variance that the cut must explain.
    """
    known = values[np.isfinite(values)]
    if known.size < 4:
        return None
    cut, share = otsu(known)
    if share >= separable:
        low, high = known[known <= cut], known[known > cut]
        threshold = _emptiest(known, float(np.median(low)), float(np.median(high)))
        how = "by Otsu's method, in the emptiest place between two levels"
    else:
        gap = _widest_gap(known)
        if gap is None:
            return None
        threshold, how = gap, "in the widest gap of the histogram"
    upper = known > threshold
    return Levels(
        threshold, float(known[~upper].mean()), float(known[upper].mean()), float(upper.mean()), how
    )  # fmt: skip


def running_threshold(values: Floats) -> Levels | None:
    """What parts off from running, where running itself may have two levels; None where there is one level only.

    Parameters
    ----------
    values : array, shape (n,)
        Higher where the system runs; NaN is left out.
    """
    found = two_levels(values)
    if found is None:
        return None
    known = values[np.isfinite(values)]
    lower = two_levels(known[known <= found.threshold])
    if lower is None:
        return found
    far = (lower.high - lower.low) / (found.high - lower.low)
    in_lower = lower.share * (1 - found.share)
    if far >= LOWER_LEVEL and in_lower >= LOWER_SHARE * (in_lower + found.share):
        upper = known[known > lower.threshold]
        return Levels(lower.threshold, lower.low, float(upper.mean()), float(upper.size / known.size), lower.how)
    return found


def _emptiest(known: Floats, low: float, high: float) -> float:
    """Middle of the emptiest place between two values."""
    counts, edges = np.histogram(known, bins=BINS, range=(low, high))
    # Ends belong to the levels themselves.
    inside = np.convolve(counts, np.ones(3), mode="same")
    inside[: BINS // 16] = inside[-(BINS // 16) :] = np.inf
    first, last = _longest(inside == inside.min())
    return float((edges[first] + edges[last]) / 2)


def _widest_gap(known: Floats) -> float | None:
    low, high = (float(v) for v in np.quantile(known, (0.0, 0.999)))
    if not high > low:
        return None
    counts, edges = np.histogram(known, bins=BINS, range=(low, high))
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
