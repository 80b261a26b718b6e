"""Time stamps as loggers write them. Expected times come from Python's datetime and zoneinfo."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from logger_files_made import T, read, table, write

from airside.errors import FileError, VisitError
from airside.visit.logs.time_format import as_texts, look
from airside.visit.logs.time_stamps import StampSettings, read_stamps

MOMENT = datetime(2026, 7, 14, 13, 5, 30, tzinfo=UTC)


def seconds(*texts, **keys):
    return read_stamps(
        as_texts(list(texts)), StampSettings(**keys), lambda r: f"row {r + 1}", lambda r: texts[r], "x.csv"
    )


def refused(*texts, **keys):
    with pytest.raises(FileError) as caught:
        seconds(*texts, **keys)
    return str(caught.value)


@pytest.mark.parametrize("code", [
    "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S", "%Y/%m/%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p",
    "%d-%b-%Y %H:%M:%S", "%b %d, %Y %H:%M:%S", "%d %B %Y, %H:%M:%S", "%Y%m%d %H%M%S", "%Y%m%dT%H%M%S", "%Y%m%d%H%M%S",
    "%Y-%m-%dT%H:%M:%SZ", "%Y-%m-%d %H:%M:%S.000", "%d/%m/%y %H:%M:%S", "%Y.%m.%d %H:%M:%S",
])  # fmt: skip
def test_formats_are_found_and_stated(code):
    texts = [(MOMENT + timedelta(minutes=m)).strftime(code) for m in range(0, 3000, 7)]
    expected = [(MOMENT + timedelta(minutes=m)).timestamp() for m in range(0, 3000, 7)]
    order = {"date_order": "day month year"} if "y" in code else {}
    np.testing.assert_allclose(seconds(*texts, **order).time, expected)
    if "000" not in code and "Z" not in code:
        np.testing.assert_allclose(seconds(*texts, time_format=code).time, expected)


@settings(deadline=None)
@given(
    st.lists(st.datetimes(datetime(1990, 1, 1), datetime(2060, 1, 1)), min_size=1, max_size=30),
    st.sampled_from(["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %H:%M:%S", "%Y %j %H:%M:%S", "%d-%b-%y %I:%M:%S %p",
                     "%Y-%m-%d %H:%M:%S.%f", "%S:%M:%H %d/%m/%Y"]),
)  # fmt: skip
def test_a_stated_format_is_that_of_strptime(moments, code):
    texts = [m.strftime(code) for m in moments]
    expected = [(datetime.strptime(t, code) - datetime(1970, 1, 1)).total_seconds() for t in texts]
    np.testing.assert_allclose(seconds(*texts, time_format=code).time, expected, atol=1e-5)


@settings(deadline=None)
@given(st.datetimes(datetime(1990, 1, 1), datetime(2060, 1, 1), timezones=st.timezones()))
def test_iso_8601_with_a_zone_is_found(moment):
    offset = moment.utcoffset()
    if offset is None or offset.total_seconds() % 60:
        return
    got = seconds(moment.isoformat())
    assert got.utc
    assert got.time[0] == pytest.approx(moment.timestamp(), abs=1e-5)


def test_midnight_as_24():
    got = seconds("2026-12-31 23:59:00", "2026-12-31 24:00:00", "2027-01-01 00:01:00").time
    assert np.diff(got).tolist() == [60, 60]
    assert refused("2026-12-31 24:00:01").startswith(
        'x.csv: row 1: found "2026-12-31 24:00:01" as time; expected a date and'
    )


def test_one_digit_numbers():
    got = seconds("7/4/2026 9:05", "7/14/2026 13:05").time
    assert got.tolist() == [
        datetime(2026, 7, 4, 9, 5, tzinfo=UTC).timestamp(),
        datetime(2026, 7, 14, 13, 5, tzinfo=UTC).timestamp(),
    ]


def test_a_row_above_twelve_settles_the_order():
    got = seconds("05/06/2026 10:00", "13/06/2026 10:00")
    assert got.time[0] == datetime(2026, 6, 5, 10, tzinfo=UTC).timestamp()
    assert got.note == "Dates are day month year, as row 2 (13/06/2026 10:00) shows."
    assert seconds("05/06/2026 10:00", "05/13/2026 10:00").time[0] == datetime(2026, 5, 6, 10, tzinfo=UTC).timestamp()


def test_an_order_that_nothing_settles_asks():
    assert refused("05/06/2026 10:00", "05/07/2026 10:00") == (
        'x.csv: row 1: found "05/06/2026 10:00", and no row tells which number is the day and which the month. Write '
        'date_order = "day month year" or date_order = "month day year" in [log].'
    )
    assert (
        seconds("05/06/2026 10:00", date_order="month day year").time[0]
        == datetime(2026, 5, 6, 10, tzinfo=UTC).timestamp()
    )
    assert 'or date_order = "year month day"' in refused("05/06/07 10:00")
    assert seconds("26/07/14 10:00", "26/07/15 10:00", "27/07/32 10:00", *["26/07/16 10:00"] * 40, date_order="year month day").time[0] \
        == datetime(2026, 7, 14, 10, tzinfo=UTC).timestamp()  # fmt: skip


def test_rows_that_settle_it_both_ways():
    said = refused("13/06/2026 10:00", "06/14/2026 10:00")
    assert said == (
        'x.csv: found "06/14/2026 10:00" (row 2) and "13/06/2026 10:00" (row 1): no one order of day and month fits all '
        "rows. Give time_format or date_order in [log]; rows that do not fit are then set aside."
    )


def test_no_year_asks_and_rolls_over():
    assert refused("08/26  00:01:00") == (
        'x.csv: row 1: found "08/26  00:01:00", a date without a year. Write year = 2026 (that of the first row) in [log].'
    )
    got = seconds("12/31  23:59:00", "12/31  24:00:00", "01/01  00:01:00", year=2021).time
    assert np.diff(got).tolist() == [60, 60]
    assert got[0] == datetime(2021, 12, 31, 23, 59, tzinfo=UTC).timestamp()
    late = seconds("12/31 23:59:00", "01/01 00:00:00", "12/31 23:58:00", "01/01 00:01:00", year=2021).time
    assert np.diff(late).tolist() == [60, -120, 180]


def test_29_february_of_a_year_without_one():
    said = refused("02/29 10:00:00", "02/28 10:00:00", year=2026, time_format="%m/%d %H:%M:%S")
    assert "The year 2026 has no 29 February; is the year right?" in said
    assert (
        seconds("02/29 10:00:00", year=2028, time_format="%m/%d %H:%M:%S").time[0]
        == datetime(2028, 2, 29, 10, tzinfo=UTC).timestamp()
    )


def test_a_format_that_does_not_fit_or_is_none():
    assert refused("2026-07-14 10:00", time_format="%d.%m.%Y %H:%M") == (
        'x.csv: row 1: found "2026-07-14 10:00" as time; expected a time written as time_format = "%d.%m.%Y %H:%M" says. '
        "Correct time_format in [log]."
    )
    said = refused("2026-07-14", time_format="%Q")
    assert 'time_format = "%Q" cannot be used: the code "%Q" is not known here' in said
    assert "has no day and month" in refused("10:00", time_format="%H:%M")


def test_epoch_and_workbook_days():
    stamp = MOMENT.timestamp()
    assert seconds(str(int(stamp)), str(int(stamp) + 60), time_format="epoch").time.tolist() == [stamp, stamp + 60]
    got = seconds(str(int(stamp) * 1000), time_format="epoch milliseconds")
    assert got.utc and got.time[0] == stamp
    # 2023-01-01 12:00 is day 44927.5 of a workbook (its day 1 is 1900-01-01, with a 29 February 1900 that never was).
    got = seconds("44927.5", time_format="workbook days")
    assert not got.utc and got.time[0] == datetime(2023, 1, 1, 12, tzinfo=UTC).timestamp()


def test_epoch_is_found_in_a_column_that_says_time(tmp_path):
    rows = "".join(f"{1_784_030_400 + 60 * i},{24 + i}\n" for i in range(4))
    write(tmp_path, "unix time,t\n" + rows)
    log = read(tmp_path, return_air=table(dry_bulb="t"))
    assert log.time[0] == 1_784_030_400
    assert log.zone == "UTC"
    write(tmp_path, "unix,t\n" + rows)
    with pytest.raises(FileError, match=r"found no column that holds date and time \(headings: unix, t\)"):
        read(tmp_path, return_air=table(dry_bulb="t"))


@pytest.mark.parametrize("log", [{}, {"time": ["day", "clock"]}])
def test_time_in_two_columns(tmp_path, log):
    write(tmp_path, "day;clock;t\n14.07.2026;10:00;24\n14.07.2026;10:01;25\n14.07.2026;24:00;26\n")
    got = read(tmp_path, return_air=table(dry_bulb="t"), log=log)
    assert got.wall_time(got.time[1]) == "2026-07-14 10:01:00"
    assert got.wall_time(got.time[2]) == "2026-07-15 00:00:00"


def test_several_time_columns_ask(tmp_path):
    write(tmp_path, "start;end;t\n2026-07-14 10:00;2026-07-14 10:01;24\n")
    with pytest.raises(FileError) as caught:
        read(tmp_path, return_air=table(dry_bulb="t"))
    assert str(caught.value) == (
        'return.csv: found several columns that hold a time: "start", "end". Name one by time = ... in [log].'
    )
    assert len(read(tmp_path, return_air=table(dry_bulb="t"), log={"time": "end"})) == 1


def stamped(folder, stamps, log=None):
    write(folder, "time;t\n" + "".join(f"{s};{20 + i % 50 / 10}\n" for i, s in enumerate(stamps)))
    return read(folder, return_air=table(dry_bulb="t"), log=log)


def test_unreadable_stamps_are_set_aside_and_counted(tmp_path):
    stamps = [f"2026-07-14 10:{m:02}" for m in range(60)]
    stamps[7] = "??-07-14 10:07"
    log = stamped(tmp_path, stamps)
    assert dict(log.record(T).set_aside) == {"time that cannot be read": 1}
    assert log.record(T).samples["time that cannot be read"] == ((9, "??-07-14 10:07"),)
    assert len(log) == 59
    assert log.record(T).gaps == ((log.time[6], log.time[7]),)
    with pytest.raises(FileError, match=r'row 32: found "garbage" as time; expected a date and a time. 54 of 84 rows'):
        stamped(tmp_path, [*stamps[10:40], *["garbage"] * 54])


def test_repeated_and_out_of_order_stamps(tmp_path):
    stamps = [f"2026-07-14 10:{m:02}" for m in (0, 1, 1, 2, 5, 4, 3, 6)]
    log = stamped(tmp_path, stamps)
    assert np.diff(log.time).tolist() == [60] * 6
    np.testing.assert_allclose(log.channels[T], [20.0, 20.1, 20.3, 20.6, 20.5, 20.4, 20.7])
    assert dict(log.record(T).set_aside) == {"repeated time stamp": 1}
    assert log.record(T).samples["repeated time stamp"] == ((4, ""),)
    assert any("2 rows were out of order and were put into their places (the first: row 7)" in n for n in log.notes)
    assert any("1 rows repeat a time; the first of each was taken." in n for n in log.notes)


def zoned(first, count, step=600, zone="Europe/Berlin"):
    """Wall-clock stamps of a zone, from zoneinfo, and the times [s UTC]."""
    utc = [first.timestamp() + step * i for i in range(count)]
    return [datetime.fromtimestamp(t, ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M:%S") for t in utc], utc


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/Denver", "Australia/Lord_Howe", "Asia/Kolkata"])
@pytest.mark.parametrize("month", [3, 4, 9, 10, 11])
def test_summer_time_and_back_by_order(tmp_path, zone, month):
    stamps, utc = zoned(datetime(2026, month, 1, tzinfo=UTC), 144 * 30, zone=zone)
    log = stamped(tmp_path, stamps, {"time_zone": zone})
    np.testing.assert_allclose(log.time, utc)
    assert log.wall_time(log.time[100]) == stamps[100]


def test_hourly_rows_over_the_repeated_hour(tmp_path):
    stamps, utc = zoned(datetime(2026, 10, 24, tzinfo=UTC), 48, step=3600)
    np.testing.assert_allclose(stamped(tmp_path, stamps, {"time_zone": "Europe/Berlin"}).time, utc)


def test_a_time_that_does_not_exist(tmp_path):
    with pytest.raises(FileError) as caught:
        stamped(tmp_path, [f"2026-03-29 {h:02}:30:00" for h in range(6)], {"time_zone": "Europe/Berlin"})
    assert str(caught.value) == (
        "return.csv: row 4: found 2026-03-29 02:30:00, a time that does not exist in Europe/Berlin: clocks went from 02:00 "
        "to 03:00. Does the logger keep winter time all year? Then write a zone that does not change, such as time_zone = "
        '"Etc/GMT-1" for UTC+1.'
    )


def test_the_jump_itself_may_be_stamped_by_its_end(tmp_path):
    log = stamped(tmp_path, ["2026-03-29 01:58:00", "2026-03-29 01:59:00", "2026-03-29 02:00:00", "2026-03-29 03:01:00"],
                  {"time_zone": "Europe/Berlin"})  # fmt: skip
    assert np.diff(log.time).tolist() == [60, 60, 60]


def test_a_repeated_hour_that_stands_once(tmp_path):
    stamps = [f"2026-10-25 {m // 60:02}:{m % 60:02}:00" for m in range(0, 300, 10)]
    with pytest.raises(FileError) as caught:
        stamped(tmp_path, stamps, {"time_zone": "Europe/Berlin"})
    said = str(caught.value)
    assert said.startswith(
        "return.csv: row 14: 2026-10-25 02:00 to 03:00 comes twice in Europe/Berlin, but the file has it once"
    )
    # A gap after it leaves one reading alone.
    cut = [s for s in stamps if not "2026-10-25 03:00" <= s < "2026-10-25 04:00"]
    log = stamped(tmp_path, cut, {"time_zone": "Europe/Berlin"})
    assert log.time[12] == datetime(2026, 10, 25, 0, 0, tzinfo=UTC).timestamp()


def test_a_repeated_hour_out_of_order(tmp_path):
    stamps = ["01:50", "02:10", "02:40", "02:20", "02:50", "02:05", "02:30", "03:00"]
    with pytest.raises(FileError, match="comes twice in Europe/Berlin, and the rows of it are not in order"):
        stamped(tmp_path, [f"2026-10-25 {s}:00" for s in stamps], {"time_zone": "Europe/Berlin"})


def test_zones_of_two_files(tmp_path):
    write(tmp_path, "time;t\n2026-07-14T10:00:00Z;24\n2026-07-14T10:01:00Z;24\n", "a.csv")
    write(tmp_path, "time;t\n2026-07-14 12:00:00;24\n2026-07-14 12:01:00;24\n", "b.csv")
    both = {"return_air": table("a.csv", dry_bulb="t"), "supply": table("b.csv", dry_bulb="t")}
    with pytest.raises(VisitError) as caught:
        read(tmp_path, **both)
    assert str(caught.value) == (
        'visit.toml: log: the times of "a.csv" are of a known zone, those of "b.csv" are not. Write time_zone in '
        '[log.files."b.csv"].'
    )
    log = read(tmp_path, files={"b.csv": {"time_zone": "Europe/Berlin"}}, **both)
    assert len(log) == 2 and log.zone == "Europe/Berlin" and log.wall_time(log.time[0]) == "2026-07-14 12:00:00"


def test_rows_with_and_without_a_zone():
    assert refused("2026-07-14T10:00:00Z", "2026-07-14T10:01:00") == (
        'x.csv: row 2: found "2026-07-14T10:01:00" without a zone, while other rows name theirs; expected it in all rows or '
        "in none."
    )


@pytest.mark.parametrize(("cell", "kind"), [
    ("2026-07-14 10:00", "stamp"), ("14.07.2026", "date"), ("10:00:00", "time"), ("24.5", None), ("Smp", None), ("", None),
    ("14 Foo 2026 10:00", None), ("x" * 100, None),
])  # fmt: skip
def test_what_a_cell_looks_like(cell, kind):
    assert look(cell) == kind
