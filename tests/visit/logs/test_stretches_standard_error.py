"""Standard error of a mean whose readings hang together, against series whose answer is known."""

import numpy as np
import pytest
from scipy.signal import lfilter

from airside.instruments.steadiness import trend
from airside.visit.logs.autocorrelation import DENSE, LARGEST, _table, scatter_of, unbiased


def series(rho, count, length, seed=3):
    """Autoregressive series of first order with unit variance, shape (count, length)."""
    noise = np.random.default_rng(seed).standard_normal((count, length + 300))
    return lfilter([np.sqrt(1 - rho**2)], [1, -rho], noise, axis=1)[:, 300:]


def true_error(rho, length):
    """Standard deviation of the mean: the sum over all pairs of readings (Bayley and Hammersley 1946), written out."""
    apart = np.abs(np.subtract.outer(np.arange(length), np.arange(length)))
    return np.sqrt((rho**apart).sum()) / length


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.6, 0.75])
@pytest.mark.parametrize("length", [6, 10, 15, 60, 300])
def test_mean_square_is_the_true_one_with_many_stretches(rho, length):
    found = scatter_of(series(rho, 20_000 if length <= 15 else 2000, length, seed=4))
    rms = np.sqrt((found.standard_error**2).mean())
    # A strong memory can hardly be told from the curve that is taken out of a few readings.
    assert rms == pytest.approx(true_error(rho, length), rel=0.06 if rho < 0.7 else 0.12)
    assert found.autocorrelation == pytest.approx(rho, abs=0.05)


def test_true_error_is_the_scatter_of_the_means():
    assert series(0.6, 20_000, 15).mean(axis=1).std() == pytest.approx(true_error(0.6, 15), rel=0.02)


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.6])
def test_mean_standard_error_of_a_day_of_stretches(rho):
    # Ten stretches of 15 minutes, as a day gives them: 300 such days. Without autocorrelation the same would be 0.71 and
    # 0.47 of the true one.
    days = [scatter_of(s).standard_error.mean() for s in series(rho, 3000, 15).reshape(300, 10, 15)]
    assert 0.93 < np.mean(days) / true_error(rho, 15) < 1.20


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.6])
def test_a_single_stretch_errs_on_the_safe_side(rho):
    alone = [scatter_of(s[None]).standard_error[0] for s in series(rho, 1500, 15)]
    assert 1.0 < np.mean(alone) / true_error(rho, 15) < 1.65


def test_interval_by_degrees_of_freedom_holds_the_truth():
    from scipy.stats import t

    values = series(0.3, 4000, 15)
    found = scatter_of(values)
    wide = t.ppf(0.975, found.degrees_of_freedom) * found.standard_error
    assert (np.abs(found.mean) < wide).mean() == pytest.approx(0.95, abs=0.02)


def test_bias_is_taken_out():
    # The plain lag-1 autocorrelation of short series is too low by about (1 + 4 rho)/n with the mean alone (Marriott and
    # Pope 1954); a curve taken out makes it worse. What is found here is right all the same.
    values = series(0.5, 4000, 20)
    left = values - values.mean(axis=1, keepdims=True)
    plain = ((left[:, 1:] * left[:, :-1]).sum(axis=1) / (left**2).sum(axis=1)).mean()
    assert plain == pytest.approx(0.5 - (1 + 4 * 0.5) / 20, abs=0.03)
    assert scatter_of(values).autocorrelation == pytest.approx(0.5, abs=0.03)


def test_a_smooth_change_is_no_scatter():
    quiet = 0.05 * series(0.0, 200, 15)
    wave = quiet + np.sin(np.linspace(0, 2.5, 15)) + np.linspace(0, 1, 15)
    assert scatter_of(wave).standard_error.mean() == pytest.approx(scatter_of(quiet).standard_error.mean(), rel=0.1)


def test_mean_scatter_and_trend_are_the_plain_ones():
    values = series(0.4, 7, 15) + np.linspace(0, 2, 15)
    found = scatter_of(values)
    assert found.mean == pytest.approx(values.mean(axis=1))
    assert found.scatter == pytest.approx(values.std(axis=1, ddof=1))
    lines = [np.polyfit(np.arange(15), v, 1)[0] * 14 for v in values]
    assert found.trend == pytest.approx(lines)
    assert found.trend == pytest.approx([trend(list(v)).change for v in values])


def test_no_autocorrelation_is_the_textbook_case():
    _, _, variance, freedom, number = _table(15)[0]
    # A cubic takes four of fifteen degrees of freedom: s²/n with s² = squares/11.
    assert variance == pytest.approx(1 / (11 * 15))
    assert freedom == pytest.approx(11)
    assert number == pytest.approx(15)


def test_effective_number_is_that_of_the_source():
    # Bayley and Hammersley 1946: n/(1 + 2 sum (1 - k/n) rho^k); for large n it goes to n (1 - rho)/(1 + rho).
    table = _table(2000)
    row = table[np.argmin(np.abs(table[:, 0] - 0.6))]
    assert row[4] == pytest.approx(2000 * (1 - row[0]) / (1 + row[0]), rel=0.005)


def test_long_stretches_go_on_where_the_table_by_matrices_ends():
    below, above = _table(DENSE), _table(DENSE + 1)
    assert above[:, 1:] == pytest.approx(below[:, 1:], rel=0.03)


def test_still_readings_and_those_that_alternate():
    still = scatter_of(np.full((3, 15), 21.5))
    assert (still.standard_error == 0).all()
    assert still.autocorrelation == 0
    to_and_fro = scatter_of(np.tile([0.0, 0.1], 10)[None])
    assert to_and_fro.autocorrelation == 0
    assert unbiased(0.99, 15) == LARGEST
