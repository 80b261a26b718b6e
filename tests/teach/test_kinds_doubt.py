"""Questions of lesson 8 against sums worked by hand, and against published examples of propagation."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.compare.change import compare
from airside.compare.planning import again, plan
from airside.compare.result import DETECTION
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds.doubt import DOUBT
from airside.teach.kinds.doubt_sums import combined, of_change, of_product, shares
from airside.units import from_inside, to_inside
from airside.visit.load import load_visit

LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "08_doubt"
KINDS = {kind.name: kind for kind in DOUBT}


def asked(name: str, units: str = "IP", **bare) -> Question:
    """A question of a kind with numbers of one's own."""
    kind = KINDS[name]
    assert set(bare) == {p.name for p in kind.parameters}
    values = {n: float(to_inside(v, kind.parameter(n).kind, units)) for n, v in bare.items()}
    return Question(kind, 0, units, values)


def answer(question: Question) -> float:
    return float(from_inside(question.answer, question.kind.kind, question.units))


def test_there_are_at_least_eight():
    assert len(DOUBT) >= 8 and len(KINDS) == len(DOUBT)
    assert {k.lesson for k in DOUBT} == {8}


def test_sums_of_doubts_by_published_examples():
    # JCGM 101:2008 (Supplement 1 to the GUM), 9.2.2 and 9.2.4, linear propagation: 2.0 and 10.1; from memory.
    assert combined(1, 1, 1, 1) == pytest.approx(2.0, abs=1e-12)
    assert combined(1, 1, 1, 10) == pytest.approx(math.sqrt(103), abs=1e-9)
    assert round(combined(1, 1, 1, 10), 1) == 10.1
    # Of 103 parts of variance the large one has 100.
    parts = shares(a=0.001, b=0.001, c=0.001, d=0.01)
    assert parts["d"] == pytest.approx(100 / 103, rel=1e-4)
    assert sum(parts.values()) == pytest.approx(1.0, abs=1e-12)


def test_what_both_visits_share_cancels():
    assert of_change(0.10, 0.0, 0.0) == pytest.approx(0.0, abs=1e-12)
    # Root of 0.03² + 0.04²; a change is a little more for the second order of the ratio.
    assert of_change(0.08, 0.03, 0.04) == pytest.approx(0.05, rel=2e-3)
    assert of_product(airflow=0.03, difference=0.04).standard_uncertainty == pytest.approx(0.05, rel=1e-9)


def test_flow_meter():
    # 6 % of 1,000 cfm is 60 cfm; over 1.7321 it is 34.64.
    question = asked("doubt_of_a_flow_reading", flow=1000.0, part=6.0)
    assert answer(question) == pytest.approx(34.641, abs=1e-3)
    assert judge(question, "34.6 cfm").outcome == "right"
    assert judge(question, "60").slip == "the limit itself"
    assert judge(question, "30.6").slip == "taken as a 95 % statement"
    assert judge(question, "17.3").slip == "width of a step"


def test_two_doubts():
    question = asked("two_doubts_of_a_capacity", airflow=3.0, difference=4.0)
    assert answer(question) == pytest.approx(5.0, abs=1e-6)
    for typed, slip in (("7", "simply added"), ("4", "the larger alone"), ("3.5", "mean of the two"),
                        ("25", "root forgotten")):  # fmt: skip
        assert judge(question, typed).slip == slip


def test_sensitivities():
    # 0.50 Btu/lb of 8.0 Btu/lb; 1.0 °F of 20 °F.
    question = asked("humidity_doubt_in_percent_of_capacity", return_enthalpy=30.0, supply_enthalpy=22.0, shift=0.5)
    assert answer(question) == pytest.approx(6.25, abs=1e-3)
    assert judge(question, "1.7").slip == "share of the return enthalpy"
    assert judge(question, "0.5").slip == "units as percent"
    question = asked("dry_bulb_doubt_in_percent_of_capacity", return_dry_bulb=76.0, supply_dry_bulb=56.0, error=1.0)
    assert answer(question) == pytest.approx(5.0, abs=1e-6)
    assert judge(question, "1.8").slip == "percent of the temperature"


def test_shares_and_what_halving_brings():
    # 6² = 36 of 36 + 9 + 4 = 49.
    question = asked("share_of_the_variance", airflow=6.0, probes=3.0, scatter=2.0)
    assert answer(question) == pytest.approx(100 * 36 / 49, abs=0.01)
    assert judge(question, "73").outcome == "right"
    assert judge(question, "54.5").slip == "shares not squared"
    # 8 halved is 4, with 3: 5. It was the root of 73.
    question = asked("what_halving_one_doubt_brings", airflow=8.0, rest=3.0)
    assert answer(question) == pytest.approx(5.0, abs=1e-6)
    assert judge(question, "4.3").slip == "all of it halved"
    assert judge(question, "8.5").slip == "nothing halved"


