"""The refrigerant side of a visit: by hand, in both unit systems, its doubts, its targets, what is refused."""

from __future__ import annotations

import copy
import json
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from airside.errors import TableError, VisitError
from airside.instruments.named_error import Draws
from airside.refrigerant import targets
from airside.refrigerant.saturation import dew_temperature
from airside.visit.convert import convert_data
from airside.visit.load import load_visit, visit_from_data
from airside.visit.refrigerant_side import (
    SUBCOOLING_TOLERANCE,
    SUPERHEAT_TOLERANCE,
    RefrigerantSide,
    Target,
    device_of,
    refrigerant_side,
)
from airside.visit.uncertainty import visit_uncertainty

DATA = Path(__file__).parents[2] / "data"
DEMOS = [DATA / room / f"{stage}.toml" for room in ("reading_room", "bakery") for stage in ("before", "after")]
COUNT = 20_000
PSI = 6894.757
# CoolProp's fluid of each demo's refrigerant.
FLUIDS = {"R-410A": "R410A", "R-32": "R32"}
# Two standard uncertainties of a clamp are 0.4 K, normal: without corners a probability can be worked by hand.
NORMAL_CLAMP = {"line_temperature": {"accuracy": 0.4, "coverage": "95 %"}}


def bakery(changes: dict[str, Any] | None = None) -> dict[str, Any]:
    """The bakery's data with values set by dotted name; None takes a key out."""
    data = copy.deepcopy(tomllib.loads((DATA / "bakery" / "before.toml").read_text("utf-8")))
    for dotted, value in (changes or {}).items():
        *path, last = dotted.split(".")
        table = data
        for key in path:
            table = table.setdefault(key, {})
        if value is None:
            table.pop(last, None)
        else:
            table[last] = value
    return data


def side_of(data: dict[str, Any], path: Path | None = None, count: int = COUNT) -> RefrigerantSide:
    found, reason = refrigerant_side(visit_uncertainty(visit_from_data(data, path=path), count=count))
    assert found is not None and reason == ""
    return found


def refused(data: dict[str, Any], path: Path | None = None) -> str:
    """Message of a visit that loads, and whose refrigerant side cannot be worked out."""
    with pytest.raises((VisitError, TableError)) as caught:
        side_of(data, path, 1000)
    return str(caught.value)


def value(side: RefrigerantSide, name: str) -> float:
    return float(np.asarray(side.at_readings[name][0]))


def target(side: RefrigerantSide, name: str) -> Target:
    (found,) = [t for t in side.targets if t.name == name]
    return found


@pytest.mark.parametrize("file", DEMOS, ids=lambda f: f"{f.parent.name}-{f.stem}")
def test_figures_by_coolprop_and_by_hand(file: Path) -> None:
    from CoolProp.CoolProp import PropsSI

    data = tomllib.loads(file.read_text("utf-8"))
    ip = data["units"] == "IP"

    def mean(*path: str) -> float:
        table: Any = data
        for key in path:
            table = table[key]
        return float(np.mean(table))

    def celsius(*path: str) -> float:
        return (mean(*path) - 32) / 1.8 if ip else mean(*path)

    # ASHRAE Fundamentals ch. 1: the standard atmosphere, where no barometer was read.
    site = data["site"]
    barometer = (
        1000 * site["barometric_pressure"]
        if "barometric_pressure" in site
        else 101_325 * (1 - 2.25577e-5 * 0.3048 * site["elevation"]) ** 5.2559
    )
    gauge = PSI if ip else 1000
    low, high = (
        mean("readings", "refrigerant", n) * gauge + barometer for n in ("suction_pressure", "liquid_pressure")
    )
    fluid = FLUIDS[data["system"]["refrigerant"]]
    dew, bubble = PropsSI("T", "P", low, "Q", 1, fluid) - 273.15, PropsSI("T", "P", high, "Q", 0, fluid) - 273.15
    evaporating = (dew + PropsSI("T", "P", low, "Q", 0, fluid) - 273.15) / 2
    condensing = (bubble + PropsSI("T", "P", high, "Q", 1, fluid) - 273.15) / 2
    at_coil, at_unit, liquid, discharge = (
        celsius("readings", "refrigerant", n)
        for n in ("suction_line_at_coil", "suction_line_at_outdoor_unit", "liquid_line", "discharge_line")
    )
    return_air = celsius("readings", "return", "dry_bulb")
    if "side_by_side" in data:
        # Each probe is brought halfway to the other.
        first, second = data["side_by_side"]["dry_bulb"]
        return_air += (np.mean(second) - np.mean(first)) / 2 / 1.8
    by_hand = {
        "saturated_suction": dew, "suction_below_return": return_air - evaporating,
        "superheat_at_coil": at_coil - dew, "superheat_at_outdoor_unit": at_unit - dew,
        "suction_line_rise": at_unit - at_coil, "saturated_liquid": bubble,
        "glide_at_liquid_pressure": 2 * (condensing - bubble), "subcooling": bubble - liquid,
        "condensing_over_outdoor": condensing - celsius("readings", "outdoor", "dry_bulb"), "discharge_line": discharge,
    }  # fmt: skip
    side, _ = refrigerant_side(visit_uncertainty(load_visit(file), count=2_000))
    assert side is not None
    assert {n: value(side, n) for n in side.at_readings} == pytest.approx(by_hand, abs=0.01)
    assert side.refrigerant == data["system"]["refrigerant"]


