"""Expected against delivered: what the equipment should deliver at the measured conditions, and whether it does.

Expected capacity comes from the manufacturer's performance table, or from the nominal capacity and a
rating curve. Its doubt has two parts, each with a name: the level (nominal capacity, or the table as
a whole), and the slopes with return air, outdoor air and airflow, which count the more the farther the
visit is from rating condition A. Delivered capacity and the conditions have the visit's own draws, so
what they share is counted once.

Sources
-------
10 CFR part 430 subpart B appendix M1, cooling test A. Rating curves and slopes' doubt: `airside.compare.curves`.
JCGM 106:2012 ch. 7 (probability of being below a limit).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array, Number
from airside.air.state import MoistAir
from airside.compare.correction import Correction, rated_flow, standard_flow
from airside.compare.curves import Axis, rating_curve
from airside.compare.performance_table import PerformanceTable, read_performance_table
from airside.compare.reference import RATING, Conditions
from airside.errors import ComparisonError
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import Estimate, error_draws, estimate
from airside.results import Result, Row, plain
from airside.units import UnitSystem, percent, show
from airside.visit.inputs import Measured
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty

# Standard uncertainty of what the equipment delivers when it is well, as a part of nominal capacity with a rating
# curve, and of a manufacturer's table; common practice, no source.
NOMINAL_DOUBT = 0.05
TABLE_DOUBT = 0.03
# Delivered over expected below which something is likely wrong; common practice, no source.
DEFAULT_LIMIT = 0.9
# A table of one airflow is used as far as this from it [fraction]; common practice, no source.
ONE_FLOW_RANGE = 0.10
LEVEL = "expected/level"


@dataclass(frozen=True)
class Rating:
    """Cooling capacity of healthy equipment over conditions.

    Attributes
    ----------
    correction : Correction
        Rating curve or table, with its doubt.
    nominal_capacity : float [W] or None
        What a rating curve is scaled with; a table needs none.
    """

    correction: Correction
    nominal_capacity: float | None

    @property
    def table(self) -> PerformanceTable | None:
        """The table, where it is one."""
        source = self.correction.source
        return source if isinstance(source, PerformanceTable) else None

    @property
    def doubt_of_level(self) -> float:
        """Standard uncertainty of the level [fraction]."""
        return NOMINAL_DOUBT if self.table is None else TABLE_DOUBT

    def errors(self) -> list[NamedError]:
        """The level, and a slope for each axis."""
        name = "nominal capacity" if self.table is None else "performance table: level"
        return [NamedError(name, LEVEL, "curve", self.doubt_of_level), *self.correction.errors("capacity")]

    def start(self) -> tuple[Conditions, float]:
        """Conditions and flow [m³/s of standard air] where the slopes' doubt is zero: condition A at rated flow.

        In a table that does not reach it, its nearest point.
        """
        a = RATING["cooling"]["A"]
        if self.table is None:
            return a, self.correction.rated_flow
        indoor, outdoor, flow = self.correction.limits()
        near = Conditions(
            a.name, _into(float(np.asarray(a.indoor)), indoor), _into(float(np.asarray(a.outdoor)), outdoor)
        )
        return near, _into(self.correction.rated_flow, flow)

    def capacity(self, conditions: Conditions, flow: Number, errors: Mapping[str, Number] | None = None) -> Array:
        """Expected total capacity [W].

        Parameters
        ----------
        conditions : Conditions
            Return wet bulb and outdoor dry bulb.
        flow : float or array [m³/s of standard air]
        errors : mapping of str to array, optional
            Draws of `errors` by key; a missing one is zero.
        """
        errors = errors or {}
        start, at_flow = self.start()
        if self.table is not None:
            level = np.asarray(self.table.read("total", start.indoor, start.outdoor, at_flow, outside="extend"))
        else:
            assert self.nominal_capacity is not None
            ratio = self.correction.source.capacity_ratio(start.indoor, start.outdoor)  # type: ignore[union-attr]
            level = self.nominal_capacity * np.asarray(ratio)
        factors = self.correction.factors("capacity", start, at_flow, conditions, flow)
        found: Array = level * np.exp(errors.get(LEVEL, 0.0)) * self.correction.apply("capacity", factors, errors)
        return found

    def capacity_ratio(self, here: Conditions, flow: Number, outdoor: Number) -> Callable[[MoistAir, Number], Number]:
        """Capacity at another outdoor dry bulb over that here, for `airside.air.coil_prediction.predict_coil`.

        Parameters
        ----------
        here : Conditions
            Of the measured coil.
        flow : float or array [m³/s of standard air]
            Of the measured coil.
        outdoor : float or array [°C]
            The other outdoor dry bulb.

        Returns
        -------
        callable
            Of return air and dry air flow [kg/s]. A curve or table is read on beyond its ends: see `outside`.
        """
        measured = self.capacity(here, flow)

        def ratio(air: MoistAir, dry_air_mass_flow: Number) -> Number:
            there = self.capacity(Conditions("", air.wet_bulb, outdoor), standard_flow(dry_air_mass_flow))
            found: Array = there / measured
            return float(found) if found.ndim == 0 else found

        return ratio

    def outside(self, where: str, conditions: Conditions, flow: float, units: UnitSystem) -> str:
        """Why conditions cannot be used; empty where they can."""
        flows = self.correction.limits()[2]
        if self.table is None or flows.low < flows.high:
            return self.correction.outside(where, conditions, flow, units)
        if abs(flow / flows.low - 1) > ONE_FLOW_RANGE:
            one, found = (show(v, "volume_flow", units) for v in (flows.low, flow))
            return (
                f"{where}: the {self.correction.name} is for {one} alone, and the airflow is {found} of standard air, more than "
                f"{percent(ONE_FLOW_RANGE)} away."
            )
        # Without `same_flow` the flow is not looked at.
        return Correction(self.correction.source, self.correction.rated_flow, False).outside(
            where, conditions, flows.low, units
        )

    def assumptions(self, units: UnitSystem) -> tuple[str, ...]:
        """What is taken for granted."""
        if self.table is None:
            assert self.nominal_capacity is not None
            said = [
                f"Expected capacity: nominal capacity {show(self.nominal_capacity, 'nominal_capacity', units)} by the "
                f"{self.correction.name}.",
                rated_flow(self.nominal_capacity, 0.0)[1],
                f"Nominal capacity is good to {percent(NOMINAL_DOUBT)} (standard uncertainty); common practice, no source.",
            ]
        else:
            said = [
                f"Expected capacity: {self.correction.name}.",
                f"The table is good to {percent(TABLE_DOUBT)} (standard uncertainty); common practice, no source.",
            ]
            flows = self.correction.limits()[2]
            if flows.low == flows.high:
                said.append(f"The table has one airflow; it is used within {percent(ONE_FLOW_RANGE)} of it as it is.")
        return (
            *said,
            f"The slopes of expected capacity are good to {percent(self.correction.doubt)} of themselves, from rating condition A.",
            "Expected capacity is taken as net of fan heat, as delivered capacity is, and airflow as standard air at any elevation.",
        )


def _into(value: float, axis: Axis) -> float:
    return min(max(value, axis.low), axis.high)


def rating_of(visit: Visit) -> tuple[Rating | None, str]:
    """What the equipment of a visit should deliver, and why that is not known.

    Raises
    ------
    TableError
        The performance table cannot be used.
    """
    system = visit.system
    if visit.mode != "cooling":
        return None, "Expected capacity is given for cooling: nominal capacity is a cooling capacity."
    if system.performance_table is not None:
        folder = visit.path.parent if visit.path is not None else None
        path = folder / system.performance_table if folder is not None else system.performance_table
        return rating_by_table(read_performance_table(path, visit.units), system.nominal_capacity), ""
    if system.nominal_capacity is None:
        return None, (
            "No nominal capacity and no performance table is given, so there is nothing to expect. "
            "Add nominal_capacity or performance_table under [system]."
        )
    curve = rating_curve(system.equipment, visit.mode)
    if curve is None:
        return None, f"There is no rating curve for an {system.equipment} in {visit.mode}."
    return Rating(Correction(curve, rated_flow(system.nominal_capacity, 0.0)[0], True), system.nominal_capacity), ""


def rating_by_table(table: PerformanceTable, nominal_capacity: float | None = None) -> Rating:
    """The rating that a performance table gives.

    Parameters
    ----------
    table : PerformanceTable
    nominal_capacity : float [W], optional
        Gives the rated flow; without it, that is the middle of the table's.
    """
    flows = table.limits()[2]
    rated = (flows.low + flows.high) / 2
    if nominal_capacity is not None:
        rated = rated_flow(nominal_capacity, rated)[0]
    return Rating(Correction(table, rated, flows.low < flows.high), nominal_capacity)


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
