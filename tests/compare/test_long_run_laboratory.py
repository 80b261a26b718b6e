"""Nothing was changed on the laboratory heat pump: how often does `airside.long_run` say that it was?

Some of the six days against the others, at stage 1, every way to split them. Source of the data: tests/compare/laboratory_days.py;
visit files: tests/visit/logs/test_logged_laboratory.py.
"""

import sys
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.compare.periods import period_of
from airside.errors import ComparisonError

sys.path.append(str(Path(__file__).parents[1] / "visit" / "logs"))
from test_logged_laboratory import DAYS, FOLDER, SHORT, VISIT

YEAR = 365 * 86_400.0
pytestmark = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the laboratory readings (shared/data/lab_heat_pump) are not here"
)
# One logger stayed in place all the days, so nothing comes anew with a day: what is left is model and scatter.
SAME_LOGGER = VISIT.replace('coverage = "95 %" }}', 'coverage = "95 %", new_each_visit = 0 }}')


def splits(folder, text):
    """Every split of the days: change, interval, and whether a change is called, of each figure; splits without overlap."""
    logs = {}
    for name in DAYS:
        file = folder / f"{name}.toml"
        file.write_text(
            text.format(day=name, file=(FOLDER / f"{name}.csv").as_posix(), counting=SHORT), encoding="utf-8"
        )
        logs[name] = airside.load_logged(file)
    found, apart = [], 0
    for count in range(1, len(DAYS)):
        for before in combinations(DAYS, count):
            after = period_of([logs[d] for d in DAYS if d not in before], "after")
            # The days' dates mean nothing; any of them may be the later ones.
            after = replace(after, begin=after.begin + YEAR)
            try:
                found.append(airside.long_run([logs[d] for d in before], after))
            except ComparisonError as error:
                assert "no conditions in common" in str(error)
                apart += 1
    return found, apart


@pytest.mark.parametrize(("name", "text", "most"), [("as stated", VISIT, 0.08), ("same logger", SAME_LOGGER, 0.15)])
def test_unchanged_days_are_rarely_called_changed(tmp_path, capsys, name, text, most):
    found, apart = splits(tmp_path, text)
    assert len(found) > 40
    rates = {}
    with capsys.disabled():
        for figure in ("change_total", "change_power", "change_efficiency"):
            all_of_it = [f.estimates[figure] for f in found]
            rates[figure] = float(np.mean([e.is_supported for e in all_of_it]))
            width = np.mean([e.interval_95[1] - e.interval_95[0] for e in all_of_it])
            size = np.sqrt(np.mean([e.value**2 for e in all_of_it]))
            print(
                f"\nlaboratory days, {name}: {len(found)} splits ({apart} without overlap), {figure}: called changed "
                f"{rates[figure]:.1%}, root mean square {size:.1%}, mean interval width {width:.1%}", end=""
            )  # fmt: skip
        print()
    assert rates["change_total"] <= most
    # Honest, not wide.
    assert np.mean([f.change.interval_95[1] - f.change.interval_95[0] for f in found]) < 0.20


def test_another_stage_is_called_changed(tmp_path):
    """Stage 1 against stage 2 of the hottest day: a gain, and the stages are said."""
    files = []
    for stage in (1, 2):
        file = tmp_path / f"stage_{stage}.toml"
        counting = f"stage = {stage}\nafter_start = 4\nwindow = 5"
        data = (FOLDER / "Tucson_Eff_ExtrmSum.csv").as_posix()
        file.write_text(VISIT.format(day=f"stage {stage}", file=data, counting=counting), encoding="utf-8")
        files.append(file)
    found = airside.long_run(*files, without=["volume_flow"])
    assert found.is_change_supported and found.change.value > 0.2
    assert {"other_stage", "few_days"} <= {w.code for w in found.warnings}
