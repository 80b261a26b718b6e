"""Airflow evidence that cannot be used gives a sentence that says what was found and what to do."""

import numpy as np
import pytest

from airside import Airflow, AirsideError, MoistAir
from airside.airflow import heat_to_air
from airside.airflow.interpolation import curve
from airside.airflow.traverse import duct_area, rectangular_positions, round_positions
from airside.errors import EvidenceError, OutOfRangeError

AIR = MoistAir.from_humidity_ratio(15.0, 0.008, 83_000.0)
STATIC, FLOW = [100.0, 200.0, 300.0], [1.0, 0.9, 0.7]


def test_outside_the_fan_table_names_the_range_in_the_units_asked_for():
    with pytest.raises(OutOfRangeError) as caught:
        Airflow.fan_table(STATIC, FLOW, 400.0, at=AIR, speed="medium", units="IP", table_density=AIR.density)
    # 100, 300 and 400 Pa are 0.401, 1.204 and 1.606 inches of water.
    for words in ("fan table", "'medium'", "1.606 inH2O", "0.401 inH2O to 1.204 inH2O", "check the reading"):
        assert words in str(caught.value)
    with pytest.raises(OutOfRangeError, match=r"400 Pa is outside the table, which goes from 100 Pa to 300 Pa"):
        Airflow.fan_table(STATIC, FLOW, np.array([150.0, 400.0]), at=AIR, units="SI", table_density=AIR.density)


def test_outside_the_range_of_a_column_with_empty_cells():
    with pytest.raises(OutOfRangeError, match="100 Pa to 200 Pa"):
        Airflow.fan_table(STATIC, [1.0, 0.9, np.nan], 250.0, at=AIR, units="SI", table_density=AIR.density)


def test_outside_the_coil_table_names_the_range_as_drops():
    with pytest.raises(OutOfRangeError, match=r"wet coil.* 120 Pa is outside the table, which goes from 50 Pa to 98"):
        Airflow.coil_pressure_drop([0.5, 0.7], [50, 98], 120.0, at=AIR, coil="wet", table_density=AIR.density)


CASES = [
    (lambda: Airflow.measured(0.0, at=AIR), EvidenceError, ["measured", "0 m³/s", "above zero"]),
    (lambda: Airflow.measured(np.array([0.5, -0.1]), at=AIR), EvidenceError, ["-0.1 m³/s"]),
    (lambda: Airflow.measured(float("nan"), at=AIR), EvidenceError, ["nan"]),
    (lambda: Airflow.measured(0.5, at=AIR, basis="normal"), EvidenceError, ['"normal"', '"actual" or "standard"']),
    (
        lambda: Airflow.measured(0.5, at=AIR, relative_standard_uncertainty=5),
        EvidenceError,
        ["5 was given", "fraction", "0.05"],
    ),
    (lambda: Airflow.traverse(at=AIR, shape="round", diameter=0.3), EvidenceError, ["velocity or velocity_pressure"]),
    (
        lambda: Airflow.traverse([5.0], [20.0], at=AIR, shape="round", diameter=0.3),
        EvidenceError,
        ["either velocity or velocity_pressure"],
    ),
    (
        lambda: Airflow.traverse(velocity_pressure=[20.0, -3.0], at=AIR, shape="round", diameter=0.3),
        EvidenceError,
        ["-3 Pa", "below zero", "hoses"],
    ),
    (lambda: Airflow.traverse([0.0, 0.0], at=AIR, shape="round", diameter=0.3), EvidenceError, ["above zero"]),
    (lambda: duct_area("round", width=1.0), EvidenceError, ['"round"', "diameter"]),
    (lambda: duct_area("rectangular", width=1.0), EvidenceError, ['"rectangular"', "width and height"]),
    (lambda: duct_area("oval", width=1.0, height=1.0), EvidenceError, ['"oval"', '"rectangular" or "round"']),
    (lambda: duct_area("round", diameter=-0.3), EvidenceError, ["-0.3 m", "above zero"]),
    (lambda: rectangular_positions(1, 1, 4, 5), EvidenceError, ["4 points", "5, 6 and 7"]),
    (lambda: round_positions(1, 7), EvidenceError, ["7 points", "6, 8 and 10"]),
    (lambda: heat_to_air(), EvidenceError, ["heat_input", "voltage and current", "fuel_input and efficiency"]),
    (lambda: heat_to_air(heat_input=1.0, voltage=2.0), EvidenceError, ["give one of"]),
    (lambda: heat_to_air(voltage=240.0), EvidenceError, ["voltage or current is missing"]),
    (lambda: heat_to_air(fuel_input=240.0), EvidenceError, ["efficiency or fuel_input is missing"]),
    (lambda: heat_to_air(fuel_input=240.0, efficiency=80), EvidenceError, ["80", "fraction", "0.80"]),
    (lambda: heat_to_air(voltage=240.0, current=1.0, phases=2), EvidenceError, ["2", "1 or 3"]),
    (lambda: Airflow.temperature_rise(9600.0, -2.0, at=AIR), EvidenceError, ["above zero"]),
    (lambda: Airflow.temperature_rise(0.0, 2.0, at=AIR), EvidenceError, ["above zero"]),
    (lambda: Airflow.pressure_match(0.5, 120.0, 0.0, at=AIR), EvidenceError, ["away from zero", "one sign"]),
    (lambda: Airflow.pressure_match(0.5, 120.0, -110.0, at=AIR), EvidenceError, ["ratio is -1.09"]),
    (lambda: Airflow.pressure_match(0.5, 1.0, 1.0, at=AIR, basis="x"), EvidenceError, ['"x"', '"indicated"']),
    (
        lambda: Airflow.coil_pressure_drop([0.5, 0.7], [50, 98], -60.0, at=AIR),
        EvidenceError,
        ["below zero", "hoses"],
    ),
    (
        lambda: Airflow.rule_of_thumb(5e-5, 10_000.0, at=AIR, relative_standard_uncertainty=0.05),
        EvidenceError,
        ["0.05 was given", "at least 0.15", "nothing was measured"],
    ),
    (lambda: curve([1, 2, 3], [1, 2], "fan table"), EvidenceError, ["3 and 2 values", "equal lengths"]),
    (lambda: curve([1, 2], [1, np.nan], "fan table"), EvidenceError, ["1 complete row", "at least 2"]),
    (lambda: curve([1, 2, 2], [3, 2, 1], "fan table"), EvidenceError, ["2 stands in two rows"]),
]


@pytest.mark.parametrize(("call", "kind", "fragments"), CASES, ids=[" ".join(c[2])[:40] for c in CASES])
@pytest.mark.filterwarnings("error")
def test_every_wrong_evidence_has_its_sentence(call, kind, fragments):
    with pytest.raises(kind) as caught:
        call()
    assert isinstance(caught.value, AirsideError)
    for words in fragments:
        assert words in str(caught.value)
