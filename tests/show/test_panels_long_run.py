"""The long-run panel: what the library finds, settings without reading again, season, files and folders, undo, marks.

Every figure is held against `airside.compare.long_run.long_run`, whose own checks are in tests/compare.
"""

import os
import re
import shutil
import tomllib
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.compare.long_run import long_run
from airside.errors import AirsideError, OutputError
from airside.show.panels import LongRunPanel, panel, period_form
from airside.show.panels.long_run import BASELINE, DOUBT, SEASON
from airside.show.report import check_pdf

DATA = Path(__file__).parents[2] / "data"
BEFORE, AFTER = (DATA / "clinic" / f"{n}.toml" for n in ("before", "after"))
BINS = DATA / "clinic_season.csv"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(panel, "figure_bytes", lambda figure, form, **_: f"picture {form}".encode())


@pytest.fixture
def found():
    return LongRunPanel(BEFORE, AFTER)


def said(found):
    return found.frame.head.value.replace("&nbsp;", " ")


def test_it_says_what_the_library_finds(found):
    expected = long_run(BEFORE, AFTER)
    assert found.found.verdict == expected.verdict and expected.verdict in said(found)
    figures = {name: rest for name, *rest in found.shown.figures}
    rows = {r.name: r for r in expected.rows()}
    for title, name in (
        ("Change in total capacity", "change_total"), ("Change in power", "change_power"), ("Change in efficiency", "change_efficiency"),
    ):  # fmt: skip
        assert figures[title] == [rows[name].text("SI"), rows[name].interval_text("SI")]
    base = expected.baselines["total"]
    assert figures["R² of the baseline"] == [f"{base.r_squared:.2f}"]
    assert figures["CV(RMSE)"] == [f"{base.cv_rmse * 100:.1f} %"]
    assert figures["Stretches before"] == [str(len(expected.before)), f"{len(expected.before.days)} days"]
    kept = len(expected.after) - expected.set_apart
    assert figures["Stretches after, used"] == [str(kept), f"{expected.set_apart} set apart"]
    assert {w.message for w in found.shown.warnings} == {w.message for w in expected.warnings}
    table = found.tables[BASELINE].value
    for term in base.terms.used:
        assert base.slope_text(term, "SI") in table
    # Every assumption is in one of the folds.
    shown = unescape(found.frame.assumptions.value + table)
    for sentence in expected.assumptions("SI"):
        if not sentence.startswith(("Fit of", "Slope of", "Range of")):
            assert shown.count(sentence) == 1
    assert found.left_out.value.count("<div") == len(base.terms.left_out)
    assert "placement" in found.tables[DOUBT].value and expected.days[0].day in found.tables[DOUBT].value
    assert "No season is stated" in found.tables[SEASON].value


def test_no_part_of_a_file_is_shown_as_an_instruments_name(found):
    (message,) = [w.message for w in found.shown.warnings if w.code == "other_instruments"]
    assert message.startswith("Instruments differ: without a name, so taken to be different ones: barometer.")


def test_settings_are_changed_without_reading_again(found, monkeypatch):
    monkeypatch.setattr(period_form, "load_logged", lambda *_: pytest.fail("read again"))
    monkeypatch.setattr(period_form, "period_of", lambda *_: pytest.fail("read again"))
    first = said(found)
    found.ticks["without_return"].box.value = True
    assert found.found.verdict == long_run(BEFORE, AFTER, without=["return_wet_bulb"]).verdict
    assert "Return wet bulb is left out of the baseline, as asked" in found.left_out.value
    found.ticks["without_outdoor"].box.value = True
    found.ticks["without_airflow"].box.value = True
    assert found.found.baselines["total"].terms.used == ()
    assert found.found.verdict == long_run(BEFORE, AFTER, without=found.without).verdict
    for _ in range(3):
        found.undo()
    assert said(found) == first and found.without == () and found.undo_button.disabled


def test_a_season_gives_heat_energy_and_cost(found):
    found.bins.box.value = str(BINS)
    found.price.box.value = "0.18 EUR"
    expected = long_run(BEFORE, AFTER, bins=BINS, price="0.18 EUR")
    figures = {name: rest for name, *rest in found.shown.figures}
    rows = {r.name: r for r in expected.rows()}
    assert figures["Energy saved for the same heat"] == [
        rows["energy_saved"].text("SI"), rows["energy_saved"].interval_text("SI"),
    ]  # fmt: skip
    cost, interval = figures["Cost saved for the same heat"]
    assert cost == f"{expected.cost('energy_saved'):.2f} EUR"
    assert f"{cost} saved, 95 % interval {interval}." in expected.season_sentences()[-1]
    for sentence in expected.season_sentences():
        assert sentence in unescape(found.tables[SEASON].value)
    found.units_choice.value = "IP"
    assert rows["heat_after"].text("IP") in found.tables[SEASON].value


