"""The same coil elsewhere: the measurement comes back, the formulas by hand, wet and dry, limits, what is refused."""

from __future__ import annotations

import json
import math
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airside import MoistAir, delivered_capacity
from airside.air import properties as air
from airside.air.coil import CoilPerformance, coil_performance
from airside.air.coil_prediction import predict_coil
from airside.air.coil_status import CoilStatus

ALTITUDE = 83_000.0
RETURN = MoistAir.from_relative_humidity(26.5, 0.5, ALTITUDE)
SUPPLY = MoistAir.from_relative_humidity(14.0, 0.88, ALTITUDE)
FLOW = 0.9
COIL = coil_performance(RETURN, SUPPLY, FLOW)
TOTAL = FLOW * (RETURN.enthalpy - SUPPLY.enthalpy)


def enthalpy(t: float, w: float) -> float:
    return 1006 * t + w * (2_501_000 + 1860 * t)


def saturated_at(h: float, p: float) -> float:
    """Temperature of saturated air of an enthalpy, by bisection."""
    low, high = -60.0, 60.0
    for _ in range(100):
        t = (low + high) / 2
        low, high = (t, high) if enthalpy(t, air.saturation_humidity_ratio(t, p)) < h else (low, t)
    return t


def rising(state: MoistAir, _: Any) -> Any:
    """A capacity that goes with return wet bulb, 3 % per K, as rating curves do."""
    return 1 + 0.03 * (np.asarray(state.wet_bulb) - RETURN.wet_bulb)


@pytest.mark.parametrize("p", [62_000.0, ALTITUDE, 101_325.0])
def test_measured_condition_gives_the_measurement(p: float) -> None:
    random = np.random.default_rng(11)
    n = 5_000
    entering = MoistAir.from_relative_humidity(random.uniform(18, 35, n), random.uniform(0.2, 0.8, n), p)
    leaving = MoistAir.from_relative_humidity(
        np.asarray(entering.dry_bulb) - random.uniform(4, 18, n), random.uniform(0.7, 1.0, n), p
    )
    flow = random.uniform(0.1, 3.0, n)
    coil = coil_performance(entering, leaving, flow)
    found = predict_coil(coil)
    wet = np.asarray(coil.status) == CoilStatus.WET
    assert wet.mean() > 0.3
    assert (np.asarray(found.status)[wet] == CoilStatus.WET).all()
    measured = delivered_capacity(entering, leaving, flow)
    for name in ("total", "sensible", "latent"):
        one, other = (np.asarray(getattr(c, name))[wet] for c in (found.capacity, measured))
        assert np.abs(one - other).max() < 1e-9 * np.asarray(measured.total)[wet].max(), name
    assert np.abs(np.asarray(found.supply_air.dry_bulb) - leaving.dry_bulb)[wet].max() < 1e-8
    assert found.supply_air.humidity_ratio[wet] == pytest.approx(leaving.humidity_ratio[wet], rel=1e-9)
    assert found.apparatus_dew_point[wet] == pytest.approx(coil.apparatus_dew_point[wet], abs=1e-7)
    assert (found.bypass_factor[wet] == np.asarray(coil.bypass_factor)[wet]).all()
    assert np.isnan(found.capacity.total[~wet]).all()


def test_scalar_gives_scalars_and_the_measurement() -> None:
    found = predict_coil(COIL)
    assert found.status is CoilStatus.WET and found.is_cut_at_saturation is False
    assert found.capacity.total == pytest.approx(TOTAL, rel=1e-12)
    assert found.supply_air.dry_bulb == pytest.approx(14.0, rel=1e-9)
    for row in found.rows():
        assert type(row.value) is float, row.name
    assert json.loads(json.dumps(found.to_dict()))["status"] == "wet"
    assert "effective surface" in str(found)


