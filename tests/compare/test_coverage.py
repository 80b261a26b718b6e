"""Does the 95 % interval hold the truth in 95 % of visits, and of pairs? Simulated, with known truth."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from simulated_visits import Instruments, measured_visit, random_truth, supply_for

from airside.compare.change import compare
from airside.compare.curves import AIR_CONDITIONER, SLOPE_DOUBT
from airside.visit.uncertainty import visit_uncertainty

VISITS, CHECKED, PAIRS = 2000, 600, 500
DRAWS = 3000


def holds(interval, truth):
    return interval[0] <= truth <= interval[1]


def share_of_visits(count, seed, capsys, *, check):
    random = np.random.default_rng(seed)
    inside, errors = [], []
    for i in range(count):
        truth, instruments = random_truth(random), Instruments(random)
        visit = measured_visit(
            truth, instruments, random, count=int(random.choice([1, 3, 5, 8, 12])), barometer=bool(i % 2),
            name=f"visit {i}", check=check,
        )  # fmt: skip
        found = visit_uncertainty(visit, count=DRAWS, seed=i).estimate("total")
        inside.append(holds(found.interval_95, truth.total))
        errors.append((found.value - truth.total) / found.standard_uncertainty)
    with capsys.disabled():
        print(
            f"\ncoverage of total capacity, {'with side-by-side check' if check else 'two probes'}: {np.mean(inside):.1%} "
            f"of {count} visits; error over standard uncertainty: mean {np.mean(errors):+.2f}, deviation "
            f"{np.std(errors):.2f}"
        )
    return np.mean(inside)


def test_the_interval_of_capacity_holds_the_truth(capsys):
    assert 0.93 <= share_of_visits(VISITS, 20_260_714, capsys, check=False) <= 0.97


def test_it_does_after_a_side_by_side_check_too(capsys):
    # Three standard deviations of 600 visits.
    assert 0.92 <= share_of_visits(CHECKED, 20_260_715, capsys, check=True) <= 0.98


def test_the_interval_of_a_change_holds_the_truth(capsys):
    """Shared instruments, another day, and a system whose own slopes are not quite those of the curve."""
    random = np.random.default_rng(20_260_716)
    raw, reference, widths = [], [], []
    for i in range(PAIRS):
        before, instruments = random_truth(random), Instruments(random)
        before = replace(before, outdoor_dry_bulb=random.uniform(27, 37))
        day = replace(
            before, return_dry_bulb=before.return_dry_bulb + random.uniform(-1.5, 1.5),
            outdoor_dry_bulb=before.outdoor_dry_bulb + random.uniform(-5, 5),
            weather=0.008 * float(random.standard_normal()),
        )  # fmt: skip
        # The true change, and how capacity goes with conditions in this system: the curve's slopes, each with an error.
        change = random.uniform(-0.15, 0.25)
        here, there = (float(v.return_air.wet_bulb) for v in (before, day))
        corner = AIR_CONDITIONER.capacity_ratio(there, before.outdoor_dry_bulb)
        steps = (
            math.log(corner / AIR_CONDITIONER.capacity_ratio(here, before.outdoor_dry_bulb)),
            math.log(AIR_CONDITIONER.capacity_ratio(there, day.outdoor_dry_bulb) / corner),
        )
        slopes = 1 + SLOPE_DOUBT * random.standard_normal(2)
        total = before.total * (1 + change) * math.exp(float(slopes @ np.array(steps)))
        after = replace(
            day,
            supply_dry_bulb=float(
                supply_for(total, day.return_air, day.supply_humidity, day.volume_flow, day.pressure)
            ),
        )
        visits = [
            measured_visit(t, instruments, random, count=8, barometer=True, name=f"{name} {i}")
            for t, name in ((before, "before"), (after, "after"))
        ]
        found = compare(*visits, count=DRAWS, seed=i, with_budget=False)
        raw.append(holds(found.ratios["raw"].interval_95, after.total / before.total - 1))
        if "reference" in found.ratios:
            interval = found.ratios["reference"].interval_95
            reference.append(holds(interval, change))
            widths.append(interval[1] - interval[0])
    with capsys.disabled():
        print(
            f"\ncoverage of the change: raw {np.mean(raw):.1%} of {len(raw)} pairs, at the same conditions "
            f"{np.mean(reference):.1%} of {len(reference)}, mean width {np.mean(widths):.1%}"
        )
    assert len(reference) > 0.6 * PAIRS
    # Three standard deviations of so many pairs.
    for found in (raw, reference):
        assert 0.92 <= np.mean(found) <= 0.98
