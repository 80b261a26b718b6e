"""How the change of an after period came about: the change of its first stretches, one more at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from airside.compare.long_run_result import LongRun
from airside.compare.long_run_variance import NORMAL
from airside.compare.period_change import estimates
from airside.visit.logs.log import Floats

# The fewest stretches of which a change is said.
FEWEST = 3


@dataclass(frozen=True, eq=False)
class RunningChange:
    """Change in total capacity of the after period so far.

    Attributes
    ----------
    time : array, shape (k,) [s, as `airside.visit.logs.log.Log.time`]
        Begin of the last stretch that counts.
    count : int array, shape (k,)
        Stretches that count.
    value, low, high : array, shape (k,) [fraction]
        Change and its 95 % interval; the instruments' part is that of the whole period.
    """

    time: Floats
    count: Floats
    value: Floats
    low: Floats
    high: Floats


def running_change(found: LongRun, most: int = 60) -> RunningChange:
    """The change after each of some stretches; the last one is that of the whole period.

    Parameters
    ----------
    found : LongRun
    most : int
        Places at which it is worked out.
    """
    after = found.after.keeping(found.inside)
    total = {"total": found.baselines["total"]}
    # The instruments' part hardly changes with the number of stretches, and is most of the work.
    before, bare = replace(found.before, effects={}), replace(after, effects={})
    counts = np.unique(np.round(np.linspace(min(FEWEST, len(after)), len(after), most)).astype(int))
    instrument = found.change.instrument
    rows = []
    for count in counts:
        estimate = estimates(total, before, bare.keeping(np.arange(count)))["change_total"]
        wide = NORMAL * float(np.hypot(estimate.standard_uncertainty, instrument))
        rows.append((estimate.value, estimate.value - wide, estimate.value + wide))
    value, low, high = np.array(rows).T
    return RunningChange(after.begin[counts - 1], counts, value, low, high)
