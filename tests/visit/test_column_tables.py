"""Fan tables and coil tables as CSV: what is read, and the sentence for each file that cannot be."""

import math

import numpy as np
import pytest

from airside.errors import TableError
from airside.visit.tables import read_table

STATIC = ("static pressure", "duct_pressure")
HEAD = "static pressure [inH2O],low [cfm],high [cfm]\n"
ROWS = "0.2,1000,1400\n0.4,950,1300\n0.6,,1150\n"
INCH, CFM = 249.08891, 0.3048**3 / 60


def read(folder, content, units="IP"):
    file = folder / "table.csv"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_table(file, STATIC, "volume_flow", units)


@pytest.mark.parametrize(
    "content",
    [
        HEAD + ROWS,
        "\ufeff" + HEAD + ROWS,
        (HEAD + ROWS).replace(",", ";"),
        (HEAD + ROWS).replace(",", "\t"),
        (HEAD + ROWS).replace("\n", "\r\n"),
        (HEAD + ROWS).replace(",", " , "),
        "# Invented.\n\n  # Twice.\n" + HEAD + "\n" + ROWS + "\n# The end.\n",
        '"static pressure [inH2O]","low [cfm]","high [cfm]"\n' + ROWS,
        "static_pressure [in wc],Low [CFM],HIGH [ft3/min]\n" + ROWS,
        "static pressure,low,high\n" + ROWS,
    ],
    ids=["plain", "mark", "semicolons", "tabs", "crlf", "spaces", "comments", "quotes", "spellings", "no units"],
)
def test_the_same_table_in_many_hands(tmp_path, content):
    table = read(tmp_path, content)
    np.testing.assert_allclose(next(iter(table.columns.values())) / INCH, [0.2, 0.4, 0.6], rtol=1e-6)
    low, high = table.column("low", "airflow.speed"), table.column(" High ", "airflow.speed")
    np.testing.assert_allclose(high / CFM, [1400, 1300, 1150], rtol=1e-9)
    assert math.isnan(low[2])


def test_columns_without_a_unit_are_in_those_of_the_visit(tmp_path):
    table = read(tmp_path, "static pressure,low\n50,400\n100,380\n", "SI")
    np.testing.assert_allclose(table.columns["static pressure"], [50, 100])
    np.testing.assert_allclose(table.columns["low"], [0.4, 0.38])


CASES = [
    ("empty", "", ["holds no table"]),
    ("comments alone", "# nothing\n", ["holds no table"]),
    ("one column", "static pressure [Pa]\n1\n2\n", ["line 1", "static pressure [Pa]", "at least one more"]),
    ("first column of another name", "flow [cfm],low [cfm]\n1,2\n2,3\n", ["line 1", '"flow [cfm]", "low [cfm]"',
     'expected "static pressure [Pa]" first']),
    ("no names at all", ROWS, ["line 1", '"0.2", "1000", "1400"']),
    ("wrong unit", "static pressure [cfm],low [cfm]\n1,2\n2,3\n", ["line 1", "static pressure [cfm]",
     "[cfm] is no unit of duct pressure", "[inH2O] or [Pa]"]),
    ("unknown unit", "static pressure [Pa],low [zork]\n1,2\n2,3\n", ["low [zork]", "[zork]", "[cfm] or [L/s]"]),
    ("one name twice", "static pressure [Pa],low [cfm],Low [L/s]\n1,2,3\n2,3,4\n", ["column 3", "name of its own"]),
    ("a column without a name", "static pressure [Pa],\n1,2\n2,3\n", ["column 2", "name of its own"]),
    ("text in a cell", HEAD + "0.2,1000,many\n0.4,950,1300\n", ["line 2", '"high"', '"many"', "a number"]),
    ("decimal comma", HEAD.replace(",", ";") + "0,2;1000;1400\n0,4;950;1300\n", ["line 2", "line 3", '"0,2"',
     "decimal point"]),
    ("nan in a cell", HEAD + "0.2,1000,nan\n0.4,950,1300\n", ["line 2", '"nan"']),
    ("not rising", HEAD + "0.4,950,1300\n0.2,1000,1400\n", ["line 3", "0.2 after 0.4", "rising"]),
    ("one static twice", HEAD + "0.4,950,1300\n0.4,950,1300\n", ["line 3", "0.4 after 0.4", "each once"]),
    ("one row", HEAD + "0.2,1000,1400\n", ["1 row of numbers", "at least 2"]),
    ("no row", HEAD, ["0 rows of numbers"]),
    ("unequal cells", HEAD + "0.2,1000\n0.4,950,1300,7\n", ["line 2: found 2 cells; expected 3", "line 3: found 4"]),
    ("empty static", HEAD + ",1000,1400\n0.4,950,1300\n", ["line 2", '"static pressure" is empty']),
    ("airflow below zero", HEAD + "0.2,1000,-1400\n0.4,950,1300\n", ["line 2", '"high"', '"-1400"', "below zero"]),
    ("not UTF-8", b"static pressure [Pa],low [m\xb3/h]\n1,2\n2,3\n", ["not UTF-8"]),
    ("huge", HEAD.encode() + b"1" * 1_000_001, ["1,000,000 bytes"]),
    ("huge cell", HEAD + "0.2,1000," + "9" * 200_000 + "\n0.4,950,1300\n", ["table"]),
]  # fmt: skip


@pytest.mark.parametrize(("content", "fragments"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_every_bad_table_has_its_sentence(tmp_path, content, fragments):
    with pytest.raises(TableError) as caught:
        read(tmp_path, content)
    assert "table.csv" in str(caught.value)
    assert len(str(caught.value)) < 1500
    for words in fragments:
        assert words in str(caught.value)


def test_all_problems_of_a_table_at_once(tmp_path):
    with pytest.raises(TableError) as caught:
        read(tmp_path, "static pressure [cfm],low [cfm]\n0.2,many\n0.4\n0.6,1\n")
    assert [str(p)[:7] for p in caught.value.problems] == ["line 1:", "line 2:", "line 3:"]


def test_a_folder_is_no_table(tmp_path):
    with pytest.raises(TableError, match="cannot be read"):
        read_table(tmp_path, STATIC, "volume_flow", "IP")


def test_an_unknown_column_names_the_others(tmp_path):
    table = read(tmp_path, HEAD + ROWS)
    with pytest.raises(TableError) as caught:
        table.column("hi", "airflow.speed")
    assert 'airflow.speed is "hi", but the columns are "low", "high". Did you mean "high"?' in str(caught.value)
