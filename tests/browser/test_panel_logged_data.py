"""The logged-data panel in a real browser: stretches stepped and chosen, minutes left out, clocks, units, files, keyboard."""

from __future__ import annotations

import tomllib

import pytest

import airside
from airside.show.panels import LoggedData
from airside.units import show
from airside.visit.logs.logged_visit import load_logged, logged_visit

expect = pytest.importorskip("playwright.sync_api").expect
from lab_keyboard import Keyboard  # noqa: E402

NOTEBOOK = "notebooks/workbench/logged_data.ipynb"
BEFORE, AFTER = "../../data/clinic/before.toml", "../../data/clinic/after.toml"
STRETCH, START = "Stretch that stands for the visit", "Left out after a start, min"


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the week before."""
    panel.load(BEFORE)


@pytest.fixture(scope="module")
def log(server):
    """The week before, read from the server's copy."""
    return load_logged(server.top / "data" / "clinic" / "before.toml")


def sentence(visit, units="SI"):
    """What the panel must say of the stretch that stands for a visit."""
    result = airside.analyse(visit.shown_in(units), count=LoggedData.draws)
    interval = next(r.interval_text(units) for r in result.parts()[0][1] if r.name == "total")
    total = show(float(result.capacity.total), "capacity", units)
    return f"Delivered {visit.mode}: {total}, 95 % interval {interval}, in {visit.stretch.place}."


def counted(log, **counting):
    """The visit with other keys in [log.counting]."""
    data = {**log.data, "log": {**log.data["log"], "counting": {**log.data["log"]["counting"], **counting}}}
    return logged_visit(data, log.log, path=log.path)


def test_a_stretch_is_chosen_by_its_number_and_by_steps(panel, log):
    standing = log.standing_number
    panel.says(sentence(log.standing))
    panel.shows("Steady stretches", str(len(log)))
    before = panel.content()
    panel.type(STRETCH, "3")
    panel.says(sentence(log.visit(3)))
    before = panel.new_picture(before)
    panel.press("Later")
    panel.says(sentence(log.visit(4)))
    expect(panel.field(STRETCH)).to_have_value("4")
    panel.new_picture(before)
    panel.press("Earlier")
    panel.says(sentence(log.visit(3)))
    for _ in range(3):
        panel.press("Undo")
    panel.says(sentence(log.standing))
    assert standing > 4


def test_what_is_left_out_changes_the_stretches(panel, log):
    panel.type(START, "40")
    later = counted(log, after_start=40)
    panel.says(sentence(later.standing))
    panel.shows("Steady stretches", str(len(later)))
    assert len(later) < len(log)
    panel.field("Steady means within").select_option("the strict tolerances")
    strict = logged_visit(
        {**later.data, "readings": {**later.data["readings"], "tolerances": "strict"}}, log.log, path=log.path
    )
    panel.says(sentence(strict.standing))
    panel.shows("Steady stretches", str(len(strict)))


def test_units_switch_in_place(panel, log):
    panel.field("Running or off by").select_option("airflow")
    panel.type("Runs where it is above, L/s", "100")
    by_flow = counted(log, running_from="airflow", running_above=100)
    panel.says(sentence(by_flow.standing))
    before = panel.content()
    panel.press("IP")
    panel.says(sentence(by_flow.standing, "IP"))
    panel.new_picture(before)
    expect(panel.field("Runs where it is above, cfm")).to_have_value("211.9")
    expect(panel.left).to_contain_text("above 212 cfm, as stated")
    panel.press("SI")
    panel.says(sentence(by_flow.standing))
    expect(panel.field("Runs where it is above, L/s")).to_have_value("100")


@pytest.mark.parametrize(
    ("label", "typed", "says"),
    [
        (STRETCH, "600", "there is no stretch 600"),
        (START, "a while", "a while"),
        ("Length of a stretch, min", "4", "at least 5"),
        ("Used from", "yesterday", "expected a date and time"),
        ("Stage that counts", "7", "never runs at it"),
    ],
)
def test_what_is_wrong_is_marked_at_its_field_and_undo_mends_it(panel, label, typed, says):
    good, picture = panel.head.text_content(), panel.content()
    panel.type(label, typed)
    panel.is_greyed()
    expect(panel.wrong).to_have_count(1)
    expect(panel.wrong).to_contain_text(says)
    assert panel.content() == picture
    panel.press("Undo")
    panel.is_greyed(False)
    expect(panel.wrong).to_have_count(0)
    expect(panel.head).to_have_text(good)


def test_no_steady_stretch_is_said_on_top(panel):
    panel.type("Length of a stretch, min", "600")
    panel.is_greyed()
    expect(panel.head).to_contain_text("no stretch of 600 min")
    expect(panel.wrong).to_have_count(0)


