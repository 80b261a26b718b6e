"""Superheat, subcooling and the cycle, against a visit worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from airside.errors import OutOfRangeError
from airside.refrigerant import cycle
from airside.refrigerant.models import along_isobar
from airside.refrigerant.names import find_refrigerant
from airside.refrigerant.saturation import bubble_pressure, dew_pressure
from airside.units import parse

PSI = 6894.757
SEA_LEVEL = 14.696 * PSI


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def test_hand_worked_visit_r22() -> None:
    """R-22 saturates at 40 °F under 83.25 psia and at 100 °F under 210.6 psia (ASHRAE Fundamentals ch. 30, from memory).

    At 14.696 psi barometric that is 68.55 and 195.9 psi gauge. Suction line 52 °F: superheat 12 °F.
    Liquid line 89 °F: subcooling 11 °F. Outdoor 82 °F: condensing 18 °F above. Return 76 °F: suction 36 °F below.
    """
    suction, liquid = 68.55 * PSI, 195.9 * PSI
    found = {
        "superheat": cycle.superheat("R-22", suction, celsius(52), SEA_LEVEL),
        "subcooling": cycle.subcooling("R-22", liquid, celsius(89), SEA_LEVEL),
        "condensing": cycle.condensing_over_outdoor("R-22", liquid, celsius(82), SEA_LEVEL),
        "suction": cycle.suction_below_return("R-22", suction, celsius(76), SEA_LEVEL),
    }
    by_hand = {"superheat": 12.0, "subcooling": 11.0, "condensing": 18.0, "suction": 36.0}
    assert {k: v * 1.8 for k, v in found.items()} == pytest.approx(by_hand, abs=0.05)


def test_hand_worked_visit_at_altitude() -> None:
    """R-134a, 49.74 psia at 40 °F (from memory); at 12.0 psi barometric the gauge reads 37.74 psi. Line 50 °F."""
    found = cycle.superheat("R-134a", 37.74 * PSI, celsius(50), 12.0 * PSI)
    assert found * 1.8 == pytest.approx(10.0, abs=0.05)
    # The sea level's barometric pressure would lose a third of it.
    wrong = cycle.superheat("R-134a", 37.74 * PSI, celsius(50), SEA_LEVEL)
    assert wrong * 1.8 == pytest.approx(7.0, abs=0.3)


def test_blend_counts_from_dew_and_from_bubble() -> None:
    name, low, high = "R-407C", 4.5e5, 1.7e6
    dew, bubble = (f(name, high + 1e5) for f in (cycle.dew_temperature, cycle.bubble_temperature))
    assert cycle.condensing_temperature(name, high, 1e5) == pytest.approx((dew + bubble) / 2)
    assert cycle.subcooling(name, high, 30.0, 1e5) == pytest.approx(bubble - 30.0)
    assert cycle.superheat(name, low, 15.0, 1e5) == pytest.approx(15.0 - cycle.dew_temperature(name, low + 1e5))
    assert cycle.evaporating_temperature(name, low, 1e5) < cycle.dew_temperature(name, low + 1e5)


def test_arrays_and_nan() -> None:
    pressures = np.array([8e5, np.nan, 9e6])
    found = cycle.superheat("R-410A", pressures, 15.0, 1e5, impossible="nan")
    assert np.isnan(found).tolist() == [False, True, True]
    with pytest.raises(OutOfRangeError, match="critical"):
        cycle.superheat("R-410A", pressures, 15.0, 1e5)


@pytest.mark.parametrize("name", ["R-22", "R-32", "R-410A", "R-454B", "R-448A", "R-407C"])
def test_energy_balance_two_ways(name: str) -> None:
    """Heat given off is heat taken up plus work; and each of the three again by the full model's enthalpies."""
    suction, liquid, discharge = 11.0, 35.0, 72.0
    points = cycle.cycle_points(
        name, suction_pressure=dew_pressure(name, 5.0) - 83e3, suction_temperature=suction,
        liquid_pressure=bubble_pressure(name, 40.0) - 83e3, liquid_temperature=liquid, discharge_temperature=discharge,
        barometric_pressure=83e3,
    )  # fmt: skip
    mass_flow = 0.08
    taken = cycle.refrigerant_capacity(mass_flow, points.suction_enthalpy, points.liquid_enthalpy)
    work = mass_flow * points.compression_difference
    given = mass_flow * points.condenser_difference
    assert given == pytest.approx(taken + work, rel=1e-12)
    refrigerant = find_refrigerant(name)
    low, high = points.suction_pressure, points.liquid_pressure
    h1 = along_isobar(refrigerant, "dew", low, np.array([60.0, suction]))[0][1]
    h2 = along_isobar(refrigerant, "dew", high, np.array([100.0, discharge]))[0][1]
    h3 = along_isobar(refrigerant, "bubble", high, np.array([0.0, liquid]))[0][1]
    assert taken == pytest.approx(mass_flow * (h1 - h3), rel=1e-3)
    assert work == pytest.approx(mass_flow * (h2 - h1), rel=3e-3)
    assert given == pytest.approx(mass_flow * (h2 - h3), rel=1e-3)


def test_cycle_by_specific_heats() -> None:
    """R-134a by hand: latent heat at 40 °F 84.1 Btu/lb, cp vapour 0.22, cp liquid 0.35 Btu/(lb °F), rounded, from memory."""
    low, high = 49.74 * PSI - SEA_LEVEL, 138.9 * PSI - SEA_LEVEL
    points = cycle.cycle_points(
        "R-134a", suction_pressure=low, suction_temperature=celsius(50), liquid_pressure=high,
        liquid_temperature=celsius(90), barometric_pressure=SEA_LEVEL,
    )  # fmt: skip
    by_hand = 84.1 + 0.22 * 10 - 0.34 * (90 - 40)
    assert points.evaporator_difference / 2326 == pytest.approx(by_hand, rel=0.01)
    assert points.discharge_enthalpy is None
    assert points.compression_difference is None
    assert points.condenser_difference is None


def test_efficiency() -> None:
    assert cycle.coefficient_of_performance(10_000.0, 2_500.0) == 4.0
    # 3.412 Btu/h for each watt, any handbook.
    assert cycle.energy_efficiency_ratio(10_000.0, 2_500.0) == pytest.approx(13.649, abs=1e-3)
    assert np.isnan(cycle.coefficient_of_performance(10_000.0, np.array([0.0, np.nan, -1.0]))).all()
    # pint's own conversion, as the display of efficiencies uses it.
    assert parse("1 Btu/Wh", "efficiency") == pytest.approx(1 / cycle.BTU_PER_WATT_HOUR, rel=1e-9)
