"""The system of a scenario: charge factors as published, capacity at the rating condition, coil, faults, start-up."""

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from scenario_variants import changed, scenario

import airside
from airside.errors import OutOfRangeError
from airside.teach.scenario import parse_scenario
from airside.teach.scenario_charge import COOLING, charge_ratio
from airside.teach.scenario_files import scenario_files
from airside.teach.scenario_log import lagged, start_up, supply_during
from airside.teach.scenario_truth import TrueSystem, true_pair
from airside.visit.load import load_visit

REFERENCE = Path(__file__).resolve().parents[3] / "shared" / "reference" / "charge_fault.csv"


def test_charge_factors_are_those_of_the_published_table():
    if not REFERENCE.is_file():
        pytest.skip("../shared/reference is not here")
    lines = [line for line in REFERENCE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    for row in csv.DictReader(lines):
        if row["mode"] == "cooling":
            expected = tuple(float(row[f"a{i}"]) for i in (1, 2, 3, 4))
            assert COOLING[row["quantity"], row["charge"].split()[0]] == expected


def test_charge_by_hand():
    # NIST TN 1848: 1 + (-0.946 + 0.0493 * 25 - 0.00118 * 35 - 1.15 * -0.2) * -0.2 at 25 °C indoors, 35 °C outdoors.
    assert charge_ratio("capacity", -0.2, 25.0, 35.0) == pytest.approx(1 + 0.4752 * -0.2, abs=1e-9)
    # 1 + (0.219 - 0.00501 * 25 + 0.000989 * 35 + 0.284 * 0.1) * 0.1
    assert charge_ratio("power", 0.1, 25.0, 35.0) == pytest.approx(1 + 0.156765 * 0.1, abs=1e-9)
    assert charge_ratio("capacity", 0.0, 25.0, 35.0) == 1.0
    assert charge_ratio("capacity", -0.2, np.array([20.0, 25.0]), 35.0).shape == (2,)
    with pytest.raises(OutOfRangeError, match=r"\+40 % was not tested; expected -30 % to \+30 %"):
        charge_ratio("capacity", 0.4, 25.0, 35.0)


HEALTHY = changed(("airflow_fault = -0.20 ", "airflow_fault = 0.0 "), ("charge_fault = -0.15 ", "charge_fault = 0.0 "))


def test_without_faults_it_delivers_its_part_of_nominal_at_rating_condition_a():
    of = parse_scenario(changed(("volume_flow = 2050", "volume_flow = 2200")))
    system = TrueSystem(of)
    air = airside.MoistAir.from_wet_bulb("80 degF", "67 degF", 92_000.0)
    # At the customary flow the curve is at its rating point: 400 cfm of standard air per ton.
    flow = 400 * 5 * 0.3048**3 / 60 * 0.075 * 0.45359237 / 0.3048**3
    found = system.at("after", air, (95 - 32) / 1.8, flow)
    nominal = of.system.nominal_capacity
    assert found.total == pytest.approx(0.97 * nominal, rel=0.01)
    # Net of the fan: the coil takes the fan's heat out too.
    assert float(found.coil.capacity.total) == pytest.approx(found.total + 700.0, rel=1e-9)
    assert found.power == pytest.approx(4300.0, rel=0.01)


def test_faults_act_as_they_should():
    air = airside.MoistAir.from_relative_humidity(25.0, 0.5, 92_000.0)
    system = TrueSystem(scenario())
    faulty, well = (system.at(stage, air, 33.0) for stage in ("before", "after"))
    assert faulty.volume_flow == pytest.approx(0.8 * well.volume_flow)
    assert faulty.dry_air_mass_flow == pytest.approx(0.8 * well.dry_air_mass_flow)
    assert faulty.total < well.total
    # Less air stays longer on the coil: it passes less by, and leaves colder.
    assert float(faulty.coil.bypass_factor) == pytest.approx(float(well.coil.bypass_factor) ** (1 / 0.8), rel=1e-6)
    assert float(faulty.supply_air.dry_bulb) < float(well.supply_air.dry_bulb)
    # The charge multiplies what the same airflow delivers.
    alone = TrueSystem(parse_scenario(changed(("charge_fault = -0.15 ", "charge_fault = 0.0 ")))).at(
        "before", air, 33.0
    )
    assert faulty.total / alone.total == pytest.approx(float(charge_ratio("capacity", -0.15, 25.0, 33.0)), rel=1e-9)
    assert faulty.charge_capacity == pytest.approx(faulty.total / alone.total)


def test_the_change_at_the_conditions_of_before_is_that_of_the_faults_alone():
    none = true_pair(parse_scenario(HEALTHY), 3)
    # The weather differs, so the raw change is not zero; at one condition nothing has changed but the air's density.
    assert abs(none.change) > 0.002
    assert none.change_at_before == pytest.approx(0.0, abs=0.005)
    assert true_pair(scenario(), 3).change_at_before > 0.03


def test_slopes_of_its_own_and_none():
    exact = parse_scenario(changed(("# slope_doubt = 0.5", "slope_doubt = 0.0")))
    assert set(true_pair(exact, 3).slopes.values()) == {0.0}
    drawn = [true_pair(scenario(), s).slopes["outdoor"] for s in range(60)]
    assert 0.3 < np.std(drawn) < 0.7 and min(drawn) >= -0.9


def test_with_perfect_instruments_the_library_finds_the_truth(tmp_path):
    """No error, no noise, fine steps: what is left is rounding."""
    text = changed(
        ("relative_uncertainty = 0.04", "relative_uncertainty = 0.001"), ("side_by_side = true", "scatter = 0.0")
    )
    text = re.sub(r"accuracy = [\d.]+, resolution = 0.1", "accuracy = 0.0, resolution = 0.0001", text)
    of = parse_scenario(text)
    ratios = []
    for seed in range(30):
        for file, content in scenario_files(of, seed).trainee.items():
            (tmp_path / file).write_text(content, encoding="utf-8")
        truth = true_pair(of, seed)
        for stage in ("before", "after"):
            found = airside.analyse(load_visit(tmp_path / f"{stage}.toml"), count=1000, with_doubt=False)
            ratios.append(float(found.capacity.total) / truth.stage(stage).total)
            assert float(found.airflow.volume_flow) == pytest.approx(truth.stage(stage).volume_flow, rel=0.015)
    # Placement of the probes and the weather are still there, of some percent in each visit; on the mean they go.
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.012)
    assert np.std(ratios) < 0.06


