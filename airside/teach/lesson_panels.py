"""The panels that a lesson may show, by name."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any

from airside.errors import AirsideError
from airside.teach.marks import nearest
from airside.teach.pictures import DRAWS
from airside.teach.places import visit_place


@dataclass(frozen=True)
class LessonPanel:
    """A panel of the workbench: its class, and the files it begins with."""

    kind: str
    files: tuple[str, ...] = ("visit",)


PANELS = {
    "field sheet": LessonPanel("FieldSheet"),
    "airflow evidence": LessonPanel("AirflowEvidence"),
    "side-by-side check": LessonPanel("SideBySideCheck"),
    "before and after": LessonPanel("BeforeAfter", ("before", "after")),
    "coil performance": LessonPanel("CoilPanel"),
    "refrigerant side": LessonPanel("RefrigerantPanel"),
    "planning a visit": LessonPanel("PlanningPanel"),
    "logged data": LessonPanel("LoggedData"),
}


def panel(shows: str, *, visit: str = "", before: str = "", after: str = "") -> Any:
    """A panel of the workbench inside a lesson.

    Parameters
    ----------
    shows : str
        One of `PANELS`, such as "field sheet".
    visit, before, after : str
        The visit files that it begins with, seen from the notebook's folder, or ``demo:`` and a demo file.

    Raises
    ------
    AirsideError
        There is no such panel, or a file is missing.
    """
    found = PANELS.get(shows)
    if found is None:
        raise AirsideError(f'there is no panel "{shows}". {nearest(shows, PANELS)}')
    given = {"visit": visit, "before": before, "after": after}
    missing = [name for name in found.files if not given[name]]
    if missing:
        raise AirsideError(f'the panel "{shows}" begins with {" and ".join(found.files)}; name the file.')
    kind = getattr(import_module("airside.show.panels"), found.kind)
    if hasattr(kind, "full_draws"):
        # Enough for a verdict in words and a percent to one decimal, in a fifth of the time.
        kind = type(
            kind.__name__, (kind,), {"full_draws": DRAWS, "__doc__": kind.__doc__, "__module__": kind.__module__}
        )
    return kind(*(visit_place(given[name]) for name in found.files))
