"""Every visit that cannot be used gives its sentence: file, field, what stood there, what was expected."""

import re

import pytest
from valid_visit import VALID, changed, with_airflow

from airside import analyse, load_visit
from airside.errors import AirsideError, TableError, VisitError
from airside.visit.load import parse_visit, visit_from_data

DRY = "[75.2, 75.3, 75.1]"
RH = "[50.2, 50.0, 50.3]"
HUMIDITY = f"relative_humidity = {RH}"
PROBE = "dry_bulb = { accuracy = 0.9, resolution = 0.1 }"
RETURN, SUPPLY = "readings.return", "readings.supply"
ROUND = 'method = "traverse"\nshape = "round"\ndiameter = 10'


def side_by_side(instruments: str, dry_bulb: str) -> tuple[str, str]:
    """The change that adds a second probe and a side-by-side check."""
    check = f"[instruments.probe_2]\n{PROBE}\n\n[side_by_side]\ninstruments = {instruments}\ndry_bulb = {dry_bulb}\n\n"
    return "[readings.return]", f"{check}[readings.return]"


# A name, the changes to a valid visit, and what the message must hold.
CASES: list[tuple[str, list[tuple[str, str]], list[str]]] = [
    # Keys and tables.
    ("unknown key", [("elevation", "elevatoin")], ["site.elevatoin", "unknown key", 'Did you mean "elevation"?']),
    ("unknown key at the top", [("mode =", "mod =")], ["mode: is missing", '"mod"', 'Did you mean "mode"?']),
    ("unknown key without a near one", [(HUMIDITY, f"moisture = {RH}")], ["Known here:", "wet_bulb, dew_point"]),
    ("unknown key of an instrument", [("accuracy", "acuracy")], ["instruments.probe_1.dry_bulb.acuracy", '"accuracy"']),
    ("unknown quantity of an instrument", [(PROBE, "drybulb = { accuracy = 1 }")], ['Did you mean "dry_bulb"?']),
    ("unknown place", [("readings.outdoor", "readings.outdor")], ["readings.outdor:", 'Did you mean "outdoor"?']),
    ("unknown field of a method", [("volume_flow", "volumeflow")], ["airflow.volumeflow", '"volume_flow"?']),
    ("key that python would know", [("mode =", 'path = "x"\nmode =')], ['unknown key "path"']),
    ("missing table", [("[site]\nelevation = 650\n", "")], ["site: is missing", "a table [site]"]),
    ("missing airflow", [with_airflow("")], ["method is missing", '"fan table"', '"rule of thumb"']),
    ("missing field", [('basis = "actual"\n', "")], ["airflow.basis: is missing", '"actual", "standard"']),
    ("missing readings", [("volume_flow = [1180]\n", "")], ["airflow.volume_flow: is missing", "volume flow in cfm"]),
    ("missing units", [('units = "IP"\n', "")], ["units: is missing", '"IP", "SI"']),
    ("missing humidity", [(HUMIDITY, "")], [RETURN, "no humidity", "relative_humidity, wet_bulb or dew_point"]),
    ("missing pressure", [("elevation = 650", "")], ["site", "neither elevation nor barometric_pressure"]),
    ("missing accuracy", [("accuracy = 0.9, ", "")], ["instruments.probe_1.dry_bulb", "neither accuracy nor"]),
    ("table as a list", [("[readings.return]", "[[readings.return]]")], [RETURN, "found a list", "expected a table"]),
    ("table as a number", [(PROBE, "dry_bulb = 0.9")], ["instruments.probe_1.dry_bulb", "found 0.9", "a table"]),
    ("two humidities", [(HUMIDITY, f"{HUMIDITY}\ndew_point = [55, 55, 55]")], ["relative_humidity and dew_point"]),
    ("unknown instrument", [('"probe_1"', '"probe_2"')], [
        "readings.return.instrument", '"probe_2"', "[instruments.probe_2]", 'Did you mean "probe_1"?']),
    # Words.
    ("other format", [("visit 1", "visit 9")], ["format", '"airside visit 9"', 'expected "airside visit 1"']),
    ("wrong units", [('"IP"', '"imperial"')], ["units", '"imperial"', '"IP", "SI"']),
    ("units as a list", [('"IP"', '["IP"]')], ["units", "found a list", '"IP", "SI"']),
    ("wrong mode", [('"cooling"', '"colling"')], ["mode", '"colling"', '"heating"', 'Did you mean "cooling"?']),
    ("mode as a number", [('"cooling"', "3")], ["mode: found 3", '"cooling", "heating"']),
    ("wrong method", [('"measured"', '"fantable"')], [
        "airflow.method", '"fantable"', '"coil pressure drop"', 'Did you mean "fan table"?']),
    ("wrong basis", [('"actual"', '"standart"')], ["airflow.basis", '"standart"', 'Did you mean "standard"?']),
    ("empty name", [('"Test unit"', '""')], ["name", "empty text", "a name"]),
    ("name of two lines", [('"Test unit"', '"a\\nb"')], ["name", r"a\nb", "one line"]),
    ("name that would move the cursor", [('"Test unit"', '"\\u001b[2Jx"')], ["name", r"\x1b[2Jx", "one line"]),
    ("name as a number", [('"Test unit"', "5")], ["name: found 5", "text in quotes"]),
    ("instrument as a number", [('"probe_1"', "1")], ["readings.return.instrument: found 1", "text in quotes"]),
    ("date in words", [('"Test unit"', '"Test unit"\ndate = "tomorrow"')], ["date", '"tomorrow"', "2026-07-14"]),
    ("date as a number", [('"Test unit"', '"Test unit"\ndate = 5')], ["date: found 5", "2026-07-14"]),
    # Numbers.
    ("text with a wrong unit", [("75.3", '"75.3 psi"')], [f"{RETURN}.dry_bulb, value 2", '"75.3 psi"', "temperature"]),
    ("text with an unknown unit", [("75.3", '"75.3 zork"')], ["value 2", '"zork"', '"75.2 degF"']),
    ("text without a unit", [("75.3", '"75.3"')], ["value 2", '"75.3" has no unit', '"24 degC"']),
    ("text without a number", [("75.3", '"warm"')], ["value 2", '"warm"']),
    ("empty text", [("75.3", '""')], ["value 2", '""']),
    ("endless text", [("75.3", f'"{"9" * 5000}"')], ["value 2", "9999…"]),
    ("decimal comma in a text", [("75.3", '"75,3"')], ["value 2", '"75,3"', "decimal point, not a comma"]),
    ("thousands in a text", [("[1180]", '"1,180 cfm"')], ["airflow.volume_flow", "nothing between thousands"]),
    ("decimal comma in a list", [(DRY, "[75.2, 75,3, 75.1]")], [RETURN, "found 4 dry_bulb and 3", "decimal comma"]),
    ("decimal comma in both lists", [(DRY, "[75,2, 75,1]"), (RH, "[50,2, 50,1]")], [
        f"{RETURN}.dry_bulb", "1.0 °F and 75.0 °F", "decimal comma makes two numbers of one"]),
    ("decimal comma by itself", [("elevation = 650", "elevation = 650,5")], ["not valid TOML", "line 7", "a point"]),
    ("nan", [("75.3", "nan")], [f"{RETURN}.dry_bulb, value 2", "found nan", "a temperature in °F", "Take a missing"]),
    ("infinity", [("75.3", "-inf")], ["value 2", "found -inf"]),
    ("too large for a float", [("[1180]", "1e400")], ["airflow.volume_flow", "found inf"]),
    ("integer too large for a float", [("[1180]", "9" * 400)], ["airflow.volume_flow", "a huge number"]),
    ("integer of thousands of digits", [("[1180]", "9" * 5000)], ["thousands of digits"]),
    ("lists in lists without end", [("[1180]", "[" * 5000 + "]" * 5000)], ["lists in lists"]),
    ("boolean", [("75.3", "true")], ["value 2", "found true", "a temperature in °F"]),
    ("boolean for a list", [(DRY, "true")], [f"{RETURN}.dry_bulb: found true", "a list of numbers"]),
    ("list in a list", [("75.3", "[75.3]")], ["value 2", "found a list"]),
    ("list for one number", [("650", "[650]")], ["site.elevation", "found a list", "an elevation in ft"]),
    ("date for a list", [(DRY, "2026-07-14")], [f"{RETURN}.dry_bulb", "2026-07-14", "a list of numbers"]),
    ("table for a list", [(DRY, "{ a = 1 }")], [f"{RETURN}.dry_bulb", "found a table", "a list of numbers"]),
    ("empty list", [(DRY, "[]")], [f"{RETURN}.dry_bulb", "empty list", "at least one reading"]),
    ("humidity as a fraction", [(RH, "[0.502, 0.500, 0.503]")],
     ["readings.return.relative_humidity", "0.503 % RH", "percent"]),
    ("unequal lengths", [(RH, "[50.2, 50.0]")], [RETURN, "3 dry_bulb and 2 relative_humidity", "equal lengths"]),
    # Air that cannot be.
    ("humidity above 100 %", [("50.0", "146")], [f"{RETURN}.relative_humidity, value 2", "146 % RH", "0 to 100 %"]),
    ("humidity below zero", [("50.0", "-1")], [f"{RETURN}.relative_humidity, value 2", "-1 % RH"]),
    ("dew point above dry bulb", [(HUMIDITY, "dew_point = [55, 75.4, 55]")], [
        f"{RETURN}.dew_point, value 2", "75.40 °F above the dry bulb of 75.30 °F", "cannot be", "sensor lagged"]),
    ("wet bulb above dry bulb", [(HUMIDITY, "wet_bulb = [62, 62, 75.2]")], [
        f"{RETURN}.wet_bulb, value 3", "75.20 °F above the dry bulb of 75.10 °F"]),
    ("wet bulb below that of dry air", [(HUMIDITY, "wet_bulb = [62, 31, 62]")], [
        f"{RETURN}.wet_bulb, value 2", "31.00 °F", "75.30 °F", "below that of dry air", "wick"]),
    ("dew point below everything", [(HUMIDITY, "dew_point = [55, -470, 55]")], [
        f"{RETURN}.dew_point, value 2", "-470.0 °F"]),
    ("dry bulb in another unit", [('units = "IP"', 'units = "SI"'), ("650", "198"), ("[1180]", "[557]")], [
        f"{RETURN}.dry_bulb, value 1", "found 75.2 °C", "-40.0 °C to 60.0 °C", '"75.2 °F"', 'units = "IP"']),
    ("dry bulb by a slip", [("75.3", "753")], [f"{RETURN}.dry_bulb, value 2", "753.0 °F", "-40.0 °F to 140.0 °F"]),
    ("dry bulb beyond print", [("75.3", "1e300")], [f"{RETURN}.dry_bulb, value 2", "found 1e+300 °F;"]),
    ("swapped probes", [(DRY, "[56.4, 56.3, 56.5]"), ("[56.4, 56.3, 56.5]\nrelative_humidity = [88", f"{DRY}\n"
        "relative_humidity = [50")], ["readings", "18.8 °F warmer", '"cooling"', "swapped", 'mode = "heating"']),
    ("swapped by the mode", [('"cooling"', '"heating"')], ["18.8 °F colder", '"heating"', "swapped"]),
    # The site.
    ("inH2O typed bare", [("elevation = 650", "barometric_pressure = 405")], [
        "site.barometric_pressure", "405.00 inHg", "17.72 inHg to 32.48 inHg", 'write "405 inH2O"']),
    ("inHg typed as inH2O", [("elevation = 650", 'barometric_pressure = "29.36 inH2O"')], [
        "site.barometric_pressure", "2.16 inHg", 'write "29.36 inHg"']),
    ("kPa typed bare", [("elevation = 650", "barometric_pressure = 99")], ["99.00 inHg", 'write "99 kPa"']),
    ("hPa typed bare", [("elevation = 650", "barometric_pressure = 990")], ['write "990 hPa"']),
    ("psi typed bare", [("elevation = 650", "barometric_pressure = 14.5")], ['write "14.5 psi"']),
    ("gauge pressure", [("elevation = 650", "barometric_pressure = 0")], ["0.00 inHg", "absolute"]),
    ("elevation of no place", [("650", "1e6")], ["site.elevation", "1,000,000 ft", "14,108 ft"]),
    # The airflow.
    ("no airflow", [("[1180]", "[0]")], ["airflow.volume_flow", "found 0", "above zero"]),
    ("airflow below zero", [("[1180]", "[1180, -5]")], ["airflow.volume_flow, value 2", "found -5", "above zero"]),
    ("doubt in percent", [('"actual"', '"actual"\nrelative_uncertainty = 5')], ["relative_uncertainty", "found 5"]),
    ("doubt of a rule of thumb", [with_airflow(
        'method = "rule of thumb"\nflow_per_capacity = 400\nrelative_uncertainty = 0.05')], [
        "airflow.relative_uncertainty", "0.05", "at least 0.15", "nothing was measured"]),
    ("rule of thumb without a capacity", [
        ("nominal_capacity = 3", ""), with_airflow('method = "rule of thumb"\nflow_per_capacity = 400')], [
        "system.nominal_capacity", "is missing", "flow_per_capacity"]),
    ("no nominal capacity", [("nominal_capacity = 3", "nominal_capacity = 0")], ["found 0", "in ton, above zero"]),
    ("wrong duct", [with_airflow(
        'method = "traverse"\nshape = "square"\nvelocity = [700, 700]')], ["airflow.shape", '"square"', '"round"']),
    ("traverse without readings", [with_airflow(ROUND)], ["airflow", "neither velocity nor velocity_pressure"]),
    ("traverse with both readings", [with_airflow(f"{ROUND}\nvelocity = [700]\nvelocity_pressure = [0.03]")], [
        "velocity and velocity_pressure", "one of the two"]),
    ("round duct with a width", [with_airflow(f"{ROUND}\nwidth = 3\nvelocity = [700]")], [
        "width and diameter", 'expected diameter for a "round" duct']),
    ("duct below zero", [with_airflow(f"{ROUND}\nvelocity = [700]"), ("= 10", "= -10")], [
        "airflow.diameter", "-10", "above zero"]),
    ("velocity pressure below zero", [with_airflow(f"{ROUND}\nvelocity_pressure = [0.04, -0.03]")], [
        "airflow.velocity_pressure, value 2", "-0.030 inH2O", "hoses"]),
    ("no heat", [with_airflow('method = "temperature rise"\ntemperature_rise = 20')], [
        "no heat input", "heat_input, or voltage and current, or fuel_input and efficiency"]),
    ("half a heat", [with_airflow('method = "temperature rise"\ntemperature_rise = 20\nvoltage = 240')], [
        "found voltage alone"]),
    ("two heats", [with_airflow('method = "temperature rise"\ntemperature_rise = 20\nheat_input = 5\nvoltage = 240')], [
        "found heat_input and voltage"]),
    ("efficiency in percent", [with_airflow(
        'method = "temperature rise"\ntemperature_rise = 20\nfuel_input = 5\nefficiency = 80')], [
        "airflow.efficiency", "80", "0.80"]),
    ("fall instead of rise", [with_airflow('method = "temperature rise"\ntemperature_rise = -20\nheat_input = 5')], [
        "airflow.temperature_rise", "-20", "above zero"]),
    ("wrong phases", [with_airflow(
        'method = "temperature rise"\ntemperature_rise = 20\nvoltage = 240\ncurrent = 20\nphases = 2')], [
        "airflow.phases", "found 2", "1, 3"]),
    ("statics of different sign", [with_airflow(
        'method = "pressure match"\ndevice_flow = 900\nnormal_static_pressure = 0.5\ndevice_static_pressure = -0.5')], [
        "airflow", "pressure match", "one sign"]),
    # Side-by-side check, power, time.
    ("check of an unknown probe", [side_by_side('["probe_1", "prob_2"]', "[[70, 70, 70], [71, 71, 71]]")], [
        "side_by_side.instruments", '"prob_2"', "[instruments.prob_2]", 'Did you mean "probe_2"?']),
    ("check of one probe", [side_by_side('["probe_1"]', "[[70, 70, 70], [71, 71, 71]]")], [
        "side_by_side.instruments", "found 1", "two, one for each probe"]),
    ("check without pairs", [side_by_side('["probe_1", "probe_2"]', "[70, 70, 70]")], [
        "side_by_side.dry_bulb", "a list of 3", "two, one for each probe"]),
    ("check of unequal lengths", [side_by_side('["probe_1", "probe_2"]', "[[70, 70, 70], [71, 71]]")], [
        "side_by_side", "3 values of dry_bulb", "2 by the second"]),
    ("check named in a text", [side_by_side('"probe_1"', "[[70, 70, 70], [71, 71, 71]]")], [
        "side_by_side.instruments", '"probe_1"', "the names of two"]),
    ("power below zero", [("[readings.return]", "[readings.power]\ntotal = [3.1, -3.1]\n\n[readings.return]")], [
        "readings.power.total, value 2", "-3.10 kW", "zero or above"]),
    ("power by an unknown meter", [
        ("[readings.return]", '[readings.power]\ntotal = 3\ninstrument = "meter"\n\n[readings.return]')], [
        "readings.power.instrument", "[instruments.meter]", "There are: probe_1"]),
    ("interval of no time", [("[readings.return]", "[readings]\ninterval = 0\n\n[readings.return]")], [
        "readings.interval", "not above zero"]),
    # Tables beside the visit.
    ("missing fan table", [with_airflow(
        'method = "fan table"\ntable = "none.csv"\nspeed = "low"\nexternal_static_pressure = 0.3')], [
        "none.csv", "no such file", "relative to the visit file"]),
    ("a name that is no name", [with_airflow(
        'method = "fan table"\ntable = "a\\u0000b"\nspeed = "low"\nexternal_static_pressure = 0.3')], ["not the name"]),
    ("unknown speed", [with_airflow(
        'method = "fan table"\ntable = "fan.csv"\nspeed = "lo"\nexternal_static_pressure = 0.3')], [
        "fan.csv", 'airflow.speed is "lo"', '"low", "high"', 'Did you mean "low"?']),
    ("the static's own column", [with_airflow(
        'method = "fan table"\ntable = "fan.csv"\nspeed = "static pressure"\nexternal_static_pressure = 0.3')], [
        'airflow.speed is "static pressure"', '"low", "high"']),
    ("static outside the table", [with_airflow(
        'method = "fan table"\ntable = "fan.csv"\nspeed = "high"\nexternal_static_pressure = [0.9, 0.9]')], [
        "airflow", "fan table", "outside the table", "0.200 inH2O to 0.600 inH2O"]),
    ("static where the column is empty", [with_airflow(
        'method = "fan table"\ntable = "fan.csv"\nspeed = "low"\nexternal_static_pressure = 0.55')], [
        "0.200 inH2O to 0.400 inH2O"]),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "fragments"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
@pytest.mark.filterwarnings("error")
def test_every_bad_visit_has_its_sentence(folder, changes, fragments):
    file = folder / "visit.toml"
    file.write_text(changed(*changes), encoding="utf-8")
    with pytest.raises((VisitError, TableError)) as caught:
        analyse(load_visit(file))
    message = str(caught.value)
    for words in ("visit.toml", *fragments):
        if words == "visit.toml" and isinstance(caught.value, TableError):
            continue
        assert words in message
    assert_reads_well(message)


def assert_reads_well(message: str) -> None:
    assert len(message) < 1500
    # pydantic's and Python's own words never reach the user.
    for words in ("pydantic", "Traceback", "validation error", "type=", "Input should", "NoneType", "errors."):
        assert words not in message
    assert not re.search(r"\ba [aeiou]", message.replace("a unit", "")), message


def test_the_names_of_the_cases_are_different():
    assert len({c[0] for c in CASES}) == len(CASES)


def test_all_errors_at_once(folder):
    file = folder / "visit.toml"
    text = changed(
        ('mode = "cooling"', 'mode = "colling"'),
        ("elevation = 650", "elevatoin = 650"),
        ("75.3", '"75,3"'),
        ("50.3", "146"),
        ("56.4", "nan"),
        ('"probe_1"', '"probe_9"'),
        with_airflow('method = "fan table"\ntable = "none.csv"\nspeed = "low"'),
    )
    file.write_text(text, encoding="utf-8")
    with pytest.raises(VisitError) as caught:
        load_visit(file)
    assert {p.field for p in caught.value.problems} == {
        "mode", "site.elevatoin", "readings.return.dry_bulb", "readings.return.relative_humidity",
        "readings.supply.dry_bulb", "readings.return.instrument", "airflow.external_static_pressure", "airflow.table",
    }  # fmt: skip
    assert len(caught.value.problems) == 8
    lines = str(caught.value).splitlines()
    assert lines[0] == f"{file}: 8 problems"
    assert all(line.startswith("  - ") for line in lines[1:])


def test_one_problem_stands_on_one_line():
    with pytest.raises(VisitError) as caught:
        parse_visit(changed(('"cooling"', '"colling"')), "unit.toml")
    assert str(caught.value) == (
        'unit.toml: mode: found "colling"; expected one of "cooling", "heating". Did you mean "cooling"?'
    )


def test_each_bad_row_is_named():
    with pytest.raises(VisitError) as caught:
        parse_visit(changed((HUMIDITY, "dew_point = [75.3, 55, 75.2]")))
    assert [p.row for p in caught.value.problems] == [1, 3]


@pytest.mark.parametrize(
    ("content", "fragments"),
    [
        (b"x" * 5_000_001, ["5,000,000 bytes", "logger file"]),
        (bytes(range(256)), ["not UTF-8", "line 2"]),
        ("units = 'SI'".encode("utf-16"), ["not UTF-8"]),
        (b"", ["format: is missing", "airside visit 1", "readings: is missing"]),
        (b"<html>", ["not valid TOML", "line 1"]),
        (VALID.replace('"Test unit"', '"Test unit').encode(), ["not valid TOML", "line 3"]),
        (VALID.replace("[system]", "[site]").encode(), ["not valid TOML", "line 9"]),
        (b"a,b,c\n1,2,3\n", ["not valid TOML"]),
    ],
    ids=["huge", "binary", "utf-16", "empty", "html", "open quote", "table twice", "csv"],
)
def test_a_file_that_is_no_visit(tmp_path, content, fragments):
    file = tmp_path / "visit.toml"
    file.write_bytes(content)
    with pytest.raises(VisitError) as caught:
        load_visit(file)
    assert str(caught.value).startswith(str(file))
    for words in fragments:
        assert words in str(caught.value)


def test_places_that_are_no_files(tmp_path):
    for place, words in (
        (tmp_path, "is a folder"),
        (tmp_path / "none.toml", "no such file"),
        (tmp_path / ("n" * 300), "cannot be read"),
    ):
        with pytest.raises(VisitError) as caught:
            load_visit(place)
        assert words in str(caught.value)


@pytest.mark.parametrize(
    "name", ["a b.toml", "é½日本.toml", "-x.toml", "[bold].toml", "a'\"b.toml", "{x}%s.toml", "no ending"]
)
def test_files_with_odd_names(tmp_path, name):
    file = tmp_path / name
    file.write_text(VALID, encoding="utf-8")
    assert load_visit(file).name == "Test unit"
    file.write_text(changed(('"cooling"', '"x"')), encoding="utf-8")
    with pytest.raises(VisitError) as caught:
        load_visit(file)
    assert str(caught.value).startswith(f'{file}: mode: found "x"')


def test_text_from_the_file_is_no_template():
    with pytest.raises(VisitError) as caught:
        parse_visit(changed(("75.3", '"{message} {0} %s"')))
    assert "{message} {0} %s" in str(caught.value)


def test_a_byte_order_mark_and_line_ends_of_another_system_are_fine(tmp_path):
    file = tmp_path / "visit.toml"
    file.write_bytes(b"\xef\xbb\xbf" + VALID.replace("\n", "\r\n").encode())
    assert load_visit(file).name == "Test unit"


@pytest.mark.parametrize("data", [{}, {"units": None}, {"units": "IP", "airflow": 3, "readings": [], "site": "x"}])
def test_data_of_any_shape_gives_a_sentence(data):
    with pytest.raises(AirsideError):
        visit_from_data(data)
