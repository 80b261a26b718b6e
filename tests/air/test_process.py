"""Capacity between two states, fan heat, mixing, and the trade's factors beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import airside
from airside import MoistAir, delivered_capacity, mix
from airside.air import properties as air
from airside.air.process import TEXTBOOK_FACTORS, textbook_factors
from airside.errors import ImpossibleStateError

dry_bulbs = st.floats(-40.0, 60.0)
humidities = st.floats(0.0, 1.0)
pressures = st.floats(60e3, 110e3)
flows = st.floats(1e-3, 100.0)

RETURN = MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0)
SUPPLY = MoistAir.from_relative_humidity(12.5, 0.92, 83_000.0)


def test_by_hand() -> None:
    found = delivered_capacity(RETURN, SUPPLY, 0.9)
    h1 = 1006 * 24.0 + RETURN.humidity_ratio * (2_501_000 + 1860 * 24.0)
    h2 = 1006 * 12.5 + SUPPLY.humidity_ratio * (2_501_000 + 1860 * 12.5)
    assert found.total == pytest.approx(0.9 * (h1 - h2), rel=1e-12)
    # The air cooled without drying, at the supply's humidity ratio.
    dry = 1006 * 24.0 + SUPPLY.humidity_ratio * (2_501_000 + 1860 * 24.0)
    assert found.sensible == pytest.approx(0.9 * (dry - h2), rel=1e-10)
    water = 0.9 * (RETURN.humidity_ratio - SUPPLY.humidity_ratio)
    assert found.moisture_removal == pytest.approx(3600 * water, rel=1e-12)
    assert found.sensible_heat_ratio == pytest.approx(found.sensible / found.total, rel=1e-12)
    # Condensate leaves at the supply dry bulb unless it is given.
    assert found.condensate_temperature == 12.5
    assert found.condensate_heat == pytest.approx(water * 4186 * 12.5, rel=1e-12)
    assert delivered_capacity(RETURN, SUPPLY, 0.9, condensate_temperature=10.0).condensate_heat == pytest.approx(
        water * 41_860, rel=1e-12
    )
    assert any("supply dry bulb" in note for note in found.assumptions)
    assert found.fan_heat == 0.0 and found.gross is None
    for name in ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal", "condensate_heat"):
        assert type(getattr(found, name)) is float, name


def test_condensate_is_not_colder_than_water_can_be() -> None:
    frosty = MoistAir.from_relative_humidity(-3.0, 1.0, 101_325.0)
    assert delivered_capacity(RETURN, frosty, 1.0).condensate_temperature == 0.0


def test_flow_may_be_an_airflow() -> None:
    @dataclass
    class Flow:
        dry_air_mass_flow: float

    assert delivered_capacity(RETURN, SUPPLY, Flow(0.9)).total == delivered_capacity(RETURN, SUPPLY, 0.9).total


@given(
    t1=dry_bulbs, rh1=humidities, t2=dry_bulbs, rh2=humidities, p=pressures, m=flows,
    mode=st.sampled_from(["cooling", "heating"]), fan=st.none() | st.floats(0.0, 5e3), between=st.booleans(),
)  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_sensible_and_latent_make_the_total(
    t1: float, rh1: float, t2: float, rh2: float, p: float, m: float, mode: Any, fan: Any, between: bool
) -> None:
    first = MoistAir.from_relative_humidity(t1, rh1, p)
    second = MoistAir.from_relative_humidity(t2, rh2, p)
    found = delivered_capacity(first, second, m, mode=mode, fan_power=fan, fan_between_probes=between)
    size = abs(found.sensible) + abs(found.latent)
    assert abs(found.sensible + found.latent - found.total) <= 1e-15 * size
    # And the total is m (h1 - h2), with the sign of the mode, and fan heat where it was brought in.
    sign = 1 if mode == "cooling" else -1
    terms = m * (abs(first.enthalpy) + abs(second.enthalpy) + 2_501_000 * (first.humidity_ratio + 1e-3))
    assert abs(sign * m * (first.enthalpy - second.enthalpy) + found.fan_heat - found.total) <= 1e-13 * terms + 1e-9
    # Net and gross are the fan's heat apart: it takes from cooling and adds to heating.
    if fan is None:
        assert found.gross is None
    else:
        assert abs(found.gross - sign * fan - found.total) <= 1e-12 * (abs(found.total) + fan + 1)
    if found.total != 0:
        assert found.sensible_heat_ratio == pytest.approx(found.sensible / found.total)


def test_heating_is_cooling_turned_round() -> None:
    cooling = delivered_capacity(RETURN, SUPPLY, 0.9)
    heating = delivered_capacity(RETURN, SUPPLY, 0.9, mode="heating")
    for name in ("total", "sensible", "latent"):
        assert getattr(heating, name) == -getattr(cooling, name)
    assert heating.moisture_removal == cooling.moisture_removal
    assert heating.condensate_heat == 0.0
    assert heating.title == "Delivered heating capacity"
    with pytest.raises(ValueError, match="mode must be"):
        delivered_capacity(RETURN, SUPPLY, 0.9, mode="drying")  # type: ignore[arg-type]


def test_dry_coil() -> None:
    supply = MoistAir.from_humidity_ratio(14.0, RETURN.humidity_ratio, 83_000.0)
    found = delivered_capacity(RETURN, supply, 0.9)
    assert found.latent == 0.0
    assert found.sensible_heat_ratio == 1.0
    assert found.moisture_removal == 0.0 and found.condensate_heat == 0.0


def test_nothing_delivered_has_no_sensible_heat_ratio() -> None:
    assert np.isnan(delivered_capacity(RETURN, RETURN, 0.9).sensible_heat_ratio)
    assert np.isnan(delivered_capacity(RETURN, SUPPLY, np.array([0.0, 0.9])).sensible_heat_ratio).tolist() == [
        True,
        False,
    ]


def test_fan_heat() -> None:
    at_probes = delivered_capacity(RETURN, SUPPLY, 0.9).total
    # Probes before and after coil and fan show the net figure.
    net = delivered_capacity(RETURN, SUPPLY, 0.9, fan_power=500.0)
    assert (net.total, net.fan_heat) == (at_probes, 0.0)
    assert net.gross == pytest.approx(at_probes + 500.0)
    # Probes at the coil alone show the gross one.
    coil = delivered_capacity(RETURN, SUPPLY, 0.9, fan_power=500.0, fan_between_probes=False)
    assert coil.gross == pytest.approx(at_probes)
    assert coil.total == pytest.approx(at_probes - 500.0)
    assert coil.fan_heat == -500.0
    # In heating, fan heat is delivered.
    warm = MoistAir.from_humidity_ratio(35.0, RETURN.humidity_ratio, 83_000.0)
    heating = delivered_capacity(RETURN, warm, 0.9, mode="heating", fan_power=500.0, fan_between_probes=False)
    assert heating.total == pytest.approx(heating.gross + 500.0)
    assert any("fan power" in note for note in coil.assumptions)


def test_arrays() -> None:
    t = np.array([23.0, 24.0, 25.0])
    states = MoistAir.from_relative_humidity(t, 0.5, 83_000.0)
    found = delivered_capacity(states, SUPPLY, 0.9, fan_power=np.array([400.0, 450.0, 500.0]))
    one = delivered_capacity(MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0), SUPPLY, 0.9, fan_power=450.0)
    for name in ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal", "condensate_heat", "gross"):
        assert getattr(found, name)[1] == pytest.approx(getattr(one, name), rel=1e-12), name
    assert np.isnan(delivered_capacity(states, SUPPLY, np.array([0.9, np.nan, 0.9])).total).tolist() == [
        False,
        True,
        False,
    ]


def test_capacity_as_result() -> None:
    found = delivered_capacity(RETURN, SUPPLY, 0.9, fan_power=500.0)
    assert {
        "total_W",
        "sensible_W",
        "latent_W",
        "sensible_heat_ratio",
        "moisture_removal_kg_h",
        "condensate_heat_W",
    } <= set(found.to_dict())
    assert "Btu/h" in found.text("IP") and "kW" in str(found)
    assert airside.Capacity is type(found)


@given(
    t1=dry_bulbs, rh1=humidities, t2=dry_bulbs, rh2=humidities, p=pressures, m1=flows, m2=flows
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_mixture_lies_on_the_mixing_line(
    t1: float, rh1: float, t2: float, rh2: float, p: float, m1: float, m2: float
) -> None:
    first, second = MoistAir.from_relative_humidity(t1, rh1, p), MoistAir.from_relative_humidity(t2, rh2, p)
    try:
        mixed = mix(first, m1, second, m2)
    except ImpossibleStateError:
        # Fog: the line passes outside the saturation curve. It must really be so.
        share = m1 / (m1 + m2)
        w = share * first.humidity_ratio + (1 - share) * second.humidity_ratio
        h = share * first.enthalpy + (1 - share) * second.enthalpy
        assert w > air.saturation_humidity_ratio(air.dry_bulb_from_enthalpy(h, w), p)
        return
    total = m1 + m2
    # Water and heat are kept, so the mixture lies between the two on a straight line of h over w.
    water = m1 * first.humidity_ratio + m2 * second.humidity_ratio
    heat = m1 * first.enthalpy + m2 * second.enthalpy
    assert total * mixed.humidity_ratio == pytest.approx(water, rel=1e-8, abs=1e-12)
    assert total * mixed.enthalpy == pytest.approx(heat, rel=1e-8, abs=1e-4 * total)
    low, high = sorted((first.humidity_ratio, second.humidity_ratio))
    assert low - 1e-12 <= mixed.humidity_ratio <= high + 1e-12
    cross = (mixed.enthalpy - first.enthalpy) * (second.humidity_ratio - first.humidity_ratio)
    cross -= (second.enthalpy - first.enthalpy) * (mixed.humidity_ratio - first.humidity_ratio)
    assert abs(cross) < 1e-4


def test_mixture_of_nothing_is_the_other() -> None:
    assert mix(RETURN, 1.0, SUPPLY, 0.0).dry_bulb == pytest.approx(RETURN.dry_bulb, abs=1e-9)
    assert mix(RETURN, 0.0, SUPPLY, 1.0).humidity_ratio == pytest.approx(SUPPLY.humidity_ratio, rel=1e-12)


def test_fog_is_named() -> None:
    warm = MoistAir.from_relative_humidity(25.0, 1.0, 101_325.0)
    cold = MoistAir.from_relative_humidity(-15.0, 1.0, 101_325.0)
    with pytest.raises(ImpossibleStateError, match="more water than air"):
        mix(warm, 1.0, cold, 1.0)


class TestTextbookFactors:
    """4.5, 1.08 and 0.68 (common practice, no source) are shown beside the exact result."""

    @staticmethod
    def factors(pressure: float, mode: Any = "cooling", **more: Any) -> Any:
        first = MoistAir.from_relative_humidity(24.0, 0.5, pressure)
        second = MoistAir.from_relative_humidity(12.5, 0.92, pressure)
        if mode == "heating":
            second = MoistAir.from_humidity_ratio(38.0, first.humidity_ratio, pressure)
        flow = 0.75
        found = delivered_capacity(first, second, flow / first.specific_volume, mode=mode, **more)
        return found, {f.name: f for f in textbook_factors(first, second, flow, found)}

    def test_near_sea_level_they_are_near(self) -> None:
        found, factors = self.factors(101_325.0)
        assert {name: f.factor for name, f in factors.items()} == TEXTBOOK_FACTORS
        for name, f in factors.items():
            assert f.exact == getattr(found, name)
            assert abs(f.error) < 0.05, name
            assert f.textbook == pytest.approx(f.exact * (1 + f.error), rel=1e-12)
            assert f.factor_here == pytest.approx(f.factor / (1 + f.error), rel=1e-9)

    def test_at_altitude_they_err_by_the_density(self) -> None:
        _, low = self.factors(101_325.0)
        _, high = self.factors(83_000.0)
        for name in TEXTBOOK_FACTORS:
            assert high[name].factor_here == pytest.approx(low[name].factor_here * 83.0 / 101.325, rel=0.03)
            assert high[name].error > 0.15

    def test_by_hand(self) -> None:
        found, factors = self.factors(83_000.0)
        cfm = 0.75 / 0.3048**3 * 60
        btu_h = 1055.05585262 / 3600
        assert factors["sensible"].textbook == pytest.approx(1.08 * cfm * (24.0 - 12.5) * 1.8 * btu_h, rel=1e-9)
        drop = found.return_air.enthalpy - found.supply_air.enthalpy
        assert factors["total"].textbook == pytest.approx(4.5 * cfm * drop / 2326 * btu_h, rel=1e-9)
        grains = (found.return_air.humidity_ratio - found.supply_air.humidity_ratio) * 7000
        assert factors["latent"].textbook == pytest.approx(0.68 * cfm * grains * btu_h, rel=1e-9)

    def test_heating_and_no_latent(self) -> None:
        _, factors = self.factors(101_325.0, "heating")
        assert factors["sensible"].textbook > 0
        assert abs(factors["sensible"].error) < 0.05
        assert np.isnan(factors["latent"].error)

    def test_fan_heat_is_left_out(self) -> None:
        plain, _ = self.factors(101_325.0)
        _, factors = self.factors(101_325.0, fan_power=400.0, fan_between_probes=False)
        assert factors["total"].exact == pytest.approx(plain.total)
        assert factors["sensible"].exact == pytest.approx(plain.sensible)
