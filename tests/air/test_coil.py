"""Apparatus dew point, bypass factor, transfer units and effectiveness from the air on both sides of a coil."""

from __future__ import annotations

import json
import time
from typing import Any

import numpy as np
import pytest
from ht.hx import effectiveness_from_NTU
from hypothesis import given, settings
from hypothesis import strategies as st

from airside import Airflow, MoistAir, delivered_capacity
from airside.air import properties as air
from airside.air.coil import DRY_LIMIT, CoilPerformance, coil_performance
from airside.air.coil_saturation import line_meets_saturation, saturated_temperature_from_enthalpy
from airside.air.coil_status import CoilStatus

ALTITUDE, SEA_LEVEL = 83_000.0, 101_325.0
RETURN = MoistAir.from_relative_humidity(26.5, 0.5, ALTITUDE)
SUPPLY = MoistAir.from_relative_humidity(14.0, 0.88, ALTITUDE)


def through_a_coil(t1: Any, rh: Any, surface: Any, bypass: Any, p: Any = SEA_LEVEL) -> tuple[MoistAir, MoistAir]:
    """Return air, and supply air of which a part went past a surface at saturation: the inverse, by hand."""
    entering = MoistAir.from_relative_humidity(t1, rh, p)
    held = air.saturation_humidity_ratio(surface, p)
    t2 = np.asarray(surface) + np.asarray(bypass) * (np.asarray(t1) - surface)
    w2 = held + np.asarray(bypass) * (np.asarray(entering.humidity_ratio) - held)
    return entering, MoistAir.from_humidity_ratio(t2, w2, p)


@pytest.mark.parametrize("p", [65_000.0, ALTITUDE, SEA_LEVEL, 108_000.0])
@pytest.mark.parametrize("surface", [-12.0, -0.5, 0.0, 0.01, 0.5, 4.0, 11.0])
@pytest.mark.parametrize("bypass", [0.02, 0.15, 0.5])
def test_finds_the_surface_that_made_the_air(p: float, surface: float, bypass: float) -> None:
    # Return air as humid as it may be without the line running through fog, less a fifth.
    around = air.saturation_humidity_ratio(np.array([surface - 0.01, surface + 0.02]), p)
    held = float(air.saturation_humidity_ratio(surface, p))
    w1 = held + 0.8 * (27.0 - surface) * float(around[1] - around[0]) / 0.03
    entering = MoistAir.from_humidity_ratio(27.0, w1, p)
    leaving = MoistAir.from_humidity_ratio(surface + bypass * (27.0 - surface), held + bypass * (w1 - held), p)
    found = coil_performance(entering, leaving)
    assert found.status is CoilStatus.WET and found.is_wet is True
    assert found.apparatus_dew_point == pytest.approx(surface, abs=1e-8)
    assert found.dry_bulb_bypass_factor == pytest.approx(bypass, rel=1e-8)
    # By enthalpy, by hand.
    h = [1006 * t + w * (2_501_000 + 1860 * t) for t, w in (
        (27.0, w1), (leaving.dry_bulb, leaving.humidity_ratio), (surface, held))]  # fmt: skip
    assert found.bypass_factor == pytest.approx((h[1] - h[2]) / (h[0] - h[2]), rel=1e-7)
    assert found.bypass_factor == pytest.approx(bypass, abs=0.004)


def lines(count: int, seed: int) -> tuple[Any, ...]:
    random = np.random.default_rng(seed)
    p = random.uniform(60e3, 110e3, count)
    t = random.uniform(-15.0, 30.0, count)
    w = air.saturation_humidity_ratio(t, p) * random.uniform(0.3, 1.0, count)
    # Slopes about that of saturation itself: some meet it, some just miss it.
    above = np.asarray(air.saturation_humidity_ratio(t + 0.5, p))
    steepness = above - np.asarray(air.saturation_humidity_ratio(t - 0.5, p))
    return t, w, steepness * random.uniform(0.0, 1.2, count), p


def test_no_meeting_is_missed_and_none_invented() -> None:
    t, w, slope, p = lines(3_000, 1)
    with np.errstate(invalid="ignore"):
        found = line_meets_saturation(t, w, slope, p)
    met = np.isfinite(found)
    assert 0.2 < met.mean() < 0.9
    line = w + slope * (found - t)
    held = np.asarray(air.saturation_humidity_ratio(np.where(met, found, 0.0), p))
    assert np.abs(line / held - 1)[met].max() < 1e-11
    # Nothing warmer meets saturation; where none was found, nothing does down to -100 °C.
    low = np.where(met, found + 1e-5, -99.9)
    steps = t[:, None] - (t - low)[:, None] * np.linspace(1e-9, 1.0, 1_500)
    gap = np.asarray(air.saturation_humidity_ratio(steps, p[:, None])) - (
        w[:, None] + slope[:, None] * (steps - t[:, None])
    )
    assert (gap > -1e-12).all()


