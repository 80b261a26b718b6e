"""The saturation tables: against the full model, monotone, NaN, and what they say outside."""

from __future__ import annotations

import numpy as np
import pytest

from airside.errors import OutOfRangeError
from airside.refrigerant import saturation
from airside.refrigerant.make_tables import make_tables
from airside.refrigerant.models import saturation_pressures, state_of
from airside.refrigerant.names import Refrigerant, find_refrigerant
from airside.refrigerant.tables import from_dict, tables_of

COLDEST = -45.0
# Promised is 0.01 K; the worst today is 0.0012 K (R-454C, bubble, 5 K below critical).
TOLERANCE = 0.003
TEMPERATURE = {"dew": saturation.dew_temperature, "bubble": saturation.bubble_temperature}
PRESSURE = {"dew": saturation.dew_pressure, "bubble": saturation.bubble_pressure}


@pytest.mark.parametrize("side", ["dew", "bubble"])
def test_against_full_model(refrigerant: Refrigerant, side: str) -> None:
    # Steps that no node of the tables shares.
    celsius = np.linspace(COLDEST, refrigerant.critical_temperature - 5.0, 217)
    pressure = saturation_pressures(refrigerant, side, celsius)
    # Rounding may put the last pressure outside.
    found = TEMPERATURE[side](refrigerant, pressure[:-1])
    np.testing.assert_allclose(found, celsius[:-1], rtol=0, atol=TOLERANCE)
    assert TOLERANCE < saturation.TOLERANCE
    # One per cent of pressure is about 0.35 K: the same tolerance, the other way round.
    np.testing.assert_allclose(PRESSURE[side](refrigerant, celsius), pressure, rtol=5e-5)


@pytest.mark.parametrize(("side", "quality"), [("dew", 1.0), ("bubble", 0.0)])
def test_against_coolprops_own_flash(refrigerant: Refrigerant, side: str, quality: float) -> None:
    """Without our march: CoolProp's flash from pressure, at pressures where it succeeds for all."""
    from CoolProp import PQ_INPUTS

    state = state_of(refrigerant)
    for pressure in (3e5, 8e5, 1.5e6, 2.4e6):
        state.update(PQ_INPUTS, pressure, quality)
        assert TEMPERATURE[side](refrigerant, pressure) == pytest.approx(state.T() - 273.15, abs=saturation.TOLERANCE)


@pytest.mark.parametrize("name", ["R-404A", "R-407C", "R-410A"])
def test_pseudo_pure_agrees_with_the_mixture(name: str) -> None:
    """Two models by CoolProp of one blend: what the choice between them is worth."""
    from CoolProp import QT_INPUTS
    from CoolProp.CoolProp import AbstractState

    mixture = AbstractState("HEOS", f"{name.replace('-', '')}.mix")
    for celsius in (-30.0, 0.0, 10.0, 30.0):
        for side, quality in (("dew", 1.0), ("bubble", 0.0)):
            mixture.update(QT_INPUTS, quality, celsius + 273.15)
            assert TEMPERATURE[side](name, mixture.p()) == pytest.approx(celsius, abs=0.02)


@pytest.mark.parametrize("name", ["R-32", "R-410A", "R-454B"])
def test_shipped_tables_are_those_that_are_made(name: str) -> None:
    refrigerant = find_refrigerant(name)
    made, shipped = from_dict(make_tables(refrigerant)), tables_of(refrigerant)
    log_pressure = np.linspace(np.log(2e5), np.log(3e6), 41)
    for side in ("dew", "bubble"):
        ours, theirs = made.side(side), shipped.side(side)
        np.testing.assert_allclose(ours.temperature(log_pressure), theirs.temperature(log_pressure), atol=1e-4)
    for phase in ("vapour", "liquid"):
        ours, theirs = getattr(made, phase), getattr(shipped, phase)
        for y in (-1.0, 0.0, 0.9):
            place = np.full_like(log_pressure, y)
            np.testing.assert_allclose(
                ours.enthalpy(log_pressure, place), theirs.enthalpy(log_pressure, place), rtol=0, atol=5.0
            )


