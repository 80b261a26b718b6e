"""Comparing two visits: what is refused, what is warned of, the verdict, the numbers, the JSON."""

import json
import math
from datetime import date, datetime, timedelta, timezone

import numpy as np
import pytest
from pair_of_visits import AFTER, HEATING, supply, visit

import airside
from airside.compare.reference import RATING, Conditions
from airside.compare.result import DETECTION
from airside.errors import ComparisonError

DRAWS = 20_000
NO_OUTDOOR = {"readings.outdoor": None}


def change(before=(), after=(), **more):
    return airside.compare(visit(*before), visit(AFTER, *after), **{"count": DRAWS, "with_budget": False, **more})


def codes(found):
    return [w.code for w in found.all_warnings()]


# -- what cannot be compared ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ({}, HEATING, "before is in cooling and after in heating; expected two visits in one mode."),
        ({}, {"system.name": "other unit"}, 'before is of the system "unit" and after of "other unit"'),
        ({"date": date(2026, 7, 14)}, {"date": date(2026, 7, 13)}, "dated 2026-07-14 and after 2026-07-13"),
        ({"date": datetime(2026, 7, 14, 15)}, {"date": datetime(2026, 7, 14, 9)}, "Swap the two files"),
        ({"date": datetime(2026, 7, 14, 15)}, {"date": date(2026, 7, 13)}, "Swap the two files"),
    ],
)
def test_what_cannot_be_compared_is_a_sentence(before, after, words):
    with pytest.raises(ComparisonError) as error:
        change([before], [after])
    assert words in str(error.value)
    assert str(error.value).endswith(".") and "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (date(2026, 7, 14), date(2026, 7, 14)),
        (datetime(2026, 7, 14, 9), datetime(2026, 7, 14, 15)),
        (datetime(2026, 7, 14, 15), date(2026, 7, 14)),
        # Times with and without a zone are told apart by the day alone.
        (datetime(2026, 7, 14, 15, tzinfo=timezone.utc), datetime(2026, 7, 14, 9)),  # noqa: UP017
        (datetime(2026, 7, 14, 9, tzinfo=timezone(timedelta(hours=-6))), datetime(2026, 7, 14, 15, 30, tzinfo=timezone.utc)),  # noqa: UP017
        (None, date(2020, 1, 1)),
    ],
)  # fmt: skip
def test_dates_that_may_be_right_pass(before, after):
    found = change([{"date": before}], [{"date": after}])
    assert found.verdict.startswith("The data")


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("nominal_capacity", 12.0, "system.nominal_capacity is 10.0 kW before and 12.0 kW after"),
        ("refrigerant", "R-32", "system.refrigerant is R-410A before and R-32 after"),
    ],
)
def test_another_capacity_or_refrigerant_is_a_warning(name, value, words):
    found = change([{"system.refrigerant": "R-410A"}], [{"system.refrigerant": "R-410A", f"system.{name}": value}])
    (said,) = [w.message for w in found.all_warnings() if w.code == "different_system"]
    assert words in said and "retrofit" in said


@pytest.mark.parametrize("which", [0, 1])
def test_a_visit_without_capacity_has_no_ratio(which):
    pair = [(), ()]
    pair[which] = [supply(26.0, 60.0)]
    with pytest.raises(ComparisonError, match=f"{('before', 'after')[which]}: the total capacity is -"):
        change(*pair)


# -- one and the same, and equal ------------------------------------------------------------------


def test_a_visit_against_itself_is_exactly_no_change():
    found = airside.compare(visit(), visit(), count=DRAWS)
    for name in ("raw", "reference"):
        assert found.ratios[name].value == 0
        assert found.ratios[name].interval_95 == (0, 0)
        assert not found.draws[name].any()
    assert not found.is_change_supported
    assert found.probability_of_increase == 0
    assert found.verdict == "Before and after are one and the same visit: the change in total capacity is 0.0 %."
    assert codes(found) == ["same_visit"]
    json.dumps(found.to_dict(), allow_nan=False)


def test_the_same_readings_at_another_visit_are_not_the_same_visit():
    found = change()
    assert found.ratios["raw"].value == 0
    assert found.ratios["raw"].standard_uncertainty > 0.02
    assert 0.4 < found.probability_of_increase < 0.6
    assert "same_visit" not in codes(found)


# -- verdict --------------------------------------------------------------------------------------


def parts(verdict):
    """Numbers of a verdict."""
    import re

    return [float(n) for n in re.findall(r"[+-]?\d+\.\d", verdict)]


