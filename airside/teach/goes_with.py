"""What a trainee needs beside a lesson's notebook: the folder whose visits and pictures it shows."""

from __future__ import annotations

import os
from pathlib import Path

from airside.teach.lesson import DEMO, read_lesson
from airside.teach.marks import PanelMark, PictureMark


def goes_with(folder: str | Path, notebook: Path) -> str:
    """A sentence on the folder that goes with a notebook; empty where the notebook needs none.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    notebook : Path
        Built or exported from it.

    Raises
    ------
    LessonError
        The lesson cannot be read.
    """
    lesson = read_lesson(folder)
    named = [
        v
        for m, _ in lesson.marks(PictureMark)
        for k in ("visit", "before", "after", "file")
        if (v := m.parameters.get(k))
    ]
    named += [v for m, _ in lesson.marks(PanelMark) for v in (m.visit, m.before, m.after) if v]
    if all(str(name).startswith(DEMO) for name in named):
        return ""
    top = lesson.folder.resolve()
    way = os.path.relpath(top, notebook.resolve().parent)
    truths = sorted(p.relative_to(top).as_posix() for p in top.rglob("*_truth.toml"))
    without = f", without {' and '.join(truths)}" if truths else ""
    return f"It shows files of the folder {way}: hand that out with it{without}."
