"""Wet bulb and dew point are solved to 1e-9 K: put back into the equations, over the whole range."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from back_substitution import CHANGE, dew_point_residual, log_pressure, wet_bulb_residual

from airside.air import properties as air

EXACT = 1e-9  # K


def grid() -> tuple[Any, Any, Any]:
    t, rh, p = np.meshgrid(
        np.linspace(-40.0, 60.0, 201),
        np.concatenate([[1e-6, 1e-4, 1e-3, 0.01], np.linspace(0.02, 1.0, 50)]),
        np.linspace(60e3, 110e3, 11),
    )
    return t.ravel(), air.humidity_ratio_from_relative_humidity(t, rh, p).ravel(), p.ravel()


def drawn() -> tuple[Any, Any, Any]:
    random = np.random.default_rng(4)
    n = 150_000
    t, p = random.uniform(-40.0, 60.0, n), random.uniform(60e3, 110e3, n)
    return t, air.humidity_ratio_from_relative_humidity(t, random.uniform(0.0, 1.0, n) ** 2, p), p


@pytest.mark.parametrize("states", [grid, drawn])
def test_wet_bulb_solves_its_equation(states: Any) -> None:
    t, w, p = states()
    wet = air.wet_bulb(t, w, p)
    assert np.isfinite(wet).all()
    assert np.abs(wet_bulb_residual(t, w, p, wet)).max() < EXACT


@pytest.mark.parametrize("states", [grid, drawn])
def test_dew_point_solves_its_equation(states: Any) -> None:
    _, w, p = states()
    dew = air.dew_point(w, p)
    # Frost points below the formulas' -100 °C are NaN.
    driest = np.exp(log_pressure(-100.0, False)).astype(np.float64)
    there = p * w / (air.MASS_RATIO + w) > driest * (1 + 1e-6)
    assert (np.isfinite(dew) == there).all()
    assert np.abs(dew_point_residual(dew, w, p)[there]).max() < EXACT


def test_wet_bulb_of_dry_air() -> None:
    t, p = (a.ravel() for a in np.meshgrid(np.linspace(-40.0, 60.0, 101), np.linspace(60e3, 110e3, 11)))
    wet = air.wet_bulb(t, np.zeros_like(t), p)
    assert np.abs(wet_bulb_residual(t, 0.0, p, wet)).max() < EXACT
    assert np.isnan(air.dew_point(0.0, 101_325.0))


def test_saturated_air_has_its_dry_bulb() -> None:
    t, p = (a.ravel() for a in np.meshgrid(np.linspace(-40.0, 60.0, 1_001), np.linspace(60e3, 110e3, 11)))
    w = air.saturation_humidity_ratio(t, p)
    # At 0 °C itself the wick of a saturated state changes, and both branches give 0 °C.
    assert np.abs(air.wet_bulb(t, w, p) - t).max() < EXACT
    assert np.abs(air.dew_point(w, p) - t).max() < EXACT


def test_saturation_curves_meet() -> None:
    # No pressure is left without a temperature where water takes over from ice.
    step = log_pressure(CHANGE, True) - log_pressure(CHANGE, False)
    assert abs(step) < 1e-11
    t = np.concatenate([CHANGE + np.linspace(-1e-6, 1e-6, 2_001), np.linspace(-0.05, 0.05, 2_001)])
    assert np.abs(air.saturation_temperature(air.saturation_pressure(t)) - t).max() < EXACT
    assert (np.diff(air.saturation_pressure(np.sort(t))) >= 0).all()


def test_wet_bulb_where_the_saturation_curves_meet() -> None:
    random = np.random.default_rng(5)
    n = 20_000
    wet = np.where(np.arange(n) % 2, random.uniform(0.0, 0.02, n), CHANGE + random.uniform(-1e-6, 1e-6, n))
    t, p = random.uniform(0.1, 20.0, n), random.uniform(60e3, 110e3, n)
    w = air.humidity_ratio_from_wet_bulb(t, wet, p, impossible="nan")
    kept = np.isfinite(w) & (w >= 0)
    assert kept.sum() > n / 4
    found = air.wet_bulb(t[kept], w[kept], p[kept])
    assert np.abs(wet_bulb_residual(t[kept], w[kept], p[kept], found)).max() < EXACT
    assert np.abs(found - wet[kept]).max() < EXACT


class TestIcePoint:
    """At 0 °C the branches of the wet-bulb equation overlap; water is taken, and no gap is left."""

    t = np.linspace(0.5, 10.0, 60)
    p = 90e3

    def ends(self) -> tuple[Any, Any]:
        """Humidity ratio at a wet bulb of 0 °C, by the water branch and by the ice branch just below."""
        water = air.humidity_ratio_from_wet_bulb(self.t, 0.0, self.p)
        ice = air.humidity_ratio_from_wet_bulb(self.t, -1e-13, self.p)
        return water, ice

    def test_branches_overlap(self) -> None:
        water, ice = self.ends()
        # Humidity ratios between the two have a solution above and one below 0 °C.
        assert (ice > water).all()

    def test_water_is_taken_in_the_overlap(self) -> None:
        water, ice = self.ends()
        for share in np.linspace(0.0, 1.0, 21):
            w = water + share * (ice - water)
            wet = air.wet_bulb(self.t, w, self.p)
            assert (wet >= 0).all()
            assert np.abs(wet_bulb_residual(self.t, w, self.p, wet, wick_is_water=True)).max() < EXACT
            # And the ice branch has a solution too, at or below 0 °C.
            frozen = self.ice_solution(w)
            assert (frozen <= 1e-12).all()

    def ice_solution(self, w: Any) -> Any:
        low, high = np.full_like(self.t, -30.0), np.full_like(self.t, 1e-13)
        for _ in range(80):
            middle = (low + high) / 2
            above = wet_bulb_residual(self.t, w, self.p, middle, wick_is_water=False) > 0
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        return (low + high) / 2

    def test_ice_answers_below_the_overlap(self) -> None:
        water, _ = self.ends()
        # Closer than 1e-12 counts as 0 °C, so that rounding does not change the branch.
        for less in (1e-10, 1e-9, 1e-6, 1e-4):
            w = water * (1 - less)
            wet = air.wet_bulb(self.t, w, self.p)
            assert (wet < 0).all()
            assert np.abs(wet_bulb_residual(self.t, w, self.p, wet, wick_is_water=False)).max() < EXACT

    def test_jump_between_the_branches(self) -> None:
        # What the choice costs: as air dries, its wet bulb steps down from 0 °C by up to 0.67 K.
        water, _ = self.ends()
        jump = air.wet_bulb(self.t, water, self.p) - air.wet_bulb(self.t, water * (1 - 1e-9), self.p)
        assert (jump > 0).all()
        assert 0.5 < jump.max() < 0.7

    def test_wet_bulb_at_the_ice_point_goes_round(self) -> None:
        w = air.humidity_ratio_from_wet_bulb(self.t, 0.0, self.p)
        assert (
            np.abs(air.humidity_ratio_from_wet_bulb(self.t, air.wet_bulb(self.t, w, self.p), self.p) - w).max() < 1e-12
        )
