"""Steady stretches of the laboratory heat pump as visits, for the tests that compare its days.

Source of the data: Z. Chen, W. V. Payne, J. Wen and others, data sets of "Hardware-in-the-Loop
Laboratory Performance Verification of Flexible Building Equipment in a Typical Commercial Building"
(US DOE EE-0009153), MIT licence; read from ../shared/data/lab_heat_pump, never copied.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from airside.visit.load import visit_from_data
from airside.visit.schema import Visit

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "data" / "lab_heat_pump"
# A reading counts from the 15th minute of a run; a stretch has at least 15 minutes.
SETTLE, LENGTH = 15, 15


@dataclass(frozen=True)
class Stretch:
    """Minutes of one run of one day."""

    day: str
    stage: int
    rows: pd.DataFrame


def days() -> dict[str, pd.DataFrame]:
    """Every day by its name."""
    return {f.stem: pd.read_csv(f) for f in sorted(FOLDER.glob("*.csv"))}


def stretches(day: str, table: pd.DataFrame, stage: int) -> list[Stretch]:
    """15-minute stretches of a stage from the 15th minute of each run.

    The stage column lags the machine: minutes in which the outdoor unit takes under 90 % of the run's
    median power are not of that stage, and settling starts anew after them. Rows whose supply dew point
    is above the dry bulb are left out.
    """
    found = []
    run = (table["stg"] != table["stg"].shift()).cumsum()
    for _, rows in table[table["stg"] == stage].groupby(run):
        on = rows["od_power"] >= 0.9 * rows["od_power"].median()
        for _, part in rows[on].groupby((~on).cumsum()[on]):
            settled = part.iloc[SETTLE:]
            settled = settled[settled["sa_temp_dp"] <= settled["sa_temp"]]
            for start in range(0, len(settled) - LENGTH + 1, LENGTH):
                found.append(Stretch(day, stage, settled.iloc[start : start + LENGTH]))
    return found


def visit(stretch: Stretch) -> Visit:
    """A visit with the readings of a stretch and the uncertainties that the source states (taken as 95 %)."""
    rows = stretch.rows

    def column(name: str) -> list[float]:
        return [float(v) for v in rows[name]]

    temperature: dict[str, Any] = {"accuracy": 0.8, "coverage": "95 %", "resolution": 0.1}
    dew_point: dict[str, Any] = {"accuracy": 0.7, "coverage": "95 %", "resolution": 0.1}
    sensor = {"dry_bulb": temperature, "dew_point": dew_point}
    return visit_from_data({
        "format": "airside visit 1", "units": "IP", "mode": "cooling",
        "name": f"laboratory heat pump, {stretch.day}, stage {stretch.stage}, {rows['date_time'].iloc[0]}",
        "site": {"barometric_pressure": float(rows["local_pres"].mean()), "instrument": "barometer"},
        "system": {"name": "laboratory heat pump", "equipment": "heat pump"},
        "airflow": {"method": "measured", "basis": "standard", "at": "supply", "relative_uncertainty": 0.03 / 1.96,
                    "instrument": "nozzle station",
                    "volume_flow": column("sa_flow")},
        "instruments": {
            "return sensors": sensor, "supply sensors": sensor, "outdoor sensor": {"dry_bulb": temperature},
            "nozzle station": {},
            "barometer": {"barometric_pressure": {"accuracy": 0.004, "coverage": "95 %"}},
        },
        "readings": {
            # The chamber and the supply duct are sampled by mixing trees: no placement error.
            "return": {"instrument": "return sensors", "placement": 0.0, "dry_bulb": column("zn_temp"),
                       "dew_point": column("zn_temp_dp")},
            "supply": {"instrument": "supply sensors", "placement": 0.0, "dry_bulb": column("sa_temp"),
                       "dew_point": column("sa_temp_dp")},
            "outdoor": {"instrument": "outdoor sensor", "placement": 0.0, "dry_bulb": column("oa_temp")},
        },
    })  # fmt: skip
