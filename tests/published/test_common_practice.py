"""Rules of thumb of the trade: common practice, no source. They are shown beside exact results, never used for them."""

import math

import pytest

from airside import Airflow, MoistAir, analyse, delivered_capacity, load_visit
from airside.air.process import TEXTBOOK_FACTORS, textbook_factors
from airside.visit.load import parse_visit
from airside.visit.template import visit_template

# Common practice, no source: Btu/h per cfm and °F, per cfm and gr/lb, per cfm and Btu/lb, for standard air.
COMMON_PRACTICE = {"sensible": 1.08, "latent": 0.68, "total": 4.5}
# Common practice, no source: cfm per ton.
NOMINAL_AIRFLOW, LEAST_AIRFLOW, MOST_AIRFLOW = 400, 350, 450

CFM = 0.3048**3 / 60
BTU_H = 1055.05585262 / 3600


def test_the_factors_are_those_of_the_trade():
    assert TEXTBOOK_FACTORS == COMMON_PRACTICE


def test_the_factors_follow_from_standard_air():
    # Dry air of 0.075 lb/ft³, 60 minutes an hour.
    pounds_per_hour = 0.075 * 60
    assert pounds_per_hour == pytest.approx(COMMON_PRACTICE["total"])
    # 0.24 Btu/lb°F of dry air; 0.444 of vapour at about 0.01.
    assert pounds_per_hour * (0.240 + 0.444 * 0.01) == pytest.approx(COMMON_PRACTICE["sensible"], rel=0.03)
    # About 1,060 Btu to evaporate a pound, 7,000 grains to it.
    assert pounds_per_hour * 1060 / 7000 == pytest.approx(COMMON_PRACTICE["latent"], rel=0.01)


def factors(pressure, flow=0.55):
    warm = MoistAir.from_relative_humidity(24.0, 0.50, pressure)
    cold = MoistAir.from_relative_humidity(13.0, 0.88, pressure)
    airflow = Airflow.measured(flow, at=cold)
    capacity = delivered_capacity(warm, cold, airflow)
    return {t.name: t for t in textbook_factors(warm, cold, float(airflow.volume_flow), capacity)}, warm, cold, capacity


def test_near_sea_level_the_factors_are_right_within_a_few_percent():
    found, *_ = factors(101_325.0)
    for name, factor in COMMON_PRACTICE.items():
        assert found[name].factor == factor
        assert found[name].error == pytest.approx(0.0, abs=0.05)


def test_at_altitude_the_factors_are_wrong_by_the_density():
    low, *_ = factors(101_325.0)
    high, *_ = factors(83_000.0)
    assert 1 + high["sensible"].error == pytest.approx((1 + low["sensible"].error) * 101_325 / 83_000, rel=0.01)
    assert high["total"].error > 0.15


def test_the_textbook_figures_by_hand():
    found, warm, cold, capacity = factors(95_000.0)
    cfm = 0.55 / CFM
    degrees = 11.0 * 1.8
    assert found["sensible"].textbook == pytest.approx(1.08 * cfm * degrees * BTU_H, rel=1e-6)
    grains = (warm.humidity_ratio - cold.humidity_ratio) * 7000
    assert found["latent"].textbook == pytest.approx(0.68 * cfm * grains * BTU_H, rel=1e-6)
    heat = (warm.enthalpy - cold.enthalpy) / 2326.0
    assert found["total"].textbook == pytest.approx(4.5 * cfm * heat * BTU_H, rel=1e-6)
    for name in COMMON_PRACTICE:
        exact = getattr(capacity, name)
        assert found[name].exact == exact
        assert found[name].error == pytest.approx(found[name].textbook / exact - 1, rel=1e-9)
        # What the factor would have to be here.
        assert found[name].factor_here == pytest.approx(found[name].factor * exact / found[name].textbook, rel=1e-9)


def test_dry_air_gives_no_latent_factor_and_no_error():
    warm, cold = (MoistAir.from_humidity_ratio(t, 0.006, 101_325.0) for t in (24.0, 14.0))
    capacity = delivered_capacity(warm, cold, 0.6)
    latent = next(t for t in textbook_factors(warm, cold, 0.5, capacity) if t.name == "latent")
    assert math.isnan(latent.error)
    assert math.isnan(latent.factor_here)


def test_the_factors_change_no_result(monkeypatch, tmp_path):
    file = tmp_path / "visit.toml"
    file.write_text(visit_template("IP"), encoding="utf-8")
    before = analyse(load_visit(file)).capacity.total
    monkeypatch.setitem(TEXTBOOK_FACTORS, "total", 99.0)
    assert analyse(load_visit(file)).capacity.total == before


@pytest.mark.parametrize("flow", [LEAST_AIRFLOW, NOMINAL_AIRFLOW, MOST_AIRFLOW])
def test_the_customary_airflow_raises_no_question(flow):
    text = visit_template("IP").replace("volume_flow = [1180]", f"volume_flow = [{flow * 3}]")
    assert "flow_per_capacity" not in [w.code for w in analyse(parse_visit(text)).warnings]
