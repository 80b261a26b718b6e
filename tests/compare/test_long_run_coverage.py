"""Simulated periods with a known change: the 95 % interval holds the truth in 92 to 98 % of them.

Residuals hang together, weather differs, instruments err; the same draw serves an instrument that both periods share. Of 500
pairs with a true coverage of 95 %, 92 to 98 % hold it with a probability of 99.8 % (binomial distribution).
"""

import numpy as np
import pytest
from simulated_periods import pair

from airside.compare.long_run import long_run
from airside.errors import ComparisonError

COUNT = 500
GAIN, FALL = 0.06, -0.04
TRUE = {"change_total": GAIN, "change_power": FALL, "change_efficiency": (1 + GAIN) / (1 + FALL) - 1}


def coverage(true, count, *, first=0, **both):
    """Share of pairs whose interval holds each true value; those without common conditions are left out."""
    held, seen = dict.fromkeys(true, 0), 0
    for seed in range(first, first + count):
        before, after = pair(
            seed, after={"change": true["change_total"], "power_change": true.get("change_power", 0.0)}, **both
        )
        try:
            found = long_run(before, after)
        except ComparisonError as error:
            assert "no conditions in common" in str(error)
            continue
        seen += 1
        for name, value in true.items():
            low, high = found.estimates[name].interval_95
            held[name] += low <= value <= high
    assert seen > 0.9 * count
    return {name: held[name] / seen for name in true}


def test_intervals_hold_a_known_change():
    for name, share in coverage(TRUE, COUNT, rho=0.5).items():
        assert 0.92 <= share <= 0.98, name


def test_days_that_differ_widen_the_interval():
    """Of the residuals' variance 60 % is the day's own: neighbours alone would say too little."""
    held = {False: 0, True: 0}
    for seed in range(3000, 3100):
        before, after = pair(seed, rho=0.0, of_days=0.6, after={"change": GAIN, "power_change": FALL})
        found = long_run(before, after).estimates["change_power"]
        low, high = found.interval_95
        held[True] += low <= FALL <= high
        narrow = 1.96 * np.hypot(0.6 * 0.015 * np.sqrt(2 / len(before)), found.instrument)
        held[False] += abs(found.value - FALL) <= narrow
    assert held[True] >= 90
    assert held[False] < 85


def test_intervals_of_unlike_instruments_hold_it_too():
    share = coverage({"change_total": -0.05}, 100, first=1000, rho=0.7, shared=False)["change_total"]
    assert share >= 0.90


def test_no_change_is_rarely_called_a_change():
    share = coverage({"change_total": 0.0}, 100, first=2000, rho=0.5)["change_total"]
    assert share >= 0.90


@pytest.mark.parametrize("rho", [0.0, 0.5, 0.8])
def test_the_verdict_and_its_parts_agree(rho):
    before, after = pair(5, rho=rho, after={"change": 0.25})
    found = long_run(before, after)
    assert found.is_change_supported
    low, high = found.change.interval_95
    assert f"gain of {100 * found.change.value:.1f} %" in found.verdict
    assert f"{100 * low:.1f} to {100 * high:.1f} %" in found.verdict
    e = found.change
    assert e.standard_uncertainty**2 == pytest.approx(e.model**2 + e.after**2 + e.instrument**2)
    assert sum(share for _, share in found.budget()) == pytest.approx(1.0)


def test_what_both_periods_share_cancels():
    before, after = pair(6)
    found = long_run(before, after).change.instruments
    assert found["instrument/flow station/volume_flow"] == pytest.approx(0.0, abs=1e-9)
    assert found["after/airflow"] == pytest.approx(0.005, rel=0.1)
    before, after = pair(6, shared=False)
    assert long_run(before, after).change.instruments["after instrument/flow station/volume_flow"] == pytest.approx(
        0.015, rel=0.1
    )


def test_an_instrument_of_a_condition_enters_where_it_is_not_shared():
    """An outdoor sensor that errs in one period alone shifts the change by its slope: by hand."""
    before, after = pair(8, days=10, scatter=1e-6)
    size = 0.5
    after.effects["after/outdoor"] = {"outdoor_dry_bulb": np.full(len(after), size)}
    found = long_run(before, after)
    base = found.baselines["total"]
    slope = base.coefficients[1 + base.terms.used.index("outdoor_dry_bulb")]
    predicted = found.estimates["predicted_total"].value
    assert found.change.instruments["after/outdoor"] == pytest.approx(
        -size * slope / predicted * (1 + found.change.value), rel=1e-3
    )
