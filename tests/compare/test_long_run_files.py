"""Long periods from visit files and logger files on disk, by the library and from the command line."""

import json
from dataclasses import replace

import numpy as np
import pytest
from logged_periods import BEGIN, RUNS, day_log, made_data, made_log, write_day, write_periods

import airside
from airside.compare.periods import period_of
from airside.compare.season import read_bins
from airside.errors import ComparisonError, NothingSteadyError
from airside.instruments.defaults import NEW_EACH_VISIT
from airside.visit.logs.logged_visit import load_logged, logged_visit

BINS = 'name = "Invented summer"\nunits = "SI"\ndry_bulb = [31, 33, 35]\nhours = [300, 200, 100]\n'


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    return write_periods(tmp_path_factory.mktemp("clinic"))


@pytest.fixture(scope="module")
def found(folders):
    return airside.long_run(*folders)


def test_a_folder_is_its_files(folders):
    files = sorted(folders[0].glob("*.toml"))
    whole, listed = period_of(folders[0], "before"), period_of(files, "before")
    parts = [load_logged(f) for f in files]
    assert len(whole) == len(listed) == sum(map(len, parts))
    assert whole.columns["total"] == pytest.approx(
        np.concatenate([p.capacities().figures["total"].value for p in parts])
    )
    assert period_of(parts, "before").days == whole.days == ("2026-07-13", "2026-07-14", "2026-07-15", "2026-07-16")


def test_shared_errors_are_those_of_the_capacities(folders):
    """The whole shared uncertainty of a stretch is what `StretchCapacities` says of it."""
    one = load_logged(sorted(folders[0].glob("*.toml"))[0])
    period, figure = period_of(one, "before"), one.capacities().figures["total"]
    parts = [moves["total"] for moves in period.effects.values() if "total" in moves]
    assert np.sqrt(sum(p**2 for p in parts)) == pytest.approx(figure.shared)
    # ± 0.4 K as a limit; a tenth of its variance comes anew with each visit (`airside.instruments.defaults`).
    assert period.effects["instrument/probe_2/dry_bulb"]["outdoor_dry_bulb"] == pytest.approx(
        0.4 / 3**0.5 * (1 - NEW_EACH_VISIT["dry_bulb"].share) ** 0.5, rel=1e-6
    )
    # A higher dry bulb at the same dew point is a higher wet bulb, by a third or so; by hand from a psychrometric chart.
    moved = period.effects["instrument/probe_1/dry_bulb"]
    size = next(e.standard_deviation for e in period.errors if e.key == "instrument/probe_1/dry_bulb")
    assert moved["return_wet_bulb"] / size == pytest.approx(0.35, abs=0.06)


def test_a_known_change_is_found(found):
    """Supply air 2.5 K colder and 1.25 K drier in dew point: the part of capacity that follows, from psychrometrics."""
    # 0.55 m³/s of 1.15 kg/m³ dry air; 1.006 kJ/kg K; 2501 kJ/kg; humidity ratios at 11.0 and 9.75 °C dew point (ASHRAE
    # Fundamentals, ch. 1, table 2, from memory: 8.2 and 7.5 g/kg at sea level; a little more at 300 m).
    gained = 0.55 * 1.15 * (1006 * 2.5 + 2_501_000 * (0.0085 - 0.0078))
    expected = gained / found.estimates["predicted_total"].value
    assert found.change.value == pytest.approx(expected, abs=0.05)
    assert found.is_change_supported
    assert not found.estimates["change_power"].is_supported
    # What comes anew with each file does not cancel.
    assert any(abs(v) > 0.002 for k, v in found.change.instruments.items() if not k.startswith("instrument/"))


def test_one_stretch_in_two_files_is_refused(folders, tmp_path):
    log = day_log(0, seed=0)
    files = [write_day(tmp_path, name, log) for name in ("one", "two")]
    with pytest.raises(ComparisonError, match="stand in two of its files"):
        airside.long_run(files, folders[1])


def test_a_day_without_a_steady_stretch_is_named_and_left_out(folders, tmp_path):
    """The system stood still on one day of two; where it stood still on all of them there is nothing to compare."""
    idle = day_log(1, seed=1)
    still = replace(idle, channels={
        **idle.channels, "readings.power.total": np.full(len(idle), 60.0),
        "readings.supply.dry_bulb": idle.channels["readings.return.dry_bulb"] - 0.1,
        "airflow.volume_flow": np.zeros(len(idle)),
    })  # fmt: skip
    write_day(tmp_path, "a_idle", still)
    with pytest.raises(NothingSteadyError, match="never runs"):
        period_of(tmp_path, "before")
    write_day(tmp_path, "b_runs", day_log(0, seed=0))
    found = period_of(tmp_path, "before")
    assert found.days == ("2026-07-13",)
    assert any(
        "before: a_idle.toml gives no steady stretch and is left out: the system never runs" in n for n in found.notes
    )


