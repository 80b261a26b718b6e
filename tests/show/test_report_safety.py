"""Whatever a file says stays text: in the page, in its pictures, in its title; and the page loads nothing."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from report_page import Page, plain

import airside
from airside.show.report import report_html
from airside.show.report.pictures import inline_svg, new_figure
from airside.visit.load import load_visit, parse_visit
from airside.visit.write import visit_text

DATA = Path(__file__).parents[2] / "data" / "reading_room"
FEW = {"count": 2000, "time_stamp": "2026-11-24 10:00"}
# What the template and matplotlib's pictures are made of.
HTML = {
    "html", "head", "meta", "title", "style", "body", "main", "section", "header", "p", "h1", "h2", "h3", "b", "br", "figure",
    "figcaption", "table", "colgroup", "col", "caption", "thead", "tbody", "tr", "th", "td", "span", "ul", "li", "pre",
}  # fmt: skip
SVG = {"svg", "defs", "g", "path", "use", "text", "tspan", "rect", "clippath", "image", "polygon", "circle"}
ATTRIBUTES = {
    "lang", "charset", "http-equiv", "content", "name", "class", "scope", "colspan", "style", "viewbox", "width", "height",
    "role", "aria-label", "id", "d", "clip-path", "href", "x", "y", "transform", "points", "cx", "cy", "r",
}  # fmt: skip
EVIL = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style></svg><iframe src=//evil.example></iframe>",
    "{{ 7*7 }}{% raw %}",
    "'; background:url(https://evil.example/x)",
    "&lt;b&gt; &amp; $\\frac{1}{2}$",
)


def check(text):
    """The page holds the template's elements alone, and nothing that runs or loads."""
    page = Page(text)
    for tag, attributes in page.elements:
        assert tag in HTML | SVG, tag
        assert set(attributes) <= ATTRIBUTES, (tag, attributes)
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name == "href":
                assert tag == "use" and str(value).startswith("#")
            if name == "style":
                assert re.fullmatch(r"[\w\s.,:;%#'()-]*", str(value)), value
            if "url(" in str(value):
                assert re.fullmatch(r"url\(#[\w-]+\)", str(value)), value
    (style,) = re.findall(r"<style>(.*?)</style>", text, flags=re.S)
    assert "url(" not in style and "@import" not in style and "<" not in style
    policy = [a["content"] for t, a in page.elements if t == "meta" and "http-equiv" in a]
    assert policy == ["default-src 'none'; style-src 'unsafe-inline'; img-src data:"]
    return page


