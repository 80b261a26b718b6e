"""The command line: what it prints, what it writes, and how it ends."""

import io
import json
import os
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

import airside
import airside.cli
from airside.lab import prepare_folder
from airside.visit.template import visit_template

DATA = Path(__file__).parents[1] / "data"
LIBRARY = str(DATA / "reading_room" / "before.toml")
BAKERY = str(DATA / "bakery" / "before.toml")
SAFETY = "practice come first"


def run_apart(*arguments, **options):
    """Run it as a user does."""
    command = [sys.executable, "-m", "airside.cli", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=60, **options)


@pytest.fixture
def visit(tmp_path):
    """Write a visit with another name; give its file."""

    def write(name, text=""):
        text = text or visit_template("IP")
        file = tmp_path / "visit.toml"
        file.write_text(
            text.replace('"Name of the system and its condition"', json.dumps(name, ensure_ascii=False)), "utf-8"
        )
        return file

    return write


# -- exit status, as a user sees it ---------------------------------------------------------------


def test_a_good_visit_ends_with_0():
    done = run_apart("capacity", LIBRARY)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Total capacity" in done.stdout
    assert SAFETY in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["capacity", "none.toml"], "no such file"),
        (["capacity", str(DATA)], "is a folder"),
        (["capacity", LIBRARY, "--chart", "a.gif"], "expected .png, .svg or .pdf"),
        (["capacity", LIBRARY, "--chart", "none/a.png"], "does not exist"),
        (["capacity", LIBRARY, "--units", "metric"], "'metric' is not one of 'IP', 'SI'"),
        (["capacity"], "Missing argument"),
        (["capacity", LIBRARY, "--colour"], "No such option"),
        (["capcity", LIBRARY], "No such command"),
    ],
)
def test_bad_input_ends_with_2_and_a_sentence(run, arguments, words):
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert words in err


def test_bad_input_as_a_user_sees_it(tmp_path):
    file = tmp_path / "visit.toml"
    file.write_text(visit_template("IP").replace("[75.2,", "[752,").replace('"cooling" ', '"colling" '), "utf-8")
    done = run_apart("capacity", file)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.splitlines()[0] == f"airside: {file}: 2 problems"
    assert 'Did you mean "cooling"?' in done.stderr
    assert "readings.return.dry_bulb, value 1: found 752.0 °F" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_fault_of_the_program_ends_with_1_and_a_sentence(run, monkeypatch):
    def fail(*_, **__):
        raise ZeroDivisionError("of all things")

    monkeypatch.setattr("airside.visit.analysis.analyse", fail)
    monkeypatch.delenv("AIRSIDE_TRACEBACK", raising=False)
    status, out, err = run("capacity", LIBRARY)
    assert (status, out) == (1, "")
    assert err.startswith("airside: a fault of the program, not of your input: ZeroDivisionError: of all things")
    assert "AIRSIDE_TRACEBACK=1" in err
    monkeypatch.setenv("AIRSIDE_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        run("capacity", LIBRARY)


@pytest.mark.parametrize("option", [[], ["--json"]])
def test_a_reader_that_goes_away_is_no_fault(option):
    # A pipe that nobody reads, as after `| head -n 1`.
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-m", "airside.cli", "capacity", LIBRARY, *option]
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, timeout=60, check=False)
    os.close(write)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("variables", [{"PYTHONIOENCODING": "ascii"}, {"PYTHONIOENCODING": "latin-1"}])
def test_a_terminal_without_the_degree_sign(variables):
    done = subprocess.run(
        [sys.executable, "-m", "airside.cli", "capacity", LIBRARY], capture_output=True, timeout=60,
        env={**os.environ, **variables}, check=False,
    )  # fmt: skip
    assert done.returncode == 0
    assert b"Total capacity" in done.stdout
    assert b"Btu/h" in done.stdout


@pytest.mark.skipif(os.name == "nt", reason="file names are text there")
def test_a_file_name_that_is_not_text():
    done = subprocess.run(
        [sys.executable, "-m", "airside.cli", "capacity", b"\xff.toml"], capture_output=True, timeout=60, check=False
    )
    assert done.returncode == 2
    assert b"no such file" in done.stderr


def test_version_and_help(run):
    assert run("--version")[:2] == (0, f"airside {airside.__version__}\n")
    status, out, _ = run("--help")
    assert status == 0
    for word in ("capacity", "check", "template", "lab", SAFETY):
        assert word in " ".join(out.split())


