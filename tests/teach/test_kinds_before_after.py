"""Questions of lesson 9 against sums worked by hand, and their tables gone through as a trainee would."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from airside.compare.acceptance import acceptance
from airside.compare.change import compare
from airside.compare.curves import AIR_CONDITIONER
from airside.compare.expected import expected_of_visit
from airside.compare.moved import moved_rows
from airside.compare.planning import plan
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds import before_after_conditions as conditions
from airside.teach.kinds.before_after import BEFORE_AFTER
from airside.units import from_inside, percent, to_inside
from airside.visit.load import load_visit

LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "09_before_and_after"
KINDS = {kind.name: kind for kind in BEFORE_AFTER}


def asked(name: str, units: str = "IP", **bare) -> Question:
    """A question of a kind with numbers of one's own."""
    kind = KINDS[name]
    assert set(bare) == {p.name for p in kind.parameters}
    values = {n: float(to_inside(v, kind.parameter(n).kind, units)) for n, v in bare.items()}
    return Question(kind, 0, units, values)


def answer(question: Question) -> float:
    return float(from_inside(question.answer, question.kind.kind, question.units))


def test_there_are_at_least_seven():
    assert len(BEFORE_AFTER) >= 7 and len(KINDS) == len(BEFORE_AFTER)
    assert {k.lesson for k in BEFORE_AFTER} == {9}


def test_raw_change():
    # 6,000 of 40,000
    question = asked("change_in_percent", before=40_000.0, after=46_000.0)
    assert answer(question) == pytest.approx(15.0, abs=1e-6)
    assert judge(question, "13.0").slip == "against the capacity after"
    assert judge(question, "115").slip == "one left on"
    assert judge(question, "6").slip == "thousands as percent"


def test_airflow_and_difference():
    # 6,000 / 5,000 = 1.2; 7.2 / 8.0 = 0.9; 1.08
    question = asked(
        "change_from_airflow_and_enthalpies", flow_before=5000.0, difference_before=8.0, flow_after=6000.0,
        difference_after=7.2,
    )  # fmt: skip
    assert answer(question) == pytest.approx(8.0, abs=1e-3)
    assert judge(question, "20").slip == "airflow alone"
    assert judge(question, "10").slip == "percents added"
    assert judge(question, "-10").slip == "difference alone"


def test_meter_too_high():
    # 5,500 / 1.10 = 5,000
    question = asked("true_gain_with_a_meter_too_high", error=10.0, before=44_000.0, after=49_500.0)
    assert answer(question) == pytest.approx(5000, abs=0.01)
    assert judge(question, "5,500").slip == "as shown"
    assert judge(question, "1,000").slip == "only after mended"


def test_efficiency():
    # 1.10 / 0.88 = 1.25
    question = asked("change_of_efficiency", capacity=10.0, power=12.0)
    assert answer(question) == pytest.approx(25.0, abs=1e-6)
    assert judge(question, "22").slip == "percents added"
    assert judge(question, "-3.2").slip == "multiplied"


def test_interval_and_acceptance():
    # 8 - 1.96 × 5 = -1.8
    question = asked("where_the_interval_of_a_change_begins", change=8.0, doubt=5.0)
    assert answer(question) == pytest.approx(-1.8, abs=1e-3)
    assert judge(question, "-1.8 %").outcome == "right"
    # 0.9 × 60,000 + 1.96 × 2,000
    question = asked("what_must_be_measured_for_acceptance", share=90.0, nominal=60_000.0, doubt=2000.0)
    assert answer(question) == pytest.approx(57_920, abs=0.1)
    assert judge(question, "54,000").slip == "the limit itself"
    assert judge(question, "50,080").slip == "room on the wrong side"


def test_what_the_work_alone_did():
    # 1.26 / 1.05 = 1.20
    question = asked("what_the_work_alone_did", raw=26.0, weather=5.0)
    assert answer(question) == pytest.approx(20.0, abs=1e-6)
    assert judge(question, "21").slip == "percents taken off"


def test_the_tables_in_the_questions_are_the_curve():
    for table, rows, values in (
        (conditions.OUTDOOR_TABLE, conditions.OUTDOOR_ROWS, lambda t: (conditions.WET_BULB, t)),
        (conditions.WET_BULB_TABLE, conditions.WET_BULB_ROWS, lambda t: (t, conditions.OUTDOOR)),
    ):
        for row in rows:
            assert f"{AIR_CONDITIONER.capacity_ratio(*values(row)):.3f} at" in table
            assert f"({row:.0f} °C)" in table


