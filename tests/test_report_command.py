"""`airside report` and `--csv`: what they write, what they refuse, and that the package holds what they need."""

from __future__ import annotations

import csv
import hashlib
import html
import importlib.util
import os
import re
import shlex
import shutil
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

import airside
from airside.show.report import report_bytes

DATA = Path(__file__).parents[1] / "data"
BEFORE, AFTER = (str(DATA / "reading_room" / f"{n}.toml") for n in ("before", "after"))
FEW = ("--draws", "2000")
STAMP = ("--time-stamp", "2026-11-24 10:00")
TEMPLATES = ("report.html.jinja", "blocks.html.jinja", "report.css")
HAS_PDF = importlib.util.find_spec("weasyprint") is not None


@pytest.fixture
def out(tmp_path):
    return tmp_path / "report.html"


def test_the_file_is_what_the_library_gives(run, out):
    status, said, err = run("report", BEFORE, AFTER, "--out", out, *FEW, *STAMP)
    assert (status, err) == (0, "") and said == f"Report: {out}\n"
    visits = [airside.load_visit(f) for f in (BEFORE, AFTER)]
    assert out.read_bytes() == report_bytes(*visits, count=2000, time_stamp="2026-11-24 10:00")


def test_one_visit(run, out):
    assert run("report", BEFORE, "--out", out, "--units", "SI", *FEW, *STAMP)[0] == 0
    visit = airside.load_visit(BEFORE)
    assert out.read_bytes() == report_bytes(visit, units="SI", count=2000, time_stamp="2026-11-24 10:00")


@pytest.mark.parametrize(
    ("options", "heading"),
    [
        (("--reference", "after"), "At the same conditions (conditions of the after visit: 61.2 °F"),
        (("--reference", "A"), "At the same conditions (rating condition A of 10 CFR 430: 67.0 °F"),
        (
            ("--reference", "stated", "--return-wet-bulb", "63 degF", "--outdoor-dry-bulb", "90 degF"),
            "At the same conditions (stated conditions: 63.0 °F return wet bulb, 90.0 °F outdoors)",
        ),
    ],
)
def test_options_are_those_of_compare(run, out, options, heading):
    assert run("report", BEFORE, AFTER, *options, "--out", out, *FEW, *STAMP)[0] == 0
    text = html.unescape(out.read_text(encoding="utf-8")).replace("\u00a0", " ")
    assert heading in text
    _, said, _ = run("compare", BEFORE, AFTER, *options, "--json", *FEW)
    assert re.findall(r'"verdict": "(.*)"', said)[0] in text


def test_the_command_line_in_the_report_makes_the_same_report(run, tmp_path, monkeypatch):
    shutil.copytree(DATA / "reading_room", tmp_path / "visits")
    options = (
        "--reference",
        "stated",
        "--return-wet-bulb",
        "17.3 degC",
        "--outdoor-dry-bulb",
        "32.1 degC",
        "--same-flow",
    )
    first = tmp_path / "first.html"
    arguments = (tmp_path / "visits" / "before.toml", tmp_path / "visits" / "after.toml")
    assert run("report", *arguments, *options, "--seed", "9", "--out", first, *FEW, *STAMP)[0] == 0
    command = shlex.split(html.unescape(re.findall(r"<pre>(.*?)</pre>", first.read_text(encoding="utf-8"))[0]))
    assert command[0] == "airside"
    monkeypatch.chdir(tmp_path / "visits")
    assert run(*command[1:], *STAMP)[0] == 0
    assert (tmp_path / "visits" / "report.html").read_bytes() == first.read_bytes()


def test_apart_it_is_the_same_to_the_byte(run, out, tmp_path):
    assert run("report", BEFORE, AFTER, "--out", out, *FEW, *STAMP)[0] == 0
    other = tmp_path / "other.html"
    command = [sys.executable, "-m", "airside.cli", "report", BEFORE, AFTER, "--out", str(other), *FEW, *STAMP]
    done = subprocess.run(
        command, capture_output=True, text=True, timeout=120, env={**os.environ, "PYTHONHASHSEED": "77"}
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert other.read_bytes() == out.read_bytes()


def test_hashes_are_those_of_the_files(run, out):
    run("report", BEFORE, AFTER, "--out", out, *FEW)
    text = out.read_text(encoding="utf-8")
    for file in (BEFORE, AFTER, DATA / "reading_room" / "fan_table.csv"):
        assert hashlib.sha256(Path(file).read_bytes()).hexdigest() in text
    assert str(DATA) not in text and str(out.parent) not in text


def test_an_existing_file_is_left_unless_told_to(run, out):
    out.write_text("mine")
    status, _, err = run("report", BEFORE, "--out", out, *FEW)
    assert status == 2 and "exists already" in err and "--force" in err and out.read_text() == "mine"
    assert run("report", BEFORE, "--out", out, "--force", *FEW)[0] == 0
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((BEFORE, "--out", "report.doc"), "the report's name ends in .doc; expected .html or .pdf."),
        ((BEFORE, "--out", "report"), "the report's name ends in nothing; expected .html or .pdf."),
        ((BEFORE, "--out", "none/report.html"), "does not exist"),
        (("none.toml",), "none.toml: there is no such file"),
        ((BEFORE, "none.toml"), "none.toml: there is no such file"),
        ((AFTER, BEFORE), "Swap the two files"),
        ((BEFORE, "--reference", "A"), "are for two visits. Name the after visit too"),
        ((BEFORE, "--same-flow"), "are for two visits. Name the after visit too"),
        ((BEFORE, "--outdoor-dry-bulb", "90 degF"), "go with --reference stated"),
        ((BEFORE, AFTER, "--reference", "C"), 'reference is "C"; expected one of'),
        ((BEFORE, AFTER, "--reference", "stated"), "needs --return-wet-bulb and --outdoor-dry-bulb"),
        ((BEFORE, "--time-stamp", "soon"), 'time stamp: "soon" is not a time.'),
    ],
)
def test_bad_input_is_one_sentence_and_writes_nothing(run, tmp_path, monkeypatch, arguments, said):
    monkeypatch.chdir(tmp_path)
    status, out, err = run("report", *arguments, *FEW)
    assert (status, out) == (2, "")
    assert err.startswith("airside: ") and err.count("\n") == 1 and said in err
    assert list(tmp_path.iterdir()) == []


