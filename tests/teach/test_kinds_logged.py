"""Questions of lesson 10, worked by hand with pocket-calculator figures; and the figures that the lesson's text gives."""

import re
from collections import Counter
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from airside.errors import AirsideError
from airside.teach.drawing import Question
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.teach.kinds.logged import LOGGED, worth_of_one
from airside.teach.lesson import read_lesson
from airside.teach.marks import ExampleMark, QuestionMark
from airside.teach.pictures import picture_figure
from airside.units import from_inside, to_inside
from airside.visit.logs.clock import clock_offset, compare_clocks
from airside.visit.logs.logged_visit import load_logged, logged_visit
from airside.visit.logs.read import read_log

LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "10_logged_data"


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


READINGS = (55.0, 55.4, 54.8, 55.2, 55.6)
MISSES = (0.10, -0.20, 0.10, -0.10, 0.20, -0.10)
BASE = {"at_mean": 44_000, "one": 1, "rise": 1_200, "fall": 400, "wetter": 2, "hotter": 5}
CHANGE = {"before": 40_000, "measured": 42_000, "predicted": 37_500}
SEASON = {
    "hours_mild": 200, "hours_warm": 150, "hours_hot": 60, "hours_outside": 40, "capacity_mild": 42_000,
    "capacity_warm": 36_000, "capacity_hot": 30_000,
}  # fmt: skip

# Question, its numbers in IP, and the answer worked by hand.
BY_HAND = [
    # 30 min at 5 min are six steps, so five rows.
    ("rows_missing_in_gaps", {"interval": 5, "gaps": 4, "apart": 30}, 20),
    ("mean_without_the_sentinel", {"readings": READINGS}, 55.2),
    # Six hours by the clock are seven.
    ("rows_in_the_long_night", {"interval": 10, "hours": 6}, 42),
    ("offset_of_two_clocks", {"apart": (10.0, 10.5, 9.5, 10.0), "lag": 1.5}, 8.5),
    # 104 minutes are left, and hold 13 of 8.
    ("stretches_in_a_run", {"run": 120, "after_start": 15, "window": 8}, 13),
    # A third of each.
    ("worth_of_neighbours", {"count": 120, "together": 0.5}, 40),
    ("error_of_a_logged_mean", {"count": 100, "scatter": 0.60, "worth": 9}, 0.20),
    ("predicted_by_the_baseline", BASE, 44_000 + 2_400 - 2_000),
    ("change_against_the_baseline", CHANGE, 12.0),
    # Squares 0.12, over 4 is 0.03, root 0.1732, over 3 kW.
    ("cv_rmse_of_a_baseline", {"fitted": 2, "residuals": MISSES, "mean": 3.0}, 100 * 0.173205 / 3),
    # The sum is 0.30 kW, over 4 is 0.075, over 3 kW.
    ("nmbe_of_a_baseline", {"fitted": 2, "residuals": (0.2, 0.1, -0.1, 0.1, 0.1, -0.1), "mean": 3.0}, 2.5),
    ("r_squared_of_a_baseline", {"spread": 2_000, "left": 500}, 1 - 0.0625),
    # 8,400 + 5,400 + 1,800 kBtu.
    ("season_heat_by_bins", SEASON, 15_600),
    # 0.95 over 1.25 is 0.76.
    ("energy_saved_for_the_same_heat", {"energy": 2_000, "gain": 25, "fall": 5}, 480),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), BY_HAND)
def test_the_answer_is_that_worked_by_hand(name, given, wanted):
    question = asked(name, **given)
    assert answer(question) == pytest.approx(wanted, rel=2e-5)
    assert judge(question, question.shown(question.answer)).outcome == "right"


