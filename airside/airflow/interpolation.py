"""Read a curve of two columns, and refuse to guess beyond its ends."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number
from airside.errors import EvidenceError, OutOfRangeError

Outside = Literal["raise", "extend"]


def curve(x: Any, y: Any, what: str) -> tuple[Array, Array]:
    """Two columns as arrays sorted by ``x``; rows in which ``y`` is missing are left out.

    Raises
    ------
    EvidenceError
        Fewer than two complete rows, a repeated ``x``, or unequal lengths.
    """
    xs, ys = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if xs.ndim != 1 or xs.shape != ys.shape:
        raise EvidenceError(f"{what}: the two columns have {xs.size} and {ys.size} values; expected equal lengths.")
    whole = np.isfinite(xs) & np.isfinite(ys)
    xs, ys = xs[whole], ys[whole]
    if xs.size < 2:
        raise EvidenceError(f"{what}: {xs.size} complete rows; expected at least 2 to read between.")
    order = np.argsort(xs, kind="stable")
    xs, ys = xs[order], ys[order]
    if np.any(np.diff(xs) == 0):
        twice = xs[:-1][np.diff(xs) == 0][0]
        raise EvidenceError(f"{what}: {twice:g} stands in two rows; expected each value once.")
    return xs, ys


def read(
    at: Number, x: Array, y: Array, what: str, show: Any, *, outside: Outside = "raise", entries: str = "table"
) -> Number:
    """Linear reading of a curve; `show` turns a number on the x axis into text for the error.

    ``outside="extend"`` goes on along the end segments: for error draws about a reading that is itself inside.

    Raises
    ------
    OutOfRangeError
        A reading beyond the ends, naming the range.
    """
    values = np.asarray(at, dtype=np.float64)
    beyond = (values < x[0]) | (values > x[-1])
    if beyond.any() and outside == "raise":
        found = float(values[beyond].flat[0]) if values.ndim else float(values)
        raise OutOfRangeError(
            f"{what}: {show(found)} is outside the {entries}, which goes from {show(x[0])} to {show(x[-1])}. "
            "Nothing is read beyond a table's ends: check the reading, the unit and the column."
        )
    index = np.clip(np.searchsorted(x, values) - 1, 0, x.size - 2)
    slope = (y[index + 1] - y[index]) / (x[index + 1] - x[index])
    result = y[index] + slope * (values - x[index])
    return float(result) if result.ndim == 0 else result
