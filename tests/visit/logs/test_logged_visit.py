"""Logged visits: an ordinary visit of each stretch, what it says of itself, and what it shares with another."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from logged_made import BEGIN, cycles, made_data, made_log

import airside
from airside.compare.pair import doubtful_pair
from airside.errors import VisitError
from airside.visit.analysis import analyse
from airside.visit.convert import visit_data
from airside.visit.load import read_visit_data, visit_from_data
from airside.visit.logs.logged_visit import LoggedVisit, load_logged, logged_visit
from airside.visit.logs.read import read_log
from airside.visit.reading_errors import visit_identity
from airside.visit.write import visit_text

DATA = Path(__file__).parents[3] / "data"

ON = cycles(20, 50, 15, 90, 25)


def made(counting=None, *, data=None, seed=1, **changed) -> LoggedVisit:
    log = made_log(ON, seed=seed, **changed)
    return logged_visit(data or made_data(**(counting or {})), log, "library.toml")


def repeatability(visit):
    """Standard uncertainty of each named error of scatter."""
    errors = airside.analyse(visit, count=2000).doubt.errors.errors
    return {e.name: e for e in errors if e.kind == "repeatability"}


def test_visit_holds_the_readings_of_its_stretch():
    logged = made()
    for number in (1, len(logged)):
        visit = logged.visit(number)
        a, b = logged.stretches.start[number - 1], logged.stretches.stop[number - 1]
        assert visit.readings.return_air.dry_bulb == pytest.approx(logged.log.channels["readings.return.dry_bulb"][a:b])
        assert visit.readings.supply.dew_point == pytest.approx(logged.log.channels["readings.supply.dew_point"][a:b])
        assert visit.airflow.volume_flow == pytest.approx(logged.log.channels["airflow.volume_flow"][a:b])
        assert visit.readings.power.total == pytest.approx(logged.log.channels["readings.power.total"][a:b])
        assert visit.readings.interval == 60
        assert str(visit.date)[:10] == "2026-07-13"


def test_ip_file_gives_the_same_visit():
    data = made_data()
    data |= {"units": "IP", "site": {"elevation": "300 m"}, "system": {}}
    data["instruments"] = {k: {} for k in data["instruments"]}
    plain = made_data()
    plain["instruments"] = data["instruments"]
    plain["system"] = {}
    one, other = made(data=data).standing, made(data=plain).standing
    assert one.readings.supply.dry_bulb == pytest.approx(other.readings.supply.dry_bulb, abs=1e-8)
    results = [airside.analyse(v, count=2000).capacity.total for v in (one, other)]
    assert results[0] == pytest.approx(results[1], rel=1e-9)


def test_the_last_stretch_of_the_longest_run_stands():
    logged = made()
    assert len(set(logged.stretches.run)) == 2
    assert logged.standing_number == len(logged)
    assert logged.stretches.run[logged.standing_number - 1] == 1
    assert made({"stretch": 2}).standing_number == 2
    # The longest run comes first.
    log = made_log(ON[::-1])
    turned = logged_visit(made_data(), log)
    assert turned.stretches.run[turned.standing_number - 1] == 0


def test_it_says_which_stretch_and_what_became_of_every_minute():
    result = airside.analyse(made({"stretch": 2}).standing, count=2000)
    first = result.assumptions[0]
    assert first.startswith(
        "Logged: stretch 2 of 7, 2026-07-13 00:45 to 00:59, run of 50 min; 95 of 200 minutes are in no"
    )
    assert "60 off, 20 start-up, 2 before a stop" in first
    assert any("Running where power total is above" in a for a in result.assumptions)
    total = sum(int(w.split()[0].replace(",", "")) for w in first.split("stretch: ")[1].rstrip(".").split(", "))
    assert total + 7 * 15 == 200


def test_a_stretch_over_midnight_names_both_days():
    late = made_log(ON, begin=BEGIN + 22 * 3600 - 600)
    logged = logged_visit(made_data(stretch=5), late)
    assert "2026-07-13 23:55 to 2026-07-14 00:09" in logged.standing.stretch.place


def test_scatter_is_that_of_the_log():
    logged = made()
    number = 3
    errors, i = repeatability(logged.visit(number)), number - 1
    by_name = {
        "return dry bulb, repeatability": ("readings.return.dry_bulb", 1.0),
        "supply dew point, repeatability": ("readings.supply.dew_point", 1.0),
        "outdoor dry bulb, repeatability": ("readings.outdoor.dry_bulb", 1.0),
        "power, repeatability": ("readings.power.total", None),
        "airflow volume flow, repeatability": ("airflow.volume_flow", None),
    }
    for name, (channel, one) in by_name.items():
        scatter = logged.stretches.channels[channel]
        size = scatter.standard_error[i] / (one or abs(scatter.mean[i]))
        assert errors[name].standard_uncertainty == pytest.approx(size)
        assert errors[name].degrees_of_freedom == pytest.approx(scatter.degrees_of_freedom)


def test_readings_that_hang_together_have_more_doubt():
    # The same scatter, once independent from minute to minute and once with a memory.
    random = np.random.default_rng(5)
    noise = 0.1 * random.standard_normal(ON.size)
    slow = np.zeros(ON.size)
    for i in range(1, ON.size):
        slow[i] = 0.6 * slow[i - 1] + 0.8 * noise[i]
    errors = [
        repeatability(made({"stretch": 3}, **{"readings.return.dry_bulb": 24 + part}).standing)["return dry bulb, repeatability"]
        for part in (noise, slow)
    ]  # fmt: skip
    assert errors[1].standard_uncertainty > 1.3 * errors[0].standard_uncertainty


def test_refrigerant_and_pressure_entries():
    extra = {
        "readings.refrigerant.suction_pressure": 800e3 + 900 * np.sin(np.arange(ON.size)),
        "readings.refrigerant.suction_line_at_outdoor_unit": 10 + 0.1 * np.sin(np.arange(ON.size)),
        "site.barometric_pressure": 97_000 + np.arange(ON.size),
    }
    logged = made(**extra)
    visit = logged.visit(2)
    a, b = logged.stretches.start[1], logged.stretches.stop[1]
    assert visit.site.barometric_pressure == pytest.approx(extra["site.barometric_pressure"][a:b].mean())
    assert len(visit.readings.refrigerant.suction_pressure) == 15
    holes = extra["readings.refrigerant.suction_pressure"].copy()
    holes[a + 3] = np.nan
    less = made(**{**extra, "readings.refrigerant.suction_pressure": holes}).visit(2)
    # A line temperature alone is no refrigerant side.
    assert less.readings.refrigerant is None


def test_a_typed_value_beside_a_logged_one_holds_throughout():
    data = made_data()
    data["readings"]["return"] = {**data["readings"]["return"], "columns": {"dry_bulb": "t1"}, "relative_humidity": 50}
    logged = logged_visit(data, made_log(ON, **{"readings.return.dew_point": None}))
    assert logged.standing.readings.return_air.relative_humidity == pytest.approx((0.5,) * 15)


def test_what_is_new_each_visit_is_not_shared():
    one, other = made(seed=1).standing, made(seed=2).standing
    assert visit_identity(one) != visit_identity(other)
    keys = [{e.key for e in airside.analyse(v, count=2000).doubt.errors.errors} for v in (one, other)]
    common = keys[0] & keys[1]
    assert common
    assert all(k.startswith(("instrument/", "airflow/", "airflow settings/")) for k in common)
    two = made(seed=1)
    assert visit_identity(two.visit(1)) != visit_identity(two.visit(2))
    assert visit_identity(two.standing) == visit_identity(one)


def test_a_change_is_seen_between_two_logged_visits():
    weak = made(seed=2, **{"readings.supply.dry_bulb": np.where(ON, 15.5, 23.5), "readings.supply.dew_point": np.where(ON, 13.0, 12.5)})  # fmt: skip
    change = airside.compare(weak.standing, made(seed=1).standing, count=4000)
    assert change.figures["total"].ratio.value > 0.2
    said = change.assumptions()
    assert any(s.startswith("Before: Logged: stretch 7 of 7") for s in said)
    assert any(s.startswith("After: Logged: stretch 7 of 7") for s in said)


def test_a_saved_visit_has_the_readings_typed():
    visit = made().standing
    again = visit_from_data(visit_data(visit))
    assert again.stretch is None
    assert again.readings.supply.dry_bulb == pytest.approx(visit.readings.supply.dry_bulb, abs=1e-7)
    text = visit_text(visit_data(visit))
    assert "library.csv" not in text
    assert "[log" not in text


def test_logged_tables_are_no_visit_by_themselves():
    with pytest.raises(VisitError, match="log: the visit names logger files; expected a visit file on disk"):
        visit_from_data(made_data())
    with pytest.raises(VisitError, match='unknown key "stretch"'):
        visit_from_data({**visit_data(made().standing), "stretch": 1})


def test_numbers_out_of_range():
    with pytest.raises(
        VisitError, match=r"library.toml: log.counting.stretch: there is no stretch 99; .* numbered 1 to 7"
    ):
        made({"stretch": 99}).standing  # noqa: B018
    with pytest.raises(VisitError, match="there is no stretch 0"):
        made().visit(0)
    short = logged_visit(made_data(), made_log(cycles(5, 30, 5)))
    with pytest.raises(VisitError, match="there is only stretch 1"):
        short.visit(2)


def test_problems_of_the_rest_of_the_file_are_all_named():
    data = made_data()
    data["mode"] = "colling"
    data["site"] = {}
    with pytest.raises(VisitError) as said:
        made(data=data).standing  # noqa: B018
    assert "mode" in str(said.value)
    assert "site" in str(said.value)


def test_a_traverse_is_typed():
    data = made_data()
    data["airflow"] = {"method": "traverse", "shape": "round", "diameter": 300, "velocity": [3, 4, 3]}
    with pytest.raises(VisitError, match="a traverse is read point by point"):
        made(data=data)


def test_strict_tolerances_leave_fewer_stretches():
    data = made_data()
    data["readings"]["tolerances"] = "strict"
    wide = {"readings.outdoor.dry_bulb": 33 + 1.0 * np.sin(np.arange(ON.size) / 3)}
    assert len(made(**wide)) == 7
    with pytest.raises(VisitError, match=r'outdoor dry bulb is not.*strict tolerance.*tolerances = "field"'):
        made(data=data, **wide)


def test_shown_in_other_units_keeps_the_stretch():
    visit = made().standing.shown_in("IP")
    assert visit.stretch is not None
    assert math.isfinite(airside.analyse(visit, count=2000).doubt.estimate("total").standard_uncertainty)


def test_step_that_is_no_minute_speaks_of_rows():
    record = replace(made().standing.stretch, step=10.0)
    assert "rows of 10 s are in no stretch" in record.sentence


def test_two_stages_are_said_in_a_comparison():
    """A stage that is another is a change of the settings, not of the machine."""
    one = made().standing
    other = one.model_copy(update={"stretch": replace(one.stretch, stage="stage 1"), "name": "After"})
    same = one.model_copy(update={"name": "After"})
    assert "other_stage" not in {w.code for w in doubtful_pair(one, same)}
    high = one.model_copy(update={"stretch": replace(one.stretch, stage="stage 2")})
    said = {w.code: w.message for w in doubtful_pair(high, other)}
    assert said["other_stage"].startswith(
        "Before is at stage 2, after at stage 1: a change of stage is part of the change"
    )


def test_clocks_that_differ_are_a_warning_until_they_are_set_right():
    """The demo's second logger is seven minutes slow: invented so (data/make_clinic.py)."""
    path = DATA / "clinic" / "before.toml"
    data = read_visit_data(path)
    found = [w.message for w in analyse(load_logged(path).standing, count=1000).warnings if w.code == "clocks"]
    assert len(found) == 1 and "403 s" in found[0] and "clock_offset = 403" in found[0]
    data["log"]["files"] = {"loggers/before_unit.csv": {"clock_offset": 403}}
    right = logged_visit(data, read_log(data, folder=path.parent, name="before"), "before", path=path)
    assert right.clock_warnings == ()
    # Half of it stands there: what is to be written is the whole.
    data["log"]["files"] = {"loggers/before_unit.csv": {"clock_offset": 203}}
    half = logged_visit(data, read_log(data, folder=path.parent, name="before"), "before", path=path)
    (said,) = half.clock_warnings
    written = float(said.split("clock_offset = ")[1].split()[0])
    # Within the certainty that the sentence gives: ± 27 s (95 %). The rest alone would be 200.
    assert written == pytest.approx(403, abs=27) and abs(written - 200) > 100