# Question, its numbers in IP, a slip of it, and what the slip comes to by hand.
SLIPS = [
    ("rows_missing_in_gaps", {"interval": 5, "gaps": 4, "apart": 30}, "steps as rows", 24),
    ("mean_without_the_sentinel", {"readings": READINGS}, "-999 as a reading", (276 - 999) / 6),
    ("mean_without_the_sentinel", {"readings": READINGS}, "counted as nought", 46.0),
    ("rows_in_the_long_night", {"interval": 10, "hours": 6}, "change forgotten", 36),
    ("rows_in_the_long_night", {"interval": 10, "hours": 6}, "hour taken off", 30),
    ("offset_of_two_clocks", {"apart": (10.0, 10.5, 9.5, 10.0), "lag": 1.5}, "lag added", 11.5),
    ("stretches_in_a_run", {"run": 120, "after_start": 15, "window": 8}, "start-up kept", 15),
    ("worth_of_neighbours", {"count": 120, "together": 0.5}, "one less only", 60),
    ("error_of_a_logged_mean", {"count": 100, "scatter": 0.60, "worth": 9}, "all readings counted", 0.06),
    ("predicted_by_the_baseline", BASE, "outdoor air added", 44_000 + 2_400 + 2_000),
    ("change_against_the_baseline", CHANGE, "raw change", 5.0),
    ("change_against_the_baseline", CHANGE, "weather alone", -6.25),
    ("cv_rmse_of_a_baseline", {"fitted": 2, "residuals": MISSES, "mean": 3.0}, "over all hours", 100 * 0.141421 / 3),
    ("cv_rmse_of_a_baseline", {"fitted": 2, "residuals": MISSES, "mean": 3.0}, "without squares", 100 * 0.2 / 3),
    ("r_squared_of_a_baseline", {"spread": 2_000, "left": 500}, "not squared", 0.75),
    ("season_heat_by_bins", SEASON, "hottest hours too", 15_600 + 1_200),
    ("season_heat_by_bins", SEASON, "plain mean", 410 * 36),
    ("energy_saved_for_the_same_heat", {"energy": 2_000, "gain": 25, "fall": 5}, "percents added", 600),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "which", "wanted"), SLIPS)
def test_a_slip_is_what_it_says(name, given, which, wanted):
    assert slip(asked(name, **given), which) == pytest.approx(wanted, rel=2e-5)


RANGE = {"wet_low": 61.0, "wet_high": 66.0, "out_low": 72.0, "out_high": 94.0}

# Question, its numbers in IP, and the number of the right option.
CHOICES = [
    ("day_or_month_first", {"first": 14, "second": 6}, 0),
    ("day_or_month_first", {"first": 6, "second": 14}, 1),
    ("day_or_month_first", {"first": 6, "second": 7}, 2),
    ("can_this_minute_be", {"dry_bulb": 55.0, "dew_point": 54.0}, 0),
    ("can_this_minute_be", {"dry_bulb": 54.0, "dew_point": 55.0}, 1),
    ("what_to_do_with_a_gap", {"interval": 5, "gap": 60}, 1),
    ("longer_or_faster", {"count": 60, "together": 0.5}, 0),
    ("longer_or_faster", {"count": 60, "together": 0.0}, 2),
    ("is_it_inside_the_range", {**RANGE, "wet": 63.0, "outdoor": 90.0}, 0),
    ("is_it_inside_the_range", {**RANGE, "wet": 60.0, "outdoor": 90.0}, 1),
    ("is_it_inside_the_range", {**RANGE, "wet": 63.0, "outdoor": 95.0}, 2),
    ("is_it_inside_the_range", {**RANGE, "wet": 67.0, "outdoor": 71.0}, 3),
    ("scatter_or_one_side", {"residuals": (0.10, 0.12, 0.08, 0.11, 0.09, 0.10)}, 0),
    ("scatter_or_one_side", {"residuals": MISSES}, 1),
    ("low_r_squared_small_cv", {"r_squared": 0.3, "cv": 1.5}, 1),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), CHOICES)
def test_the_right_option_is_computed(name, given, wanted):
    question = asked(name, **given)
    assert question.answer == wanted
    for number, option in enumerate(question.kind.options):
        assert (judge(question, option).outcome == "right") == (number == wanted)


def test_what_a_reading_is_worth_is_that_of_many_readings():
    # Bayley and Hammersley (1946), their limit for many readings; and simulated: the variance of a mean of 400.
    for together in (0.0, 0.3, 0.5, 0.8):
        assert worth_of_one(together) == pytest.approx((1 - together) / (1 + together), rel=1e-4)
    random, count = np.random.default_rng(5), 400
    noise = random.normal(size=(4000, count + 100))
    for i in range(1, noise.shape[1]):
        noise[:, i] = 0.5 * noise[:, i - 1] + np.sqrt(0.75) * noise[:, i]
    assert 1 / noise[:, 100:].mean(axis=1).var() == pytest.approx(count * worth_of_one(0.5), rel=0.08)


