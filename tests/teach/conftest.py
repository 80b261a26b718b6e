"""A lesson that is complete, and ways to spoil it."""

import pytest

from airside.teach import shared_units
from airside.teach.first_lesson import new_lesson
from airside.teach.lesson import LESSON_FILE


@pytest.fixture
def untouched(tmp_path):
    """A new lesson's folder as it is begun."""
    place = tmp_path / "10_damp"
    new_lesson(place)
    return place


def made_own(text):
    """The template with a story of one's own."""
    for old, new in (
        ("archive", "attic"),
        ("caretaker", "janitor"),
        ("Say here what the next lesson is about.", "The next one is about fans."),
    ):
        assert old in text
        text = text.replace(old, new)
    return text


@pytest.fixture
def folder(untouched):
    """A lesson that an author has made their own."""
    file = untouched / LESSON_FILE
    file.write_text(made_own(file.read_text(encoding="utf-8")), encoding="utf-8")
    return untouched


@pytest.fixture
def spoilt(folder):
    """Changes the lesson's text; gives the folder and the line, from 1, on which the change begins."""

    def change(old, new):
        file = folder / LESSON_FILE
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1), encoding="utf-8")
        return folder, text[: text.index(old)].count("\n") + 1

    return change


@pytest.fixture(autouse=True)
def own_units():
    """No test follows the units that another has chosen."""
    shared_units.forget()
    yield
    shared_units.forget()
