"""The planning panel: the library's plan of the visit as it stands, with the accuracies that are turned."""

import re
import shutil
import tomllib
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.compare.planning import plan
from airside.show.panels import PlanningPanel, planning
from airside.show.panels import panel as panel_base
from airside.show.panels.later import Later
from airside.units import percent

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = DATA / "reading_room" / "before.toml", DATA / "bakery" / "before.toml"
DRAWS = 600


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(PlanningPanel, "draws", DRAWS)
    # The full result of a drag is there at once, but in one test.
    monkeypatch.setattr(PlanningPanel, "dragging_draws", DRAWS)
    monkeypatch.setattr(Later, "request", lambda later: later.call())
    # The picture is looked at in test_panels_form.py.
    monkeypatch.setattr(planning, "plan_chart", lambda found, **_: found)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")


def head(found):
    return unescape(found.frame.head.value).replace("\u00a0", " ")


def figures(found):
    """Name and value of each key figure."""
    return dict(re.findall(r"opacity:.8\">(.*?)</span><br><b>(.*?)</b>", unescape(found.frame.figures.value)))


@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_figures_and_sentence_are_the_librarys(file):
    found, wanted = PlanningPanel(file), plan(airside.load_visit(file), count=DRAWS)
    assert wanted.sentence in head(found) and found.plan.to_dict() == wanted.to_dict()
    assert figures(found) == {
        "Smallest change seen now": percent(wanted.smallest_detectable_ratio, 1),
        "With all that helps most": percent(wanted.options[0].smallest_detectable_ratio, 1),
        "Improve first": wanted.largest[0],
    }
    assert "power of 80 %" in found.frame.assumptions.value
    assert found.shown.figure is found.plan
    assert not any(f.said for f in found.form.all_fields())


def test_the_public_name_is_the_same_plan():
    assert airside.plan(airside.load_visit(BAKERY), count=DRAWS).to_dict() == PlanningPanel(BAKERY).plan.to_dict()


@pytest.mark.parametrize(
    ("key", "better", "worse"), [("dry_bulb", 0.1, 1.5), ("humidity", 0.5, 6.0), ("airflow", 1.0, 20.0)]
)
def test_a_better_instrument_sees_a_smaller_change(key, better, worse):
    found = PlanningPanel(BAKERY)
    stated = found.plan.smallest_detectable_ratio
    found.accuracy.settings[key].box.value = worse
    coarse = found.plan.smallest_detectable_ratio
    found.accuracy.settings[key].box.value = better
    assert found.plan.smallest_detectable_ratio < coarse and coarse > stated
    found.accuracy.button.click()
    assert found.plan.smallest_detectable_ratio == stated and not found.accuracy.is_moved(key)


def test_the_turned_accuracies_are_those_of_the_library():
    found = PlanningPanel(BAKERY)
    found.accuracy.dry_bulb.box.value = 0.2
    found.accuracy.airflow.box.value = 3.0
    visit = found.visit()
    assert [visit.instruments[n].dry_bulb.accuracy for n in ("probe_a", "probe_b")] == pytest.approx([0.2, 0.2])
    assert visit.airflow.relative_uncertainty == pytest.approx(0.03)
    # What was not turned is as the file states it.
    stated = airside.load_visit(BAKERY)
    assert visit.instruments["probe_a"].relative_humidity == stated.instruments["probe_a"].relative_humidity
    assert visit.readings == stated.readings
    assert found.plan.to_dict() == plan(visit, count=DRAWS).to_dict()


def test_what_was_planned_with_is_saved_and_starts_there_again(tmp_path):
    found = PlanningPanel(BAKERY)
    found.accuracy.dry_bulb.box.value = 0.2
    found.accuracy.new_share.box.value = 0.5
    file = found.save(tmp_path / "planned.toml")
    saved = tomllib.loads(file.read_text())
    assert saved["instruments"]["probe_a"]["dry_bulb"]["accuracy"] == "0.2 K"
    assert saved["instruments"]["probe_a"]["dry_bulb"]["new_each_visit"] == 0.5 and "panel" not in saved
    again = PlanningPanel(file)
    assert again.plan.to_dict() == found.plan.to_dict()
    assert again.accuracy.dry_bulb.value == pytest.approx(0.2) and not again.accuracy.is_moved("dry_bulb")
    # The command line reads it and says the same.
    assert plan(airside.load_visit(file), count=DRAWS).to_dict() == found.plan.to_dict()