@pytest.mark.parametrize("file", DEMOS[::2], ids=lambda f: f.parent.name)
def test_twins_in_both_unit_systems_agree(file: Path) -> None:
    data = tomllib.loads(file.read_text("utf-8"))
    twin = convert_data(data, "SI" if data["units"] == "IP" else "IP")
    one, other = side_of(data, file), side_of(twin, file)
    assert {n: value(one, n) for n in one.at_readings} == pytest.approx(
        {n: value(other, n) for n in other.at_readings}, abs=1e-6
    )
    for a, b in zip(one.rows(), other.rows(), strict=True):
        assert b.uncertainty == pytest.approx(a.uncertainty, rel=0.04, abs=1e-6), a.name
    for t, u in zip(one.targets, other.targets, strict=True):
        assert (t.name, t.low, t.high) == (u.name, pytest.approx(u.low), pytest.approx(u.high))
        assert t.probability == pytest.approx(u.probability, abs=0.01)
    ip, si = (one, other) if data["units"] == "IP" else (other, one)
    assert "°F" in " ".join(ip.notes()) and "°F" not in " ".join(si.notes())


def test_gauge_and_clamp_errors_are_named_and_shared() -> None:
    draws = Draws(COUNT)
    before, after = (
        visit_uncertainty(load_visit(DATA / "bakery" / f"{n}.toml"), draws=draws) for n in ("before", "after")
    )
    names = {e.name for e in before.errors.errors}
    assert {
        "gauges refrigerant pressure, calibration", "gauges refrigerant pressure, new at this visit",
        "clamps line temperature, calibration", "clamps line temperature, new at this visit",
        "refrigerant suction pressure, repeatability", "refrigerant liquid line, repeatability",
    } <= names  # fmt: skip
    shared = {e.key for e in before.errors.errors} & {e.key for e in after.errors.errors}
    assert {"instrument/gauges/refrigerant_pressure", "instrument/clamps/line_temperature"} <= shared
    sides = [refrigerant_side(d)[0] for d in (before, after)]
    assert sides[0] is not None and sides[1] is not None
    change = sides[1].draws("superheat_at_coil") - sides[0].draws("superheat_at_coil")
    alone = [np.std(s.draws("superheat_at_coil")) for s in sides if s is not None]
    # Half of the clamp's variance comes anew, and a quarter of the gauge's: the rest cancels.
    assert np.std(change) < 0.8 * math.hypot(*alone)
    # With other instruments nothing does.
    other = bakery({"name": "other"})
    for old, new in (("gauges", "other gauges"), ("clamps", "other clamps")):
        other["instruments"][new] = other["instruments"].pop(old)
    other["readings"]["refrigerant"] |= {"instrument": "other gauges", "line_instrument": "other clamps"}
    stranger, _ = refrigerant_side(visit_uncertainty(visit_from_data(other), draws=draws))
    assert stranger is not None
    apart = stranger.draws("superheat_at_coil") - sides[0].draws("superheat_at_coil")
    assert np.std(apart) == pytest.approx(math.sqrt(2) * alone[0], rel=0.03)


