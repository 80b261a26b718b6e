"""Monte Carlo and linear propagation, intervals, budgets."""

import math

import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from airside.instruments.named_error import Draws, NamedError
from airside.instruments.propagation import agreement, budget, estimate, linear, propagate

DRAWS = 200_000
random = np.random.default_rng(5)
# Random linear models: sensitivities and standard uncertainties of 2 to 8 errors.
LINEAR = [(random.normal(0, 3, n), 10 ** random.uniform(-2, 1, n), random.normal()) for n in random.integers(2, 9, 12)]


def errors(sizes, shape="normal"):
    return [NamedError(f"error {i}", f"e{i}", "method", float(u), shape) for i, u in enumerate(sizes)]


def linear_model(slopes, constant):
    def model(drawn):
        return {"y": constant + sum(s * drawn.get(f"e{i}", 0.0) for i, s in enumerate(slopes))}

    return model


@pytest.mark.parametrize(("slopes", "sizes", "constant"), LINEAR)
def test_random_linear_models_against_the_uncertainties_library(slopes, sizes, constant):
    theirs = constant + sum(s * uncertainties.ufloat(0, u) for s, u in zip(slopes, sizes, strict=True))
    model, given = linear_model(slopes, constant), errors(sizes)
    straight = linear(model, given, ["y"])["y"]
    assert straight.value == pytest.approx(theirs.nominal_value, rel=1e-12)
    assert straight.standard_uncertainty == pytest.approx(theirs.std_dev, rel=1e-9)
    drawn = propagate(model, given, Draws(DRAWS)).estimate("y")
    assert drawn.standard_uncertainty == pytest.approx(theirs.std_dev, rel=0.01)
    half = (drawn.interval_95[1] - drawn.interval_95[0]) / 2
    assert half == pytest.approx(1.96 * theirs.std_dev, rel=0.015)
    assert "agree (" in agreement(drawn, straight)


@pytest.mark.parametrize(("slopes", "sizes", "constant"), LINEAR)
def test_budget_shares_of_a_linear_model_are_squared_sensitivities_and_add_up_to_1(slopes, sizes, constant):
    rows = budget(linear_model(slopes, constant), errors(sizes), Draws(DRAWS), ["y"])["y"]
    parts = (slopes * sizes) ** 2
    shares = {r.error.key: r.share for r in rows}
    assert sum(shares.values()) == pytest.approx(1, abs=0.02)
    for i, part in enumerate(parts):
        assert shares[f"e{i}"] == pytest.approx(part / parts.sum(), rel=0.03, abs=1e-9)
    assert [r.share for r in rows] == sorted(shares.values(), reverse=True)
    assert rows[0].contribution == pytest.approx(math.sqrt(parts.max()), rel=0.01)


def test_curved_models_against_the_uncertainties_library():
    x, y = uncertainties.ufloat(2.0, 0.05), uncertainties.ufloat(5.0, 0.2)
    theirs = x * umath.exp(x / y) / y
    given = errors([0.05, 0.2])

    def model(drawn):
        a, b = 2.0 + drawn.get("e0", 0.0), 5.0 + drawn.get("e1", 0.0)
        return {"y": a * np.exp(a / b) / b}

    assert linear(model, given, ["y"])["y"].standard_uncertainty == pytest.approx(theirs.std_dev, rel=5e-3)
    assert propagate(model, given, Draws(DRAWS)).estimate("y").standard_uncertainty == pytest.approx(
        theirs.std_dev, rel=0.02
    )


def test_what_is_common_cancels_by_identity_as_in_the_uncertainties_library():
    shared, own = uncertainties.ufloat(0, 1.0), [uncertainties.ufloat(0, 0.1) for _ in range(2)]
    theirs = (10 + shared + own[0]) - (9 + shared + own[1])
    given = errors([1.0, 0.1, 0.1])

    def model(drawn):
        first, second = (10 + drawn.get("e0", 0.0) + drawn.get("e1", 0.0), 9 + drawn.get("e0", 0.0))
        return {"change": first - second - drawn.get("e2", 0.0)}

    found = propagate(model, given, Draws(DRAWS)).estimate("change")
    assert found.standard_uncertainty == pytest.approx(theirs.std_dev, rel=0.01)
    assert budget(model, given, Draws(DRAWS), ["change"])["change"][-1].share == pytest.approx(0, abs=1e-12)


def test_shortest_and_symmetric_interval_of_an_exponential_distribution():
    drawn = Draws(DRAWS).of(NamedError("flat", "flat", "method", 1.0, "rectangular"))
    exponential = -np.log((drawn / math.sqrt(3) + 1) / 2)
    found = estimate(1.0, exponential)
    assert found.interval_95 == pytest.approx((-math.log(0.975), -math.log(0.025)), rel=0.02)
    assert found.shortest_95 == pytest.approx((0.0, -math.log(0.05)), abs=0.04)
    widths = [b - a for a, b in (found.interval_95, found.shortest_95)]
    assert widths[1] < 0.85 * widths[0]
    for low, high in (found.interval_95, found.shortest_95):
        assert np.mean((exponential >= low) & (exponential <= high)) == pytest.approx(0.95, abs=1e-4)
    assert found.mean == pytest.approx(1, rel=0.01)
    assert found.standard_uncertainty == pytest.approx(1, rel=0.01)


def test_other_coverages():
    found = estimate(0.0, np.linspace(0, 1, 10_001), coverage=0.5)
    assert found.interval_95 == pytest.approx((0.25, 0.75), abs=1e-3)


def test_impossible_draws_are_set_aside_and_counted():
    given = [NamedError("e", "e0", "method", 1.0, "rectangular")]

    def model(drawn):
        x = np.asarray(drawn.get("e0", 0.0))
        return {"y": np.where(x > 1.0, np.nan, x)}

    found = propagate(model, given, Draws(DRAWS))
    assert found.set_aside / DRAWS == pytest.approx((math.sqrt(3) - 1) / (2 * math.sqrt(3)), abs=0.005)
    summary = found.estimate("y")
    assert summary.value == 0
    assert summary.mean == pytest.approx((1 - math.sqrt(3)) / 2, abs=0.01)
    assert np.isfinite(summary.interval_95).all()


def test_with_no_possible_draw_nothing_is_known_and_json_says_null():
    found = estimate(3.0, np.full(10, np.nan))
    assert found.to_dict() == {"value": 3.0, "standard_uncertainty": None, "interval_95": [None, None]}
    assert agreement(found, linear(linear_model([1.0], 3.0), errors([1.0]), ["y"])["y"]).startswith("There is no")


def test_linear_takes_the_possible_side_where_the_other_cannot_be():
    def model(drawn):
        x = np.asarray(drawn.get("e0", 0.0))
        return {"y": np.where(x > 0.5, np.nan, 4 * x)}

    assert linear(model, errors([1.0]), ["y"])["y"].standard_uncertainty == pytest.approx(4)


def test_agreement_names_both_numbers_where_it_is_missing():
    def model(drawn):
        return {"y": np.asarray(drawn.get("e0", 0.0)) ** 2 + 0.1 * drawn.get("e0", 0.0)}

    given = errors([1.0])
    said = agreement(propagate(model, given, Draws(DRAWS)).estimate("y"), linear(model, given, ["y"])["y"])
    assert said.startswith("Monte Carlo and linear propagation disagree: the linear standard uncertainty differs by -9")
    assert said.endswith("The Monte Carlo figures count.")
