"""Standard error of a mean whose readings hang together, over many stretches of one length.

Readings of a logger a minute apart are not independent: the next one is near the last one, so that n of them are worth
fewer. A smooth curve through the stretch (a cubic; of few readings a parabola or a line) is the air's own change, which the
mean holds and the trend says. What scatters about it is taken for a first-order autoregression. The autocorrelation at one
step belongs to the channel, so all stretches of a visit find it together. What hangs together longer than `LARGEST` says
cannot be told from the air's own change.

With residuals e = M x (M takes the curve out) and the correlation matrix R of neighbours (rho to the power of the
distance), the expected sum of products of neighbours over the expected sum of squares is a known function of rho and n.
Its inverse takes the small-sample bias out; of a few readings that bias is large, (1 + 4 rho)/n with the mean alone
(Marriott and Pope 1954). With the same matrices the sum of squares gives the variance of the mean, and Satterthwaite's
degrees of freedom. On simulated series the mean standard error is right within a few percent from ten stretches on; of a
single stretch of 15 readings it is up to half too large, on the safe side.

Sources
-------
G. V. Bayley and J. M. Hammersley, "The 'effective' number of independent observations in an autocorrelated time series",
Supplement to the Journal of the Royal Statistical Society 8 (1946), 184-197: variance of the mean, effective number.
F. H. C. Marriott and J. A. Pope, Biometrika 41 (1954), 390-402: bias. F. E. Satterthwaite, Biometrics Bulletin 2 (1946).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from airside.visit.logs.log import Floats

# A memory of some five readings (common practice, no source); negative ones are taken for none, on the safe side.
LARGEST = 0.8
# Readings from which a cubic, and from which a parabola, is taken out.
FOR_CUBIC, FOR_PARABOLA = 12, 8
# Longer stretches are long enough for the limits of large n.
DENSE = 240


@dataclass(frozen=True, eq=False)
class Scatter:
    """One channel over m stretches of n readings.

    Attributes
    ----------
    mean, scatter, trend, standard_error : array, shape (m,)
        Mean; standard deviation; change along the straight line from first to last reading; standard error of the mean.
    autocorrelation : float
        At one step, of all stretches together, bias taken out.
    effective_number : float
        Independent readings that n of them are worth.
    degrees_of_freedom : float
        Of the standard error.
    """

    mean: Floats
    scatter: Floats
    trend: Floats
    standard_error: Floats
    autocorrelation: float
    effective_number: float
    degrees_of_freedom: float


def scatter_of(values: Floats) -> Scatter:
    """Mean, scatter, trend and standard error of readings at equal steps.

    Parameters
    ----------
    values : array, shape (m, n)
        One stretch a row; n at least 4, no NaN.
    """
    count = values.shape[1]
    # Readings of one place in all stretches side by side: numpy is slow along short rows.
    by_place = np.ascontiguousarray(values.T)
    mean = by_place.mean(axis=0)
    left = by_place - mean
    scatter = np.sqrt((left**2).sum(axis=0) / (count - 1))
    x = np.arange(count) - (count - 1) / 2
    # Sums of numpy's own: those of a matrix product depend on how many threads there are, in the last digit.
    slope = (x[:, np.newaxis] * left).sum(axis=0) / float((x * x).sum())
    for column in _curve(count).T[:, :, np.newaxis]:
        left -= column * (column * left).sum(axis=0)
    squares = (left**2).sum(axis=0)
    products = (left[1:] * left[:-1]).sum()
    total = float(squares.sum())
    rho = unbiased(float(products) / total, count) if total > 0 else 0.0
    _, factor, freedom, number = _at(rho, count)
    return Scatter(mean, scatter, slope * (count - 1), np.sqrt(squares * factor), rho, number, freedom)


def unbiased(ratio: float, count: int) -> float:
    """Autocorrelation whose expected ratio of sums is the one that was found, from 0 to `LARGEST`.

    Parameters
    ----------
    ratio : float
        Sum of the products of neighbouring residuals over the sum of their squares.
    count : int
        Readings of a stretch.
    """
    table = _table(count)
    return float(np.interp(ratio, table[:, 1], table[:, 0]))


def _at(rho: float, count: int) -> tuple[float, float, float, float]:
    """Expected ratio, variance of the mean over the sum of squares, degrees of freedom, effective number."""
    table = _table(count)
    found = [float(np.interp(rho, table[:, 0], table[:, i])) for i in range(1, 5)]
    return found[0], found[1], found[2], found[3]


@lru_cache(maxsize=64)
def _curve(count: int) -> Floats:
    """Orthonormal columns of the smooth curve, shape (n, terms)."""
    degree = 3 if count >= FOR_CUBIC else 2 if count >= FOR_PARABOLA else 1
    columns: Floats = np.linalg.qr(np.vander(np.linspace(-1, 1, count), degree + 1))[0]
    return columns


@lru_cache(maxsize=64)
def _table(count: int) -> Floats:
    """Rows of rho, ratio, variance of the mean over the sum of squares, degrees of freedom, effective number."""
    rows: list[tuple[float, ...]] = []
    curve = _curve(count)
    for rho in np.linspace(0.0, LARGEST, 37):
        powers = rho ** np.arange(count)
        lags = np.arange(1, count)
        # Variance of the mean over that of a reading (Bayley and Hammersley 1946).
        of_mean = (1 + 2 * float(((1 - lags / count) * powers[1:]).sum())) / count
        if count > DENSE:
            # What is lost to the curve, and the bias, go with one over n.
            shorter = _table(DENSE)[len(rows)]
            inside = count * (1 - of_mean) - (curve.shape[1] - 1) * (1 + rho) / (1 - rho)
            ratio = rho + (float(shorter[1]) - rho) * DENSE / count
            freedom = float(shorter[3]) * count / DENSE
        else:
            together = powers[np.abs(np.subtract.outer(np.arange(count), np.arange(count)))]
            out = np.eye(count) - curve @ curve.T
            left = out @ together @ out
            inside = float(np.trace(left))
            ratio, freedom = float(np.trace(left, offset=1)) / inside, inside**2 / float((left**2).sum())
        rows.append((rho, ratio, of_mean / inside, freedom, 1 / of_mean))
    return np.array(rows)
