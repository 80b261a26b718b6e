"""Questions of lesson 5, worked by hand with pocket-calculator figures; and the figures that the lesson's text gives."""

import re
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.instruments.response import part_of_step
from airside.instruments.steadiness import TOLERANCES
from airside.teach.drawing import Question
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.teach.lesson import read_lesson
from airside.teach.marks import PictureMark
from airside.units import difference_from_inside, from_inside, to_inside

LESSON = Path(__file__).parents[2] / "notebooks/lessons/05_steady_or_not"


def asked(name, units="IP", **given):
    """A question with stated numbers, bare in the units of its text."""
    kind = kind_of(name)
    values = {}
    for parameter in kind.parameters:
        bare = given.pop(parameter.name)
        if isinstance(bare, tuple):
            values[parameter.name] = tuple(float(to_inside(v, parameter.kind, units)) for v in bare)
        else:
            values[parameter.name] = float(to_inside(bare, parameter.kind, units))
    assert not given
    return Question(kind, 0, units, values)


def answer(question):
    """The right answer, as it is shown."""
    return float(from_inside(question.answer, question.kind.kind, question.units))


def slip(question, name):
    """What a slip gives, as it is shown."""
    value = next(v for s, v in question.slips if s.name == name)
    return float(from_inside(value, question.kind.kind, question.units))


START = {"first": 76.0, "second": 66.0, "third": 60.0, "fourth": 58.0, "tolerance": 2.7}

# Question, its numbers in IP, and the answer worked by hand.
BY_HAND = [
    ("range_beyond_tolerance", {"readings": (55.6, 56.7, 55.1, 52.0, 53.6, 56.0), "tolerance": 2.7}, 56.7 - 52.0 - 2.7),
    ("drift_per_ten_minutes", {"time": 15, "first": 61.6, "last": 55.1}, 6.5 / 15 * 10),
    # The drop goes from 20 to 18 °F.
    ("drift_in_percent_of_capacity", {"return_dry_bulb": 75.0, "first": 55.0, "last": 57.0}, 10.0),
    # e^-2 is 0.13534.
    ("probe_on_its_way", {"start": 75.0, "supply": 55.0, "periods": 2}, 55 + 20 * 0.135335),
    # 20, 7.4, 2.7, 1.0.
    ("wait_for_the_probe", {"gap": 20, "time_constant": 1.5, "wanted": 1.2}, 3 * 1.5),
    # From 60.0 on the first five still range over 60 - 55; from 58.0 over 58 - 55.2; from 57.0 over 57 - 54.8.
    ("first_steady_set", {**START, "rest": (57.0, 56.0, 55.5, 55.2, 54.8, 55.0)}, 4 * 2),
    # One reading earlier: 58 - 55.4.
    ("first_steady_set", {**START, "rest": (57.0, 56.0, 55.5, 55.4, 54.8, 55.0)}, 3 * 2),
    ("error_of_a_mean", {"scatter": 0.60, "count": 9}, 0.20),
    ("error_of_a_mean", {"scatter": 0.60, "count": 4}, 0.30),
    # 0.56 / 0.26 is 2.154, times itself 4.64.
    ("readings_needed", {"scatter": 0.56, "wanted": 0.26}, 5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), BY_HAND)
def test_the_answer_is_that_worked_by_hand(name, given, wanted):
    question = asked(name, **given)
    assert answer(question) == pytest.approx(wanted, rel=1e-5)
    assert judge(question, question.shown(question.answer)).outcome == "right"