def test_mean_of_readings_of_one_probe():
    # 0.90 / root 9 = 0.30; 0.70 / root 3 = 0.404; together 0.503.
    question = asked("doubt_of_a_mean_reading", count=9, scatter=0.9, accuracy=0.7)
    assert answer(question) == pytest.approx(math.hypot(0.3, 0.7 / math.sqrt(3)), abs=1e-6)
    assert judge(question, "0.50").outcome == "right"
    assert judge(question, "0.33").slip == "accuracy averaged away"
    assert judge(question, "0.99").slip == "scatter not reduced"


def test_interval():
    # 40,000 × (1 - 1.96 × 0.05)
    question = asked("lower_end_of_a_95_percent_interval", capacity=40_000.0, doubt=5.0)
    assert answer(question) == pytest.approx(36_080, abs=1)
    assert judge(question, "36.1 kBtu/h").outcome == "right"
    assert judge(question, "38,000").slip == "one standard uncertainty"
    assert judge(question, "3,920 Btu/h").slip == "half of the interval"


def test_one_probe_twice():
    # 0.5 / 3.4641 × 1.4142 = 0.2041
    question = asked("one_probe_at_both_visits", accuracy=1.0, step=0.5)
    assert answer(question) == pytest.approx(0.5 / math.sqrt(6), abs=1e-6)
    assert judge(question, "0.204").outcome == "right"
    # Root of 2 × (1/3 + 0.25/12)
    assert judge(question, "0.842").slip == "accuracy left in"
    assert judge(question, "0.144").slip == "one visit only"


def test_doubt_of_a_change_and_what_can_be_seen():
    question = asked("doubt_of_a_change", shared=6.0, new=3.0)
    assert answer(question) == pytest.approx(3 * math.sqrt(2), rel=2e-3)
    assert judge(question, "4.2 %").outcome == "right"
    assert judge(question, "9.5").slip == "nothing cancels"
    assert judge(question, "6.7").slip == "capacity of one visit"
    question = asked("smallest_change_that_can_be_seen", doubt=4.0)
    assert answer(question) == pytest.approx(11.206, abs=1e-3)
    assert judge(question, "7.8").slip == "1.96 alone"
    question = asked("doubt_needed_to_see_a_change", change=14.0)
    assert answer(question) == pytest.approx(4.997, abs=1e-3)
    assert judge(question, "7.14").slip == "1.96 alone"


def test_the_smallest_change_is_the_one_that_a_comparison_gives(same_visits):
    """The lesson's factor, on a pair of visits without a change."""
    change = same_visits
    found = change.ratios[change.basis]
    question = asked("smallest_change_that_can_be_seen", doubt=100 * found.standard_uncertainty)
    assert question.answer == pytest.approx(change.smallest_detectable_ratio * (1 + found.value), rel=1e-9)
    assert pytest.approx(2.8016, abs=1e-4) == DETECTION


@pytest.fixture(scope="module")
def same_visits():
    from airside.teach.places import demo_file

    visit = load_visit(demo_file("reading_room/before.toml")).model_copy(update={"date": None})
    return compare(visit, again(visit), count=5_000, with_budget=False)


def test_a_shared_offset():
    # 18 and 20 as shown are 16 and 18: 12.5 %, not 11.1 %.
    question = asked("true_change_with_a_shared_offset", error=2.0, before=18.0, after=20.0)
    assert answer(question) == pytest.approx(12.5, abs=1e-6)
    assert judge(question, "11.1").slip == "as shown"
    assert judge(question, "10.0").slip == "error put on"


@pytest.mark.parametrize(
    ("return_shift", "supply_shift", "airflow", "right"),
    [(0.2, 0.2, 5.0, "The airflow"), (0.6, 0.2, 5.0, "The return probe"), (0.2, 0.6, 5.0, "The supply probe")],
)
def test_which_input(return_shift, supply_shift, airflow, right):
    # Of 8 Btu/lb, 0.2 are 2.5 % and 0.6 are 7.5 %.
    question = asked(
        "which_input_counts_most", difference=8.0, return_shift=return_shift, supply_shift=supply_shift, airflow=airflow
    )
    assert question.shown(question.answer) == right