# -- the table ------------------------------------------------------------------------------------


def test_the_table_is_in_the_units_of_the_file_or_those_asked_for(run):
    watts = airside.analyse(airside.load_visit(LIBRARY)).capacity.total
    # 1 Btu/h is 0.29307107 W.
    assert f" {watts / 0.29307107:,.0f} Btu/h " in run("capacity", LIBRARY)[1]
    out = run("capacity", LIBRARY, "--units", "SI")[1]
    assert f" {watts / 1000:.2f} kW " in out
    for unit in ("°F", "inH2O", "cfm ", "gr/lb"):
        assert unit not in out.split("Textbook")[0]
    watts = airside.analyse(airside.load_visit(BAKERY)).capacity.total
    assert f" {watts / 1000:.2f} kW " in run("capacity", BAKERY)[1]


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("columns", ["80", "120", "30"])
def test_every_number_is_whole_at_any_width(run, units, columns):
    status, out, _ = run("capacity", LIBRARY, "--units", units, columns=columns)
    assert status == 0
    result = airside.analyse(airside.load_visit(LIBRARY))
    lines = [f"{line} " for line in out.splitlines()]
    for _, rows in result.parts():
        for row in rows:
            assert any(line.strip().startswith(row.title) and f" {row.text(units)} " in line for line in lines), row
    assert max(map(len, out.splitlines())) <= max(int(columns), 80)
    assert "…" not in out


def test_the_textbook_factors_stand_beside_the_result(run):
    out = " ".join(run("capacity", LIBRARY)[1].split())
    for words in ("not used above", "4.5", "1.08", "0.68", "would give"):
        assert words in out
    for factor in airside.analyse(airside.load_visit(LIBRARY)).textbook:
        assert f"{factor.error * 100:+.1f} %" in out


def test_warnings_and_assumptions_are_said(run, visit):
    file = visit("Few", visit_template("IP").replace("[1180]", "[500]"))
    out = " ".join(run("capacity", file)[1].split())
    assert "Warnings - The airflow is 167 cfm/ton of nominal capacity" in out
    assert "Assumptions - Barometric pressure 29.23 inHg from the elevation by the standard atmosphere" in out