def test_line_that_only_touches_saturation() -> None:
    # The tangent at 10 °C: a hair below it there is no meeting, at a hair above it there is one.
    p = np.array([SEA_LEVEL])
    slope = (air.saturation_humidity_ratio(10 + 1e-4, p) - air.saturation_humidity_ratio(10 - 1e-4, p)) / 2e-4
    held = air.saturation_humidity_ratio(10.0, p)
    t = np.array([16.0])
    assert line_meets_saturation(t, held + slope * 6 + 1e-9, slope, p)[0] == pytest.approx(10.0, abs=0.02)
    assert np.isnan(line_meets_saturation(t, held + slope * 6 - 1e-9, slope, p)[0])


def test_saturated_temperature_from_enthalpy_at_every_pressure() -> None:
    t, p = np.meshgrid(np.linspace(-60.0, 80.0, 5_001), [60e3, ALTITUDE, SEA_LEVEL, 110e3])
    h = air.enthalpy(t, air.saturation_humidity_ratio(t, p))
    assert np.abs(saturated_temperature_from_enthalpy(h, p) - t).max() < 1e-9
    assert isinstance(saturated_temperature_from_enthalpy(35e3, SEA_LEVEL), float)
    assert np.isnan(saturated_temperature_from_enthalpy(np.nan, SEA_LEVEL))
    assert np.isnan(saturated_temperature_from_enthalpy(-150e3, SEA_LEVEL))


def test_figures_follow_from_each_other() -> None:
    flow = Airflow.measured(0.9, at=RETURN)
    found = coil_performance(RETURN, SUPPLY, flow, surface_temperature=7.0)
    bypass = found.bypass_factor
    assert found.contact_factor == 1 - bypass
    assert found.number_of_transfer_units == pytest.approx(-np.log(bypass), rel=1e-14)
    assert found.effective_surface == pytest.approx(-np.log(bypass) * flow.dry_air_mass_flow, rel=1e-14)
    capacity = delivered_capacity(RETURN, SUPPLY, flow)
    assert found.sensible_heat_ratio == pytest.approx(capacity.sensible_heat_ratio, rel=1e-12)
    assert found.leaving_relative_humidity == pytest.approx(0.88, rel=1e-12)
    held = 1006 * 7.0 + air.saturation_humidity_ratio(7.0, ALTITUDE) * (2_501_000 + 1860 * 7.0)
    by_hand = (RETURN.enthalpy - SUPPLY.enthalpy) / (RETURN.enthalpy - held)
    assert found.enthalpy_effectiveness == pytest.approx(by_hand, rel=1e-12)
    for row in found.rows():
        assert type(row.value) is float, row.name


@pytest.mark.parametrize("ntu", [0.05, 0.4, 1.0, 1.9, 3.0, 6.0])
@pytest.mark.parametrize("kind", ["counterflow", "parallel", "boiler"])
def test_wet_coil_effectiveness_against_ht(ntu: float, kind: str) -> None:
    # A surface at one temperature: capacity ratio 0, where every flow arrangement is the same.
    # `ht` divides by the capacity ratio in its crossflow formulas, so those cannot be asked.
    expected = effectiveness_from_NTU(NTU=ntu, Cr=0, subtype=kind)
    surface, p = 9.0, ALTITUDE
    entering = MoistAir.from_relative_humidity(26.0, 0.6, p)
    held = air.saturation_humidity_ratio(surface, p)
    least = 1006 * surface + held * (2_501_000 + 1860 * surface)
    # A point of the line with that enthalpy, found without airside.
    enthalpy = entering.enthalpy - expected * (entering.enthalpy - least)
    low, high = 0.0, 1.0
    for _ in range(200):
        part = (low + high) / 2
        t, w = 26.0 - part * (26.0 - surface), entering.humidity_ratio - part * (entering.humidity_ratio - held)
        low, high = (part, high) if 1006 * t + w * (2_501_000 + 1860 * t) > enthalpy else (low, part)
    leaving = MoistAir.from_humidity_ratio(t, w, p)
    found = coil_performance(entering, leaving, surface_temperature=surface)
    assert found.number_of_transfer_units == pytest.approx(ntu, rel=1e-7)
    assert found.contact_factor == pytest.approx(expected, rel=1e-9)
    assert found.enthalpy_effectiveness == pytest.approx(expected, rel=1e-9)