def test_start_up():
    of = scenario()
    truth = true_pair(of, 4).before
    times = np.arange(0.0, 2400.0, 30.0)
    share = start_up(times, 300.0, 240.0)
    assert share[10] == 0.0 and share[18] == pytest.approx(1 - np.exp(-1)) and np.all(np.diff(share) >= 0)
    supply = supply_during(of, truth, share)
    # Before the start the fan alone warms the air; at the end it is as in the visit.
    warmed = of.fan.power / truth.dry_air_mass_flow / 1026.0
    assert float(supply.dry_bulb[0] - truth.return_air.dry_bulb) == pytest.approx(warmed, rel=0.01)
    assert float(supply.dry_bulb[-1]) == pytest.approx(float(truth.supply_air.dry_bulb), abs=0.02)
    assert float(supply.humidity_ratio[-1]) == pytest.approx(float(truth.supply_air.humidity_ratio), rel=0.002)
    # Cooling begins before drying does.
    cooled = np.argmax(supply.dry_bulb < truth.return_air.dry_bulb - 1.0)
    dried = np.argmax(supply.humidity_ratio < truth.return_air.humidity_ratio - 1e-5)
    assert 10 < cooled < dried
    assert np.all(np.diff(supply.dry_bulb[11:]) < 1e-6)


def test_the_probe_lags():
    shown = lagged(np.array([0.0, *[1.0] * 5]), 60.0, 60.0)
    assert shown[1:4] == pytest.approx(1 - np.exp(-np.arange(1, 4)))


def test_the_logger_file_has_its_times_and_columns():
    text = scenario_files(scenario(), 4).trainee["before_log.csv"]
    rows = list(csv.reader(text.splitlines()[1:]))
    assert rows[0] == [
        "time [min]", "return dry bulb [degF]", "return relative humidity [%]", "supply dry bulb [degF]",
        "supply relative humidity [%]", "outdoor dry bulb [degF]", "outdoor unit power [kW]",
    ]  # fmt: skip
    table = np.array([[float(c) for c in row] for row in rows[1:]])
    assert table.shape == (81, 7) and table[-1, 0] == 40.0
    assert np.all(table[table[:, 0] <= 5.0, 6] == 0.0) and table[-1, 6] > 3.0
    # Return air stays; supply air begins near it and ends far below.
    assert abs(table[:10, 1].mean() - table[-10:, 1].mean()) < 0.5
    assert abs(table[:10, 3].mean() - table[:10, 1].mean()) < 4 and table[:10, 3].mean() > table[-10:, 3].mean() + 15