def test_units_are_those_shown_and_the_figure_stays(found):
    first = said(found)
    found.units_choice.value = "IP"
    assert "°F" in found.tables[BASELINE].value and "cfm" in found.left_out.value
    assert "°C" not in found.tables[BASELINE].value + found.frame.assumptions.value
    assert said(found) == first
    found.units_choice.value = "SI"
    assert "°F" not in found.tables[BASELINE].value + found.frame.assumptions.value


@pytest.mark.parametrize(
    ("changes", "marked", "says"),
    [
        ({"bins": "nowhere.csv"}, "bins", "cannot be read"),
        ({"bins": "season.docx"}, "bins", "cannot be read"),
        ({"price": "0.18 EUR"}, "price", "goes with a season"),
        ({"bins": str(BINS), "price": "cheap"}, "price", "is not a price"),
        ({"bins": str(BINS), "without_outdoor": True}, None, "A season by outdoor temperature needs a baseline"),
    ],
)
def test_what_is_wrong_is_said_and_the_last_good_result_stays(found, changes, marked, says):
    figures = found.frame.figures.value
    for key, value in changes.items():
        found.settings[key].box.value = value
    assert found.frame.is_stale
    if marked is None:
        assert says in said(found) and "--" not in said(found)
    else:
        assert says in found.settings[marked].said
    with pytest.raises(OutputError, match="Mend what is marked"):
        found.save_report("never.html")
    for _ in changes:
        found.undo()
    assert not found.frame.is_stale and found.frame.figures.value == figures
    assert not any(f.said for f in (found.bins, found.price))


def test_periods_in_the_wrong_order_are_said_and_mended_by_loading(found):
    found.load(AFTER, "before")
    found.load(BEFORE, "after")
    assert found.frame.is_stale and "Swap the two" in said(found)
    found.load(BEFORE, "before")
    found.load(AFTER, "after")
    assert not found.frame.is_stale


def test_settings_are_saved_in_the_before_visit_file_and_read_back(found, tmp_path):
    found.bins.box.value = os.path.relpath(BINS)
    found.price.box.value = "0.2 EUR"
    found.ticks["without_airflow"].box.value = True
    (tmp_path / "deep").mkdir()
    file = found.save(tmp_path / "deep" / "saved.toml")
    came, saved = (tomllib.loads(Path(f).read_text(encoding="utf-8")) for f in (BEFORE, file))
    table = saved.pop("panel")["long_run"]
    assert table["without_airflow"] is True and table["without_outdoor"] is False and table["price"] == "0.2 EUR"
    assert (file.parent / table["bins"]).samefile(BINS)
    assert (file.parent / saved["readings"]["return"]["log"]).samefile(
        BEFORE.parent / came["readings"]["return"]["log"]
    )
    for part in ("log", "instruments", "side_by_side", "site", "system", "fan"):
        assert saved[part] == came[part]
    # The command line takes the file as it took the first one.
    assert long_run(file, AFTER).verdict == long_run(BEFORE, AFTER).verdict
    again = LongRunPanel(file, AFTER)
    # From another folder the logger files have longer names, in what is said of their clocks too.
    assert re.sub(r"[^ ;]*loggers/", "loggers/", said(again)) == said(found) and again.without == ("volume_flow",)
    assert Path(again.bins.value()).samefile(BINS) and again.price.value() == "0.2 EUR"
    # A before period without settings begins with none.
    again.load(BEFORE, "before")
    assert again.without == () and again.bins.value() is None
    saved_after = found.save(tmp_path / "after.toml", "after")
    assert "panel" not in tomllib.loads(saved_after.read_text(encoding="utf-8"))


def test_a_setting_that_cannot_be_is_refused_and_the_panel_stays(found, tmp_path):
    file = found.save(tmp_path / "odd.toml")
    text = file.read_text(encoding="utf-8").replace("without_airflow = false", "without_airflow = 3")
    file.write_text(text, encoding="utf-8")
    before = said(found)
    with pytest.raises(AirsideError, match="expected true or false"):
        found.load(file, "before")
    assert said(found) == before and found.periods["before"].file == BEFORE


@pytest.fixture
def days(tmp_path):
    """The week before as a folder of two visit files: two days and three."""
    folder = tmp_path / "before"
    folder.mkdir()
    shutil.copytree(BEFORE.parent / "loggers", folder / "loggers")
    text = BEFORE.read_text(encoding="utf-8")
    for name, ends in (("first", 'last = "2026-07-07"'), ("second", 'first = "2026-07-08"')):
        (folder / f"{name}.toml").write_text(text.replace("window = 30", f"window = 30\n{ends}"), encoding="utf-8")
    return folder


