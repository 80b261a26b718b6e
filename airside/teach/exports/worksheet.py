"""Worksheets with other numbers for each student, and the answer key with every worked solution: HTML for print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from airside import __version__
from airside.errors import OutputError
from airside.files import check_free, write_whole
from airside.teach.exports.asked import Asked, asked_of, beside, numbers_said, usable_lesson
from airside.teach.exports.sheet_tables import CHART, tables_for
from airside.teach.exports.sheet_text import sheets
from airside.teach.lesson import Lesson
from airside.units import UnitSystem

# Columns of the key's table that fit on a page; a lesson with more questions gets a second table.
COLUMNS = 6


def worksheet_html(lesson: Lesson, students: Sequence[int], units: UnitSystem | None = None) -> str:
    """Worksheets of a lesson, a new page for each student.

    Parameters
    ----------
    lesson : Lesson
    students : sequence of int
        Numbers; each student has other numbers in the questions.
    units : "IP" or "SI", optional
        Default: the lesson's.

    Raises
    ------
    LessonError
        The lesson asks nothing, or a question cannot be drawn.
    """
    asked = {student: asked_of(lesson, student, units) for student in students}
    # One is as good as another: all students are asked the same kinds.
    first = next(iter(asked.values()))
    page: str = sheets().get_template("worksheet.html.jinja").render(
        head=lesson.head, asked=asked, said=numbers_said(students), version=__version__,
        tables=tables_for(one.question for one in first), chart=", ".join(_with_chart(first)),
    )  # fmt: skip
    return page


def _with_chart(asked: Sequence[Asked]) -> list[str]:
    """Numbers of the questions that are answered on a psychrometric chart."""
    return [str(one.number) for one in asked if CHART in one.question.kind.needs]


def answer_key_html(lesson: Lesson, students: Sequence[int], units: UnitSystem | None = None) -> str:
    """The answer key to `worksheet_html`: a table of answers, then the worked solutions of each student.

    Parameters, raises: as `worksheet_html`.
    """
    asked = {student: asked_of(lesson, student, units) for student in students}
    first = next(iter(asked.values()))
    page: str = sheets().get_template("answer_key.html.jinja").render(
        head=lesson.head, asked=asked, said=numbers_said(students), version=__version__, tables=_tables(first)
    )  # fmt: skip
    return page


def _tables(asked: Sequence[Asked]) -> list[tuple[int, int]]:
    """First and last question, counted from 0, of each table of answers: about as many in each."""
    count = len(asked)
    parts = -(-count // COLUMNS)
    size = -(-count // parts)
    return [(start, min(start + size, count)) for start in range(0, count, size)]


def write_worksheet(
    folder: str | Path,
    students: Sequence[int],
    out: str | Path | None = None,
    *,
    units: UnitSystem | None = None,
    key: bool = False,
    force: bool = False,
) -> Path:
    """Write worksheets, or their answer key.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    students : sequence of int
    out : str or Path, optional
        An ``.html`` file; default: beside the lesson's folder.
    units : "IP" or "SI", optional
    key : bool
        The answer key instead.
    force : bool
        Replace a file that exists.

    Raises
    ------
    LessonError
        The lesson cannot be used.
    OutputError
        The file exists already, has another ending, or cannot be written.
    """
    lesson = usable_lesson(folder)
    target = beside(lesson, out, "_answer_key.html" if key else "_worksheet.html")
    if target.suffix.lower() not in (".html", ".htm"):
        raise OutputError(f"{target}: the name ends in {target.suffix or 'nothing'}; expected .html.")
    check_free(target, force=force)
    make = answer_key_html if key else worksheet_html
    return write_whole(target, make(lesson, students, units), force=force)
