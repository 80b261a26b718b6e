"""Side-by-side check: the offset, its doubt, and what is said of bad pairs."""

import math

import numpy as np
import pytest

from airside.errors import EvidenceError
from airside.instruments.side_by_side import offset


def test_the_offset_is_the_mean_of_second_less_first():
    found = offset([20.0, 20.2, 20.1], [20.5, 20.6, 20.7])
    assert found.offset == pytest.approx(0.5)
    assert found.standard_uncertainty == pytest.approx(0.1 / math.sqrt(3))
    assert (found.count, found.is_significant) == (3, True)


def test_what_the_air_itself_does_falls_out_of_the_difference():
    air = np.linspace(18, 26, 10)
    assert offset(air, air + 0.3).standard_uncertainty == pytest.approx(0, abs=1e-12)


def test_displays_that_stand_still_leave_the_doubt_of_their_steps():
    found = offset([20.0] * 5, [20.1] * 5, resolution=0.1)
    assert found.standard_uncertainty == pytest.approx(0.1 / math.sqrt(6))
    # With scatter as large as the step, rounding averages out.
    noisy = offset([20.0, 20.3, 19.9, 20.2], [20.1, 20.0, 20.3, 19.9], resolution=0.1)
    scatter = np.std([0.1, -0.3, 0.4, -0.3], ddof=1)
    assert noisy.standard_uncertainty == pytest.approx(math.hypot(scatter, 0.1 / math.sqrt(6)) / 2)
    assert not noisy.is_significant


def test_the_doubt_is_that_of_simulated_checks():
    random = np.random.default_rng(7)
    readings = 20 + 0.2 * random.standard_normal((2000, 2, 10))
    readings[:, 1] += 0.4
    found = [offset(a, b, resolution=0.1) for a, b in np.round(readings, 1)]
    spread = np.std([f.offset for f in found])
    assert np.mean([f.offset for f in found]) == pytest.approx(0.4, abs=0.01)
    assert math.sqrt(np.mean([f.standard_uncertainty**2 for f in found])) == pytest.approx(spread, rel=0.08)


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [([20.0, 20.1, 20.2], [20.0, 20.1], "3 readings of the first probe and 2"), ([20.0] * 2, [20.1] * 2, "2 pairs")],
)
def test_bad_pairs(first, second, words):
    with pytest.raises(EvidenceError, match=words):
        offset(first, second)
