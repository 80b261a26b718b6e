"""Scenario files that are wrong get a sentence with file, field, and what to do."""

import pytest
from scenario_variants import FIRST, METHOD, changed

from airside.teach.scenario import ScenarioError, parse_scenario, read_scenario

WRONG = {
    "units": ('units = "IP" ', 'units = "imperial" ', 'units: found "imperial"; expected "IP" or "SI"'),
    "format": ('format = "airside scenario 1"', 'format = "x"', 'format: found "x"; expected "airside scenario 1"'),
    "a missing table": ("[weather]", "[wether]", 'unknown key "wether". Did you mean "weather"?'),
    "a missing field": ("nominal_capacity = 5\n", "\n", "system.nominal_capacity: is missing; expected a nominal capacity in ton"),
    "an unknown field": ("count = 8", "cuont = 8", 'readings.cuont: unknown key "cuont". Did you mean "count"?'),
    "another unit": ("nominal_capacity = 5\n", 'nominal_capacity = "5 kg"\n', '"5 kg" is not a nominal capacity'),
    "range turned round": ("[75, 78]", "[78, 75]", "weather.return_dry_bulb: the first of the two is larger"),
    "half a range": ("[75, 78]", "[75]", "weather.return_dry_bulb: found one value"),
    "three ends": ("[75, 78]", "[75, 76, 78]", "weather.return_dry_bulb: found a list that is too long; expected 2 at most"),
    "words": ("[75, 78]", '"warm"', '"warm" is not a number with a unit'),
    "too damp": ("[45, 53]", "[45, 103]", "weather.return_relative_humidity, value 2: found 103 %"),
    "outside the curve": ("[86, 96]", "[36, 96]", "the outdoor dry bulb of 36.0 °F is outside the rating curve"),
    "a charge that was not tested": ("charge_fault = -0.15", "charge_fault = -0.5", "before.charge_fault: found -0.5"),
    "percent for a fraction": ("airflow_fault = -0.20", "airflow_fault = -20", "before.airflow_fault: found -20"),
    "too little air": ("volume_flow = 2050", "volume_flow = 205", "airflow.volume_flow: without fault: the flow ratio"),
    "no air": ("volume_flow = 2050", "volume_flow = 0", "airflow: found a volume_flow that is not above zero"),
    "no number": ("volume_flow = 2050", "volume_flow = nan", "airflow.volume_flow: found nan"),
    "half a traverse": (METHOD, 'method = "traverse"', 'airflow: method "traverse" needs width and height too'),
    "another method": (METHOD, 'method = "guess"', 'airflow.method: found "guess"'),
    "a bare fan table": (METHOD, 'method = "fan table"\nspeed = "low"\nspeeds = ["low"]\nrows = [[1, 2, 3]]', "each of rows needs"),
    "an instrument that is not there": ('instrument = "flow_station"', 'instrument = "hood"', "no table [instruments.hood]"),
    "one that reads something else": ('power_instrument = "power_meter"', 'power_instrument = "probe_1"', "probe_1 reads no power"),
    "one probe for both": ('supply_instrument = "probe_2"', 'supply_instrument = "probe_1"', "found one probe at both places"),
    "half a reading": ("count = 8", "count = 2.5", "readings.count: found 2.5"),
    "high up": ("elevation = 2600 ", "elevation = 99999 ", "site.elevation: found 99,999 ft; expected -1,640 ft to 14,108 ft"),
    "no place": ("elevation = 2600 ", "", "site: found neither elevation nor barometric_pressure"),
    "an accuracy below zero": ("accuracy = 0.9", "accuracy = -0.9", "instruments.probe_1.dry_bulb: found accuracy below zero"),
    "a typing error in an accuracy": ("{ accuracy = 0.9", "{ acuracy = 0.9", 'Did you mean "accuracy"?'),
    "late start": ("start = 5 ", "start = 50 ", "logger: found start outside the duration"),
    "endless log": ("interval = 0.5 ", "interval = 0.0001 ", "logger: found more than 2000 rows"),
    "two lines in a name": ('name = "School gymnasium', 'name = "a\\nb', "expected one line of text"),
    "a frozen coil": ("power = 0.7 ", "power = 70 ", "airflow.volume_flow: at rating condition A the coil would be below freezing"),
    "dates turned round": ("date = 2026-06-17", "date = 2026-06-01", "after.date: found 2026-06-01, before the date of the before visit"),
    "not TOML": ("[site]", "[site", "is not valid TOML"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_a_sentence_with_file_and_field(name, tmp_path):
    old, new, said = WRONG[name]
    file = tmp_path / "scenario.toml"
    file.write_text(changed((old, new)), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read_scenario(tmp_path)
    assert str(file) in str(caught.value) and said in str(caught.value)
    assert caught.value.path == str(file) and caught.value.problems


def test_all_problems_at_once():
    text = changed(("charge_fault = -0.15", "charge_fault = 9"), ("count = 8", "count = 0"), ("[86, 96]", '"hot"'))
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text)
    assert {p.field for p in caught.value.problems} == {
        "before.charge_fault",
        "readings.count",
        "weather.outdoor_dry_bulb",
    }


def test_files_that_are_none(tmp_path):
    for content, said in (
        (b"\xff\xfe", "is not UTF-8 text"),
        (b"a" * 300_000, "has more than"),
        (b"x = " + b"[" * 5000, "lists in lists|is not valid TOML"),
    ):
        file = tmp_path / "x.toml"
        file.write_bytes(content)
        with pytest.raises(ScenarioError, match=said):
            read_scenario(file)
    with pytest.raises(ScenarioError, match="there is no such file"):
        read_scenario(tmp_path / "nowhere.toml")


def test_what_may_be_left_out_or_written_otherwise():
    text = changed(
        ("return_dry_bulb = [75, 78]", "return_dry_bulb = 76"), ("charge_fault = -0.15", 'charge_fault = "-15 %"'),
        ("rated_power = 4.3", "# rated_power"), ("[before]\n", "[before]\nweather = { outdoor_dry_bulb = [88, 90] }\n"),
    )  # fmt: skip
    found = parse_scenario(text[: text.index("[logger]")])
    assert found.before.charge_fault == pytest.approx(-0.15)
    assert found.range_of("before", "return_dry_bulb") == found.range_of("after", "return_dry_bulb")
    assert found.range_of("before", "outdoor_dry_bulb") != found.range_of("after", "outdoor_dry_bulb")
    assert found.logger.duration == 2400.0
    assert parse_scenario(FIRST).logger.settling == 240.0
