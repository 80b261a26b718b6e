"""The baseline model against numpy, a hand-written Newey-West sum, and a hand-worked table of ASHRAE Guideline 14."""

import sys
from dataclasses import replace

import numpy as np
import pytest
from simulated_periods import pair, period

from airside.compare.baseline import choose_terms, cv_rmse, fit_baseline, is_inside, nmbe
from airside.compare.long_run import long_run
from airside.compare.long_run_variance import (
    autocorrelation,
    autoregressive_covariance,
    lags_of,
    variance_of_sum,
    widening,
)
from airside.errors import AirsideError, ComparisonError


@pytest.fixture(scope="module")
def before():
    return period(np.random.default_rng(1), days=8, rho=0.6)


@pytest.fixture(scope="module")
def base(before):
    return fit_baseline(before, "total", choose_terms(before))


def test_coefficients_are_numpys_least_squares(before, base):
    columns = [np.ones(len(before)), before.columns["outdoor_dry_bulb"], before.columns["return_wet_bulb"]]
    fit, squares, *_ = np.linalg.lstsq(np.column_stack(columns), before.columns["total"], rcond=None)
    assert base.terms.used == ("outdoor_dry_bulb", "return_wet_bulb")
    assert base.coefficients[1:] == pytest.approx(fit[1:], rel=1e-9)
    assert base.coefficients[0] == pytest.approx(before.columns["total"].mean(), rel=1e-12)
    spread = ((before.columns["total"] - before.columns["total"].mean()) ** 2).sum()
    assert base.r_squared == pytest.approx(1 - squares[0] / spread)
    assert base.predict(before.columns) == pytest.approx(np.column_stack(columns) @ fit)


def test_covariance_is_a_hand_written_newey_west_sum(before, base):
    """(X'X)^-1 S (X'X)^-1 with S = sum of w_l (Gamma_l + Gamma_l'), w_l = 1 - l/(L + 1), times n/(n - p) (Newey, West 1987)."""
    design, left = base.terms.design(before.columns), base.residuals
    count, parameters = design.shape
    scores = design * left[:, None]
    middle = np.zeros((parameters, parameters))
    for i in range(count):
        for j in range(count):
            lag = abs(i - j)
            if lag <= base.lags:
                middle += (1 - lag / (base.lags + 1)) * np.outer(scores[i], scores[j])
    inverse = np.linalg.inv(design.T @ design)
    by_hand = inverse @ middle @ inverse * count / (count - parameters)
    assert base.lags >= 3
    assert base.covariance == pytest.approx(by_hand, rel=1e-9)
    # The sum of each stretch's part has the same variance.
    along = design[7]
    terms = design @ inverse @ along * left
    assert variance_of_sum(terms, base.lags) * count / (count - parameters) == pytest.approx(along @ by_hand @ along)


def test_autoregressive_covariance_is_that_of_the_whole_matrix(before, base):
    design = base.terms.design(before.columns)
    count, rho = len(design), 0.7
    together = rho ** np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    inverse = np.linalg.inv(design.T @ design)
    out = np.eye(count) - design @ inverse @ design.T
    variance = base.residuals @ base.residuals / np.trace(out @ together)
    by_hand = variance * inverse @ design.T @ together @ design @ inverse
    found = autoregressive_covariance(design, inverse, base.residuals[:, None], rho)[0, :, 0, :]
    assert found == pytest.approx(by_hand, rel=1e-4)


def test_fit_figures_by_a_hand_worked_table():
    """ASHRAE Guideline 14 (from memory): CV(RMSE) = [sum (y - fit)²/(n - p)]^½ / mean, NMBE = sum (y - fit)/((n - p) mean).

    y 10 12 11 13 14, fit 10.5 11.5 11.0 12.5 13.5: residuals -0.5 0.5 0 0.5 0.5, squares 1.0, sum 1.0, mean 12, n - p = 3:
    CV(RMSE) = sqrt(1/3)/12 = 4.811 %, NMBE = 1/(3 · 12) = 2.778 %.
    """
    left = np.array([10, 12, 11, 13, 14]) - np.array([10.5, 11.5, 11.0, 12.5, 13.5])
    assert cv_rmse(left, 12.0, 3) == pytest.approx(0.04811, abs=5e-6)
    assert nmbe(left, 12.0, 3) == pytest.approx(0.02778, abs=5e-6)


def test_least_squares_has_no_bias_on_its_own_readings(base):
    assert base.nmbe == 0.0
    assert base.cv_rmse == pytest.approx(np.sqrt((base.residuals**2).sum() / (base.count - 3)) / base.mean)