def test_doubt_is_that_of_gauge_and_clamp_by_hand() -> None:
    side = side_of(bakery())
    rows = {r.name: r for r in side.rows()}
    readings = bakery()["readings"]["refrigerant"]

    def standard_deviation(half_width: float, name: str) -> float:
        """Limit as a rectangle; scatter of five readings as Student's t of four degrees of freedom."""
        scatter = np.std(readings[name], ddof=1) / math.sqrt(5) * math.sqrt(4 / 2)
        return math.hypot(half_width / math.sqrt(3), scatter)

    gauge = standard_deviation(7.0 + 0.005 * np.mean(readings["suction_pressure"]), "suction_pressure")
    clamp = standard_deviation(1.0, "suction_line_at_coil")
    # R-32 at 6 °C, kelvin for a kilopascal.
    slope = float(np.diff(dew_temperature("R-32", np.array([980e3, 984e3])))[0]) / 4
    assert rows["superheat_at_coil"].uncertainty == pytest.approx(math.hypot(clamp, slope * gauge), rel=0.03)
    # The barometer's 0.3 kPa is in it too.
    assert rows["saturated_suction"].uncertainty == pytest.approx(slope * gauge, rel=0.03)
    # One clamp measures both ends of the suction line: its own error cancels.
    assert rows["suction_line_rise"].uncertainty < 0.4 * clamp
    assert rows["discharge_line"].uncertainty == pytest.approx(standard_deviation(1.0, "discharge_line"), rel=0.03)
    low, high = rows["subcooling"].interval
    assert low < rows["subcooling"].value < high


def test_without_a_name_nothing_is_shared() -> None:
    data = bakery({"readings.refrigerant.instrument": None, "readings.refrigerant.line_instrument": None})
    doubt = visit_uncertainty(visit_from_data(data), count=1000)
    assert not {e.key for e in doubt.errors.errors} & {
        "instrument/gauges/refrigerant_pressure", "instrument/clamps/line_temperature"
    }  # fmt: skip
    warned = " ".join(w.message for w in doubt.errors.warnings)
    assert "Refrigerant suction pressure names no instrument; a default class is taken (± 7 kPa gauge" in warned
    assert "Refrigerant liquid line names no instrument; a default class is taken (± 1.0 K" in warned
    # A clamp with a name and no accuracy has the default class too.
    nothing_known = visit_uncertainty(visit_from_data(bakery({"instruments.clamps": {}})), count=1000)
    assert 'Instrument "clamps" has no accuracy for line temperature' in " ".join(
        w.message for w in nothing_known.errors.warnings
    )


def test_device_by_its_words() -> None:
    for words, device in (
        ("thermostatic valve", "valve"), ("Electronic Valve", "valve"), ("TXV", "valve"), ("EEV on the coil", "valve"),
        ("fixed orifice", "fixed orifice"), ("Piston 59", "fixed orifice"), ("capillary tubes", "fixed orifice"),
        ("unsure", "unknown"), (None, "unknown"),
    ):  # fmt: skip
        assert device_of(visit_from_data(bakery({"system.metering_device": words}))) == device, words


def test_targets_of_the_nameplate() -> None:
    side = side_of(bakery({"system.target_superheat": 6.5}))
    superheat, subcooling = target(side, "superheat_at_coil"), target(side, "subcooling")
    assert superheat.source == subcooling.source == "nameplate"
    assert (superheat.low, superheat.high) == pytest.approx((6.5 - SUPERHEAT_TOLERANCE, 6.5 + SUPERHEAT_TOLERANCE))
    assert (subcooling.low, subcooling.high) == pytest.approx((5 - SUBCOOLING_TOLERANCE, 5 + SUBCOOLING_TOLERANCE))
    # The nameplate's subcooling stands for a fixed orifice too; the customary range does not.
    orifice = side_of(bakery({"system.metering_device": "fixed orifice"}), count=1000)
    assert target(orifice, "subcooling").source == "nameplate"
    bare = side_of(bakery({"system.metering_device": "fixed orifice", "system.target_subcooling": None}), count=1000)
    assert "subcooling" not in [t.name for t in bare.targets]


