"""`airside check` on a logged visit: the table of channels first, then what is wrong or what warns."""

import sys
from pathlib import Path

import pytest

import airside.cli

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "data" / "lab_heat_pump"

VISIT = """
format = "airside visit 1"
units = "SI"
name = "Bakery (invented)"
mode = "cooling"
[site]
elevation = 100
[airflow]
method = "measured"
basis = "standard"
log = "air.csv"
columns = { volume_flow = "flow" }
column_units = { volume_flow = "m3/h" }
[readings.return]
log = "air.csv"
columns = { dry_bulb = "t_return", relative_humidity = "rh_return" }
[readings.supply]
log = "air.csv"
columns = { dry_bulb = "t_supply", relative_humidity = "rh_supply" }
[readings.power]
log = "power.csv"
columns = { total = "p [W]" }
"""


def checked(folder, capsys, monkeypatch, text=VISIT):
    (folder / "visit.toml").write_text(text, "utf-8")
    monkeypatch.chdir(folder)
    monkeypatch.setattr(sys, "argv", ["airside", "check", "visit.toml"])
    try:
        airside.cli.main()
        status = 0
    except SystemExit as end:
        status = end.code
    out, err = capsys.readouterr()
    return status or 0, " ".join(out.split()), " ".join(err.split())


def logs(folder, on):
    air, power = ["time,t_return,rh_return,t_supply,rh_supply,flow"], ["time,p [W]"]
    for minute in range(180):
        stamp = f"2026-07-14T{10 + minute // 60}:{minute % 60:02}:00"
        runs = on(minute)
        air.append(
            f"{stamp},24.{minute % 2},50,{13 if runs else 23}.{minute % 2},{90 if runs else 55},{1500 if runs else 0}"
        )
        power.append(f"{stamp},{2500 if runs else 5}")
    (folder / "air.csv").write_text("\n".join(air), "utf-8")
    (folder / "power.csv").write_text("\n".join(power), "utf-8")


def test_the_table_comes_before_the_warnings(tmp_path, capsys, monkeypatch):
    logs(tmp_path, lambda minute: 30 <= minute < 120)
    status, out, err = checked(tmp_path, capsys, monkeypatch)
    assert (status, err) == (0, "")
    assert out.startswith("Logger files (the loggers' own clock; 180 times every 1 min)")
    assert "airflow volume flow 2026-07-14 10:00 1 min 180 0 0 L/s 417 L/s" in out
    assert "visit.toml: a valid visit file (Bakery (invented))" in out


def test_the_table_is_there_where_nothing_runs(tmp_path, capsys, monkeypatch):
    logs(tmp_path, lambda minute: False)
    status, out, err = checked(tmp_path, capsys, monkeypatch)
    assert status == 2
    assert out.startswith("Logger files")
    assert err.startswith("airside: visit.toml:")


def test_every_file_that_is_missing_is_said(tmp_path, capsys, monkeypatch):
    status, out, err = checked(tmp_path, capsys, monkeypatch)
    assert (status, out) == (2, "")
    said = " ".join(err.split())
    assert "2 problems" in said
    assert said.count("there is no such file. Logger files are named relative to the visit file") == 2
    assert "- air.csv: there is no" in said


@pytest.mark.skipif(not FOLDER.is_dir(), reason="the laboratory days are not in ../shared/data/lab_heat_pump")
def test_a_laboratory_day(tmp_path, capsys, monkeypatch):
    day = (FOLDER / "Tucson_Eff_ExtrmSum.csv").as_posix()
    text = f"""
format = "airside visit 1"
units = "IP"
name = "Laboratory day"
mode = "cooling"
[log]
year = 2021
time_format = "%m/%d %H:%M:%S"
[site]
log = "{day}"
columns = {{ barometric_pressure = "local_pres" }}
[airflow]
method = "measured"
basis = "standard"
log = "{day}"
columns = {{ volume_flow = "sa_flow" }}
[readings.return]
log = "{day}"
columns = {{ dry_bulb = "zn_temp", dew_point = "zn_temp_dp" }}
[readings.supply]
log = "{day}"
columns = {{ dry_bulb = "sa_temp", dew_point = "sa_temp_dp" }}
[readings.status]
log = "{day}"
columns = {{ stage = "stg" }}
"""
    status, out, err = checked(tmp_path, capsys, monkeypatch, text)
    assert (status, err) == (0, "")
    assert "site barometric 2021-08-16 00:01 1 min 1,440 0 29.41 inHg 29.54 inHg pressure 2021-08-17 00:00" in out
    assert "status stage 2021-08-16 00:01 1 min 1,440 0 0 2" in out
