"""Readings that contradict each other are said, and sound ones are not."""

from __future__ import annotations

import pytest

from airside.refrigerant import contradictions as c
from airside.refrigerant.saturation import bubble_pressure, dew_pressure

BAROMETER = 83e3
# A sound visit: R-410A, dew 5 °C, bubble 42 °C, return 24 °C, outdoor 32 °C.
SUCTION = float(dew_pressure("R-410A", 5.0)) - BAROMETER
LIQUID = float(bubble_pressure("R-410A", 42.0)) - BAROMETER


def test_a_sound_visit_says_nothing() -> None:
    assert c.pressure_out_of_range("R-410A", SUCTION, BAROMETER) == ""
    assert c.suction_not_plausible("R-410A", SUCTION, 24.0, BAROMETER, suction_temperature=11.0) == ""
    assert c.suction_line_colder("R-410A", SUCTION, 11.0, BAROMETER) == ""
    assert c.liquid_line_warmer("R-410A", LIQUID, 37.0, BAROMETER) == ""
    assert c.condensing_not_plausible("R-410A", LIQUID, 32.0, BAROMETER) == ""
    assert c.pressures_swapped(SUCTION, LIQUID) == ""


def test_absolute_typed_as_gauge_shows_by_the_suction_line() -> None:
    # Superheat 2 K: as gauge, the absolute pressure puts saturation above the line.
    said = c.suction_not_plausible("R-410A", SUCTION + BAROMETER, 24.0, BAROMETER, suction_temperature=7.0)
    assert said.endswith("Was an absolute pressure typed as gauge?")
    assert "superheat would be 2.0 K" in said


def test_suction_too_warm_or_too_cold_for_the_return_air() -> None:
    warm = float(dew_pressure("R-410A", 26.0)) - BAROMETER
    assert "not below the return air of 75.2 °F" in c.suction_not_plausible("R-410A", warm, 24.0, BAROMETER, units="IP")
    # Gauge typed in psi where kPa is meant: 850 kPa becomes 123, here as R-410A at -31 °C.
    cold = c.suction_not_plausible("R-410A", 123e3, 24.0, BAROMETER)
    assert "colder than a cooling unit runs" in cold
    assert "gauge or absolute" in cold


def test_out_of_range() -> None:
    assert "critical pressure" in c.pressure_out_of_range("R-410A", 6e6, BAROMETER)
    assert "-60 °C" in c.suction_not_plausible("R-410A", -5e4, 24.0, BAROMETER)
    assert "critical" in c.condensing_not_plausible("R-410A", 6e6, 32.0, BAROMETER)
    # Said once, not again by those that need a saturation temperature.
    assert c.liquid_line_warmer("R-410A", 6e6, 32.0, BAROMETER) == ""
    assert c.suction_line_colder("R-410A", 6e6, 32.0, BAROMETER) == ""


def test_lines_on_the_wrong_side_of_saturation() -> None:
    flashing = c.liquid_line_warmer("R-410A", LIQUID, 44.0, BAROMETER)
    assert "2.0 K warmer than saturation" in flashing
    assert "flashes" in flashing and "misread" in flashing
    colder = c.suction_line_colder("R-410A", SUCTION, 3.0, BAROMETER, units="IP")
    assert "3.6 °F colder than saturation" in colder
    # The readings' own uncertainty may explain it.
    assert c.liquid_line_warmer("R-410A", LIQUID, 44.0, BAROMETER, margin=2.5) == ""
    assert c.suction_line_colder("R-410A", SUCTION, 3.0, BAROMETER, margin=2.5) == ""
    assert c.suction_line_colder("R-410A", SUCTION, float("nan"), BAROMETER) == ""


def test_condensing_below_outdoor_air_and_swapped_hoses() -> None:
    assert "not above the outdoor air of 43.0 °C" in c.condensing_not_plausible("R-410A", LIQUID, 43.0, BAROMETER)
    assert "swapped" in c.pressures_swapped(LIQUID, SUCTION)
    assert "at rest" in c.pressures_swapped(SUCTION, SUCTION)


@pytest.mark.parametrize("name", ["R-22", "R-407C", "R-454B"])
def test_other_refrigerants(name: str) -> None:
    suction = float(dew_pressure(name, 5.0)) - BAROMETER
    assert c.suction_not_plausible(name, suction, 24.0, BAROMETER, suction_temperature=11.0) == ""