@pytest.mark.parametrize(("flow", "ratio"), [(0.6, 0.93), (0.9, 1.1), (1.2, 1.04), (1.6, 0.8)])
def test_another_flow_by_hand(flow: float, ratio: float) -> None:
    found = predict_coil(COIL, dry_air_mass_flow=flow, capacity_ratio=ratio)
    bypass = math.exp(-COIL.effective_surface / flow)
    assert found.bypass_factor == pytest.approx(bypass, rel=1e-12)
    total = TOTAL * ratio
    least = RETURN.enthalpy - total / flow / (1 - bypass)
    surface = saturated_at(least, ALTITUDE)
    assert found.apparatus_dew_point == pytest.approx(surface, abs=1e-8)
    assert found.supply_air.enthalpy == pytest.approx(RETURN.enthalpy - total / flow, rel=1e-12)
    # On the line from return air to the apparatus dew point.
    held = air.saturation_humidity_ratio(surface, ALTITUDE)
    by_dry_bulb = (found.supply_air.dry_bulb - surface) / (26.5 - surface)
    by_humidity = (found.supply_air.humidity_ratio - held) / (RETURN.humidity_ratio - held)
    assert by_dry_bulb == pytest.approx(by_humidity, abs=1e-8)
    assert found.capacity.total == pytest.approx(total, rel=1e-12)
    assert found.capacity.total == pytest.approx(found.capacity.sensible + found.capacity.latent, rel=1e-12)
    # The sensible heat ratio of the EnergyPlus Engineering Reference, which is not quite on the line.
    reference = min((enthalpy(26.5, held) - least) / (RETURN.enthalpy - least), 1.0)
    assert found.capacity.sensible_heat_ratio == pytest.approx(reference, abs=0.004)


def test_less_air_is_colder_and_drier() -> None:
    flows = np.linspace(0.5, 1.4, 10)
    found = predict_coil(COIL, dry_air_mass_flow=flows, capacity_ratio=lambda _, m: (m / FLOW) ** 0.25)
    assert (found.status == CoilStatus.WET).all()
    assert (np.diff(found.supply_air.dry_bulb) > 0).all()
    assert (np.diff(found.capacity.sensible_heat_ratio) > 0).all()
    assert (np.diff(found.bypass_factor) > 0).all()


def test_many_transfer_units_saturate_and_few_leave_the_air_alone() -> None:
    # A hundredth of the flow, and of the capacity: a hundred times the transfer units.
    found = predict_coil(COIL, dry_air_mass_flow=FLOW / 100, capacity_ratio=0.011)
    assert found.bypass_factor == pytest.approx(0.0, abs=1e-60)
    assert found.supply_air.relative_humidity == pytest.approx(1.0, abs=1e-9)
    assert found.supply_air.dry_bulb == pytest.approx(found.apparatus_dew_point, abs=1e-9)
    # A million times the flow: hardly any of the air is touched.
    found = predict_coil(COIL, dry_air_mass_flow=1e6 * FLOW)
    assert found.bypass_factor == pytest.approx(1.0, abs=1e-5)
    assert found.supply_air.dry_bulb == pytest.approx(26.5, abs=1e-4)
    assert found.supply_air.humidity_ratio == pytest.approx(RETURN.humidity_ratio, rel=1e-5)
    assert found.capacity.total == pytest.approx(TOTAL, rel=1e-6)


def test_another_return_state_at_another_pressure() -> None:
    other = MoistAir.from_wet_bulb(24.0, 17.5, 95_000.0)
    found = predict_coil(COIL, return_air=other, capacity_ratio=0.95)
    assert found.status is CoilStatus.WET
    assert found.supply_air.pressure == 95_000.0
    again = coil_performance(other, found.supply_air, FLOW)
    assert again.apparatus_dew_point == pytest.approx(found.apparatus_dew_point, abs=1e-7)
    assert again.bypass_factor == pytest.approx(COIL.bypass_factor, rel=1e-7)


def test_dry_coil_with_a_given_capacity() -> None:
    arid = MoistAir.from_relative_humidity(26.5, 0.2, ALTITUDE)
    found = predict_coil(COIL, return_air=arid, capacity_ratio=0.9)
    assert found.status is CoilStatus.DRY
    assert found.supply_air.humidity_ratio == arid.humidity_ratio
    assert found.capacity.sensible_heat_ratio == 1.0 and found.capacity.latent == 0.0
    assert found.capacity.total == pytest.approx(0.9 * TOTAL, rel=1e-12)
    assert math.isnan(found.apparatus_dew_point)
    assert "dry" in str(found)


