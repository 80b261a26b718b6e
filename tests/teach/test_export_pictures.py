"""Pictures for slides and notebooks to hand in."""

import xml.etree.ElementTree as ET

import nbformat
import pytest
from markdown_it import MarkdownIt

from airside.errors import OutputError
from airside.teach.exports.asked import asked_of
from airside.teach.exports.notebooks import exercise_notebook, write_notebooks
from airside.teach.exports.slides import slide_pictures, write_pictures
from airside.teach.finding import LessonError
from airside.teach.lesson import parse_lesson, read_lesson

LIVE = ("example(", "picture(", "panel(")


@pytest.fixture
def lesson(folder):
    return read_lesson(folder)


def test_pictures_in_both_forms_with_their_descriptions(lesson):
    found = slide_pictures(lesson)
    assert list(found) == ["01_psychrometric_chart.svg", "01_psychrometric_chart.png", "descriptions.txt"]
    assert found["01_psychrometric_chart.png"].startswith(b"\x89PNG")
    width = int.from_bytes(found["01_psychrometric_chart.png"][16:20], "big")
    assert width >= 1800
    assert ET.fromstring(found["01_psychrometric_chart.svg"]).tag == "{http://www.w3.org/2000/svg}svg"
    words = found["descriptions.txt"].decode()
    assert "01_psychrometric_chart: The attic's air and the outdoor air on the chart." in words
    assert slide_pictures(lesson) == found
    other = slide_pictures(lesson, "SI", "dark")
    assert other["01_psychrometric_chart.svg"] != found["01_psychrometric_chart.svg"]
    assert b"degC" not in other["01_psychrometric_chart.svg"] and "°C".encode() in other["01_psychrometric_chart.svg"]


def test_names_in_a_picture_stay_text(spoilt):
    folder, _ = spoilt('name = "attic"', 'name = "</text><script>x</script> $\\\\alpha$"')
    svg = slide_pictures(read_lesson(folder))["01_psychrometric_chart.svg"]
    assert b"<script>" not in svg
    assert "script" in "".join(ET.fromstring(svg).itertext())


def test_a_picture_that_cannot_be_drawn_has_its_line(spoilt):
    folder, line = spoilt(
        'describes = "The attic',
        'processes = [{ start = "attic", end = "outdoor", coil = true }]\ndescribes = "The attic',
    )
    # The mark begins two lines above.
    with pytest.raises(LessonError, match=rf"lesson.md, line {line - 2}: .*apparatus dew point"):
        slide_pictures(read_lesson(folder))


def test_a_lesson_without_pictures(lesson, folder):
    text = (folder / "lesson.md").read_text(encoding="utf-8")
    start, end = text.index("```airside picture"), text.index("Find the attic")
    with pytest.raises(LessonError, match="there is no picture here"):
        slide_pictures(parse_lesson(text[:start] + text[end:], folder))


def test_picture_files(folder):
    made = write_pictures(folder)
    assert {p.parent for p in made} == {folder.parent / "10_damp_pictures"} and len(made) == 3
    with pytest.raises(OutputError, match="exists already"):
        write_pictures(folder)
    write_pictures(folder, force=True)
    with pytest.raises(OutputError, match=r"does not exist\. Make it first"):
        write_pictures(folder, folder / "no" / "such")


def cells(text):
    return nbformat.reads(text, 4).cells


def shown(source):
    """The words that Markdown shows."""
    found = []
    for token in MarkdownIt("commonmark").parse(source):
        for child in token.children or ():
            assert child.type != "html_inline"
            found.append(child.content if child.type in ("text", "code_inline") else " ")
        assert token.type != "html_block"
        found.append(" ")
    return " ".join("".join(found).replace("\xa0", " ").split())


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_exercises_are_written_out_without_solutions_and_with_them(lesson, folder, units):
    target = folder.parent / "x.ipynb"
    without, with_them = (exercise_notebook(lesson, target, 7, units, solutions=s) for s in (False, True))
    plain, solved = (
        " ".join(shown(c.source) for c in cells(t) if c.cell_type == "markdown") for t in (without, with_them)
    )
    for one in asked_of(lesson, 7, units):
        assert " ".join(one.question.text.split()) in plain and " ".join(one.question.text.split()) in solved
        for step in one.way:
            assert " ".join(step.split()) in solved and " ".join(step.split()) not in plain
        right = f"Right: {one.short_answer}" if one.options else f"Answer: {one.short_answer} , right from"
        assert right.replace(" ,", ",") in solved.replace(" ,", ",") and "Answer:" not in plain
    # What is live stays live, and nothing in it gives the steps of an exercise.
    code = [c.source for c in cells(without) if c.cell_type == "code"]
    assert code and all(any(word in source for word in LIVE) for source in code)
    assert not any("exercise(" in source or "my_progress" in source for source in code)
    assert len(cells(with_them)) == len(cells(without)) + 5
    assert all(not c.get("outputs") for c in cells(without) if c.cell_type == "code")
    assert exercise_notebook(lesson, target, 7, units) == without != exercise_notebook(lesson, target, 8, units)


def test_notebook_files(folder):
    made = write_notebooks(folder, student=3)
    assert [p.name for p in made] == ["10_damp_exercises.ipynb", "10_damp_solutions.ipynb"]
    for place in made:
        nbformat.validate(nbformat.read(place, 4))
    with pytest.raises(OutputError, match="exists already"):
        write_notebooks(folder)
    assert write_notebooks(folder, folder.parent / "class")[0].parent.name == "class"


def test_the_commands(run, folder, monkeypatch):
    monkeypatch.chdir(folder.parent)
    for command, made in (
        (("worksheet", "--students", "1-3"), "10_damp_worksheet.html"), (("key", "--students", "1-3"), "10_damp_answer_key.html"),
        (("pictures", "--theme", "print"), "10_damp_pictures/descriptions.txt"), (("questions", "--variants", "2"), "10_damp_questions.zip"),
        (("notebooks", "--student", "4"), "10_damp_solutions.ipynb"),
    ):  # fmt: skip
        name, *options = command
        status, out, _ = run("author", "export", name, "10_damp", *options)
        assert status == 0 and made in out
        status, _, errors = run("author", "export", name, "10_damp", *options)
        assert status == 2 and "exists already" in errors and "--force" in errors
        assert run("author", "export", name, "10_damp", *options, "--force")[0] == 0
    status, _, errors = run("author", "export", "key", "nowhere")
    assert status == 2 and "there is no such folder" in errors