@pytest.mark.parametrize("part", [0.05, 0.2])
def test_widening_is_that_of_simulated_t_statistics(part):
    """97.5 % quantile of the t statistic of a mean where the bandwidth is a part b of the sample (Kiefer, Vogelsang 2005)."""
    random, count, many = np.random.default_rng(4), 200, 6000
    lags = round(part * count) - 1
    values = random.standard_normal((many, count))
    left = values - values.mean(axis=1, keepdims=True)
    variance = (left**2).sum(axis=1)
    for lag in range(1, lags + 1):
        variance += 2 * (1 - lag / (lags + 1)) * (left[:, lag:] * left[:, :-lag]).sum(axis=1)
    t = values.sum(axis=1) / np.sqrt(variance)
    # The quantile of so many is good to some 2 %.
    assert np.quantile(np.abs(t), 0.95) == pytest.approx(1.96 * widening(lags, count), rel=0.05)


def test_autocorrelation_is_unbiased_on_simulated_residuals():
    random = np.random.default_rng(2)
    from simulated_periods import autoregression

    found = [autocorrelation(v - v.mean()) for v in (autoregression(random, 60, 0.5, 1.0) for _ in range(400))]
    assert np.mean(found) == pytest.approx(0.5, abs=0.02)


def test_lags_grow_with_memory_and_are_never_most_of_the_sample():
    random = np.random.default_rng(3)
    from simulated_periods import autoregression

    short, long = (lags_of(autoregression(random, 300, rho, 1.0)) for rho in (0.0, 0.9))
    assert short < long < 100
    assert lags_of(np.ones(6)) <= 1
    assert lags_of(np.zeros(10)) >= 0


def changed(before, **columns):
    return replace(before, columns=dict(before.columns) | columns)


def test_a_condition_without_spread_is_left_out_and_said(before):
    terms = choose_terms(before)
    assert "volume_flow" not in terms.used
    assert "hardly moved" in terms.left_out["volume_flow"] and "part of the change" in terms.left_out["volume_flow"]
    assert "volume_flow" not in terms.ranges
    flat = changed(before, return_wet_bulb=np.linspace(17.0, 17.4, len(before)))
    terms = choose_terms(flat)
    assert terms.used == ("outdoor_dry_bulb",)
    # Not used, but the after period must still be near it.
    assert terms.ranges["return_wet_bulb"] == pytest.approx((16.7, 17.7))


def test_a_condition_that_goes_with_another_is_left_out_and_said(before):
    outdoor = before.columns["outdoor_dry_bulb"]
    noise = 0.02 * np.random.default_rng(1).standard_normal(len(before))
    terms = choose_terms(changed(before, return_wet_bulb=10 + 0.25 * outdoor + noise))
    assert terms.used == ("outdoor_dry_bulb",)
    assert "variance inflation" in terms.left_out["return_wet_bulb"]


def test_flow_that_moves_is_a_condition(before):
    flow = 0.5 + 0.1 * np.random.default_rng(2).random(len(before))
    assert choose_terms(changed(before, volume_flow=flow)).used[-1] == "volume_flow"
    terms = choose_terms(changed(before, volume_flow=flow), without=["volume_flow"])
    assert "as asked" in terms.left_out["volume_flow"] and "volume_flow" not in terms.ranges
    with pytest.raises(ComparisonError, match="is no condition of a cooling baseline"):
        choose_terms(before, without=["airflow"])


def test_too_few_stretches_for_a_slope(before):
    terms = choose_terms(before.keeping(np.arange(0, 80, 5)))
    assert terms.used == ("outdoor_dry_bulb",)
    assert "too few for one more slope" in terms.left_out["return_wet_bulb"]
    with pytest.raises(ComparisonError, match="too few for a baseline"):
        few = before.keeping(np.arange(4))
        fit_baseline(few, "total", choose_terms(few))


def test_inside_is_each_condition_and_both_together(before, base):
    corner = {n: np.array([v.max()]) for n, v in before.columns.items()}
    middle = {n: np.array([v.mean()]) for n, v in before.columns.items()}
    beyond = middle | {"outdoor_dry_bulb": np.array([before.columns["outdoor_dry_bulb"].max() + 0.2])}
    assert is_inside(base, before.columns).all()
    assert [bool(is_inside(base, at)[0]) for at in (middle, beyond)] == [True, False]
    leverage = base.terms.design(corner)[0] @ base.inverse @ base.terms.design(corner)[0]
    assert bool(is_inside(base, corner)[0]) == (leverage <= base.largest_leverage)


def test_the_band_is_narrowest_in_the_middle(before, base):
    at = {n: np.array([v.min(), v.mean(), v.max()]) for n, v in before.columns.items()}
    errors = base.standard_error(at)
    assert errors[1] < errors[0] and errors[1] < errors[2]


def test_without_statsmodels_a_sentence_says_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "statsmodels", None)
    monkeypatch.setitem(sys.modules, "statsmodels.api", None)
    with pytest.raises(AirsideError, match=r"pip install 'airside\[longrun\]'"):
        long_run(*pair(1))
