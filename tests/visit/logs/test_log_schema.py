"""What a visit file may say of its logs, and the sentence for everything else."""

import pytest

from airside.errors import VisitError
from airside.visit.logs.log_schema import has_logs, log_settings
from airside.visit.logs.read import read_log

TABLE = {"log": "a.csv", "columns": {"dry_bulb": "t"}}


def said(log=None, **tables):
    tables = tables or {"readings": {"return": TABLE}}
    settings = log_settings({**tables, **({} if log is None else {"log": log})})
    return [str(p) for p in settings.problems]


def test_a_right_file_has_no_problems():
    log = {
        "time": ["date", "time"], "time_format": "%d.%m.%Y %H:%M", "date_order": "day month year", "year": 2021,
        "time_zone": "Europe/Berlin", "delimiter": ";", "decimal": ",", "encoding": "latin-1", "heading_line": 4,
        "sheet": "Sheet1", "no_value": ["-999", "OL", -99], "clock_offset": -12.5, "step": 60,
        "files": {"a.csv": {"year": 2022, "time": "stamp"}}, "counting": {"window": 15},
    }  # fmt: skip
    settings = log_settings({"log": log, "readings": {"return": TABLE, "supply": {**TABLE, "log": "b.csv"}}})
    assert not settings.problems
    assert settings.files["a.csv"].year == 2022 and settings.files["a.csv"].time == ("stamp",)
    assert settings.files["b.csv"].year == 2021 and settings.files["b.csv"].no_value == ("-999", "OL", "-99")
    assert [c.channel for c in settings.columns] == ["readings.return.dry_bulb", "readings.supply.dry_bulb"]
    assert {c.kind for c in settings.columns} == {"temperature"}


@pytest.mark.parametrize(("key", "value", "sentence"), [
    ("time", 3, 'log.time: found 3; expected the heading of the time column, or of two, such as ["date", "time"].'),
    ("time_format", "%Q", 'log.time_format: found "%Q"; expected a format such as "%d.%m.%Y %H:%M:%S", or one of "epoch", '
     '"epoch milliseconds", "workbook days"; the code "%Q" is not known here; known are %Y, %y, %m, %d, %b, %j, %H, %I, '
     '%M, %S, %f, %p, %z, %T, %R, %F, %D.'),
    ("date_order", "dmy", 'log.date_order: found "dmy"; expected one of "day month year", "month day year", "year month day".'),
    ("year", "2021", 'log.year: found "2021"; expected a year such as 2026.'),
    ("time_zone", "Berlin", 'log.time_zone: found "Berlin"; expected the IANA name of a time zone, such as "Europe/Berlin" or '
     '"America/Denver".'),
    ("delimiter", "|", 'log.delimiter: found "|"; expected one of ",", ";", "\\t".'),
    ("decimal", "'", 'log.decimal: found "\'"; expected one of ".", ",".'),
    ("encoding", "ebcdic", 'log.encoding: found "ebcdic"; expected one of "utf-8", "utf-16", "latin-1", "windows-1252".'),
    ("heading_line", -1, "log.heading_line: found -1; expected the number of the line with the headings, 0 if there is none."),
    ("no_value", [True], 'log.no_value: found a list; expected texts such as ["-999", "OL"].'),
    ("clock_offset", "1 h", 'log.clock_offset: found "1 h"; expected a number of seconds.'),
    ("step", 0, "log.step: found 0; expected a number of seconds above zero, at most 86400."),
    ("delimeter", ";", 'log.delimeter: unknown key "delimeter". Did you mean "delimiter"?'),
    ("files", {"other.txt": {}}, 'log.files."other.txt": no table names this file as its log. Known here: a.csv.'),
    ("files", {"a.csv": {"yaer": 2021}}, 'log.files."a.csv".yaer: unknown key "yaer". Did you mean "year"?'),
    ("files", 3, 'log.files: found 3; expected tables such as [log.files."return.csv"].'),
])  # fmt: skip
def test_keys_of_log(key, value, sentence):
    assert said({key: value}) == [sentence]