@pytest.mark.parametrize("rh", [0.0, 0.05, 0.15, 0.25])
def test_dry_coil_with_a_capacity_that_goes_with_wet_bulb(rh: float) -> None:
    arid = MoistAir.from_relative_humidity(26.5, rh, ALTITUDE)
    found = predict_coil(COIL, return_air=arid, capacity_ratio=rising)
    assert found.status is CoilStatus.DRY
    # By hand: the humidity ratio, at this dry bulb, of which the coil's surface is just the dew point.
    low, high = arid.humidity_ratio, air.saturation_humidity_ratio(26.5, ALTITUDE)
    for _ in range(100):
        w = (low + high) / 2
        state = MoistAir(26.5, w, ALTITUDE)
        total = TOTAL * float(rising(state, FLOW))
        surface = saturated_at(state.enthalpy - total / FLOW / (1 - COIL.bypass_factor), ALTITUDE)
        low, high = (w, high) if air.saturation_humidity_ratio(surface, ALTITUDE) > w else (low, w)
    assert found.capacity.total == pytest.approx(total, rel=1e-8)
    # The drier the air, the same: capacity does not go with wet bulb any more.
    other = predict_coil(COIL, return_air=MoistAir.from_relative_humidity(26.5, 0.1, ALTITUDE), capacity_ratio=rising)
    assert found.capacity.total == pytest.approx(other.capacity.total, rel=1e-8)


def test_no_step_between_wet_and_dry() -> None:
    rh = np.linspace(0.2, 0.5, 3_001)
    states = MoistAir.from_relative_humidity(26.5, rh, ALTITUDE)
    found = predict_coil(COIL, return_air=states, capacity_ratio=rising)
    assert set(np.unique(found.status)) == {CoilStatus.WET, CoilStatus.DRY}
    assert np.abs(np.diff(found.capacity.total)).max() < 2e-4 * TOTAL
    assert np.abs(np.diff(found.supply_air.dry_bulb)).max() < 0.02
    assert np.abs(np.diff(found.capacity.sensible_heat_ratio)).max() < 2e-3
    assert (found.capacity.latent >= -1e-9).all()


def test_fog_is_cut_at_saturation() -> None:
    # Humid air over a cold coil: the straight line runs through fog.
    humid = MoistAir.from_relative_humidity(30.0, 0.95, ALTITUDE)
    found = predict_coil(COIL, return_air=humid, dry_air_mass_flow=0.5, capacity_ratio=1.5)
    assert found.status is CoilStatus.WET and found.is_cut_at_saturation is True
    assert found.supply_air.relative_humidity == pytest.approx(1.0, rel=1e-9)
    assert found.capacity.total == pytest.approx(1.5 * TOTAL, rel=1e-9)
    assert any("fog" in note for note in found.notes())


def test_frost_is_said() -> None:
    cold = predict_coil(COIL, dry_air_mass_flow=0.4, capacity_ratio=1.2)
    assert cold.apparatus_dew_point < 0
    assert any("frost" in note for note in cold.notes())
    assert not any("frost" in note for note in predict_coil(COIL).notes())


def dry_measurement() -> CoilPerformance:
    return coil_performance(RETURN, MoistAir(18.0, RETURN.humidity_ratio, ALTITUDE), FLOW)


@pytest.mark.parametrize(
    ("measured", "changes", "status"),
    [
        (COIL, {"capacity_ratio": 0.0}, CoilStatus.NO_CAPACITY),
        (COIL, {"capacity_ratio": -1.0}, CoilStatus.NO_CAPACITY),
        (COIL, {"dry_air_mass_flow": 0.0}, CoilStatus.NO_CAPACITY),
        (COIL, {"dry_air_mass_flow": -0.3}, CoilStatus.NO_CAPACITY),
        (COIL, {"capacity_ratio": 30.0}, CoilStatus.TOO_COLD),
        (COIL, {"capacity_ratio": math.nan}, CoilStatus.UNKNOWN),
        (COIL, {"return_air": MoistAir(math.nan, 0.01, ALTITUDE)}, CoilStatus.UNKNOWN),
        (dry_measurement(), {}, CoilStatus.NOT_MEASURED),
        (coil_performance(RETURN, MoistAir(20.0, 0.004, ALTITUDE), FLOW), {}, CoilStatus.NOT_MEASURED),
    ],
)
def test_no_answer_is_said(measured: CoilPerformance, changes: dict[str, Any], status: CoilStatus) -> None:
    found = predict_coil(measured, **changes)
    assert found.status is status
    for value in (found.capacity.total, found.supply_air.dry_bulb, found.supply_air.humidity_ratio,
                  found.apparatus_dew_point):  # fmt: skip
        assert math.isnan(value)
    assert status.sentence in str(found)


