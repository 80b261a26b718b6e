"""`airside capacity`, `compare` and `check` on coil and refrigerant side: what they print, and how they end on bad input."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

DATA = Path(__file__).parents[1] / "data"
FEW = ("--draws", "2000")
BLOCKS = ("Expected against delivered", "Cooling coil", "Refrigerant side, R-410A", "Efficiency",
          "What the readings say together")  # fmt: skip


@pytest.fixture
def library(tmp_path: Path) -> Callable[..., Path]:
    """Write the library's before visit with lines replaced (by regular expressions); give its file."""
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path)
    text = (DATA / "reading_room" / "before.toml").read_text("utf-8")

    def write(*changes: tuple[str, str], without: str = "") -> Path:
        found = text
        for old, new in changes:
            found, count = re.subn(old, new, found, count=1, flags=re.MULTILINE)
            assert count, old
        if without:
            found = re.sub(rf"^\[{re.escape(without)}\]\n(?:.+\n)*", "", found, flags=re.MULTILINE)
        file = tmp_path / "visit.toml"
        file.write_text(found, "utf-8")
        return file

    return write


def words(text: str) -> str:
    return " ".join(text.split())


def test_capacity_prints_the_blocks(run):
    status, out, err = run("capacity", DATA / "reading_room" / "before.toml", *FEW)
    assert (status, err) == (0, "")
    assert [out.index(b) for b in BLOCKS] == sorted(out.index(b) for b in BLOCKS)
    said = words(out)
    assert "Superheat at coil 10.0 °F" in said and "Condensing over outdoor 32.9 °F" in said
    assert "Fouled outdoor coil or low outdoor airflow" in said and "Worth a look next" in said
    assert "practice come first" in said and "not a diagnosis" in said
    _, si, _ = run("capacity", DATA / "reading_room" / "before.toml", *FEW, "--units", "SI")
    assert "Superheat at coil 5.5 K" in words(si) and "°F" not in words(
        si[si.index("Cooling coil") : si.index("Textbook")]
    )


def test_capacity_json_holds_every_part(run):
    status, out, _ = run("capacity", DATA / "bakery" / "after.toml", *FEW, "--json")
    found = json.loads(out)
    assert status == 0 and found["format"]
    for part, name in (
        ("coil", "bypass_factor"), ("coil", "effective_surface_kg_s"), ("refrigerant", "superheat_at_coil_K"),
        ("refrigerant", "subcooling_K"), ("expected", "ratio"), ("efficiency", "coefficient_of_performance"),
        ("efficiency", "coefficient_of_performance_outdoor_unit"),
    ):  # fmt: skip
        low, high = found[part][f"{name}_95"]
        assert low < found[part][name] < high and found[part][f"{name}_u"] > 0, name
    assert found["findings"]["causes"] and found["findings"]["deviations"]
    assert "reason" in found["refrigerant"]["second_capacity"]


def test_visit_without_the_readings_prints_no_empty_blocks(run, library):
    file = library(without="readings.refrigerant")
    _, out, _ = run("capacity", file, *FEW)
    assert "Refrigerant side" not in out and "What the readings say" not in out and "Cooling coil" in out
    _, out, _ = run("capacity", file, *FEW, "--json")
    found = json.loads(out)
    assert found["refrigerant"] == found["findings"] == {"reason": "The visit has no refrigerant readings."}
    bare = library((r"^nominal_capacity = .*\n", ""), without="readings.power")
    status, out, _ = run("capacity", bare, *FEW)
    assert status == 0 and "Expected against" not in out and "Efficiency" not in out
    assert "Refrigerant side, R-410A" in out


def test_heating_ends_well(run, library):
    file = library(
        ("cooling", "heating"), (r"(\[readings\.supply\][^\[]*?dry_bulb = )\[.*\]", r"\1[104.0, 104.1, 104.0]"),
        (r"(104\.0\]\nrelative_humidity = )\[.*\]", r"\1[18.0, 18.1, 18.0]"),
        (r"(\[readings\.outdoor\][^\[]*?dry_bulb = )\[.*\]", r"\1[41.0]"),
    )  # fmt: skip
    status, out, err = run("capacity", file, *FEW)
    assert (status, err) == (0, "")
    assert "Refrigerant side, R-410A" in out and "Cooling coil" not in out and "Condensing over" not in out
    status, out, _ = run("capacity", file, *FEW, "--json")
    assert status == 0 and "heating" in json.loads(out)["coil"]["reason"]


def test_second_capacity_is_printed(run, library):
    file = library((r"^liquid_line = ", "mass_flow = [560, 562]\nliquid_line = "))
    _, out, _ = run("capacity", file, *FEW)
    assert "Capacity by the refrigerant side" in out and "appendix M1" in words(out)
    _, out, _ = run("capacity", file, *FEW, "--json")
    assert json.loads(out)["refrigerant"]["second_capacity"]["total_W_u"] > 0


def test_misread_refrigerant_is_among_the_warnings(run, library):
    file = library((r"^liquid_line = .*", "liquid_line = [130.0]"))
    for arguments in (("capacity", file, *FEW), ("check", file)):
        status, out, _ = run(*arguments)
        assert status == 0 and "no subcooling. Either the liquid flashes in the line" in words(out)
    _, out, _ = run("capacity", file, *FEW, "--json")
    assert "no_subcooling" in [w["code"] for w in json.loads(out)["warnings"]]


