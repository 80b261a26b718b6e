"""`airside author`: from an empty folder to a lesson that passes, and sentences for what does not do."""

import re

import pytest

from airside.teach.lesson import LESSON_FILE


def made_own(text):
    """The template with a title and a story of one's own."""
    for old, new in (
        ('title = "My lesson"', 'title = "Damp papers"'), ("archive", "attic"), ("caretaker", "janitor"),
        ("Say here what the next lesson is about.", "The next one is about fans."),
    ):  # fmt: skip
        text = text.replace(old, new)
    return text


def test_from_an_empty_folder_to_a_lesson_that_passes(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("author", "new", "12_my_lesson")[:2] == (
        0,
        "12_my_lesson/lesson.md: change it, then: airside author check 12_my_lesson\n",
    )
    file = tmp_path / "12_my_lesson" / LESSON_FILE
    assert 'number = 12\ntitle = "My lesson"' in file.read_text(encoding="utf-8")
    # Untouched it is nobody's lesson yet.
    status, out, _ = run("author", "check", "12_my_lesson")
    assert status == 2 and 'the title is still "My lesson"' in out and "6 things to mend" in out
    file.write_text(made_own(file.read_text(encoding="utf-8")), encoding="utf-8")
    status, out, _ = run("author", "check", "12_my_lesson")
    assert status == 0 and "not there yet. Build it: airside author build 12_my_lesson" in out
    assert run("author", "build", "12_my_lesson")[:2] == (0, "Notebook: 12_my_lesson.ipynb\n")
    status, out, err = run("author", "check", "12_my_lesson")
    assert (status, err) == (0, "") and out.endswith("Nothing to mend.\n")


def test_mistakes_end_with_status_2(run, spoilt):
    folder, line = spoilt("seed = 12", 'seed = "x"')
    status, out, _ = run("author", "check", folder)
    assert status == 2
    assert re.search(rf"lesson\.md, line {line}: .*expected a number without quotes\.", out)
    status, out, err = run("author", "build", folder)
    assert (status, out) == (2, "") and f"lesson.md, line {line}: " in err


@pytest.mark.parametrize("command", ["check", "build"])
def test_a_folder_that_is_not_there(run, tmp_path, command):
    status, out, err = run("author", command, tmp_path / "none")
    assert status == 2 and "there is no such folder. Expected a lesson's folder" in out + err


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("10_damp", "is not empty; what is in it stays as it is"),
        ("10_damp/lesson.md", "the name"),
        ("none/11_x", "does not exist. Make it first"),
        ("my lesson", "Use letters, digits, _ and -"),
        ("file", "is a file"),
    ],
)
def test_places_where_no_lesson_can_begin(run, folder, tmp_path, name, says):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    before = (folder / LESSON_FILE).read_bytes()
    status, _, err = run("author", "new", tmp_path / name)
    assert status == 2 and says in " ".join(err.split())
    assert (folder / LESSON_FILE).read_bytes() == before


def test_an_empty_folder_will_do(run, tmp_path):
    (tmp_path / "11_empty").mkdir()
    assert run("author", "new", tmp_path / "11_empty")[0] == 0


def test_several_lessons_are_checked_at_once(run, tmp_path):
    for name in ("1_a", "2_b"):
        assert run("author", "new", tmp_path / name)[0] == 0
    one = tmp_path / "1_a" / LESSON_FILE
    one.write_text(made_own(one.read_text(encoding="utf-8")), encoding="utf-8")
    (tmp_path / "2_b" / LESSON_FILE).write_text("x", encoding="utf-8")
    status, out, _ = run("author", "check", tmp_path / "1_a", tmp_path / "2_b")
    assert status == 2 and "2_b/lesson.md, line 1: " in out and "1_a.ipynb: hint: " in out
    status, _, err = run("author", "build", tmp_path / "1_a", tmp_path / "2_b", "--out", tmp_path / "x.ipynb")
    assert status == 2 and "--out names one notebook, but 2 folders are named" in err


def test_a_notebook_of_somebody_else_is_left_as_it_is(run, folder):
    place = folder.with_suffix(".ipynb")
    place.write_text('{"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}', encoding="utf-8")
    before = place.read_bytes()
    status, _, err = run("author", "build", folder)
    assert status == 2 and "exists already and is left as it is. Name another file, or add --force" in " ".join(
        err.split()
    )
    assert place.read_bytes() == before
    assert run("author", "build", folder, "--force")[0] == 0
    # Built from a lesson, it is replaced without a word.
    assert run("author", "build", folder)[0] == 0
