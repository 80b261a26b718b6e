"""Variance of a sum whose terms hang together from one to the next, and how wide an interval on it must be.

The terms are stretches in order of time; a night between two of them counts as one step, which is on the safe side. Newey
and West's variance asks nothing of how the terms hang together, but of few terms with a long memory it is too small; that of
a first-order autoregression, its bias taken out, is right there; and what differs from day to day is seen in the sums of days
(a cluster each, with Student's t of the days less one). The larger of the first two counts, and that of the days where it is
twice as large: few days scatter by chance. On simulated periods of 3 to 14 days, 500 pairs of each kind, intervals from it hold
the truth in 93 to 98 % at correlations of neighbours from 0 to 0.8, and where 30 to 70 % of the variance is between days. A
correlation of 0.95 is longer than such periods can tell: there they hold 92 % of changes of the total and 83 % of the power's.

Sources
-------
W. K. Newey and K. D. West, Econometrica 55 (1987), 703-708: weights. D. W. K. Andrews, Econometrica 59 (1991), 817-858,
Eq. 6.2 and 6.4: bandwidth from a first-order autoregression. N. M. Kiefer and T. J. Vogelsang, Econometric Theory 21 (2005),
1130-1164, table 1: quantiles of the t statistic where the bandwidth is a part b of the sample (from memory; a test holds
them against simulated ones). C. A. Bester, T. G. Conley and C. B. Hansen, Journal of Econometrics 165 (2011), 137-151: sums of
few groups with Student's t. F. H. C. Marriott and J. A. Pope, Biometrika 41 (1954): bias of the autocorrelation.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.log import Floats

# Of the normal distribution, and of the 97.5 % quantile's polynomial in b for Bartlett's weights.
NORMAL = 1.959964
FIXED_B = (NORMAL, 2.9694, 0.4160, -0.5324)
# Beyond it a sample says nothing of its own memory.
LARGEST = 0.98
# Two days say next to nothing of how days differ: an interval from them is useless.
FEWEST_DAYS = 3
# A correlation that is none.
NOTHING = 1e-6
# Days count from this multiple of the other variance on; found on simulated periods.
DAYS_APART = 2.0
# Of the sample, at most so much is bandwidth (common practice, no source).
MOST = 3


def autocorrelation(values: Floats, parameters: int = 1) -> float:
    """Correlation of neighbours, bias taken out.

    Parameters
    ----------
    values : array, shape (n,)
        Residuals.
    parameters : int
        That were fitted.
    """
    count = len(values)
    squares = float(values @ values)
    if count < 4 or squares == 0:
        return 0.0
    ratio = float(values[1:] @ values[:-1]) / squares
    # With the mean alone the bias is -(1 + 4 rho) / n; each further parameter takes about as much as the mean.
    room = count - 3 - parameters
    found = (count * ratio + parameters) / room if room > 0 else ratio
    # A memory as long as a quarter of the sample cannot be told from a level.
    largest = min(LARGEST, 1 - 4 / count)
    return min(max(found, -largest), largest)


def lags_of(values: Floats, parameters: int = 1) -> int:
    """How many lags count: Andrews' bandwidth for Bartlett's weights, and at least Newey and West's rule of n.

    Parameters
    ----------
    values : array, shape (n,)
        Residuals in order of time.
    parameters : int
        That were fitted.
    """
    count = len(values)
    rho = autocorrelation(values, parameters)
    alpha = 4 * rho**2 / (1 - rho**2) ** 2
    wanted = max(1.1447 * float((alpha * count) ** (1 / 3)), 4 * float((count / 100) ** (2 / 9)))
    return max(0, min(math.floor(wanted), count // MOST - 1))


def variance_of_sum(terms: Floats, lags: int) -> float:
    """Variance of the sum of terms with mean zero, with Bartlett's weights on so many lags.

    Parameters
    ----------
    terms : array, shape (n,)
    lags : int
    """
    found = float(terms @ terms)
    for lag in range(1, lags + 1):
        found += 2 * (1 - lag / (lags + 1)) * float(terms[lag:] @ terms[:-lag])
    return max(found, 0.0)


def variance_by_day(terms: Floats, day: NDArray[np.intp]) -> float:
    """Variance of the sum of terms from the sums of each day, widened so that 1.96 of its root hold 95 %.

    Of one day or two nothing is said: 0.

    Parameters
    ----------
    terms : array, shape (n,)
    day : int array, shape (n,)
        Number of each term's day.
    """
    sums = np.bincount(day, weights=terms)
    count = len(sums)
    if count < FEWEST_DAYS:
        return 0.0
    from scipy.special import stdtrit

    wide = float(stdtrit(count - 1, 0.975)) / NORMAL
    return wide**2 * count / (count - 1) * float(sums @ sums)


def variance_that_counts(of_neighbours: float, of_days: float) -> float:
    """The variance that counts: of days only where they clearly differ by more than neighbours say."""
    return of_days if of_days > DAYS_APART * of_neighbours else of_neighbours


def widening(lags: int, count: int) -> float:
    """What a standard error from so many lags of so many terms is widened by, so that 1.96 of it hold 95 %.

    Parameters
    ----------
    lags, count : int
    """
    b = min((lags + 1) / count, 1.0) if lags else 0.0
    return sum(a * b**i for i, a in enumerate(FIXED_B)) / NORMAL


def autoregressive_product(design: Floats, rho: float) -> Floats:
    """X' R X with the correlation matrix R of a first-order autoregression, shape (p, p).

    Parameters
    ----------
    design : array, shape (n, p)
    rho : float
        Correlation of neighbours; one below zero is taken for none, on the safe side.
    """
    found: Floats = design.T @ design
    power, rho = 1.0, max(rho, 0.0)
    for lag in range(1, len(design)):
        power *= rho
        if power < NOTHING:
            break
        both = design[lag:].T @ design[:-lag]
        found = found + power * (both + both.T)
    return found


def autoregressive_covariance(design: Floats, inverse: Floats, residuals: Floats, rho: float) -> Floats:
    """Covariance of least-squares coefficients whose residuals are a first-order autoregression.

    Parameters
    ----------
    design : array, shape (n, p)
    inverse : array, shape (p, p)
        Of X' X.
    residuals : array, shape (n, f)
        Of f figures on one design.
    rho : float

    Returns
    -------
    array, shape (f, p, f, p)
    """
    product = autoregressive_product(design, rho)
    # Expected sum of squares over the variance: the trace of (I - X (X'X)^-1 X') R.
    left = len(design) - float(np.trace(inverse @ product))
    between = residuals.T @ residuals / max(left, 1.0)
    one: Floats = inverse @ product @ inverse
    found: Floats = np.einsum("fg,pq->fpgq", between, one)
    return found
