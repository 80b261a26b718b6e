"""The long-run panel in a real browser: verdict, ticks, season, units, other periods, report, settings, keyboard."""

from __future__ import annotations

import tomllib

import pytest

from airside.compare.long_run import long_run

expect = pytest.importorskip("playwright.sync_api").expect
from lab_keyboard import Keyboard  # noqa: E402

NOTEBOOK = "notebooks/workbench/long_run.ipynb"
BEFORE, AFTER = "../../data/clinic/before.toml", "../../data/clinic/after.toml"
BINS = "../../data/clinic_season.csv"
BINS_BOX, PRICE_BOX = "Bins of a season", "Price of a kWh"


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the demo's two weeks."""
    panel.load(AFTER, "After file")
    panel.load(BEFORE, "Before file")


@pytest.fixture
def of(server):
    """What the library finds of the server's copies, with settings."""

    def find(before="before.toml", after="after.toml", **settings):
        clinic = server.top / "data" / "clinic"
        return long_run(clinic / before, clinic / after, **settings)

    return find


def changed_by(found, units="SI"):
    """The change in total capacity, as a key figure has it."""
    return next(r.text(units) for r in found.rows() if r.name == "change_total")


def test_it_opens_with_the_librarys_verdict(panel, of, lab, artefacts):
    found = of()
    panel.says(found.verdict)
    panel.shows("Change in total capacity", changed_by(found))
    panel.shows("R² of the baseline", f"{found.baselines['total'].r_squared:.2f}")
    panel.shows("Stretches after, used", str(len(found.after) - found.set_apart))
    baseline = panel.open_fold("Baseline and its ranges")
    for term in found.baselines["total"].terms.used:
        expect(baseline).to_contain_text(found.baselines["total"].slope_text(term, "SI"))
    panel.open_fold("Parts of the doubt, and the days")
    panel.open_fold("Assumptions and warnings")
    lab.picture(artefacts / "panels" / "long_run-folds.png", panel.root)
    for heading in ("Baseline and its ranges", "Parts of the doubt, and the days", "Assumptions and warnings"):
        panel.press_fold(heading)


def test_a_tick_leaves_a_condition_out_and_undo_brings_it_back(panel, of):
    before = panel.content()
    panel.field("return wet bulb").check()
    panel.says(of(without=["return_wet_bulb"]).verdict)
    before = panel.new_picture(before)
    expect(panel.left).to_contain_text("Return wet bulb is left out of the baseline, as asked")
    panel.field("outdoor dry bulb").check()
    panel.says(of(without=["return_wet_bulb", "outdoor_dry_bulb"]).verdict)
    panel.new_picture(before)
    panel.press("Undo")
    panel.press("Undo")
    panel.says(of().verdict)
    expect(panel.field("return wet bulb")).not_to_be_checked()


def test_a_season_is_named_and_what_is_wrong_is_marked(panel, of, lab, artefacts, server):
    good = panel.head.inner_text()
    panel.type(PRICE_BOX, "0.18 EUR")
    panel.is_greyed()
    expect(panel.wrong).to_contain_text("goes with a season")
    panel.type(BINS_BOX, "nowhere.csv")
    expect(panel.wrong).to_contain_text("cannot be read")
    panel.type(BINS_BOX, BINS)
    panel.is_greyed(False)
    expect(panel.wrong).to_have_count(0)
    found = of(bins=server.top / "data" / "clinic_season.csv", price="0.18 EUR")
    panel.shows("Cost saved for the same heat", f"{found.cost('energy_saved'):.2f} EUR")
    expect(panel.open_fold("The season by temperature bins")).to_contain_text(found.season_sentences()[-1])
    lab.picture(artefacts / "panels" / "long_run-season.png", panel.root)
    panel.press_fold("The season by temperature bins")
    for _ in range(3):
        panel.press("Undo")
    expect(panel.head).to_have_text(good, use_inner_text=True)


