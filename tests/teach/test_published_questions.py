"""Fixed questions of published examples: the printed figure is accepted as the answer.

The printed figures are those of `tests/published/`, with the same marks of how they came here.
"""

from __future__ import annotations

import pytest

from airside.teach.drawing import draw
from airside.teach.judging import judge
from airside.teach.kind_check import kind_problems
from airside.teach.published import PUBLISHED
from airside.units import parse

# kind, as printed, how far the answer may be from it [fraction of it, or inside unit], recall
PRINTED = {
    "published_saturation_pressure": ("0.45973 psi", 3e-4, None, "table"),
    "published_saturated_enthalpy": ("40.576 Btu/lb", 0.01, None, "table"),
    "published_standard_atmosphere": ("13.173 psi", 1e-3, None, "table"),
    "published_example_1_humidity_ratio": ("36.61 gr/lb", 0.01, None, "table, read off a chart"),
    "published_example_1_enthalpy": ("29.80 Btu/lb", None, 0.1 * 2326, "table, read off a chart"),
    "published_example_1_relative_humidity": ("13 %", None, 0.01, "table, read off a chart"),
    "published_example_1_dew_point": ("40 degF", None, 1 / 1.8, "table, read off a chart"),
    "published_sensible_heating": ("1507000 Btu/h", 0.005, None, "memory"),
    "published_cooling_and_dehumidification": ("609500 Btu/h", 0.005, None, "memory"),
    "published_adiabatic_mixing": ("65.9 degF", None, 0.3 / 1.8, "memory, graphical"),
    "published_four_equal_doubts": ("2.0", 1e-9, None, "memory"),
    "published_first_traverse_point": ("37 mm", 1e-9, None, "memory"),
    "published_capacity_curve": ("0.9939", 1e-4, None, "table"),
}
# Answered by choosing: the right option.
CHOSEN = {"published_one_large_doubt": 0, "published_steady_window": 0}


def test_every_question_is_held_here():
    assert {k.name for k in PUBLISHED} == {*PRINTED, *CHOSEN}


@pytest.mark.parametrize("kind", PUBLISHED, ids=lambda k: k.name)
def test_nothing_is_wrong_with_the_kind(kind):
    assert kind_problems(kind) == []
    assert kind.name.startswith("published_")


@pytest.mark.parametrize("kind", [k for k in PUBLISHED if k.name in PRINTED], ids=lambda k: k.name)
def test_the_printed_figure(kind):
    text, relative, absolute, recall = PRINTED[kind.name]
    question = draw(kind, 0, kind.systems[0])
    printed = float(text) if kind.kind == "fraction" else parse(text, kind.kind)
    if text.endswith("mm"):
        question = draw(kind, 0, "SI")
    allowed = absolute if relative is None else relative * printed
    assert abs(question.answer - printed) <= allowed, f"{question.answer}, printed {printed} (from {recall})"
    assert judge(question, text).outcome == "right", text


@pytest.mark.parametrize("kind", [k for k in PUBLISHED if k.name in CHOSEN], ids=lambda k: k.name)
def test_the_right_choice(kind):
    question = draw(kind, 0, kind.systems[0])
    assert question.answer == CHOSEN[kind.name]


@pytest.mark.parametrize("kind", PUBLISHED, ids=lambda k: k.name)
def test_the_numbers_are_fixed_and_slips_are_known(kind):
    for units in kind.systems:
        first, other = draw(kind, 1, units), draw(kind, 99, units)
        assert first.text == other.text and first.answer == other.answer
        for slip, value in first.slips:
            found = judge(first, first.shown(value))
            assert (found.outcome, found.slip) == ("slip", slip.name)
