"""10,000 random states against psychrolib, over the whole range.

Its closed formulas must be met to 1e-9; where it iterates it stops at 1e-3 K, and no more is asked.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from back_substitution import wet_bulb_residual

from airside.air import properties as air
from airside.air.atmosphere import standard_atmosphere_pressure

CLOSED = 1e-9
PSYCHROLIB_TOLERANCE = 1e-3  # K


def ratios(states: dict[str, Any]) -> Any:
    return air.humidity_ratio_from_relative_humidity(states["t"], states["rh"], states["p"])


def test_saturation_pressure(reference: Any) -> None:
    t = np.random.default_rng(1).uniform(-100.0, 200.0, 10_000)
    np.testing.assert_allclose(air.saturation_pressure(t), reference("GetSatVapPres", t), rtol=CLOSED)


def test_humidity_ratio_from_relative_humidity(reference: Any, states: dict[str, Any]) -> None:
    theirs = reference("GetHumRatioFromRelHum", states["t"], states["rh"], states["p"])
    np.testing.assert_allclose(ratios(states), theirs, rtol=CLOSED)


def test_humidity_ratio_from_dew_point(reference: Any, states: dict[str, Any]) -> None:
    d, p = states["t"], states["p"]
    ours = air.humidity_ratio_from_dew_point(d + 5.0, d, p)
    np.testing.assert_allclose(ours, reference("GetHumRatioFromTDewPoint", d, p), rtol=CLOSED)


def test_humidity_ratio_from_wet_bulb(reference: Any, states: dict[str, Any]) -> None:
    t, p = states["t"], states["p"]
    b = air.wet_bulb(t, ratios(states), p)
    ours = air.humidity_ratio_from_wet_bulb(t, np.minimum(b, t), p)
    theirs = reference("GetHumRatioFromTWetBulb", t, np.minimum(b, t), p)
    # The ratio is a small difference of large terms: its rounding scales with saturation.
    assert np.max(np.abs(ours - theirs) / air.saturation_humidity_ratio(b, p)) < CLOSED


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("relative_humidity", "GetRelHumFromHumRatio"),
        ("degree_of_saturation", "GetDegreeOfSaturation"),
        ("specific_volume", "GetMoistAirVolume"),
        ("density", "GetMoistAirDensity"),
    ],
)
def test_from_humidity_ratio(reference: Any, states: dict[str, Any], ours: str, theirs: str) -> None:
    t, w, p = states["t"], ratios(states), states["p"]
    np.testing.assert_allclose(getattr(air, ours)(t, w, p), reference(theirs, t, w, p), rtol=CLOSED)


def test_vapour_pressure(reference: Any, states: dict[str, Any]) -> None:
    w, p = ratios(states), states["p"]
    theirs = reference("GetVapPresFromHumRatio", w, p)
    np.testing.assert_allclose(air.vapour_pressure_from_humidity_ratio(w, p), theirs, rtol=CLOSED)
    np.testing.assert_allclose(
        air.humidity_ratio_from_vapour_pressure(theirs, p), reference("GetHumRatioFromVapPres", theirs, p), rtol=CLOSED
    )


def test_enthalpy_and_back(reference: Any, states: dict[str, Any]) -> None:
    t, w, p = states["t"], ratios(states), states["p"]
    h = air.enthalpy(t, w)
    # Enthalpies cross zero: 1e-6 J/kg beside the relative tolerance.
    np.testing.assert_allclose(h, reference("GetMoistAirEnthalpy", t, w), rtol=CLOSED, atol=1e-6)
    np.testing.assert_allclose(
        air.humidity_ratio_from_enthalpy(t, h, p, impossible="nan"),
        reference("GetHumRatioFromEnthalpyAndTDryBulb", h, t),
        rtol=CLOSED,
        atol=1e-12,
    )
    np.testing.assert_allclose(
        air.dry_bulb_from_enthalpy(h, w), reference("GetTDryBulbFromEnthalpyAndHumRatio", h, w), rtol=CLOSED, atol=1e-9
    )


def test_standard_atmosphere(reference: Any) -> None:
    z = np.linspace(-500.0, 11_000.0, 1_000)
    np.testing.assert_allclose(standard_atmosphere_pressure(z), reference("GetStandardAtmPressure", z), rtol=CLOSED)


def test_dew_point(reference: Any, states: dict[str, Any]) -> None:
    t, w, p = states["t"], ratios(states), states["p"]
    off = np.abs(air.dew_point(w, p) - reference("GetTDewPointFromHumRatio", t, w, p))
    assert off.max() < PSYCHROLIB_TOLERANCE


def check_wet_bulbs(reference: Any, t: Any, w: Any, p: Any) -> int:
    """Compare wet bulbs; return how many states psychrolib put on the ice branch and airside on water."""
    ours = air.wet_bulb(t, w, p)
    theirs = reference("GetTWetBulbFromHumRatio", t, w, p)
    # In the overlap at 0 °C both branches have a solution, and the bisection may end on the ice
    # branch, or at the step between the two.
    overlap = (ours >= 0) & (theirs < 0)
    assert np.abs(ours - theirs)[~overlap].max() < PSYCHROLIB_TOLERANCE
    # Ours is then a solution of the water branch nevertheless.
    assert np.abs(wet_bulb_residual(t, w, p, ours, wick_is_water=True)[overlap]).max(initial=0.0) < 1e-9
    assert ours[overlap].max(initial=0.0) < 1.0
    return int(overlap.sum())


def test_wet_bulb(reference: Any, states: dict[str, Any]) -> None:
    in_overlap = check_wet_bulbs(reference, states["t"], ratios(states), states["p"])
    # Few of the states: 0.2 % here.
    assert 0 < in_overlap < 100


def test_wet_bulb_around_the_ice_point(reference: Any) -> None:
    random = np.random.default_rng(3)
    n = 5_000
    t, p = random.uniform(0.5, 15.0, n), random.uniform(60e3, 110e3, n)
    w = air.humidity_ratio_from_wet_bulb(t, random.uniform(-0.5, 0.5, n), p, impossible="nan")
    kept = w > 1e-7
    assert check_wet_bulbs(reference, t[kept], w[kept], p[kept]) > 100