def test_delimiter_and_decimal_cannot_be_one():
    assert said({"delimiter": ",", "decimal": ","}) == [
        "log.decimal: found a comma as delimiter and as decimal; leave one of them out."
    ]


@pytest.mark.parametrize(("table", "sentence"), [
    ({"columns": {"dry_bulb": "t"}}, 'readings.return.log: is missing; expected the name of a logger file, such as "loggers/return.csv".'),
    ({"log": 3, "columns": {"dry_bulb": "t"}}, 'readings.return.log: found 3; expected the name of a logger file, such as "loggers/return.csv".'),
    ({"log": "a.csv"}, 'readings.return.columns: is missing; expected which column holds what, such as { dry_bulb = "HEADING" }.'),
    ({"log": "a.csv", "columns": {}}, 'readings.return.columns: found an empty table; expected which column holds what, such as { dry_bulb = "HEADING" }.'),
    ({"log": "a.csv", "columns": {"dry_bulp": "t"}}, 'readings.return.columns.dry_bulp: unknown field "dry_bulp". Did you mean "dry_bulb"?'),
    ({"log": "a.csv", "columns": {"dry_bulb": True}}, "readings.return.columns.dry_bulb: found true; expected a heading in quotes, or the number of a column from 1."),
    ({**TABLE, "dry_bulb": [24]}, "readings.return.dry_bulb: is typed and logged; expected one of the two. Take one out."),
    ({**TABLE, "column_units": {"dew_point": "degF"}}, "readings.return.column_units.dew_point: columns names no dew_point. Known here: dry_bulb."),
    ({**TABLE, "column_units": {"dry_bulb": 3}}, "readings.return.column_units.dry_bulb: found 3; expected a unit in quotes."),
])  # fmt: skip
def test_keys_of_tables(table, sentence):
    assert said(readings={"return": table}) == [sentence]


def test_airflow_takes_the_fields_of_its_method():
    table = {"method": "measured", "log": "a.csv", "columns": {"external_static_pressure": "p"}}
    assert said(airflow=table) == [
        'airflow.columns.external_static_pressure: unknown field "external_static_pressure". Known here: volume_flow.'
    ]
    assert not said(airflow={**table, "columns": {"volume_flow": "f"}})


def test_status():
    assert said(readings={"status": {"log": "a.csv", "columns": {"stage": "s"}, "column_units": {"stage": "V"}}}) == [
        'readings.status.column_units.stage: found "V"; expected no unit for a status.'
    ]
    assert said(readings={"status": {}}) == [
        'readings.status: found no log; expected log = "FILE" and columns = { stage = "HEADING" }.'
    ]
    assert said(readings={"status": {"log": "a.csv", "columns": {"stage": "s"}, "words": {"Off": "x"}}}) == [
        'readings.status.words: found a table; expected a number for each word, such as { Off = 0, "Stage 1" = 1 }.'
    ]


def test_every_problem_is_named_at_once(tmp_path):
    data = {"log": {"year": 1, "yaer": 2}, "readings": {"return": {**TABLE, "columns": {"x": "t"}}}}
    with pytest.raises(VisitError) as caught:
        read_log(data, folder=tmp_path, name="visit.toml")
    assert len(caught.value.problems) == 3
    assert str(caught.value).startswith("visit.toml: 3 problems")


def test_a_typed_visit_has_no_logs():
    assert not has_logs({"readings": {"return": {"dry_bulb": [24]}}, "airflow": {"method": "measured"}})
    assert has_logs({"readings": {"return": TABLE}})
    assert said({}, site={"elevation": 3}) == [
        'log: no table names a logger file; expected for example log = "return.csv" and columns = { dry_bulb = "T" } in '
        "[readings.return]."
    ]
