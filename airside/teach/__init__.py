"""Lessons: questions with known slips, exercises that check themselves, and the author's workshop.

Public names load on first use, so that a notebook's first cell is quick. No module here has the name of a function below:
importing it would hide the function.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

_HOMES = {
    "draw": "airside.teach.drawing",
    "example": "airside.teach.example_panel",
    "exercise": "airside.teach.exercise_panel",
    "find_pictures": "airside.teach.picture_finder",
    "find_questions": "airside.teach.question_finder",
    "judge": "airside.teach.judging",
    "my_progress": "airside.teach.progress_panel",
    "panel": "airside.teach.lesson_panels",
    "picture": "airside.teach.picture_panel",
    "progress_table": "airside.teach.progress",
    "workshop": "airside.teach.author_panel",
}

if TYPE_CHECKING:
    from airside.teach.author_panel import workshop
    from airside.teach.drawing import draw
    from airside.teach.example_panel import example
    from airside.teach.exercise_panel import exercise
    from airside.teach.judging import judge
    from airside.teach.lesson_panels import panel
    from airside.teach.picture_finder import find_pictures
    from airside.teach.picture_panel import picture
    from airside.teach.progress import progress_table
    from airside.teach.progress_panel import my_progress
    from airside.teach.question_finder import find_questions

__all__ = [
    "draw", "example", "exercise", "find_pictures", "find_questions", "judge", "my_progress", "panel", "picture", "progress_table", "workshop",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'airside.teach' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
