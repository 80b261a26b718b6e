"""The laboratory's days as a fleet, from the raw files by the visit files of `tests/visit/logs/test_logged_laboratory.py`."""

import importlib.util
from pathlib import Path

import numpy as np
from fleet_made import rows_of, summaries

from airside.fleet.run import run_fleet
from airside.visit.logs.logged_visit import load_logged

_PATH = Path(__file__).resolve().parents[1] / "visit" / "logs" / "test_logged_laboratory.py"
_SPEC = importlib.util.spec_from_file_location("laboratory_visits", _PATH)
laboratory = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(laboratory)
pytestmark = laboratory.pytestmark


def test_six_days_go_through_as_a_fleet(tmp_path):
    for name in laboratory.DAYS:
        logger = (laboratory.FOLDER / f"{name}.csv").as_posix()
        folder = tmp_path / "days" / name
        folder.mkdir(parents=True)
        text = laboratory.VISIT.format(day=name, file=logger, counting=laboratory.SHORT)
        (folder / "visit.toml").write_text(text, encoding="utf-8")
    run = run_fleet(tmp_path / "days", tmp_path / "results.parquet")
    assert run.systems == len(laboratory.DAYS) and not run.problems
    rows = rows_of(run)
    for name, about in summaries(run).items():
        logged = load_logged(tmp_path / "days" / name / "visit.toml")
        own = rows[rows.system == name]
        np.testing.assert_allclose(own.total_W, logged.capacities().figures["total"].value, rtol=1e-12)
        assert about["why_nothing_expected"].startswith("No nominal capacity")
        # One unchanged machine, at one stage, over the weather of six days.
        assert 3000 < float(about["total_W"]) < 12000
