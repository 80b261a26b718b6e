"""Text files as loggers write them: every kind is read, and what cannot be read has its sentence."""

import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from logger_files_made import HEAD, MORE, RH, ROWS, T, lines, read, table, write

from airside.errors import FileError, VisitError
from airside.visit.logs.channel import read_channel
from airside.visit.logs.log_schema import LoggedColumn
from airside.visit.logs.logger_table import Column, LoggerTable


@pytest.fixture(params=["pyarrow", "pandas"], autouse=True)
def parser(request, monkeypatch):
    """With pyarrow, and as if it were not installed."""
    if request.param == "pandas":
        monkeypatch.setitem(sys.modules, "pyarrow.csv", None)
    else:
        pytest.importorskip("pyarrow")


def refused(folder, **keys):
    with pytest.raises(FileError) as caught:
        read(folder, **keys)
    return str(caught.value)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_delimiters_are_found(tmp_path, delimiter):
    write(tmp_path, lines(*ROWS).replace(";", delimiter))
    log = read(tmp_path)
    np.testing.assert_allclose(log.channels[T], [24.1, 24.2, 24.3, 24.4])
    np.testing.assert_allclose(log.channels[RH], [0.51, 0.52, 0.53, 0.54])
    assert log.step == 60
    assert log.wall_time(log.time[-1]) == "2026-07-14 10:03:00"
    assert np.diff(log.time).tolist() == [60, 60, 60]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_decimal_comma_is_found(tmp_path, delimiter):
    write(tmp_path, lines(*ROWS).replace(".", ",").replace(";", delimiter))
    np.testing.assert_allclose(read(tmp_path).channels[T], [24.1, 24.2, 24.3, 24.4])


def test_quoted_decimal_commas_between_commas(tmp_path):
    rows = [f'{a},"{b.replace(".", ",")}",{c}' for a, b, c in (r.split(";") for r in ROWS)]
    write(tmp_path, lines(*rows, head="date_time,t [degC],rh [%]"))
    np.testing.assert_allclose(read(tmp_path).channels[T], [24.1, 24.2, 24.3, 24.4])


def test_decimal_commas_that_come_after_whole_numbers(tmp_path):
    early = [f"2026-07-14 {h:02}:{m:02}:00;24;51" for h in range(8, 10) for m in range(60)]
    write(tmp_path, lines(*early, *ROWS).replace(".", ","))
    assert read(tmp_path).channels[T][-1] == pytest.approx(24.4)


def test_comma_and_point_as_decimal_sign_ask(tmp_path):
    write(tmp_path, lines(ROWS[0], ROWS[1].replace("24.2", "24,2"), *ROWS[2:]))
    assert refused(tmp_path) == (
        'return.csv: found "24,2" and "24.1": a comma and a point as decimal sign. Write decimal = "," or decimal = "." in '
        "[log]; what does not fit is then set aside."
    )


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_encodings_are_found(tmp_path, encoding):
    write(tmp_path, lines(*ROWS, head="Datum Zeit;Rückluft [°C];rh [%]"), encoding=encoding)
    log = read(tmp_path, return_air=table(dry_bulb="Rückluft", relative_humidity="rh"))
    np.testing.assert_allclose(log.channels[T], [24.1, 24.2, 24.3, 24.4])
    assert any("Latin-1" in n for n in log.notes) == (encoding == "latin-1")
    assert log.record(T).unit == "°C"


def test_a_stated_encoding_that_is_wrong(tmp_path):
    write(tmp_path, lines(*ROWS[:2], head="Zeit;Rückluft [°C];rh [%]"), encoding="latin-1")
    said = refused(tmp_path, log={"encoding": "utf-8"}, return_air=table(dry_bulb="Rückluft"))
    assert said.startswith("return.csv: row 1: found bytes that are not utf-8 text. Correct encoding in [log]")