def test_many_transfer_units_saturate_and_none_leave_the_air_alone() -> None:
    bypass = np.array([1e-12, 0.0, 0.999999])
    entering, leaving = through_a_coil(np.full(3, 26.0), 0.6, np.full(3, 9.0), bypass)
    found = coil_performance(entering, leaving, 1.0, surface_temperature=9.0)
    assert found.apparatus_dew_point[:2] == pytest.approx(9.0, abs=1e-6)
    assert found.enthalpy_effectiveness[:2] == pytest.approx(1.0, abs=1e-9)
    assert found.leaving_relative_humidity[:2] == pytest.approx(1.0, abs=1e-9)
    assert found.number_of_transfer_units[1] > 20
    assert found.enthalpy_effectiveness[2] == pytest.approx(0.0, abs=2e-6)
    # So little water is lost at the third that it counts as dry.
    assert found.status.tolist() == [CoilStatus.WET, CoilStatus.WET, CoilStatus.DRY]


def test_saturated_supply_air() -> None:
    leaving = MoistAir.from_relative_humidity(12.0, 1.0, ALTITUDE)
    found = coil_performance(RETURN, leaving, 0.8)
    assert (found.apparatus_dew_point, found.bypass_factor) == (12.0, 0.0)
    assert found.number_of_transfer_units == np.inf and found.effective_surface == np.inf
    # JSON has no infinity.
    assert json.loads(json.dumps(found.to_dict()))["number_of_transfer_units"] is None
    assert "none" in str(found)


@pytest.mark.parametrize(
    ("supply", "status", "is_wet"),
    [
        (MoistAir.from_humidity_ratio(20.0, RETURN.humidity_ratio - 0.9 * DRY_LIMIT, ALTITUDE), CoilStatus.DRY, False),
        (MoistAir.from_humidity_ratio(22.0, RETURN.humidity_ratio + 0.001, ALTITUDE), CoilStatus.DRY, False),
        (RETURN, CoilStatus.NOT_COOLED, False),
        (MoistAir.from_humidity_ratio(30.0, RETURN.humidity_ratio - 0.003, ALTITUDE), CoilStatus.NOT_COOLED, False),
        (MoistAir.from_humidity_ratio(20.0, 0.004, ALTITUDE), CoilStatus.NO_MEETING, True),
        (MoistAir(np.nan, 0.008, ALTITUDE), CoilStatus.UNKNOWN, False),
        (MoistAir(14.0, np.nan, ALTITUDE), CoilStatus.UNKNOWN, False),
    ],
)  # fmt: skip
def test_no_apparatus_dew_point_is_said(supply: MoistAir, status: CoilStatus, is_wet: bool) -> None:
    found = coil_performance(RETURN, supply, 0.8)
    assert found.status is status and found.is_wet is is_wet
    for name in ("apparatus_dew_point", "bypass_factor", "dry_bulb_bypass_factor", "contact_factor",
                 "number_of_transfer_units", "effective_surface"):  # fmt: skip
        assert np.isnan(getattr(found, name)), name
    assert status.sentence in str(found)
    assert found.to_dict()["status"] == status.words
    assert found.to_dict()["bypass_factor"] is None


def test_dry_coil_has_a_sensible_heat_ratio_of_one() -> None:
    supply = MoistAir.from_humidity_ratio(19.0, RETURN.humidity_ratio, ALTITUDE)
    assert coil_performance(RETURN, supply).sensible_heat_ratio == pytest.approx(1.0, abs=1e-12)
    assert np.isnan(coil_performance(RETURN, RETURN).sensible_heat_ratio)


def test_effectiveness_needs_a_surface_colder_than_the_air() -> None:
    assert coil_performance(RETURN, SUPPLY).enthalpy_effectiveness is None
    assert np.isnan(coil_performance(RETURN, SUPPLY, surface_temperature=30.0).enthalpy_effectiveness)
    assert coil_performance(RETURN, SUPPLY, surface_temperature="45 degF").surface_temperature == pytest.approx(65 / 9)


