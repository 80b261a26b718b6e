"""Apparatus dew points worked by hand from published values.

Saturated states are printed ones of ASHRAE Handbook—Fundamentals (2017), inch-pound edition, ch. 1
Table 2 ("table": copied from a printed or coded table), which is of real gas: hence the tolerances.
"""

from __future__ import annotations

import math

import pytest

import airside
from airside.air.coil import coil_performance
from airside.air.coil_prediction import predict_coil
from airside.air.coil_status import CoilStatus
from airside.units import from_inside, parse, to_inside

SEA_LEVEL = parse("14.696 psi", "barometric_pressure")


def air(fahrenheit: float, humidity_ratio: float) -> airside.MoistAir:
    return airside.MoistAir.from_humidity_ratio(to_inside(fahrenheit, "temperature", "IP"), humidity_ratio, SEA_LEVEL)


def test_line_to_a_printed_saturated_state() -> None:
    # The printed saturated state: 41 °F, W = 0.005425 lb/lb, h = 15.699 Btu/lb. recall: table. Source: ASHRAE
    # Fundamentals 2017 ch. 1 Table 2. Dry air at 77 °F: 18.498 Btu/lb; recall: table, same source.
    # Return air of 77 °F and 0.0100 lb/lb; a fifth of it goes past the coil. By hand:
    #   supply dry bulb        41 + 0.2 (77 - 41)               = 48.2 °F
    #   supply humidity ratio  0.005425 + 0.2 (0.0100 - 0.005425) = 0.006340 lb/lb
    #   return enthalpy        18.498 + 0.0100 (1061 + 0.444 * 77)   = 29.450 Btu/lb
    #   supply enthalpy        0.24023 * 48.2 + 0.006340 (1061 + 0.444 * 48.2) = 18.441 Btu/lb
    #   bypass factor by enthalpy  (18.441 - 15.699) / (29.450 - 15.699) = 0.1994
    #   transfer units         -ln 0.1994 = 1.612
    found = coil_performance(air(77.0, 0.0100), air(48.2, 0.006340))
    assert found.status is CoilStatus.WET
    # 0.5 % of the saturated humidity ratio is 0.13 °F there; the line comes in at an angle, which doubles it.
    assert from_inside(found.apparatus_dew_point, "temperature", "IP") == pytest.approx(41.0, abs=0.3)
    assert found.dry_bulb_bypass_factor == pytest.approx(0.2, abs=0.008)
    assert found.bypass_factor == pytest.approx(0.1994, abs=0.008)
    assert found.number_of_transfer_units == pytest.approx(1.612, abs=0.04)


def test_cooling_to_saturation() -> None:
    # 85 °F and 50 % RH cooled to saturation at 50 °F: the supply air is at the apparatus dew point itself, nothing
    # goes past. recall: memory. Source: ASHRAE Fundamentals ch. 1, worked example of moist air cooling.
    entering = airside.MoistAir.from_relative_humidity(to_inside(85.0, "temperature", "IP"), 0.5, SEA_LEVEL)
    leaving = airside.MoistAir.from_relative_humidity(to_inside(50.0, "temperature", "IP"), 1.0, SEA_LEVEL)
    found = coil_performance(entering, leaving)
    assert from_inside(found.apparatus_dew_point, "temperature", "IP") == pytest.approx(50.0, abs=1e-9)
    assert found.bypass_factor == 0.0 and found.contact_factor == 1.0
    assert math.isinf(found.number_of_transfer_units)


def test_rated_condition_by_the_engineering_reference() -> None:
    # Formulas of the EnergyPlus Engineering Reference, "Single-Speed DX Cooling Coil", from memory, worked by hand at
    # 80 °F dry bulb and 67 °F wet bulb (10 CFR 430 appendix M1 test A, from memory), with a bypass factor of 0.1 and
    # 12 Btu/lb taken from the air. Return air holds 31.46 Btu/lb (psychrometric chart at sea level, from memory). So
    # h_adp = 31.46 - 12 / 0.9 = 18.13 Btu/lb, and saturated air that holds 18.10 Btu/lb is at 46 °F (ASHRAE
    # Fundamentals ch. 1 Table 2, from memory).
    entering = airside.MoistAir.from_wet_bulb(*(to_inside(t, "temperature", "IP") for t in (80.0, 67.0)), SEA_LEVEL)
    assert from_inside(entering.enthalpy, "enthalpy", "IP") == pytest.approx(31.46, abs=0.05)
    # A coil of that bypass factor: any supply air made with it gives its effective surface.
    surface = airside.MoistAir.from_relative_humidity(to_inside(50.0, "temperature", "IP"), 1.0, SEA_LEVEL)
    part = 0.1005
    leaving = airside.MoistAir.from_humidity_ratio(
        surface.dry_bulb + part * (entering.dry_bulb - surface.dry_bulb),
        surface.humidity_ratio + part * (entering.humidity_ratio - surface.humidity_ratio), SEA_LEVEL,
    )  # fmt: skip
    coil = coil_performance(entering, leaving, 1.0)
    assert coil.bypass_factor == pytest.approx(0.1, abs=0.001)
    taken = 12.0 * 2326.0
    found = predict_coil(coil, capacity_ratio=taken / (entering.enthalpy - leaving.enthalpy))
    assert from_inside(found.apparatus_dew_point, "temperature", "IP") == pytest.approx(46.0, abs=0.3)
