"""Expected against delivered: by hand, by curve and by table, what the doubt is made of, what is refused."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pair_of_visits import HEATING, supply, visit

from airside.air.coil import coil_performance
from airside.air.coil_prediction import predict_coil
from airside.air.coil_status import CoilStatus
from airside.compare.correction import standard_flow
from airside.compare.curves import AIR_CONDITIONER, SLOPE_DOUBT
from airside.compare.expected import DEFAULT_LIMIT, Expected, expected_of_visit
from airside.compare.rating import NOMINAL_DOUBT, ONE_FLOW_RANGE, TABLE_DOUBT, Rating, rating_of
from airside.compare.reference import RATING, Conditions
from airside.errors import ComparisonError, TableError
from airside.instruments.named_error import Draws
from airside.instruments.propagation import error_draws
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

COUNT = 40_000
A = RATING["cooling"]["A"]
# 400 cfm of standard air for 12,000 Btu/h, worked by hand.
CFM_PER_TON = 400 * 0.3048**3 / 60 / (12_000 * 1055.05585262 / 3600)


def doubt_of(found: Visit) -> VisitUncertainty:
    return visit_uncertainty(found, count=COUNT)


def expected(found: Visit, **options: Any) -> Expected:
    answer, reason = expected_of_visit(doubt_of(found), **options)
    assert answer is not None, reason
    assert reason == ""
    return answer


def refused(found: Visit, **options: Any) -> str:
    answer, reason = expected_of_visit(doubt_of(found), **options)
    assert answer is None
    # A sentence.
    assert reason[0].isupper() and reason.endswith("."), reason
    return reason


def total(wet_bulb: float, outdoor: float, flow: float) -> float:
    """Capacity of an invented unit [kW], linear in each variable, so that a table of corners is exact."""
    return 10.0 + 0.25 * (wet_bulb - 18) - 0.08 * (outdoor - 35) + 0.005 * (flow - 520)


def write_table(folder: Path, flows: tuple[float, ...] = (400.0, 640.0)) -> dict[str, Any]:
    points = itertools.product((14.0, 22.0), (25.0, 45.0), flows)
    rows = [f"{w:g},{o:g},{f:g},{total(w, o, f):.9g}" for w, o, f in points]
    head = "return wet bulb [degC],outdoor dry bulb [degC],flow [L/s],total [kW]"
    (folder / "table.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return {"system.performance_table": "table.csv"}


def test_by_the_curve_by_hand() -> None:
    found = expected(visit())
    doubt = doubt_of(visit())
    wet = float(doubt.at_readings.return_air.wet_bulb) * 1.8 + 32
    out = 32.0 * 1.8 + 32
    flow = float(doubt.at_readings.airflow.dry_air_mass_flow) / (0.075 * 0.45359237 / 0.3048**3)
    share = flow / (CFM_PER_TON * 10_000)
    # Coefficients of NREL/TP-5500-56354 as the reference table has them.
    of_temperature = (
        3.670270705 - 0.098652414 * wet + 0.000955906 * wet**2 + 0.006552414 * out - 0.0000156 * out**2 - 0.000131877 * wet * out
    )  # fmt: skip
    of_flow = 0.718605468 + 0.410099989 * share - 0.128705457 * share**2
    assert found.total.value == pytest.approx(10_000 * of_temperature * of_flow, rel=1e-6)
    assert found.delivered.value == pytest.approx(float(doubt.at_readings.capacity.total), rel=1e-12)
    assert found.ratio.value == pytest.approx(found.delivered.value / found.total.value, rel=1e-12)
    assert found.delivered.interval_95 == doubt.estimate("total").interval_95


def test_delivered_as_expected_has_a_ratio_of_one() -> None:
    doubt = doubt_of(visit())
    rating, _ = rating_of(doubt.visit)
    assert rating is not None and rating.nominal_capacity is not None
    first, _ = expected_of_visit(doubt)
    assert first is not None
    # The same curve and rated flow, of a unit that is as strong as was measured.
    scaled = replace(rating, nominal_capacity=rating.nominal_capacity * first.ratio.value)
    found, _ = expected_of_visit(doubt, rating=scaled)
    assert found is not None
    assert found.ratio.value == pytest.approx(1.0, rel=1e-12)
    low, high = found.ratio.interval_95
    assert low < 1 < high
    # Half of the draws are below 1, up to a little skewness.
    at_one, _ = expected_of_visit(doubt, rating=scaled, limit=1.0)
    assert at_one is not None and at_one.probability_below == pytest.approx(0.5, abs=0.05)


def test_probability_agrees_with_the_draws() -> None:
    found = expected(visit(supply(15.0)))
    spread = found.ratio.standard_uncertainty
    distance = (DEFAULT_LIMIT - found.ratio.mean) / spread
    normal = 0.5 * (1 + float(np.tanh(0.7978845608 * (distance + 0.044715 * distance**3))))
    assert found.probability_below == pytest.approx(normal, abs=0.03)
    weaker, stronger = expected(visit(supply(17.0))), expected(visit(supply(12.5)))
    assert weaker.probability_below > found.probability_below > stronger.probability_below
    limits = [expected(visit(supply(15.0)), limit=v).probability_below for v in (0.5, 0.8, 1.0, 1.5)]
    assert limits == sorted(limits) and limits[0] < 0.02 and limits[-1] > 0.98


def test_doubt_of_the_curve_is_its_level_and_its_slopes() -> None:
    found, _ = rating_of(visit())
    assert found is not None
    drawn = error_draws(found.errors(), Draws(COUNT))
    names = [e.name for e in found.errors()]
    assert names == ["nominal capacity", "rating curve: slope of capacity with return air",
                     "rating curve: slope of capacity with outdoor air", "rating curve: slope of capacity with airflow"]  # fmt: skip

    def spread(conditions: Conditions, flow: float) -> float:
        draws = found.capacity(conditions, flow, drawn)
        return float(np.std(np.log(draws)))

    rated = found.correction.rated_flow
    # At the rating condition the level alone.
    assert spread(A, rated) == pytest.approx(NOMINAL_DOUBT, rel=0.03)
    # Elsewhere half of each logarithm of the correction beside it.
    there, flow = Conditions("", 16.0, 28.0), 0.8 * rated
    curve = AIR_CONDITIONER
    steps = [
        np.log(curve.capacity_ratio(16.0, A.outdoor) / curve.capacity_ratio(A.indoor, A.outdoor)),
        np.log(curve.capacity_ratio(16.0, 28.0) / curve.capacity_ratio(16.0, A.outdoor)),
        np.log(curve.capacity_ratio(16.0, 28.0, 0.8) / curve.capacity_ratio(16.0, 28.0)),
    ]
    by_hand = np.sqrt(NOMINAL_DOUBT**2 + sum((SLOPE_DOUBT * s) ** 2 for s in steps))
    assert spread(there, flow) == pytest.approx(by_hand, rel=0.03)


def test_width_of_the_interval_is_that_of_its_parts() -> None:
    found = expected(visit())
    measured = found.delivered.standard_uncertainty / found.delivered.value
    rated = found.total.standard_uncertainty / found.total.value
    whole = found.ratio.standard_uncertainty / found.ratio.value
    assert max(measured, rated) < whole < 1.1 * np.hypot(measured, rated)
    low, high = found.ratio.interval_95
    assert (high - low) == pytest.approx(3.92 * found.ratio.standard_uncertainty, rel=0.05)
    assert found.share_of_rating == pytest.approx((NOMINAL_DOUBT / whole) ** 2, rel=0.5)
    assert 0 < found.share_of_rating < 1


def test_two_visits_share_the_doubt_of_what_is_expected() -> None:
    # One draw of the nominal capacity serves both: it cancels in the quotient of their ratios.
    one, other = (doubt_of(visit({"name": n})) for n in ("before", "after"))
    found = [rating_of(d.visit)[0] for d in (one, other)]
    assert found[0] is not None and found[1] is not None
    draws = [r.capacity(A, 0.5, error_draws(r.errors(), one.draws)) for r in found if r is not None]
    assert (draws[0] == draws[1]).all()


def test_by_a_table(tmp_path: Path) -> None:
    here = visit(write_table(tmp_path), path=tmp_path / "visit.toml")
    found, doubt = expected(here), doubt_of(here)
    flow = 1000 * float(np.asarray(standard_flow(doubt.at_readings.airflow.dry_air_mass_flow)))
    by_hand = 1000 * total(float(doubt.at_readings.return_air.wet_bulb), 32.0, flow)
    assert found.total.value == pytest.approx(by_hand, rel=1e-6)
    assert "table.csv" in found.rating.correction.name
    # A table is worth more than a curve.
    assert found.total.standard_uncertainty < expected(visit()).total.standard_uncertainty
    assert found.total.standard_uncertainty / found.total.value > TABLE_DOUBT
    # It needs no nominal capacity.
    alone = visit(write_table(tmp_path), {"system.nominal_capacity": None}, path=tmp_path / "visit.toml")
    assert expected(alone).total.value == pytest.approx(by_hand, rel=1e-6)


def test_a_table_of_one_airflow(tmp_path: Path) -> None:
    doubt = doubt_of(visit())
    flow = 1000 * float(np.asarray(standard_flow(doubt.at_readings.airflow.dry_air_mass_flow)))
    near = visit(write_table(tmp_path, (flow * 1.05,)), path=tmp_path / "visit.toml")
    found = expected(near)
    by_hand = total(float(doubt.at_readings.return_air.wet_bulb), 32.0, flow * 1.05)
    assert found.total.value == pytest.approx(1000 * by_hand, rel=1e-6)
    assert any("one airflow" in a for a in found.rating.assumptions("SI"))
    far = visit(write_table(tmp_path, (flow * (1.05 + ONE_FLOW_RANGE),)), path=tmp_path / "visit.toml")
    assert "alone" in refused(far)


def test_what_is_missing_is_said() -> None:
    assert "nominal_capacity" in refused(visit({"system.nominal_capacity": None}))
    assert "outdoor" in refused(visit({"readings.outdoor": None}))
    assert "cooling" in refused(visit(HEATING))


def test_outside_the_curve_is_said() -> None:
    cold = refused(visit({"readings.outdoor.dry_bulb": [12.0]}))
    assert "outdoor dry bulb" in cold and "12.0 °C" in cold and "from 18.3 °C to 51.7 °C" in cold
    low = refused(visit({"airflow.volume_flow": [250.0, 252.0]}))
    assert "flow ratio" in low
    dry = refused(
        visit({"readings.return.relative_humidity": [12.0] * 6, "readings.supply.relative_humidity": [22.0] * 6})
    )
    assert "return wet bulb" in dry


def test_outside_the_table_is_said(tmp_path: Path) -> None:
    hot = visit(write_table(tmp_path), {"readings.outdoor.dry_bulb": [47.0]}, path=tmp_path / "visit.toml")
    assert "table.csv" in refused(hot)


def test_bad_limits_and_tables_raise(tmp_path: Path) -> None:
    doubt = doubt_of(visit())
    for limit in (0.0, -0.9, 90.0, float("nan")):
        with pytest.raises(ComparisonError, match="limit"):
            expected_of_visit(doubt, limit=limit)
    missing = visit({"system.performance_table": "none.csv"}, path=tmp_path / "visit.toml")
    with pytest.raises(TableError, match="no such file"):
        expected_of_visit(doubt_of(missing))


def test_impossible_draws_are_set_aside() -> None:
    # Supply air near saturation: many draws are beyond it.
    doubt = doubt_of(visit(supply(14.0, 98.0)))
    assert doubt.set_aside > 1000
    found, _ = expected_of_visit(doubt)
    assert found is not None and np.isfinite(found.ratio.standard_uncertainty)
    assert 0 <= found.probability_below <= 1


def test_prints_and_exports() -> None:
    found = expected(visit(supply(15.5)))
    text = str(found)
    assert "Delivered over expected" in text and "95 % interval" in text and "common practice" in text
    assert "Btu/h" in replace(found, units="IP").sentence
    exported = json.loads(json.dumps(found.to_dict()))
    for key in ("by", "return_wet_bulb_C", "outdoor_dry_bulb_C", "standard_volume_flow_m3_s", "expected_total_W",
                "expected_total_W_u", "expected_total_W_95", "delivered_total_W", "ratio", "ratio_u", "ratio_95",
                "probability_below", "limit", "share_of_rating", "sentence", "assumptions"):  # fmt: skip
        assert exported[key] is not None, key
    assert exported["expected_total_W"] == pytest.approx(found.total.value)
    assert exported["limit"] == DEFAULT_LIMIT


def test_rating_moves_the_coil_to_another_outdoor_temperature() -> None:
    doubt = doubt_of(visit())
    at = doubt.at_readings
    found, _ = rating_of(doubt.visit)
    assert isinstance(found, Rating)
    mass_flow = at.airflow.dry_air_mass_flow
    coil = coil_performance(at.return_air, at.supply_air, mass_flow)
    here = Conditions("", at.return_air.wet_bulb, 32.0)
    same = predict_coil(coil, capacity_ratio=found.capacity_ratio(here, standard_flow(mass_flow), 32.0))
    assert same.supply_air.dry_bulb == pytest.approx(float(at.supply_air.dry_bulb), rel=1e-9)
    hotter = predict_coil(coil, capacity_ratio=found.capacity_ratio(here, standard_flow(mass_flow), 42.0))
    assert hotter.status is CoilStatus.WET
    by_hand = found.capacity(Conditions("", here.indoor, 42.0), standard_flow(mass_flow)) / found.capacity(
        here, standard_flow(mass_flow)
    )
    assert hotter.capacity.total / same.capacity.total == pytest.approx(float(by_hand), rel=1e-9)
    assert hotter.supply_air.dry_bulb > same.supply_air.dry_bulb
