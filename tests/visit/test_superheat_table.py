"""The manufacturer's table of target superheat as CSV: what is read, and a sentence for everything else."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from airside.errors import TableError
from airside.visit.superheat_table import read_superheat_table

GOOD = "return wet bulb [degF],75,95,105\n57,10,6,\n67,22,16,13\n"


def written(folder: Path, text: str) -> Path:
    file = folder / "superheat.csv"
    file.write_text(text, "utf-8")
    return file


def test_fahrenheit_by_hand(tmp_path: Path) -> None:
    wet_bulb, outdoor, superheat = read_superheat_table(written(tmp_path, GOOD), "SI")
    assert wet_bulb == pytest.approx([25 / 1.8, 35 / 1.8])
    assert outdoor == pytest.approx([43 / 1.8, 35.0, 73 / 1.8])
    # Differences: without 32.
    assert superheat[1] == pytest.approx([22 / 1.8, 16 / 1.8, 13 / 1.8])
    assert np.isnan(superheat[0, 2]) and superheat[0, 0] == pytest.approx(10 / 1.8)


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace("[degF]", "[°F]"),
        GOOD.replace("return wet bulb [degF]", "Return_Wet_Bulb [F]"),
        GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"),
        "\ufeff# From the unit's manual.\n\n" + GOOD.replace("\n", "\r\n"),
    ],
)
def test_ways_to_write_it(tmp_path: Path, text: str) -> None:
    expected = read_superheat_table(written(tmp_path, GOOD), "IP")
    for found, wanted in zip(read_superheat_table(written(tmp_path, text), "SI"), expected, strict=True):
        np.testing.assert_array_equal(found, wanted)


def test_units_of_the_visit_where_none_are_named(tmp_path: Path) -> None:
    file = written(tmp_path, "return wet bulb,25,35\n15,6,4\n20,12,9\n")
    assert read_superheat_table(file, "SI")[0] == pytest.approx([15.0, 20.0])
    assert read_superheat_table(file, "IP")[0] == pytest.approx([-17 / 1.8, -12 / 1.8])
    assert read_superheat_table(file, "SI")[2][1, 1] == 9.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "holds no table"),
        ("return wet bulb [degF],75,95\n57,10,6\n", "holds no table"),
        (GOOD.replace("return", "outdoor"), 'line 1: the first column is "outdoor wet bulb [degF]"; expected "return wet bulb'),
        (GOOD.replace("degF", "K"), "line 1: the first column"),
        (GOOD.replace("57,10,6,", "57,10,6"), "line 2: found 3 cells; expected 4."),
        (GOOD.replace("22,16", "22,16,1"), "line 3: found 5 cells; expected 4."),
        (GOOD.replace("22", "x"), 'line 3: found "x"; expected a number or an empty cell.'),
        (GOOD.replace("22", "22,5"), "line 3: found 5 cells"),
        (GOOD.replace("22", "inf"), 'line 3: found "inf"'),
        (GOOD.replace("75", ""), "line 1: outdoor temperatures may not be empty."),
        (GOOD.replace("95", "75"), "line 1: outdoor temperatures must rise; found 75 after 75."),
        (GOOD.replace("67", "47"), "line 3: return wet bulbs must rise; found 47 after 57."),
        (GOOD.replace("67", ""), "line 3: return wet bulbs may not be empty."),
        ("return wet bulb [degF],75\n57,10\n67,22\n", "line 1: found 1 outdoor temperatures; expected at least 2."),
        ("return wet bulb [degF]\n57\n67\n", "line 1: found 0 outdoor temperatures; expected at least 2."),
        # The line number is the file's own.
        ("# A comment.\n\n" + GOOD.replace("22", "x"), "line 5:"),
    ],
)  # fmt: skip
def test_bad_tables_have_their_sentence(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(TableError) as caught:
        read_superheat_table(written(tmp_path, text), "IP")
    assert words in str(caught.value) and "superheat.csv" in str(caught.value)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="no such file"):
        read_superheat_table(tmp_path / "none.csv", "IP")
    with pytest.raises(TableError, match="cannot be read"):
        read_superheat_table(tmp_path, "IP")
    file = tmp_path / "superheat.csv"
    file.write_bytes(GOOD.encode("utf-16"))
    with pytest.raises(TableError, match="UTF-8"):
        read_superheat_table(file, "IP")
