"""Accuracy statements, resolution, and the table of defaults."""

import math

import numpy as np
import pytest

from airside.instruments import defaults
from airside.instruments.accuracy import Statement, resolution_uncertainty


def test_a_limit_is_a_rectangle():
    found = Statement(accuracy=0.5)
    assert found.standard_uncertainty(20.0) == pytest.approx(0.5 / math.sqrt(3))
    assert found.shape == "rectangular"


def test_a_95_percent_statement_is_normal():
    found = Statement(accuracy=0.5, coverage="95 %")
    assert found.standard_uncertainty(20.0) == pytest.approx(0.5 / 1.96, rel=1e-4)
    assert found.shape == "normal"


@pytest.mark.parametrize(
    ("combination", "reading", "half_width"),
    [("sum", 100.0, 2.0 + 3.0), ("larger", 100.0, 3.0), ("larger", 10.0, 2.0), ("sum", -100.0, 5.0), ("sum", 0.0, 2.0)],
)
def test_a_part_of_the_reading_adds_or_the_larger_holds(combination, reading, half_width):
    found = Statement(accuracy=2.0, of_reading=0.03, combination=combination)
    assert found.half_width(reading) == pytest.approx(half_width)


@pytest.mark.parametrize(("scatter", "count"), [(0.0, 1), (0.0, 8), (0.02, 8), (0.3, 8)])
def test_resolution_against_simulated_displays(scatter, count):
    """The stated size is never below what rounding does, and not far above where it averages out."""
    random = np.random.default_rng(3)
    true = random.uniform(20, 21, 20_000)[:, np.newaxis]
    noisy = true + scatter * random.standard_normal((20_000, count))
    rounding = (np.round(noisy / 0.1) * 0.1 - noisy).mean(axis=1)
    stated = resolution_uncertainty(0.1, scatter, count)
    assert rounding.std() <= stated * 1.02
    if scatter in (0.0, 0.3):
        assert rounding.std() == pytest.approx(stated, rel=0.05)


def test_the_tables_of_defaults_are_whole():
    """Each quantity has a class, a part that is new with each visit, and a usual scatter; each says its source."""
    assert set(defaults.ACCURACY_CLASSES) == set(defaults.NEW_EACH_VISIT) == set(defaults.SCATTER)
    for kind in defaults.ACCURACY_CLASSES.values():
        assert kind.source and (kind.accuracy > 0 or kind.of_reading > 0)
    for part in defaults.NEW_EACH_VISIT.values():
        assert part.source and 0 <= part.share <= 1
    for new, settings in defaults.METHOD_SHARES.values():
        assert new > 0 and settings > 0 and new + settings <= 1


def test_the_rule_of_thumb_carries_at_least_15_percent():
    from airside.airflow.defaults import METHODS, RULE_OF_THUMB_LEAST

    assert METHODS["rule of thumb"].relative_standard_uncertainty >= RULE_OF_THUMB_LEAST >= 0.15
    assert set(METHODS) == set(defaults.METHOD_SHARES)
