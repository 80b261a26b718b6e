"""What a visit's readings say beside its capacity: blocks and reasons, efficiency, findings, the story of the demos."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pair_of_visits import HEATING, supply, visit
from refrigerant_readings import CONDENSING, EVAPORATING, SUBCOOLING, SUPERHEAT, cycle

from airside.compare.explanation import Explanation, explain
from airside.errors import TableError, VisitError
from airside.visit.load import load_visit
from airside.visit.uncertainty import visit_uncertainty

DATA = Path(__file__).parents[2] / "data"
COUNT = 10_000


def explained(*changes: dict[str, Any], path: Path | None = None) -> Explanation:
    return explain(visit_uncertainty(visit(*changes, path=path), count=COUNT))


def demo(room: str, stage: str) -> Explanation:
    return explain(visit_uncertainty(load_visit(DATA / room / f"{stage}.toml"), count=COUNT))


def fitting(found: Explanation) -> list[str]:
    """Causes that fit, the best first: those that the sentences name."""
    assert found.findings is not None
    return [m.cause.name for m in found.findings.matches if m.fits]


def test_every_block_is_there() -> None:
    found = explained(cycle(), {"readings.refrigerant.mass_flow": ["170 kg/h"]})
    assert [h for h, _, _ in found.blocks()] == [
        "Expected against delivered", "Cooling coil", "Refrigerant side, R-410A", "Capacity by the refrigerant side",
        "Efficiency",
    ]  # fmt: skip
    assert all(rows for _, rows, _ in found.blocks())
    assert found.finding_sentences("SI")
    # The coil knows the refrigerant's temperature as that of its surface.
    assert found.coil is not None and found.refrigerant is not None
    (surface,) = [r for r in found.coil.rows() if r.name == "surface_temperature"]
    (saturated,) = [r for r in found.refrigerant.rows() if r.name == "saturated_suction"]
    assert (surface.value, surface.uncertainty) == pytest.approx((saturated.value, saturated.uncertainty))


def test_json_has_every_part_with_doubt() -> None:
    found = explained(cycle(), {"readings.refrigerant.mass_flow": ["170 kg/h"]}).to_dict()
    found = json.loads(json.dumps(found, allow_nan=False))
    assert list(found) == ["coil", "refrigerant", "expected", "efficiency", "findings"]
    for part, name in (
        ("coil", "apparatus_dew_point_C"), ("coil", "enthalpy_effectiveness"), ("refrigerant", "superheat_at_coil_K"),
        ("expected", "ratio"), ("efficiency", "coefficient_of_performance"),
    ):  # fmt: skip
        low, high = found[part][f"{name}_95"]
        assert low < found[part][name] < high and found[part][f"{name}_u"] > 0
    assert found["refrigerant"]["second_capacity"]["total_W_u"] > 0
    assert {d["reading"] for d in found["findings"]["deviations"]} == {
        "superheat", "subcooling", "condensing_over_outdoor", "suction_below_return", "temperature_drop"
    }  # fmt: skip


def test_without_readings_each_part_says_why() -> None:
    bare = explained({"readings.power": None, "readings.outdoor": None, "system.nominal_capacity": None})
    assert bare.refrigerant is None and bare.second is None and bare.findings is None and bare.expected is None
    said = bare.to_dict()
    assert said["refrigerant"] == {"reason": "The visit has no refrigerant readings."}
    assert said["findings"] == {"reason": "The visit has no refrigerant readings."}
    assert "nominal_capacity" in said["expected"]["reason"] and "readings.power" in said["efficiency"]["reason"]
    # The coil needs nothing more; there are no empty blocks.
    assert [h for h, _, _ in bare.blocks()] == ["Cooling coil"]
    assert bare.finding_sentences("SI") == [] and bare.warnings() == ()


def test_heating_is_explained_as_far_as_it_goes() -> None:
    for changes in ([HEATING], [HEATING, cycle(evaporating=0.0, condensing=45.0)]):
        found = explained(*changes)
        said = json.loads(json.dumps(found.to_dict(), allow_nan=False))
        for part in ("coil", "expected", "findings"):
            assert said[part]["reason"].endswith("."), part
        assert said["efficiency"]["coefficient_of_performance"] > 1
        assert found.finding_sentences("IP") == []
        assert ("Refrigerant side, R-410A" in [h for h, _, _ in found.blocks()]) == (len(changes) == 2)
    assert "heating" in said["refrigerant"]["second_capacity"]["reason"] + " ".join(said["refrigerant"]["notes"])


def test_efficiency_total_and_of_the_outdoor_unit() -> None:
    powers = {"readings.power": {"instrument": "meter", "outdoor_unit": [2.5, 2.5, 2.5, 2.5]},
              "fan": {"power": 0.4, "position": "between probes"}}  # fmt: skip
    found = explained(powers)
    capacity = float(np.asarray(found.doubt.at_readings.capacity.total))
    rows = {r.name: r for r in found.efficiency}
    assert rows["coefficient_of_performance"].value == pytest.approx(capacity / 2900, rel=1e-9)
    assert rows["coefficient_of_performance_outdoor_unit"].value == pytest.approx(capacity / 2500, rel=1e-9)
    # EER is the same number in Btu/h for each watt.
    assert rows["coefficient_of_performance"].text("IP") == f"{capacity / 2900 * 3.412142:.1f} Btu/Wh"
    # The meter's 1.5 % as a rectangle and no scatter, beside the capacity's doubt.
    estimate = found.doubt.estimate("total")
    relative = np.hypot(estimate.standard_uncertainty / estimate.value, 0.015 / 3**0.5)
    row = rows["coefficient_of_performance_outdoor_unit"]
    assert row.uncertainty == pytest.approx(relative * row.value, rel=0.05)
    # Without the indoor unit's power only the outdoor unit's is known, and with a total only the whole.
    assert [r.name for r in explained(powers, {"fan": None}).efficiency] == ["coefficient_of_performance_outdoor_unit"]
    assert [r.name for r in explained().efficiency] == ["coefficient_of_performance"]
    indoor = explained({"readings.power": {"outdoor_unit": [2.5], "indoor_unit": [0.4]}})
    assert indoor.efficiency[0].value == pytest.approx(
        float(np.asarray(indoor.doubt.at_readings.capacity.total)) / 2900, rel=1e-9
    )


# Superheat, subcooling, condensing above outdoor air, suction below return air, temperature drop: which way each goes,
# by what happens in the circuit. A valve holds superheat as long as it can.
DIRECTIONS = {
    ("fixed orifice", "nothing_unusual"): (0, 0, 0, 0, 0),
    ("fixed orifice", "low_airflow"): (-1, 0, 0, 1, 1),
    ("fixed orifice", "fouled_outdoor_coil"): (-1, -1, 1, -1, -1),
    ("fixed orifice", "undercharge"): (1, -1, -1, 1, -1),
    ("fixed orifice", "overcharge"): (-1, 1, 1, -1, 0),
    ("fixed orifice", "liquid_line_restriction"): (1, 1, -1, 1, -1),
    ("fixed orifice", "compressor_leak"): (-1, -1, -1, -1, -1),
    ("thermostatic valve", "nothing_unusual"): (0, 0, 0, 0, 0),
    ("thermostatic valve", "low_airflow"): (-1, 0, -1, 1, 1),
    ("thermostatic valve", "fouled_outdoor_coil"): (0, 0, 1, -1, -1),
    ("thermostatic valve", "undercharge"): (1, -1, -1, 1, -1),
    ("thermostatic valve", "overcharge"): (0, 1, 1, 0, 0),
    ("thermostatic valve", "liquid_line_restriction"): (1, 1, -1, 1, -1),
    ("thermostatic valve", "compressor_leak"): (0, -1, -1, -1, -1),
}


@pytest.mark.parametrize(("device", "cause"), list(DIRECTIONS))
def test_each_cause_is_ranked_first_in_a_visit_that_shows_it(device: str, cause: str) -> None:
    superheat, subcooling, condensing, suction, drop = DIRECTIONS[device, cause]
    # With room below: 9 K of superheat and 8 K of subcooling on the nameplate. A fixed orifice is judged at the
    # outdoor unit, 2 K warmer.
    at_coil = 7.0 + 6.5 * superheat if device == "fixed orifice" else 9.0 + 8.0 * superheat
    found = explained(
        cycle(
            superheat=at_coil, subcooling=8.0 + 7.0 * subcooling, evaporating=EVAPORATING - 8.0 * suction,
            condensing=CONDENSING + 9.0 * condensing,
        ),
        {"system.metering_device": device, "system.target_superheat": 9.0, "system.target_subcooling": 8.0},
        # The middle of 16 to 22 °F, and 5 K beside it.
        supply(25.0 - 19 / 1.8 - 5.0 * drop, 86.0 if drop >= 0 else 60.0),
    )  # fmt: skip
    assert found.findings is not None
    for m, sign in zip(found.findings.moved, DIRECTIONS[device, cause], strict=True):
        assert m.direction == {1: "up", 0: "unchanged", -1: "down"}[sign], m
    ranked = found.findings.matches
    best = [m.cause.name for m in ranked if m.share > ranked[0].share * 0.999]
    # Overcharge and non-condensable gas look alike until the pressure at rest is read.
    assert best == ([cause] if cause != "overcharge" else ["overcharge", "non_condensable_gas"])
    assert ranked[0].fits
    said = found.finding_sentences("SI")
    assert said[0].startswith(ranked[0].cause.label.capitalize()) and "Worth a look next" in said[0]
    assert ("do not tell overcharge from non-condensable gas" in " ".join(said)) == (cause == "overcharge")
    assert "not a diagnosis" in said[-1]
    assert not [w for s in said for w in ("must", "replace", "recharge", "add refrigerant") if w in s.casefold()]


def test_findings_carry_the_doubt_of_the_expectation() -> None:
    found = explained(cycle())
    assert found.findings is not None
    by_reading = {m.reading: m for m in found.findings.moved}
    # 15 to 30 °F as a rectangle, and the placement of the outdoor probe above all.
    own = np.std(found.refrigerant.draws("condensing_over_outdoor"))  # type: ignore[union-attr]
    by_hand = np.hypot(15 / 1.8 / 12**0.5, own)
    assert by_reading["condensing_over_outdoor"].uncertainty == pytest.approx(by_hand, rel=0.03)
    assert by_reading["condensing_over_outdoor"].value == pytest.approx(CONDENSING - 32.0 - 22.5 / 1.8, abs=0.2)
    assert by_reading["superheat"].value == pytest.approx(SUPERHEAT - 10.5 / 1.8, abs=0.2)
    assert by_reading["subcooling"].value == pytest.approx(SUBCOOLING - 11 / 1.8, abs=0.2)


def test_customary_drop_counts_for_half_saturated_air_alone() -> None:
    humid = {"readings.return.relative_humidity": [66.0] * 6, "readings.supply.relative_humidity": [93.0] * 6}
    found = explained(cycle(), humid)
    assert found.findings is not None
    assert "temperature_drop" not in [m.reading for m in found.findings.moved]
    # One reading is too few to rank anything.
    one = explained({"system.refrigerant": "R-410A", "readings.outdoor": None, "readings.refrigerant":
                     {"suction_pressure": [830], "instrument": "gauges"}, "instruments.gauges": {}}, humid)  # fmt: skip
    assert one.finding_sentences("SI") == ["Fewer than 2 readings have an expected value; nothing is ranked."]


def test_contradictions_are_among_the_warnings() -> None:
    found = explained(cycle(superheat=-4.0))
    assert [w.code for w in found.warnings()] == ["suction_line_colder"]


def test_limit_of_what_is_expected() -> None:
    doubt = visit_uncertainty(visit(), count=COUNT)
    low, high = (explain(doubt, limit=v).expected for v in (0.8, 1.0))
    assert low is not None and high is not None and low.probability_below < high.probability_below


@pytest.mark.parametrize(
    ("changes", "kind", "words"),
    [
        ({"system.refrigerant": "R410"}, VisitError, "Did you mean R-410A"),
        ({"readings.refrigerant.liquid_pressure": [5300]}, VisitError, "above the critical pressure"),
        ({"readings.refrigerant.suction_pressure": [-60]}, VisitError, "where the table begins"),
        ({"system.performance_table": "hole.csv"}, TableError, "is missing; expected a full grid"),
        ({"system.target_superheat_table": "ragged.csv"}, TableError, "line 2: found 2 cells; expected 3."),
        ({"system.compressor_table": "short.csv"}, TableError, "without C10"),
    ],
)
def test_bad_input_has_its_sentence(tmp_path: Path, changes: dict[str, Any], kind: type, words: str) -> None:
    rows = ["14,25,400,9", "14,45,400,8", "22,25,400,10"]
    head = "return wet bulb [degC],outdoor dry bulb [degC],flow [L/s],total [kW]"
    (tmp_path / "hole.csv").write_text("\n".join([head, *rows]))
    (tmp_path / "ragged.csv").write_text("return wet bulb [degC],25,35\n15,6\n20,12,9\n")
    terms = "".join(f"C{i},1\n" for i in range(1, 10))
    (tmp_path / "short.csv").write_text(f"# temperature: degC\nterm,mass flow [kg/h]\n{terms}")
    with pytest.raises(kind, match=words):
        explained(cycle(), changes, path=tmp_path / "visit.toml")


def test_library_tells_one_story() -> None:
    before, after = demo("reading_room", "before"), demo("reading_room", "after")
    assert fitting(before)[0] == "fouled_outdoor_coil"
    assert before.finding_sentences("IP")[0].startswith("Fouled outdoor coil")
    assert "condensing above outdoor air" in before.finding_sentences("IP")[0]
    assert fitting(after)[0] == "nothing_unusual"
    for found in (before, after):
        assert found.expected is not None and found.refrigerant is not None and found.warnings() == ()
        # A charge that is right in both visits.
        assert all(t.probability > 0.95 for t in found.refrigerant.targets)
    assert before.expected is not None and after.expected is not None
    assert before.expected.probability_below > 0.9 > 0.7 > after.expected.probability_below
    assert before.efficiency[0].value < after.efficiency[0].value


def test_bakery_tells_one_story() -> None:
    before, after = demo("bakery", "before"), demo("bakery", "after")
    for found in (before, after):
        assert fitting(found)[0] == "nothing_unusual" and found.warnings() == ()
        assert found.refrigerant is not None and all(t.probability > 0.95 for t in found.refrigerant.targets)
    # More air: less drop, warmer evaporation.
    assert before.refrigerant is not None and after.refrigerant is not None
    low, high = (float(f.refrigerant.at_readings["saturated_suction"][0]) for f in (before, after))  # type: ignore[union-attr]
    assert high > low + 1