def _by_hand(rows, at, *, wet_bulb=False):
    """A value of the short table, as printed, by proportion between its rows."""
    points = [(t, conditions.OUTDOOR) if wet_bulb else (conditions.WET_BULB, t) for t in rows]
    return float(np.interp(at, rows, [round(float(AIR_CONDITIONER.capacity_ratio(*p)), 3) for p in points]))


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_a_proportion_between_the_rows_is_good_enough(units):
    """A trainee has the question's short table alone, with three decimals."""
    out = conditions.OUTDOOR_ROWS
    for seed in range(100):
        question = draw(KINDS["what_the_weather_alone_does"], seed, units)
        first, second = (_by_hand(out, question.values[f"outdoor_{n}"]) for n in ("before", "after"))
        assert judge(question, f"{100 * (second / first - 1):.1f} %").outcome == "right"

        question = draw(KINDS["change_at_the_same_outdoor_temperature"], seed, units)
        v = question.values
        first, second = (_by_hand(out, v[f"outdoor_{n}"]) for n in ("before", "after"))
        assert judge(question, f"{100 * (v['after'] * first / second / v['before'] - 1):.1f} %").outcome == "right"

        question = draw(KINDS["doubt_of_the_correction"], seed, units)
        first, second = (_by_hand(out, question.values[f"outdoor_{n}"]) for n in ("before", "after"))
        for correction in (1 - first / second, second / first - 1):
            assert judge(question, f"{50 * correction:.1f} %").outcome == "right"

        question = draw(KINDS["capacity_at_the_same_return_wet_bulb"], seed, units)
        v = question.values
        first, second = (
            _by_hand(conditions.WET_BULB_ROWS, v[f"wet_bulb_{n}"], wet_bulb=True) for n in ("before", "after")
        )
        assert judge(question, f"{v['after'] * first / second / 1000:.3f} kW").outcome == "right"


def test_brought_to_the_same_conditions():
    # At 17 °C wet bulb the curve is 0.938 at 35 °C and 1.017 at 25 °C (NREL/TP-5500-56354): 46,000 there is 42,427.
    question = asked(
        "change_at_the_same_outdoor_temperature", before=40_000.0, after=46_000.0, outdoor_before=95.0,
        outdoor_after=77.0,
    )  # fmt: skip
    assert answer(question) == pytest.approx(6.1, abs=0.1)
    assert judge(question, "15.0").slip == "raw change"
    assert judge(question, "24.7").slip == "wrong way"
    question = asked("what_the_weather_alone_does", outdoor_before=95.0, outdoor_after=77.0)
    assert answer(question) == pytest.approx(8.4, abs=0.1)
    assert judge(question, "18 %").slip == "degrees as percent"


def chosen(name: str, **bare) -> str:
    question = asked(name, **bare)
    return question.shown(question.answer)


def test_is_it_seen_and_what_may_be_said():
    for change, right in (
        (9.0, "They support a gain"),
        (5.0, "They do not show a change"),
        (-9.0, "They support a loss"),
    ):
        assert chosen("is_the_change_seen", change=change, half=7.0) == right
    # 1.96 × 4 = 7.8
    assert chosen("what_the_report_may_say", change=10.0, doubt=4.0).startswith("The data support a gain")
    assert chosen("what_the_report_may_say", change=6.0, doubt=4.0).startswith("The data do not show a change")


def test_probabilities_of_the_normal_distribution():
    for change, right in ((0.0, "About 50 %"), (4.0, "About 84 %"), (8.0, "About 98 %")):
        assert chosen("how_likely_is_a_rise", change=change, doubt=4.0).startswith(right)
    # Limit 45,000: 2.5 and 0.5 standard uncertainties above, 0.5 and 2.5 below.
    for delivered, right in (
        (50_000, "Over 95"),
        (46_000, "Between 50"),
        (44_000, "Between 5 and"),
        (40_000, "Under 5"),
    ):
        found = chosen("is_the_contract_kept", share=90.0, nominal=50_000.0, delivered=delivered, doubt=2000.0)
        assert found.startswith(right)


def test_weather_and_airflow():
    assert chosen("which_way_the_weather_pushes", outdoor_before=95.0, outdoor_after=85.0).startswith("Too large")
    assert chosen("which_way_the_weather_pushes", outdoor_before=85.0, outdoor_after=95.0).startswith("Too small")
    assert chosen("should_both_be_brought_to_one_airflow", flow_before=1200.0, flow_after=1500.0).startswith("No")


@pytest.fixture(scope="module")
def laundry():
    return compare(*(load_visit(LESSON / f"laundry_{n}.toml") for n in ("before", "after")))


@pytest.fixture(scope="module")
def text():
    return " ".join((LESSON / "lesson.md").read_text(encoding="utf-8").split())