def test_compare_prints_and_exports_what_moved(run):
    pair = [DATA / "reading_room" / f"{n}.toml" for n in ("before", "after")]
    status, out, _ = run("compare", *pair, *FEW)
    assert status == 0
    said = words(out[out.index("How the coil, the refrigerant side and the expectation moved") :])
    assert "Saturated liquid 124.2 °F 109.2 °F -15.0 °F" in said and "Effective surface 11,549 lb/h 11,504 lb/h" in said
    _, out, _ = run("compare", *pair, *FEW, "--json")
    found = json.loads(out)["moved"]
    assert found["refrigerant_saturated_liquid_C"]["change"]["interval_95"][1] < 0
    assert set(found["expected_ratio"]) == {"before", "after", "change"}


# A change to the library's visit or to a table beside it, and what is said; the status is 2.
SUPERHEAT = "return wet bulb [degF],75,95\n57,10,6\n67,22,16\n"
COMPRESSOR = "# temperature: degF\nterm,mass flow [lb/h]\n" + "".join(f"C{i},{i}\n" for i in range(1, 11))
PERFORMANCE = "return wet bulb [degF],outdoor dry bulb [degF],flow [cfm],total [Btu/h]\n" + "".join(
    f"{w},{o},{f},50000\n" for w in (57, 67) for o in (75, 105) for f in (1400, 2000)
)
ORIFICE = (r"thermostatic valve\"", 'fixed orifice"\ntarget_superheat_table = "table.csv"')
VALVE = r"thermostatic valve\""
BAD = {
    "unknown refrigerant": (("R-410A", "R-41A"), "", "system.refrigerant: refrigerant 'R-41A' is not known. Did you mean R-410A"),
    "no refrigerant": ((r"^refrigerant = .*\n", ""), "", "system.refrigerant: is missing"),
    "above critical": ((r"^liquid_pressure = .*", "liquid_pressure = [800]"), "",
                       "readings.refrigerant.liquid_pressure: R-410A: a pressure of 5,599 kPa (812.0 psi) absolute is above the critical"),
    "below the table": ((r"^suction_pressure = .*", "suction_pressure = [-5]"), "", "where the table begins"),
    "no pressure": ((r"^suction_pressure = .*", "suction_pressure = [-20]"), "", "is no pressure"),
    "no clamp": ((r"pipe_clamps\"\nsuction", 'pipe_clamp"\nsuction'), "", 'Did you mean "pipe_clamps"?'),
    "words": ((r"^liquid_line = .*", 'liquid_line = "warm"'), "", "is not a number with a unit"),
    "superheat table missing": (ORIFICE, None, "table.csv: there is no such file"),
    "superheat table ragged": (ORIFICE, SUPERHEAT.replace(",16", ""), "line 3: found 2 cells; expected 3."),
    "superheat table order": (ORIFICE, SUPERHEAT.replace("67", "47"), "return wet bulbs must rise"),
    "superheat table text": (ORIFICE, SUPERHEAT.replace("16", "-"), 'found "-"; expected a number or an empty cell'),
    "compressor table hole": ((VALVE, 'thermostatic valve"\ncompressor_table = "table.csv"'),
                              COMPRESSOR.replace("C3,3", "C3,"), 'C3 is ""; expected a number'),
    "compressor table short": ((VALVE, 'thermostatic valve"\ncompressor_table = "table.csv"'),
                               COMPRESSOR.replace("C10,10\n", ""), "found 9 terms, without C10"),
    "performance table hole": ((VALVE, 'thermostatic valve"\nperformance_table = "table.csv"'),
                               PERFORMANCE.replace("57,75,1400,50000\n", ""), "is missing; expected a full grid of 2 x 2 x 2"),
    "performance table empty": ((VALVE, 'thermostatic valve"\nperformance_table = "table.csv"'),
                                PERFORMANCE.replace("57,75,1400,50000", "57,75,1400,"), "expected a number above zero"),
    "performance table ragged": ((VALVE, 'thermostatic valve"\nperformance_table = "table.csv"'),
                                 PERFORMANCE.replace("57,75,1400,50000", "57,75,1400"), "line 2: found 3 cells; expected 4."),
}  # fmt: skip


@pytest.mark.parametrize("name", list(BAD))
def test_bad_input_is_a_sentence_and_status_2(run, library, tmp_path, name):
    change, table, sentence = BAD[name]
    if table:
        (tmp_path / "table.csv").write_text(table, "utf-8")
    file = library(change)
    for arguments in (("capacity", file, *FEW), ("capacity", file, *FEW, "--json"), ("check", file)):
        status, out, err = run(*arguments)
        assert status == 2, arguments
        assert sentence in err and out == ""
        assert err.startswith("airside: ") and err.rstrip().endswith((".", "?"))


def test_compare_refuses_them_too(run, library):
    file = library(("R-410A", "R-41A"))
    for json_too in ((), ("--json",)):
        status, _, err = run("compare", file, DATA / "reading_room" / "after.toml", *FEW, *json_too)
        assert status == 2 and "Did you mean R-410A" in err


def test_as_a_user_runs_it(library):
    file = library((r"^suction_pressure = .*", "suction_pressure = [900]"))
    done = subprocess.run(
        [sys.executable, "-m", "airside.cli", "capacity", str(file), *FEW], capture_output=True, text=True,
        encoding="utf-8", timeout=60, env={**os.environ, "COLUMNS": "100"},
    )  # fmt: skip
    assert done.returncode == 2 and done.stdout == ""
    assert "Traceback" not in done.stderr and "above the critical pressure" in done.stderr