@pytest.mark.parametrize(
    ("first", "second", "right"), [(6, 6, "Right: the error cancels"), (2, 6, "Too high"), (6, 2, "Too low")]
)
def test_does_a_flow_error_cancel(first, second, right):
    question = asked("does_a_flow_error_cancel", first=first, second=second)
    assert question.shown(question.answer) == right


def test_overlapping_intervals():
    # 40,000 ± 4,704 and 44,000 ± 5,174 overlap. The change is 10 %: more than 1.96 × 3.5 %, less than 1.96 × 7 %.
    for doubt, right in ((3.5, "Yes"), (7.0, "No: the interval of the change")):
        question = asked(
            "do_overlapping_intervals_hide_a_change", before=40_000.0, after=44_000.0, each=6.0, change_doubt=doubt
        )
        assert question.kind.possible(question.values)
        assert question.shown(question.answer).startswith(right)


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", sorted(n for n, k in KINDS.items() if not k.options))
def test_a_worked_solution_is_right_as_it_is_printed(name, units):
    """Who types the last line of the worked solution, as it is shown, is right."""
    for seed in range(20):
        question = draw(KINDS[name], seed, units)
        assert judge(question, question.solution.steps[-1].shown(units)).outcome == "right"


def _capacity(back, back_humidity, supply, supply_humidity, flow=1.0):
    """Total and sensible capacity of the music room's air: °F and fractions, at the school's elevation."""
    states = (
        MoistAir.from_relative_humidity(to_inside(t, "temperature", "IP"), rh, elevation="650 ft")
        for t, rh in ((back, back_humidity), (supply, supply_humidity))
    )
    found = delivered_capacity(*states, flow)
    return float(found.total), float(found.sensible)


def test_the_lesson_s_table_of_sensitivities():
    here = (75.4, 0.529, 55.3, 0.895, 1.0)
    steps = {"airflow, 1 %": (0, 0, 0, 0, 0.01), "return dry bulb": (1, 0, 0, 0, 0), "return relative humidity": (0, 0.01, 0, 0, 0),
             "supply dry bulb": (0, 0, 1, 0, 0), "supply relative humidity": (0, 0, 0, 0.01, 0)}  # fmt: skip
    text = (LESSON / "lesson.md").read_text(encoding="utf-8")
    first = _capacity(*here)
    for name, step in steps.items():
        moved = _capacity(*(a + b for a, b in zip(here, step, strict=True)))
        cells = re.search(rf"^\| {name}[^|]*\|([^|]*)\|([^|]*)\|", text, re.MULTILINE).groups()
        for cell, before, after in zip(cells, first, moved, strict=True):
            change = abs(after / before - 1)
            if "nothing" in cell:
                assert change < 5e-4
            else:
                assert 100 * change == pytest.approx(float(cell.strip(" *%")), abs=0.051)


def test_the_lesson_s_figures_are_those_of_its_visits():
    text = " ".join((LESSON / "lesson.md").read_text(encoding="utf-8").split())
    before, after = (load_visit(LESSON / f"school_{n}.toml") for n in ("before", "after"))
    change = compare(before, after)
    one, other = change.figures["total"].before.value, change.figures["total"].after.value
    for value in (one, other):
        shown = f"{round(from_inside(value, 'capacity', 'IP'), -2):,.0f} Btu/h ({value / 1000:.1f} kW)"
        assert shown in text
    found = change.ratios["reference"]
    low, high = found.interval_95
    assert not change.is_change_supported
    assert f"anything from {-100 * low:.0f} % less to {100 * high:.0f} % more" in text
    assert f"A change below {100 * change.smallest_detectable_ratio:.0f} % I could not have seen" in text
    assert f"known to {100 * found.standard_uncertainty / (1 + found.value):.1f} % (standard uncertainty, if" in text
    each = change.before.estimate("total")
    assert (
        f"The capacity is known to {100 * each.standard_uncertainty / each.value:.0f} % (standard uncertainty), so"
        in text
    )
    shares = [r.share for r in change.before.budget() if r.error.name.startswith("airflow by")]
    assert len(shares) == 3 and f"Together they have {100 * sum(shares):.0f} %" in text
    found = plan(before)
    first, both = 100 * found.smallest_detectable_ratio, 100 * found.options[1].smallest_detectable_ratio
    more = next(o for o in found.options if "10 readings" in o.action)
    assert f"from {first:.0f} % to {both:.0f} %" in text
    assert f"from {first:.1f} to {100 * more.smallest_detectable_ratio:.1f} %" in text
    assert f"everything on the list, {100 * found.options[0].smallest_detectable_ratio:.0f} % is the smallest" in text
