"""Acceptance against a specification: how probable is it that enough capacity is delivered?

Sources
-------
JCGM 106:2012 (The role of measurement uncertainty in conformity assessment), ch. 7: conformance
probability of a measured item with a lower limit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from airside.errors import ComparisonError
from airside.units import percent
from airside.visit.uncertainty import VisitUncertainty


@dataclass(frozen=True)
class Acceptance:
    """Delivered capacity against a lower limit.

    Attributes
    ----------
    limit : float [W]
    share : float [fraction]
        The limit's part of the specification.
    of : str
        What the specification is: "nominal capacity", "expected capacity".
    ratio : float [fraction]
        Delivered over specification.
    probability : float [fraction]
        That delivered capacity is at least the limit.
    """

    limit: float
    share: float
    of: str
    ratio: float
    probability: float

    @property
    def sentence(self) -> str:
        """The answer with its number."""
        return (
            f"Delivered capacity, as measured and not at rating conditions, is {percent(self.ratio, 0)} of {self.of}. The probability that it is at least {percent(self.share, 0)} of it "
            f"is {percent(self.probability, 1)}."
        )


def acceptance(doubt: VisitUncertainty, share: float, *, capacity: float | None = None, of: str = "") -> Acceptance:
    """Probability that delivered capacity is at least a share of a specification.

    Parameters
    ----------
    doubt : VisitUncertainty
        Of the visit, from `airside.analyse(visit).doubt`.
    share : float [fraction]
        0.9 for "at least 90 %".
    capacity : float [W], optional
        The specification; default the nominal capacity of the visit.
    of : str
        What the specification is, for the sentence.

    Raises
    ------
    ComparisonError
        No specification is known, or the share is not between 0 and 2.
    """
    if not 0 < share <= 2:
        raise ComparisonError(f"the share is {share:g}; expected a fraction such as 0.9.")
    specified = capacity if capacity is not None else doubt.visit.system.nominal_capacity
    if specified is None:
        raise ComparisonError(
            f"{doubt.visit.name}: no nominal capacity is given, so there is nothing to hold the delivered one against. "
            "Add nominal_capacity under [system]."
        )
    total = np.asarray(doubt.measured.capacity.total)[doubt.is_possible]
    limit = share * specified
    at = float(np.asarray(doubt.at_readings.capacity.total))
    return Acceptance(limit, share, of or "nominal capacity", at / specified, float(np.mean(total >= limit)))
