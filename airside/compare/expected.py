"""Expected against delivered: what the equipment should deliver at the measured conditions, and whether it does.

What is expected, and its doubt, is `airside.compare.rating`'s. Delivered capacity and the conditions
have the visit's own draws, so what they share is counted once.

Sources
-------
JCGM 106:2012 ch. 7 (probability of being below a limit).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array, Number
from airside.compare.correction import standard_flow
from airside.compare.rating import Rating, rating_of
from airside.compare.reference import Conditions
from airside.errors import ComparisonError
from airside.instruments.propagation import Estimate, error_draws, estimate
from airside.results import Result, Row, plain
from airside.units import UnitSystem, percent, show
from airside.visit.inputs import Measured
from airside.visit.uncertainty import VisitUncertainty

# Delivered over expected below which something is likely wrong; common practice, no source.
DEFAULT_LIMIT = 0.9


@dataclass(frozen=True, eq=False, repr=False)
class Expected(Result):
    """Expected against delivered capacity of one visit.

    Attributes
    ----------
    rating : Rating
    conditions : Conditions
        Return wet bulb and outdoor dry bulb at the readings.
    flow : float [m³/s of standard air]
    total, delivered : Estimate [W]
        Expected and delivered total capacity.
    ratio : Estimate [fraction]
        Delivered over expected.
    limit : float [fraction]
    probability_below : float [fraction]
        That the ratio is below the limit.
    share_of_rating : float [fraction]
        Part of the ratio's variance that comes from what is expected, not from the visit.
    ratio_draws : array, shape (draws,)
        Of `ratio`; NaN for air that cannot be. Two visits on one set of draws share what is expected.
    units : "IP" or "SI"
        For sentences.
    """

    rating: Rating
    conditions: Conditions
    flow: float
    total: Estimate
    delivered: Estimate
    ratio: Estimate
    limit: float
    probability_below: float
    share_of_rating: float
    ratio_draws: Array
    units: UnitSystem = "SI"
    title = "Expected against delivered"

    @property
    def sentence(self) -> str:
        """The answer with its numbers."""
        low, high = (percent(v, 0) for v in self.ratio.interval_95)
        interval = (
            f" (95 % interval {low.removesuffix(' %')} to {high})" if np.isfinite(self.ratio.interval_95[0]) else ""
        )
        said = (
            f"Delivered capacity is {percent(self.ratio.value)}{interval} of the "
            f"{show(self.total.value, 'capacity', self.units)} that is expected at these conditions."
        )
        if np.isfinite(self.probability_below):
            below = percent(self.probability_below, 1)
            said += f" The probability that it is below {percent(self.limit)} is {below}."
        return said

    def rows(self) -> Iterable[Row]:
        """Expected and delivered total, their ratio, and the probability."""
        rows = [
            _row("expected_total", self.total, "capacity", "expected total capacity"),
            _row("delivered_total", self.delivered, "capacity", "delivered total capacity"),
            _row("ratio", self.ratio, "percentage", "delivered over expected"),
        ]
        label = f"probability that it is below {percent(self.limit)}"
        return [*rows, Row("probability_below", self.probability_below, "percentage", label)]

    def notes(self) -> Iterable[str]:
        """The answer, where its doubt comes from, and what was assumed."""
        part = []
        if np.isfinite(self.share_of_rating):
            part = [
                f"{percent(self.share_of_rating)} of the ratio's variance comes from what is expected, the rest from the visit."
            ]
        return [self.sentence, *part, *self.rating.assumptions(self.units)]

    def to_dict(self) -> dict[str, Any]:
        """The contract of the JSON key ``expected``: SI, the unit in each key."""
        return {
            "by": self.rating.correction.name,
            "return_wet_bulb_C": float(np.asarray(self.conditions.indoor)),
            "outdoor_dry_bulb_C": float(np.asarray(self.conditions.outdoor)),
            "standard_volume_flow_m3_s": self.flow,
            **super().to_dict(),
            "limit": self.limit,
            "share_of_rating": plain(self.share_of_rating),
            "sentence": self.sentence,
            "assumptions": list(self.rating.assumptions(self.units)),
        }


def _row(name: str, found: Estimate, kind: str, label: str) -> Row:
    known = np.isfinite(found.standard_uncertainty)
    return Row(
        name, found.value, kind, label,
        uncertainty=found.standard_uncertainty if known else None, interval=found.interval_95 if known else None,
    )  # fmt: skip


def expected_of_visit(
    doubt: VisitUncertainty, *, limit: float = DEFAULT_LIMIT, rating: Rating | None = None
) -> tuple[Expected | None, str]:
    """Expected against delivered capacity, and why there is none.

    Parameters
    ----------
    doubt : VisitUncertainty
        Of the visit, from `airside.analyse(visit).doubt`.
    limit : float [fraction]
        Delivered over expected, for the probability of being below it.
    rating : Rating, optional
        Default: from the visit's performance table, or its nominal capacity and the rating curve.

    Returns
    -------
    tuple of Expected or None, and str
        The answer, or the sentence that says why there is none.

    Raises
    ------
    ComparisonError
        The limit is not between 0 and 2.
    TableError
        The performance table cannot be used.
    """
    if not 0 < limit <= 2:
        raise ComparisonError(f"the limit is {limit:g}; expected a fraction such as 0.9.")
    visit, at = doubt.visit, doubt.at_readings
    if rating is None:
        rating, reason = rating_of(visit)
        if rating is None:
            return None, reason
    if at.outdoor_dry_bulb is None:
        return None, "The visit has no outdoor dry bulb, so there is no expected capacity. Add [readings.outdoor]."
    here, flow = _conditions(at)
    standard = float(np.asarray(flow))
    why = rating.outside("the visit", here, standard, visit.units)
    if why:
        return None, f"No capacity is expected. {why[0].upper()}{why[1:]}"
    drawn = error_draws(rating.errors(), doubt.draws)
    measured, possible = doubt.measured, doubt.is_possible

    def kept(values: Any) -> Array:
        column: Array = np.broadcast_to(np.asarray(values, dtype=np.float64), possible.shape)[possible]
        return column

    with np.errstate(all="ignore"):
        there = _conditions(measured)
        total = kept(rating.capacity(*there, drawn))
        delivered = kept(measured.capacity.total)
        ratio = delivered / total
        alone = delivered / kept(rating.capacity(*there))
    whole = np.full(possible.shape, np.nan)
    whole[possible] = ratio
    value = float(rating.capacity(here, standard))
    at_readings = float(np.asarray(at.capacity.total))
    known = ratio[np.isfinite(ratio)]
    spread = float(np.var(known)) if known.size > 1 else 0.0
    own = float(np.nanvar(alone)) if spread > 0 else float("nan")
    found = Expected(
        rating=rating, conditions=here, flow=standard, total=estimate(value, total),
        delivered=estimate(at_readings, delivered), ratio=estimate(at_readings / value, ratio), limit=limit,
        probability_below=float(np.mean(known < limit)) if known.size else float("nan"),
        share_of_rating=max(1 - own / spread, 0.0) if spread > 0 else float("nan"), ratio_draws=whole,
        units=visit.units,
    )  # fmt: skip
    return found, ""


def _conditions(measured: Measured) -> tuple[Conditions, Number]:
    """Return wet bulb and outdoor dry bulb, and flow as standard air."""
    assert measured.outdoor_dry_bulb is not None
    here = Conditions("conditions of the visit", measured.return_air.wet_bulb, measured.outdoor_dry_bulb)
    return here, standard_flow(measured.airflow.dry_air_mass_flow)
