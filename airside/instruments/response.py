"""How long a probe takes: a first-order lag.

Put into other air, a probe goes the same part of what is left in each time constant: 63 % of the step after one, 95 %
after three.

Sources
-------
First-order response of an instrument to a step: ASHRAE Handbook—Fundamentals ch. 37 (Measurement and Instruments),
time constant (from memory).
"""

from __future__ import annotations

import math

from airside.errors import OutOfRangeError


def part_of_step(time: float, time_constant: float) -> float:
    """Part of a step that a probe shows.

    Parameters
    ----------
    time : float [s]
        Since the step, 0 or more.
    time_constant : float [s]
        Above 0.

    Returns
    -------
    float [fraction]

    Raises
    ------
    OutOfRangeError
        A time below 0, or a time constant that is not above 0.
    """
    _check(time_constant)
    if not time >= 0:
        raise OutOfRangeError(f"time {time:g} s is before the step; expected 0 or more.")
    return -math.expm1(-time / time_constant)


def time_to_show(part: float, time_constant: float) -> float:
    """Time until a probe shows a part of a step.

    Parameters
    ----------
    part : float [fraction]
        0 or more, below 1.
    time_constant : float [s]
        Above 0.

    Returns
    -------
    float [s]

    Raises
    ------
    OutOfRangeError
        A part outside 0 to 1, or 1 itself, which is never reached; a time constant that is not above 0.
    """
    _check(time_constant)
    if not 0 <= part < 1:
        raise OutOfRangeError(
            f"part {part:g} of the step is never reached; expected 0 or more and less than 1, such as 0.95."
        )
    return -time_constant * math.log1p(-part)


def shown_after(time: float, time_constant: float, start: float, end: float) -> float:
    """What a probe shows some time after it came from one condition into another.

    Parameters
    ----------
    time : float [s]
    time_constant : float [s]
    start, end : float
        Reading before the step, and the one it goes to; any one unit.

    Returns
    -------
    float
        In the unit of ``start`` and ``end``.
    """
    return start + (end - start) * part_of_step(time, time_constant)


def _check(time_constant: float) -> None:
    if not (time_constant > 0 and math.isfinite(time_constant)):
        raise OutOfRangeError(f"time constant {time_constant:g} s; expected a number above 0.")