def toml(text):
    """A basic string of TOML."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@pytest.fixture(scope="module")
def evil(tmp_path_factory):
    """Two visits with such a text wherever a visit may hold one, and their table under such a name."""
    folder = tmp_path_factory.mktemp("evil")
    table = "<img src=x onerror=alert(1)>.csv"
    shutil.copy(DATA / "fan_table.csv", folder / table)
    files = []
    for which in ("before", "after"):
        text = (DATA / f"{which}.toml").read_text(encoding="utf-8")
        text = re.sub(r'^name = "Reading.*$', f"name = {toml(which + EVIL[0])}", text, count=1, flags=re.M)
        words = {"measured_by": EVIL[1], "customer": EVIL[2], "work": EVIL[3], "notes": "\n".join(EVIL)}
        lines = "\n".join(f"{k} = {toml(v)}".replace("\n", "\\n") for k, v in words.items())
        text = text.replace('mode = "cooling"', f'{lines}\nmode = "cooling"')
        text = text.replace("[site]", f"[site]\nname = {toml(EVIL[0])}\naddress = {toml(EVIL[4])}")
        text = text.replace("[system]", f"[system]\ncoil = {toml(EVIL[1])}\nfilter = {toml(EVIL[5])}")
        text = text.replace('metering_device = "thermostatic valve"', f"metering_device = {toml(EVIL[0] + ' valve')}")
        text = text.replace('"fan_table.csv"', toml(table))
        text = text.replace(
            "[instruments.manometer_1]", f"[instruments.{toml(EVIL[1])}]\ndescription = {toml(EVIL[2])}"
        )
        text = text.replace('"manometer_1"', toml(EVIL[1]))
        text = text.replace("duct_probe_1]", f"{toml(EVIL[0])}]").replace('"duct_probe_1"', toml(EVIL[0]))
        files.append(folder / f"{which}.toml")
        files[-1].write_text(text, encoding="utf-8")
    return [load_visit(f) for f in files]


def test_text_of_two_visits_stays_text(evil):
    page = check(report_html(*evil, **FEW))
    assert page.words["title"] == [f"before{EVIL[0]} → after{EVIL[0]}"]
    assert page.fact("Visit") == [[f"before{EVIL[0]}", f"after{EVIL[0]}"]]
    assert page.fact("Measured by")[1] == [EVIL[1], EVIL[1]]
    assert page.fact("Customer") == [[EVIL[2]]] * 2
    assert page.fact("Work before this visit") == [[EVIL[3]] * 2]
    # A long text that is true of both visits stands once, across both columns.
    assert page.fact("Notes") == [[plain("\n".join(EVIL))]]
    assert page.fact("Coil") == [[EVIL[1]] * 2] and page.fact("Filter") == [[EVIL[5]] * 2]
    names = [r[0] for r in page.table("Instruments").rows]
    assert EVIL[0] in names and f"{EVIL[1]}: {EVIL[2]}" in names
    assert [r[0] for r in page.table("Files").rows][3] == "<img src=x onerror=alert(1)>.csv"
    assert any(EVIL[0] in str(r[0]) for r in page.table("Named errors").rows)


def test_text_of_one_visit_stays_text(evil):
    page = check(report_html(evil[0], **FEW))
    assert page.words["title"] == [f"before{EVIL[0]}"]


def test_text_of_a_typed_visit_stays_text_and_reads_back(evil):
    from airside.visit.convert import visit_data

    typed = parse_visit(visit_text(visit_data(evil[0])).replace("76.4", "76.5"), path=evil[0].path)
    page = check(report_html(typed, **FEW))
    again = parse_visit(page.words["pre"][1])
    assert (again.name, again.notes, again.customer) == (evil[0].name, evil[0].notes, evil[0].customer)
    assert list(again.instruments) == list(evil[0].instruments)


def test_every_demo_is_made_of_the_templates_elements():
    for folder in (DATA, DATA.parent / "bakery"):
        visits = [load_visit(folder / f"{n}.toml") for n in ("before", "after")]
        check(report_html(*visits, **FEW))
        check(report_html(visits[1], units="SI", **FEW))


def test_ids_do_not_collide_and_every_reference_is_met(evil):
    text = report_html(*evil, **FEW)
    ids = re.findall(r'\bid="([^"]*)"', text)
    assert len(ids) == len(set(ids)) > 5
    used = re.findall(r'url\(#([^)]*)\)|href="#([^"]*)"', text)
    assert {a or b for a, b in used} <= set(ids)
    assert {i.split("-")[0] for i in ids} == {"customer", "chart", "change"}


def test_control_characters_and_marks_of_direction_are_not_passed_on():
    text = (DATA / "before.toml").read_text(encoding="utf-8")
    text = text.replace(
        'mode = "cooling"', 'notes = "a\\u0000b\\u001b[2Jc\\u202Ed\\u2066e\\ttab\\r\\nline\\u00e9"\nmode = "cooling"'
    )
    page = report_html(parse_visit(text, path=DATA / "before.toml"), **FEW)
    for character in "\u0000\u001b\u202e\u2066\r":
        assert character not in page
    assert page.count("a\ufffdb\ufffd[2Jc\ufffdd\ufffde\ttab\ufffd\nlineé") == 1


@pytest.mark.filterwarnings("ignore:Glyph")
def test_text_in_a_picture_is_escaped_whatever_it_is():
    figure = new_figure(1.0)
    figure.text(0.1, 0.5, f"{EVIL[0]} a\u0001b --> ]]>", parse_math=False)
    svg = inline_svg(figure, "test", f"{EVIL[1]} and {EVIL[0]}")
    page = Page(f"<p>{svg}</p>")
    assert {t for t, _ in page.elements} <= SVG | {"p"}
    assert "<script" not in svg and "<style" not in svg and "<!--" not in svg
    (label,) = [a["aria-label"] for t, a in page.elements if t == "svg"]
    assert label == f"{EVIL[1]} and {EVIL[0]}"
    assert f"{EVIL[0]} a\ufffdb --> ]]>" in page.text


def test_a_long_word_and_a_long_name_are_taken():
    text = (DATA / "before.toml").read_text(encoding="utf-8")
    text = re.sub(r'^name = "Reading.*$', f'name = "{"x" * 3000}"', text, count=1, flags=re.M)
    text = text.replace("duct_probe_1", "p" * 400)
    page = check(report_html(parse_visit(text, path=DATA / "before.toml"), **FEW))
    assert page.fact("Visit") == [["x" * 3000]]
    assert "p" * 400 in {r[0] for r in page.table("Instruments").rows}


def test_the_verdict_survives_a_name_that_looks_like_a_template(evil):
    change = airside.compare(*evil, count=2000)
    assert change.verdict in plain(report_html(change, time_stamp="none"))
