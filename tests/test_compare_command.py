"""`airside compare` and `airside plan`: what they print, what they write, how they end."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

DATA = Path(__file__).parents[1] / "data"
BEFORE, AFTER = (str(DATA / "reading_room" / f"{n}.toml") for n in ("before", "after"))
BAKERY = tuple(str(DATA / "bakery" / f"{n}.toml") for n in ("before", "after"))
FEW = ("--draws", "2000")
STATED = ("--reference", "stated", "--return-wet-bulb", "63 degF", "--outdoor-dry-bulb", "90 degF")


def run_apart(*arguments, **options):
    """Run it as a user does."""
    command = [sys.executable, "-m", "airside.cli", *map(str, arguments)]
    environment = {**os.environ, "COLUMNS": "100"}
    return subprocess.run(
        command, capture_output=True, text=True, encoding="utf-8", timeout=60, env=environment, **options
    )


def words(text):
    return " ".join(text.split())


@pytest.fixture
def changed(tmp_path):
    """A demo visit with words replaced, beside its table; gives the file."""

    def write(source, *changes, name="changed.toml"):
        text = Path(source).read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        (tmp_path / "fan_table.csv").write_bytes((Path(source).parent / "fan_table.csv").read_bytes())
        file = tmp_path / name
        file.write_text(text, encoding="utf-8")
        return file

    return write


# -- compare, as a user sees it -------------------------------------------------------------------


def test_the_demos_say_their_verdict_first():
    done = run_apart("compare", BEFORE, AFTER)
    assert (done.returncode, done.stderr) == (0, "")
    said = words(done.stdout)
    assert said.startswith("Reading room rooftop unit, before cleaning the outdoor coil → Reading room")
    assert "The data support a gain of" in said
    for heading in ("Probability that total capacity rose", "At the same conditions", "As measured", "What cancels",
                    "Where the doubt of the change comes from", "Assumptions", "Safety:"):  # fmt: skip
        assert heading in said


def test_bad_input_apart_ends_with_2_and_one_sentence():
    done = run_apart("compare", AFTER, BEFORE)
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr.startswith("airside: before is dated 2026-07-21 and after 2026-07-14;")
    assert done.stderr.count("\n") == 1 and "Traceback" not in done.stderr


def test_json_apart_is_the_contract():
    done = run_apart("compare", BEFORE, AFTER, "--json", *FEW)
    content = json.loads(done.stdout)
    assert content["format"] == "airside compare 1"
    for key in ("change", "change_at_reference"):
        assert set(content[key]["total_ratio"]) == {"value", "standard_uncertainty", "interval_95"}
    assert content["verdict"].startswith("The data support a gain")
    assert content["draws"] == 2000


def test_the_plan_apart():
    done = run_apart("plan", BEFORE)
    assert (done.returncode, done.stderr) == (0, "")
    assert "cannot be seen" in words(done.stdout) and "What could be done" in done.stdout


# -- compare --------------------------------------------------------------------------------------


def test_the_other_demo_shows_no_change_and_says_so(run):
    status, out, _ = run("compare", *BAKERY, *FEW)
    assert status == 0
    assert "The data do not show a change" in words(out) and "could not be seen" in words(out)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_units(run, units):
    _, out, _ = run("compare", BEFORE, AFTER, "--units", units, *FEW)
    # Electric power is in kW in both; capacities are not.
    capacities = [
        line for line in out.splitlines() if line.strip().startswith(("Total", "Sensible cap", "Sensible  ", "Latent"))
    ]
    assert ("Btu/h" in out) == (units == "IP") and len(capacities) >= 3
    assert any("kW" in line for line in capacities) == (units == "SI")


def test_one_seed_one_answer(run):
    first, again, other = (run("compare", BEFORE, AFTER, "--json", "--seed", seed, *FEW)[1] for seed in ("5", "5", "6"))
    assert first == again != other
    assert json.loads(first)["assumptions"][-1] == "2,000 draws, seed 5."


def test_a_visit_against_itself(run):
    status, out, _ = run("compare", BEFORE, BEFORE, "--json", *FEW)
    content = json.loads(out)
    assert status == 0
    assert content["change"]["total_ratio"] == {"value": 0.0, "standard_uncertainty": 0.0, "interval_95": [0.0, 0.0]}
    assert [w["code"] for w in content["warnings"]] == ["same_visit"]


@pytest.mark.parametrize(
    ("options", "name"),
    [
        ((), "conditions of the before visit"),
        (("--reference", "before"), "conditions of the before visit"),
        (("--reference", "after"), "conditions of the after visit"),
        (("--reference", "A"), "rating condition A of 10 CFR 430"),
        (("--reference", "B"), "rating condition B of 10 CFR 430"),
        (STATED, "stated conditions"),
    ],
)
def test_references(run, options, name):
    _, out, _ = run("compare", BEFORE, AFTER, *options, "--json", *FEW)
    reference = json.loads(out)["reference"]
    assert reference["name"] == name
    if name == "stated conditions":
        assert reference["indoor_C"] == pytest.approx((63 - 32) / 1.8)
        assert reference["outdoor_dry_bulb_C"] == pytest.approx((90 - 32) / 1.8)
    assert name in words(run("compare", BEFORE, AFTER, *options, *FEW)[1])


def with_lists(text, lists):
    """Readings replaced, by section and name; what the demo holds there does not matter."""
    for (section, name), values in lists.items():
        text, count = re.subn(
            rf"(\[readings\.{section}\]\n.*?^{name} = )\[[^\]]*\]", rf"\g<1>{values}", text, count=1, flags=re.M | re.S
        )
        assert count == 1, (section, name)
    return text


WARM = {
    ("return", "dry_bulb"): [70, 70, 70, 71, 70],
    ("return", "relative_humidity"): [35, 35, 36, 35, 35],
    ("supply", "dry_bulb"): [98, 98, 99, 98, 98],
    ("supply", "relative_humidity"): [14, 14, 14, 14, 14],
    ("outdoor", "dry_bulb"): [45, 45, 46, 45, 45],
}


@pytest.fixture
def heating(changed):
    """A demo visit made into one of a heat pump in heating; gives the file."""

    def write(*changes, name="heating.toml"):
        text = Path(BEFORE).read_text(encoding="utf-8")
        # The refrigerant readings of the demo are those of cooling, and its check was made in the same air.
        text = text[: text.index("[readings.power]")].replace('mode = "cooling"', 'mode = "heating"')
        text = with_lists(text.replace("[system]", '[system]\nequipment = "heat pump"'), WARM)
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        file = changed(BEFORE, name=name)
        file.write_text(text, encoding="utf-8")
        return file

    return write


def test_heating_takes_its_own_conditions(run, heating):
    first, second = heating(), heating(("2026-07-14", "2026-07-15"), name="second.toml")
    for options, name in (
        (("--reference", "H1"), "rating condition H1 of 10 CFR 430"),
        (
            ("--reference", "stated", "--return-dry-bulb", "70 degF", "--outdoor-dry-bulb", "8 degC"),
            "stated conditions",
        ),
    ):
        status, out, err = run("compare", first, second, *options, "--json", *FEW)
        assert status == 0, err
        assert json.loads(out)["reference"]["name"] == name


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--reference", "C"), 'reference is "C"; expected one of "before", "after", "A", "B"'),
        (("--reference", "H1"), 'reference is "H1"; expected one of'),
        (("--reference", "stated"), "needs --return-wet-bulb and --outdoor-dry-bulb"),
        (("--reference", "stated", "--return-wet-bulb", "63 degF"), "needs --return-wet-bulb and --outdoor-dry-bulb"),
        (("--return-wet-bulb", "63 degF"), "go with --reference stated"),
        (("--outdoor-dry-bulb", "90 degF"), "go with --reference stated"),
        (("--return-dry-bulb", "70 degF"), "--return-dry-bulb is not used in cooling"),
        ((*STATED[:3], "63", *STATED[4:]), '--return-wet-bulb: "63" has no unit'),
        ((*STATED[:5], "90 kW"), '--outdoor-dry-bulb: "90 kW" is not a temperature'),
        ((*STATED[:5], "warm"), '--outdoor-dry-bulb: "warm" is not a number with a unit'),
        ((*STATED[:3], "85 degF", *STATED[4:]), "the return wet bulb of 85.0 °F is outside the rating curve"),
        ((*STATED[:5], "150 degF"), "the outdoor dry bulb of 150.0 °F is outside"),
        (("--at-least", "90"), "expected a fraction such as 0.9"),
        (("--chart", "change.gif"), "expected .png, .svg or .pdf"),
        (("--chart", "none/change.png"), "does not exist"),
    ],
)
def test_bad_options_are_one_sentence(run, options, said):
    status, out, err = run("compare", BEFORE, AFTER, *options, *FEW)
    assert (status, out) == (2, "")
    assert err.startswith("airside: ") and err.count("\n") == 1
    assert said in err


@pytest.mark.parametrize("options", [("--draws", "10"), ("--draws", "many"), ("--units", "CGS"), ("--seed", "x")])
def test_options_that_are_no_values_end_with_2(run, options):
    status, out, err = run("compare", BEFORE, AFTER, *options)
    assert (status, out) == (2, "") and options[0] in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((BEFORE, "none.toml"), "none.toml: there is no such file"),
        ((str(DATA), AFTER), "is a folder"),
        ((BEFORE, BAKERY[1]), "expected one system"),
        ((AFTER, BEFORE), "Swap the two files"),
    ],
)
def test_visits_that_cannot_be_compared_are_one_sentence(run, arguments, said):
    status, out, err = run("compare", *arguments, *FEW)
    assert (status, out) == (2, "")
    assert said in err and err.count("\n") == 1


def test_other_modes_are_refused(run, heating):
    status, _, err = run("compare", BEFORE, heating(), *FEW)
    assert status == 2 and "expected two visits in one mode" in err


def test_a_missing_argument_ends_with_2(run):
    status, _, err = run("compare", BEFORE)
    assert status == 2 and "AFTER" in err


def test_an_instrument_without_accuracy_is_warned_of(run, changed):
    lines = "dry_bulb = { accuracy = 0.9, resolution = 0.1 }\nrelative_humidity = { accuracy = 2.5, resolution = 0.1 }"
    bare = [changed(f, (lines, ""), name=Path(f).name) for f in (BEFORE, AFTER)]
    status, out, _ = run("compare", *bare, *FEW)
    said = words(out)
    assert status == 0
    assert 'Before: Instrument "duct_probe_1" has no accuracy for dry bulb; a default class is taken' in said
    assert 'After: Instrument "duct_probe_2" has no accuracy for relative humidity' in said


def test_another_accuracy_for_one_name_is_warned_of(run, changed):
    other = changed(AFTER, ("{ accuracy = 0.9, resolution = 0.1 }", "{ accuracy = 0.4, resolution = 0.1 }"))
    _, out, _ = run("compare", BEFORE, other, *FEW)
    assert 'Instrument "duct_probe_1" has different accuracies before and after; the larger counts' in words(out)


def test_a_single_reading_says_what_took_the_place_of_its_scatter(run, changed):
    one = changed(AFTER)
    lists = {("supply", "dry_bulb"): [52.0], ("supply", "relative_humidity"): [91.7]}
    one.write_text(with_lists(one.read_text(encoding="utf-8"), lists), encoding="utf-8")
    _, out, _ = run("compare", BEFORE, one, *FEW)
    assert "Supply dry bulb: a single reading has no scatter to go by; a usual scatter is taken" in words(out)


def test_same_flow_is_passed_on(run):
    said = [json.loads(run("compare", *BAKERY, *o, "--json", *FEW)[1]) for o in ((), ("--same-flow",))]
    ratios = [s["change_at_reference"]["total_ratio"]["value"] for s in said]
    assert ratios[0] != pytest.approx(ratios[1], rel=1e-3)
    assert "A change of airflow is part of the change; it is not corrected." in said[0]["assumptions"]
    assert "A change of airflow is part of the change; it is not corrected." not in said[1]["assumptions"]


def test_acceptance(run):
    _, out, _ = run("compare", BEFORE, AFTER, "--at-least", "0.7", *FEW)
    assert "Acceptance of the after visit" in out and "The probability that it is at least 70 %" in words(out)
    content = json.loads(run("compare", BEFORE, AFTER, "--at-least", "0.7", "--json", *FEW)[1])
    assert set(content["acceptance"]) == {"share", "limit_W", "ratio", "probability"}
    assert content["acceptance"]["limit_W"] == pytest.approx(0.7 * 5 * 3516.85, rel=1e-4)
    assert "acceptance" not in json.loads(run("compare", BEFORE, AFTER, "--json", *FEW)[1])


def test_acceptance_without_a_nominal_capacity(run, changed):
    status, _, err = run("compare", BEFORE, changed(AFTER, ("nominal_capacity = 5\n", "")), "--at-least", "0.9", *FEW)
    assert status == 2 and "Add nominal_capacity" in err


@pytest.mark.parametrize(("suffix", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_a_chart_is_written_and_never_overwritten(run, tmp_path, suffix, start):
    file = tmp_path / f"change.{suffix}"
    status, out, _ = run("compare", BEFORE, AFTER, "--chart", file, *FEW)
    assert status == 0 and f"Chart: {file}" in out
    drawn = file.read_bytes()
    assert drawn.startswith(start) and len(drawn) > 20_000
    file.write_text("mine")
    status, _, err = run("compare", BEFORE, AFTER, "--chart", file, *FEW)
    assert status == 2 and "--force" in err and file.read_text() == "mine"
    assert run("compare", BEFORE, AFTER, "--chart", file, "--force", *FEW)[0] == 0
    assert file.read_bytes().startswith(start)
    assert [f.name for f in tmp_path.iterdir()] == [file.name]


def test_a_chart_and_json_go_together(run, tmp_path):
    file = tmp_path / "change.png"
    _, out, _ = run("compare", BEFORE, AFTER, "--chart", file, "--json", *FEW)
    json.loads(out)
    assert file.exists()


def test_no_chart_of_a_pair_that_cannot_be_compared(run, tmp_path):
    assert run("compare", AFTER, BEFORE, "--chart", tmp_path / "change.png", *FEW)[0] == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("columns", ["80", "140"])
def test_tables_keep_within_the_terminal(run, columns):
    _, out, _ = run("compare", BEFORE, AFTER, *FEW, columns=columns)
    widths = [len(line) for line in out.splitlines()]
    assert max(widths) <= int(columns)


# -- capacity -------------------------------------------------------------------------------------


def test_capacity_json_has_uncertainty_and_interval_beside_each_figure(run):
    content = json.loads(run("capacity", BEFORE, "--json", *FEW)[1])
    for part in ("capacity", "airflow", "return_air", "supply_air"):
        keys = [k for k in content[part] if not k.endswith(("_u", "_95")) and isinstance(content[part][k], float)]
        known = [k for k in keys if f"{k}_u" in content[part]]
        assert len(known) >= len(keys) - 1, (part, set(keys) - set(known))
        for key in known:
            low, high = content[part][f"{key}_95"]
            assert low <= content[part][key] <= high and content[part][f"{key}_u"] >= 0


# -- plan -----------------------------------------------------------------------------------------


def test_plan_prints_the_sentence_and_the_options(run):
    status, out, _ = run("plan", BAKERY[0])
    said = words(out)
    assert status == 0
    assert said.startswith("With these probes and this airflow method, changes below")
    assert "at the 5 % level with a power of 80 %" in said and "Where the doubt comes from now" in said


def test_plan_json(run):
    content = json.loads(run("plan", BEFORE, "--json")[1])
    assert content["format"] == "airside plan 1"
    sizes = [o["smallest_detectable_ratio"] for o in content["options"]]
    assert sizes == sorted(sizes) and 0 < sizes[0] < content["smallest_detectable_ratio"]
    assert all(o["action"] for o in content["options"]) and content["largest"]


def test_plan_of_no_file(run):
    status, out, err = run("plan", "none.toml")
    assert (status, out) == (2, "") and "there is no such file" in err
