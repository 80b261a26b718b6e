"""Logged visits on the command line and in the panels, from files."""

import csv
import json

import numpy as np
import pytest
from logged_made import cycles, made_data, made_log

import airside
from airside.visit.logs.logged_visit import load_either, load_logged

ON = cycles(20, 50, 15, 200, 25)
COLUMNS = {
    "t1": "readings.return.dry_bulb", "d1": "readings.return.dew_point", "t2": "readings.supply.dry_bulb",
    "d2": "readings.supply.dew_point", "t3": "readings.outdoor.dry_bulb", "p": "readings.power.total",
    "flow": "airflow.volume_flow",
}  # fmt: skip


@pytest.fixture
def written(tmp_path):
    """Write a visit file and its logger file; give the visit file."""
    import tomli_w

    def write(on=ON, name="visit.toml", seed=1, channels=None, **counting):
        log, data = made_log(on, seed=seed, **(channels or {})), made_data(**counting)
        logger = tmp_path / f"{name}.csv"
        with logger.open("w", newline="") as file:
            rows = csv.writer(file)
            rows.writerow(["time", *COLUMNS])
            # Bare numbers of an SI visit: kW and L/s.
            scale = {"p": 1e-3, "flow": 1e3}
            for i, at in enumerate(log.time):
                rows.writerow(
                    [log.wall_time(at), *(f"{log.channels[c][i] * scale.get(n, 1):.5f}" for n, c in COLUMNS.items())]
                )
        text = tomli_w.dumps(data).replace("library.csv", logger.name)
        (tmp_path / name).write_text(text, encoding="utf-8")
        return tmp_path / name

    return write


def test_load_visit_gives_the_standing_stretch(written):
    file = written(stretch=3)
    visit, logged = load_either(file)
    assert airside.load_visit(file).readings == visit.readings
    assert visit.stretch.number == 3
    assert logged.standing is visit
    assert len(logged) == len(load_logged(file))


def test_capacity_has_a_table_of_stretches_before_the_result(run, written):
    status, out, err = run("capacity", written())
    assert (status, err) == (0, "")
    assert out.index("14 steady stretches of 15 min, in 2 of 2 runs") < out.index("Delivered cooling capacity")
    assert "→ 14" in out
    assert "…" in out
    assert "Logged: stretch 14 of 14" in out
    rows = [line for line in out.splitlines() if " 2026-07-13 " in line and " min " in line]
    assert 5 <= len(rows) < 14


def test_all_stretches_are_listed_when_asked_for(run, written):
    _, out, _ = run("capacity", written(), "--stretches", "--units", "IP")
    rows = [line for line in out.splitlines() if " 2026-07-13 " in line and " min " in line]
    assert len(rows) == 14
    assert "Btu/h" in out
    assert "…" not in out.split("Delivered")[0]


def test_what_is_said_of_the_log_is_in_the_units_that_are_asked_for(run, written):
    file = written(running_from="supply temperature")
    for units, shown, other in (("IP", "°F", "K"), ("SI", "K", "°F")):
        _, out, _ = run("capacity", file, "--units", units)
        said = " ".join(out.split()).split("Running where return less supply dry bulb is above ")[1].split(",")[0]
        assert said.endswith(f" {shown}") and other not in said


def test_json_has_the_stretches(run, written):
    status, out, _ = run("capacity", written(stretch=2), "--json")
    content = json.loads(out)
    part = content["stretches"]
    assert status == 0
    assert (part["standing"], part["count"]) == (2, 14)
    assert len(part["total_W"]) == len(part["begin"]) == 14
    assert part["total_W"][1] == pytest.approx(content["capacity"]["total_W"], rel=1e-9)
    assert part["total_W_u"][1] == pytest.approx(content["capacity"]["total_W_u"], rel=0.05)
    assert part["rows_in_stretches"] + sum(part["rows_set_aside"].values()) == part["rows"] == ON.size


def test_typed_visits_have_no_stretches(run, tmp_path):
    from airside.visit.template import visit_template

    (tmp_path / "typed.toml").write_text(visit_template("SI"), encoding="utf-8")
    status, out, err = run("capacity", tmp_path / "typed.toml", "--stretches")
    assert (status, out) == (2, "")
    assert "names no logger file" in err
    assert "stretches" not in json.loads(run("capacity", tmp_path / "typed.toml", "--json")[1])


def test_compare_of_two_logged_visits(run, written):
    weak = {"readings.supply.dry_bulb": np.where(ON, 15.5, 23.5), "readings.supply.dew_point": np.where(ON, 13.0, 12.5)}
    before, after = written(name="before.toml", channels=weak, seed=2), written(name="after.toml")
    status, out, err = run("compare", before, after, "--draws", "5000")
    assert (status, err) == (0, "")
    assert "The data support a gain" in " ".join(out.split())
    assert "Before: Logged: stretch 14 of 14" in " ".join(out.split())


@pytest.mark.parametrize(
    ("on", "counting", "said"),
    [
        (np.zeros(120, bool), {}, "log.counting: the system never runs"),
        (ON, {"stretch": 40}, "log.counting.stretch: there is no stretch 40; the stretches are numbered 1 to 14."),
        (cycles(20, 15, 20, 15), {}, "Runs last 15 min at most; 26 min are needed"),
        (ON, {"window": 2}, "log.counting.window: found 2 min"),
        (ON, {"running_form": "power"}, 'unknown key "running_form". Did you mean "running_from"?'),
    ],
)
def test_what_is_wrong_is_one_sentence(run, written, on, counting, said):
    for command in (["capacity"], ["check"], ["compare", written(name="good.toml")]):
        status, out, err = run(*command, written(on, **counting))
        assert status == 2
        # `check` shows first what was read.
        assert out == "" or command == ["check"]
        assert said in " ".join(err.split())


def test_a_restless_supply_is_named(run, written):
    restless = np.where(ON, 13.0, 23.5) + np.where(np.arange(ON.size) % 6 < 3, 2.0, 0.0)
    status, _, err = run("capacity", written(channels={"readings.supply.dry_bulb": restless}))
    assert status == 2
    assert "no stretch of 15 min is steady. Most often supply dry bulb is not" in err


def test_the_log_is_drawn_over_time(run, written, tmp_path):
    file, picture = written(), tmp_path / "log.svg"
    status, out, _ = run("capacity", file, "--log-chart", picture)
    assert status == 0 and f"Chart of the log: {picture}" in out
    assert picture.read_bytes().startswith(b"<?xml")
    status, out, err = run("capacity", file, "--log-chart", picture)
    assert status == 2 and out == "" and "--force" in err
    status, out, err = run("capacity", file, "--log-chart", tmp_path / "log.txt")
    assert status == 2 and "expected .png" in err


def test_a_panel_says_that_it_saves_typed_readings(written):
    from airside.show.panels.visit_form import VisitForm

    form, file = VisitForm(), written()
    form.load(file)
    assert "stretch 14 of 14" in form.logged
    assert "leaves out the names of the logger files" in form.logged
    data = form.data()
    assert "log" not in data
    assert data["readings"]["supply"]["dry_bulb"] == pytest.approx(
        list(airside.load_visit(file).readings.supply.dry_bulb)
    )
    kept = form.snapshot()
    form.clear()
    assert form.logged == ""
    form.restore(kept)
    assert "stretch 14 of 14" in form.logged