def test_units_switch_in_place(panel, of):
    fold = panel.open_fold("Baseline and its ranges")
    expect(fold).to_contain_text("°C")
    before = panel.content()
    panel.press("IP")
    panel.new_picture(before)
    expect(fold).to_contain_text("°F")
    expect(fold).not_to_contain_text("°C")
    panel.says(of().verdict)
    panel.press("SI")
    expect(fold).to_contain_text("°C")
    panel.press_fold("Baseline and its ranges")


def test_other_periods_are_brought_in_and_a_typed_visit_is_refused(panel, server):
    # The week before as two periods, in which nothing was changed.
    clinic = server.top / "data" / "clinic"
    text = (clinic / "before.toml").read_text(encoding="utf-8")
    for name, ends in (("early", 'last = "2026-07-07"'), ("late", 'first = "2026-07-08"')):
        folder = clinic / name
        folder.mkdir(exist_ok=True)
        own = text.replace("window = 30", f"window = 30\n{ends}").replace('"loggers/', '"../loggers/')
        (folder / "visit.toml").write_text(own, encoding="utf-8")
    panel.load("../../data/clinic/early/visit.toml", "Before file")
    # A folder is a period too.
    panel.load("../../data/clinic/late", "After file")
    found = long_run(clinic / "early" / "visit.toml", clinic / "late")
    panel.says(found.verdict)
    panel.shows("Stretches before", str(len(found.before)))
    expect(panel.root).to_contain_text("The after period is a folder of 1 visit file")
    row = panel.row("After file")
    row.get_by_role("textbox").fill("../../data/bakery/after.toml")
    panel.press("Load", row)
    expect(panel.message).to_contain_text("names no logger file")
    panel.says(found.verdict)


def test_report_and_settings_are_written_and_read_back(panel, folder, of, server):
    panel.field("return wet bulb").check()
    panel.type(BINS_BOX, BINS)
    verdict = of(without=["return_wet_bulb"]).verdict
    panel.says(verdict)
    panel.write("Report", "Write report", "periods.html")
    report = (folder / "periods.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert verdict in report and "before_unit.csv" in report and "http-equiv" in report
    panel.write("Before file", "Save", "before_with_settings.toml")
    data = tomllib.loads((folder / "before_with_settings.toml").read_text(encoding="utf-8"))
    assert data["panel"]["long_run"]["without_return"] is True and data["panel"]["long_run"]["bins"] == BINS
    assert data["readings"]["return"]["log"] == "../../data/clinic/loggers/before_air.csv"
    panel.load(BEFORE, "Before file")
    expect(panel.field("return wet bulb")).not_to_be_checked()
    expect(panel.field(BINS_BOX)).to_have_value("")
    panel.load("before_with_settings.toml", "Before file")
    panel.says(verdict)
    expect(panel.field("return wet bulb")).to_be_checked()
    expect(panel.field(BINS_BOX)).to_have_value(BINS)


def test_by_the_keyboard_alone(lab, panel, of, folder):
    # A page of its own, in which no mouse has been.
    lab.open(NOTEBOOK)
    keys, page = Keyboard(lab.page), lab.page
    keys.to_first_code_cell()
    keys.press("Shift+Enter")
    page.locator(".airside-panel").wait_for()
    panel.says(of().verdict)
    keys.tab_to("return wet bulb")
    keys.press("Space")
    panel.says(of(without=["return_wet_bulb"]).verdict)
    keys.tab_to(BINS_BOX)
    keys.replace(BINS)
    keys.press("Enter")
    panel.shows("Change in total capacity", changed_by(of(without=["return_wet_bulb"])))
    keys.tab_to("Undo", back=True)
    keys.press("Space")
    keys.tab_to("Report")
    keys.replace("by_keys_periods.html")
    keys.tab_to("Write report")
    keys.press("Enter")
    expect(panel.message).to_have_text("Saved by_keys_periods.html.")
    assert (folder / "by_keys_periods.html").exists()