def test_the_verdict_of_a_gain():
    found = change(after=[supply(11.5)])
    low, high = found.ratios["reference"].interval_95
    assert low > 0 and found.is_change_supported
    assert found.verdict.startswith("The data support a gain of ")
    assert "in total capacity at the same conditions, 95 % interval" in found.verdict
    expected = [100 * found.ratios["reference"].value, 100 * low, 100 * high]
    assert [parts(found.verdict)[i] for i in (0, 1, 2)] == pytest.approx(expected, abs=0.05)
    assert found.probability_of_increase > 0.975


def test_the_verdict_of_a_loss_says_how_large_the_loss_is():
    found = change(after=[supply(17.5)])
    low, high = found.ratios["reference"].interval_95
    assert high < 0
    assert found.verdict.startswith("The data support a loss of ")
    expected = [-100 * found.ratios["reference"].value, -100 * high, -100 * low]
    assert parts(found.verdict)[:3] == pytest.approx(expected, abs=0.05)
    assert found.probability_of_increase < 0.025


def test_the_verdict_where_nothing_shows_says_what_could_not_be_seen():
    found = change(after=[supply(13.8)])
    low, high = found.ratios["reference"].interval_95
    assert low < 0 < high
    numbers = parts(found.verdict)
    assert found.verdict.startswith("The data do not show a change in total capacity at the same conditions: +")
    assert numbers[0] == pytest.approx(100 * found.ratios["reference"].value, abs=0.05)
    assert numbers[1:3] == pytest.approx([100 * low, 100 * high], abs=0.05)
    assert f"A change below {100 * found.smallest_detectable_ratio:.1f} % could not be seen reliably." in found.verdict


def test_a_verdict_without_outdoor_readings_says_that_it_is_not_at_the_same_conditions():
    found = change([NO_OUTDOOR], [NO_OUTDOOR, supply(10.5)])
    assert found.basis == "raw" and "as measured, not at the same conditions" in found.verdict
    assert found.correction is None and "has no outdoor dry bulb" in found.reason
    assert codes(found) == ["not_at_reference"]


def test_the_probability_and_the_interval_are_those_of_the_draws():
    found = change(after=[supply(13.0)])
    drawn = found.draws["reference"]
    assert found.probability_of_increase == pytest.approx(np.mean(drawn > 0))
    assert found.ratios["reference"].interval_95 == pytest.approx(np.quantile(drawn, [0.025, 0.975]), abs=1e-12)
    assert f"{100 * found.probability_of_increase:.1f} %" in found.text()


def test_the_smallest_detectable_change_is_that_of_a_test_of_5_percent_and_80_percent_power():
    assert pytest.approx(1.959964 + 0.841621) == DETECTION
    found = change(after=[supply(13.0)])
    # The doubt of a ratio grows with the ratio: it is taken as if nothing had changed.
    ratio = found.ratios["reference"]
    unchanged = ratio.standard_uncertainty / (1 + ratio.value)
    assert found.smallest_detectable_ratio == pytest.approx(DETECTION * unchanged)
    equal = change()
    assert found.smallest_detectable_ratio == pytest.approx(equal.smallest_detectable_ratio, rel=0.15)
    # A true change of that size is called a change in 80 % of cases.
    random = np.random.default_rng(1)
    seen = found.smallest_detectable_ratio + unchanged * random.standard_normal(100_000)
    assert np.mean(seen > 1.96 * unchanged) == pytest.approx(0.8, abs=0.005)


# -- the figures ----------------------------------------------------------------------------------


def test_every_figure_is_that_of_the_two_visits():
    found = change(after=[supply(12.0)])
    alone = [airside.analyse(v, count=DRAWS) for v in (visit(), visit(AFTER, supply(12.0)))]
    for name in ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal"):
        one, other = (float(getattr(r.capacity, name)) for r in alone)
        figure = found.figures[name]
        assert (figure.before.value, figure.after.value) == pytest.approx((one, other))
        assert figure.change.value == pytest.approx(other - one)
        assert figure.ratio.value == pytest.approx(other / one - 1)
        assert figure.before.standard_uncertainty == pytest.approx(
            alone[0].doubt.estimate(name).standard_uncertainty, rel=0.05
        )
    assert found.figures["coefficient_of_performance"].before.value == pytest.approx(
        float(alone[0].capacity.total) / 3005, rel=1e-6
    )
    assert found.ratios["raw"] == found.figures["total"].ratio