def test_targets_of_a_valve_are_common_practice() -> None:
    side = side_of(bakery({"system.target_subcooling": None}))
    superheat, subcooling = target(side, "superheat_at_coil"), target(side, "subcooling")
    assert (superheat.low, superheat.high) == targets.VALVE_SUPERHEAT
    assert (subcooling.low, subcooling.high) == targets.SUBCOOLING
    assert "common practice" in superheat.source and "common practice" in subcooling.source
    # Without a clamp at the coil the outdoor unit's serves.
    outside = side_of(bakery({"readings.refrigerant.suction_line_at_coil": None}), count=1000)
    assert target(outside, "superheat_at_outdoor_unit").low == targets.VALVE_SUPERHEAT[0]
    unnamed = side_of(bakery({"system.metering_device": None}), count=1000)
    assert any("is not named" in n for n in unnamed.notes())
    odd = side_of(bakery({"system.metering_device": "whistle"}), count=1000)
    assert any('"whistle" is not known' in n for n in odd.notes())


def test_target_of_a_fixed_orifice_by_rule() -> None:
    side = side_of(bakery({"system.metering_device": "fixed orifice", "readings.outdoor.dry_bulb": [26.0]}))
    wet_bulb = float(np.asarray(side.doubt.at_readings.return_air.wet_bulb)) * 1.8 + 32
    by_hand = (3 * wet_bulb - 80 - (26.0 * 1.8 + 32)) / 2 / 1.8
    found = target(side, "superheat_at_outdoor_unit")
    assert (found.low + found.high) / 2 == pytest.approx(by_hand, rel=1e-9)
    assert "common practice, no source" in found.source
    assert any("(3 x return wet bulb - 80 - outdoor dry bulb) / 2" in n for n in side.notes())


def test_no_target_is_said_with_its_range() -> None:
    side = side_of(bakery({"system.metering_device": "fixed orifice", "readings.outdoor.dry_bulb": [45.0]}), count=1000)
    assert not [t for t in side.targets if t.name.startswith("superheat")]
    # 5 °F needs a wet bulb of (10 + 80 + 113) / 3 °F = 19.8 °C.
    (said,) = [n for n in side.notes() if "no target superheat" in n]
    assert "45.0 °C outdoors" in said and "19.8 °C or more" in said and "common practice" in said
    without = side_of(bakery({"system.metering_device": "fixed orifice", "readings.outdoor": None}), count=1000)
    assert any("no outdoor dry bulb" in n for n in without.notes())
    assert "condensing_over_outdoor" not in without.at_readings


TABLE = "return wet bulb [degF],75,85,95,105\n57,10,8,6,5\n62,16,13,10,8\n67,22,19,16,13\n"


def with_table(folder: Path, text: str, **changes: Any) -> tuple[dict[str, Any], Path]:
    (folder / "superheat.csv").write_text(text, "utf-8")
    data = bakery(
        {"system.metering_device": "fixed orifice", "system.target_superheat_table": "superheat.csv"} | changes
    )
    return data, folder / "visit.toml"


def test_target_of_the_manufacturers_table(tmp_path: Path) -> None:
    side = side_of(*with_table(tmp_path, TABLE))
    wet = float(np.asarray(side.doubt.at_readings.return_air.wet_bulb)) * 1.8 + 32
    out = float(np.asarray(side.doubt.at_readings.outdoor_dry_bulb)) * 1.8 + 32
    # Between 62 and 67 °F wet bulb, 85 and 95 °F outdoors.
    x, y = (wet - 62) / 5, (out - 85) / 10
    by_hand = ((1 - x) * ((1 - y) * 13 + y * 10) + x * ((1 - y) * 19 + y * 16)) / 1.8
    found = target(side, "superheat_at_outdoor_unit")
    assert found.source == "the manufacturer's table"
    assert (found.low, found.high) == pytest.approx((by_hand - SUPERHEAT_TOLERANCE, by_hand + SUPERHEAT_TOLERANCE))
    # A nameplate value stands above the table.
    named = side_of(*with_table(tmp_path, TABLE, **{"system.target_superheat": 6.0}), count=1000)
    assert target(named, "superheat_at_outdoor_unit").source == "nameplate"


