"""What could be seen with the instruments of a visit, and what would halve it."""

import pytest
from pair_of_visits import AFTER, visit

import airside
from airside.compare import planning
from airside.compare.planning import again, plan

POOR = {
    "readings.return.placement": 0.4, "readings.supply.placement": 0.6,
    "instruments.probe 1.relative_humidity": {"accuracy": 5.0}, "instruments.probe 2.relative_humidity": {"accuracy": 5.0},
}  # fmt: skip
CHECK = {
    "side_by_side": {
        "instruments": ["probe 1", "probe 2"],
        "dry_bulb": [[25.0, 25.1, 25.0, 25.1], [25.1, 25.2, 25.1, 25.2]],
        "relative_humidity": [[50.0, 50.1, 50.2, 50.1], [50.0, 50.1, 50.2, 50.1]],
    }
}


def actions(found):
    return [o.action for o in found.options]


def test_the_figure_is_that_of_comparing_two_such_visits():
    found = plan(visit())
    pair = airside.compare(visit(), again(visit()), count=planning.PLANNING_DRAWS, with_budget=False)
    assert found.smallest_detectable_ratio == pytest.approx(pair.smallest_detectable_ratio)
    real = airside.compare(visit(), visit(AFTER), count=planning.PLANNING_DRAWS, with_budget=False)
    assert found.smallest_detectable_ratio == pytest.approx(real.smallest_detectable_ratio, rel=0.05)


def test_options_are_in_order_and_never_make_it_much_worse():
    for changes in ({}, POOR, CHECK):
        found = plan(visit(changes))
        sizes = [o.smallest_detectable_ratio for o in found.options]
        assert sizes == sorted(sizes)
        # One probe moved about, or a station that is new at each visit, may lose a little.
        assert max(sizes) < 1.1 * found.smallest_detectable_ratio
        assert min(sizes) < 0.85 * found.smallest_detectable_ratio
        assert len(set(actions(found))) == len(found.options)


def test_the_sentence_says_what_cannot_be_seen_and_what_would_halve_it():
    found = plan(visit(POOR))
    now = found.smallest_detectable_ratio
    assert found.sentence.startswith(
        f"With these probes and this airflow method, changes below {100 * now:.1f} % cannot be seen reliably. To halve that: "
    )
    named = found.sentence.split("To halve that: ")[1].rsplit(" (", 1)[0]
    (option,) = [o for o in found.options if o.action == named]
    assert option.smallest_detectable_ratio <= now / 2
    # The least of the steps that do it.
    assert all(
        o.smallest_detectable_ratio <= option.smallest_detectable_ratio
        for o in found.options
        if o.smallest_detectable_ratio <= now / 2
    )


def test_where_nothing_halves_it_the_sentence_names_what_helps_most():
    good = {"readings.return.placement": 0.05, "readings.supply.placement": 0.05, "airflow.relative_uncertainty": 0.02}
    found = plan(visit(good, CHECK))
    assert "cannot be seen reliably. Nothing listed here h" in found.sentence


def test_steps_already_taken_are_not_advised():
    found = plan(visit(CHECK))
    assert not any("side by side" in a for a in actions(found))
    assert not any(a.startswith("name the instruments") for a in actions(plan(visit())))
    one = plan(visit({"readings.supply.instrument": "probe 1"}))
    assert not any("one probe" in a or "side by side" in a for a in actions(one))
    mixed = plan(visit({"readings.return.placement": 0.0, "readings.supply.placement": 0.0}))
    assert not any("mixed" in a or "mix the stream" in a for a in actions(mixed))
    exact = plan(visit({"airflow.relative_uncertainty": 0.02}))
    assert not any("airflow" in a for a in actions(exact))
    many = {f"readings.{p}.{q}": [v] * 10 for p, q, v in (("return", "dry_bulb", 25.0), ("return", "relative_humidity", 50.0),
                                                         ("supply", "dry_bulb", 14.0), ("supply", "relative_humidity", 86.0))}  # fmt: skip
    assert not any("readings" in a for a in actions(plan(visit(many))))


def test_unnamed_instruments_are_to_be_named():
    found = plan(visit({"readings.return.instrument": None, "readings.supply.instrument": None}))
    naming = [o for o in found.options if o.action.startswith("name the instruments and use the same")]
    assert naming[0].smallest_detectable_ratio < found.smallest_detectable_ratio


def test_a_rule_of_thumb_is_to_be_measured():
    thumb = {"airflow": {"method": "rule of thumb", "flow_per_capacity": 54}}
    found = plan(visit(thumb))
    (option,) = [o for o in found.options if o.action.startswith("measure the airflow")]
    assert option.smallest_detectable_ratio < 0.9 * found.smallest_detectable_ratio


def test_a_single_reading_gains_by_taking_ten():
    single = {f"readings.{p}.{q}": [v] for p, q, v in (("return", "dry_bulb", 25.0), ("return", "relative_humidity", 50.0),
                                                      ("supply", "dry_bulb", 14.0), ("supply", "relative_humidity", 86.0))}  # fmt: skip
    still = {"readings.return.placement": 0.0, "readings.supply.placement": 0.0}
    found = plan(visit(single, still))
    (option,) = [o for o in found.options if o.action.startswith("take 10 readings")]
    assert option.smallest_detectable_ratio < 0.97 * found.smallest_detectable_ratio


def test_imagined_readings_are_ten_with_the_scatter_of_the_visit_and_its_mean():
    import numpy as np

    from airside.instruments.steadiness import standard_error

    changed = planning.more_readings(visit())
    for one, other in ((visit().readings.supply, changed.readings.supply),):
        assert len(other.dry_bulb) == len(other.relative_humidity) == planning.READINGS
        assert np.mean(other.dry_bulb) == pytest.approx(np.mean(one.dry_bulb))
        scatter = np.std(one.dry_bulb, ddof=1)
        assert np.std(other.dry_bulb, ddof=1) == pytest.approx(scatter)
        assert standard_error(other.dry_bulb) == pytest.approx(scatter / np.sqrt(10), rel=0.15)


def test_the_shares_say_where_the_doubt_comes_from():
    found = plan(visit(POOR))
    assert 1 <= len(found.largest) <= 3
    assert any("placement" in t for t in found.largest)


@pytest.mark.parametrize("mode", ["cooling", "heating"])
def test_a_dated_visit_can_be_planned_with(mode):
    from datetime import date

    from pair_of_visits import HEATING

    changes = [{"date": date(2026, 7, 14)}, *([HEATING] if mode == "heating" else [])]
    assert plan(visit(*changes)).smallest_detectable_ratio > 0
