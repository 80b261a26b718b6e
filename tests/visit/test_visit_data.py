"""A visit as its file would hold it: the way back from the model, and the words that the report needs."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import airside
from airside.visit.convert import visit_data
from airside.visit.load import load_visit, parse_visit
from airside.visit.reading_errors import visit_identity
from airside.visit.template import visit_template
from airside.visit.write import visit_text

DATA = Path(__file__).parents[2] / "data"
# The readings of the clinic stand in logger files, not in its visit files.
DEMOS = sorted(f for f in DATA.glob("*/*.toml") if f.parent.name != "clinic")
WORDS = {"customer": "A library", "work": "Coil washed.\nFan wiped.", "notes": "Warm.", "measured_by": "A person"}


def in_lists(value):
    """A reading that stands alone is a list of one once loaded."""
    if isinstance(value, dict):
        return {k: in_lists(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [in_lists(v) for v in value]
    return pytest.approx(value, rel=1e-9) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


@pytest.mark.parametrize("file", DEMOS, ids=lambda f: f"{f.parent.name}/{f.stem}")
@pytest.mark.parametrize("shown", ["IP", "SI"])
def test_it_holds_what_the_file_holds_whatever_units_are_shown(file, shown):
    stored = tomllib.loads(file.read_text(encoding="utf-8"))
    # The fan's one power is a list of one inside.
    stored["fan"]["power"] = [stored["fan"]["power"]]
    assert visit_data(load_visit(file).shown_in(shown)) == in_lists(stored)


@pytest.mark.parametrize("file", DEMOS, ids=lambda f: f"{f.parent.name}/{f.stem}")
def test_its_text_gives_the_same_figures(file):
    visit = load_visit(file)
    again = parse_visit(visit_text(visit_data(visit)), path=file)
    assert visit_identity(again) == visit_identity(visit)
    one, other = (airside.analyse(v, count=1000).doubt.estimate("total") for v in (visit, again))
    assert other.interval_95 == pytest.approx(one.interval_95, rel=1e-8)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_template_comes_back(units):
    visit = parse_visit(visit_template(units))
    assert visit_identity(parse_visit(visit_text(visit_data(visit)))) == visit_identity(visit)


def test_texts_with_a_unit_come_back_in_the_files_units():
    text = visit_template("IP").replace("dry_bulb = [75.2, 75.3, 75.1]", 'dry_bulb = ["24 degC", 75.3, 75.1]')
    assert visit_data(parse_visit(text))["readings"]["return"]["dry_bulb"] == pytest.approx([75.2, 75.3, 75.1])


def test_lists_stand_on_one_line_and_texts_are_left_alone():
    visit = load_visit(DATA / "reading_room" / "before.toml")
    data = visit_data(visit) | {"notes": "[\n  1,\n  2,\n]"}
    text = visit_text(data)
    assert "dry_bulb = [76.6, 76.4, 76.6, 76.2, 76.4, 76.5, 76.3, 76.3]" in text
    assert "dry_bulb = [[76.6, 76.5," in text
    assert tomllib.loads(text) == data
    assert tomllib.loads(text)["notes"] == "[\n  1,\n  2,\n]"


def test_the_words_of_the_report_are_optional_and_kept():
    bare = parse_visit(visit_template("IP"))
    assert (bare.customer, bare.work, bare.site.name, bare.site.address) == (None,) * 4
    data = visit_data(bare) | WORDS
    data["site"] |= {"name": "Main building", "address": "Square 1\nTown"}
    visit = parse_visit(visit_text(data))
    assert {k: getattr(visit, k) for k in WORDS} == WORDS
    assert (visit.site.name, visit.site.address) == ("Main building", "Square 1\nTown")


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_template_shows_every_word_of_the_report(units):
    text = visit_template(units)
    for line in ("# customer = ", "# work = ", "# notes = ", "# measured_by = ", '# name = "Clinic"', "# address = "):
        assert f"\n{line}" in text
    # Taken out of their comments, they are a valid visit.
    opened = "\n".join(
        line.removeprefix("# ") if line.startswith(("# customer", "# work", "# notes", "# measured_by", '# name = "Clinic"', "# address")) else line
        for line in text.splitlines()
    )  # fmt: skip
    visit = parse_visit(opened)
    assert visit.customer == "Name" and visit.site.name == "Clinic" and visit.work


def test_a_word_that_is_a_number_is_a_sentence():
    text = visit_template("IP").replace('# customer = "Name"', "customer = 5")
    with pytest.raises(airside.AirsideError, match="customer: found 5; expected text in quotes"):
        parse_visit(text)