def test_the_lesson_s_verdict_is_that_of_its_visits(laundry, text):
    assert laundry.verdict.removeprefix("The data").split(" in total")[0] in text
    assert laundry.verdict.split(", ")[1] in text
    assert f"The probability that the capacity rose is {percent(laundry.probability_of_increase, 1)}." in text
    assert f"is **{percent(laundry.ratios['raw'].value)}**. This is the raw change" in text
    assert laundry.all_warnings() == []
    now = plan(laundry.before.visit)
    assert f"As it is: {percent(now.smallest_detectable_ratio)}." in text
    assert f"With an airflow measured to 2 %: {percent(now.options[1].smallest_detectable_ratio)}" in text
    assert now.smallest_detectable_ratio < 0.20


def test_the_lesson_s_table_of_readings_is_that_of_its_visits(laundry, text):
    for doubt in (laundry.before, laundry.after):
        at = doubt.at_readings
        total = float(at.capacity.total)
        assert f"{round(from_inside(total, 'capacity', 'IP'), -2):,.0f} Btu/h ({total / 1000:.1f} kW)" in text
        for value in (at.return_air.dry_bulb, at.return_air.wet_bulb, at.supply_air.dry_bulb, at.outdoor_dry_bulb):
            assert f"{from_inside(float(value), 'temperature', 'IP'):.1f} °F ({float(value):.1f} °C)" in text
        flow, dry = float(at.airflow.volume_flow), float(at.capacity.dry_air_mass_flow)
        assert f"{from_inside(flow, 'volume_flow', 'IP'):,.0f} cfm ({1000 * flow:.0f} L/s)" in text
        assert f"{from_inside(dry, 'mass_flow', 'IP'):,.0f} lb/h ({dry:.3f} kg/s)" in text
        curve = AIR_CONDITIONER.capacity_ratio(float(at.return_air.wet_bulb), float(at.outdoor_dry_bulb))
        assert f"{float(curve):.3f}" in text
    there = laundry.at_reference["total"].after.value
    assert f"{round(from_inside(there, 'capacity', 'IP'), -2):,.0f} Btu/h ({there / 1000:.1f} kW)" in text


def test_the_lesson_s_other_witnesses(laundry, text):
    moved = {r.name: r for r in moved_rows(laundry)}
    surface, ratio = moved["coil_effective_surface"], moved["expected_ratio"]
    assert f"({surface.before:.2f} to {surface.after:.2f} kg/s)" in text and surface.change.interval_95[0] > 0
    now = f"in that weather and at that airflow, and now {percent(ratio.after)}."
    assert f"{percent(ratio.before)} of what a healthy one would {now}" in text
    # The text sets this rise below that of the capacity.
    assert ratio.after / ratio.before - 1 < laundry.ratios["reference"].value
    assert f"is less than {100 * laundry.ratios['reference'].value:.1f} %: what the greater airflow" in text
    low, high = expected_of_visit(laundry.after)[0].ratio.interval_95
    assert f"95 % interval {100 * low:.0f} to {100 * high:.0f} %." in text
    efficiency = laundry.at_reference["coefficient_of_performance"].ratio
    low, high = efficiency.interval_95
    assert f"Up by {percent(efficiency.value)} at the same conditions" in text
    assert f"from {-100 * low:.0f} % less to {100 * high:.0f} % more" in text
    moisture = laundry.figures["moisture_removal"].ratio.interval_95
    assert moisture[0] < 0 < moisture[1]
    kept = acceptance(laundry.after, 0.9)
    assert (
        f"delivers {percent(kept.ratio)}, and the probability that the true figure is above 90 % is {percent(kept.probability)}"
        in text
    )


def test_the_lesson_s_lines_are_the_curve():
    import tomllib

    from airside.teach.lesson import read_lesson
    from airside.teach.marks import PictureMark

    lesson = read_lesson(LESSON)
    drawn = [m for m, _ in lesson.marks(PictureMark) if m.shows == "lines"]
    assert len(drawn) == 1
    marked = next(
        block for block in (LESSON / "lesson.md").read_text(encoding="utf-8").split("```") if 'shows = "lines"' in block
    )
    given = tomllib.loads(marked.split("\n", 1)[1])
    for line, wet_bulb in zip(given["lines"], (19.0, 18.0, 17.0), strict=True):
        assert f"({wet_bulb:.0f} °C)" in line["name"]
        at = to_inside(np.array(given["across"]["values"], dtype=float), "temperature", "IP")
        assert line["values"] == pytest.approx(100 * AIR_CONDITIONER.capacity_ratio(wet_bulb, at), abs=0.051)


def test_the_lesson_s_visits_make_a_report(laundry):
    from airside.show.report import report_bytes

    page = report_bytes(laundry.before.visit, laundry.after.visit, form="html").decode("utf-8").replace("\u00a0", " ")
    for said in (
        "Laundry by the river",
        "T. Reed",
        "Indoor coil and blower wheel cleaned, new filter",
        laundry.verdict,
    ):
        assert said in page
