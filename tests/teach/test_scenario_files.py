"""The files of a scenario: they load and compare, the same seed gives the same bytes, and the truth lies apart."""

import re
import tomllib

import pytest
from scenario_variants import FIRST, VARIANTS, changed, scenario

import airside
from airside.teach.scenario import ScenarioError, parse_scenario
from airside.teach.scenario_files import scenario_files, write_scenario
from airside.teach.scenario_first import new_scenario
from airside.teach.scenario_truth import true_pair
from airside.visit.load import load_visit

VISITS, LOGS = ("before.toml", "after.toml"), ("before_log.csv", "after_log.csv")


@pytest.fixture
def folder(tmp_path):
    new_scenario(tmp_path)
    return tmp_path


@pytest.mark.parametrize("name", VARIANTS)
def test_the_visits_load_and_compare(tmp_path, name):
    made = scenario_files(scenario(name), 5)
    assert set(made.trainee) == {*VISITS, *LOGS} | ({"fan_table.csv"} if name == "fan table" else set())
    for file, text in made.trainee.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    before, after = (load_visit(tmp_path / v) for v in VISITS)
    found = airside.compare(before, after, count=2000, with_budget=False)
    assert found.correction is not None
    truth = true_pair(scenario(name), 5)
    for figure, stage in ((found.figures["total"].before, truth.before), (found.figures["total"].after, truth.after)):
        assert abs(figure.value / stage.total - 1) < 0.25
    assert before.system.name == after.system.name == "School gymnasium, rooftop unit"


def test_same_seed_same_bytes_and_another_seed_others():
    first, again, other = (scenario_files(scenario("fan table"), s) for s in (7, 7, 8))
    assert first == again
    for file in (*VISITS, *LOGS):
        assert first.trainee[file] != other.trainee[file]
    assert first.trainee["fan_table.csv"] == other.trainee["fan_table.csv"]


def test_every_file_says_in_its_first_line_that_it_is_invented(folder):
    for file in write_scenario(folder, 3):
        assert "nvented" in file.read_text(encoding="utf-8").splitlines()[0]
    assert "Invented" in FIRST.splitlines()[0]


def numbers(value):
    """Every number of nested tables, as it would be printed with four digits or more."""
    if isinstance(value, dict):
        return {n for v in value.values() for n in numbers(v)}
    return {f"{value:.5g}"} if isinstance(value, float) and value not in (0.0, 1.0) else set()


@pytest.mark.parametrize("name", VARIANTS)
def test_the_truth_is_not_in_the_trainees_files(name):
    made = scenario_files(scenario(name), 11)
    truth = tomllib.loads(made.truth)
    assert truth["seed"] == 11 and truth["before"]["charge_fault"] == -0.15
    hidden = numbers({k: truth[k] for k in ("before", "after", "change")})
    hidden = {n for n in hidden if len(n.strip("-0.")) >= 4}
    assert len(hidden) > 25
    for file, text in made.trainee.items():
        assert not re.search(
            r"truth|fault|charge|seed|bypass|hidden|slope|capacity_of|rated_power", text, re.IGNORECASE
        ), file
        for number in hidden:
            assert number not in text, (file, number)
    # Not even the airflow without fault, from which the fault would follow; a fan table holds round flows.
    if name != "fan table":
        assert "2050" not in "".join(made.trainee.values())


def test_it_is_written_into_folders_apart(folder):
    *trainee, truth = write_scenario(folder, 3)
    assert {f.parent for f in trainee} == {folder / "visits"}
    assert truth == folder / "visits_truth.toml"
    with pytest.raises(airside.errors.OutputError, match=r"exists already and is left as it is\..*--force"):
        write_scenario(folder, 4)
    before = {f: f.read_bytes() for f in (*trainee, truth)}
    with pytest.raises(airside.errors.OutputError, match="--force"):
        write_scenario(folder, 4)
    assert before == {f: f.read_bytes() for f in before}
    write_scenario(folder, 4, force=True)
    assert all(f.read_bytes() != content for f, content in before.items())


