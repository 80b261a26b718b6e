"""The demo visits load, and give what an independent calculation gives.

The calculation is plain Python with psychrolib (SI), on the bare numbers of the file, with factors typed here.
"""

import csv
import itertools
import math
import tomllib
from pathlib import Path

import psychrolib
import pytest
from valid_visit import unlikely

from airside import analyse, load_visit

DATA = Path(__file__).parents[2] / "data"
DEMOS = ["reading_room/before", "reading_room/after", "bakery/before", "bakery/after"]
INCH_WATER, CFM, FOOT = 249.08891, 0.3048**3 / 60, 0.3048
STANDARD_DENSITY = 0.075 * 0.45359237 / FOOT**3


@pytest.fixture(scope="module", autouse=True)
def si():
    # Once: with numba installed, each call compiles psychrolib anew.
    psychrolib.SetUnitSystem(psychrolib.SI)


def mean(values):
    return math.fsum(values) / len(values)


def state(readings, ip, pressure, check):
    values = {}
    for name in ("dry_bulb", "relative_humidity"):
        values[name] = mean(readings[name])
        if check is not None and check["apply"]:
            # Half of the difference between the two probes, towards each other.
            first, second = check[name]
            half = (mean(second) - mean(first)) / 2
            values[name] += half if readings["instrument"] == check["instruments"][0] else -half
    dry_bulb = (values["dry_bulb"] - 32) / 1.8 if ip else values["dry_bulb"]
    return dry_bulb, psychrolib.GetHumRatioFromRelHum(dry_bulb, values["relative_humidity"] / 100, pressure)


def by_hand(name):
    file = DATA / f"{name}.toml"
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    ip, site, airflow = data["units"] == "IP", data["site"], data["airflow"]
    check = data.get("side_by_side")
    if "barometric_pressure" in site:
        pressure = site["barometric_pressure"] * 1000
    else:
        pressure = psychrolib.GetStandardAtmPressure(site["elevation"] * FOOT)
    t1, w1 = state(data["readings"]["return"], ip, pressure, check)
    t2, w2 = state(data["readings"]["supply"], ip, pressure, check)
    if airflow["method"] == "fan table":
        rows = [r for r in csv.reader((file.parent / airflow["table"]).read_text().splitlines()) if "#" not in r[0]]
        column = [h.split(" [")[0] for h in rows[0]].index(airflow["speed"])
        table = [(float(r[0]), float(r[column])) for r in rows[1:]]
        static = mean(airflow["external_static_pressure"]) * STANDARD_DENSITY
        static /= psychrolib.GetMoistAirDensity(t2, w2, pressure)
        (x0, y0), (x1, y1) = next((a, b) for a, b in itertools.pairwise(table) if a[0] <= static <= b[0])
        volume = (y0 + (y1 - y0) * (static - x0) / (x1 - x0)) * CFM
    else:
        volume = mean(airflow["velocity"]) * airflow["width"] / 1000 * airflow["height"] / 1000
    mass = volume / psychrolib.GetMoistAirVolume(t2, w2, pressure)
    enthalpy = psychrolib.GetMoistAirEnthalpy
    return {
        "volume": volume,
        "mass": mass,
        "total": mass * (enthalpy(t1, w1) - enthalpy(t2, w2)),
        "sensible": mass * (enthalpy(t1, w2) - enthalpy(t2, w2)),
        "moisture": mass * (w1 - w2) * 3600,
        "pressure": pressure,
    }


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_gives_what_a_calculation_by_hand_gives(name):
    result = analyse(load_visit(DATA / f"{name}.toml"))
    expected = by_hand(name)
    assert result.return_air.pressure == pytest.approx(expected["pressure"], rel=1e-6)
    assert result.airflow.volume_flow == pytest.approx(expected["volume"], rel=1e-6)
    assert result.airflow.dry_air_mass_flow == pytest.approx(expected["mass"], rel=1e-6)
    assert result.capacity.total == pytest.approx(expected["total"], rel=1e-5)
    assert result.capacity.sensible == pytest.approx(expected["sensible"], rel=1e-5)
    assert result.capacity.latent == pytest.approx(expected["total"] - expected["sensible"], rel=1e-4)
    assert result.capacity.moisture_removal == pytest.approx(expected["moisture"], rel=1e-4)


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_is_without_warnings_and_says_that_it_is_invented(name):
    file = DATA / f"{name}.toml"
    assert unlikely(analyse(load_visit(file))) == []
    assert file.read_text(encoding="utf-8").startswith("# Invented")


@pytest.mark.parametrize("folder", ["reading_room", "bakery"])
def test_the_fan_heat_is_apart_from_what_is_delivered(folder):
    result = analyse(load_visit(DATA / folder / "before.toml"))
    power = tomllib.loads((DATA / folder / "before.toml").read_text(encoding="utf-8"))["fan"]["power"]
    # The fan is between the probes: its heat is already in the supply air.
    assert result.capacity.gross - result.capacity.total == pytest.approx(power * 1000)


@pytest.mark.parametrize("folder", ["reading_room", "bakery"])
def test_cleaning_or_more_air_helps_in_the_demo(folder):
    before, after = (analyse(load_visit(DATA / folder / f"{n}.toml")) for n in ("before", "after"))
    assert after.capacity.total > 1.05 * before.capacity.total
