"""Range and trend of readings, and the standard error of their mean."""

import math

import numpy as np
import pytest

from airside.instruments.steadiness import (
    TOLERANCES,
    beyond_tolerance,
    degrees_of_freedom,
    standard_error,
    trend,
)


def test_the_strict_set_is_that_of_10_cfr_430():
    """10 CFR part 430 subpart B appendix M1; recall: memory (reference/test_tolerances.csv), ranges in °F."""
    stated = {"dry_bulb": 2.0, "wet_bulb": 1.0, "outdoor": 2.0}
    for name, fahrenheit in stated.items():
        assert TOLERANCES["strict"][name] == pytest.approx(fahrenheit / 1.8)


def test_the_field_set_is_the_wider_one():
    assert set(TOLERANCES["field"]) == set(TOLERANCES["strict"])
    assert all(TOLERANCES["field"][name] > limit for name, limit in TOLERANCES["strict"].items())


def test_ranges_are_held_to_either_set():
    readings = [("return dry bulb", "dry_bulb", (24.0, 25.2, 24.5)), ("supply wet bulb", "wet_bulb", (12.0, 12.4))]
    assert beyond_tolerance(readings, "field") == []
    (found,) = beyond_tolerance(readings, "strict")
    assert (found.quantity, found.range, found.tolerance) == (
        "return dry bulb",
        pytest.approx(1.2),
        pytest.approx(2 / 1.8),
    )


def test_a_range_that_equals_the_tolerance_is_within_it():
    assert beyond_tolerance([("a", "dry_bulb", (24.1, 25.6))], "field") == []
    assert beyond_tolerance([("a", "dry_bulb", (24.0,))], "strict") == []


def test_a_trend_is_significant_against_its_own_scatter():
    rising = [20.0, 20.3, 20.5, 20.9, 21.1, 21.4]
    found = trend(rising)
    assert found.change == pytest.approx(1.4, abs=0.05)
    assert found.is_significant
    assert not trend([20.0, 20.4, 19.9, 20.3, 20.1, 20.2]).is_significant


def test_few_readings_have_no_significant_trend():
    assert trend([20.0]).change == 0
    assert trend([20.0, 21.0]).change == pytest.approx(1)
    assert not trend([20.0, 21.0, 22.0]).is_significant


def test_a_perfect_line_is_a_trend_and_a_flat_one_is_not():
    assert trend([1.0, 2.0, 3.0, 4.0]).is_significant
    assert trend([5.0] * 6) == type(trend([5.0]))(0.0, False)


def test_scatter_alone_is_called_a_trend_once_in_twenty():
    random = np.random.default_rng(11)
    called = [trend(random.standard_normal(8)).is_significant for _ in range(4000)]
    assert np.mean(called) == pytest.approx(0.05, abs=0.012)


def test_few_readings_have_the_usual_standard_error():
    values = [20.0, 20.4, 19.9, 20.3]
    assert standard_error(values) == pytest.approx(np.std(values, ddof=1) / 2)
    assert standard_error([20.0]) == 0
    assert degrees_of_freedom(4) == 3


@pytest.mark.parametrize("count", [5, 12, 30])
def test_standard_error_and_its_degrees_of_freedom_against_simulated_readings(count):
    random = np.random.default_rng(13)
    readings = random.standard_normal((20_000, count))
    found = np.array([standard_error(r) for r in readings])
    assert math.sqrt((found**2).mean()) == pytest.approx(1 / math.sqrt(count), rel=0.01)
    # A variance of ν degrees of freedom scatters by 2/ν of its square.
    assert 2 / ((found**2).var() / (found**2).mean() ** 2) == pytest.approx(degrees_of_freedom(count), rel=0.06)


def test_many_readings_see_the_noise_and_not_a_slow_change():
    random = np.random.default_rng(17)
    slow = 20 + np.linspace(0, 1.5, 30) + 0.1 * random.standard_normal((500, 30))
    found = np.sqrt(np.mean([standard_error(s) ** 2 for s in slow]))
    assert found == pytest.approx(0.1 / math.sqrt(30), rel=0.1)
    assert found < 0.3 * np.std(slow[0], ddof=1) / math.sqrt(30)
