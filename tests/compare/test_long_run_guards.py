"""Each guard of a long-period comparison says its sentence, and is silent where there is nothing to say."""

from dataclasses import replace

import numpy as np
import pytest
from simulated_periods import DAY, pair

from airside.compare.long_run import long_run
from airside.errors import ComparisonError


def codes(found):
    return {w.code for w in found.warnings}


def message(found, code):
    (text,) = (w.message for w in found.warnings if w.code == code)
    return text


def with_total(period, factor):
    return replace(period, columns=dict(period.columns) | {"total": period.columns["total"] * factor})


def test_a_sound_pair_has_no_warnings():
    said = [codes(long_run(*pair(seed, days=12, rho=0.3))) for seed in range(20)]
    # What is tested at the 1 % level three times may fire now and then.
    assert sum(map(bool, said)) <= 4


def test_too_few_stretches_and_days():
    found = long_run(*pair(4, days=2, per_day=10, outdoor=31.0, spread=0.5, before={"days": 3}))
    assert "few_days" in codes(found)
    assert "what differs from day to day is not in the interval" in message(found, "few_days")
    assert "few_stretches" in codes(found)
    assert any("Log at least 3 days" in w for w in found.weighty())


def test_no_overlap_of_conditions_stops_with_the_ranges():
    with pytest.raises(ComparisonError, match=r"no conditions in common.*outdoor dry bulb .* before, .* after"):
        long_run(*pair(1, after={"outdoor": 55.0}))


def test_little_overlap_is_said_and_counted():
    before, after = pair(3, days=10, after={"outdoor": 43.0})
    found = long_run(before, after)
    assert found.set_apart > len(after) / 2
    assert "few_inside" in codes(found)
    assert found.estimates["measured_total"].value == pytest.approx(after.columns["total"][found.inside].mean())


def test_residuals_that_drift():
    before, after = pair(2, days=12, rho=0.2)
    fouling = with_total(before, np.linspace(1.03, 0.97, len(before)))
    assert "through the before period" in message(long_run(fouling, after), "drift")
    loading = with_total(after, np.linspace(1.04, 0.96, len(after)))
    assert "through the after period" in message(long_run(before, loading), "drift")
    assert "drift" not in codes(long_run(before, after))


def test_a_change_that_goes_with_the_weather():
    before, after = pair(2, days=12, rho=0.2)
    air = after.columns["outdoor_dry_bulb"]
    found = long_run(before, with_total(after, 1 + 0.01 * (air - air.mean())))
    assert "not the same at all outdoor temperatures" in message(found, "uneven_change")


def test_one_day_that_decides():
    before, after = pair(7, days=6, per_day=8, scatter=0.005, rho=0.2, shared=True)
    for effects in (before.effects, after.effects):
        effects.clear()
    last = np.array(after.day) == after.days[-1]
    found = long_run(before, with_total(after, np.where(last, 1.30, 1.0)))
    text = message(found, "one_day_decides")
    assert after.days[-1] in text and "(after)" in text
    low, high = found.influence
    assert low < found.change.value < high
    assert len(found.days) == len(before.days) + len(set(after.keeping(found.inside).day))


def test_other_stage_and_mode():
    before, after = pair(1)
    found = long_run(replace(before, stages=("stage 1",)), replace(after, stages=("stage 2",)))
    assert "Before is at stage 1, after at stage 2" in message(found, "other_stage")
    mixed = long_run(replace(before, stages=("stage 1", "stage 2")), replace(after, stages=("stage 1",)))
    assert "before period mixes stage 1 and stage 2" in message(mixed, "mixed_stages")
    with pytest.raises(ComparisonError, match="before is in cooling and after in heating"):
        long_run(before, replace(after, mode="heating"))


def test_other_instruments():
    assert "share no named instrument" in message(long_run(*pair(1, shared=False)), "no_common_instrument")
    before, after = pair(1)
    moves = {k: v for k, v in after.effects.items() if "meter" not in k}
    found = long_run(before, replace(after, effects=moves))
    assert "meter only before" in message(found, "other_instruments")


def test_the_order_of_the_periods():
    before, after = pair(1)
    with pytest.raises(ComparisonError, match="Swap the two"):
        long_run(after, before)
    moved = replace(after, begin=before.begin + DAY)
    assert "overlap in time" in message(long_run(before, moved), "overlap_in_time")


def test_another_airflow():
    before, after = pair(1, after={"flow": 0.62})
    assert "part of the change" in message(long_run(before, after), "other_flow")
    random = np.random.default_rng(1)
    moving = [replace(p, columns=dict(p.columns) | {"volume_flow": low + 0.1 * random.random(len(p))})
              for p, low in ((before, 0.5), (after, 0.57))]  # fmt: skip
    assert "--without volume_flow" in message(long_run(*moving), "other_flow")
    assert "leave it out" not in message(long_run(*moving, without=["volume_flow"]), "other_flow")


def test_a_condition_that_the_after_period_lacks():
    before, after = pair(1)
    columns = {n: v for n, v in after.columns.items() if n != "outdoor_dry_bulb"}
    with pytest.raises(ComparisonError, match="outdoor dry bulb is not known, and the before period has it"):
        long_run(before, replace(after, columns=columns, effects={}))


def test_sources_that_are_none(tmp_path):
    with pytest.raises(ComparisonError, match="the folder holds no visit file"):
        long_run(tmp_path, tmp_path)
    with pytest.raises(ComparisonError, match="no visit file is named"):
        long_run([], [])
    with pytest.raises(ComparisonError, match="before is int"):
        long_run(5, 5)
