"""Readings of a real heat pump in a laboratory, held to a computation with psychrolib alone.

Source: Z. Chen, W. V. Payne, J. Wen and others, one-minute data of a two-stage ducted heat pump in the chambers of
the NIST air-source heat pump test facility, project "Hardware-in-the-Loop Laboratory Performance Verification of
Flexible Building Equipment in a Typical Commercial Building" (US DOE EE-0009153), repository
ZhelunChen/HILFT-ASHP-DEMO, commit 2fad418, MIT licence. The test bed: Chen et al., ASHRAE Transactions 128 (2022).
The files are not part of this project. A few averages of them are, as facts, so that a check remains without them.
"""

from pathlib import Path

import pandas as pd
import psychrolib
import pytest

from airside import analyse
from airside.visit.load import visit_from_data

FOLDER = Path(__file__).parents[2] / ".." / "shared" / "data" / "lab_heat_pump"
DAYS = [
    "Atlanta_Eff_Default", "Atlanta_Eff_ExtrmSum", "Buffalo_Eff_ExtrmSum", "NewYorkCity_Eff_Default",
    "Tucson_Eff_Default", "Tucson_Eff_ExtrmSum",
]  # fmt: skip
READINGS = ["zn_temp", "zn_temp_dp", "sa_temp", "sa_temp_dp", "sa_flow", "local_pres"]
# The first minute of a run that counts.
STEADY_FROM = 15
needs_folder = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the laboratory readings (shared/data/lab_heat_pump) are not on this machine"
)


@pytest.fixture(scope="module", autouse=True)
def si():
    # Once: with numba installed, each call compiles psychrolib anew.
    psychrolib.SetUnitSystem(psychrolib.SI)


def read_day(day: str) -> pd.DataFrame:
    return pd.read_csv(FOLDER / f"{day}.csv")


def runs_of_stage_1(frame: pd.DataFrame) -> tuple[list[pd.DataFrame], int]:
    """Minutes 15 and later of each run of stage 1, and how many impossible rows were set aside.

    The stage flag lags: some of these minutes have the compressor off. They stay, because here only the arithmetic is
    tested and not the machine.
    """
    low = frame["stg"] == 1
    number = (low != low.shift()).cumsum()
    late = [run.iloc[STEADY_FROM - 1 :] for _, run in frame[low].groupby(number[low]) if len(run) >= STEADY_FROM]
    possible = [run[(run["sa_temp_dp"] <= run["sa_temp"]) & (run["zn_temp_dp"] <= run["zn_temp"])] for run in late]
    return [run for run in possible if len(run)], sum(map(len, late)) - sum(map(len, possible))


def visit_result(means, name: str):
    """The same means as a visit: dew points, standard air, barometer in inHg."""
    return analyse(visit_from_data({
        "format": "airside visit 1", "units": "IP", "name": name, "mode": "cooling",
        "site": {"barometric_pressure": float(means["local_pres"])},
        "airflow": {"method": "measured", "volume_flow": float(means["sa_flow"]), "basis": "standard", "at": "supply"},
        "readings": {
            "return": {"dry_bulb": float(means["zn_temp"]), "dew_point": float(means["zn_temp_dp"])},
            "supply": {"dry_bulb": float(means["sa_temp"]), "dew_point": float(means["sa_temp_dp"])},
        },
    }))  # fmt: skip


def by_psychrolib(means) -> dict[str, float]:
    """Total, sensible, latent [W] and dry air [kg/s], without airside."""
    pressure = means["local_pres"] * 3386.389
    celsius = {k: (means[k] - 32) / 1.8 for k in ("zn_temp", "zn_temp_dp", "sa_temp", "sa_temp_dp")}
    w1 = psychrolib.GetHumRatioFromTDewPoint(celsius["zn_temp_dp"], pressure)
    w2 = psychrolib.GetHumRatioFromTDewPoint(celsius["sa_temp_dp"], pressure)
    # Standard air is dry air of 0.075 lb/ft³, so cubic feet a minute are pounds a minute over 0.075.
    dry_air = means["sa_flow"] * 0.075 * 0.45359237 / 60
    h1 = psychrolib.GetMoistAirEnthalpy(celsius["zn_temp"], w1)
    h2 = psychrolib.GetMoistAirEnthalpy(celsius["sa_temp"], w2)
    between = psychrolib.GetMoistAirEnthalpy(celsius["zn_temp"], w2)
    return {
        "dry_air": dry_air,
        "total": dry_air * (h1 - h2),
        "sensible": dry_air * (between - h2),
        "latent": dry_air * (h1 - between),
    }


def assert_same(result, expected: dict[str, float], rel: float = 1e-3) -> None:
    assert result.airflow.dry_air_mass_flow == pytest.approx(expected["dry_air"], rel=rel)
    assert result.capacity.total == pytest.approx(expected["total"], rel=rel)
    assert result.capacity.sensible == pytest.approx(expected["sensible"], rel=rel)
    assert result.capacity.latent == pytest.approx(expected["latent"], rel=rel)


@needs_folder
@pytest.mark.parametrize("day", DAYS)
def test_every_run_of_a_day(day):
    runs, set_aside = runs_of_stage_1(read_day(day))
    assert len(runs) >= 10
    # Dew points above dry bulb come after starts and stops, not in these minutes.
    assert set_aside == 0
    for number, run in enumerate(runs, 1):
        means = run[READINGS].mean()
        assert_same(visit_result(means, f"{day}, run {number}"), by_psychrolib(means))


@needs_folder
def test_impossible_rows_are_as_many_as_the_source_has():
    days = [read_day(day) for day in DAYS]
    assert sum(map(len, days)) == 8640
    # Counted in the files; the note beside them says 194.
    assert sum(int((day["sa_temp_dp"] > day["sa_temp"]).sum()) for day in days) == 189


# Averages over minutes 15 and later of all runs of stage 1 on the day "Tucson_Eff_Default" (source above), and what
# psychrolib 2.5 makes of them.
FACTS = {
    "runs": 10,
    "minutes": 370,
    "zn_temp": 78.4759,  # return dry bulb, °F
    "zn_temp_dp": 54.4070,  # return dew point, °F
    "sa_temp": 55.6511,  # supply dry bulb, °F
    "sa_temp_dp": 52.3478,  # supply dew point, °F
    "sa_flow": 655.7811,  # standard air, cfm
    "local_pres": 29.4907,  # inHg
    "dry_air": 0.371822,  # kg/s
    "total": 5455.14,  # W
    "sensible": 4817.31,  # W
    "latent": 637.836,  # W
}


@needs_folder
def test_the_facts_are_those_of_the_files():
    runs, _ = runs_of_stage_1(read_day("Tucson_Eff_Default"))
    minutes = pd.concat(runs)
    assert (len(runs), len(minutes)) == (FACTS["runs"], FACTS["minutes"])
    for name in READINGS:
        assert minutes[name].mean() == pytest.approx(FACTS[name], rel=1e-5)


def test_the_averages_of_one_day():
    expected = {name: FACTS[name] for name in ("dry_air", "total", "sensible", "latent")}
    assert_same(visit_result(FACTS, "Tucson_Eff_Default, mean of all runs of stage 1"), expected)
    # And psychrolib as it is installed here.
    assert_same(visit_result(FACTS, "the same"), by_psychrolib(FACTS), rel=1e-5)
