"""Accuracy statements as data sheets give them, as standard uncertainties.

Sources
-------
JCGM 100:2008 (GUM) 4.3.7 (a limit is a rectangular distribution: half-width over root 3) and 4.3.4
(a 95 % statement is taken as normal: half-width over 1.96).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from airside.instruments.named_error import Shape

Combination = Literal["sum", "larger"]
Coverage = Literal["limit", "95 %"]
NORMAL_95 = 1.959964


@dataclass(frozen=True)
class Statement:
    """An accuracy statement.

    Attributes
    ----------
    accuracy : float
        Half-width in the quantity's inside unit.
    of_reading : float [fraction]
        Half-width as a part of the reading.
    combination : "sum" or "larger"
        How the two go together.
    coverage : "limit" or "95 %"
    resolution : float
        Smallest step shown; 0 where unknown.
    """

    accuracy: float = 0.0
    of_reading: float = 0.0
    combination: Combination = "sum"
    coverage: Coverage = "limit"
    resolution: float = 0.0

    @property
    def shape(self) -> Shape:
        """Distribution that the coverage stands for."""
        return "rectangular" if self.coverage == "limit" else "normal"

    def half_width(self, reading: float) -> float:
        """Half-width at a reading, in the quantity's unit."""
        relative = self.of_reading * abs(reading)
        return self.accuracy + relative if self.combination == "sum" else max(self.accuracy, relative)

    def standard_uncertainty(self, reading: float) -> float:
        """Standard uncertainty at a reading, in the quantity's unit."""
        return self.half_width(reading) / (math.sqrt(3) if self.coverage == "limit" else NORMAL_95)


def resolution_uncertainty(resolution: float, scatter: float, count: int) -> float:
    """Standard uncertainty of the mean of readings that are shown in steps.

    Where the scatter is at least the step, rounding averages out like scatter does; where all
    readings show the same step, it does not (JCGM 100:2008 F.2.2.1).

    Parameters
    ----------
    resolution : float
        Step.
    scatter : float
        Standard deviation of the readings.
    count : int
    """
    single = resolution / math.sqrt(12)
    return single / math.sqrt(count) if scatter >= resolution else single