def test_arrays_are_the_scalars_one_by_one() -> None:
    random = np.random.default_rng(3)
    entering = MoistAir.from_relative_humidity(random.uniform(20, 30, 200), random.uniform(0.2, 0.7, 200), ALTITUDE)
    leaving = MoistAir.from_relative_humidity(random.uniform(5, 22, 200), random.uniform(0.6, 1.0, 200), ALTITUDE)
    found = coil_performance(entering, leaving, 0.7)
    assert set(np.unique(found.status)) >= {CoilStatus.WET, CoilStatus.DRY, CoilStatus.NO_MEETING}
    for i in range(0, 200, 7):
        one = coil_performance(
            MoistAir(float(entering.dry_bulb[i]), float(entering.humidity_ratio[i]), ALTITUDE),
            MoistAir(float(leaving.dry_bulb[i]), float(leaving.humidity_ratio[i]), ALTITUDE), 0.7,
        )  # fmt: skip
        assert one.status == found.status[i]
        for name in ("apparatus_dew_point", "bypass_factor", "effective_surface"):
            assert getattr(one, name) == pytest.approx(getattr(found, name)[i], rel=1e-12, nan_ok=True)
    assert "Of 200:" in str(found) and "wet" in str(found)
    assert found.to_dict()["status"][0] == CoilStatus(int(found.status[0])).words
    assert len(found.to_frame()) == 200


def test_scalar_and_array_broadcast() -> None:
    leaving = MoistAir.from_relative_humidity(np.array([[12.0, 14.0]]), np.array([[0.9], [0.95], [0.85]]), ALTITUDE)
    found = coil_performance(RETURN, leaving, np.array([0.7, 0.8]))
    assert np.shape(found.apparatus_dew_point) == np.shape(found.status) == (3, 2)
    assert np.shape(found.effective_surface) == (3, 2)
    one = coil_performance(RETURN, MoistAir.from_relative_humidity(np.array([14.0]), np.array([0.88]), ALTITUDE))
    assert np.shape(one.bypass_factor) == (1,)
    none = coil_performance(RETURN, MoistAir.from_relative_humidity(np.array([]), np.array([]), ALTITUDE))
    assert np.shape(none.bypass_factor) == (0,)


def test_nan_stays_where_it_is() -> None:
    entering = MoistAir.from_relative_humidity(np.array([26.5, np.nan, 26.5]), 0.5, ALTITUDE, impossible="nan")
    leaving = MoistAir.from_relative_humidity(np.array([14.0, 14.0, 14.0]), np.array([0.88, 0.88, np.nan]), ALTITUDE)
    found = coil_performance(entering, leaving)
    assert found.status.tolist() == [CoilStatus.WET, CoilStatus.UNKNOWN, CoilStatus.UNKNOWN]
    assert np.isfinite(found.bypass_factor).tolist() == [True, False, False]


@settings(max_examples=300, deadline=None)
@given(
    t1=st.floats(10.0, 45.0), rh1=st.floats(0.3, 1.0), drop=st.floats(0.1, 30.0), rh2=st.floats(0.5, 1.0),
    p=st.floats(60e3, 110e3),
)  # fmt: skip
def test_physical_bounds(t1: float, rh1: float, drop: float, rh2: float, p: float) -> None:
    entering = MoistAir.from_relative_humidity(t1, rh1, p)
    leaving = MoistAir.from_relative_humidity(t1 - drop, rh2, p)
    found = coil_performance(entering, leaving, 1.0)
    assert found.status in (CoilStatus.WET, CoilStatus.DRY, CoilStatus.NO_MEETING)
    if found.status is not CoilStatus.WET:
        assert np.isnan(found.apparatus_dew_point) and np.isnan(found.bypass_factor)
        return
    # At or below the leaving dew point, wet bulb and dry bulb.
    assert found.apparatus_dew_point <= leaving.dew_point + 1e-7
    assert found.apparatus_dew_point <= leaving.wet_bulb + 1e-7
    assert 0 <= found.bypass_factor < 1 and 0 < found.contact_factor <= 1
    assert 0 <= found.dry_bulb_bypass_factor < 1
    assert found.number_of_transfer_units >= 0
    # Water is taken from the air, so not all heat is sensible.
    assert found.sensible_heat_ratio < 1


def test_hundred_thousand_draws_are_quick() -> None:
    random = np.random.default_rng(5)
    n = 100_000
    entering = MoistAir.from_relative_humidity(random.normal(26, 0.3, n), random.normal(0.5, 0.02, n), ALTITUDE)
    leaving = MoistAir.from_relative_humidity(random.normal(14, 0.3, n), random.normal(0.86, 0.02, n), ALTITUDE)
    best = np.inf
    for _ in range(3):
        start = time.perf_counter()
        found = coil_performance(entering, leaving, 0.9, surface_temperature=6.0)
        assert found.effective_surface is not None
        best = min(best, time.perf_counter() - start)
    assert isinstance(found, CoilPerformance) and np.isfinite(found.bypass_factor).mean() > 0.9
    # Takes about 0.05 s on two cores.
    assert best < 0.3
