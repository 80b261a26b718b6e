"""A lesson as a notebook to hand in: exercises written out with a place for the answer, and the same with solutions.

Unlike the notebook that `airside author build` makes, its exercises have no button that shows the steps. Pictures,
panels and worked examples stay live; nothing is run while it is written.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any

from airside.files import check_free
from airside.teach.build import CODE_METADATA, METADATA, Cell, cells_of
from airside.teach.exports.asked import Asked, asked_of, beside, usable_lesson
from airside.teach.exports.sheet_text import plain_markdown, unbroken
from airside.teach.exports.slides import write_into
from airside.teach.lesson import Lesson
from airside.units import UnitSystem

ENDINGS = {False: "_exercises.ipynb", True: "_solutions.ipynb"}


def exercise_notebook(
    lesson: Lesson, target: Path, student: int = 1, units: UnitSystem | None = None, *, solutions: bool = False
) -> str:
    """A lesson's notebook with its exercises written out, as the text of its file.

    Parameters
    ----------
    lesson : Lesson
    target : Path
        Where it will stand: the lesson's files are named from there.
    student : int
        Its number; other students have other numbers in the exercises.
    units : "IP" or "SI", optional
        Of the exercises; default: the lesson's.
    solutions : bool
        Write the worked solution under each.

    Raises
    ------
    LessonError
        The lesson asks nothing, or a question cannot be drawn.
    """
    # nbformat has no types.
    nbformat: Any = import_module("nbformat")
    asked = {one.line: one for one in asked_of(lesson, student, units)}
    notebook: Any = nbformat.v4.new_notebook(metadata=dict(METADATA))
    for number, cell in enumerate(_cells(lesson, target, asked, solutions=solutions), start=1):
        name = f"cell-{number:03d}"
        if cell.is_code:
            made = nbformat.v4.new_code_cell(cell.source, id=name, metadata=dict(CODE_METADATA))
        else:
            made = nbformat.v4.new_markdown_cell(cell.source, id=name)
        notebook.cells.append(made)
    nbformat.validate(notebook)
    return str(nbformat.writes(notebook)) + "\n"


def _cells(lesson: Lesson, target: Path, asked: dict[int, Asked], *, solutions: bool) -> list[Cell]:
    found = []
    for cell in cells_of(lesson, target):
        one = asked.get(cell.line) if cell.is_code else None
        if one is not None:
            found += [Cell(_question(one), False, cell.line), Cell(_place(one), False, cell.line)]
            if solutions:
                found.append(Cell(_solution(one), False, cell.line))
        elif "my_progress" not in cell.source and cell.source.strip() != "## What you have tried":
            # Progress counts answers to live exercises, of which there are none here.
            found.append(cell)
    return found


def _said(text: str) -> str:
    return plain_markdown(unbroken(text))


def _question(one: Asked) -> str:
    lines = [f"**Exercise {one.number}: {_said(one.question.kind.title)}**", "", _said(one.question.text)]
    if one.options:
        lines += ["", *(f"- **{letter}** {_said(text)}" for letter, text in one.options)]
    return "\n".join(lines)


def _place(one: Asked) -> str:
    if one.options:
        return "*Your answer, a letter, and why (double-click here to write):*"
    unit = f" in {_said(one.question.unit)}" if one.question.unit else ""
    return f"*Your answer{unit}, and how you got there (double-click here to write):*"


def _solution(one: Asked) -> str:
    lines = [f"> **Solution of exercise {one.number}**", ">"]
    lines += [f"> {n}. {_said(step)}" for n, step in enumerate(one.way, start=1)]
    low, high = one.accepted
    right = f"Right: **{_said(one.short_answer)}**" if one.options else (
        f"Answer: **{_said(one.short_answer)}**" + (f", right from {_said(low)} to {_said(high)}" if low else ", no other is right")
    )  # fmt: skip
    lines += [">", f"> {right}"]
    if one.slips:
        lines += [">", "> Likely slips:", ">"]
        lines += [f"> - {_said(value)}: {_said(says)}" for value, says in one.slips]
    if one.question.kind.source:
        lines += [">", f"> Source: {_said(one.question.kind.source)}"]
    return "\n".join(lines)


def write_notebooks(
    folder: str | Path,
    out: str | Path | None = None,
    *,
    student: int = 1,
    units: UnitSystem | None = None,
    force: bool = False,
) -> tuple[Path, ...]:
    """Write the notebook without solutions, and the one with them.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    out : str or Path, optional
        The folder that they go into, made where it is missing; default: that in which the lesson's folder lies.
    student : int
        Its number; other students have other numbers in the exercises.
    units : "IP" or "SI", optional
    force : bool
        Replace files that exist.

    Raises
    ------
    LessonError
        The lesson cannot be used.
    OutputError
        A file exists already, or cannot be written.
    """
    lesson = usable_lesson(folder)
    name = lesson.folder.resolve().name
    place = beside(lesson, None, "").parent if out is None else Path(out)
    content = {}
    for solutions, ending in ENDINGS.items():
        target = place / f"{name}{ending}"
        if place.is_dir():
            check_free(target, force=force)
        content[target.name] = exercise_notebook(lesson, target, student, units, solutions=solutions).encode()
    return write_into(place, content, force=force)