def test_monotone_and_dew_above_bubble(refrigerant: Refrigerant) -> None:
    highest = min(c.highest for c in (tables_of(refrigerant).dew, tables_of(refrigerant).bubble))
    lowest = max(c.lowest for c in (tables_of(refrigerant).dew, tables_of(refrigerant).bubble))
    pressure = np.linspace(lowest, highest, 20_001)
    dew, bubble = (f(refrigerant, pressure) for f in (saturation.dew_temperature, saturation.bubble_temperature))
    assert (np.diff(dew) > 0).all()
    assert (np.diff(bubble) > 0).all()
    # An azeotrope's glide is zero: the fits may miss it by their error.
    assert (dew - bubble > -2 * saturation.TOLERANCE).all()
    celsius = np.linspace(-60.0, refrigerant.critical_temperature - 5.0, 20_001)
    assert (np.diff(saturation.dew_pressure(refrigerant, celsius)) > 0).all()
    assert (np.diff(saturation.bubble_pressure(refrigerant, celsius)) > 0).all()


def test_back_and_forth(refrigerant: Refrigerant) -> None:
    celsius = np.linspace(-50.0, refrigerant.critical_temperature - 6.0, 101)
    for side in ("dew", "bubble"):
        there = PRESSURE[side](refrigerant, celsius)
        np.testing.assert_allclose(TEMPERATURE[side](refrigerant, there), celsius, rtol=0, atol=TOLERANCE)


def test_pure_fluids_have_no_glide() -> None:
    for name in ("R-22", "R-32", "R-134a", "R-290", "R-1234yf"):
        assert saturation.glide(name, 1e6) == 0.0
    # About 5.6 K and 8 K at 1 MPa by the models; classes of glide are common knowledge.
    assert 4.0 < saturation.glide("R-407C", 1e6) < 7.0
    assert 6.0 < saturation.glide("R-454C", 1e6) < 9.0
    assert 0.0 < saturation.glide("R-410A", 1e6) < 0.3


def test_shapes_and_nan() -> None:
    assert isinstance(saturation.dew_temperature("R-410A", 1e6), float)
    found = saturation.dew_temperature("R-410A", np.array([[1e6, np.nan], [2e6, 3e6]]))
    assert found.shape == (2, 2)
    assert np.isnan(found).tolist() == [[False, True], [False, False]]
    assert np.isnan(saturation.bubble_pressure("R-410A", np.nan))
    assert saturation.dew_temperature("R-410A", np.array([])).shape == (0,)


def test_mid_point() -> None:
    middle = saturation.saturation_midpoint("R-407C", 1e6)
    assert middle == pytest.approx(
        saturation.bubble_temperature("R-407C", 1e6) + saturation.glide("R-407C", 1e6) / 2, abs=1e-9
    )


@pytest.mark.parametrize(
    ("pressure", "said"),
    [
        (5.2e6, r"R-410A: a pressure of 5,200 kPa \(754\.2 psi\) absolute is above the critical pressure, 4,901 kPa"),
        (4.7e6, "less than 5 K below critical; the table ends at"),
        (1e4, "below its saturation pressure at -60 °C"),
        (-1e4, "is no pressure"),
    ],
)
def test_pressures_outside(pressure: float, said: str) -> None:
    with pytest.raises(OutOfRangeError, match=said):
        saturation.dew_temperature("R410A", np.array([1e6, pressure]))
    found = saturation.dew_temperature("R410A", np.array([1e6, pressure]), impossible="nan")
    assert np.isnan(found).tolist() == [False, True]


@pytest.mark.parametrize(
    ("celsius", "said"), [(75.0, "above the critical temperature, 71.3 °C"), (-80.0, "goes from -60 to 66.3 °C")]
)
def test_temperatures_outside(celsius: float, said: str) -> None:
    with pytest.raises(OutOfRangeError, match=said):
        saturation.dew_pressure("R410A", celsius)
    assert np.isnan(saturation.dew_pressure("R410A", celsius, impossible="nan"))


def test_choice_is_checked() -> None:
    with pytest.raises(ValueError, match="impossible"):
        saturation.dew_temperature("R410A", 1e6, impossible="maybe")  # type: ignore[arg-type]


def test_a_result_does_not_load_coolprop() -> None:
    import subprocess
    import sys

    code = (
        "import sys; from airside.refrigerant import cycle, causes, compressor, contradictions; "
        "cycle.superheat('R-454B', 8e5, 12.0, 83e3); cycle.cycle_points('R-454B', suction_pressure=8e5, "
        "suction_temperature=12.0, liquid_pressure=2.4e6, liquid_temperature=30.0, barometric_pressure=83e3); "
        "sys.exit('CoolProp' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
