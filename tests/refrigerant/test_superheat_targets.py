"""Target superheat by the rule and by a table; the probability of being within it."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from airside.errors import EvidenceError, OutOfRangeError
from airside.refrigerant import cycle, targets


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def test_rule_by_hand() -> None:
    """Return wet bulb 67 °F, outdoor 85 °F: (3 * 67 - 80 - 85) / 2 = 18 °F."""
    found = targets.target_superheat_fixed_orifice(celsius(67), celsius(85))
    assert found * 1.8 == pytest.approx(18.0, abs=1e-9)
    assert cycle.target_superheat_fixed_orifice is targets.target_superheat_fixed_orifice


def test_rule_is_that_of_common_practice() -> None:
    file = Path(__file__).parents[3] / "shared" / "reference" / "common_practice.csv"
    if not file.exists():
        pytest.skip("the reference values are not here")
    rows = csv.DictReader(line for line in file.read_text("utf-8").splitlines() if not line.startswith("#"))
    values = {r["item"]: r["value"] for r in rows}
    assert values["target superheat of a fixed orifice"] == "(3*return wet bulb - 80 - outdoor dry bulb)/2"
    for item, (low, high) in (
        ("superheat held by a thermostatic valve at its bulb", targets.VALVE_SUPERHEAT),
        ("subcooling on a valve system without nameplate value", targets.SUBCOOLING),
        ("condensing temperature above outdoor air", targets.CONDENSING_OVER_OUTDOOR),
        ("saturated suction below return dry bulb", targets.SUCTION_BELOW_RETURN),
    ):
        assert values[item].startswith(f"{low * 1.8:.0f} to {high * 1.8:.0f}")


def test_no_target_below_five_degrees() -> None:
    # (3 * 61.6 - 80 - 95) / 2 = 4.9 °F; at 61.667 °F it is 5 °F.
    assert np.isnan(targets.target_superheat_fixed_orifice(celsius(61.6), celsius(95)))
    assert targets.lowest_wet_bulb(celsius(95)) == pytest.approx(celsius(185 / 3), abs=1e-9)
    least = targets.lowest_wet_bulb(np.array([celsius(80), celsius(95)]))
    np.testing.assert_allclose(
        targets.target_superheat_fixed_orifice(least, np.array([celsius(80), celsius(95)])), 5 / 1.8
    )
    extended = targets.target_superheat_fixed_orifice(celsius(61.6), celsius(95), no_target="extend")
    assert extended * 1.8 == pytest.approx(4.9)


def test_no_target_is_said_with_its_range() -> None:
    said = targets.no_target_reason(celsius(58), celsius(95), "IP")
    assert "58.0 °F" in said and "95.0 °F" in said and "5.0 °F" in said
    assert said.endswith("needs a return wet bulb of 61.7 °F or more.")
    assert targets.no_target_reason(celsius(67), celsius(95)) == ""
    assert "without return wet bulb" in targets.no_target_reason(float("nan"), 30.0)


WET_BULB, OUTDOOR = [15.0, 18.0, 21.0], [25.0, 35.0]
TABLE = [[6.0, np.nan], [10.0, 4.0], [14.0, 8.0]]


def test_table() -> None:
    def read(wet: float, outdoor: float) -> float:
        return float(targets.target_from_table(WET_BULB, OUTDOOR, TABLE, wet, outdoor))

    assert read(18.0, 25.0) == 10.0
    assert read(21.0, 35.0) == 8.0
    # Half way each way: the mean of the four corners.
    assert read(19.5, 30.0) == pytest.approx((10 + 4 + 14 + 8) / 4)
    # An empty entry counts only where it is needed.
    assert read(16.5, 25.0) == 8.0
    assert np.isnan(read(16.5, 26.0))
    assert read(18.0, 30.0) == 7.0


def test_table_is_not_read_beyond_its_ends() -> None:
    with pytest.raises(OutOfRangeError, match=r"outdoor dry bulb 36\.0 °C is outside .* from 25\.0 °C to 35\.0 °C"):
        targets.target_from_table(WET_BULB, OUTDOOR, TABLE, 18.0, 36.0)
    found = targets.target_from_table(WET_BULB, OUTDOOR, TABLE, np.array([18.0, 22.0]), 25.0, outside="nan")
    assert found[0] == 10.0
    assert np.isnan(found[1])
    assert np.isnan(targets.target_from_table(WET_BULB, OUTDOOR, TABLE, np.nan, 25.0))


@pytest.mark.parametrize(
    ("wet_bulb", "outdoor", "table", "said"),
    [
        (WET_BULB, OUTDOOR, TABLE[:2], "found 2 by 2 entries for 3 wet bulbs and 2 outdoor"),
        (WET_BULB, OUTDOOR, [[1.0], [1.0, 2.0], [3.0, 4.0]], "not of one length"),
        ([15.0, 15.0, 21.0], OUTDOOR, TABLE, "return wet bulb needs at least 2 rising values"),
        (WET_BULB, [25.0], TABLE, "outdoor dry bulb needs at least 2 rising values"),
        (WET_BULB, [25.0, np.nan], TABLE, "none missing"),
    ],
)
def test_bad_tables(wet_bulb: list[float], outdoor: list[float], table: list[list[float]], said: str) -> None:
    with pytest.raises(EvidenceError, match=said):
        targets.target_from_table(wet_bulb, outdoor, table, 18.0, 30.0)


def test_probability_within() -> None:
    draws = np.array([1.0, 2.0, 3.0, 4.0, np.nan])
    assert targets.probability_within(draws, 2.0, 3.5) == 0.5
    assert targets.probability_within(draws, np.array([0.0, 0.0, 0.0, np.nan, 0.0]), 2.0) == pytest.approx(2 / 3)
    assert np.isnan(targets.probability_within(np.array([np.nan]), 0.0, 1.0))
