"""Days of a real heat pump in a laboratory, from the raw files by visit files alone.

Z. Chen, W. V. Payne, J. Wen and others, repository ZhelunChen/HILFT-ASHP-DEMO, commit 2fad418 (US DOE EE-0009153), MIT
licence; read from ../shared/data/lab_heat_pump, never copied. Stated uncertainty: dry bulb 0.8 °F, dew point 0.7 °F,
flow 3 %, power 0.5 % of reading.
"""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.visit.logs.logged_visit import load_logged
from airside.visit.logs.stretches import is_impossible

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "data" / "lab_heat_pump"
pytestmark = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the laboratory readings (shared/data/lab_heat_pump) are not on this machine"
)
DAYS = ("Atlanta_Eff_Default", "Atlanta_Eff_ExtrmSum", "Buffalo_Eff_ExtrmSum", "NewYorkCity_Eff_Default",
        "Tucson_Eff_Default", "Tucson_Eff_ExtrmSum")  # fmt: skip
VISIT = """\
format = "airside visit 1"
units = "IP"
name = "Laboratory heat pump, {day}"
mode = "cooling"

[log]
time = "date_time"
time_format = "%m/%d %H:%M:%S"
year = 2021

[log.counting]
{counting}

[site]
instrument = "barometer"
log = "{file}"
columns = {{ barometric_pressure = "local_pres" }}
column_units = {{ barometric_pressure = "inHg" }}

[system]
name = "laboratory heat pump"

[airflow]
method = "measured"
basis = "standard"
at = "supply"
instrument = "nozzles"
relative_uncertainty = 0.03
log = "{file}"
columns = {{ volume_flow = "sa_flow" }}
column_units = {{ volume_flow = "cfm" }}

[instruments.room]
dry_bulb = {{ accuracy = 0.8, coverage = "95 %" }}
dew_point = {{ accuracy = 0.7, coverage = "95 %" }}
[instruments.duct]
dry_bulb = {{ accuracy = 0.8, coverage = "95 %" }}
dew_point = {{ accuracy = 0.7, coverage = "95 %" }}
[instruments.chamber]
dry_bulb = {{ accuracy = 0.8, coverage = "95 %" }}
[instruments.meter]
power = {{ accuracy_of_reading = 0.5, coverage = "95 %" }}
[instruments.nozzles]
[instruments.barometer]
barometric_pressure = {{ accuracy = 0.004 }}

[readings.return]
instrument = "room"
placement = 0
log = "{file}"
columns = {{ dry_bulb = "zn_temp", dew_point = "zn_temp_dp" }}
column_units = {{ dry_bulb = "degF", dew_point = "degF" }}
[readings.supply]
instrument = "duct"
placement = 0
log = "{file}"
columns = {{ dry_bulb = "sa_temp", dew_point = "sa_temp_dp" }}
column_units = {{ dry_bulb = "degF", dew_point = "degF" }}
[readings.outdoor]
instrument = "chamber"
log = "{file}"
columns = {{ dry_bulb = "oa_temp" }}
column_units = {{ dry_bulb = "degF" }}
[readings.power]
instrument = "meter"
log = "{file}"
columns = {{ outdoor_unit = "od_power", indoor_unit = "id_power" }}
column_units = {{ outdoor_unit = "W", indoor_unit = "W" }}
[readings.status]
log = "{file}"
columns = {{ stage = "stg" }}
"""


@pytest.fixture
def day(tmp_path):
    """Write the visit file of a day; give it."""

    def write(name, counting="stage = 1"):
        file = tmp_path / f"{name}.toml"
        logger = (FOLDER / f"{name}.csv").as_posix()
        file.write_text(VISIT.format(day=name, file=logger, counting=counting), encoding="utf-8")
        return file

    return write


