"""Nothing was changed on the laboratory heat pump between days: how often does airside say that it was?"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from laboratory_days import FOLDER, days, stretches, visit

from airside.compare.change import compare

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason=f"the laboratory data are not at {FOLDER}")
DRAWS = 4000


@pytest.fixture(scope="module")
def found():
    tables = days()
    return {stage: [s for day, t in tables.items() for s in stretches(day, t, stage)] for stage in (1, 2)}


def test_unchanged_days_are_rarely_called_changed(found, capsys):
    """At most 8 % of all stage-1 pairs of two days, at the same conditions with flow in the curve."""
    visits = [(s.day, visit(s)) for s in found[1]]
    changes = [
        compare(a, b, same_flow=True, count=DRAWS, with_budget=False)
        for (day_a, a), (day_b, b) in combinations(visits, 2)
        if day_a != day_b
    ]
    assert len(changes) > 500
    assert all(c.basis == "reference" for c in changes)
    rate = np.mean([c.is_change_supported for c in changes])
    width = np.mean([c.ratios["reference"].interval_95[1] - c.ratios["reference"].interval_95[0] for c in changes])
    with capsys.disabled():
        print(
            f"\nlaboratory days, stage 1: {len(visits)} stretches, {len(changes)} pairs of two days, "
            f"called changed {rate:.1%}, mean interval width {width:.1%}"
        )
    assert rate <= 0.08
    # Honest, not wide: an interval that swallows every difference would be no better than none.
    assert width < 0.25


def test_another_stage_is_always_called_changed(found, capsys):
    """Stage 1 against stage 2, uncorrected: changed in all pairs."""
    first, second = ([visit(s) for s in found[stage]] for stage in (1, 2))
    changes = [compare(a, b, count=DRAWS, with_budget=False) for a in first for b in second]
    assert len(changes) > 50
    called = [c.ratios["raw"].interval_95[0] > 0 for c in changes]
    with capsys.disabled():
        print(f"\nlaboratory days, stage 1 against stage 2: {len(changes)} pairs, called changed {np.mean(called):.1%}")
    assert all(called)