def test_a_visit_without_instruments_is_planned_with_the_defaults(tmp_path):
    text = BAKERY.read_text()
    text = text[: text.index("[instruments.")] + text[text.index("[readings.return]") :]
    lines = [line for line in text.splitlines() if not line.startswith(("instrument =", "line_instrument ="))]
    (tmp_path / "bare.toml").write_text("\n".join(lines))
    found = PlanningPanel(tmp_path / "bare.toml")
    before = found.plan.smallest_detectable_ratio
    assert found.plan.to_dict() == plan(airside.load_visit(tmp_path / "bare.toml"), count=DRAWS).to_dict()
    # A probe that gets a name for its accuracy only is no probe that both visits share.
    start = found.accuracy.dry_bulb.box.value
    found.accuracy.dry_bulb.box.value = start + 0.05
    assert found.plan.smallest_detectable_ratio == pytest.approx(before, rel=0.1) and "instruments" in found.data()
    found.accuracy.dry_bulb.box.value = 1.4
    assert found.plan.smallest_detectable_ratio > 1.1 * before and not found.frame.is_stale
    # Only where it is said how much is new does the rest cancel.
    found.accuracy.new_share.box.value = 0.1
    assert found.plan.smallest_detectable_ratio < before


def test_a_drag_plans_coarsely_and_then_in_full(monkeypatch):
    monkeypatch.setattr(PlanningPanel, "dragging_draws", DRAWS - 1)
    counts = []
    real = planning.plan
    monkeypatch.setattr(
        planning, "plan", lambda visit, *, count, **more: counts.append(count) or real(visit, count=count, **more)
    )
    found = PlanningPanel(BAKERY)
    waiting = []
    monkeypatch.setattr(found._later, "request", lambda: waiting.append(1))
    found.accuracy.dry_bulb.box.value = 0.7
    found.accuracy.dry_bulb.box.value = 0.9
    assert counts == [DRAWS, DRAWS - 1, DRAWS - 1] and len(waiting) == 2
    found._later.call()
    assert counts[-1] == DRAWS and len(counts) == 4


def test_readings_that_are_expected_may_be_typed_first():
    found = PlanningPanel()
    assert "Type the readings" in head(found) and found.plan is None
    found.set_units("SI")
    fields = found.form.fields
    for path, text in {
        "name": "Clinic, planned", "site.elevation": "100", "readings.return.dry_bulb": "25", "system.nominal_capacity": "10",
        "readings.return.humidity_value": "50", "readings.supply.dry_bulb": "14", "readings.supply.humidity_value": "90",
    }.items():  # fmt: skip
        fields[path].box.value = text
    found.form.method.box.value = "measured"
    assert found.frame.is_stale
    found.form.evidence["measured"][0].box.value = "500"
    assert not found.frame.is_stale and "cannot be seen reliably" in head(found)
    assert found.plan.to_dict() == plan(found.visit(), count=DRAWS).to_dict()


def test_wrong_input_greys_the_last_plan():
    found = PlanningPanel(LIBRARY)
    said, kept = figures(found), found.plan
    found.form.fields["readings.supply.dry_bulb"].box.value = "warm"
    assert found.frame.is_stale and "airside-stale" in found.frame.figures._dom_classes
    assert (
        figures(found) == said and found.plan is kept and "warm" in found.form.fields["readings.supply.dry_bulb"].said
    )
    assert found.form.folds["Supply air"].is_open


def test_a_heating_visit_is_planned_too(tmp_path):
    text = BAKERY.read_text().replace('mode = "cooling"', 'mode = "heating"')
    text = text.replace("[13.6, 13.7, 13.7, 13.7, 13.7]", "[35.6, 35.7, 35.7, 35.7, 35.7]")
    text = text.replace("[90.0, 89.6, 89.9, 90.2, 89.7]", "[29.0, 29.6, 29.9, 29.2, 29.7]")
    (tmp_path / "heating.toml").write_text(text)
    found = PlanningPanel(tmp_path / "heating.toml")
    wanted = plan(airside.load_visit(tmp_path / "heating.toml"), count=DRAWS)
    assert not found.frame.is_stale and wanted.sentence in head(found)


def test_another_file_starts_the_sliders_anew(tmp_path):
    shutil.copytree(DATA / "reading_room", tmp_path / "unit")
    found = PlanningPanel(BAKERY)
    found.accuracy.humidity.box.value = 5.0
    found.load(tmp_path / "unit" / "before.toml")
    assert found.accuracy.humidity.value == pytest.approx(0.025) and found.units == "IP"
    assert found.plan.to_dict() == PlanningPanel(LIBRARY).plan.to_dict()