def test_table_without_a_target_here_is_said(tmp_path: Path) -> None:
    hole = side_of(*with_table(tmp_path, TABLE.replace("67,22,19,16,13", "67,22,,,13")), count=1000)
    assert any("table gives no target superheat at these conditions" in n for n in hole.notes())
    beyond = side_of(*with_table(tmp_path, TABLE.replace("62,", "58,").replace("67,", "59,")), count=1000)
    (said,) = [n for n in beyond.notes() if "outside the table" in n]
    assert said.startswith("There is no target superheat.") and "from 13.9 °C to 15.0 °C" in said
    valve = {"system.metering_device": "thermostatic valve"}
    unused = side_of(*with_table(tmp_path, TABLE, **valve), count=1000)
    assert any("table is not used" in n for n in unused.notes())
    # A bad one is said all the same.
    assert "line 2" in refused(*with_table(tmp_path, TABLE.replace("57,10,", "57,"), **valve))


@pytest.mark.parametrize("superheat", [3.1, 4.0, 8.3, 9.0])
def test_probability_within_target_by_hand(superheat: float) -> None:
    data = bakery({
        "instruments.clamps": NORMAL_CLAMP, "instruments.gauges.refrigerant_pressure.coverage": "95 %",
    })  # fmt: skip
    start = value(side_of(data, count=1000), "superheat_at_coil")
    line = data["readings"]["refrigerant"]["suction_line_at_coil"]
    data["readings"]["refrigerant"]["suction_line_at_coil"] = [round(v + superheat - start, 6) for v in line]
    side = side_of(data)
    found = target(side, "superheat_at_coil")
    (row,) = [r for r in side.rows() if r.name == "superheat_at_coil"]
    assert row.value == pytest.approx(superheat, abs=1e-3)

    def below(limit: float) -> float:
        return 0.5 * (1 + math.erf((limit - superheat) / row.uncertainty / math.sqrt(2)))

    by_hand = below(targets.VALVE_SUPERHEAT[1]) - below(targets.VALVE_SUPERHEAT[0])
    assert found.probability == pytest.approx(by_hand, abs=0.015)


def test_probability_counts_the_doubt_of_the_target(tmp_path: Path) -> None:
    # A wet bulb of little worth makes the rule's target as vague.
    vague = {"instruments.probe_a.relative_humidity": {"accuracy": 12.0}, "system.metering_device": "fixed orifice",
             "readings.outdoor.dry_bulb": [26.0]}  # fmt: skip
    sharp = {**vague, "instruments.probe_a.relative_humidity": {"accuracy": 0.5}}
    rule = targets.target_superheat_fixed_orifice(18.5, 26.0)
    shift = float(np.asarray(rule)) - 8.0
    for changes in (vague, sharp):
        changes["readings.refrigerant.suction_line_at_outdoor_unit"] = [round(14.1 + shift, 2)] * 5
    one, other = (target(side_of(bakery(c)), "superheat_at_outdoor_unit").probability for c in (vague, sharp))
    assert one < other - 0.05


def test_unknown_refrigerant_names_the_nearest() -> None:
    said = refused(bakery({"system.refrigerant": "R-411A"}))
    assert "system.refrigerant" in said and "Did you mean R-410A" in said
    assert "system.refrigerant: is missing" in refused(bakery({"system.refrigerant": None}))
    assert side_of(bakery({"system.refrigerant": "hfc32"}), count=1000).refrigerant == "R-32"


@pytest.mark.parametrize(
    ("field", "pressure", "sentence"),
    [
        ("liquid_pressure", "900 psig", "above the critical pressure, 5,783 kPa"),
        ("liquid_pressure", 5200, "less than 5 K below critical"),
        ("suction_pressure", -60, "below its saturation pressure at -60 °C"),
        ("suction_pressure", -150, "is no pressure"),
        # Bar typed as kPa, and kPa where the file says psi, look like this too.
        ("suction_pressure", "883 psig", "above the critical pressure"),
    ],
)
def test_pressure_without_saturation_is_said_at_its_field(field: str, pressure: Any, sentence: str) -> None:
    said = refused(bakery({f"readings.refrigerant.{field}": [pressure]}))
    assert f"readings.refrigerant.{field}: R-32: a pressure of" in said
    assert sentence in said and "Check the reading, its unit, gauge or absolute, and the refrigerant." in said


