"""Workbooks and Parquet files, written with openpyxl and pyarrow."""

import io
import sys
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from logger_files_made import RH, T, read, table, write

from airside.errors import FileError

openpyxl = pytest.importorskip("openpyxl")
START = datetime(2026, 7, 14, 10)
FILE, PARQUET = "return.xlsx", "return.parquet"


def book(folder, *rows, sheets=None):
    made = openpyxl.Workbook()
    for i, (title, content) in enumerate((sheets or {"Sheet1": rows}).items()):
        sheet = made.active if i == 0 else made.create_sheet()
        sheet.title = title
        for row in content:
            sheet.append(row)
    made.save(folder / FILE)


def got(folder, file=FILE, log=None, **columns):
    return read(folder, log=log, return_air=table(file, **(columns or {"dry_bulb": "t", "relative_humidity": "rh"})))


def refused(folder, file=FILE, log=None, **columns):
    with pytest.raises(FileError) as caught:
        got(folder, file, log, **columns)
    return str(caught.value)


def rows(count=30):
    return [[START + timedelta(minutes=m), 24 + m / 100, 50 + m % 3] for m in range(count)]


def test_dates_of_a_workbook_with_preamble_and_unit_row(tmp_path):
    book(tmp_path, ["Oven room"], [], ["time", "t", "rh"], [None, "°F", "%"], *rows())
    log = got(tmp_path)
    assert log.wall_time(log.time[0]) == "2026-07-14 10:00:00"
    np.testing.assert_array_equal(np.diff(log.time), 60.0)
    np.testing.assert_allclose(log.channels[T], (24 + np.arange(30) / 100 - 32) / 1.8)
    assert log.record(T).unit == "°F"


def test_texts_errors_and_empty_cells_of_a_workbook(tmp_path):
    made = rows(60)
    made[3][1], made[4][1], made[5][2] = "#N/A", -999, None
    made.insert(7, [None, None, None])
    book(tmp_path, ["time", "t [degC]", "rh [%]"], *made)
    log = got(tmp_path, log={"no_value": "-999"})
    assert dict(log.record(T).set_aside) == {"empty row": 1, "text in a number column": 1, 'no value "-999"': 1}
    assert log.record(T).samples["text in a number column"] == ((5, "#N/A"),)
    assert log.record(RH).samples["empty cell"] == ((7, ""),)


def test_days_as_numbers_and_time_in_two_columns(tmp_path):
    # 2023-01-01 12:00 is day 44927.5 of a workbook.
    book(tmp_path, ["time", "t"], *[[44927.5 + m / 1440, 24] for m in range(5)])
    log = got(tmp_path, dry_bulb="t")
    assert log.wall_time(log.time[4]) == "2023-01-01 12:04:00"
    book(tmp_path, ["day", "clock", "t"], *[[date(2026, 7, 14), time(10, m), 24] for m in range(5)])
    log = got(tmp_path, dry_bulb="t")
    assert log.wall_time(log.time[4]) == "2026-07-14 10:04:00"
    book(tmp_path, ["stamp", "t"], *[[f"14.07.2026 10:{m:02}", 24] for m in range(5)])
    assert got(tmp_path, dry_bulb="t").wall_time(log.time[4]) == "2026-07-14 10:04:00"


def test_sheets(tmp_path):
    head = ["time", "t", "rh"]
    book(tmp_path, sheets={"notes": [["about", "this"]], "probe 1": [head, *rows()]})
    assert len(got(tmp_path)) == 30
    assert (
        refused(tmp_path, log={"sheet": "probe 2"})
        == 'return.xlsx: found no sheet "probe 2"; there are: notes, probe 1.'
    )
    book(tmp_path, sheets={"probe 1": [head, *rows()], "probe 2": [head, *rows()]})
    assert refused(tmp_path) == (
        'return.xlsx: found the columns in several sheets: "probe 1", "probe 2". Name one by sheet in [log].'
    )
    assert len(got(tmp_path, log={"sheet": "probe 2"})) == 30