def test_clocks_are_compared_on_a_press_and_moved_on_a_tick(panel, log, folder):
    fold = panel.open_fold("Clocks of the loggers")
    tick = panel.field("add the offset that was found")
    expect(tick).to_be_disabled()
    panel.press("Compare the clocks")
    expect(fold).to_contain_text("behind that of loggers/before_air.csv")
    panel.says(sentence(log.standing))
    expect(tick).to_be_enabled()
    tick.check()
    panel.settle()
    panel.write("Visit file", "Save", "../../data/clinic/clocks.toml")
    saved = load_logged(folder / "../../data/clinic/clocks.toml")
    offset = saved.data["log"]["files"]["loggers/before_unit.csv"]["clock_offset"]
    # The demo's second clock is 420 s slow; the offset is good to about half a minute.
    assert abs(offset - 420) < 40
    panel.says(sentence(saved.standing))
    tick.uncheck()
    panel.says(sentence(log.standing))


def test_the_picture_is_chosen(panel, lab, artefacts):
    seen = {panel.content()}
    for choice in ("24 hours around the stretch", "the stretch on a psychrometric chart"):
        panel.field("Picture shows").select_option(choice)
        panel.settle()
        seen.add(panel.content())
        lab.picture(artefacts / "panels" / f"logged_data-{choice.replace(' ', '_')}.png", panel.root)
    assert len(seen) == 3


def test_tables_say_what_was_logged_and_what_was_set_aside(panel, log, lab, artefacts):
    stretches = panel.open_fold("Steady stretches")
    expect(stretches.locator("tr")).to_have_count(len(log) + 1)
    expect(stretches).to_contain_text(f"→ {log.standing_number}")
    channels = panel.open_fold("Logged channels")
    expect(channels.locator("tr")).to_have_count(len(log.log.records) + 1)
    expect(channels).to_contain_text('no value "-999"')
    expect(channels).to_contain_text("2026-07-08 10:18:00 to 2026-07-08 11:00:00")
    lab.picture(artefacts / "panels" / "logged_data-tables.png", panel.root)
    panel.press_fold("Steady stretches")
    panel.press_fold("Logged channels")


def test_another_week_is_brought_in_and_a_typed_visit_is_refused(panel, changed):
    panel.load(AFTER)
    after = changed("clinic/after.toml")
    panel.says(sentence(after))
    panel.row("Visit file").get_by_role("textbox").fill("../../data/bakery/before.toml")
    panel.press("Load", panel.row("Visit file"))
    expect(panel.message).to_contain_text("names no logger file")
    panel.says(sentence(after))


def test_what_is_saved_keeps_the_logger_files_and_reads_back(panel, folder, log, changed):
    panel.type(STRETCH, "5")
    panel.type("Length of a stretch, min", "20")
    panel.says(sentence(counted(log, stretch=5, window=20).standing))
    # Another folder: the logger files are named from there.
    panel.write("Visit file", "Save", "counted.toml")
    data = tomllib.loads((folder / "counted.toml").read_text(encoding="utf-8"))
    assert data["log"]["counting"] == {"running_from": "power", "window": 20, "stretch": 5}
    assert data["readings"]["return"]["log"] == "../../data/clinic/loggers/before_air.csv"
    saved = airside.load_visit(folder / "counted.toml")
    assert saved.readings == counted(log, stretch=5, window=20).standing.readings
    panel.load(AFTER)
    panel.load("counted.toml")
    expect(panel.field(STRETCH)).to_have_value("5")
    panel.says(sentence(saved))
    # The report names the visit file and the logger files.
    panel.write("Report", "Write report", "logged.html")
    report = (folder / "logged.html").read_text(encoding="utf-8")
    assert "counted.toml" in report and "loggers/before_unit.csv" in report and "stretch 5 of" in report


def test_by_the_keyboard_alone(lab, panel, log, folder):
    # A page of its own, in which no mouse has been.
    lab.open(NOTEBOOK)
    keys, page = Keyboard(lab.page), lab.page
    keys.to_first_code_cell()
    keys.press("Shift+Enter")
    page.locator(".airside-panel").wait_for()
    keys.tab_to(STRETCH)
    keys.replace("7")
    keys.press("Enter")
    panel.says(sentence(log.visit(7)))
    keys.tab_to("Later")
    keys.press("Enter")
    panel.says(sentence(log.visit(8)))
    keys.tab_to(START)
    keys.replace("20")
    keys.press("Enter")
    later = counted(log, stretch=8, after_start=20)
    panel.says(sentence(later.standing))
    keys.tab_to("IP", back=True)
    keys.press("Enter")
    panel.says(sentence(later.standing, "IP"))
    keys.tab_to("Undo")
    keys.press("Space")
    panel.says(sentence(later.standing))
    keys.tab_to("Visit file")
    keys.replace("by_keys_logged.toml")
    keys.tab_to("Save")
    keys.press("Enter")
    expect(panel.message).to_have_text("Saved by_keys_logged.toml.")
    assert sentence(airside.load_visit(folder / "by_keys_logged.toml")) == sentence(later.standing)