def test_one_period_twice_is_said(folders, found):
    same = airside.long_run(folders[0], folders[0])
    said = {w.code: w.message for w in same.warnings}
    assert said["same_stretches"].startswith("All steady stretches of the after period are in the before period too")
    assert "overlap_in_time" not in said
    assert "same_stretches" not in {w.code for w in found.warnings}


def test_two_files_of_one_day_are_told_apart(tmp_path):
    files = [write_day(tmp_path, n, day_log(0, seed=i)) for i, n in enumerate(("one", "two"))]
    assert set(period_of(files, "before").days) == {"2026-07-13, one", "2026-07-13, two"}


def test_results_print_and_export(found):
    text = found.text("IP")
    assert found.verdict in text and "Btu/h" in text and "CV(RMSE)" in text and "Safety" in text
    assert "<script" not in found.html() and found.verdict in found.html()
    content = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    assert content["format"] == "airside longrun 1"
    assert content["estimates"]["change_total"]["value"] == pytest.approx(found.change.value)
    assert content["before"]["days"] == 4
    assert set(content["baseline"]) == {"total", "power"}
    frame = found.to_frame()
    assert len(frame) == len(found.before) + len(found.after)
    assert set(frame["period"]) == {"before", "after"}
    assert frame["inside"].sum() == len(found.before) + found.inside.sum()
    assert repr(found).startswith("<LongRun: Clinic unit, before (invented) → ")


def test_from_the_command_line(run, folders, tmp_path):
    bins = tmp_path / "bins.toml"
    bins.write_text(BINS, encoding="utf-8")
    targets = [tmp_path / n for n in ("chart.svg", "stretches.csv", "report.html")]
    status, out, err = run(
        "longrun", *folders, "--bins", bins, "--price", "0.2 EUR", "--chart", targets[0], "--csv", targets[1], "--report",
        targets[2], "--time-stamp", "none",
    )  # fmt: skip
    assert (status, err) == (0, "")
    said = " ".join(out.split())
    assert "The data support a gain of" in said and "EUR" in said and "What the change rests on" in said
    assert all(t.is_file() for t in targets)
    assert read_bins(bins).name in said
    status, again, _ = run("longrun", *folders, "--json")
    assert status == 0
    assert json.loads(again)["format"] == "airside longrun 1"
    status, _, err = run("longrun", *folders, "--csv", targets[1])
    assert status == 2 and "exists" in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--price", "0.2"), "a price goes with a season's bins"),
        (("--without", "humidity"), "is no condition of a cooling baseline"),
        (("--bins", "none.csv"), "cannot be read"),
        (("--chart", "x.gif"), "the chart's name ends in .gif"),
    ],
)
def test_bad_input_is_a_sentence(run, folders, arguments, said):
    status, out, err = run("longrun", *folders, *arguments)
    assert status == 2 and out == ""
    assert said in " ".join(err.split())


def test_a_typed_visit_is_refused(run, folders):
    status, _, err = run("longrun", "data/reading_room/before.toml", folders[1])
    assert status == 2
    assert err.startswith("airside: ")


def test_other_files_in_a_folder_are_named(folders, tmp_path):
    write_day(tmp_path, "day", day_log(0, seed=0))
    (tmp_path / "bins.toml").write_text(BINS, encoding="utf-8")
    period = period_of(tmp_path, "before")
    assert any("bins.toml names no logger file and is left out" in n for n in period.notes)


def test_in_heating_the_return_dry_bulb_counts():
    """A heating unit: warmer supply air after the work is a gain, and the baseline goes by dry bulbs."""
    random = np.random.default_rng(1)
    logs = []
    for number, warmer in ((0, 0.0), (1, 0.0), (2, 0.0), (30, 2.0), (31, 2.0), (32, 2.0)):
        minutes = np.arange(RUNS.size)
        outdoor = 3 + 5 * random.random() + 3 * np.sin(np.pi * minutes / 1440)
        back = 20 + 1.5 * random.random() + 0.8 * np.sin(2 * np.pi * minutes / 500)
        supply = np.where(RUNS, back + 15 + 0.3 * outdoor + warmer, back)
        log = made_log(RUNS, seed=number, begin=BEGIN + 86_400 * number, **{
            "readings.return.dry_bulb": back, "readings.supply.dry_bulb": supply, "readings.outdoor.dry_bulb": outdoor,
            "readings.return.dew_point": np.full(RUNS.size, 5.0), "readings.supply.dew_point": np.full(RUNS.size, 5.0),
        })  # fmt: skip
        logs.append(logged_visit(made_data() | {"mode": "heating"}, log, f"day_{number}.toml"))
    found = airside.long_run(logs[:3], logs[3:])
    assert found.baselines["total"].terms.used[:2] == ("outdoor_dry_bulb", "return_dry_bulb")
    assert found.before.mode == "heating" and "return_wet_bulb" not in found.before.columns
    assert found.change.value == pytest.approx(
        2.0 / (15 + 0.3 * found.after.columns["outdoor_dry_bulb"].mean()), abs=0.03
    )
    assert any("return_dry_bulb" in moves for moves in found.before.effects.values())