def test_a_column_that_the_workbook_has_not(tmp_path):
    book(tmp_path, ["time", "temp", "rh"], *rows())
    said = refused(tmp_path, dry_bulb="tmp")
    assert said == 'return.xlsx: sheet "Sheet1", row 1: found no column "tmp". Did you mean "temp"?'
    book(tmp_path, ["time", "t"])
    assert "found headings but no row of readings after them" in refused(tmp_path, dry_bulb="t")


def test_broken_and_unreadable_workbooks(tmp_path, monkeypatch):
    write(tmp_path, b"PK\x03\x04 cut", FILE)
    assert "is not a workbook that can be read (BadZipFile)" in refused(tmp_path)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    assert refused(tmp_path) == (
        'return.xlsx: needs openpyxl to be read: pip install "airside[logs]", or save the sheet as CSV.'
    )


@settings(deadline=None, max_examples=25)
@given(st.lists(st.integers(0, 10**6), min_size=2, max_size=20, unique=True))
def test_seconds_of_a_workbook_come_back(tmp_path_factory, offsets):
    folder = tmp_path_factory.mktemp("book")
    book(folder, ["time", "t"], *[[START + timedelta(seconds=s), 24.0] for s in sorted(offsets)])
    log = got(folder, dry_bulb="t", log={"step": 1})
    assert log.record(T).first == START.replace(tzinfo=UTC).timestamp() + min(offsets)
    assert log.record(T).last == START.replace(tzinfo=UTC).timestamp() + max(offsets)


def parquet(folder, **columns):
    pyarrow = pytest.importorskip("pyarrow")
    from pyarrow import parquet as files

    held = io.BytesIO()
    files.write_table(pyarrow.table(columns), held)
    write(folder, held.getvalue(), PARQUET)
    return pyarrow


def test_parquet_with_stamps_of_every_kind(tmp_path):
    pyarrow = pytest.importorskip("pyarrow")
    naive = [START + timedelta(minutes=m) for m in range(5)]
    values = [24.0, 24.5, None, float("inf"), 25.0] * 10
    many = [START + timedelta(minutes=m) for m in range(50)]
    parquet(tmp_path, time=pyarrow.array(many), t=pyarrow.array(values))
    with pytest.raises(FileError, match='row 4, column "t": found "inf"'):
        got(tmp_path, PARQUET, dry_bulb="t")
    parquet(tmp_path, time=pyarrow.array(naive), t=pyarrow.array([24, 25, None, 26, 27]))
    log = got(tmp_path, PARQUET, dry_bulb="t")
    assert log.wall_time(log.time[4]) == "2026-07-14 10:04:00" and log.zone is None
    assert dict(log.record(T).set_aside) == {"empty cell": 1}
    aware = [m.replace(tzinfo=UTC) for m in naive]
    parquet(tmp_path, time=pyarrow.array(aware, pyarrow.timestamp("ns", "UTC")), t=[24.0] * 5)
    assert got(tmp_path, PARQUET, dry_bulb="t").zone == "UTC"
    parquet(tmp_path, time=[m.isoformat() for m in naive], t=[24.0] * 5)
    assert got(tmp_path, PARQUET, dry_bulb="t").time[4] == log.time[4]


def test_parquet_that_cannot_be_read(tmp_path, monkeypatch):
    pytest.importorskip("pyarrow")
    write(tmp_path, b"PAR1 cut", PARQUET)
    assert "is not a Parquet file that can be read (ArrowInvalid)" in refused(tmp_path, PARQUET)
    parquet(tmp_path, time=["2026-07-14 10:00:00"], t=[24.0])
    assert 'found no column "x"' in refused(tmp_path, PARQUET, dry_bulb="x")
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert 'needs pyarrow to be read: pip install "airside[logs]"' in refused(tmp_path, PARQUET)
