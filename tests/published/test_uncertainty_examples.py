"""Propagation against the additive examples of JCGM 101:2008.

Source: JCGM 101:2008 (Supplement 1 to the GUM), ch. 9, examples 9.2.2 to 9.2.4.
Recall: memory; the table is reference/uncertainty_examples.csv. Intervals are printed to one or two decimals.
"""

import math

import pytest

from airside.instruments.named_error import Draws, NamedError
from airside.instruments.propagation import agreement, linear, propagate

DRAWS = 1_000_000
# example, shape of the inputs, their standard deviations, standard uncertainty, linear and drawn end of the interval
EXAMPLES = [
    ("9.2.2", "normal", (1, 1, 1, 1), 2.0, 3.92, 3.92),
    ("9.2.3", "rectangular", (1, 1, 1, 1), 2.0, None, 3.88),
    ("9.2.4", "rectangular", (1, 1, 1, 10), 10.1, 19.9, 17.0),
]


def errors(shape, sizes):
    return [NamedError(f"X{i}", f"X{i}", "method", float(s), shape) for i, s in enumerate(sizes, 1)]


def total(drawn):
    """Y = X1 + X2 + X3 + X4."""
    return {"Y": sum(drawn.get(f"X{i}", 0.0) for i in range(1, 5))}


@pytest.mark.parametrize(("example", "shape", "sizes", "u", "linear_end", "end"), EXAMPLES)
def test_monte_carlo(example, shape, sizes, u, linear_end, end):
    found = propagate(total, errors(shape, sizes), Draws(DRAWS)).estimate("Y")
    assert found.value == 0
    assert found.mean == pytest.approx(0, abs=4 * u / math.sqrt(DRAWS))
    assert found.standard_uncertainty == pytest.approx(u, abs=0.06 if u > 5 else 0.006)
    # The half digit of the print, and what a million draws leave.
    tolerance = (0.05 if u > 5 else 0.005) + 0.015 * u / 2
    for low, high in (found.interval_95, found.shortest_95):
        assert low == pytest.approx(-end, abs=tolerance if (low, high) == found.interval_95 else 3 * tolerance)
        assert high == pytest.approx(end, abs=tolerance if (low, high) == found.interval_95 else 3 * tolerance)


@pytest.mark.parametrize(("example", "shape", "sizes", "u", "linear_end", "end"), [e for e in EXAMPLES if e[4]])
def test_linear(example, shape, sizes, u, linear_end, end):
    found = linear(total, errors(shape, sizes), ["Y"])["Y"]
    assert found.value == 0
    assert found.standard_uncertainty == pytest.approx(math.sqrt(sum(s * s for s in sizes)), rel=1e-12)
    assert round(found.standard_uncertainty, 1) == u
    assert found.interval_95[1] == pytest.approx(linear_end, abs=0.05 if u > 5 else 0.005)
    assert found.interval_95[0] == -found.interval_95[1]


def test_the_two_ways_are_said_to_agree_in_9_2_2_and_to_differ_in_9_2_4():
    said = []
    for _, shape, sizes, *_ in (EXAMPLES[0], EXAMPLES[2]):
        given = errors(shape, sizes)
        drawn = propagate(total, given, Draws(200_000)).estimate("Y")
        said.append(agreement(drawn, linear(total, given, ["Y"])["Y"]))
    assert "agree (" in said[0]
    # 19.8 against 17.0 is 0.28 standard uncertainties.
    assert "disagree" in said[1] and "by 0.3 standard uncertainties" in said[1]
    assert "Monte Carlo figures count" in said[1]
