"""States of moist air: scalars, arrays, NaN, impossible states, round trips."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from airside import MoistAir
from airside.air import properties as air
from airside.air.atmosphere import standard_atmosphere_pressure
from airside.errors import ImpossibleStateError, OutOfRangeError, UnitError

PROPERTIES = (
    "wet_bulb", "dew_point", "relative_humidity", "degree_of_saturation", "vapour_pressure", "enthalpy",
    "specific_volume", "density",
)  # fmt: skip

dry_bulbs = st.floats(-40.0, 60.0)
humidities = st.floats(0.001, 1.0)
pressures = st.floats(60e3, 110e3)


def test_scalars_give_floats() -> None:
    state = MoistAir.from_relative_humidity(24, 0.5, 83_000)
    for name in ("dry_bulb", "humidity_ratio", "pressure", *PROPERTIES):
        assert type(getattr(state, name)) is float, name
    assert type(air.saturation_temperature(1_000.0)) is float
    assert type(air.wet_bulb(24.0, 0.009, 83_000.0)) is float
    assert type(air.humidity_ratio_from_enthalpy(24.0, 48_000.0, 101_325.0)) is float
    assert type(standard_atmosphere_pressure(1_650.0)) is float


def test_shapes_broadcast() -> None:
    t, rh, p = np.linspace(0.0, 40.0, 4)[:, None], np.linspace(0.1, 0.9, 3), 90e3
    state = MoistAir.from_relative_humidity(t, rh, p)
    assert state.humidity_ratio.shape == (4, 3)
    for name in PROPERTIES:
        if name == "vapour_pressure":
            continue
        values = getattr(state, name)
        assert values.shape == (4, 3), name
        one = MoistAir.from_relative_humidity(float(t[2, 0]), float(rh[1]), p)
        assert values[2, 1] == pytest.approx(getattr(one, name), rel=1e-12), name
    assert repr(state) == "MoistAir(array of shape (4, 3))"


def test_only_one_argument_is_an_array() -> None:
    base = {"dry_bulb": 24.0, "relative_humidity": 0.5, "pressure": 90e3}
    for name, value in base.items():
        state = MoistAir.from_relative_humidity(**{**base, name: np.array([value, value])})
        assert np.ptp(state.wet_bulb) == 0.0
        assert state.wet_bulb[0] == pytest.approx(MoistAir.from_relative_humidity(**base).wet_bulb, abs=1e-12)


def test_empty_arrays() -> None:
    state = MoistAir.from_relative_humidity(np.array([]), np.array([]), 90e3)
    for name in PROPERTIES:
        assert getattr(state, name).shape == (0,), name


@pytest.mark.parametrize("maker", ["relative_humidity", "wet_bulb", "dew_point", "humidity_ratio", "enthalpy"])
def test_nan_in_nan_out(maker: str) -> None:
    good = MoistAir.from_relative_humidity(24.0, 0.5, 90e3)
    humidity = getattr(good, maker)
    make = getattr(MoistAir, f"from_{maker}")
    t = np.array([24.0, np.nan, 24.0, 24.0])
    h = np.array([humidity, humidity, np.nan, humidity])
    p = np.array([90e3, 90e3, 90e3, np.nan])
    state = make(t, h, p)
    whole = [name for name in PROPERTIES if name != "vapour_pressure"]
    for name in whole:
        values = getattr(state, name)
        assert values[0] == pytest.approx(getattr(good, name), rel=1e-9), name
        if name in ("wet_bulb", "relative_humidity", "degree_of_saturation", "specific_volume", "density"):
            assert np.isnan(values[1:]).all(), name
    # Each property is NaN where what it needs is NaN.
    assert np.isnan(state.enthalpy[1:3]).all()
    assert np.isnan(state.dew_point[2:]).all()
    assert np.isnan(make(np.nan, humidity, 90e3).wet_bulb)


def test_nan_hides_no_impossible_state() -> None:
    with pytest.raises(ImpossibleStateError):
        MoistAir.from_relative_humidity(np.array([np.nan, 20.0]), np.array([np.nan, 1.4]), 90e3)
    with pytest.raises(OutOfRangeError):
        MoistAir.from_relative_humidity(np.array([np.nan, 76.0, 176.0]), 0.5, 90e3)


IMPOSSIBLE: list[tuple[str, Any, str]] = [
    ("relative_humidity", [0.5, 1.2, -0.1, 0.5], "relative humidity outside 0 to 1"),
    ("dew_point", [10.0, 20.1, 25.0, 10.0], "dew point above dry bulb"),
    ("wet_bulb", [15.0, 20.1, 25.0, 15.0], "wet bulb above dry bulb"),
    ("wet_bulb", [15.0, 2.0, 1.0, 15.0], "wet bulb below that of dry air"),
    ("humidity_ratio", [0.005, -0.001, -0.002, 0.005], "humidity ratio below 0"),
    ("humidity_ratio", [0.005, 0.02, 0.03, 0.005], "more water than air"),
    ("enthalpy", [30e3, 10e3, 15e3, 30e3], "humidity ratio below 0"),
    ("enthalpy", [30e3, 80e3, 90e3, 30e3], "more water than air"),
]


@pytest.mark.parametrize(("maker", "humidity", "message"), IMPOSSIBLE)
def test_impossible_states(maker: str, humidity: list[float], message: str) -> None:
    make = getattr(MoistAir, f"from_{maker}")
    grid = np.array(humidity).reshape(2, 2)
    with pytest.raises(ImpossibleStateError, match=message) as caught:
        make(20.0, grid, 101_325.0)
    assert caught.value.count == 2
    assert caught.value.first_index == (0, 1)
    assert "2 of 4 states" in str(caught.value) and "[0, 1]" in str(caught.value)
    # A scalar has no index.
    with pytest.raises(ImpossibleStateError, match=message) as caught:
        make(20.0, humidity[1], 101_325.0)
    assert (caught.value.count, caught.value.first_index) == (1, ())
    # Or NaN, where the caller wants it.
    state = make(20.0, grid, 101_325.0, impossible="nan")
    assert np.isnan(state.humidity_ratio.ravel()).tolist() == [False, True, True, False]
    assert np.isnan(make(20.0, humidity[1], 101_325.0, impossible="nan").humidity_ratio)


def test_wet_bulb_of_an_impossible_ratio() -> None:
    ratio = np.array([0.005, -0.001, 0.03])
    with pytest.raises(ImpossibleStateError) as caught:
        air.wet_bulb(20.0, ratio, 101_325.0)
    assert (caught.value.count, caught.value.first_index) == (2, (1,))
    assert np.isnan(air.wet_bulb(20.0, ratio, 101_325.0, impossible="nan")).tolist() == [False, True, True]


def test_no_state_where_water_boils() -> None:
    # 95 °C at 50 kPa: the saturation pressure is 84 kPa.
    with pytest.raises(ImpossibleStateError, match="vapour pressure above the pressure"):
        MoistAir.from_relative_humidity(95.0, 0.9, 50e3)
    with pytest.raises(ImpossibleStateError, match="vapour pressure above the pressure"):
        MoistAir.from_dew_point(95.0, 90.0, 50e3)
    assert np.isnan(MoistAir.from_relative_humidity(95.0, 0.9, 50e3, impossible="nan").humidity_ratio)
    assert air.saturation_humidity_ratio(95.0, 50e3) == np.inf
    # Drier air of the same temperature can be.
    assert MoistAir.from_relative_humidity(95.0, 0.1, 50e3).relative_humidity == pytest.approx(0.1)


def test_wrong_choice() -> None:
    for function in (air.humidity_ratio_from_relative_humidity, air.humidity_ratio_from_dew_point, air.wet_bulb):
        with pytest.raises(ValueError, match="impossible must be"):
            function(20.0, 0.005, 90e3, impossible="ignore")  # type: ignore[arg-type]


def test_rounding_is_no_impossible_state() -> None:
    assert MoistAir.from_relative_humidity(20.0, 1 + 1e-12, 90e3).relative_humidity == pytest.approx(1.0, abs=1e-12)
    assert MoistAir.from_dew_point(20.0, 20.0 + 1e-12, 90e3).dew_point == pytest.approx(20.0, abs=1e-9)
    assert MoistAir.from_wet_bulb(20.0, 20.0 + 1e-12, 90e3).wet_bulb == pytest.approx(20.0, abs=1e-9)
    assert MoistAir.from_enthalpy(20.0, 1006.0 * 20.0 - 1e-9, 90e3).humidity_ratio == 0.0


def test_range() -> None:
    with pytest.raises(OutOfRangeError, match=r"dry bulb 176 °C .*1 of 3 values.*°C here"):
        MoistAir.from_relative_humidity(np.array([20.0, 176.0, 21.0]), 0.5, 90e3)
    with pytest.raises(OutOfRangeError, match=r"pressure 90 Pa .*absolute"):
        MoistAir.from_relative_humidity(20.0, 0.5, 90.0)
    with pytest.raises(OutOfRangeError, match=r"elevation 12000 m"):
        standard_atmosphere_pressure(np.array([0.0, 12_000.0]))


def test_pressure_or_elevation() -> None:
    by_elevation = MoistAir.from_relative_humidity(24.0, 0.5, elevation=1_650.0)
    assert by_elevation.pressure == standard_atmosphere_pressure(1_650.0)
    for wrong in ({}, {"pressure": 90e3, "elevation": 100.0}):
        with pytest.raises(TypeError, match="either pressure"):
            MoistAir.from_relative_humidity(24.0, 0.5, **wrong)


def test_text_with_units() -> None:
    typed = MoistAir.from_relative_humidity("75.2 degF", "50 %", "24.5 inHg")
    assert typed.dry_bulb == pytest.approx(24.0, abs=1e-9)
    assert typed.relative_humidity == pytest.approx(0.5)
    assert typed.pressure == pytest.approx(82_966.5, abs=1.0)
    assert MoistAir.from_dew_point("75.2 degF", "50 degF", elevation="5413 ft").dew_point == pytest.approx(10.0)
    with pytest.raises(UnitError):
        MoistAir.from_relative_humidity("24 psi", 0.5, 90e3)
    with pytest.raises(TypeError, match="different zeros"):
        MoistAir.from_enthalpy(24.0, "28 Btu/lb", 90e3)


def test_result_shows_every_property() -> None:
    state = MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0)
    assert str(state).startswith("Moist air")
    assert "24.0 °C" in str(state) and "75.2 °F" in state.text("IP")
    assert {"dry_bulb_C", "wet_bulb_C", "enthalpy_J_kg", "pressure_Pa"} <= set(state.to_dict())
    assert repr(state) == "MoistAir(dry_bulb=24 °C, humidity_ratio=0.0113891, pressure=83000 Pa)"


def test_state_is_frozen() -> None:
    state = MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0)
    with pytest.raises(AttributeError):
        state.dry_bulb = 25.0  # type: ignore[misc]


@given(t=dry_bulbs, rh=humidities, p=pressures)
@settings(max_examples=150, deadline=None)
def test_round_trips(t: float, rh: float, p: float) -> None:
    state = MoistAir.from_relative_humidity(t, rh, p)
    w = state.humidity_ratio
    saturated = air.saturation_humidity_ratio(t, p)
    assert state.relative_humidity == pytest.approx(rh, rel=1e-9)
    assert state.vapour_pressure == pytest.approx(rh * air.saturation_pressure(t), rel=1e-9)
    assert MoistAir.from_humidity_ratio(t, w, p).relative_humidity == pytest.approx(rh, rel=1e-9)
    assert MoistAir.from_enthalpy(t, state.enthalpy, p).humidity_ratio == pytest.approx(w, abs=1e-12)
    assert air.dry_bulb_from_enthalpy(state.enthalpy, w) == pytest.approx(t, abs=1e-9)
    # Solved ones go round within 1e-9 K of their own.
    by_wet_bulb = MoistAir.from_wet_bulb(t, state.wet_bulb, p)
    assert abs(by_wet_bulb.humidity_ratio - w) < 1e-9 * max(saturated, 1e-3)
    assert by_wet_bulb.wet_bulb == pytest.approx(state.wet_bulb, abs=1e-9)
    assume(np.isfinite(state.dew_point))
    by_dew_point = MoistAir.from_dew_point(t, state.dew_point, p)
    assert by_dew_point.humidity_ratio == pytest.approx(w, rel=1e-9)
    assert by_dew_point.dew_point == pytest.approx(state.dew_point, abs=1e-9)


@given(t=dry_bulbs, rh=humidities, p=pressures)
@settings(max_examples=150, deadline=None)
def test_order_of_the_temperatures(t: float, rh: float, p: float) -> None:
    state = MoistAir.from_relative_humidity(t, rh, p)
    assert state.wet_bulb <= t + 1e-9
    # Not "at most": a frost point below -100 °C is NaN.
    assert not state.dew_point > state.wet_bulb + 1e-9
    assert state.degree_of_saturation <= rh + 1e-9
    assert state.density * state.specific_volume == pytest.approx(1 + state.humidity_ratio, rel=1e-12)
