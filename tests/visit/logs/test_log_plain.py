"""The quick way through plain text files gives what the long way gives, or stands back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from airside.errors import FileError
from airside.visit.logs import plain
from airside.visit.logs.delimited import read_delimited
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import LoggerTable

pytest.importorskip("pyarrow.csv", reason="pyarrow is not installed; then there is the long way alone")

WANTED: list[str | int] = ["a", "b"]
HEADINGS = "time,a,b\n"


def _rows(count: int = 200, end: str = "\n", second: str = ":00") -> list[str]:
    return [
        f"2026-07-{1 + i // 96:02d} {i // 4 % 24:02d}:{i % 4 * 15:02d}{second},{i / 10},{-i}{end}" for i in range(count)
    ]


def _both(
    tmp_path: Path, text: bytes, settings: FileSettings | None = None
) -> tuple[LoggerTable | None, LoggerTable | str]:
    path = tmp_path / "log.csv"
    path.write_bytes(text)
    how = settings or FileSettings()
    quick, said = None, ""
    try:
        quick = plain.read_plain(path, WANTED, how, "log.csv", frozenset())
    except FileError as error:
        said = str(error)
    try:
        long: LoggerTable | str = read_delimited(text, WANTED, how, "log.csv")
    except FileError as error:
        long = str(error)
    assert not said or said == long
    return quick, long


def _same(quick: LoggerTable | None, long: LoggerTable | str) -> None:
    assert quick is not None
    assert isinstance(long, LoggerTable), long
    np.testing.assert_array_equal(quick.time, long.time)
    np.testing.assert_array_equal(quick.row_numbers, long.row_numbers)
    assert (quick.headings, quick.units, quick.index) == (long.headings, long.units, long.index)
    assert (quick.utc, quick.odd_rows, quick.notes) == (long.utc, long.odd_rows, long.notes)
    assert quick.columns.keys() == long.columns.keys()
    for i, column in quick.columns.items():
        np.testing.assert_array_equal(column.numbers, long.columns[i].numbers)
        assert {r: list(v) for r, v in column.reasons.items()} == {
            r: list(v) for r, v in long.columns[i].reasons.items()
        }


@pytest.fixture(params=[64, 101, 1 << 18])
def _piece(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pieces that end in the middle of rows, and one that holds the whole."""
    monkeypatch.setattr(plain, "PIECE", request.param)


@pytest.mark.usefixtures("_piece")
@pytest.mark.parametrize(
    "text",
    [
        HEADINGS + "".join(_rows()),
        HEADINGS + "".join(_rows()).rstrip("\n"),
        HEADINGS.replace("\n", "\r\n") + "".join(_rows(end="\r\n")),
        HEADINGS + "".join(_rows(second="")),
        HEADINGS + "".join(_rows(second=":00.250")),
        HEADINGS + "".join(_rows()).replace(",3.0,", ",,"),
        HEADINGS + "".join(_rows()).replace(",3.0,", ",-999,"),
        "\ufeff" + HEADINGS + "".join(_rows()),
        "A logger of nobody, °C\n\n" + HEADINGS + ",°C,kW\n" + "".join(_rows()),
        (HEADINGS + "".join(_rows())).replace(",", ";").replace(".", ","),
        (HEADINGS + "".join(_rows())).replace(",", "\t"),
    ],
    ids=[
        "usual",
        "no end",
        "returns",
        "no seconds",
        "fractions",
        "empty",
        "no value",
        "mark",
        "preamble",
        "comma",
        "tab",
    ],
)
def test_a_plain_file_is_read_the_same_both_ways(tmp_path: Path, text: str) -> None:
    """Times, numbers, rows and what is set aside."""
    _same(*_both(tmp_path, text.encode(), FileSettings(no_value=("-999",))))


@pytest.mark.usefixtures("_piece")
@pytest.mark.parametrize(
    ("old", "new"),
    [
        (",5.0,", ',"5.0",'), (",5.0,", ",5.0 #,"), (",5.0,", ",5.0\0,"), (",5.0,", ",off,"), (",5.0,", ",nan,"),
        (",5.0,", ",inf,"), (",5.0,", ",5.0,1,"), (",5.0,-50", ",5.0"), (",5.0,", ",5\xa0,"), (",5.0,", ",5\r,"),
        ("12:30:00,5.0", "24:00:00,5.0"), ("12:30:00,5.0", "12:30:00Z,5.0"), ("12:30:00,5.0", ",5.0"),
        ("2026-07-01 12:30:00,5.0", "2926-07-01 12:30:00,5.0"), ("2026-07-01 12:30:00,5.0", "\n2026-07-01 12:30:00,5.0"),
        ("2026-07-01 12:30:00,5.0", "# a word\n2026-07-01 12:30:00,5.0"),
    ],
)  # fmt: skip
def test_what_is_not_plain_goes_the_long_way(tmp_path: Path, old: str, new: str) -> None:
    """Each of these the long way sets aside, counts or refuses with a sentence."""
    text = HEADINGS + "".join(_rows())
    assert text.count(old) == 1
    quick, _ = _both(tmp_path, text.replace(old, new).encode("latin-1"))
    assert quick is None


def test_other_stamps_go_the_long_way(tmp_path: Path) -> None:
    """A day before the month is a question that the long way asks."""
    text = HEADINGS + "".join(_rows()).replace("2026-07-", "07/").replace(" ", "/2026 ")
    assert _both(tmp_path, text.encode())[0] is None


def test_a_missing_file_is_left_to_the_long_way(tmp_path: Path) -> None:
    """It has the sentences."""
    assert plain.read_plain(tmp_path / "none.csv", WANTED, FileSettings(), "none.csv", frozenset()) is None
    assert plain.read_plain(tmp_path, WANTED, FileSettings(), "folder", frozenset()) is None


@pytest.mark.parametrize("seed", range(150))
def test_a_damaged_file_is_never_read_otherwise(tmp_path: Path, seed: int) -> None:
    """Bytes by chance: where the quick way does not stand back, the long way gives the same."""
    random = np.random.default_rng(seed)
    text = bytearray((HEADINGS + "".join(_rows(120))).encode())
    signs = b'\r\n,;.\t 0129-:TZ#"e+ \0\xe9n'
    for _ in range(random.integers(1, 4)):
        place, sign = random.integers(9, len(text)), signs[random.integers(len(signs))]
        how = random.integers(3)
        if how == 0:
            text[place] = sign
        elif how == 1:
            text.insert(place, sign)
        else:
            del text[place : place + random.integers(1, 40)]
    quick, long = _both(tmp_path, bytes(text))
    if quick is not None:
        _same(quick, long)
