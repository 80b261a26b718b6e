"""The report of logged visits: that they are logged, which stretch, what was set aside, files with hashes, the picture."""

import hashlib
import re
from pathlib import Path

import pytest
from report_page import Page, plain

import airside
from airside.show.panels import LoggedData, panel
from airside.show.report import report_html
from airside.visit.convert import visit_data
from airside.visit.logs.logged_visit import load_logged
from airside.visit.write import visit_text

DATA = Path(__file__).parents[2] / "data"
BEFORE, AFTER = (DATA / "clinic" / f"{n}.toml" for n in ("before", "after"))
TYPED = DATA / "bakery" / "before.toml"


@pytest.fixture(scope="module")
def logs():
    return [load_logged(f) for f in (BEFORE, AFTER)]


@pytest.fixture(scope="module")
def page(logs):
    return Page(report_html(*(log.standing for log in logs), count=2000, time_stamp="none"))


def table(page, row):
    (found,) = [t for t in page.tables if any(r and r[0] == row for r in t.rows)]
    return found


def test_it_says_which_stretch_stands_and_what_was_set_aside(page, logs):
    facts = table(page, "Stretch that stands for the visit")
    stretches = [log.standing.stretch for log in logs]
    assert [plain(v) for v in facts.row("Stretch that stands for the visit")] == [s.place for s in stretches]
    for said, log in zip(facts.row("Rows in no stretch, by reason"), logs, strict=True):
        counts = {reason: int(n.replace(",", "")) for n, reason in re.findall(r"([\d,]+) ([a-z -]+)(?:,|$)", plain(said).split(": ")[1])}  # fmt: skip
        assert counts == log.stretches.set_aside
        # Every row is in a stretch or has its reason.
        assert sum(counts.values()) + len(log) * log.stretches.rows == log.stretches.minutes
        assert plain(said).startswith(f"{sum(counts.values()):,} of {log.stretches.minutes:,} rows of 120 s")
    assert any("steady" in w and "stands for the visit" in w for w in page.words["p"])


def test_channels_gaps_and_sentinels_are_listed(page, logs):
    for name, log in zip(("before", "after"), logs, strict=True):
        (found,) = [t for t in page.tables if t.caption == f"Logged channels, {name} the work"]
        assert [r[1] for r in found.rows[1:]] == [r.file for r in log.log.records]
        assert [r[2] for r in found.rows[1:]] == [r.column for r in log.log.records]
    items = [plain(i) for i in page.words["li"]]
    assert "Before: loggers/before_air.csv, all channels: 2026-07-08 10:18:00 to 2026-07-08 11:00:00." in items
    assert any("no value" in i and "999" in i and i.startswith("After: loggers/after_unit.csv") for i in items)


def test_logger_files_stand_with_their_hashes(page):
    files = {r[0]: r[1:] for t in page.tables if t.caption == "Files" for r in t.rows}
    assert files["before.toml"] == ["before visit", hashlib.sha256(BEFORE.read_bytes()).hexdigest()]
    for name in ("before_air", "before_unit", "after_air", "after_unit"):
        raw = (BEFORE.parent / "loggers" / f"{name}.csv").read_bytes()
        assert files[f"loggers/{name}.csv"] == ["logger file", hashlib.sha256(raw).hexdigest()]


def test_each_week_is_drawn_and_the_page_stays_small(page, logs):
    pictures = [a["aria-label"] for t, a in page.elements if t == "svg"]
    drawn = [p for p in pictures if p.startswith("Logged channels over time")]
    assert [log.standing.stretch.place in p for p, log in zip(drawn, logs, strict=True)] == [True, True]
    assert len(report_html(logs[0].standing, count=1000, time_stamp="none", logs=logs[:1])) < 500_000


def test_the_same_visits_give_the_same_bytes_with_their_logs_or_without(logs):
    given, read = (report_html(logs[0].standing, count=1000, time_stamp="none", logs=known) for known in (logs[:1], ()))
    assert given == read


def test_typed_visits_have_no_such_section():
    page = Page(report_html(airside.load_visit(TYPED), count=1000, time_stamp="none"))
    assert not any("Logged data" in h for h in page.words["h2"])


def test_a_typed_and_a_logged_visit_say_which_is_which(logs, tmp_path):
    # The stretch's readings, typed.
    typed = tmp_path / "typed.toml"
    typed.write_text(visit_text(visit_data(logs[0].standing)), encoding="utf-8")
    page = Page(report_html(airside.load_visit(typed), logs[1].standing, count=1000, time_stamp="none"))
    facts = table(page, "Stretch that stands for the visit")
    assert plain(facts.row("Its run")[0]) == "typed readings"
    assert sum(t.caption.startswith("Logged channels") for t in page.tables) == 1


def test_a_stretch_chosen_in_the_panel_is_put_at_the_end_as_its_file(tmp_path, monkeypatch):
    monkeypatch.setattr(panel.Panel, "draws", 500)
    monkeypatch.setattr(panel, "figure_bytes", lambda *_, **__: b"")
    found = LoggedData(BEFORE)
    found.save_report(tmp_path / "same.html")
    same = Page((tmp_path / "same.html").read_text(encoding="utf-8"))
    assert "pre" in same.words and not any("log.counting" in w for w in same.words["pre"])
    found.inputs.fields["log.counting.stretch"].box.value = "3"
    found.save_report(tmp_path / "chosen.html")
    chosen = Page((tmp_path / "chosen.html").read_text(encoding="utf-8"))
    (text,) = [w for w in chosen.words["pre"] if "[log.counting]" in w]
    assert "stretch = 3" in text and "loggers/before_air.csv" in text
    # What stands there, saved beside the logger files, gives the same stretch again.
    assert any(
        "chosen in a panel" in str(cell) for t in chosen.tables if t.caption == "Files" for r in t.rows for cell in r
    )