def test_without_power_there_is_no_efficiency():
    found = change([{"readings.power": None}])
    assert "coefficient_of_performance" not in found.figures
    assert list(found.at_reference) == ["total"]


def test_the_budget_names_the_visit_and_adds_up():
    found = change(after=[supply(12.0)], with_budget=True)
    for rows in found.budgets.values():
        assert sum(r.share for r in rows) == pytest.approx(1, abs=0.05)
        assert [r.share for r in rows] == sorted((r.share for r in rows), reverse=True)
    shown = [r.error.name for r in found.budgets["reference"]]
    assert any(n.startswith("before: ") for n in shown) and any(n.startswith("after: ") for n in shown)
    assert "probe 1 dry bulb, calibration" in shown
    assert found.improve and all(" %)" in t for t in found.improve)


def test_the_budget_without_a_shortcut_is_the_same(monkeypatch):
    import airside.compare.change as module

    quick = change(after=[supply(12.0)], with_budget=True).budgets["reference"]
    monkeypatch.setattr(module, "NEGLIGIBLE", 0.0)
    full = {r.error.key: r.share for r in change(after=[supply(12.0)], with_budget=True).budgets["reference"]}
    for row in quick:
        assert row.share == pytest.approx(full[row.error.key], abs=2e-3)


# -- the same conditions --------------------------------------------------------------------------

HOTTER = {"readings.outdoor.dry_bulb": [38.0, 38.1, 37.9, 38.0]}


def test_a_hotter_day_after_is_made_up_for():
    found = change(after=[HOTTER])
    assert found.ratios["raw"].value == 0
    assert found.ratios["reference"].value > 0.03
    assert found.ratios["reference"].standard_uncertainty > found.ratios["raw"].standard_uncertainty
    # The capacity before is at its own conditions already.
    assert found.at_reference["total"].before.value == pytest.approx(found.figures["total"].before.value)


def test_the_correction_is_the_ratio_of_the_curve():
    from airside.compare.curves import AIR_CONDITIONER

    found = change(after=[HOTTER])
    wet_bulb = float(np.asarray(found.before.at_readings.return_air.wet_bulb))
    expected = AIR_CONDITIONER.capacity_ratio(wet_bulb, 32.0) / AIR_CONDITIONER.capacity_ratio(wet_bulb, 38.0)
    assert 1 + found.ratios["reference"].value == pytest.approx(expected, rel=1e-6)
    power = AIR_CONDITIONER.power_ratio(wet_bulb, 32.0) / AIR_CONDITIONER.power_ratio(wet_bulb, 38.0)
    assert 1 + found.at_reference["coefficient_of_performance"].ratio.value == pytest.approx(expected / power, rel=1e-6)


def test_the_doubt_of_the_curve_grows_with_the_distance():
    sizes = []
    for outdoor in (33.0, 36.0, 42.0):
        found = change(after=[{"readings.outdoor.dry_bulb": [outdoor] * 4}], with_budget=True)
        parts = {r.error.key: r.contribution for r in found.budgets["reference"]}
        sizes.append(parts["curve/capacity/outdoor"])
        step = math.log(1 + found.ratios["reference"].value)
        # Beside the distance itself, the doubt of both outdoor readings makes some.
        assert sizes[-1] == pytest.approx(0.5 * abs(step) * math.exp(step), rel=0.12 if outdoor > 35 else 0.4)
    assert sizes == sorted(sizes)


@pytest.mark.parametrize("reference", ["before", "after", "A", "B", Conditions("stated conditions", 20.0, 33.0)])
def test_the_references_give_nearly_one_change(reference):
    """Both visits are corrected to one place: which place hardly matters to the ratio."""
    found = change(after=[HOTTER, supply(13.0)], reference=reference)
    assert found.ratios["reference"].value == pytest.approx(
        change(after=[HOTTER, supply(13.0)]).ratios["reference"].value, abs=0.01
    )
    wanted = found.reference
    if reference in ("A", "B"):
        assert wanted == RATING["cooling"][reference]
    assert wanted.text("SI", "cooling") in found.text()


def test_what_both_visits_are_corrected_by_cancels():
    """At equal conditions the way to a far reference is common: the doubt of the curve stays out of the ratio."""
    found = change(after=[supply(13.0)], reference=Conditions("far", 23.0, 48.0), with_budget=True)
    shares = {r.error.key: r.share for r in found.budgets["reference"]}
    assert shares["curve/capacity/indoor"] < 1e-3 and shares["curve/capacity/outdoor"] < 1e-3
    # Each capacity at that reference carries it in full.
    at = found.at_reference["total"].before
    own = found.figures["total"].before
    assert at.standard_uncertainty / at.value > own.standard_uncertainty / own.value