def test_the_mean_of_starts_is_what_cross_correlation_finds():
    # The question's way by hand against the library's on a simulated pair of loggers, one of them ten minutes slow.
    time = np.arange(600) * 60.0
    starts = (40, 150, 270, 390, 500)
    running = np.zeros(600)
    for start in starts:
        running[start : start + 50] = 1.0
    found = clock_offset(time, running, time - 600.0, 3000.0 * running)
    assert found.seconds == pytest.approx(600.0, abs=5.0)


def test_the_kinds_are_of_lesson_ten():
    assert {k.lesson for k in LOGGED} == {10} and len(LOGGED) >= 14


# -- what the lesson's text says --------------------------------------------------------------------


@pytest.fixture(scope="module")
def text():
    return (LESSON / "lesson.md").read_text(encoding="utf-8")


@cache
def logged(name):
    return load_logged(LESSON / f"{name}.toml")


@pytest.fixture(scope="module")
def run():
    pytest.importorskip("statsmodels")
    from airside.compare.long_run import long_run

    return long_run(logged("before"), logged("after"), bins=LESSON / "season.csv")


def btu(watts):
    return float(from_inside(watts, "capacity", "IP"))


def percent(number):
    """A number in percent, as the lesson's text has it."""
    return f"{number:.1f} %"


def test_no_question_stands_twice_and_all_are_of_this_lesson():
    lesson = read_lesson(LESSON)
    kinds = Counter(m.kind for mark in (QuestionMark, ExampleMark) for m, _ in lesson.marks(mark))
    assert max(kinds.values()) == 1
    assert {kind_of(k).lesson for k in kinds} == {10}


def test_the_files_say_that_they_are_invented():
    for file in ("before.toml", "after.toml", "season.csv", "make_logs.py"):
        assert "nvented" in (LESSON / file).read_text(encoding="utf-8")


def test_the_head_of_the_file_is_that_in_the_text(text):
    head = (LESSON / "loggers/before_unit.csv").read_text(encoding="utf-8").splitlines()[:4]
    assert "```text\n" + "\n".join(head) + "\n```" in text


def test_what_became_of_the_rows(text):
    stretches = logged("before").stretches
    assert f"{stretches.minutes:,} rows of the six days" in text and f"**{len(stretches) * stretches.rows}**" in text
    counts = re.findall(r"^\| (off|start-up|no value|too short|left over)[^|]*\| (\d+) \|$", text, re.MULTILINE)
    assert {n: int(c) for n, c in counts} == stretches.set_aside
    assert sum(stretches.set_aside.values()) + len(stretches) * stretches.rows == stretches.minutes


def test_running_and_the_gap(text):
    visit = logged("before")
    (sentence,) = [s for s in visit.runs.sentences if "Running where" in s]
    for figure in ("0.93 kW", "0.04 kW", "2.77 kW"):
        assert figure in sentence and figure in text
    ((first, last),) = visit.log.record("readings.return.dry_bulb").gaps
    assert (visit.log.wall_time(first)[5:16], visit.log.wall_time(last)[11:16]) == ("06-10 10:15", "12:20")
    assert "10:15 and 12:20" in text


def test_the_clock_is_found_as_the_text_says(text):
    data = dict(logged("before").data)
    files = {n: {k: v for k, v in f.items() if k != "clock_offset"} for n, f in data["log"]["files"].items()}
    data["log"] = {**data["log"], "files": files}
    visit = logged_visit(data, read_log(data, folder=LESSON, name="before.toml"), "before.toml")
    (found,) = compare_clocks(visit.log)
    assert (
        f"{found.offset.seconds:.0f} seconds behind, give or take {2 * found.offset.standard_uncertainty:.0f}" in text
    )
    assert f"{found.offset.count} starts and stops" in text


