"""Side-by-side check: two probes in one airstream for some minutes.

The mean difference is the offset between them, with its own doubt from the scatter of the
differences. Applied as a correction, it brings both probes to one scale, halfway between them. Their
common error stays, and so does the doubt of the check.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from airside.errors import EvidenceError


@dataclass(frozen=True)
class Offset:
    """Offset of a second probe from a first one, for one quantity.

    Attributes
    ----------
    offset : float
        Mean of second less first, in the quantity's unit.
    standard_uncertainty : float
        Of that mean: scatter over root n, and resolution.
    count : int
        Pairs of readings.
    is_significant : bool
        Whether the offset is more than twice its standard uncertainty.
    """

    offset: float
    standard_uncertainty: float
    count: int

    @property
    def is_significant(self) -> bool:
        """Whether the offset is more than twice its standard uncertainty."""
        return abs(self.offset) > 2 * self.standard_uncertainty


# Pairs that a check needs before its scatter says anything (common practice, no source).
FEWEST_PAIRS = 3


def offset(first: Sequence[float], second: Sequence[float], *, resolution: float = 0.0) -> Offset:
    """Offset between two probes from paired readings in one airstream.

    Parameters
    ----------
    first, second : sequence of float, length n
        Readings taken together, in one unit.
    resolution : float
        Step of the displays.

    Raises
    ------
    EvidenceError
        Unequal lengths, or fewer than 3 pairs.
    """
    if len(first) != len(second):
        raise EvidenceError(
            f"side-by-side check: {len(first)} readings of the first probe and {len(second)} of the second; "
            "expected pairs taken together."
        )
    if len(first) < FEWEST_PAIRS:
        raise EvidenceError(f"side-by-side check: {len(first)} pairs of readings; expected at least {FEWEST_PAIRS}.")
    difference = np.asarray(second, dtype=np.float64) - np.asarray(first, dtype=np.float64)
    count = difference.size
    scatter = float(difference.std(ddof=1))
    # Two displays round, each by a rectangular error of its own.
    rounding = resolution / math.sqrt(12) * math.sqrt(2)
    rounding = rounding / math.sqrt(count) if scatter >= resolution else rounding
    return Offset(float(difference.mean()), math.hypot(scatter / math.sqrt(count), rounding), count)