def test_preamble_unit_row_and_comments(tmp_path):
    text = "\n".join([
        "Logger 17, bakery oven room", "# calibrated in spring", "", "date_time,t,rh", ",degF,%", "Smp,Avg,Avg",
        *(r.replace(";", ",") for r in ROWS[:2]), "# door open", *(r.replace(";", ",") for r in ROWS[2:]), "",
    ])  # fmt: skip
    write(tmp_path, text)
    log = read(tmp_path)
    np.testing.assert_allclose(log.channels[T], (np.array([24.1, 24.2, 24.3, 24.4]) - 32) / 1.8)
    record = log.record(T)
    assert record.unit == "degF"
    assert dict(record.set_aside) == {"comment": 1}
    assert record.samples["comment"] == ((9, "# door open"),)


@pytest.mark.parametrize("end", ["\r\n", "\r", "\n"])
def test_line_ends(tmp_path, end):
    write(tmp_path, lines(*ROWS).replace("\n", end))
    assert len(read(tmp_path)) == 4


def test_no_heading_and_columns_by_number(tmp_path):
    write(tmp_path, "\n".join(ROWS))
    log = read(tmp_path, log={"heading_line": 0}, return_air=table(dry_bulb=2))
    np.testing.assert_allclose(log.channels[T], [24.1, 24.2, 24.3, 24.4])


def test_unit_is_stated_in_the_heading_or_the_visits_own(tmp_path):
    write(tmp_path, lines(*ROWS, head="date_time;t;rh"))
    fahrenheit = (np.array([24.1, 24.2, 24.3, 24.4]) - 32) / 1.8
    np.testing.assert_allclose(read(tmp_path, units="IP").channels[T], fahrenheit)
    stated = table(dry_bulb="t", relative_humidity="rh", units={"dry_bulb": "degF"})
    log = read(tmp_path, return_air=stated)
    np.testing.assert_allclose(log.channels[T], fahrenheit)
    assert log.notes == (
        "return.csv: columns that name no unit were taken as bare numbers of the visit file: rh in percent.",
    )


def test_unit_of_another_kind_in_the_heading(tmp_path):
    write(tmp_path, lines(*ROWS, head="date_time;t [kPa];rh [%]"))
    assert 'column "t": the heading says "kPa", which is no unit of temperature' in refused(tmp_path)


def test_unit_that_is_none(tmp_path):
    write(tmp_path, lines(*ROWS))
    said = refused(tmp_path, return_air=table(dry_bulb="t", units={"dry_bulb": "degX"}))
    assert said == (
        'return.csv: column "t": column_units says "degX", which is no unit of temperature; expected for example '
        '"75.2 degF" or "24 degC".'
    )


def test_sentinels_and_empty_cells_are_counted(tmp_path):
    rows = [*ROWS, "2026-07-14 10:04:00;-999;55", "2026-07-14 10:05:00;OL;", "2026-07-14 10:06:00;-999.0;56"]
    write(tmp_path, lines(*rows))
    log = read(tmp_path, log={"no_value": ["-999", "OL"]})
    assert dict(log.record(T).set_aside) == {'no value "OL"': 1, 'no value "-999"': 2}
    assert log.record(T).samples['no value "-999"'] == ((6, ""), (8, ""))
    assert dict(log.record(RH).set_aside) == {"empty cell": 1}
    assert np.isnan(log.channels[T][4:]).all()
    assert log.record(T).count == 4


def test_text_in_a_number_column_is_set_aside_with_its_row(tmp_path):
    write(tmp_path, lines(*ROWS, "2026-07-14 10:04:00;err 5;55", *MORE[1:]))
    log = read(tmp_path)
    assert dict(log.record(T).set_aside) == {"text in a number column": 1}
    assert log.record(T).samples["text in a number column"] == ((6, "err 5"),)
    assert np.isnan(log.channels[T][4])
    assert np.isfinite(log.channels[RH]).all()


