"""Draws: the same seed gives the same numbers, and what cannot be asked gets a sentence."""

import dataclasses
import math

import pytest

from airside.errors import AirsideError, ImpossibleStateError
from airside.teach.drawing import APART, draw, is_usable, slip_width
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step

# [J/(kg K)]
SPECIFIC_HEAT = 1006.0


def solve(values):
    total = SPECIFIC_HEAT * values["flow"] * values["rise"]
    return Solution(total, (Step("Flow times rise", total, "power", (1, 1)),))


KIND = QuestionKind(
    name="plain_product", lesson=1, title="A product", ask="{flow} at {rise}. How much?", kind="power",
    parameters=(Parameter("flow", "mass_flow", 0.4, 0.8, (100.0, 0.05)), Parameter("rise", "temperature_difference", 5.0, 15.0, (1.0, 0.5))),
    solve=solve, limits=(1e3, 1.5e4), hints=("One.", "Two."), source="common practice, no source",
    slips=(Slip("doubled", lambda v, u: 2 * SPECIFIC_HEAT * v["flow"] * v["rise"], "That is twice as much."),), decimals=(1, 1),
)  # fmt: skip


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_same_seed_gives_the_same_numbers(units):
    first, second = draw(KIND, 5, units), draw(KIND, 5, units)
    assert first.values == second.values and first.text == second.text
    assert first.values != draw(KIND, 6, units).values


def test_two_kinds_with_one_seed_differ():
    other = dataclasses.replace(KIND, name="another_product")
    assert draw(KIND, 5).values != draw(other, 5).values


def test_what_is_stated_is_a_multiple_of_the_step():
    for seed in range(50):
        question = draw(KIND, seed, "IP")
        flow = float(question.stated("flow").removesuffix(" lb/h").replace(",", ""))
        assert flow % 100 == 0
        assert question.stated("rise").endswith(" °F")


def test_the_tolerance_follows_the_precision_of_the_inputs():
    fine = dataclasses.replace(
        KIND, parameters=tuple(dataclasses.replace(p, step=(p.step[0] / 10, p.step[1] / 10)) for p in KIND.parameters)
    )
    exact = dataclasses.replace(KIND, parameters=tuple(dataclasses.replace(p, exact=True) for p in KIND.parameters))
    values = draw(KIND, 1, "SI").values
    coarse, finer, known = (
        dataclasses.replace(draw(KIND, 1, "SI"), kind=k, values=values).tolerance for k in (KIND, fine, exact)
    )
    answer = SPECIFIC_HEAT * values["flow"] * values["rise"]
    halves = SPECIFIC_HEAT * math.hypot(0.025 * values["rise"], 0.25 * values["flow"])
    # Half a step each, 0.4 % for rounding, half of the last decimal in W.
    assert coarse == pytest.approx(halves + 0.004 * answer + 50, rel=1e-9)
    assert known == pytest.approx(0.004 * answer + 50, rel=1e-9)
    assert known < finer < coarse


def test_a_step_may_have_decimals_of_its_own():
    question = draw(KIND, 1, "SI")
    assert question.worked[0] == f"Flow times rise: {question.answer / 1000:.1f} kW"


def test_units_in_which_it_is_not_asked():
    kind = dataclasses.replace(KIND, systems=("SI",))
    with pytest.raises(AirsideError, match="plain_product: is asked in SI only; found IP"):
        draw(kind, 1, "IP")


def test_a_range_without_a_step_in_it():
    kind = dataclasses.replace(
        KIND, parameters=(Parameter("flow", "mass_flow", 0.51, 0.52, (1.0, 0.1)), KIND.parameters[1])
    )
    with pytest.raises(AirsideError, match=r"flow: no multiple of 0\.1 lies between 0\.51 and 0\.52 in SI"):
        draw(kind, 1, "SI")


def test_a_kind_that_can_never_be_drawn():
    kind = dataclasses.replace(KIND, limits=(1e6, 2e6))
    with pytest.raises(AirsideError, match="plain_product: none of 400 draws with seed 1 in IP is possible"):
        draw(kind, 1, "IP")


def test_a_slip_that_looks_right_is_never_drawn():
    near = Slip("a hair more", lambda v, u: 1.001 * SPECIFIC_HEAT * v["flow"] * v["rise"], "A hair more.")
    question = draw(KIND, 1, "SI")
    assert is_usable(question)
    assert not is_usable(dataclasses.replace(question, kind=dataclasses.replace(KIND, slips=(near,))))


def test_slips_lie_apart_from_the_answer_and_from_each_other():
    for seed in range(50):
        question = draw(KIND, seed)
        ((_, value),) = question.slips
        assert abs(value - question.answer) >= APART * max(question.tolerance, slip_width(question, value))


def test_air_that_cannot_be_is_not_drawn():
    def breaks(values):
        if values["rise"] > 8.0:
            raise ImpossibleStateError("impossible air")
        return solve(values)

    kind = dataclasses.replace(KIND, solve=breaks)
    assert all(draw(kind, seed, "SI").values["rise"] <= 8.0 for seed in range(50))


def test_a_slip_that_leads_to_impossible_air_is_left_out():
    def breaks(values, units):
        raise ImpossibleStateError("impossible air")

    kind = dataclasses.replace(KIND, slips=(*KIND.slips, Slip("impossible", breaks, "Never said.")))
    assert [slip.name for slip, _ in draw(kind, 1).slips] == ["doubled"]


def test_a_slip_of_one_unit_system_is_not_made_in_the_other():
    kind = dataclasses.replace(KIND, slips=(dataclasses.replace(KIND.slips[0], systems=("SI",)),))
    assert draw(kind, 1, "IP").slips == ()
    assert len(draw(kind, 1, "SI").slips) == 1


def test_a_list_of_readings_lies_about_one_value():
    parameter = Parameter("readings", "temperature", 10.0, 20.0, (0.5, 0.2), count=5, spread=1.0)
    kind = dataclasses.replace(
        KIND, ask="{readings}?", parameters=(parameter,), kind="temperature", limits=(5.0, 25.0), slips=(),
        solve=lambda v: Solution(sum(v["readings"]) / 5),
    )  # fmt: skip
    for units in ("IP", "SI"):
        question = draw(kind, 3, units)
        readings = question.values["readings"]
        assert len(readings) == 5
        # About one value, so twice the spread, and half a step to the nearest one on either side.
        assert 0 < max(readings) - min(readings) <= 2.0 + 0.3
        assert question.stated("readings").count(", ") == 4