def test_what_neighbours_are_worth(text):
    rows = re.findall(r"^\| ([\d.]+) \| ([\d.]+) \| (\d+) \|$", text, re.MULTILINE)
    assert len(rows) == 4
    for together, one, sixty in rows:
        worth = (1 - float(together)) / (1 + float(together))
        assert float(one) == pytest.approx(worth, abs=0.0051)
        assert float(sixty) == pytest.approx(60 * worth, abs=0.51)
    channels = logged("before").stretches.channels
    worth = [channels[f"readings.{place}.dry_bulb"].effective_number for place in ("supply", "return")]
    assert f"worth {worth[0]:.1f} for the supply dry bulb and {worth[1]:.1f} for the return" in text


def test_the_two_means_of_the_story(text, run):
    means = [btu(p.columns["total"].mean()) for p in (run.before, run.after)]
    assert [f"{round(m, -2):,.0f} Btu/h" in text for m in means] == [True, True]
    assert f"Capacity up by {100 * (means[1] / means[0] - 1):.0f} %" in text


def test_the_baseline_and_the_change(text, run):
    base = run.baselines["total"]
    assert f"R² of {base.r_squared:.2f} and a CV(RMSE) of {percent(100 * base.cv_rmse)}" in text
    slopes = {t: base.slope_text(t, "IP") for t in base.terms.used}
    assert slopes["outdoor_dry_bulb"].startswith("-2.8 %") and "2.8 % less" in text
    assert slopes["return_wet_bulb"].startswith("+7.6 %") and "7.6 % more" in text
    for term in base.terms.used:
        low, high = (float(from_inside(v, "temperature", "IP")) for v in base.terms.ranges[term])
        assert f"{low:.1f} to {high:.1f} °F" in text
    assert f"Of the {len(run.after)} stretches of the second week {len(run.after) - run.set_apart} are inside" in text
    assert f"The other {run.set_apart} are" in text
    for name in ("predicted_total", "measured_total"):
        assert f"{round(btu(run.estimates[name].value), -2):,.0f} Btu/h" in text
    low, high = run.change.interval_95
    assert f"gain of {percent(100 * run.change.value)}" in text
    assert f"from {100 * low:.1f} to {percent(100 * high)}" in text
    assert f"draws {percent(-100 * run.estimates['change_power'].value)} less" in text


def test_the_season(text, run):
    kwh = {n: e.value / 3.6e6 for n, e in run.estimates.items() if n.startswith("energy")}
    low, high = (v / 3.6e6 for v in run.estimates["energy_saved"].interval_95)
    assert f"{kwh['energy_before']:,.0f} kWh" in text
    assert f"{kwh['energy_saved']:.0f} kWh in those hours, 95 % interval {low:.0f} to {high:.0f} kWh" in text
    hours = (run.season.hours + run.season.set_apart_hours, run.season.set_apart_hours, run.season.hours)
    assert all(f"{h:.0f}" in text for h in hours)


# -- its pictures -----------------------------------------------------------------------------------

VISIT = {"visit": str(LESSON / "before.toml")}


def words_of(figure):
    return " ".join(t.get_text() for t in figure.findobj(lambda a: hasattr(a, "get_text")))


def test_a_part_of_a_log_and_some_of_its_panels():
    figure = picture_figure("logged data", {**VISIT, "panels": ["Power"], "first": "2026-06-10", "last": "2026-06-11"})
    words = words_of(figure)
    assert "Power" in words and "Dry bulb" not in words and "2026-06-10" in words


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"panels": ["Powr"]}, 'no panel "Powr" in its log. Did you mean "Power"'),
        ({"first": "noon"}, '"noon" is no time; write it such as "2026-06-10 14:00"'),
        (
            {"first": "2026-06-11", "last": "2026-06-10"},
            "first is 2026-06-11 00:00:00 and last 2026-06-10 00:00:00; expected a later last",
        ),
        ({"first": "2025-06-11", "last": "2025-06-12"}, "nothing was logged between 2025-06-11"),
    ],
)
def test_a_picture_of_a_log_that_cannot_be(change, says):
    with pytest.raises(AirsideError) as caught:
        picture_figure("logged data", {**VISIT, **change})
    assert says in str(caught.value)