def test_both_pressures_are_named_at_once() -> None:
    said = refused(
        bakery({"readings.refrigerant.suction_pressure": [-200], "readings.refrigerant.liquid_pressure": [9000]})
    )
    assert "2 problems" in said and "suction_pressure" in said and "liquid_pressure" in said


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        # 883 kPa gauge is 982 absolute; the line, near saturation, would be colder than it.
        ({"suction_pressure": [982], "suction_line_at_coil": [7.0], "suction_line_at_outdoor_unit": [9.0]},
         "suction_pressure", "Was an absolute pressure typed as gauge?"),
        ({"suction_pressure": [1700]}, "suction_pressure", "it cannot cool"),
        ({"suction_pressure": [100]}, "suction_pressure", "colder than a cooling unit runs"),
        ({"suction_line_at_coil": [1.0]}, "suction_line_colder", "colder than saturation"),
        ({"liquid_line": [45.0]}, "no_subcooling", "no subcooling. Either the liquid flashes in the line, or"),
        ({"liquid_pressure": [1500]}, "condensing", "it cannot give off heat"),
        ({"suction_pressure": [2605], "liquid_pressure": [883]}, "pressures_swapped", "swapped hoses"),
    ],
)  # fmt: skip
def test_contradictions_are_warnings(changes: dict[str, Any], code: str, words: str) -> None:
    side = side_of(bakery({f"readings.refrigerant.{k}": v for k, v in changes.items()}), count=1000)
    (said,) = [w.message for w in side.warnings if w.code == code]
    assert words in said and said[0].isupper() and said[-1] in ".?"
    assert not side_of(bakery(), count=1000).warnings


@pytest.mark.parametrize("taken", ["suction_pressure", "liquid_pressure"])
def test_one_gauge_is_enough(taken: str) -> None:
    side = side_of(bakery({f"readings.refrigerant.{taken}": None}), count=1000)
    assert (taken == "suction_pressure") == ("saturated_suction" not in side.at_readings)
    json.dumps(side.to_dict(), allow_nan=False)
    neither = bakery({"readings.refrigerant.suction_pressure": None, "readings.refrigerant.liquid_pressure": None})
    with pytest.raises(VisitError, match="neither suction_pressure nor liquid_pressure"):
        visit_from_data(neither)


def test_heating_has_figures_and_no_targets() -> None:
    side = side_of(bakery({
        "mode": "heating", "system.equipment": "heat pump",
        "readings.supply.dry_bulb": [40.0] * 5, "readings.supply.relative_humidity": [22.0] * 5,
        "readings.outdoor.dry_bulb": [4.0],
    }), count=1000)  # fmt: skip
    assert side.targets == () and side.warnings == ()
    assert any("none in heating" in n for n in side.notes())
    # The coils have changed places: neither difference is that of its name.
    assert {"superheat_at_coil", "subcooling"} <= set(side.at_readings)
    assert not {"suction_below_return", "condensing_over_outdoor"} & set(side.at_readings)


def test_visit_without_readings_says_so() -> None:
    found, reason = refrigerant_side(
        visit_uncertainty(visit_from_data(bakery({"readings.refrigerant": None})), count=1000)
    )
    assert found is None and reason == "The visit has no refrigerant readings."


def test_prints_and_exports() -> None:
    side = side_of(bakery(), count=2000)
    assert "Refrigerant side, R-32" in str(side) and "Superheat at coil" in str(side)
    found = json.loads(json.dumps(side.to_dict(), allow_nan=False))
    for name in ("saturated_suction_C", "superheat_at_coil_K", "subcooling_K", "condensing_over_outdoor_K"):
        assert found[name] is not None and found[f"{name}_u"] > 0
        low, high = found[f"{name}_95"]
        assert low < found[name] < high
    assert found["refrigerant"] == "R-32" and found["metering_device"] == "valve"
    assert {t["name"] for t in found["targets"]} == {"superheat_at_coil", "subcooling"}
    assert all(0 <= t["probability_within"] <= 1 for t in found["targets"])
    # Flammable ones carry their caution.
    assert any("A2L" in n for n in found["notes"])
