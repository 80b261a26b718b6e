"""Two levels and the value between them."""

import numpy as np
import pytest
from scipy.cluster.vq import kmeans2

from airside.visit.logs.levels import otsu, running_threshold, two_levels

RANDOM = np.random.default_rng(7)


def levels(*parts):
    """Readings about some levels: (level, scatter, count) each."""
    return np.concatenate([a + s * RANDOM.standard_normal(n) for a, s, n in parts])


def test_cut_is_that_of_a_search_through_all_cuts():
    # Otsu 1979, Eq. 18: the cut with the largest variance between classes, here searched one by one with numpy.
    values = levels((50, 5, 70), (1500, 120, 50))
    ordered = np.sort(values)
    shares = []
    for k in range(1, ordered.size):
        low, high = ordered[:k], ordered[k:]
        weight = low.size * high.size / ordered.size**2
        shares.append(weight * (high.mean() - low.mean()) ** 2 / ordered.var())
    cut, share = otsu(values)
    assert share == pytest.approx(max(shares), rel=1e-12)
    assert cut == ordered[int(np.argmax(shares))]


def test_classes_are_those_of_two_means():
    # Otsu's cut splits as 2-means does in one dimension (both make the variance inside the classes least); scipy's kmeans2.
    values = levels((40, 8, 300), (2000, 200, 200))
    centres, which = kmeans2(values[:, None], np.array([[values.min()], [values.max()]]), minit="matrix")
    cut, _ = otsu(values)
    assert ((values > cut) == (which == np.argmax(centres[:, 0]))).all()


def test_share_of_known_distributions():
    # A uniform distribution, cut in the middle: 3/4 of the variance is between both halves. An arcsine one, a daily
    # wave: 8/pi². Both by hand.
    uniform = (np.arange(10_000) + 0.5) / 10_000
    wave = np.sin(2 * np.pi * (np.arange(100_000) + 0.5) / 100_000)
    assert otsu(uniform)[1] == pytest.approx(0.75, abs=1e-3)
    assert otsu(wave)[1] == pytest.approx(8 / np.pi**2, abs=1e-3)


@pytest.mark.parametrize("parts", [((50, 5, 700), (1500, 120, 500)), ((0, 2, 20), (1500, 100, 5000)), ((0, 2, 5000), (1500, 100, 20))])  # fmt: skip
def test_off_and_running_are_parted(parts):
    found = running_threshold(levels(*parts))
    assert found is not None
    assert 100 < found.threshold < 1100


@pytest.mark.parametrize(
    "values",
    [
        RANDOM.normal(2000, 20, 500),
        2000 + 300 * np.sin(np.arange(2000) / 200),
        np.linspace(1500, 2500, 1000),
        np.full(50, 3.0),
        np.array([1.0, np.nan]),
        np.full(9, np.nan),
    ],
)
def test_one_level_is_not_split(values):
    assert two_levels(values) is None


def test_low_stage_counts_as_running_and_a_fan_alone_does_not():
    two_stages = running_threshold(levels((40, 5, 500), (1200, 60, 400), (2300, 60, 80)))
    fan_alone = running_threshold(levels((20, 2, 500), (350, 10, 200), (3600, 150, 300)))
    assert two_stages is not None and 100 < two_stages.threshold < 1100
    assert fan_alone is not None and 500 < fan_alone.threshold < 3200


def test_missing_values_change_nothing():
    values = levels((50, 5, 70), (1500, 120, 50))
    holes = np.concatenate([values, np.full(30, np.nan)])
    assert two_levels(holes) == two_levels(values)
