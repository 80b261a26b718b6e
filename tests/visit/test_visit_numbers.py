"""Units of a visit's numbers, means of its readings, and every airflow method through a visit file."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from valid_visit import changed, unlikely, with_airflow

from airside import Airflow, analyse, load_visit
from airside.units import KINDS, to_input
from airside.visit.load import parse_visit
from airside.visit.template import visit_template

DRY, RH = "[75.2, 75.3, 75.1]", "[50.2, 50.0, 50.3]"


def total(text):
    return analyse(parse_visit(text)).capacity.total


PLAIN = total(changed())


@pytest.mark.parametrize(
    "change",
    [
        ("75.3", '"75.3 degF"'),
        ("75.3", '"75.3 °F"'),
        ("75.3", f'"{(75.3 - 32) / 1.8:.12f} degC"'),
        ("75.3", f'"{(75.3 - 32) / 1.8 + 273.15:.12f} K"'),
        ("50.0", '"50.0 %"'),
        ("650", '"650 ft"'),
        ("650", f'"{650 * 0.3048} m"'),
        ("[1180]", '["1180 cfm"]'),
        ("[1180]", f'"{1180 * 0.3048**3 / 60 * 1000:.10f} L/s"'),
        ("[1180]", f'"{1180 * 0.3048**3 * 60:.10f} m³/h"'),
        ("[1180]", "1180"),
        ("nominal_capacity = 3", 'nominal_capacity = "36 kBtu/h"'),
        ("accuracy = 0.9", 'accuracy = "0.5 K"'),
    ],
)
def test_text_with_a_unit_equals_the_bare_number(change):
    result = analyse(parse_visit(changed(change)))
    assert result.capacity.total == pytest.approx(PLAIN, rel=1e-9)
    assert result.visit.system.nominal_capacity == pytest.approx(3 * 3516.8528, rel=1e-6)
    assert result.visit.instruments["probe_1"].dry_bulb.accuracy == pytest.approx(0.5, rel=1e-9)


def test_the_same_visit_in_si():
    text = changed(
        ('"IP"', '"SI"'), ("650", "198.12"), ("nominal_capacity = 3", "nominal_capacity = 10.550558526"),
        ("[1180]", f"[{1180 * 0.3048**3 / 60 * 1000}]"), ("0.9", "0.5"),
        (DRY, str([(v - 32) / 1.8 for v in (75.2, 75.3, 75.1)])),
        ("[56.4, 56.3, 56.5]", str([(v - 32) / 1.8 for v in (56.4, 56.3, 56.5)])), ("[88.0]", "[31.1]"),
    )  # fmt: skip
    assert total(text) == pytest.approx(PLAIN, rel=1e-9)


def test_states_are_those_of_the_mean_readings():
    result = analyse(parse_visit(changed()))
    assert result.return_air.dry_bulb == pytest.approx((75.2 - 32) / 1.8)
    assert result.return_air.relative_humidity == pytest.approx((0.502 + 0.500 + 0.503) / 3)


@given(st.permutations([75.2, 75.9, 74.8]))
def test_the_order_of_readings_does_not_matter_to_the_mean(values):
    assert total(changed((DRY, str(values)))) == pytest.approx(total(changed((DRY, "[75.2, 75.9, 74.8]"))), rel=1e-12)


@given(
    dry_bulb=st.floats(60, 90), humidity=st.floats(20, 80), flow=st.floats(800, 1600), elevation=st.floats(-100, 9000)
)
def test_a_visit_gives_what_the_functions_give(dry_bulb, humidity, flow, elevation):
    text = changed(
        (DRY, f"[{dry_bulb!r}]"), (RH, f"[{humidity!r}]"), ("[1180]", f"[{flow!r}]"),
        ("elevation = 650", f"elevation = {elevation!r}"),
    )  # fmt: skip
    result = analyse(parse_visit(text))
    assert result.return_air.relative_humidity == pytest.approx(humidity / 100)
    assert result.airflow.volume_flow == pytest.approx(flow * 0.3048**3 / 60)
    assert result.capacity.sensible + result.capacity.latent == pytest.approx(result.capacity.total, rel=1e-12)


@pytest.mark.parametrize(("humidity", "value"), [("dew_point", 12.4), ("wet_bulb", 16.5)])
def test_other_humidities(humidity, value):
    text = changed((f"relative_humidity = {RH}", f'{humidity} = ["{value} degC", "{value} degC", "{value} degC"]'))
    assert getattr(analyse(parse_visit(text)).return_air, humidity) == pytest.approx(value, abs=1e-8)


# -- every method, through a file -----------------------------------------------------------------


def run(folder, lines):
    file = folder / "visit.toml"
    file.write_text(changed(with_airflow(lines)), encoding="utf-8")
    return analyse(load_visit(file))


CFM, INCH, STANDARD = 0.3048**3 / 60, 249.08891, 0.075 * 0.45359237 / 0.3048**3


def test_several_static_readings_are_averaged(folder):
    lines = 'method = "fan table"\ntable = "fan.csv"\nspeed = "high"\nexternal_static_pressure = '
    result = run(folder, lines + "[0.28, 0.34, 0.31]")
    supply = result.supply_air
    static = 0.31 * STANDARD / supply.density
    assert 0.2 < static < 0.4
    # The high column falls 100 cfm from 0.2 to 0.4 inches.
    assert result.airflow.volume_flow / CFM == pytest.approx(1400 - 100 * (static - 0.2) / 0.2, rel=1e-6)
    assert result.airflow.at is supply
    assert result.airflow.volume_flow == pytest.approx(run(folder, lines + "0.31").airflow.volume_flow, rel=1e-12)


def test_where_the_flow_holds_can_be_said(folder):
    lines = 'method = "fan table"\ntable = "fan.csv"\nspeed = "high"\nexternal_static_pressure = 0.3'
    default, said = run(folder, lines), run(folder, lines + '\nat = "return"')
    assert said.airflow.at is said.return_air
    assert "by default for this method" in " ".join(default.assumptions)
    assert "by default for this method" not in " ".join(said.assumptions)


def test_measured_as_standard_air(folder):
    result = run(folder, 'method = "measured"\nvolume_flow = [1100, 1140]\nbasis = "standard"')
    assert result.airflow.standard_volume_flow / CFM == pytest.approx(1120)


def test_traverse_of_velocity_pressures(folder):
    lines = 'method = "traverse"\nshape = "rectangular"\nwidth = 20\nheight = 16\nvelocity_pressure = [0.01, 0.04]'
    result = run(folder, lines)
    # One velocity is twice the other: the mean is 1.5 times that of 0.01 inch of water.
    slow = math.sqrt(2 * 0.01 * INCH / result.supply_air.density)
    assert result.airflow.volume_flow == pytest.approx(1.5 * slow * 20 * 16 * 0.0254**2, rel=1e-6)


def test_temperature_rise(folder):
    lines = 'method = "temperature rise"\nvoltage = [240, 242]\ncurrent = 40\ntemperature_rise = [26.9, 27.1]'
    result = run(folder, lines)
    specific_heat = 1006 + 1860 * result.return_air.humidity_ratio
    assert result.airflow.dry_air_mass_flow == pytest.approx(241 * 40 / (specific_heat * 15.0), rel=1e-9)
    warmer = run(folder, lines + "\ntest_dry_bulb = 95.2")
    kelvin = (75.2 - 32) / 1.8 + 273.15
    assert warmer.airflow.volume_flow / result.airflow.volume_flow == pytest.approx((kelvin + 20 / 1.8) / kelvin)


def test_a_heating_test_in_air_colder_than_the_dew_point_of_the_visit(folder):
    lines = 'method = "temperature rise"\nheat_input = 9.6\ntemperature_rise = 27\ntest_dry_bulb = 40'
    assert run(folder, lines).airflow.volume_flow > 0


def test_pressure_match(folder):
    lines = 'method = "pressure match"\ndevice_flow = 1100\nnormal_static_pressure = [0.5, 0.54]\n'
    result = run(folder, lines + "device_static_pressure = 0.50")
    assert result.airflow.volume_flow / CFM == pytest.approx(1100 * math.sqrt(0.52 / 0.50))


def test_coil_pressure_drop(folder):
    (folder / "coil.csv").write_text("flow [cfm],dry [inH2O],wet [inH2O]\n1000,0.18,0.20\n1500,0.405,0.45\n")
    result = run(
        folder, 'method = "coil pressure drop"\ntable = "coil.csv"\ncoil = "wet"\npressure_drop = [0.26, 0.28]'
    )
    drop = 0.27 * STANDARD / result.return_air.density
    assert result.airflow.volume_flow / CFM == pytest.approx(1000 * math.sqrt(drop / 0.20), rel=1e-6)


def test_rule_of_thumb(folder):
    result = run(folder, 'method = "rule of thumb"\nflow_per_capacity = 400')
    assert result.airflow.volume_flow / CFM == pytest.approx(1200)
    assert isinstance(result.airflow, Airflow)


# -- the template ---------------------------------------------------------------------------------


def template_with(method, units):
    """The template with another of its commented methods in the place of the first."""
    lines = visit_template(units).splitlines()
    start = lines.index("[airflow]")
    first = next(i for i in range(start, len(lines)) if lines[i].startswith(f'# method = "{method}"'))
    end = next(i for i in range(first, len(lines)) if not lines[i].strip())
    chosen = [line.removeprefix("# ") for line in lines[first:end]]
    after = next(i for i in range(start, len(lines)) if lines[i].startswith("# What the data sheets say"))
    return "\n".join([*lines[: start + 1], *chosen, "", *lines[after:]])


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_template_is_a_visit_without_warnings(units):
    result = analyse(parse_visit(visit_template(units)))
    assert unlikely(result) == []
    assert result.visit.units == units
    assert "practice come first" in visit_template(units)


TABLES = {
    "IP": {"fan": "static pressure,medium\n0.2,1300\n0.8,1000\n", "coil": "flow,dry,wet\n800,0.2,0.25\n1600,0.8,1.0\n"},
    "SI": {"fan": "static pressure,medium\n50,610\n200,470\n", "coil": "flow,dry,wet\n380,50,62\n760,200,248\n"},
}


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize(
    "method",
    ["fan table", "traverse", "temperature rise", "pressure match", "coil pressure drop", "rule of thumb"],
)
def test_every_method_of_the_template_loads_when_it_is_uncommented(tmp_path, method, units):
    for name, content in TABLES[units].items():
        (tmp_path / f"{name}_table.csv").write_text(content)
    text = template_with(method, units)
    # The template leaves the points of a traverse to the user.
    speeds = {"IP": str([520, 540, 560, 530, 540] * 5), "SI": str([2.7, 2.8, 2.9, 2.7, 2.8] * 5)}[units]
    text = text.replace("velocity = []  ", f"velocity = {speeds}  ")
    file = tmp_path / "visit.toml"
    file.write_text(text, encoding="utf-8")
    result = analyse(load_visit(file))
    assert result.airflow.method == method
    assert unlikely(result) == []


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_other_comments_of_the_template_load_too(units):
    text = visit_template(units)
    for start in ("date =", "measured_by =", "barometric_pressure =", "refrigerant =", "metering_device =", "[fan]",
                  "power =", "position =", "relative_uncertainty ="):  # fmt: skip
        assert f"\n# {start}" in text
        text = text.replace(f"\n# {start}", f"\n{start}")
    result = analyse(parse_visit(text))
    assert result.visit.fan is not None
    assert result.airflow.uncertainty_source == "stated by the user"
    assert unlikely(result) == []


def test_the_template_in_either_unit_means_about_the_same():
    one, two = (analyse(parse_visit(visit_template(u))).capacity.total for u in ("IP", "SI"))
    assert one == pytest.approx(two, rel=0.03)


@given(st.sampled_from(sorted(KINDS)), st.floats(-1e3, 1e3), st.sampled_from(["IP", "SI"]))
def test_bare_numbers_come_back_as_they_were(kind, value, units):
    from airside.units import to_inside

    assert to_input(to_inside(value, kind, units), kind, units) == pytest.approx(value, rel=1e-9, abs=1e-9)
    np.testing.assert_allclose(to_input(to_inside(np.array([value]), kind, units), kind, units), [value], atol=1e-9)