@pytest.mark.parametrize("word", ["NaN", "inf", "nan", "-Infinity"])
def test_words_that_read_as_numbers_are_none(tmp_path, word):
    write(tmp_path, lines(*ROWS, f"2026-07-14 10:04:00;{word};55", *MORE[1:]))
    log = read(tmp_path)
    assert dict(log.record(T).set_aside) == {"text in a number column": 1}
    assert log.record(T).samples["text in a number column"] == ((6, word),)


def test_a_column_of_text_is_refused(tmp_path):
    write(tmp_path, lines(*(r.replace(";24", ";x24") for r in ROWS)))
    assert refused(tmp_path) == (
        'return.csv: row 2, column "t": found "x24.1"; expected a temperature in °C. 4 of 4 rows hold text. If it stands '
        'for "no value", write it into no_value in [log]; or correct delimiter and decimal.'
    )


def test_a_column_without_any_number(tmp_path):
    write(tmp_path, lines(*(r.replace(";24", ";-999;24") for r in ROWS), head="date_time;t;x;rh"))
    said = refused(tmp_path, log={"no_value": "-999"})
    assert said == 'return.csv: column "t": found no number (no value "-999": 4 rows); expected readings.'


def test_an_undeclared_sentinel_is_impossible_not_a_reading(tmp_path):
    write(tmp_path, lines(*ROWS, "2026-07-14 10:04:00;-999;55", *MORE[1:]))
    log = read(tmp_path)
    assert dict(log.record(T).set_aside) == {"impossible value": 1}
    assert log.record(T).samples["impossible value"] == ((6, "-999 degC"),)
    write(tmp_path, lines(*(r.replace(";24.", ";-999.") for r in ROWS)))
    assert 'row 2, column "t": found -999.1 degC; expected -70.0 °C to 250.0 °C. 4 of 4 rows are so.' in refused(
        tmp_path
    )


@pytest.mark.parametrize(
    ("quantity", "unit", "sentinel"),
    [("volume_flow", "L/s", -999), ("volume_flow", "cfm", -99), ("power", "kW", -999), ("power", "W", -999), ("power", "kW", 9999)],
)  # fmt: skip
def test_a_sentinel_of_flow_or_power_is_no_reading(quantity, unit, sentinel):
    numbers = np.array([450.0] * 40 + [sentinel])
    table = LoggerTable(
        "log.csv", ("t", "x"), {}, np.arange(2, 43), np.arange(41.0), False, {1: Column(numbers)}, {"x": 1}
    )
    found = read_channel(table, LoggedColumn("a.channel", quantity, "log.csv", "x", unit), "SI")
    assert found.set_aside == {"impossible value": 1} and np.isnan(found.values[-1])


def test_rows_of_wrong_length_and_with_zero_bytes(tmp_path):
    rows = [
        *ROWS,
        "2026-07-14 10:04:00;24.5",
        *MORE[1:3],
        "",
        "2026-07-14 10:07:00;1;2;3",
        "\0\0\0",
        *MORE[4:],
        "2026-07-14 1",
    ]
    write(tmp_path, lines(*rows))
    record = read(tmp_path).record(T)
    assert dict(record.set_aside) == {
        "row with too few cells": 2, "empty row": 1, "row with too many cells": 1, "row with zero bytes": 1,
    }  # fmt: skip
    assert record.samples["row with too few cells"][0] == (6, "2026-07-14 10:04:00;24.5")
    assert record.samples["row with too many cells"][0] == (10, "2026-07-14 10:07:00;1;2;3")


def test_row_numbers_stand_after_odd_rows(tmp_path):
    write(tmp_path, lines(*ROWS, "# pause", "2026-07-14 10:04:00;err;55", *MORE[1:]))
    assert read(tmp_path).record(T).samples["text in a number column"] == ((7, "err"),)


def test_a_column_that_is_not_there(tmp_path):
    write(tmp_path, lines(*ROWS))
    said = refused(tmp_path, return_air=table(dry_bulb="temp", relative_humidity="rh"))
    assert said == 'return.csv: row 1: found no column "temp". Known here: date_time, t [degC], rh [%].'
    write(tmp_path, lines(*ROWS, head="date_time;zn_temp;rh"))
    assert refused(tmp_path, return_air=table(dry_bulb="zn_tmp")).endswith('Did you mean "zn_temp"?')


