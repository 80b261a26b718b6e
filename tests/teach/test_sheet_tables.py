"""Tables on worksheets: printed where a question needs them, and right against reference libraries."""

from dataclasses import replace
from html import unescape
from pathlib import Path

import numpy as np
import psychrolib
import pytest

from airside.teach.exports.asked import asked_of
from airside.teach.exports.sheet_tables import CHART, tables_for
from airside.teach.exports.worksheet import answer_key_html, worksheet_html
from airside.teach.kind_check import NEEDS, kind_problems
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import read_lesson

LESSONS = Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
PSI = 6894.757293168  # NIST SP 811 appendix B.8


class Needing:
    """A question as far as tables are concerned."""

    def __init__(self, need, units="IP"):
        self.kind, self.units = replace(QUESTION_KINDS["will_the_duct_sweat"], needs=(need,)), units


def table(need, units="IP"):
    (found,) = tables_for([Needing(need, units)])
    return found, np.array([[float(cell.replace(",", "")) for cell in row] for row in found.rows])


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_saturation_and_elevation_against_psychrolib(units):
    # In SI alone: with numba installed, a change of its units compiles psychrolib anew.
    psychrolib.SetUnitSystem(psychrolib.SI)
    is_ip = units == "IP"
    _, rows = table("saturation", units)
    # PsychroLib 2.5, GetSatVapPres: ASHRAE Fundamentals 2017 ch. 1, Eq. 5 and 6.
    celsius = [float((t - 32) / 1.8 if is_ip else t) for t in rows[:, 0]]
    wanted = np.array([float(psychrolib.GetSatVapPres(t)) for t in celsius])
    assert np.allclose(rows[:, 1], wanted / (PSI if is_ip else 1), rtol=5e-4, atol=6e-5 if is_ip else 0.06)
    _, rows = table("elevation", units)
    wanted = np.array(
        [float(psychrolib.GetStandardAtmPressure(float(h * (0.3048 if is_ip else 1)))) for h in rows[:, 0]]
    )
    assert np.allclose(rows[:, 2], wanted / (PSI if is_ip else 1), rtol=1e-4)
    # 1 inHg = 3386.389 Pa, NIST SP 811 appendix B.8
    assert np.allclose(rows[:, 1], wanted / (3386.389 if is_ip else 1000), atol=0.006)


def test_proportion_between_two_rows_is_near_enough():
    for need in ("saturation", "elevation", "R-410A", "R-407C"):
        _, rows = table(need)
        # A straight line over two steps against the row between them: twice the step errs four times as much.
        middle = (rows[:-2, 1] + rows[2:, 1]) / 2
        assert np.all(np.abs(middle - rows[1:-1, 1]) / 4 < 0.001 * np.abs(rows[1:-1, 1]) + 0.15), need


@pytest.mark.parametrize("name", ["R-410A", "R-407C"])
def test_refrigerants_against_coolprop(name):
    from CoolProp.CoolProp import PropsSI

    _, rows = table(name)
    for degrees, dew, bubble in rows[::9]:
        kelvin = (degrees - 32) / 1.8 + 273.15
        for gauge, quality in ((dew, 1), (bubble, 0)):
            wanted = (PropsSI("P", "T", kelvin, "Q", quality, name.replace("-", "")) - 101_325) / PSI
            assert gauge == pytest.approx(wanted, abs=0.25)


def test_a_first_order_probe():
    _, rows = table("response")
    assert np.allclose(rows[:, 1], 100 * (1 - np.exp(-rows[:, 0])), atol=0.051)


def test_every_need_is_a_table_or_a_chart():
    for kind in QUESTION_KINDS.values():
        assert set(kind.needs) <= NEEDS
    spoilt = replace(QUESTION_KINDS["will_the_duct_sweat"], needs=("almanac",))
    assert any('needs "almanac"' in said for said in kind_problems(spoilt))


def test_a_step_that_looks_into_a_table_has_one():
    from airside.teach.drawing import draw

    for kind in QUESTION_KINDS.values():
        says = " ".join(step.says for step in draw(kind, 3, kind.systems[0]).solution.steps)
        if "from the table" in says or "saturation pressure of water" in says.casefold():
            assert kind.needs, kind.name


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_a_worksheet_ends_with_the_tables_that_it_needs(units):
    lesson = read_lesson(LESSONS / "01_moist_air")
    text = unescape(worksheet_html(lesson, [1, 2], units))
    tables = tables_for(one.question for one in asked_of(lesson, 1, units))
    assert {t.title.split()[0] for t in tables} == {"Saturation", "Barometric"}
    for made in tables:
        # Once for each student, behind the last question.
        assert text.count(made.title) == 2 and text.count(f"Source: {made.source}") == 2
        assert text.index(made.title) > text.index(asked_of(lesson, 1, units)[-1].question.kind.title)
        for row in made.rows:
            assert all(f"<td>{cell}</td>" in text for cell in row)
    chart = [a.number for a in asked_of(lesson, 1, units) if CHART in a.question.kind.needs]
    assert f"Questions {', '.join(map(str, chart))}: take a psychrometric chart" in text
    assert "To look up" not in answer_key_html(lesson, [1], units)


def test_a_worksheet_without_need_has_no_tables():
    assert "To look up" not in worksheet_html(read_lesson(LESSONS / "05_steady_or_not"), [1])
