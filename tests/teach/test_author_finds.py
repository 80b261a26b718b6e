"""What an author looks up: kinds of question, pictures with every key; what goes with a notebook; lines of a scenario."""

import re
import tomllib
from html import unescape

import pytest

from airside.errors import AirsideError
from airside.teach import find_pictures
from airside.teach.goes_with import goes_with
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import LESSON_FILE
from airside.teach.lesson_panels import PANELS
from airside.teach.marks import read_mark
from airside.teach.picture_examples import KEYS, example_mark
from airside.teach.pictures import PICTURES, picture_bytes, read_parameters
from airside.teach.scenario import ScenarioError, parse_scenario
from airside.teach.scenario_first import FIRST
from airside.teach.toml_words import line_of_field, toml_problem


@pytest.mark.parametrize("shows", PICTURES)
def test_every_picture_has_a_mark_that_is_right_and_names_every_key(shows):
    text = example_mark(shows)
    first, *inner, last = text.splitlines()
    assert (first, last) == ("```airside picture", "```")
    mark, wrong = read_mark("picture", "\n".join(inner), 2)
    assert wrong == [] and mark.shows == shows
    read_parameters(shows, mark.parameters)
    for key in PICTURES[shows].parameters.model_fields:
        assert re.search(rf"\b{key} = ", text), key
    if shows != "image file":
        assert picture_bytes(shows, mark.parameters).startswith(b"\x89PNG")


def test_pictures_and_their_marks_go_together():
    assert set(KEYS) == set(PICTURES)
    with pytest.raises(AirsideError, match='no picture "lins"'):
        example_mark("lins")


def test_find_a_picture():
    finder = find_pictures()
    assert '<img src="data:image/png' in finder.shown.value and "psychrometric chart" in finder.mark.value
    finder.shows.value = "image file"
    assert "Put the file into the lesson" in unescape(finder.shown.value) and "<img" not in finder.shown.value
    finder.shows.value = "lines"
    assert finder.mark.value == example_mark("lines")
    assert finder._repr_mimebundle_()["text/plain"] == "Pictures to choose from. Needs a running kernel."


def test_the_same_at_the_command_line(run):
    status, out, _ = run("author", "find-question")
    assert status == 0 and all(name in out for name in QUESTION_KINDS)
    status, out, _ = run("author", "find-question", "--lesson", "3")
    assert status == 0 and "fan_table_flow" in out and "dew_point_higher_up" not in out
    status, out, _ = run("author", "find-question", "fan_table_flow", "--seed", "4", "--units", "SI")
    assert status == 0 and "L/s" in out and "Answer:" in out
    assert out.endswith('```airside question\nkind = "fan_table_flow"\nseed = 4\n```\n')
    status, out, _ = run("author", "find-picture")
    assert status == 0 and all(name in out for name in (*PICTURES, *PANELS))
    assert run("author", "find-picture", "lines")[1] == example_mark("lines") + "\n"
    for arguments, said in (
        (("find-question", "fan_tabel_flow"), 'Did you mean "fan_table_flow"?'),
        (("find-question", "--lesson", "30"), "no question belongs to lesson 30; expected one of 1 to 10."),
        (("find-picture", "lins"), 'Did you mean "lines"?'),
    ):
        status, out, err = run("author", *arguments)
        assert (status, out) == (2, "") and said in err


def test_what_goes_with_a_notebook_is_said(run, folder):
    place = folder.with_suffix(".ipynb")
    assert goes_with(folder, place) == ""
    assert run("author", "new-scenario", folder)[0] == 0
    status, out, _ = run("author", "scenario", folder)
    assert status == 0 and out.endswith("visits_truth.toml\nKeep it away from the trainees.\n")
    file = folder / LESSON_FILE
    panel = '```airside panel\nshows = "field sheet"\nvisit = "visits/before.toml"\n```\n\n## Worked example'
    file.write_text(file.read_text(encoding="utf-8").replace("## Worked example", panel), encoding="utf-8")
    said = "It shows files of the folder 10_damp: hand that out with it, without visits_truth.toml."
    assert goes_with(folder, place) == said
    status, out, _ = run("author", "export", "notebooks", folder)
    assert status == 0 and out.splitlines()[-1] == said


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("nominal_capacity = 5", "nominal_capacity = -5", "system.nominal_capacity"),
        ("airflow_fault = -0.20", "airflow_fault = -20", "before.airflow_fault"),
        ('return_instrument = "probe_1"', 'return_instrument = "probe_9"', "readings.return_instrument"),
        ("volume_flow = 2050", "volume_flow = 20500", "airflow.volume_flow"),
        ('work = "New filter', 'wrok = "New filter', "wrok"),
    ],
)
def test_a_problem_of_a_scenario_has_its_line(old, new, field):
    assert FIRST.count(old) == 1
    line = FIRST[: FIRST.index(old)].count("\n") + 1
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(FIRST.replace(old, new), "x.toml")
    (problem,) = caught.value.problems
    assert problem.field == field and f"line {line}, {field}: " in str(caught.value)


def test_a_flow_ratio_says_what_its_sides_are():
    # 400 cfm of standard air for each ton: common practice, no source.
    with pytest.raises(ScenarioError, match=r"The ratio is 1 at 2,000 cfm, which is usual for 5.* Check both."):
        parse_scenario(FIRST.replace("volume_flow = 2050", "volume_flow = 20500"))


def test_a_line_that_is_not_toml_is_named():
    text = FIRST.replace('method = "measured"  ', 'method = "measured  ')
    line = text[: text.index('method = "measured  ')].count("\n") + 1
    with pytest.raises(ScenarioError, match=f"line {line} is not valid TOML: "):
        parse_scenario(text)


def test_lines_of_fields():
    text = 'a = 1\n[b]\nc = 2\n[b.d]\ne = { f = 3 }\n["g"]\nh = 4\n'
    for field, line in (("a", 1), ("b", 2), ("b.c", 3), ("b.d.e", 5), ("b.d.e.f", 5), ("b.x", 2), ("g.h", 7), ("z", 0)):
        assert line_of_field(text, field) == line


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('a = 1\nb = "x # no end', 1, "no closing quotation mark"),
        ('a = "x"  y  # says "z"', 0, "expected newline or end of document after a statement, in"),
        ("a = {b = 1, c = 2", 0, "a table is not whole"),
        ("[a]\n[a]", 1, "what `[a]` sets is set already further up"),
        ("a = [1,\n2,\n", 1, "a list is not whole"),
        ('a = "' + "x" * 90, 0, "…`"),
        ("a = 01", 0, "in `a = 01`"),
        ("a =\n", 0, "nothing stands after the ="),
    ],
)
def test_words_for_what_is_not_toml(text, line, says):
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    found, words = toml_problem(caught.value, text)
    assert found == line and says in words