def test_a_heading_that_stands_twice(tmp_path):
    write(tmp_path, lines(*ROWS, head="date_time;t;t"))
    assert refused(tmp_path, return_air=table(dry_bulb="t")) == (
        'return.csv: row 1: found the heading "t" in columns 2 and 3; expected it once. Name the column by its number, such '
        "as 2."
    )
    np.testing.assert_allclose(read(tmp_path, return_air=table(dry_bulb=2)).channels[T], [24.1, 24.2, 24.3, 24.4])


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "is empty; expected headings and rows of readings."),
        ("\n\n", "is empty; expected headings and rows of readings."),
        (HEAD + "\n", "found headings but no row of readings after them."),
        ("just words\nand more\n", 'row 1: found "just words", which has no comma, semicolon or tab between cells.'),
    ],
)
def test_files_without_readings(tmp_path, content, said):
    write(tmp_path, content)
    assert said in refused(tmp_path)


def test_files_that_are_not_there_or_are_something_else(tmp_path):
    assert "return.csv: there is no such file." in refused(tmp_path)
    (tmp_path / "return.csv").mkdir()
    assert refused(tmp_path) == "return.csv: is a folder; expected a logger file."
    write(tmp_path, b"\xd0\xcf\x11\xe0rest", name="old.xls")
    assert "is an old workbook (.xls)" in refused(tmp_path, return_air=table("old.xls"))


def test_more_than_a_status_of_words(tmp_path):
    write(
        tmp_path,
        "date_time,stg\n"
        + "".join(f"2026-07-14 10:0{i}:00,{w}\n" for i, w in enumerate(["Off", "low", "High", "off"])),
    )
    status = {"log": "return.csv", "columns": {"stage": "stg"}}
    log = read(tmp_path, status=status)
    assert log.channels["readings.status.stage"].tolist() == [0, 1, 2, 0]
    assert dict(log.status_words["readings.status.stage"]) == {"off": 0, "low": 1, "high": 2}
    write(tmp_path, "date_time,stg\n2026-07-14 10:00:00,Aus\n2026-07-14 10:01:00,Stufe 1\n2026-07-14 10:02:00,Aus\n")
    said = refused(tmp_path, status=status)
    assert said.startswith(
        'return.csv: row 2, column "stg": found the status "Aus"; expected a number, or a word such as Off'
    )
    log = read(tmp_path, status={**status, "words": {"Aus": 0, "Stufe 1": 1}})
    assert log.channels["readings.status.stage"].tolist() == [0, 1, 0]


@given(
    st.lists(st.floats(-40, 60).map(lambda v: round(v, 2)), min_size=2, max_size=40),
    st.sampled_from([",", ";", "\t"]), st.sampled_from([".", ","]), st.sampled_from(["utf-8", "utf-16", "latin-1"]),
    st.integers(0, 3),
)  # fmt: skip
def test_what_is_written_is_read(tmp_path_factory, values, delimiter, decimal, encoding, preamble):
    if delimiter == decimal:
        return
    folder = tmp_path_factory.mktemp("made")
    rows = [
        f"2026-07-14T{i // 60:02}:{i % 60:02}{delimiter}{str(v).replace('.', decimal)}" for i, v in enumerate(values)
    ]
    write(folder, "\n".join([*["Bäckerei"] * preamble, f"time{delimiter}t [°C]", *rows]), encoding=encoding)
    log = read(folder, return_air=table(dry_bulb="t"))
    np.testing.assert_allclose(log.channels[T], values, atol=1e-9)
    assert not log.record(T).set_aside


def test_visit_error_is_not_raised_for_a_logger_file(tmp_path):
    write(tmp_path, "")
    with pytest.raises(FileError) as caught:
        read(tmp_path)
    assert not isinstance(caught.value, VisitError)
    assert caught.value.path == "return.csv"