def test_dry_coil_that_does_not_converge_is_said() -> None:
    arid = MoistAir.from_relative_humidity(26.5, 0.15, ALTITUDE)

    def broken(state: MoistAir, _: Any) -> Any:
        # Known at the return air alone.
        return np.where(np.isclose(state.humidity_ratio, arid.humidity_ratio), 0.8, np.nan)

    found = predict_coil(COIL, return_air=arid, capacity_ratio=broken)
    assert found.status is CoilStatus.NOT_CONVERGED
    assert math.isnan(found.capacity.total)


def test_each_element_has_its_own_status() -> None:
    ratio = np.array([1.0, 0.0, np.nan, 30.0, 0.3])
    found = predict_coil(COIL, capacity_ratio=ratio)
    wanted = [CoilStatus.WET, CoilStatus.NO_CAPACITY, CoilStatus.UNKNOWN, CoilStatus.TOO_COLD, CoilStatus.DRY]
    assert found.status.tolist() == wanted
    assert np.isfinite(found.capacity.total).tolist() == [True, False, False, False, True]
    assert found.to_dict()["status"] == [s.words for s in wanted]


def test_needs_a_flow() -> None:
    with pytest.raises(ValueError, match="flow"):
        predict_coil(coil_performance(RETURN, SUPPLY))


@settings(max_examples=300, deadline=None)
@given(
    flow=st.floats(0.3, 2.5), ratio=st.floats(0.2, 1.6), t=st.floats(18.0, 40.0), rh=st.floats(0.05, 0.95),
    p=st.floats(60e3, 110e3),
)  # fmt: skip
def test_physical_bounds(flow: float, ratio: float, t: float, rh: float, p: float) -> None:
    entering = MoistAir.from_relative_humidity(t, rh, p)
    found = predict_coil(COIL, return_air=entering, dry_air_mass_flow=flow, capacity_ratio=ratio)
    assert found.status in (CoilStatus.WET, CoilStatus.DRY, CoilStatus.TOO_COLD)
    if found.status is CoilStatus.TOO_COLD:
        return
    supply = found.supply_air
    assert found.capacity.total == pytest.approx(ratio * TOTAL, rel=1e-8)
    assert 0 < found.bypass_factor < 1
    assert supply.dry_bulb < t and supply.humidity_ratio <= entering.humidity_ratio * (1 + 1e-9)
    assert supply.relative_humidity <= 1 + 1e-8
    assert found.capacity.sensible_heat_ratio <= 1 + 1e-9
    if found.status is CoilStatus.WET:
        # A line cut at saturation ends a little warmer than its apparatus dew point too.
        assert found.apparatus_dew_point <= supply.dry_bulb + 1e-7


def test_hundred_thousand_draws_are_quick() -> None:
    random = np.random.default_rng(5)
    n = 100_000
    entering = MoistAir.from_relative_humidity(random.normal(26, 0.3, n), random.normal(0.5, 0.02, n), ALTITUDE)
    leaving = MoistAir.from_relative_humidity(random.normal(14, 0.3, n), random.normal(0.86, 0.02, n), ALTITUDE)
    coil = coil_performance(entering, leaving, 0.9)
    arid = MoistAir.from_relative_humidity(26.0, 0.2, ALTITUDE)
    for state in (None, arid):
        best = np.inf
        for _ in range(3):
            start = time.perf_counter()
            found = predict_coil(coil, return_air=state, dry_air_mass_flow=0.7, capacity_ratio=rising)
            best = min(best, time.perf_counter() - start)
        assert np.isfinite(found.capacity.total).mean() > 0.9
        # Takes about 0.02 s for a wet coil, 0.09 s for a dry one on two cores.
        assert best < 0.3
