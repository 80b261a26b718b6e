"""Capacity by the refrigerant side: by hand, by compressor coefficients, agreement with the air side, what is refused."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pair_of_visits import HEATING, visit
from refrigerant_readings import CONDENSING, EVAPORATING, SUBCOOLING, SUPERHEAT, cycle

from airside.compare.compressor_table import read_compressor_table
from airside.compare.second_capacity import AGREEMENT, MAP_DOUBT, SecondCapacity, second_capacity
from airside.errors import TableError
from airside.visit.refrigerant_side import refrigerant_side
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

COUNT = 20_000
# An invented compressor: lb/h from °F.
TERMS = (150.0, 4.0, -0.6, 0.03, 0.004, 0.001, 1e-4, -1e-5, 2e-5, -3e-6)
POUND_AN_HOUR = 0.45359237 / 3600
FAN = {"fan": {"power": 0.5, "position": "between probes"}}


def answer(found: Visit) -> tuple[VisitUncertainty, SecondCapacity | None, str]:
    doubt = visit_uncertainty(found, count=COUNT)
    return doubt, *second_capacity(doubt, refrigerant_side(doubt)[0])


def known(*changes: dict[str, Any], path: Path | None = None) -> tuple[VisitUncertainty, SecondCapacity]:
    doubt, found, reason = answer(visit(cycle(), *changes, path=path))
    assert found is not None and reason == ""
    return doubt, found


def flow(kg_per_second: float) -> dict[str, Any]:
    return {"readings.refrigerant.mass_flow": [f"{kg_per_second * 3600:.9g} kg/h"]}


def each_kilogram() -> float:
    """What a kg of R-410A takes up between liquid and suction line [J/kg], by CoolProp."""
    from CoolProp.CoolProp import PropsSI

    low = PropsSI("P", "T", EVAPORATING + 273.15, "Q", 1, "R410A")
    high = PropsSI("P", "T", CONDENSING + 273.15, "Q", 0, "R410A")
    out = PropsSI("H", "T", EVAPORATING + SUPERHEAT + 273.15, "P", low, "R410A")
    return float(out - PropsSI("H", "T", CONDENSING - SUBCOOLING + 273.15, "P", high, "R410A"))


def write_table(folder: Path, text: str | None = None) -> dict[str, Any]:
    rows = "".join(f"C{i},{v:g}\n" for i, v in enumerate(TERMS, 1))
    (folder / "compressor.csv").write_text(text or f"# temperature: degF\nterm,mass flow [lb/h]\n{rows}", "utf-8")
    return {"system.compressor_table": "compressor.csv"}


def test_measured_mass_flow_by_hand() -> None:
    _, found = known(flow(0.05), FAN)
    # Readings are rounded to a millionth; the tables are within 0.05 % of what an evaporator adds.
    assert found.total.value == pytest.approx(0.05 * each_kilogram() - 500.0, rel=7e-4)
    assert found.mass_flow.value == pytest.approx(0.05, rel=1e-8)
    assert found.mass_flow.standard_uncertainty == pytest.approx(0.05 * 0.02, rel=0.03)
    assert found.total.standard_uncertainty > 0.02 * found.total.value


def test_fan_heat_is_taken_off_or_said() -> None:
    _, with_fan = known(flow(0.05), FAN)
    _, without = known(flow(0.05))
    # A power of 0.5 kW less, with its own small doubt.
    assert without.total.value - with_fan.total.value == pytest.approx(500.0, rel=1e-6)
    assert any("is taken off" in n for n in with_fan.notes())
    assert any("not taken off" in n for n in without.notes())
    # Probes that span the coil alone have the fan's heat brought in: net is net.
    _, outside = known(flow(0.05), {"fan": {"power": 0.5, "position": "outside probes"}})
    assert outside.total.value == pytest.approx(with_fan.total.value, rel=1e-9)


def test_ten_terms_by_hand(tmp_path: Path) -> None:
    _, found = known(write_table(tmp_path), FAN, path=tmp_path / "visit.toml")
    from CoolProp.CoolProp import PropsSI

    # Saturated suction and discharge at dew, in °F; the liquid pressure is that of bubble at 44.5 °C.
    s = EVAPORATING * 1.8 + 32
    high = PropsSI("P", "T", CONDENSING + 273.15, "Q", 0, "R410A")
    d = (PropsSI("T", "P", high, "Q", 1, "R410A") - 273.15) * 1.8 + 32
    c = TERMS
    pounds = (
        c[0] + c[1] * s + c[2] * d + c[3] * s**2 + c[4] * s * d + c[5] * d**2
        + c[6] * s**3 + c[7] * d * s**2 + c[8] * s * d**2 + c[9] * d**3
    )  # fmt: skip
    assert found.mass_flow.value == pytest.approx(pounds * POUND_AN_HOUR, rel=2e-4)
    assert found.total.value == pytest.approx(pounds * POUND_AN_HOUR * each_kilogram() - 500.0, rel=1e-3)
    assert "compressor.csv" in found.source and "common practice" in found.source
    # The map's doubt, and with it that of the suction pressure.
    assert found.mass_flow.standard_uncertainty / found.mass_flow.value > MAP_DOUBT
    # A measured flow stands above the table.
    _, measured = known(write_table(tmp_path), flow(0.05), FAN, path=tmp_path / "visit.toml")
    assert measured.source == "as measured" and measured.mass_flow.value == pytest.approx(0.05, rel=1e-8)


def test_units_of_the_coefficients(tmp_path: Path) -> None:
    constant = "term,mass flow [{}]\n" + "C1,{}\n" + "".join(f"C{i},0\n" for i in range(2, 11))
    flows = []
    for unit, number in (("kg/s", 0.05), ("kg/h", 180.0), ("lb/h", 0.05 / POUND_AN_HOUR)):
        text = "# temperature: degC\n" + constant.format(unit, number)
        _, found = known(write_table(tmp_path, text), path=tmp_path / "visit.toml")
        flows.append(found.mass_flow.value)
    assert flows == pytest.approx([0.05] * 3, rel=1e-9)


@pytest.mark.parametrize("share", [0.85, 0.97, 1.0, 1.05, 1.2])
def test_probability_of_agreement_by_hand(share: float) -> None:
    doubt = visit_uncertainty(visit(cycle(), FAN), count=1000)
    air = float(np.asarray(doubt.at_readings.capacity.total))
    _, found = known(flow((share * air + 500.0) / each_kilogram()), FAN)
    assert found.difference.value == pytest.approx(share - 1, abs=2e-3)
    # Both uncertainties, hardly correlated: the quotient is nearly log-normal.
    spread = found.difference.standard_uncertainty / (1 + found.difference.mean)
    air_side = doubt.estimate("total")
    assert spread == pytest.approx(math.hypot(found.total.standard_uncertainty / found.total.value,
                                              air_side.standard_uncertainty / air_side.value), rel=0.1)  # fmt: skip

    def below(limit: float) -> float:
        return 0.5 * (1 + math.erf((math.log(1 + limit) - math.log(share)) / spread / math.sqrt(2)))

    assert found.probability_agree == pytest.approx(below(AGREEMENT) - below(-AGREEMENT), abs=0.03)
    low, high = found.difference.interval_95
    answered = next(iter(found.notes()))
    assert ("may agree" in answered) == (low <= AGREEMENT and high >= -AGREEMENT)
    assert "6 %" in answered and "appendix M1" in answered


def test_why_there_is_none(tmp_path: Path) -> None:
    def reason(*changes: dict[str, Any]) -> str:
        _, found, why = answer(visit(*changes, path=tmp_path / "visit.toml"))
        assert found is None and why[0].isupper() and why.endswith(".")
        return why

    assert "no refrigerant readings" in reason()
    assert "Neither a refrigerant mass flow nor a compressor table" in reason(cycle())
    assert "no liquid_line" in reason(cycle(), flow(0.05), {"readings.refrigerant.liquid_line": None})
    assert "no suction_line_at_coil" in reason(cycle(), flow(0.05), {"readings.refrigerant.suction_line_at_coil": None})
    assert "for cooling" in reason(HEATING, cycle(evaporating=0.0), flow(0.05))
    # Liquid 8 K above saturation: its enthalpy does not follow from its temperature.
    assert "boiling" in reason(cycle(subcooling=-8.0), flow(0.05))
    rows = "".join(f"C{i},{v}\n" for i, v in enumerate((-900, *TERMS[1:]), 1))
    wrong = write_table(tmp_path, f"# temperature: degF\nterm,mass flow [lb/h]\n{rows}")
    assert "no flow above zero" in reason(cycle(), wrong)


def test_small_subcooling_keeps_its_draws() -> None:
    # Half of the draws are above saturation by a little: they count all the same.
    doubt, found, _ = answer(visit(cycle(subcooling=0.2), flow(0.05)))
    assert found is not None
    assert found.total.mean == pytest.approx(found.total.value, rel=5e-3)
    assert np.isfinite(found.probability_agree) and doubt.is_possible.all()


def test_prints_and_exports() -> None:
    _, found = known(flow(0.05))
    assert "Capacity by the refrigerant side" in str(found) and "0.0500 kg/s" in str(found)
    said = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    for key in ("refrigerant_mass_flow_kg_s", "total_W", "total_W_u", "total_W_95", "difference", "difference_95",
                "probability_agree"):  # fmt: skip
        assert said[key] is not None, key


GOOD = "# temperature: degF\nterm,mass flow [lb/h]\n" + "".join(f"C{i},{i}\n" for i in range(1, 11))


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        GOOD.replace(",", ";"),
        GOOD.replace("C", "c"),
        "\ufeff# A compressor that does not exist.\n" + GOOD.replace("\n", "\r\n"),
        # Sorted as text, C10 comes after C1.
        "\n".join([*GOOD.splitlines()[:3], "C10,10", *GOOD.splitlines()[3:-1]]),
    ],
)
def test_ways_to_write_a_compressor_table(tmp_path: Path, text: str) -> None:
    (tmp_path / "c.csv").write_text(text, "utf-8")
    found = read_compressor_table(tmp_path / "c.csv")
    assert found.mass_flow.tolist() == list(range(1, 11))
    assert (found.temperature_unit, found.flow_unit) == ("degF", "lb/h")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "names no temperature unit"),
        (GOOD.replace("degF", "K"), "names no temperature unit"),
        ("# temperature: degF\n", 'expected the columns "term" and "mass flow [lb/h]"'),
        (GOOD.replace("[lb/h]", "[cfm]"), "expected the columns"),
        (GOOD.replace("[lb/h]", "[lb/h],power [W]"), "expected the columns"),
        (GOOD.replace("C3,3", "C3,"), 'line 5: C3 is ""; expected a number'),
        (GOOD.replace("C3,3", "C3,nan"), 'line 5: C3 is "nan"'),
        (GOOD.replace("C3,3", "C3,three"), 'line 5: C3 is "three"'),
        (GOOD.replace("C3,3", "C3"), "line 5: found 1 cells; expected 2."),
        (GOOD.replace("C3,3", "C3,3,5"), "line 5: found 3 cells; expected 2."),
        (GOOD.replace("C3,3", "C2,3"), "line 5: C2 stands twice"),
        (GOOD.replace("C3,3", "M3,3"), 'line 5: found the term "M3"; expected C1 to C10.'),
        (GOOD.replace("C3,3\n", ""), "found 9 terms, without C3; expected the ten"),
        (GOOD + "C11,1\n", 'found the term "C11"'),
    ],
)
def test_bad_compressor_tables_have_their_sentence(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "c.csv").write_text(text, "utf-8")
    with pytest.raises(TableError) as caught:
        read_compressor_table(tmp_path / "c.csv")
    assert words in str(caught.value) and "c.csv" in str(caught.value)


def test_compressor_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="no such file"):
        read_compressor_table(tmp_path / "none.csv")
    with pytest.raises(TableError, match="cannot be read"):
        read_compressor_table(tmp_path)
    (tmp_path / "c.csv").write_bytes(GOOD.encode("utf-16"))
    with pytest.raises(TableError, match="UTF-8"):
        read_compressor_table(tmp_path / "c.csv")