# Question, its numbers in IP, a slip of it, and what the slip comes to by hand.
SLIPS = [
    ("range_beyond_tolerance", {"readings": (52.0, 57.9, 55.1, 53.0, 53.6, 56.0), "tolerance": 2.7}, "first to last",
     4.0 - 2.7),
    ("drift_per_ten_minutes", {"time": 20, "first": 60.0, "last": 55.0}, "proportion upside down", 5.0 * 2),
    ("drift_in_percent_of_capacity", {"return_dry_bulb": 75.0, "first": 55.0, "last": 57.0}, "percent of the temperature",
     100 * 2 / 55),
    ("drift_in_percent_of_capacity", {"return_dry_bulb": 75.0, "first": 55.0, "last": 57.0}, "degrees as percent", 2.0),
    # e^-1 is 0.36788.
    ("probe_on_its_way", {"start": 75.0, "supply": 55.0, "periods": 3}, "one time constant only", 55 + 20 * 0.367879),
    ("wait_for_the_probe", {"gap": 20, "time_constant": 1.5, "wanted": 0.5}, "two make everything", 3.0),
    ("first_steady_set", {**START, "rest": (57.0, 56.0, 55.5, 55.2, 54.8, 55.0)}, "readings as minutes", 4),
    ("error_of_a_mean", {"scatter": 0.60, "count": 9}, "divided by the number", 0.6 / 9),
    ("readings_needed", {"scatter": 0.56, "wanted": 0.20}, "plain proportion", 3),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "which", "wanted"), SLIPS)
def test_a_slip_is_what_it_says(name, given, which, wanted):
    assert slip(asked(name, **given), which) == pytest.approx(wanted, rel=1e-5)


def test_the_answer_does_not_depend_on_the_units():
    for units, given in (
        ("IP", {"return_dry_bulb": 75.2, "first": 55.4, "last": 57.2}),
        ("SI", {"return_dry_bulb": 24, "first": 13, "last": 14}),
    ):
        assert answer(asked("drift_in_percent_of_capacity", units, **given)) == pytest.approx(100 / 11, rel=1e-6)


DRY, LIMITS = {"dry_bulb_tolerance": 2.7, "humidity_tolerance": 4.0}, {"strict": 2.0, "field": 2.7}
STEADY, WIDE = (75.0, 75.4, 74.9, 75.1, 75.0), (75.0, 77.8, 74.9, 75.1, 75.0)
EVEN, UNEVEN = (50.0, 51.0, 49.5, 50.2, 50.1), (50.0, 53.6, 49.5, 50.2, 50.1)

# Question, its numbers in IP, and the number of the right option.
CHOICES = [
    ("which_tolerance_is_kept", {**LIMITS, "readings": (55.0, 56.0, 55.5, 54.2, 54.8, 55.1)}, 0),
    ("which_tolerance_is_kept", {**LIMITS, "readings": (55.0, 56.5, 55.5, 54.2, 54.8, 55.1)}, 1),
    ("which_tolerance_is_kept", {**LIMITS, "readings": (55.0, 57.0, 55.5, 54.2, 54.8, 55.1)}, 2),
    ("does_the_set_count", {**DRY, "dry_bulb": STEADY, "humidity": EVEN}, 0),
    ("does_the_set_count", {**DRY, "dry_bulb": WIDE, "humidity": EVEN}, 1),
    ("does_the_set_count", {**DRY, "dry_bulb": STEADY, "humidity": UNEVEN}, 2),
    ("does_the_set_count", {**DRY, "dry_bulb": WIDE, "humidity": UNEVEN}, 3),
    ("drift_or_scatter", {"early": (55.0, 55.3, 55.1, 55.4, 55.6), "late": (55.9, 56.1, 56.0, 56.4, 56.6)}, 0),
    ("drift_or_scatter", {"early": (55.0, 55.3, 55.1, 55.4, 55.2), "late": (55.3, 55.1, 55.2, 55.4, 55.0)}, 1),
    # 1.8 / 2 against 0.4 / 1.73.
    ("would_more_readings_help", {"count": 4, "scatter": 1.8, "accuracy": 0.4}, 0),
    # 0.6 / 3 against 1.8 / 1.73.
    ("would_more_readings_help", {"count": 9, "scatter": 0.6, "accuracy": 1.8}, 1),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), CHOICES)
def test_the_right_option_is_computed(name, given, wanted):
    question = asked(name, **given)
    assert question.answer == wanted
    for number, option in enumerate(question.kind.options):
        assert (judge(question, option).outcome == "right") == (number == wanted)


# -- what the lesson's text says --------------------------------------------------------------------