NAMES = [
    "<script>alert(1)</script>", "[bold]x[/bold] [red", ":smile: :warning:", "[/]", "{name} %s \\n", "a & b",
    "Büro 研究室", "x" * 200,
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_stays_text(run, visit, name):
    file = visit(name)
    squeezed = name.replace(" ", "")
    status, out, err = run("capacity", file)
    assert (status, err) == (0, "")
    assert squeezed in out.replace("\n", "").replace(" ", "")
    assert squeezed in run("check", file)[1].replace("\n", "").replace(" ", "")
    assert json.loads(run("capacity", file, "--json")[1])["visit"] == name
    if "<" in name:
        assert name not in airside.analyse(airside.load_visit(file))._repr_html_()


# -- JSON -----------------------------------------------------------------------------------------

STATE = ["dry_bulb_C", "wet_bulb_C", "dew_point_C", "relative_humidity", "humidity_ratio", "enthalpy_J_kg",
         "specific_volume_m3_kg"]  # fmt: skip
# The contract: these keys are there; others may be added, such as a number's doubt beside it.
CONTRACT = {
    "format": None,
    "visit": None,
    "mode": None,
    "airflow": ["method", "volume_flow_m3_s", "standard_volume_flow_m3_s", "dry_air_mass_flow_kg_s"],
    "return_air": STATE,
    "supply_air": STATE,
    "capacity": ["total_W", "sensible_W", "latent_W", "sensible_heat_ratio", "moisture_removal_kg_h",
                 "condensate_heat_W"],
    "warnings": None,
    "assumptions": None,
}  # fmt: skip


@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_the_json_contract(run, file):
    status, out, err = run("capacity", file, "--json")
    assert (status, err) == (0, "")
    said = json.loads(out)
    assert set(CONTRACT) <= set(said)
    for key, inner in CONTRACT.items():
        if inner is not None:
            assert set(inner) <= set(said[key]), key
    assert said["format"] == "airside capacity 1"
    assert isinstance(said["warnings"], list)
    assert all(isinstance(a, str) for a in said["assumptions"])


def test_the_json_numbers_are_the_library_s(run):
    said = json.loads(run("capacity", LIBRARY, "--json")[1])
    result = airside.analyse(airside.load_visit(LIBRARY))
    assert said["visit"] == result.visit.name
    assert said["mode"] == "cooling"
    assert said["airflow"]["method"] == "fan table"
    assert said["airflow"]["volume_flow_m3_s"] == result.airflow.volume_flow
    assert said["airflow"]["standard_volume_flow_m3_s"] == result.airflow.standard_volume_flow
    assert said["airflow"]["dry_air_mass_flow_kg_s"] == result.airflow.dry_air_mass_flow
    for place, air in (("return_air", result.return_air), ("supply_air", result.supply_air)):
        assert said[place]["dry_bulb_C"] == air.dry_bulb
        assert said[place]["wet_bulb_C"] == air.wet_bulb
        assert said[place]["dew_point_C"] == air.dew_point
        assert said[place]["relative_humidity"] == air.relative_humidity
        assert said[place]["humidity_ratio"] == air.humidity_ratio
        assert said[place]["enthalpy_J_kg"] == air.enthalpy
        assert said[place]["specific_volume_m3_kg"] == air.specific_volume
    for key in ("total", "sensible", "latent", "condensate_heat", "gross"):
        assert said["capacity"][f"{key}_W"] == getattr(result.capacity, key)
    assert said["capacity"]["moisture_removal_kg_h"] == result.capacity.moisture_removal
    assert said["capacity"]["sensible_heat_ratio"] == result.capacity.sensible_heat_ratio


def test_json_is_si_whatever_the_units(run):
    assert run("capacity", LIBRARY, "--json", "--units", "IP") == run("capacity", LIBRARY, "--json", "--units", "SI")


def test_without_fan_power_there_is_no_gross_capacity(run, visit):
    assert "gross_W" not in json.loads(run("capacity", visit("No fan"), "--json")[1])["capacity"]


def test_json_warnings_have_a_code_and_a_sentence(run, visit):
    file = visit("Few", visit_template("IP").replace("[1180]", "[500]"))
    warnings = json.loads(run("capacity", file, "--json")[1])["warnings"]
    assert all(sorted(w) == ["code", "message"] for w in warnings)
    assert "flow_per_capacity" in [w["code"] for w in warnings]


def test_json_never_holds_what_json_does_not_know(run, visit):
    # Dry air on both sides: no dew point, no latent factor.
    text = visit_template("IP")
    for humidity in ("[50.2, 50.0, 50.3]", "[88.0, 88.3, 88.1]"):
        text = text.replace(humidity, "[0, 0, 0]")
    said = json.loads(run("capacity", visit("Dry", text), "--json")[1], parse_constant=pytest.fail)
    assert said["return_air"]["dew_point_C"] is None
    assert said["textbook_factors"]["latent"]["error"] is None


# -- charts ---------------------------------------------------------------------------------------


def is_png(content):
    from PIL import Image

    with Image.open(io.BytesIO(content)) as image:
        image.load()
        return image.format == "PNG" and image.width > 800


def is_svg(content):
    return ElementTree.fromstring(content).tag == "{http://www.w3.org/2000/svg}svg"


def is_pdf(content):
    return content.startswith(b"%PDF-") and content.rstrip().endswith(b"%%EOF")


@pytest.mark.parametrize(("ending", "valid"), [("png", is_png), ("svg", is_svg), ("pdf", is_pdf), ("PNG", is_png)])
def test_a_chart_is_a_valid_image_and_is_named(run, tmp_path, ending, valid):
    target = tmp_path / f"chart.{ending}"
    status, out, err = run("capacity", LIBRARY, "--chart", target)
    assert (status, err) == (0, "")
    assert f"Chart: {target}" in out.splitlines()
    assert valid(target.read_bytes())
    assert [p.name for p in tmp_path.iterdir()] == [target.name]


def test_a_chart_says_what_the_table_says(run, tmp_path):
    target = tmp_path / "chart.svg"
    assert json.loads(run("capacity", LIBRARY, "--json", "--chart", target, "--units", "SI")[1])
    words = "".join(ElementTree.fromstring(target.read_bytes()).itertext())
    result = airside.analyse(airside.load_visit(LIBRARY))
    assert result.visit.name in words
    assert f"Moist air at {result.return_air.pressure / 1000:.2f} kPa" in words
    assert f"{result.return_air.dry_bulb:.1f} °C" in words


@pytest.mark.parametrize("name", ["From $5 to $6", r"$\foo_", "$x$ <b>&amp;</b>", "a_b^c {d}"])
def test_a_name_is_no_mathematics_to_the_chart(run, visit, tmp_path, name):
    target = tmp_path / "chart.svg"
    status, _, err = run("capacity", visit(name), "--chart", target)
    assert (status, err) == (0, "")
    assert name in [
        t.text for t in ElementTree.fromstring(target.read_bytes()).iter("{http://www.w3.org/2000/svg}text")
    ]


def test_letters_that_the_font_lacks_give_one_sentence(run, visit, tmp_path):
    status, _, err = run("capacity", visit("研究室"), "--chart", tmp_path / "chart.png")
    assert status == 0
    assert err == "airside: the chart's font lacks some letters of the visit's name.\n"


def test_a_chart_never_goes_over_an_existing_file_without_force(run, tmp_path):
    target = tmp_path / "chart.png"
    target.write_text("mine")
    status, out, err = run("capacity", LIBRARY, "--chart", target)
    assert (status, out) == (2, "")
    assert "exists already and is left as it is" in err
    assert "--force" in err
    assert target.read_text() == "mine"
    assert run("capacity", LIBRARY, "--chart", target, "--force")[0] == 0
    assert is_png(target.read_bytes())


def test_a_chart_that_cannot_be_written_leaves_nothing(run, tmp_path):
    (tmp_path / "file").write_text("x")
    for place, words in (("none/a.png", "does not exist"), ("file/a.png", "is a file, not a folder")):
        status, out, err = run("capacity", LIBRARY, "--chart", tmp_path / place)
        assert (status, out) == (2, "")
        assert words in err
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_bad_visit_leaves_no_chart(run, visit, tmp_path):
    file = visit("Bad", visit_template("IP").replace("[1180]", "[0]"))
    assert run("capacity", file, "--chart", tmp_path / "chart.png")[0] == 2
    assert [p.name for p in tmp_path.iterdir()] == ["visit.toml"]


# -- check, template, lab -------------------------------------------------------------------------


def test_check_of_a_good_visit(run):
    status, out, err = run("check", BAKERY)
    assert (status, err) == (0, "")
    visit = airside.load_visit(BAKERY)
    count = len(visit.readings.supply.dry_bulb)
    assert f"{BAKERY}: a valid visit file ({visit.name})" in out
    assert f"{count} at supply" in out
    assert "Airflow: traverse." in out
    assert ("No warnings." in out) is ("Warnings" not in out)


def test_check_of_an_unlikely_visit(run, visit):
    status, out, _ = run("check", visit("Few", visit_template("IP").replace("[1180]", "[500]")))
    assert status == 0
    assert "Warnings" in out
    assert "167 cfm/ton" in out
    assert "No warnings" not in out


def test_check_of_a_bad_visit_names_everything(run, visit):
    text = visit_template("IP").replace("[75.2,", "[752,").replace("elevation =", "elevatoin =")
    status, out, err = run("check", visit("Bad", text))
    assert (status, out) == (2, "")
    assert "2 problems" in err
    assert 'Did you mean "elevation"?' in err


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_template_can_be_checked_and_computed(run, tmp_path, units):
    target = tmp_path / "mine.toml"
    status, out, _ = run("template", "--units", units, "--out", target)
    assert (status, out) == (0, f"{target}: fill it in, then: airside check {target}\n")
    assert target.read_text(encoding="utf-8") == run("template", "--units", units)[1] == visit_template(units)
    assert run("check", target)[0] == run("capacity", target)[0] == 0
    status, _, err = run("template", "--out", target)
    assert status == 2
    assert "--force" in err
    assert target.read_text(encoding="utf-8") == visit_template(units)
    assert run("template", "--out", target, "--force")[0] == 0


def test_the_lab_folder_keeps_what_is_there(tmp_path):
    top = prepare_folder(tmp_path / "lab")
    changed = top / "data" / "bakery" / "before.toml"
    assert changed.read_bytes() == Path(BAKERY).read_bytes()
    changed.write_text("mine")
    prepare_folder(top)
    assert changed.read_text() == "mine"


def test_a_lab_folder_that_cannot_be_made(run, tmp_path):
    (tmp_path / "file").write_text("x")
    status, _, err = run("lab", "--folder", tmp_path / "file" / "lab")
    assert status == 2
    assert "cannot be copied there" in err