def test_flow_is_part_of_the_change_unless_it_is_to_be_corrected():
    more_air = {"airflow.volume_flow": [600.0, 602.0, 598.0, 601.0]}
    as_found, same = (change(after=[more_air], same_flow=s) for s in (False, True))
    assert "A change of airflow is part of the change; it is not corrected." in as_found.assumptions()
    assert same.ratios["reference"].value < as_found.ratios["reference"].value - 0.01
    assert any(e.key == "curve/capacity/flow" for e in same.correction.errors("capacity"))
    assert any("customary one for the nominal capacity" in a for a in same.assumptions())
    nameless = change([{"system.nominal_capacity": None}], [more_air], same_flow=True)
    assert any("nominal capacity is unknown" in a for a in nameless.assumptions())


@pytest.mark.parametrize(
    ("reference", "words"),
    [
        (Conditions("stated conditions", 28.0, 35.0), "the reference: the return wet bulb of 28.0 °C is outside"),
        (Conditions("stated conditions", 19.0, 60.0), "the reference: the outdoor dry bulb of 60.0 °C is outside"),
        ("H1", 'reference is "H1"; expected one of "before", "after", "A", "B" in cooling, or stated conditions.'),
        ("noon", 'reference is "noon"; expected one of'),
    ],
)
def test_a_reference_that_cannot_be_used_is_refused(reference, words):
    for pair in ((), ([NO_OUTDOOR], [NO_OUTDOOR])):
        if pair and isinstance(reference, Conditions):
            continue
        with pytest.raises(ComparisonError) as error:
            change(*pair, reference=reference)
        assert words in str(error.value)


def test_conditions_outside_the_curve_leave_the_raw_change_and_say_why():
    cold = {"readings.outdoor.dry_bulb": [10.0] * 4}
    found = change(after=[cold])
    assert found.basis == "raw" and found.reference is None and found.at_reference == {}
    assert found.reason == (
        "The change is not brought to the same conditions. The after visit: the outdoor dry bulb of 10.0 °C is outside "
        "the rating curve of a single-speed air conditioner in cooling (NREL/TP-5500-56354), which holds from 18.3 °C "
        "to 51.7 °C."
    )
    assert "not_at_reference" in codes(found)
    assert found.to_dict()["change_at_reference"] is None


def test_flow_outside_the_curve_matters_only_where_flow_is_corrected():
    little = {"airflow.volume_flow": [300.0] * 4}
    assert change(after=[little]).basis == "reference"
    found = change(after=[little], same_flow=True)
    assert found.basis == "raw" and "flow ratio" in found.reason


# -- heating --------------------------------------------------------------------------------------


def test_heating_at_rating_condition_h1():
    warmer = {"readings.outdoor.dry_bulb": [3.0] * 4}
    found = change([HEATING], [HEATING, warmer], reference="H1")
    assert found.reference == RATING["heating"]["H1"]
    assert found.reference.indoor == pytest.approx((70 - 32) / 1.8)
    assert found.reference.outdoor == pytest.approx((47 - 32) / 1.8)
    assert found.ratios["raw"].value == 0
    assert found.ratios["reference"].value > 0.05
    assert "return dry bulb" in found.text()


def test_heating_refuses_cooling_conditions_and_an_air_conditioner_has_no_curve_for_it():
    with pytest.raises(ComparisonError, match='"before", "after", "H1" in heating'):
        change([HEATING], [HEATING], reference="A")
    plain = {"system.equipment": "air conditioner"}
    found = change([HEATING, plain], [HEATING, plain])
    assert found.basis == "raw"
    assert "no rating curve for an air conditioner in heating" in found.reason


# -- JSON -----------------------------------------------------------------------------------------


def check_numbers(content, path=""):
    """Every number is finite or null, and every quantity has its three parts."""
    if isinstance(content, dict):
        if "standard_uncertainty" in content:
            assert set(content) == {"value", "standard_uncertainty", "interval_95"}, path
            assert len(content["interval_95"]) == 2
        for key, value in content.items():
            check_numbers(value, f"{path}.{key}")
    elif isinstance(content, list):
        for value in content:
            check_numbers(value, f"{path}[]")
    elif isinstance(content, float):
        assert math.isfinite(content), path


