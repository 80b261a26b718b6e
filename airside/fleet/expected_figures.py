"""Delivered over expected capacity of every stretch, with the doubt of the visit and of what is expected.

Three figures without unit: ``expected_ratio``, delivered over expected at each stretch's conditions and airflow;
``relative_capacity``, delivered over expected at its conditions and the rated airflow, by which periods are compared, since
work may have changed the airflow; ``flow_ratio``, standard airflow over the rated one.

Sources
-------
What is expected and its doubt: `airside.compare.rating`. Linear propagation: JCGM 100:2008 5.1.2 and 5.2.2.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Number
from airside.compare.correction import AXES, standard_flow
from airside.compare.rating import LEVEL, ONE_FLOW_RANGE, Rating, rating_of
from airside.compare.reference import Conditions
from airside.visit.inputs import Measured
from airside.visit.logs.log import Floats
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.logs.stretch_capacity import StretchCapacities, StretchFigure, stretch_capacities

RATIO, RELATIVE, FLOW = "expected_ratio", "relative_capacity", "flow_ratio"


@dataclass(frozen=True, eq=False)
class RatedCapacities:
    """Figures of a logged visit's stretches, with those against the rating.

    Attributes
    ----------
    capacities : StretchCapacities
        With the three figures beside the others where there is a rating; NaN where it does not reach.
    keys : tuple of str
        What each row of a figure's `effects` belongs to: a named error's key; those of the rating come last.
    why : str
        Why nothing is expected; empty where something is.
    outside : bool array, shape (m,)
        Stretches at conditions or an airflow beyond the rating's range.
    """

    capacities: StretchCapacities
    keys: tuple[str, ...]
    why: str
    outside: NDArray[np.bool_]


def rated_capacities(logged: LoggedVisit) -> RatedCapacities:
    """Capacities of a logged visit's stretches, and each against what is expected.

    Parameters
    ----------
    logged : LoggedVisit

    Raises
    ------
    VisitError, TableError
        The visit, its airflow's evidence or its performance table cannot be used.
    """
    visit = logged.standing
    rating, why = rating_of(visit)
    if rating is not None and visit.readings.outdoor is None:
        rating, why = (
            None,
            "The visit has no outdoor dry bulb, so there is no expected capacity. Add [readings.outdoor].",
        )
    if rating is None:
        found = logged.capacities()
        return RatedCapacities(found, tuple(e.key for e in found.errors), why, np.zeros(len(found), dtype=bool))
    at_rated = replace(rating, correction=replace(rating.correction, same_flow=False))
    states: list[Measured] = []

    def more(measured: Measured) -> Mapping[str, Number]:
        # The first call has the readings as they are.
        states.append(measured) if not states else None
        here, flow = _conditions(measured)
        total = np.asarray(measured.capacity.total)
        with np.errstate(all="ignore"):
            return {
                RATIO: total / rating.capacity(here, flow), RELATIVE: total / at_rated.capacity(here, flow),
                FLOW: np.asarray(flow) / rating.correction.rated_flow,
            }  # fmt: skip

    found = stretch_capacities(visit, logged.log, logged.stretches, more)
    here, flow = _conditions(states[0])
    outside = _outside(rating, here, flow, len(found))
    figures = dict(found.figures)
    keys = [e.key for e in found.errors]
    rates = [LEVEL, *(f"curve/capacity/{a}" for a in AXES)]
    for name, figure in figures.items():
        steps = np.zeros((len(rates), len(found)))
        if name in (RATIO, RELATIVE):
            steps = -figure.value * _steps(rating if name == RATIO else at_rated, here, flow, len(found))
            # Beyond the range a relation would be read on where nobody has measured it.
            gone = outside if name == RATIO else _outside(at_rated, here, flow, len(found))
            figure = _without(figure, gone)
            steps[:, gone] = np.nan
        figures[name] = _with(figure, steps)
    return RatedCapacities(replace(found, figures=figures), (*keys, *rates), "", outside)


def _conditions(measured: Measured) -> tuple[Conditions, Number]:
    assert measured.outdoor_dry_bulb is not None
    here = Conditions("stretches", measured.return_air.wet_bulb, measured.outdoor_dry_bulb)
    return here, standard_flow(measured.airflow.dry_air_mass_flow)


def _steps(rating: Rating, here: Conditions, flow: Number, count: int) -> Floats:
    """Standard deviation of the logarithm of what is expected, by error of the rating, shape (4, m)."""
    start, at_flow = rating.start()
    factors = rating.correction.factors("capacity", start, at_flow, here, flow)
    rows = [np.full(count, rating.doubt_of_level)]
    rows += [np.broadcast_to(factors.get(a, np.zeros(1)) * rating.correction.doubt, (count,)) for a in AXES]
    return np.stack(rows)


def _outside(rating: Rating, here: Conditions, flow: Number, count: int) -> NDArray[np.bool_]:
    """Stretches beyond the rating's range."""
    indoor, outdoor, flows = rating.correction.limits()
    checks: list[tuple[Number, float, float]] = [
        (here.indoor, indoor.low, indoor.high),
        (here.outdoor, outdoor.low, outdoor.high),
    ]
    if rating.correction.same_flow:
        ratio = np.asarray(flow) / (rating.correction.rated_flow if rating.table is None else 1.0)
        checks.append((ratio, flows.low, flows.high))
    elif rating.table is not None and flows.low == flows.high:
        checks.append((flow, flows.low * (1 - ONE_FLOW_RANGE), flows.low * (1 + ONE_FLOW_RANGE)))
    found = np.zeros(count, dtype=bool)
    for value, low, high in checks:
        slack = 1e-6 * max(abs(low), abs(high))
        # Not-a-number is in no range.
        found |= ~((np.asarray(value) >= low - slack) & (np.asarray(value) <= high + slack))
    return found


def _without(figure: StretchFigure, gone: NDArray[np.bool_]) -> StretchFigure:
    value, own = np.where(gone, np.nan, figure.value), np.where(gone, np.nan, figure.own)
    return replace(figure, value=value, own=own, effects=np.where(gone, np.nan, figure.effects))


def _with(figure: StretchFigure, steps: Floats) -> StretchFigure:
    effects = np.concatenate([figure.effects, steps])
    return replace(figure, effects=effects, shared=np.sqrt((effects**2).sum(axis=0)))
