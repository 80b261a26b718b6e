"""Questions of lesson 2 against sums worked by hand, and the lesson's table of time constants against the library."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from airside.instruments.response import part_of_step
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds.probes import PROBES
from airside.units import from_inside, to_inside

KINDS = {kind.name: kind for kind in PROBES}
LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "02_probes" / "lesson.md"


def asked(name: str, units: str = "IP", **bare) -> Question:
    """A question of a kind with numbers of one's own."""
    kind = KINDS[name]
    assert set(bare) == {p.name for p in kind.parameters}

    def inside(of, value):
        if isinstance(value, tuple):
            return tuple(inside(of, v) for v in value)
        return float(to_inside(value, kind.parameter(of).kind, units))

    return Question(kind, 0, units, {n: inside(n, v) for n, v in bare.items()})


def answer(question: Question) -> float:
    return float(from_inside(question.answer, question.kind.kind, question.units))


def test_there_are_at_least_eight():
    assert len(PROBES) >= 8 and len(KINDS) == len(PROBES)
    assert {k.lesson for k in PROBES} == {2}


def test_limit_and_95_percent():
    # 0.90 / 1.7321 = 0.5196; 2.5 / 1.96 = 1.2755
    question = asked("standard_uncertainty_of_a_limit", accuracy=0.9)
    assert answer(question) == pytest.approx(0.5196, abs=1e-4)
    assert judge(question, "0.52 °F").outcome == "right"
    assert judge(question, "0.46").slip == "taken as a 95 % statement"
    assert judge(question, "0.26").slip == "width of a step"
    assert answer(asked("standard_uncertainty_of_a_95_percent_statement", accuracy=2.5)) == pytest.approx(
        1.2755, abs=1e-4
    )


def test_accuracy_in_two_parts():
    # 1 % of 0.60 is 0.006; with 0.010 it is 0.016. Of a range of 2 it would be 0.020 + 0.010.
    question = asked("accuracy_of_reading_plus_fixed", range=2.0, part=1.0, fixed=0.010, reading=0.60)
    assert answer(question) == pytest.approx(0.016, abs=1e-6)
    assert judge(question, "0.030 inH2O").slip == "percent of the range"
    # 3 % of 400 is 12, less than 20; 3 % of 1,000 would be 30.
    question = asked("accuracy_whichever_is_larger", part=3.0, fixed=20.0, reading=400.0)
    assert answer(question) == pytest.approx(20.0, abs=1e-6)
    assert judge(question, "32").slip == "both parts added"
    assert answer(asked("accuracy_whichever_is_larger", part=3.0, fixed=20.0, reading=1000.0)) == pytest.approx(
        30.0, abs=1e-6
    )


def test_resolution():
    # 0.5 / 3.4641 = 0.1443, whatever the number of readings; 0.1443 / 4 would be 0.036.
    question = asked("resolution_of_a_steady_display", step=0.5, count=16.0)
    assert answer(question) == pytest.approx(0.1443, abs=1e-4)
    assert judge(question, "0.036").slip == "averaged away"


def test_waiting():
    # ln 20 = 2.9957: two minutes make six.
    question = asked("wait_for_a_slow_probe", time_constant=2.0, part=95.0)
    assert answer(question) == pytest.approx(5.991, abs=0.001)
    assert judge(question, "2 min").slip == "one time constant"
    # 24 °C to 13 °C, one time constant: 24 - 11 * 0.6321 = 17.05
    question = asked("reading_taken_too_early", "SI", room=24.0, supply=13.0, time_constant=1.5, wait=1.5)
    assert answer(question) == pytest.approx(17.05, abs=0.01)


def test_layers():
    # 0.7 * 52 + 0.3 * 62 = 55.0
    question = asked("mean_of_two_layers", share=70.0, lower=52.0, upper=62.0)
    assert answer(question) == pytest.approx(55.0, abs=0.01)
    assert judge(question, "57 °F").slip == "plain mean"
    assert judge(question, "59").slip == "shares mixed up"


def test_humidity_error():
    # Saturation pressures: ASHRAE Fundamentals 2017 ch. 1 Table 3, 0.45973 psi at 77 °F, 0.12656 psi at 41 °F. So 27.53 % at
    # 77 °F has its dew point at 41 °F. The curve rises by about 3.9 % a °F there: 3 points are 10.9 %, which is 2.7 °F.
    question = asked("humidity_error_as_dew_point_error", dry_bulb=77.0, relative_humidity=27.53, error=3.0)
    assert answer(question) == pytest.approx(2.7, abs=0.1)


