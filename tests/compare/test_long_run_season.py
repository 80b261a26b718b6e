"""Delivered heat, energy and cost of a season by temperature bins, by hand; bins and prices that cannot be used."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from simulated_periods import pair

from airside.compare.long_run import long_run
from airside.compare.season import Bins, price_of, read_bins
from airside.errors import ComparisonError, FileError

DEMO = Path(__file__).parents[2] / "data" / "clinic_season.csv"


def test_the_season_is_the_sum_over_its_bins():
    before, after = pair(2, days=10)
    bins = Bins("made up", np.array([28.0, 31.0, 34.0, 60.0]), np.array([300.0, 200.0, 50.0, 7.0]))
    found = long_run(before, after, bins=bins, price="0.20 EUR")
    heat = energy = 0.0
    total, power = found.baselines["total"], found.baselines["power"]
    for air, hours in ((28.0, 300.0), (31.0, 200.0), (34.0, 50.0)):
        step = air - before.columns["outdoor_dry_bulb"].mean()
        heat += hours * 3600 * (total.coefficients[0] + total.coefficients[1] * step)
        energy += hours * 3600 * (power.coefficients[0] + power.coefficients[1] * step)
    e = {n: v.value for n, v in found.estimates.items()}
    assert e["heat_before"] == pytest.approx(heat)
    assert e["energy_before"] == pytest.approx(energy)
    assert e["heat_after"] == pytest.approx(heat * (1 + e["change_total"]))
    assert e["energy_after"] == pytest.approx(energy * (1 + e["change_power"]))
    assert e["energy_same_heat"] == pytest.approx(energy / (1 + e["change_efficiency"]))
    assert e["hours_same_heat"] == pytest.approx(550 * 3600 / (1 + e["change_total"]))
    assert found.cost("energy_before") == pytest.approx(energy / 3.6e6 * 0.20)
    assert found.season.set_apart_hours == 7.0
    assert any("7 of the season's 557 hours" in w.message for w in found.warnings)
    content = found.to_dict()["season"]
    assert content["cost"]["energy_saved"] == pytest.approx(e["energy_saved"] / 3.6e6 * 0.20)
    assert content["inside"] == [True, True, True, False]


def test_saving_has_its_interval():
    before, after = pair(2, days=12, after={"change": 0.12, "power_change": -0.05})
    found = long_run(before, after, bins=Bins("made up", np.array([30.0]), np.array([1000.0])), price=0.2)
    e = found.estimates["energy_saved"]
    # Of one bin the saving goes with the efficiency: 1 - 1/(1 + change).
    change = found.estimates["change_efficiency"].value
    assert e.value == pytest.approx(found.estimates["energy_before"].value * (1 - 1 / (1 + change)))
    assert e.interval_95[0] > 0
    assert any("saves" in s for s in found.season_sentences())
    found = long_run(
        before, replace(before, begin=before.begin + 1e6), bins=Bins("x", np.array([30.0]), np.array([9.0])), price=1
    )
    assert any("do not show a difference in cost" in s for s in found.season_sentences())


def test_without_power_heat_alone():
    before, after = (replace(p, columns={n: v for n, v in p.columns.items() if n != "power"}) for p in pair(2))
    found = long_run(before, after, bins=Bins("x", np.array([30.0]), np.array([9.0])))
    assert "heat_after" in found.estimates and "energy_before" not in found.estimates
    assert found.further_sentences == ()


def test_bins_from_files(tmp_path):
    csv = tmp_path / "bins.csv"
    csv.write_text("# A summer\ndry_bulb [degF],hours\n86,100\n95,50\n", encoding="utf-8")
    toml = tmp_path / "bins.toml"
    toml.write_text('name = "A summer"\nunits = "SI"\ndry_bulb = [30, 35]\nhours = [100, 50]\n', encoding="utf-8")
    for file in (csv, toml):
        bins = read_bins(file)
        assert bins.name == "A summer"
        assert bins.dry_bulb == pytest.approx([30, 35])
        assert bins.hours == pytest.approx([100, 50])


def test_the_demo_season_says_that_it_is_invented():
    bins = read_bins(DEMO)
    assert "invented" in bins.name.lower()
    assert 500 < bins.hours.sum() < 3000


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("a.csv", "", "is empty"),
        ("a.csv", "temperature,h\n1,2\n", "the heads are temperature, h"),
        ("a.csv", "dry_bulb,hours\n1,2\n", 'expected "dry_bulb \\[degC\\]"'),
        ("a.csv", "dry_bulb [degC],hours\n30\n", "bin 1 has 1 values"),
        ("a.csv", "dry_bulb [degC],hours\nwarm,2\n", 'dry_bulb, value 1: "warm" is found'),
        ("a.csv", "dry_bulb [degC],hours\n30,-2\n", "hours of 0 or more"),
        ("a.csv", "dry_bulb [degC],hours\n95,2\n", "95 °C is no outdoor temperature"),
        ("a.csv", "dry_bulb [degC],hours\n30,2\n30,5\n", "stands twice"),
        ("a.csv", "dry_bulb [degC],hours\n30,9999\n", "the hours add up to 9999"),
        ("a.csv", "dry_bulb [degC],hours\n30,0\n", "the hours add up to 0"),
        ("a.toml", "x = ", "is not TOML"),
        ("a.toml", "dry_bulb = [1]\nhours = [1]\n", "units: expected"),
        ("a.toml", 'units = "SI"\ndry_bulb = [1, 2]\nhours = [1]\n', "2 dry bulbs and 1 hours"),
        ("a.toml", 'units = "SI"\ndry_bulb = [1]\nhours = [1]\nx = 1\n', "x: is not known here"),
        ("a.toml", 'units = "SI"\ndry_bulb = 1\nhours = [1]\n', "dry_bulb: expected a list"),
        ("a.xlsx", "", "end in .xlsx"),
    ],
)
def test_bins_that_cannot_be_used(tmp_path, name, text, said):
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(FileError, match=said):
        read_bins(tmp_path / name)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        read_bins(tmp_path / "none.csv")


def test_prices():
    assert (price_of("0.18").per_kwh, price_of("0.18 EUR").currency, price_of(0.2).per_kwh) == (0.18, "EUR", 0.2)
    assert price_of("0.18 EUR/kWh").currency == "EUR"
    for wrong in ("free", "-1", "0", "0,18", "1.2.3"):
        with pytest.raises(ComparisonError, match="is not a price"):
            price_of(wrong)


def test_what_does_not_go_together():
    before, after = pair(2)
    with pytest.raises(ComparisonError, match="a price goes with a season's bins"):
        long_run(before, after, price=0.2)
    with pytest.raises(ComparisonError, match="no bin of the season is inside"):
        long_run(before, after, bins=Bins("x", np.array([55.0]), np.array([10.0])))
    with pytest.raises(ComparisonError, match="bins are int"):
        long_run(before, after, bins=5)
    flat = replace(before, columns=dict(before.columns) | {"outdoor_dry_bulb": np.full(len(before), 31.0)})
    near = replace(after, columns=dict(after.columns) | {"outdoor_dry_bulb": np.full(len(after), 31.1)})
    with pytest.raises(ComparisonError, match="needs a baseline that goes by it"):
        long_run(flat, near, bins=Bins("x", np.array([31.0]), np.array([10.0])))