KEYS = ("probability_of_increase", "smallest_detectable_ratio", "verdict", "warnings", "assumptions")


@pytest.mark.parametrize("pair", [((), [supply(12.5)]), ([NO_OUTDOOR], [NO_OUTDOOR]), ([HEATING], [HEATING])])
def test_the_json_contract(pair):
    found = change(*pair, with_budget=True)
    content = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    check_numbers(content)
    assert content["format"] == "airside compare 1"
    assert set(KEYS) <= set(content)
    assert content["change"]["total_ratio"]["value"] == found.ratios["raw"].value
    assert 0 <= content["probability_of_increase"] <= 1 and content["smallest_detectable_ratio"] > 0
    assert isinstance(content["verdict"], str)
    assert all(set(w) == {"code", "message"} for w in content["warnings"])
    assert all(isinstance(a, str) for a in content["assumptions"])
    if found.basis == "reference":
        assert content["change_at_reference"]["total_ratio"]["value"] == found.ratios["reference"].value
        assert set(content["reference"]) == {"name", "indoor_C", "outdoor_dry_bulb_C", "by"}
    else:
        assert content["change_at_reference"] is None
    for side in ("before", "after"):
        assert {
            "visit",
            "total_W",
            "sensible_W",
            "latent_W",
            "sensible_heat_ratio",
            "coefficient_of_performance",
        } <= set(content[side])
    for name in ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal"):
        assert f"{name}_ratio" in content["change"]
    assert set(content["budget"]) == set(found.ratios)


def test_a_visit_that_cannot_say_anything_gives_null_and_a_sentence():
    """Every draw of this supply is beyond saturation, or nearly so."""
    wet = {
        "readings.supply.relative_humidity": [100.0] * 6,
        "instruments.probe 2.relative_humidity": {"accuracy": 0.0001},
        "instruments.probe 2.dry_bulb": {"accuracy": 0.0001}, "readings.supply.placement": 0.0,
    }  # fmt: skip
    found = change([wet], [wet], count=1000)
    json.dumps(found.to_dict(), allow_nan=False)
    assert found.set_aside > 400
    said = [w.message for w in found.all_warnings() if w.code == "draws_set_aside"]
    # Each visit's own, and that of the pair.
    assert len(said) == 3
    assert f"{found.set_aside:,} of 1,000 draws" in said[-1] and "from the change at the readings" in said[-1]


def test_near_saturation_set_aside_draws_are_counted_with_their_shift():
    wet = {"readings.supply.relative_humidity": [98.5, 98.6, 98.4, 98.5, 98.5, 98.5]}
    found = change([wet], [wet, supply(13.0, 98.5)])
    possible = found.before.is_possible & found.after.is_possible
    assert found.set_aside == DRAWS - np.count_nonzero(possible) > 1000
    assert found.draws["raw"].size == np.count_nonzero(possible)
    assert found.to_dict()["draws_set_aside"] == found.set_aside
    shift = found.ratios["reference"].mean - found.ratios["reference"].value
    assert any(f"{100 * shift:+.1f} % of capacity" in w.message or "0.0 % of capacity" in w.message for w in found.all_warnings())  # fmt: skip


# -- printing -------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["IP", "SI", None])
def test_the_text_begins_with_names_and_verdict(units):
    found = change(after=[supply(12.5)])
    lines = found.text(units).splitlines()
    assert lines[0] == "unit before → unit after"
    assert lines[2] == found.verdict
    assert ("Btu/h" in found.text(units)) == (units == "IP")
    assert str(found) == found.text()
    frame = found.to_frame()
    assert frame["ratio_total"].iloc[0] == found.ratios["raw"].value
    assert "at_reference_ratio_total" in frame.columns


def test_the_same_seed_gives_the_same_comparison():
    one, two = (change(after=[supply(12.5)], seed=9, with_budget=True).to_dict() for _ in range(2))
    assert one == two
    assert one != change(after=[supply(12.5)], seed=10, with_budget=True).to_dict()


@pytest.mark.parametrize(
    "first", ["import airside.compare.reference", "import airside.compare", "airside.compare", "pass"]
)
def test_the_public_name_works_whatever_was_imported_before(first):
    import subprocess
    import sys

    code = f"import airside\n{first}\nprint(callable(airside.compare))\n"
    code += "try:\n    airside.compare()\nexcept TypeError as e:\n    print(e)\n"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[0] == "True"
    assert "before" in done.stdout and "not callable" not in done.stdout