def test_drying_wick():
    # 80 °F dry bulb at sea level: 67 °F wet bulb is 51 % RH and 69 °F is 58 % (psychrometric chart, from memory).
    question = asked("drying_wick", elevation=0.0, dry_bulb=80.0, wet_bulb=67.0, error=2.0)
    assert answer(question) == pytest.approx(7.0, abs=0.8)


FIRST, SECOND = (74.0, 74.2, 74.1, 74.3, 74.4), (75.1, 75.0, 75.2, 75.1, 75.6)
DIFFERENCES = (1.1, 0.8, 1.1, 0.8, 1.2)


def test_offset_and_its_doubt():
    # Mean of the differences 1.00. Squares of what is left: 0.01 + 0.04 + 0.01 + 0.04 + 0.04 = 0.14; over 4, root: 0.1871; over
    # root 5: 0.0837.
    question = asked("side_by_side_offset", first=FIRST, second=SECOND)
    assert answer(question) == pytest.approx(1.00, abs=1e-6)
    assert judge(question, "-1.0 °F").slip == "first less second"
    assert judge(question, "0.5").slip == "half of the offset"
    question = asked("side_by_side_doubt", first=FIRST, second=SECOND)
    assert answer(question) == pytest.approx(0.0837, abs=1e-4)
    assert judge(question, "0.19").slip == "scatter itself"


def test_many_readings():
    # 0.6 / root 9 = 0.2; (0.6 / 0.1)² = 36; (0.5 / 0.12)² = 17.4, so 18.
    assert answer(asked("doubt_of_a_mean", scatter=0.6, count=9.0)) == pytest.approx(0.2, abs=1e-9)
    assert answer(asked("pairs_for_a_side_by_side_check", scatter=0.6, wanted=0.1)) == 36
    assert answer(asked("pairs_for_a_side_by_side_check", scatter=0.5, wanted=0.12)) == 18


def test_two_probes():
    # 0.90 / root 3 * root 2 = 0.7348
    question = asked("difference_of_two_unchecked_probes", accuracy=0.9)
    assert answer(question) == pytest.approx(0.7348, abs=1e-4)
    assert judge(question, "1.80").slip == "limits added"
    # A quarter of 0.5196 is 0.1299, twice; with 0.10: root of (2 * 0.016875 + 0.01) = 0.2092
    question = asked("difference_of_two_checked_probes", accuracy=0.9, doubt=0.10)
    assert answer(question) == pytest.approx(math.sqrt(2 * 0.016875 + 0.01), abs=1e-4)
    assert judge(question, "0.10").slip == "the check alone"


@pytest.mark.parametrize(
    ("name", "bare", "right"),
    [
        ("is_the_offset_real", {"offset": 0.5, "doubt": 0.2}, 0),
        ("is_the_offset_real", {"offset": 0.5, "doubt": 0.3}, 1),
        ("do_more_readings_help", {"step": 0.2, "scatter": 0.4}, 0),
        ("do_more_readings_help", {"step": 0.4, "scatter": 0.1}, 1),
        ("one_probe_in_both_places", {"accuracy": 0.9}, 0),
        ("what_a_side_by_side_check_leaves", {"shared": 0.9, "reading": 75.0}, 1),
        ("what_a_dry_wick_shows", {"dry_bulb": 75.0, "relative_humidity": 50.0}, 0),
        ("where_to_put_the_supply_probe", {"supply": 55.0}, 1),
    ],
)
def test_choices(name, bare, right):
    question = asked(name, **bare)
    assert question.answer == right
    for index, option in enumerate(question.kind.options):
        assert judge(question, option).outcome == ("right" if index == right else "slip")


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("kind", PROBES, ids=lambda k: k.name)
def test_a_question_can_be_read_and_its_own_worked_answer_is_right(kind, units):
    question = draw(kind, 11, units)
    assert "{" not in question.text and "nan" not in " ".join(question.worked)
    assert judge(question, question.shown(question.answer)).outcome == "right"


def test_the_lessons_table_is_that_of_the_library():
    rows = re.findall(
        r"^\| *([\d.]+) \| *([\d.]+) % \| *([\d.]+) % \|$", LESSON.read_text(encoding="utf-8"), flags=re.M
    )
    assert len(rows) >= 6
    for constants, done, left in rows:
        part = 100 * part_of_step(float(constants), 1.0)
        assert float(done) == pytest.approx(part, abs=0.051)
        assert float(left) == pytest.approx(100 - part, abs=0.051)