def test_nothing_is_written_where_one_file_is_in_the_way(folder):
    (folder / "visits").mkdir()
    (folder / "visits" / "after_log.csv").write_text("mine")
    with pytest.raises(airside.errors.OutputError, match=r"after_log.csv: exists already"):
        write_scenario(folder, 3)
    assert [f.name for f in (folder / "visits").iterdir()] == ["after_log.csv"]
    assert not (folder / "visits_truth.toml").exists()


def test_the_truth_never_goes_among_the_trainees_files(folder):
    with pytest.raises(airside.errors.OutputError, match="lies among the trainee's files"):
        write_scenario(folder, 3, folder / "visits", truth=folder / "visits" / "key.toml")
    with pytest.raises(airside.errors.OutputError, match="does not exist"):
        write_scenario(folder, 3, folder / "no" / "such")


def test_si_and_a_heat_pump(tmp_path):
    text = changed(
        ('units = "IP" ', 'units = "SI" '), ("elevation = 2600", "elevation = 790"), ("nominal_capacity = 5", "nominal_capacity = 17.6"),
        ('equipment = "air conditioner"', 'equipment = "heat pump"'), ("volume_flow = 2050", "volume_flow = 967"),
        ("dry_bulb = { accuracy = 0.9", "dry_bulb = { accuracy = 0.5"), ("return_dry_bulb = [75, 78]", "return_dry_bulb = [24, 25.5]"),
        ("outdoor_dry_bulb = [86, 96]", 'outdoor_dry_bulb = [30, "95 degF"]'),
    )  # fmt: skip
    made = scenario_files(parse_scenario(text), 2)
    for file, content in made.trainee.items():
        (tmp_path / file).write_text(content, encoding="utf-8")
    visit = load_visit(tmp_path / "before.toml")
    assert visit.units == "SI" and visit.system.equipment == "heat pump"
    assert 23 < visit.readings.return_air.dry_bulb[0] < 27
    assert "[degC]" in made.trainee["before_log.csv"]


def test_a_fan_table_that_is_too_short():
    text = VARIANTS["fan table"].replace("[0.0, 2000, 2900], ", "").replace("[0.2, 1900, 2700]", "[0.2, 1500, 1700]")
    text = text.replace("[0.4, 1800, 2500]", "[0.4, 1450, 1600]").replace("[0.6, 1600, 2250]", "[0.6, 1400, 1550]")
    text = text.replace("[0.8, 1350, 1950], [1.0, 1000, 1600], ", "")
    with pytest.raises(ScenarioError, match=r"airflow.rows: the fan table at speed high does not reach .* cfm with"):
        scenario_files(parse_scenario(text), 3)


def test_a_seed_that_is_none():
    with pytest.raises(ScenarioError, match="the seed is -1; expected 0 to"):
        scenario_files(scenario(), -1)


def test_the_command(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lesson").mkdir()
    status, out, _ = run("author", "new-scenario", "lesson")
    assert status == 0 and "lesson/scenario.toml" in out
    assert run("author", "new-scenario", "lesson")[0] == 2
    status, out, _ = run("author", "scenario", "lesson", "--seed", "9")
    assert status == 0 and "lesson/visits/before.toml" in out and "lesson/visits_truth.toml" in out
    status, _, errors = run("author", "scenario", "lesson", "--seed", "9")
    assert status == 2 and "--force" in errors
    assert run("author", "scenario", "lesson", "--seed", "9", "--force")[0] == 0
    assert run("compare", "lesson/visits/before.toml", "lesson/visits/after.toml", "--draws", "2000")[0] == 0
    (tmp_path / "lesson" / "scenario.toml").write_text(changed(("charge_fault = -0.15", "charge_fault = 3")))
    status, _, errors = run("author", "scenario", "lesson", "--force")
    assert status == 2 and "lesson/scenario.toml: line 56, before.charge_fault: found 3" in errors