def test_one_file_twice_is_refused(run, tmp_path):
    again, out = tmp_path / "again.toml", tmp_path / "report.html"
    shutil.copy(BEFORE, again)
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path)
    for second, said in ((BEFORE, "is given twice"), (str(again), f"and {again} hold the same bytes")):
        status, text, err = run("report", BEFORE, second, "--out", out, *FEW)
        assert (status, text) == (2, "") and err.count("\n") == 1 and said in err and "Name the other file" in err
    assert not out.exists()


def test_no_argument_ends_with_2(run):
    status, _, err = run("report")
    assert status == 2 and "BEFORE" in err


@pytest.mark.skipif(not HAS_PDF, reason="WeasyPrint is not installed: pip install 'airside[report]'")
def test_pdf(run, tmp_path):
    from airside.errors import OutputError
    from airside.show.report import check_pdf

    try:
        check_pdf()
    except OutputError as error:
        pytest.skip(str(error))
    target = tmp_path / "report.pdf"
    assert run("report", BEFORE, "--out", target, *FEW, *STAMP)[0] == 0
    first = target.read_bytes()
    assert first.startswith(b"%PDF-")
    assert run("report", BEFORE, "--out", target, "--force", *FEW, *STAMP)[0] == 0
    assert target.read_bytes() == first


def test_pdf_without_what_it_needs_is_one_sentence_before_any_work(run, tmp_path, monkeypatch):
    # None in sys.modules makes the import fail as if it were not installed.
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    status, out, err = run("report", "none.toml", "--out", tmp_path / "report.pdf", *FEW)
    assert (status, out) == (2, "") and err.count("\n") == 1
    assert "pip install 'airside[report]'" in err and "apt-get install libpango-1.0-0" in err


# -- csv ------------------------------------------------------------------------------------------


def read(file):
    with file.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


def test_capacity_writes_its_figures(run, tmp_path):
    target = tmp_path / "figures.csv"
    status, out, _ = run("capacity", BEFORE, "--csv", target, "--units", "SI", *FEW)
    assert status == 0 and f"Table: {target}" in out
    found = {r["name"]: r for r in read(target)}
    assert found["total"]["unit"] == "kW" and found["refrigerant_subcooling"]["unit"] == "K"
    _, said, _ = run("capacity", BEFORE, "--json", *FEW)
    import json

    content = json.loads(said)
    assert float(found["total"]["value"]) == pytest.approx(content["capacity"]["total_W"] / 1000)
    ends = [float(found["total"][n]) for n in ("lower_95", "upper_95")]
    assert ends == pytest.approx([v / 1000 for v in content["capacity"]["total_W_95"]])


def test_compare_writes_its_figures_beside_json_and_chart(run, tmp_path):
    target, chart = tmp_path / "change.csv", tmp_path / "change.svg"
    status, out, _ = run("compare", BEFORE, AFTER, "--csv", target, "--chart", chart, "--json", *FEW)
    import json

    content = json.loads(out)
    assert status == 0 and chart.exists()
    (ratio,) = [r for r in read(target) if (r["name"], r["visit"]) == ("total_at_reference", "relative change")]
    assert float(ratio["value"]) == pytest.approx(100 * content["change_at_reference"]["total_ratio"]["value"])
    status, out, _ = run("compare", BEFORE, AFTER, "--csv", target, "--force", *FEW)
    assert status == 0 and f"Table: {target}" in out


@pytest.mark.parametrize("command", [("capacity", BEFORE), ("compare", BEFORE, AFTER)])
def test_a_table_is_never_overwritten_and_ends_in_csv(run, tmp_path, command):
    target = tmp_path / "figures.csv"
    target.write_text("mine")
    status, out, err = run(*command, "--csv", target, *FEW)
    assert (status, out) == (2, "") and "--force" in err and target.read_text() == "mine"
    status, out, err = run(*command, "--csv", tmp_path / "figures.xls", *FEW)
    assert (status, out) == (2, "") and "the table's name ends in .xls; expected .csv." in err
    assert [f.name for f in tmp_path.iterdir()] == ["figures.csv"]


# -- package --------------------------------------------------------------------------------------


def test_the_template_and_its_style_are_in_the_package():
    for name in TEMPLATES:
        assert (files("airside.show.report") / name).is_file()


def test_a_wheel_holds_the_template_and_its_style(tmp_path):
    hatchling = pytest.importorskip(
        "hatchling.builders.wheel", reason="hatchling, which builds the wheel, is not installed"
    )
    import zipfile

    built = next(iter(hatchling.WheelBuilder(str(DATA.parent)).build(directory=str(tmp_path))))
    names = set(zipfile.ZipFile(built).namelist())
    assert {f"airside/show/report/{n}" for n in TEMPLATES} <= names