def raw(name):
    """A day's columns by the standard library's csv, as numbers in the file's own units."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {k: np.array([float(r[k]) for r in rows]) for k in rows[0] if k != "date_time"}


# After a start five minutes are left out, so that the short runs of the cooler days have stretches too.
SHORT = "stage = 1\nafter_start = 5\nwindow = 6"


@pytest.mark.parametrize("name", DAYS)
def test_every_day_gives_capacities(day, name):
    logged = load_logged(day(name, SHORT))
    columns = raw(name)
    s, found = logged.stretches, logged.capacities()
    assert s.minutes == 1440 == sum(s.set_aside.values()) + len(s) * s.rows
    assert s.set_aside["off"] == int((columns["stg"] == 0).sum())
    assert len(s) > 15
    # By hand with numpy: sensible heat as standard air of 0.075 lb/ft³ (moist air's 0.24 + 0.444 W Btu/lb °F; ASHRAE
    # Fundamentals 2017 ch. 1), to a few percent of the exact one. The latent part is a tenth of it here.
    for i in (0, len(s) // 2, len(s) - 1):
        part = slice(s.start[i], s.stop[i])
        cold = columns["zn_temp"][part].mean() - columns["sa_temp"][part].mean()
        sensible = columns["sa_flow"][part].mean() * 60 * 0.075 * (0.24 + 0.444 * 0.0088) * cold * 0.29307107
        assert found.figures["sensible"].value[i] == pytest.approx(sensible, rel=0.01)
        assert found.figures["split"].value[i] == pytest.approx(cold / 1.8, abs=1e-6)
        power = columns["od_power"][part].mean() + columns["id_power"][part].mean()
        total = found.figures["total"].value[i]
        assert found.figures["coefficient_of_performance"].value[i] == pytest.approx(total / power, rel=1e-6)


def test_impossible_minutes_are_those_of_the_files(day):
    found = 0
    for name in DAYS:
        columns = raw(name)
        expected = (columns["sa_temp_dp"] > columns["sa_temp"]) | (columns["zn_temp_dp"] > columns["zn_temp"])
        assert is_impossible(load_logged(day(name, SHORT)).log).tolist() == expected.tolist()
        found += int((columns["sa_temp_dp"] > columns["sa_temp"]).sum())
    assert found == 189


def test_they_are_set_aside_where_a_lagging_sensor_would_count(day):
    logged = load_logged(day("Tucson_Eff_ExtrmSum", "stage = 1\nafter_start = 0\nbefore_stop = 0"))
    columns = raw("Tucson_Eff_ExtrmSum")
    expected = (columns["stg"] == 1) & (columns["sa_temp_dp"] > columns["sa_temp"])
    assert logged.stretches.set_aside.get("impossible", 0) == int(expected.sum())


@pytest.mark.parametrize("signal", ["power", "airflow"])
def test_runs_found_by_level_are_those_of_the_stage_column(day, signal):
    for name in DAYS:
        columns = raw(name)
        file = day(name, f'{SHORT}\nrunning_from = "{signal}"')
        text = file.read_text(encoding="utf-8")
        file.write_text(text[: text.index("[readings.status]")].replace("stage = 1\n", ""), encoding="utf-8")
        runs = load_logged(file).runs
        differs = (runs.run >= 0) != (columns["stg"] > 0)
        # Fan and compressor follow the stage by a minute or so at each of some 30 starts and stops; once the stage
        # blinks for a minute.
        assert differs.mean() < 0.06


@pytest.mark.parametrize("name", ["Atlanta_Eff_Default", "Tucson_Eff_ExtrmSum"])
def test_linear_doubt_is_that_of_the_draws(day, name):
    logged = load_logged(day(name))
    found = logged.capacities()
    for number in (1, logged.standing_number):
        drawn = airside.analyse(logged.visit(number), count=60_000).doubt.estimate("total")
        assert found.figures["total"].value[number - 1] == pytest.approx(drawn.value, rel=1e-9)
        assert found.figures["total"].standard_uncertainty[number - 1] == pytest.approx(
            drawn.standard_uncertainty, rel=0.04
        )


def test_from_the_command_line(run, day):
    status, out, err = run("capacity", day("Atlanta_Eff_Default"))
    assert (status, err) == (0, "")
    assert "7 steady stretches of 15 min, in 3 of 41 runs" in out
    assert "Logged: stretch 6 of 7, 2021-08-26 14:03 to 14:17, run of 98 min, stage 1" in " ".join(out.split())
    content = json.loads(run("capacity", day("Atlanta_Eff_Default"), "--json")[1])
    assert content["stretches"]["count"] == 7


def test_two_days_of_one_machine_show_no_change(run, day):
    before, after = day("Tucson_Eff_ExtrmSum"), day("Atlanta_Eff_Default")
    change = airside.compare(airside.load_visit(before), airside.load_visit(after), count=20_000)
    low, high = change.figures["total"].ratio.interval_95
    assert low < 0 < high
    status, out, _ = run("compare", before, after, "--draws", "5000")
    assert status == 0
    assert "do not show a change" in " ".join(out.split())


def test_a_day_without_long_runs_says_so(run, day):
    status, _, err = run("capacity", day("NewYorkCity_Eff_Default"))
    assert status == 2
    assert "Runs at stage 1 last 2" in err
    assert "26 min are needed" in err
