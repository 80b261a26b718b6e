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
    "judge": "airside.teach.judging",
    "my_progress": "airside.teach.progress_panel",
    "panel": "airside.teach.lesson_panels",
    "picture": "airside.teach.picture_panel",
    "progress_table": "airside.teach.progress",
}

if TYPE_CHECKING:
    from airside.teach.drawing import draw
    from airside.teach.example_panel import example
    from airside.teach.exercise_panel import exercise
    from airside.teach.judging import judge
    from airside.teach.lesson_panels import panel
    from airside.teach.picture_panel import picture
    from airside.teach.progress import progress_table
    from airside.teach.progress_panel import my_progress

__all__ = ["draw", "example", "exercise", "judge", "my_progress", "panel", "picture", "progress_table"]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'airside.teach' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
