"""Figures as CSV: what the library computes, in the units asked for, and nothing that a spreadsheet runs."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import airside
from airside.compare.moved import moved_rows
from airside.show.report import csv_text
from airside.show.report.figures_csv import HEADS, text_cell
from airside.units import KINDS, difference_from_inside, from_inside
from airside.visit.load import load_visit, parse_visit

DATA = Path(__file__).parents[2] / "data"
COUNT = 3000


def visit(folder, which):
    return load_visit(DATA / folder / f"{which}.toml")


@pytest.fixture(scope="module")
def result():
    return airside.analyse(visit("reading_room", "before"), count=COUNT)


@pytest.fixture(scope="module")
def explanation(result):
    return airside.explain(result.doubt)


@pytest.fixture(scope="module")
def change():
    return airside.compare(visit("reading_room", "before"), visit("reading_room", "after"), count=COUNT)


def rows(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def number(cell):
    return float(cell) if cell else None


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_one_visit_has_every_figure(result, explanation, units):
    found = {r["name"]: r for r in rows(csv_text(result, explanation, units=units))}
    wanted = list(result.rows())
    assert len(found) == len(rows(csv_text(result, explanation, units=units)))
    assert [r.name for r in wanted] == list(found)[: len(wanted)]
    for row in wanted:
        cells = found[row.name]
        assert number(cells["value"]) == pytest.approx(from_inside(row.value, row.kind, units), rel=1e-10)
        assert cells["unit"] == KINDS[row.kind].display(units).label
        assert (cells["visit"], cells["visit_name"]) == ("visit", result.visit.name)
        if row.interval is None:
            assert (cells["lower_95"], cells["upper_95"], cells["standard_uncertainty"]) == ("", "", "")
            continue
        for name, end in zip(("lower_95", "upper_95"), row.interval, strict=True):
            assert number(cells[name]) == pytest.approx(from_inside(end, row.kind, units), rel=1e-10)
        u = difference_from_inside(row.uncertainty, row.kind, units)
        assert number(cells["standard_uncertainty"]) == pytest.approx(u, rel=1e-10)
    for head, part in (("coil", explanation.coil), ("refrigerant", explanation.refrigerant)):
        assert {f"{head}_{r.name}" for r in part.rows()} <= set(found)
    assert {"expected_total", "expected_ratio", "coefficient_of_performance"} <= set(found)


def test_without_an_explanation_the_visits_own_figures_stand_alone(result):
    assert [r["name"] for r in rows(csv_text(result))] == [r.name for r in result.rows()]
    # The visit's own units are the default.
    assert rows(csv_text(result))[0]["unit"] == "Btu/h"


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_a_change_has_before_after_change_and_relative_change(change, units):
    listed = rows(csv_text(change, units=units))
    found = {(r["name"], r["visit"]): r for r in listed}
    assert len(found) == len(listed)
    for suffix, figures in (("", change.figures), ("_at_reference", change.at_reference)):
        for figure in figures.values():
            for role in ("before", "after"):
                one = getattr(figure, role)
                cells = found[figure.name + suffix, role]
                assert number(cells["value"]) == pytest.approx(from_inside(one.value, figure.kind, units), rel=1e-10)
                assert cells["visit_name"] == getattr(change, role).visit.name
            step = found[figure.name + suffix, "change"]
            ends = [difference_from_inside(v, figure.kind, units) for v in figure.change.interval_95]
            assert [number(step["lower_95"]), number(step["upper_95"])] == pytest.approx(ends, rel=1e-10)
            ratio = found[figure.name + suffix, "relative change"]
            assert (number(ratio["value"]), ratio["unit"]) == (pytest.approx(100 * figure.ratio.value, rel=1e-10), "%")
    for moved in moved_rows(change):
        cells = found[moved.name, "change"]
        assert number(cells["value"]) == pytest.approx(
            difference_from_inside(moved.change.value, moved.kind, units), rel=1e-9, abs=1e-12
        )
        assert number(found[moved.name, "before"]["value"]) == pytest.approx(
            from_inside(moved.before, moved.kind, units)
        )
    degree = {"IP": "°F", "SI": "K"}[units]
    assert found["coil_apparatus_dew_point", "change"]["unit"] == degree
    assert found["coil_apparatus_dew_point", "before"]["unit"] == {"IP": "°F", "SI": "°C"}[units]
    assert found["expected_ratio", "change"]["unit"] == "points"


def test_the_form_is_that_of_rfc_4180(change):
    text = csv_text(change)
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    assert text.splitlines()[0] == ",".join(HEADS)
    assert {len(r) for r in csv.reader(io.StringIO(text, newline=""))} == {len(HEADS)}
    assert not text.startswith("\ufeff")


def test_pandas_reads_numbers_as_numbers(change):
    frame = pd.read_csv(io.StringIO(csv_text(change)))
    assert list(frame.columns) == list(HEADS)
    assert all(frame[c].dtype == np.float64 for c in ("value", "lower_95", "upper_95", "standard_uncertainty"))
    total = frame[(frame.name == "total") & (frame.visit == "change")].iloc[0]
    assert total.lower_95 < total.value < total.upper_95
    # A number below zero stays one.
    assert (frame.value < 0).any()


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_a_text_that_begins_like_a_formula_gets_an_apostrophe(start):
    assert text_cell(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("text", ["", "plain", "a=b", "1-2", "'=1", " x", "−5"])
def test_other_texts_stay_as_they_are(text):
    assert text_cell(text) == text


@pytest.mark.parametrize("name", ["=cmd|' /C calc'!A0", "+1", "-2+3", "@SUM(A1)", '=HYPERLINK("http://x","y")'])
def test_a_visit_named_like_a_formula_starts_none(name):
    text = (DATA / "bakery" / "before.toml").read_text(encoding="utf-8")
    toml = name.replace("\\", "\\\\").replace('"', '\\"')
    text = text.replace('name = "Bakery packing room ducted unit, blower on low"', f'name = "{toml}"')
    before = parse_visit(text, path=DATA / "bakery" / "before.toml")
    assert before.name == name
    after = visit("bakery", "after")
    for found in (airside.analyse(before, count=1000), airside.compare(before, after, count=1000)):
        for row in rows(csv_text(found)):
            for column in ("name", "unit", "visit", "visit_name"):
                assert not row[column].startswith(("=", "+", "-", "@", "\t", "\r")), row
        assert any(row["visit_name"].startswith(f"'{name}") for row in rows(csv_text(found)))


def test_what_is_not_known_is_an_empty_cell():
    same = visit("bakery", "before")
    listed = rows(csv_text(airside.compare(same, same, count=1000)))
    assert all(r["value"] not in ("nan", "inf", "-inf") for r in listed)
    assert {r["value"] for r in listed if r["visit"] == "change"} == {"0"}
