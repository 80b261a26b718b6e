"""The laboratory days read by a visit file alone: no year, 24:00:00, degF, inHg, dew points.

Source of the data: Z. Chen, W. V. Payne, J. Wen and others, one-minute readings of a heat pump in the chambers of the
NIST air-source heat pump test facility (ASHRAE Transactions 128, 2022); units as its README states them.
"""

import csv
import tomllib
from pathlib import Path

import numpy as np
import pytest

from airside.visit.logs.read import read_log

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "data" / "lab_heat_pump"
pytestmark = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the laboratory days are not in ../shared/data/lab_heat_pump"
)
DAYS = sorted(FOLDER.glob("*.csv"))

VISIT = """
units = "IP"
[log]
year = 2021
date_order = "month day year"
[readings.return]
log = "{0}"
columns = {{ dry_bulb = "zn_temp", dew_point = "zn_temp_dp" }}
[readings.supply]
log = "{0}"
columns = {{ dry_bulb = "sa_temp", dew_point = "sa_temp_dp" }}
[readings.outdoor]
log = "{0}"
columns = {{ dry_bulb = "oa_temp" }}
column_units = {{ dry_bulb = "degF" }}
[readings.power]
log = "{0}"
columns = {{ outdoor_unit = "od_power", indoor_unit = "id_power" }}
column_units = {{ outdoor_unit = "W", indoor_unit = "W" }}
[readings.status]
log = "{0}"
columns = {{ stage = "stg" }}
[site]
log = "{0}"
columns = {{ barometric_pressure = "local_pres" }}
column_units = {{ barometric_pressure = "inHg" }}
[airflow]
method = "measured"
basis = "standard"
log = "{0}"
columns = {{ volume_flow = "sa_flow" }}
[readings.refrigerant]
log = "{0}"
columns = {{ mass_flow = "ref_flow" }}
column_units = {{ mass_flow = "lb/min" }}
"""
# Inside value of a unit, from NIST SP 811, appendix B.8: inHg 3386.389 Pa (conventional), lb 0.45359237 kg, ft 0.3048 m.
COLUMNS = {
    "readings.return.dry_bulb": ("zn_temp", lambda v: (v - 32) / 1.8),
    "readings.supply.dew_point": ("sa_temp_dp", lambda v: (v - 32) / 1.8),
    "readings.outdoor.dry_bulb": ("oa_temp", lambda v: (v - 32) / 1.8),
    "readings.power.outdoor_unit": ("od_power", lambda v: v),
    "readings.status.stage": ("stg", lambda v: v),
    "site.barometric_pressure": ("local_pres", lambda v: v * 3386.389),
    "airflow.volume_flow": ("sa_flow", lambda v: v * 0.3048**3 / 60),
    "readings.refrigerant.mass_flow": ("ref_flow", lambda v: v * 0.45359237 / 60),
}


@pytest.mark.parametrize("day", DAYS, ids=lambda p: p.stem)
def test_a_day_reads_by_a_visit_file_alone(day):
    log = read_log(tomllib.loads(VISIT.format(day.name)), folder=FOLDER, name="visit.toml")
    with day.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(log) == len(rows) == 1440
    assert log.step == 60 and (np.diff(log.time) == 60).all()
    month_day = rows[0]["date_time"][:5].replace("/", "-")
    assert log.wall_time(log.time[0]) == f"2021-{month_day} 00:01:00"
    assert log.wall_time(log.time[-1]).endswith("00:00:00")
    for channel, (column, inside) in COLUMNS.items():
        expected = inside(np.array([float(r[column]) for r in rows]))
        np.testing.assert_allclose(log.channels[channel], expected, rtol=2e-6, atol=1e-9, err_msg=channel)
    assert not any(r.set_aside or r.gaps for r in log.records)
