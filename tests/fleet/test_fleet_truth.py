"""Invented fleets with known truth: what is found holds it within its stated uncertainty."""

import numpy as np
import pyarrow.parquet as pq
import pytest
from fleet_made import rows_of, summaries, table_of
from scipy.stats import binom

from airside.compare.expected import expected_of_visit
from airside.fleet.expected_figures import rated_capacities
from airside.fleet.make_fleet import make_fleet
from airside.fleet.run import run_fleet
from airside.visit.analysis import analyse
from airside.visit.logs.logged_visit import load_logged

SYSTEMS = 60


@pytest.fixture(scope="module")
def mended(tmp_path_factory):
    """A fleet in two periods, and what is found of it."""
    folder = tmp_path_factory.mktemp("mended")
    made = make_fleet(folder / "fleet", SYSTEMS, 1.5, seed=11, faulty=0.5, mended=True, with_minutes=True)
    return made, run_fleet(made.readings, folder / "results.parquet", template=made.template)


def true_means(made, rows):
    """True total capacity of each row's minutes, from the minutes' truth."""
    minutes = pq.read_table(made.minutes).to_pandas()
    found = np.empty(len(rows))
    for name, own in minutes.groupby("system", observed=True):
        at = np.flatnonzero(rows.system == name)
        sums = np.concatenate([[0.0], np.cumsum(own.total_W)])
        first = np.searchsorted(own.time_s, rows.begin_s.iloc[at])
        stop = np.searchsorted(own.time_s, rows.end_s.iloc[at], "right")
        found[at] = (sums[stop] - sums[first]) / (stop - first)
    return found


def in_interval_enough(inside):
    """Whether so many of these trials is what 95 % intervals give, or more: one chance in a thousand of a false alarm."""
    return inside.sum() >= binom.ppf(0.001, inside.size, 0.95)


def test_mean_capacities_hold_the_truth(mended):
    made, run = mended
    rows = rows_of(run)
    rows["true"] = true_means(made, rows)
    means = rows.groupby(["system", "period"], observed=True).true.mean()
    assert not run.problems and len(means) == 2 * SYSTEMS
    away = []
    for name, about in summaries(run).items():
        for period, prefix in (("before", "before_"), ("after", "")):
            away.append((float(about[f"{prefix}total_W"]) - means[name, period]) / float(about[f"{prefix}total_W_u"]))
            at = (rows.system == name) & (rows.period == period)
            # The summary's mean is that of its rows, by pandas.
            assert float(about[f"{prefix}total_W"]) == pytest.approx(rows.total_W[at].mean())
            assert int(about[f"{prefix}stretches"]) == at.sum()
    away = np.array(away)
    assert in_interval_enough(np.abs(away) <= 1.96)
    # Both periods of a system share errors: as 60 free ones, the root mean square is within 1 ± 0.3 (99 %, chi square),
    # and a stated uncertainty that is twice too large would be seen too.
    assert 0.7 < np.sqrt((away**2).mean()) < 1.3


def test_every_stretch_holds_the_truth(mended):
    made, run = mended
    rows = rows_of(run)
    true = true_means(made, rows)
    # The part of its own: within a system and period the shared part is one number.
    away = (rows.total_W - true) / true
    own = away - away.groupby([rows.system, rows.period], observed=True).transform("mean")
    scaled = own / (rows.total_W_u_own / rows.total_W)
    # Defaults for scatter and resolution are on the safe side: never much too small.
    assert 0.3 < scaled.std() < 1.15
    assert in_interval_enough((np.abs(rows.total_W - true) <= 1.96 * rows.total_W_u).groupby(rows.system).mean() > 0.5)


def test_expected_ratios_hold_the_health(mended):
    made, run = mended
    truth = {(t["system"], t["period"]): t for t in table_of(made.truth)}
    inside = []
    for name, about in summaries(run).items():
        for period, prefix in (("before", "before_"), ("after", "")):
            if about[f"{prefix}expected_ratio"]:
                off = float(about[f"{prefix}expected_ratio"]) - float(truth[name, period]["health"])
                inside.append(abs(off) <= 1.96 * float(about[f"{prefix}expected_ratio_u"]))
    assert len(inside) > SYSTEMS
    assert in_interval_enough(np.array(inside))


def test_changes_hold_the_mending(mended):
    made, run = mended
    truth = {(t["system"], t["period"]): t for t in table_of(made.truth)}
    inside, without = [], 0
    for name, about in summaries(run).items():
        before, after = truth[name, "before"], truth[name, "after"]
        if before["fault"] == "low airflow":
            # What more air does is part of the change; its truth is not the health alone.
            continue
        change = float(after["health"]) / float(before["health"]) - 1
        assert about["why_no_change"] == ""
        inside.append(float(about["change_95_low"]) <= change <= float(about["change_95_high"]))
        # What both periods share cancels: the change is known better than two levels that share nothing would give it.
        apart = np.hypot(
            *(float(about[f"{p}expected_ratio_u"]) / float(about[f"{p}expected_ratio"]) for p in ("", "before_"))
        )
        without += float(about["change_u"]) / (1 + float(about["change"])) < apart
    assert in_interval_enough(np.array(inside))
    assert without == len(inside) > SYSTEMS / 3


def test_the_ratio_is_that_of_one_visit(tmp_path):
    made = make_fleet(tmp_path / "fleet", 1, 1, seed=3, form="folders")
    logged = load_logged(made.readings / "unit_001" / "visit.toml")
    figure = rated_capacities(logged).capacities.figures["expected_ratio"]
    drawn, why = expected_of_visit(analyse(logged.standing, count=100_000).doubt)
    at = logged.standing_number - 1
    assert why == ""
    assert figure.value[at] == pytest.approx(drawn.ratio.value, rel=1e-9)
    # JCGM 100's linear propagation against JCGM 101's draws of a quotient with a tenth of doubt.
    assert figure.standard_uncertainty[at] == pytest.approx(drawn.ratio.standard_uncertainty, rel=0.04)
