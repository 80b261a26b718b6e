"""Acceptance against a specification, as JCGM 106:2012 has it."""

import math

import numpy as np
import pytest
from pair_of_visits import visit

import airside
from airside.compare.acceptance import acceptance
from airside.errors import ComparisonError


@pytest.fixture(scope="module")
def doubt():
    return airside.analyse(visit(), count=100_000).doubt


def normal_above(limit, mean, u):
    """JCGM 106:2012 7.4: conformance probability of a normal quantity with a lower limit."""
    return 0.5 * (1 + math.erf((mean - limit) / (u * math.sqrt(2))))


@pytest.mark.parametrize("share", [0.7, 0.8, 0.85, 0.9, 1.0])
def test_the_probability_is_that_of_a_normal_distribution(doubt, share):
    """Capacity here is nearly normal: its draws and the hand calculation agree to a percent."""
    total = doubt.estimate("total")
    found = acceptance(doubt, share)
    assert found.limit == pytest.approx(share * 10_000)
    expected = normal_above(found.limit, total.mean, total.standard_uncertainty)
    assert found.probability == pytest.approx(expected, abs=0.012)
    assert found.ratio == pytest.approx(total.value / 10_000)


def test_the_limit_at_the_estimate_itself_is_an_even_chance(doubt):
    median = float(np.median(np.asarray(doubt.measured.capacity.total)))
    assert acceptance(doubt, 1.0, capacity=median).probability == pytest.approx(0.5, abs=1e-4)


def test_the_sentence_has_its_numbers(doubt):
    found = acceptance(doubt, 0.8)
    assert found.sentence == (
        f"Delivered capacity, as measured and not at rating conditions, is {100 * found.ratio:.0f} % of nominal capacity. The probability that it is at least "
        f"80 % of it is {100 * found.probability:.1f} %."
    )
    assert "of expected capacity" in acceptance(doubt, 0.8, capacity=9000.0, of="expected capacity").sentence


@pytest.mark.parametrize("share", [0.0, -0.9, 90.0, math.nan])
def test_a_share_is_a_fraction(doubt, share):
    with pytest.raises(ComparisonError, match=r"expected a fraction such as 0[.]9"):
        acceptance(doubt, share)


def test_without_a_specification_there_is_nothing_to_hold_against():
    found = airside.analyse(visit({"system.nominal_capacity": None}), count=1000).doubt
    with pytest.raises(ComparisonError, match="Add nominal_capacity"):
        acceptance(found, 0.9)
    assert 0 < acceptance(found, 0.9, capacity=9000.0).probability < 1
