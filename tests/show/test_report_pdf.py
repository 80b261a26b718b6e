"""The report as PDF: the same bytes each time, readable text, and a sentence where what it needs is missing."""

from __future__ import annotations

import builtins
import re
import sys
from pathlib import Path

import pytest
from report_page import Page

import airside
from airside.errors import OutputError
from airside.show.report import check_pdf, report_bytes, report_html
from airside.visit.load import load_visit

DATA = Path(__file__).parents[2] / "data"
STAMP = {"time_stamp": "2026-11-24 10:00"}


@pytest.fixture(scope="module")
def weasyprint():
    try:
        return check_pdf()
    except OutputError as error:
        pytest.skip(str(error))


@pytest.fixture(scope="module")
def change():
    return airside.compare(*(load_visit(DATA / "reading_room" / f"{n}.toml") for n in ("before", "after")), count=2000)


def test_the_same_report_is_the_same_pdf(weasyprint, change):
    first, again = (report_bytes(change, form="pdf", **STAMP) for _ in range(2))
    assert first == again and first.startswith(b"%PDF-")
    assert b"CreationDate" not in first and b"ModDate" not in first
    assert len(first) < 1_000_000


def test_the_pages_are_of_the_page(weasyprint, change):
    text = report_html(change, **STAMP)
    pages = weasyprint.HTML(string=text).render().pages
    # What a demo pair needs, with its appendix; more would be empty space.
    assert 8 <= len(pages) <= 11
    # A4; every page but the last holds something, and nothing stands beside the page.
    for page in pages:
        assert (round(page.width / 96 * 25.4), round(page.height / 96 * 25.4)) == (210, 297)
    # The customer's page is the first alone, the engineer's begin on the second.
    words = [_words(page) for page in pages]
    assert Page(text).words["h1"][0] in words[0] and "1. Verdict" not in words[0]
    assert "1. Verdict" in words[1] and any("17. Signature" in w for w in words[-2:])
    assert "Appendix. All readings" in " ".join(words[-2:])


def test_nothing_runs_out_of_the_page(weasyprint):
    text = (DATA / "reading_room" / "before.toml").read_text(encoding="utf-8")
    from airside.visit.load import parse_visit

    text = text.replace("duct_probe_1", "p" * 300).replace("Public library, reading room", "s" * 500)
    visit = parse_visit(text, path=DATA / "reading_room" / "before.toml")
    for page in weasyprint.HTML(string=report_html(visit, count=2000, **STAMP)).render().pages:
        for box in _boxes(page._page_box):
            if getattr(box, "text", "").strip():
                assert box.position_x + box.width <= page.width - 30, box.text[:60]


def _boxes(box):
    yield box
    for child in getattr(box, "children", ()):
        yield from _boxes(child)


def _words(page):
    return re.sub(r"\s+", " ", " ".join(b.text for b in _boxes(page._page_box) if hasattr(b, "text")))


def test_nothing_is_fetched(weasyprint, monkeypatch):
    from urllib.request import OpenerDirector

    from airside.show.report.pdf import pdf_bytes

    opened = []
    monkeypatch.setattr(OpenerDirector, "open", lambda self, url, *_, **__: opened.append(url))
    loads = (
        '<img src="https://example.invalid/x.png"><link rel=stylesheet href="file:///etc/hostname"><img src="data:,x">'
    )
    assert pdf_bytes(f"<html><body>{loads}text</body></html>").startswith(b"%PDF-")
    assert opened == []


def test_without_weasyprint_the_sentence_says_what_to_install(monkeypatch, change):
    real = builtins.__import__

    def without(name, *arguments, **options):
        if name == "weasyprint":
            raise ImportError(name)
        return real(name, *arguments, **options)

    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(OutputError) as found:
        report_bytes(change, form="pdf", **STAMP)
    said = str(found.value)
    assert "needs WeasyPrint" in said and "pip install 'airside[report]'" in said and "libpango-1.0-0" in said
    assert said.count(". ") == 0


def test_without_pango_the_sentence_names_it(monkeypatch):
    real = builtins.__import__

    def without(name, *arguments, **options):
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *arguments, **options)

    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(OutputError, match="needs the library Pango"):
        check_pdf()
