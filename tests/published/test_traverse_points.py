"""Where to put the probe in a duct traverse.

Source: ISO 3966; ASHRAE Handbook—Fundamentals ch. 37 (Measurement and Instruments). Recall: memory, so these
numbers are not checked against a printed table; what can be recomputed of them is recomputed here.
"""

import numpy as np
import pytest

from airside.airflow.traverse import LOG_LINEAR, LOG_TCHEBYCHEFF, rectangular_positions, round_positions

# Fraction of the duct's side from one wall.
PUBLISHED_LOG_TCHEBYCHEFF = {
    5: "0.074 0.288 0.500 0.712 0.926",
    6: "0.061 0.235 0.437 0.563 0.765 0.939",
    7: "0.053 0.203 0.366 0.500 0.634 0.797 0.947",
}
# Fraction of the diameter from one wall.
PUBLISHED_LOG_LINEAR = {
    6: "0.032 0.135 0.321 0.679 0.865 0.968",
    8: "0.021 0.117 0.184 0.345 0.655 0.816 0.883 0.979",
    10: "0.019 0.077 0.153 0.217 0.361 0.639 0.783 0.847 0.923 0.981",
}


def numbers(text: str) -> list[float]:
    return [float(t) for t in text.split()]


@pytest.mark.parametrize("count", PUBLISHED_LOG_TCHEBYCHEFF)
def test_rectangular_duct(count):
    published = np.array(numbers(PUBLISHED_LOG_TCHEBYCHEFF[count]))
    points = rectangular_positions(0.5, 0.4, count, count)
    assert points.shape == (count * count, 2)
    np.testing.assert_allclose(np.unique(points[:, 0]), published * 0.5, rtol=1e-12)
    np.testing.assert_allclose(np.unique(points[:, 1]), published * 0.4, rtol=1e-12)


@pytest.mark.parametrize("count", PUBLISHED_LOG_LINEAR)
def test_round_duct(count):
    np.testing.assert_allclose(
        round_positions(0.3, count), np.array(numbers(PUBLISHED_LOG_LINEAR[count])) * 0.3, rtol=1e-12
    )


def test_no_other_rule_is_offered():
    assert set(LOG_TCHEBYCHEFF) == set(PUBLISHED_LOG_TCHEBYCHEFF)
    assert set(LOG_LINEAR) == set(PUBLISHED_LOG_LINEAR)


@pytest.mark.parametrize("points", [*LOG_TCHEBYCHEFF.values(), *LOG_LINEAR.values()])
def test_the_points_lie_alike_from_both_walls(points):
    np.testing.assert_allclose(np.array(points) + np.array(points[::-1]), 1.0, atol=1e-12)


@pytest.mark.parametrize("count", LOG_LINEAR)
def test_log_linear_points_give_the_mean_of_a_power_law_profile(count):
    # In a long round duct the velocity goes about as y to the 1/7; its mean over the disc is 49/60 of the middle's.
    y = np.minimum(np.array(LOG_LINEAR[count]), 1 - np.array(LOG_LINEAR[count])) / 0.5
    assert np.mean(y ** (1 / 7)) == pytest.approx(49 / 60, rel=0.01)