@pytest.fixture(scope="module")
def text():
    return (LESSON / "lesson.md").read_text(encoding="utf-8")


def btu(watts):
    return float(from_inside(watts, "capacity", "IP"))


def test_the_two_visits_come_to_the_figures_of_the_story(text):
    early, steady = (airside.analyse(airside.load_visit(LESSON / f"clinic_{n}.toml")) for n in ("too_early", "steady"))
    figures = [round(btu(r.capacity.total), -2) for r in (early, steady)]
    assert [f"{f:,.0f} Btu/h" in text for f in figures] == [True, True]
    gained = steady.capacity.total / early.capacity.total - 1
    assert f"{gained:.0%}".replace("%", " %") + " more" in text
    assert f"seem to have cost {gained / (1 + gained):.0%}".replace("%", " %") in text


def test_only_the_hurried_visit_is_unsteady():
    codes = {
        name: {w.code for w in airside.analyse(airside.load_visit(LESSON / f"clinic_{name}.toml")).warnings}
        for name in ("too_early", "steady")
    }
    assert {"unsteady", "drifting"} <= codes["too_early"]
    assert not {"unsteady", "drifting"} & codes["steady"]


def test_half_of_the_hurried_visit_comes_to_what_the_lesson_says(text):
    visit = airside.load_visit(LESSON / "clinic_too_early.toml")

    def half(air):
        return air.model_copy(update={n: getattr(air, n)[4:] for n in ("dry_bulb", "relative_humidity")})

    readings = visit.readings.model_copy(
        update={"return_air": half(visit.readings.return_air), "supply": half(visit.readings.supply)}
    )
    result = airside.analyse(visit.model_copy(update={"readings": readings}))
    assert f"{round(btu(result.capacity.total), -2):,.0f} Btu/h" in text
    assert not {"unsteady", "drifting"} & {w.code for w in result.warnings}


def test_the_tables_of_gaps_and_tolerances_are_those_of_the_library(text):
    rows = re.findall(r"^\| (\d) \| ([\d.]+) % \| ([\d.]+) °F \(([\d.]+) K\)", text, re.MULTILINE)
    assert len(rows) == 6
    for waited, left, fahrenheit, kelvin in rows:
        share = 1 - part_of_step(float(waited), 1.0)
        assert float(left) == pytest.approx(100 * share, abs=0.5 if share > 0.04 else 0.05)
        assert float(fahrenheit) == pytest.approx(20 * share, abs=0.051)
        assert float(kelvin) == pytest.approx(20 / 1.8 * share, abs=0.051)
    for name, key in (
        ("dry bulb, return or supply", "dry_bulb"),
        ("wet bulb", "wet_bulb"),
        ("outdoor dry bulb", "outdoor"),
    ):
        found = re.search(
            rf"^\| {name} \| ([\d.]+) °F \(([\d.]+) K\) \| ([\d.]+) °F \(([\d.]+) K\)", text, re.MULTILINE
        )
        wanted = [v for s in ("field", "strict") for v in (TOLERANCES[s][key] * 1.8, TOLERANCES[s][key])]
        assert [float(v) for v in found.groups()] == pytest.approx(wanted, abs=0.051)


def test_the_pictures_show_what_the_text_says():
    lines = [m for m, _ in read_lesson(LESSON).marks(PictureMark) if m.shows == "lines"]
    start, drift = (m.parameters for m in lines)
    minutes, air, probe = (
        np.array(v) for v in (start["across"]["values"], *(line["values"] for line in start["lines"]))
    )
    assert np.abs(air[minutes >= 18] - 55).max() <= 0.05
    assert ((probe >= air) | (minutes == 0)).all() and probe[-1] == air[-1]
    readings = drift["lines"][0]["values"]
    assert [at["value"] for at in drift["levels"]] == pytest.approx([np.mean(readings[:5]), np.mean(readings[5:])])
    assert max(readings) - min(readings) == pytest.approx(1.6)
    limit = difference_from_inside(TOLERANCES["field"]["dry_bulb"], "temperature_difference", "IP")
    assert max(readings) - min(readings) < limit
