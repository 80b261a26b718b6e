"""Every question kind, with 200 seeds in each of its unit systems: none impossible, absurd, or ambiguous."""

import math
import re
from collections import Counter
from functools import cache
from importlib import import_module

import pytest

from airside.errors import AirsideError
from airside.teach import kinds
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kind_check import kind_problems
from airside.teach.kinds import QUESTION_KINDS, kind_of, registry_of
from airside.units import KINDS, difference_from_inside, from_inside, parse, show

SEEDS = range(200)
ALL = sorted(QUESTION_KINDS)
# Published examples have their own numbers, and nothing to draw.
FIXED = [n for n in ALL if all(p.low == p.high for p in QUESTION_KINDS[n].parameters)]
NUMERIC = [n for n in ALL if not QUESTION_KINDS[n].options]
OPTIONS = [n for n in ALL if QUESTION_KINDS[n].options]
OTHER = {"IP": "SI", "SI": "IP"}


@cache
def questions(name):
    """Drawn once for all tests."""
    kind = QUESTION_KINDS[name]
    return [draw(kind, seed, units) for units in kind.systems for seed in (SEEDS[:1] if name in FIXED else SEEDS)]


def some(name):
    """Twenty of them in each unit system."""
    return questions(name) if name in FIXED else questions(name)[:: len(SEEDS) // 20]


def typed(question, value, units=None, *, with_unit=True):
    """A value as somebody types it, to ten digits."""
    units = units or question.units
    unit = KINDS[question.kind.kind].display(units).label
    number = f"{float(from_inside(value, question.kind.kind, units)):.10g}"
    return f"{number} {unit}" if with_unit and unit else number


def test_there_are_enough_kinds_for_ten_lessons():
    lessons = Counter(kind.lesson for kind in QUESTION_KINDS.values())
    assert len(QUESTION_KINDS) >= 60
    assert set(lessons) == set(range(1, 11))
    assert min(lessons.values()) >= 7


def test_every_module_of_kinds_is_there():
    names = set()
    for module, constant in kinds.MODULES.items():
        group = getattr(import_module(f"airside.teach.kinds.{module}"), constant)
        assert len({kind.lesson for kind in group}) == 1
        names |= {kind.name for kind in group}
    published = import_module(kinds.PUBLISHED).PUBLISHED
    assert names | {kind.name for kind in published} == set(QUESTION_KINDS)


def test_two_kinds_of_one_name_are_refused():
    kind = QUESTION_KINDS[ALL[0]]
    with pytest.raises(AirsideError, match="two question kinds are called"):
        registry_of([(kind,), (kind,)])


def test_an_unknown_kind_gets_the_nearest_name():
    with pytest.raises(
        AirsideError, match=r'no question kind "humidity_ratio_at_altitud"\. Did you mean "humidity_ratio_at_altitude"'
    ):
        kind_of("humidity_ratio_at_altitud")


@pytest.mark.parametrize("name", ALL)
def test_the_kind_is_complete(name):
    assert kind_problems(QUESTION_KINDS[name]) == []


@pytest.mark.parametrize("name", ALL)
def test_every_draw_is_possible_and_within_its_limits(name):
    kind = QUESTION_KINDS[name]
    for question in questions(name):
        assert kind.limits[0] <= question.answer <= kind.limits[1]
        assert kind.possible is None or kind.possible(question.values)
        if not kind.options and name not in FIXED:
            assert 0 < question.tolerance < 0.1 * (kind.limits[1] - kind.limits[0])


@pytest.mark.parametrize("name", ALL)
def test_the_text_gives_every_number_with_its_unit(name):
    kind = QUESTION_KINDS[name]
    for question in questions(name):
        rest = question.text
        assert "{" not in rest and "nan" not in rest
        for parameter in kind.parameters:
            stated = question.stated(parameter.name)
            unit = KINDS[parameter.kind].display(question.units).label
            assert stated in rest
            assert re.search(r"\d", stated) and stated.endswith(unit)
            # What is stated is exact: read back, it is the value.
            numbers = stated.removesuffix(unit).strip().split(", ")
            values = question.values[parameter.name]
            values = values if isinstance(values, tuple) else (values,)
            assert len(numbers) == len(values) == parameter.count
            for number, value in zip(numbers, values, strict=True):
                text = f"{number.replace(',', '')} {unit}".strip()
                back = parse(text, parameter.kind) if unit else float(text)
                assert math.isclose(back, value, rel_tol=1e-9, abs_tol=1e-9)


@pytest.mark.parametrize("name", NUMERIC)
def test_the_own_answer_is_right_however_it_is_typed(name):
    for question in questions(name):
        kind = question.kind.kind
        bare = show(question.answer, kind, question.units, decimals=question.decimals, unit=False)
        for text in (question.shown(question.answer), bare, typed(question, question.answer)):
            assert judge(question, text).outcome == "right", text
        if question.unit:
            other = typed(question, question.answer, OTHER[question.units])
            assert judge(question, other).outcome == "right", other


@pytest.mark.parametrize("name", NUMERIC)
def test_each_slip_is_recognised_as_itself(name):
    met = set()
    for question in questions(name):
        for slip, value in question.slips:
            met.add(slip.name)
            for text in (typed(question, value), typed(question, value, with_unit=False)):
                found = judge(question, text)
                assert (found.outcome, found.slip, found.says) == ("slip", slip.name, slip.says), text
    assert met == {slip.name for slip in QUESTION_KINDS[name].slips}


@pytest.mark.parametrize("name", NUMERIC)
def test_the_worked_solution_ends_in_the_answer(name):
    for question in questions(name):
        steps = question.solution.steps
        assert steps
        assert all(math.isfinite(step.value) and step.kind in KINDS for step in steps)
        # A published example ends in what was printed, which may be rounded or read off a chart.
        ends = [s for s in steps if math.isclose(s.value, question.answer, rel_tol=1e-12)] if name in FIXED else steps
        assert ends[-1].kind == question.kind.kind
        assert math.isclose(ends[-1].value, question.answer, rel_tol=1e-12)
        assert question.worked[-1] == f"Answer: {question.shown(question.answer)}"
        for step, line in zip(steps, question.worked, strict=False):
            unit = KINDS[step.kind].display(question.units).label
            assert line.startswith(step.says) and line.endswith(unit)


@pytest.mark.parametrize("name", NUMERIC)
def test_the_unit_systems_agree(name):
    kind = QUESTION_KINDS[name]
    for question in some(name):
        # The same values asked in the other system have the same answer, to the last decimal shown.
        other = Question(kind, question.seed, OTHER[question.units], question.values)
        assert math.isclose(other.answer, question.answer, rel_tol=1e-12)
        difference = (
            parse(other.shown(other.answer).replace(",", ""), kind.kind) - question.answer if other.unit else 0.0
        )
        step = float(difference_from_inside(other.last_decimal, kind.kind, other.units))
        assert abs(float(difference_from_inside(difference, kind.kind, other.units))) <= 0.5001 * step


@pytest.mark.parametrize("name", OPTIONS)
def test_a_question_with_options_has_one_right_answer_and_reasons(name):
    kind = QUESTION_KINDS[name]
    for question in some(name):
        right = round(question.answer)
        assert question.answer == right and 0 <= right < len(kind.options)
        for index, option in enumerate(kind.options):
            for text in (option, str(index + 1)):
                found = judge(question, text)
                assert found.outcome == ("right" if index == right else "slip")
                assert kind.because[index] in found.says
        assert judge(question, "perhaps").outcome == "unreadable"