def test_a_folder_is_a_period(days, tmp_path):
    found = LongRunPanel(days, AFTER)
    assert found.found.verdict == long_run(days, AFTER).verdict
    assert len(found.found.before.visits) == 2
    assert "folder of 2 visit files; its settings are saved in first.toml" in found.files.kept.value
    found.ticks["without_return"].box.value = True
    # A third file in the folder would count stretches twice.
    with pytest.raises(OutputError, match=r"first\.toml, with the tick"):
        found.save(days / "third.toml")
    with pytest.raises(OutputError, match="exists"):
        found.save(days / "first.toml")
    found.save(days / "first.toml", replace=True)
    again = LongRunPanel(days, AFTER)
    assert again.without == ("return_wet_bulb",) and said(again) == said(found)


def test_what_is_no_period_is_refused(found, tmp_path):
    before = said(found)
    for file, says in (
        (DATA / "bakery" / "before.toml", "names no logger file"),
        (DATA / "bakery", "no file in the folder names logger files"),
        (tmp_path, "holds no visit file"),
        (tmp_path / "nowhere.toml", "nowhere.toml"),
    ):
        with pytest.raises(AirsideError, match=says):
            found.load(file, "after")
    assert said(found) == before and not found.frame.is_stale


def test_the_report_and_the_picture_are_of_the_settings(found, tmp_path):
    found.ticks["without_return"].box.value = True
    report = found.save_report(tmp_path / "report.html").read_text(encoding="utf-8")
    # A number and its percent sign stay on one line.
    assert long_run(BEFORE, AFTER, without=["return_wet_bulb"]).verdict in report.replace("\u00a0", " ")
    for name in ("before.toml", "after_unit.csv"):
        assert name in report
    # Who signs sees which rows count, what the instruments are worth, and how the figures come again.
    plain = unescape(report).replace("\u00a0", " ")
    for words in ("2,718 of 3,603 rows", "Instruments, the same in both periods", "± 0.3 K (limit)", "Measured by",
                  f"Made with airside {airside.__version__}", "--without return_wet_bulb", "clock_offset = 403"):  # fmt: skip
        assert words in plain, words
    assert found.save_picture(tmp_path / "picture.svg").read_text(encoding="utf-8") == "picture svg"
    with pytest.raises(OutputError, match=r"\.html"):
        found.save_report(tmp_path / "report.docx")


def test_the_report_as_pdf(found, tmp_path):
    try:
        check_pdf()
    except OutputError as error:
        pytest.skip(str(error))
    content = found.save_report(tmp_path / "report.pdf").read_bytes()
    assert content.startswith(b"%PDF-") and len(content) > 20_000


def test_a_blank_panel_asks_for_periods_and_has_nothing_to_write(tmp_path):
    blank = LongRunPanel()
    assert "Load the before and the after period below" in said(blank)
    blank.load(BEFORE, "before")
    assert "Load the after period below" in said(blank)
    with pytest.raises(airside.AirsideError, match="nothing to write"):
        blank.save(tmp_path / "nothing.toml", "after")
    with pytest.raises(airside.AirsideError, match="no result yet"):
        blank.save_report(tmp_path / "nothing.html")
    assert list(tmp_path.iterdir()) == []


def test_empty_takes_everything_away_and_undo_brings_it_back(found):
    before = said(found)
    found.ticks["without_airflow"].box.value = True
    found.files.new_button.click()
    assert "Load the before and the after period" in said(found) and found.found is None
    assert all(t.value == "" for t in (*found.tables.values(), found.left_out)) and found.without == ()
    found.undo()
    found.undo()
    assert said(found) == before and found.tables[BASELINE].value


def test_names_from_files_are_escaped(tmp_path):
    shutil.copytree(BEFORE.parent / "loggers", tmp_path / "loggers")
    text = BEFORE.read_text(encoding="utf-8")
    odd = text.replace("Clinic waiting", "<i>Clinic</i> waiting").replace('"probe_1"', '"<b>probe</b>"')
    odd = odd.replace("[instruments.probe_1]", '[instruments."<b>probe</b>"]')
    (tmp_path / "odd.toml").write_text(odd, encoding="utf-8")
    (tmp_path / "bins.csv").write_text(BINS.read_text(encoding="utf-8").replace("Cooling", "<u>Cooling</u>"))
    found = LongRunPanel(tmp_path / "odd.toml", AFTER)
    found.bins.box.value = str(tmp_path / "bins.csv")
    assert "&lt;u&gt;Cooling" in found.tables[SEASON].value and "&lt;b&gt;probe" in found.frame.assumptions.value
    frame = found.frame
    for part in (frame.head, frame.figures, frame.assumptions, *found.tables.values(), found.files.kept):
        assert not any(tag in part.value for tag in ("<i>Clinic", "<b>probe", "<u>Cooling"))
