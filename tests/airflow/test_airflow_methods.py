"""Each kind of airflow evidence against a number worked by hand.

The arithmetic stands in each test, with the handbook's constants typed here and not taken from airside.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from airside import Airflow, MoistAir
from airside.airflow import STANDARD_DENSITY, heat_to_air
from airside.airflow.defaults import METHODS

# Air of 15 °C with 8 g/kg at 83 kPa, which is about 1,650 m up.
W, P, KELVIN = 0.008, 83_000.0, 288.15
VOLUME = 287.042 * KELVIN * (1 + 1.607858 * W) / P
DENSITY = (1 + W) / VOLUME
# 0.075 lb/ft³ in kg/m³; 1 lb = 0.45359237 kg, 1 ft = 0.3048 m.
STANDARD = 0.075 * 0.45359237 / 0.3048**3
CFM = 0.3048**3 / 60


@pytest.fixture
def air() -> MoistAir:
    return MoistAir.from_humidity_ratio(15.0, W, P)


def test_the_air_of_these_tests(air):
    assert pytest.approx(1.00933, rel=1e-5) == VOLUME
    assert air.specific_volume == pytest.approx(VOLUME, rel=1e-12)
    assert air.density == pytest.approx(DENSITY, rel=1e-12)


def test_standard_air_is_that_of_10_cfr_430():
    # 10 CFR part 430 subpart B appendix M1: standard air is dry air of 0.075 lb/ft³.
    assert pytest.approx(STANDARD, rel=1e-15) == STANDARD_DENSITY
    assert pytest.approx(1.20139, rel=1e-5) == STANDARD_DENSITY


def test_measured_as_actual_air(air):
    flow = Airflow.measured(0.55, at=air)
    assert flow.volume_flow == 0.55
    # 0.55 m³/s over 1.00933 m³/kg.
    assert flow.dry_air_mass_flow == pytest.approx(0.55 / VOLUME, rel=1e-12)
    assert flow.dry_air_mass_flow == pytest.approx(0.544915, rel=1e-5)
    # The same dry air in 1.2014 kg/m³.
    assert flow.standard_volume_flow == pytest.approx(0.544915 / 1.20139, rel=1e-5)


def test_measured_as_standard_air(air):
    flow = Airflow.measured(0.55, at=air, basis="standard")
    assert flow.standard_volume_flow == pytest.approx(0.55, rel=1e-12)
    assert flow.dry_air_mass_flow == pytest.approx(0.55 * STANDARD, rel=1e-12)
    # Thin air needs more room: 0.55 * 1.20139 * 1.00933.
    assert flow.volume_flow == pytest.approx(0.66693, rel=1e-4)


STATIC = [100.0, 200.0, 300.0]
FLOW = [1.0, 0.9, 0.7]


def test_fan_table_reads_between_rows_at_the_density_of_the_table(air):
    flow = Airflow.fan_table(STATIC, FLOW, 150.0, at=air)
    # The fan would make 150 Pa * 1.20139 / 0.99868 = 180.4 Pa in the table's air: 80.4 % of the way from 1.0 to 0.9.
    entered = 150.0 * STANDARD / DENSITY
    assert entered == pytest.approx(180.45, abs=0.01)
    assert flow.volume_flow == pytest.approx(1.0 - 0.1 * (entered - 100) / 100, rel=1e-12)
    assert flow.volume_flow == pytest.approx(0.91955, rel=1e-5)


def test_fan_table_in_the_air_of_the_table_needs_no_correction(air):
    flow = Airflow.fan_table(STATIC, FLOW, 250.0, at=air, table_density=float(air.density))
    assert flow.volume_flow == pytest.approx(0.8, rel=1e-12)


def test_the_fan_moves_the_same_volume_at_altitude(air):
    low = MoistAir.from_humidity_ratio(15.0, W, 101_325.0)
    # The same working point of the fan: static goes with density.
    static = 200.0 * np.array([low.density, air.density]) / STANDARD
    flows = [Airflow.fan_table(STATIC, FLOW, s, at=a) for s, a in zip(static, (low, air), strict=True)]
    assert flows[0].volume_flow == pytest.approx(flows[1].volume_flow, rel=1e-12)
    assert flows[1].dry_air_mass_flow / flows[0].dry_air_mass_flow == pytest.approx(83_000 / 101_325, rel=1e-9)


def test_fan_table_with_empty_cells_is_read_where_it_has_values(air):
    same = float(air.density)
    flow = Airflow.fan_table([100, 200, 300], [1.0, math.nan, 0.7], 200.0, at=air, table_density=same)
    assert flow.volume_flow == pytest.approx(0.85, rel=1e-12)


def test_fan_table_takes_rows_in_any_order(air):
    same = float(air.density)
    flow = Airflow.fan_table([300, 100, 200], [0.7, 1.0, 0.9], 150.0, at=air, table_density=same)
    assert flow.volume_flow == pytest.approx(0.95, rel=1e-12)


def test_fan_table_goes_on_straight_for_error_draws(air):
    same = float(air.density)
    flow = Airflow.fan_table(STATIC, FLOW, np.array([90.0, 310.0]), at=air, table_density=same, outside="extend")
    np.testing.assert_allclose(flow.volume_flow, [1.01, 0.68], rtol=1e-12)


def test_traverse_of_velocities(air):
    flow = Airflow.traverse([4.0, 5.0, 6.0, 5.0], at=air, shape="rectangular", width=0.40, height=0.35)
    # 0.14 m² times 5.0 m/s.
    assert flow.volume_flow == pytest.approx(0.70, rel=1e-12)


def test_traverse_averages_velocities_never_velocity_pressures(air):
    # 4 and 6 m/s: pressures 8 and 18 times the density. The mean of the pressures would give sqrt(26) = 5.099 m/s.
    flow = Airflow.traverse(velocity_pressure=[8 * DENSITY, 18 * DENSITY], at=air, shape="round", diameter=0.30)
    assert flow.volume_flow == pytest.approx(5.0 * math.pi * 0.30**2 / 4, rel=1e-12)
    assert "never velocity pressures" in " ".join(flow.assumptions)


def test_traverse_uses_the_density_at_the_traverse(air):
    # 20 Pa: sqrt(2 * 20 / 0.99868) = 6.3287 m/s here, and 5.80 m/s in air of 1.189 kg/m³.
    flow = Airflow.traverse(velocity_pressure=[20.0] * 6, at=air, shape="round", diameter=0.30)
    assert flow.volume_flow == pytest.approx(6.3287 * 0.0706858, rel=1e-4)


def test_traverse_reports_scatter_and_adds_it_to_the_doubt(air):
    flow = Airflow.traverse([4.0, 5.0, 6.0, 5.0], at=air, shape="rectangular", width=0.40, height=0.35)
    rows = {r.name: r.value for r in flow.rows()}
    # Squares of -1, 0, 1, 0 over 3: sqrt(2/3) = 0.8165 m/s, over 5 m/s.
    assert rows["velocity_scatter"] == pytest.approx(math.sqrt(2 / 3) / 5, rel=1e-12)
    # The default 5 %, and 16.33 % over the root of 4 points, in quadrature.
    assert flow.relative_standard_uncertainty == pytest.approx(math.hypot(0.05, 0.16330 / 2), rel=1e-4)
    assert rows["traverse_points"] == 4


@pytest.mark.parametrize(
    ("shape", "sides", "count", "warned"),
    [
        ("rectangular", {"width": 0.4, "height": 0.35}, 25, False),
        ("rectangular", {"width": 0.4, "height": 0.35}, 42, False),
        ("rectangular", {"width": 0.4, "height": 0.35}, 16, True),
        ("round", {"diameter": 0.3}, 20, False),
        ("round", {"diameter": 0.3}, 5, True),
    ],
)
def test_traverse_with_another_number_of_points_says_so(air, shape, sides, count, warned):
    flow = Airflow.traverse([5.0] * count, at=air, shape=shape, **sides)
    assert bool(flow.warnings) is warned
    if warned:
        assert f"The traverse has {count} points" in flow.warnings[0]


def test_temperature_rise(air):
    flow = Airflow.temperature_rise(9600.0, 12.5, at=air)
    # Specific heat 1006 + 1860 * 0.008 = 1020.88; 9600 / (1020.88 * 12.5) = 0.752292 kg/s.
    assert flow.dry_air_mass_flow == pytest.approx(0.752292, rel=1e-6)
    assert flow.volume_flow == pytest.approx(0.752292 * VOLUME, rel=1e-6)


def test_temperature_rise_with_another_air_in_the_heating_test_keeps_the_volume(air):
    warm = MoistAir.from_humidity_ratio(30.0, W, P)
    flow = Airflow.temperature_rise(9600.0, 12.5, at=air, test_air=warm)
    # The same mass takes 303.15 / 288.15 of the room, and that volume is what the fan moves.
    assert flow.volume_flow == pytest.approx(0.752292 * VOLUME * 303.15 / 288.15, rel=1e-6)


def test_heat_to_air_from_three_kinds_of_reading():
    assert heat_to_air(heat_input=9600.0) == 9600.0
    assert heat_to_air(voltage=240.0, current=40.0) == 9600.0
    assert heat_to_air(voltage=400.0, current=10.0, phases=3) == pytest.approx(6928.2, abs=0.1)
    assert heat_to_air(fuel_input=20_000.0, efficiency=0.8) == 16_000.0


def test_pressure_match(air):
    # sqrt(130 / 120) = 1.040833.
    flow = Airflow.pressure_match(0.55, 130.0, 120.0, at=air)
    assert flow.volume_flow == pytest.approx(0.55 * 1.0408330, rel=1e-7)
    # Both statics are taken on the suction side: only the ratio counts.
    assert Airflow.pressure_match(0.55, -130.0, -120.0, at=air).volume_flow == pytest.approx(flow.volume_flow)


def test_pressure_match_with_a_scale_for_standard_air(air):
    # Thin air goes through faster: sqrt(1.20139 / 0.99868) = 1.096807.
    flow = Airflow.pressure_match(0.55, 120.0, 120.0, at=air, basis="indicated")
    assert flow.volume_flow == pytest.approx(0.55 * 1.09681, rel=1e-5)


def test_coil_pressure_drop_reads_in_the_square_root(air):
    # Drop is 200 times the square of flow; half way in drop between 0.5 and 0.7 m³/s is 74 Pa: sqrt(0.37) = 0.608276.
    flow = Airflow.coil_pressure_drop([0.5, 0.7], [50.0, 98.0], 74.0, at=air, table_density=float(air.density))
    assert flow.volume_flow == pytest.approx(0.608276, rel=1e-6)


def test_coil_pressure_drop_brings_the_reading_to_the_density_of_the_table(air):
    # 60 Pa here would be 60 * 1.20139 / 0.99868 = 72.18 Pa in standard air: sqrt(72.18 / 200) = 0.60074.
    flow = Airflow.coil_pressure_drop([0.5, 0.7], [50.0, 98.0], 60.0, at=air)
    assert flow.volume_flow == pytest.approx(0.60074, rel=1e-5)


def test_rule_of_thumb(air):
    # 400 cfm a ton, 3 tons: 1200 cfm; one ton is 12,000 Btu/h = 3516.853 W.
    flow = Airflow.rule_of_thumb(400 * CFM / 3516.852842, 3 * 3516.852842, at=air)
    assert flow.volume_flow == pytest.approx(1200 * CFM, rel=1e-9)
    assert flow.relative_standard_uncertainty == 0.15


METHOD_CALLS = {
    "measured": lambda a, x: Airflow.measured(x, at=a),
    "fan table": lambda a, x: Airflow.fan_table(STATIC, FLOW, 200 * x, at=a),
    "traverse": lambda a, x: Airflow.traverse(np.multiply.outer(x, [4.0, 5.0, 6.0]), at=a, shape="round", diameter=0.3),
    "temperature rise": lambda a, x: Airflow.temperature_rise(9600.0 * x, 12.5, at=a),
    "pressure match": lambda a, x: Airflow.pressure_match(0.5 * x, 130.0, 120.0, at=a),
    "coil pressure drop": lambda a, x: Airflow.coil_pressure_drop([0.2, 0.9], [8.0, 162.0], 60.0 * x, at=a),
    "rule of thumb": lambda a, x: Airflow.rule_of_thumb(5e-5 * x, 10_000.0, at=a),
}


@pytest.mark.parametrize("method", METHOD_CALLS)
def test_a_number_gives_a_number_and_an_array_gives_an_array(air, method):
    call = METHOD_CALLS[method]
    factors = np.array([0.8, 1.0, 1.1])
    flow = call(air, factors)
    assert flow.method == method
    assert flow.volume_flow.shape == flow.standard_volume_flow.shape == (3,)
    for i, factor in enumerate(factors):
        single = call(air, float(factor))
        assert isinstance(single.volume_flow, float)
        assert isinstance(single.dry_air_mass_flow, float)
        assert single.volume_flow == pytest.approx(flow.volume_flow[i], rel=1e-12)


@pytest.mark.parametrize("method", METHOD_CALLS)
def test_states_may_be_arrays(method):
    states = MoistAir.from_humidity_ratio(np.array([14.0, 16.0]), W, P)
    flow = METHOD_CALLS[method](states, np.array([1.0, 1.0]))
    single = METHOD_CALLS[method](MoistAir.from_humidity_ratio(16.0, W, P), 1.0)
    assert np.shape(flow.dry_air_mass_flow) == (2,)
    assert flow.dry_air_mass_flow[1] == pytest.approx(single.dry_air_mass_flow, rel=1e-12)


@pytest.mark.parametrize("method", METHOD_CALLS)
def test_every_method_says_what_its_doubt_is_and_where_it_comes_from(air, method):
    flow = METHOD_CALLS[method](air, 1.0)
    assert flow.relative_standard_uncertainty >= METHODS[method].relative_standard_uncertainty
    assert flow.uncertainty_source.startswith("default ")
    assert flow.assumptions
    title = "Airflow as measured" if method == "measured" else f"Airflow by {method}"
    assert flow.title == title
    assert title in str(flow)
    assert flow.to_dict()["volume_flow_m3_s"] == flow.volume_flow


def test_a_stated_doubt_stands_above_the_default(air):
    flow = Airflow.measured(0.5, at=air, relative_standard_uncertainty=0.02)
    assert (flow.relative_standard_uncertainty, flow.uncertainty_source) == (0.02, "stated by the user")


flows = st.floats(0.05, 20.0)
statics = st.floats(100.0, 300.0)


@given(flow=flows, dry_bulb=st.floats(-10, 45), pressure=st.floats(60e3, 110e3))
def test_standard_air_comes_back_as_it_went_in(flow, dry_bulb, pressure):
    state = MoistAir.from_relative_humidity(dry_bulb, 0.4, pressure)
    read = Airflow.measured(flow, at=state, basis="standard")
    assert read.standard_volume_flow == pytest.approx(flow, rel=1e-12)
    again = Airflow.measured(read.volume_flow, at=state)
    assert again.dry_air_mass_flow == pytest.approx(flow * STANDARD_DENSITY, rel=1e-12)


@given(first=statics, second=statics)
def test_more_static_never_gives_more_air_where_the_table_falls(first, second):
    state = MoistAir.from_humidity_ratio(15.0, W, P)
    low, high = sorted((first, second))
    read = [Airflow.fan_table(STATIC, FLOW, s, at=state, table_density=state.density).volume_flow for s in (low, high)]
    assert 0.7 - 1e-12 <= read[1] <= read[0] <= 1.0 + 1e-12


@given(st.lists(st.floats(0.0, 60.0), min_size=2, max_size=30).filter(lambda v: sum(v) > 0.1))
def test_the_mean_of_velocities_is_never_above_the_velocity_of_the_mean_pressure(pressures):
    state = MoistAir.from_humidity_ratio(15.0, W, P)
    flow = Airflow.traverse(velocity_pressure=pressures, at=state, shape="rectangular", width=1.0, height=1.0)
    wrong = math.sqrt(2 * (sum(pressures) / len(pressures)) / state.density)
    assert flow.volume_flow <= wrong * (1 + 1e-12)
