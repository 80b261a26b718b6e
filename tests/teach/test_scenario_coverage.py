"""Does the 95 % interval hold the truth of a scenario for about 95 % of its seeds?"""

import numpy as np
import pytest
from scenario_variants import scenario

from airside.compare.change import compare
from airside.teach.scenario_files import scenario_files
from airside.teach.scenario_truth import true_pair
from airside.visit.load import load_visit

SEEDS = {"measured": 200, "fan table": 120}


def holds(estimate, truth):
    return estimate.interval_95[0] <= truth <= estimate.interval_95[1]


@pytest.mark.parametrize("name", SEEDS)
def test_the_truth_lies_in_the_interval(name, tmp_path, capsys):
    of, count = scenario(name), SEEDS[name]
    totals, changes = [], []
    for seed in range(count):
        for file, text in scenario_files(of, seed).trainee.items():
            (tmp_path / file).write_text(text, encoding="utf-8")
        truth = true_pair(of, seed)
        found = compare(
            load_visit(tmp_path / "before.toml"),
            load_visit(tmp_path / "after.toml"),
            count=2000,
            seed=seed,
            with_budget=False,
        )
        total = found.figures["total"]
        totals += [holds(total.before, truth.before.total), holds(total.after, truth.after.total)]
        changes += [holds(found.ratios["raw"], truth.change), holds(found.ratios["reference"], truth.change_at_before)]
    shares = [float(np.mean(v)) for v in (totals, changes)]
    with capsys.disabled():
        print(f"\ncoverage of the scenario by {name}, {count} seeds: total {shares[0]:.1%}, change {shares[1]:.1%}")
    # Three standard deviations of as many seeds; the two figures of a pair are not independent.
    width = 3 * np.sqrt(0.95 * 0.05 / count)
    for share in shares:
        assert abs(share - 0.95) <= width
