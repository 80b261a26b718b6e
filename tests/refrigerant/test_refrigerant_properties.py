"""Enthalpy and density against the full model, and by a way round that uses neither table of enthalpy."""

from __future__ import annotations

import numpy as np
import pytest

from airside.errors import OutOfRangeError
from airside.refrigerant import properties, saturation
from airside.refrigerant.models import along_isobar
from airside.refrigerant.names import Refrigerant


def evaporator_difference(refrigerant: Refrigerant) -> float:
    """Vapour of 5 K superheat at dew 5 °C less liquid of 5 K subcooling at bubble 40 °C [J/kg]."""
    low, high = saturation.dew_pressure(refrigerant, 5.0), saturation.bubble_pressure(refrigerant, 40.0)
    vapour = properties.vapour_enthalpy(refrigerant, 10.0, low)
    return float(vapour - properties.liquid_enthalpy(refrigerant, 35.0, high))


@pytest.mark.parametrize("side", ["dew", "bubble"])
def test_against_full_model(refrigerant: Refrigerant, side: str) -> None:
    of_side = {
        "dew": (saturation.dew_pressure, properties.vapour_enthalpy, properties.vapour_density),
        "bubble": (saturation.bubble_pressure, properties.liquid_enthalpy, properties.liquid_density),
    }
    pressure_at, enthalpy, density = of_side[side]
    zero = saturation.bubble_pressure(refrigerant, 0.0)
    datum = 200e3 - along_isobar(refrigerant, "bubble", float(zero), np.array([-0.001]))[0][0]
    random = np.random.default_rng(4)
    worst_enthalpy = worst_density = 0.0
    for saturated in np.linspace(-45.0, refrigerant.critical_temperature - 5.0, 23):
        pressure = float(pressure_at(refrigerant, saturated))
        most = 100.0 if side == "dew" else min(saturated + 60.0, 60.0)
        # A thousandth of a kelvin keeps the full model on its side of saturation.
        away = np.sort(np.append(random.uniform(0.0, most, 9), 1e-3))[::-1]
        celsius = saturated + away if side == "dew" else saturated - away
        h, d = along_isobar(refrigerant, side, pressure, celsius)
        given = (refrigerant, celsius, np.full_like(celsius, pressure))
        worst_enthalpy = max(worst_enthalpy, np.abs(enthalpy(*given, impossible="nan") - h - datum).max())
        worst_density = max(worst_density, np.abs(density(*given, impossible="nan") / d - 1).max())
    assert worst_enthalpy < properties.ENTHALPY_TOLERANCE * evaporator_difference(refrigerant)
    assert worst_density < properties.DENSITY_TOLERANCE


def test_zero_of_enthalpy(refrigerant: Refrigerant) -> None:
    zero = saturation.bubble_pressure(refrigerant, 0.0)
    assert properties.liquid_enthalpy(refrigerant, 0.0, zero) == pytest.approx(200e3, abs=60.0)


@pytest.mark.parametrize("name", ["R-22", "R-32", "R-134a", "R-290", "R-1234yf"])
@pytest.mark.parametrize("celsius", [-20.0, 5.0, 40.0])
def test_latent_heat_by_clapeyron(name: str, celsius: float) -> None:
    """Latent heat = T (v_vapour - v_liquid) dp/dT: enthalpies against densities and the saturation curve."""
    pressure = saturation.dew_pressure(name, celsius)
    liquid, vapour = properties.saturated_enthalpies(name, pressure)
    slope = (saturation.dew_pressure(name, celsius + 0.1) - saturation.dew_pressure(name, celsius - 0.1)) / 0.2
    volumes = 1 / properties.vapour_density(name, celsius, pressure) - 1 / properties.liquid_density(
        name, celsius, pressure
    )
    assert vapour - liquid == pytest.approx((celsius + 273.15) * volumes * slope, rel=1.5e-3)


def test_monotone(refrigerant: Refrigerant) -> None:
    low, high = saturation.dew_pressure(refrigerant, 5.0), saturation.bubble_pressure(refrigerant, 40.0)
    vapour, liquid = np.linspace(1.0, 99.9, 2001), np.linspace(-30.0, 44.0, 2001)
    assert (np.diff(properties.vapour_enthalpy(refrigerant, 5.0 + vapour, low)) > 0).all()
    assert (np.diff(properties.vapour_density(refrigerant, 5.0 + vapour, low)) < 0).all()
    assert (np.diff(properties.liquid_enthalpy(refrigerant, liquid, high)) > 0).all()
    assert (np.diff(properties.liquid_density(refrigerant, liquid, high)) < 0).all()


def test_beyond_saturation_goes_on_straight() -> None:
    pressure = saturation.dew_pressure("R-410A", 5.0)
    dew = saturation.dew_temperature("R-410A", pressure)
    enthalpy = properties.vapour_enthalpy("R-410A", dew + np.array([-4.0, -2.0, 0.0, 1.0, 2.0]), pressure)
    steps = np.diff(enthalpy)
    assert steps[0] == pytest.approx(steps[1], rel=1e-6)
    assert steps[1] / 2 == pytest.approx(steps[2], rel=1e-6)
    assert steps[2] == pytest.approx(steps[3], rel=0.05)
    liquid = properties.liquid_enthalpy("R-410A", np.array([39.0, 40.0, 41.0, 44.0]), pressure=2.4e6)
    assert (np.diff(liquid) > 0).all()


def test_too_far_from_saturation() -> None:
    low, high = saturation.dew_pressure("R-410A", 5.0), saturation.bubble_pressure("R-410A", 40.0)
    with pytest.raises(OutOfRangeError, match=r"superheat of -7\.0 K is below zero by more than 5 K"):
        properties.vapour_enthalpy("R-410A", -2.0, low)
    with pytest.raises(OutOfRangeError, match=r"superheat of 115\.0 K is more than the table's 100 K"):
        properties.vapour_enthalpy("R-410A", 120.0, low)
    with pytest.raises(OutOfRangeError, match=r"subcooling of -8\.0 K is below zero by more than 5 K"):
        properties.liquid_enthalpy("R-410A", 48.0, high)
    with pytest.raises(OutOfRangeError, match=r"subcooling of 105\.0 K is more than the table's 100 K"):
        properties.liquid_enthalpy("R-410A", -65.0, high)
    with pytest.raises(OutOfRangeError, match="critical"):
        properties.vapour_density("R-410A", 60.0, 6e6)
    found = properties.vapour_enthalpy("R-410A", np.array([-2.0, 10.0, 120.0, np.nan]), low, impossible="nan")
    assert np.isnan(found).tolist() == [True, False, True, True]
    assert np.isnan(properties.liquid_density("R-410A", 30.0, 6e6, impossible="nan"))
