"""Build a lesson's folder into a notebook: the same folder gives the same bytes.

Code cells hold one public call each, with the mark's data as plain literals; their source is folded away. They are run once,
so that the outputs that the notebook stores can be compared later.

Sources
-------
Jupyter notebook format 4.5 (nbformat): cell ids, `jupyter.source_hidden`.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from airside.errors import OutputError
from airside.files import check_free, write_whole
from airside.teach.finding import Finding, LessonError
from airside.teach.lesson import DEMO, Lesson, Text, read_lesson
from airside.teach.marks import AsideMark, ExampleMark, LessonMark, Mark, PanelMark, PictureMark, QuestionMark
from airside.teach.references import unusable

METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
# What a cell shows would go with it where a key of JupyterLab deletes it.
CODE_METADATA = {"deletable": False, "jupyter": {"source_hidden": True}}
FIRST_CELL = "cell-001"
# A cell that takes longer has gone wrong [s].
LONGEST_CELL = 120
# Numbered anew in every run, so nothing to be kept.
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
ASIDES = {"field": "Why it matters in the field.", "caution": "Caution."}


@dataclass(frozen=True)
class Cell:
    """A cell to be: its source, whether it is code, and the line of the lesson that it comes from."""

    source: str
    is_code: bool
    line: int


def build(folder: str | Path, out: str | Path | None = None, *, force: bool = False) -> Path:
    """Build a lesson and write its notebook.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    out : str or Path, optional
        The notebook; by default beside the folder, with its name.
    force : bool
        Replace whatever is there; a notebook that was built from a lesson is replaced anyway.

    Returns
    -------
    Path
        Where the notebook is.

    Raises
    ------
    LessonError
        The lesson cannot be used, or a cell cannot be run; with file and line.
    OutputError
        The notebook cannot be written.
    """
    target = notebook_place(folder, out)
    if not (force or is_built(target)):
        check_free(target)
    return write_whole(target, notebook_text(read_lesson(folder), target), force=True)


def is_built(target: Path) -> bool:
    """Whether a file is a notebook that was built from a lesson."""
    try:
        first = json.loads(target.read_text(encoding="utf-8"))["cells"][0]
        return bool(first["id"] == FIRST_CELL and "".join(first["source"]).startswith("# Lesson "))
    except (OSError, ValueError, KeyError, IndexError, TypeError):
        return False


def notebook_place(folder: str | Path, out: str | Path | None = None) -> Path:
    """Where a lesson's notebook goes.

    Raises
    ------
    OutputError
        The name has another ending, or its folder is missing.
    """
    top = Path(folder)
    target = top.resolve().with_name(f"{top.resolve().name}.ipynb") if out is None else Path(out)
    if out is None and not top.is_absolute():
        # Short in messages: as the folder was named.
        target = Path(os.path.relpath(target))
    if target.suffix != ".ipynb":
        raise OutputError(f"{target}: the name ends in {target.suffix or 'nothing'}; expected .ipynb.")
    if not target.parent.is_dir():
        raise OutputError(f"{target}: the folder {target.parent} does not exist. Make it first, or name another place.")
    return target


def notebook_text(lesson: Lesson, target: Path, *, run: bool = True) -> str:
    """A lesson's notebook as the text of its file.

    Parameters
    ----------
    lesson : Lesson
    target : Path
        Where it will stand: the lesson's files are named from there.
    run : bool
        Run the cells, so that their outputs are stored.

    Raises
    ------
    LessonError
        A mark names what is not there, or a cell cannot be run.
    """
    wrong = [f for f in unusable(lesson) if f.weight == "mistake"]
    if wrong:
        raise LessonError(wrong)
    # nbformat has no types.
    nbformat: Any = import_module("nbformat")
    cells = cells_of(lesson, target)
    notebook: Any = nbformat.v4.new_notebook(metadata=dict(METADATA))
    for number, cell in enumerate(cells, start=1):
        name = FIRST_CELL[:-3] + f"{number:03d}"
        if cell.is_code:
            made = nbformat.v4.new_code_cell(cell.source, id=name, metadata=dict(CODE_METADATA))
        else:
            made = nbformat.v4.new_markdown_cell(cell.source, id=name)
        notebook.cells.append(made)
    if run:
        _run(notebook, cells, lesson, target.parent)
    notebook.metadata = nbformat.from_dict(METADATA)
    nbformat.validate(notebook)
    return str(nbformat.writes(notebook)) + "\n"


def cells_of(lesson: Lesson, target: Path) -> list[Cell]:
    """The notebook's cells in order."""
    head = lesson.head
    way = Path(os.path.relpath(lesson.folder.resolve(), target.resolve().parent)).as_posix()
    able = "\n".join(f"- {line}" for line in head.able)
    cells = [Cell(
        f"# Lesson {head.number}: {head.title}\n\nAbout {head.minutes} minutes. Choose **Run → Run All Cells** in the menu, "
        f"then read on. No code needs to be written.\n\n## What you will be able to do\n\n{able}", False, lesson.head_line,
    )]  # fmt: skip
    for part in lesson.parts:
        if isinstance(part, Text):
            cells.append(Cell(part.markdown, False, part.line))
        elif isinstance(part.mark, AsideMark):
            text = "\n".join(f"> {line}".rstrip() for line in part.mark.text.strip().splitlines())
            cells.append(Cell(f"> **{ASIDES[part.mark.kind]}**\n>\n{text}", False, part.line))
        else:
            cells.append(Cell(_code(part.mark, head, way), True, part.line))
    cells.append(Cell("## What you have tried", False, lesson.head_line))
    cells.append(Cell("from airside.teach import my_progress\n\nmy_progress()", True, lesson.head_line))
    sources = "\n".join(f"- {line}" for line in head.sources)
    cells.append(Cell(f"## Sources\n\n{sources}\n\n## What comes next\n\n{_next(lesson)}", False, lesson.head_line))
    return cells


def _next(lesson: Lesson) -> str:
    head = lesson.head
    says = head.next_says.strip()
    if not head.next:
        return says or "This is the last lesson."
    name = head.next.strip("_").replace("_", " ")
    link = f"[{name}]({head.next}.ipynb)"
    return f"{says}\n\nGo on with {link}." if says else f"Go on with {link}."


def _code(mark: Mark, head: LessonMark, way: str) -> str:
    """The one public call of a mark."""
    given: dict[str, Any]
    if isinstance(mark, QuestionMark):
        name = "example" if isinstance(mark, ExampleMark) else "exercise"
        first, given = mark.kind, {"seed": mark.seed}
        if name == "exercise":
            given["lesson"] = head.number
    elif isinstance(mark, PictureMark):
        name, first = "picture", mark.shows
        given = {"describes": mark.describes, **mark.parameters}
        if "file" in given:
            given["file"] = _seen(str(given["file"]), way)
        for key in ("visit", "before", "after"):
            if key in given:
                given[key] = _seen(str(given[key]), way)
    elif isinstance(mark, PanelMark):
        name, first = "panel", mark.shows
        given = {k: _seen(v, way) for k in ("visit", "before", "after") if (v := getattr(mark, k))}
    else:
        raise TypeError(f"{type(mark).__name__} has no code")
    if head.units != "IP" and name != "panel":
        given["units"] = head.units
    values = "".join(f",\n    {key}={_literal(value)}" for key, value in given.items())
    call = f"{name}(\n    {_literal(first)}{values},\n)" if len(values) > 90 else None
    short = f"{name}({_literal(first)}{values.replace(chr(10) + '    ', ' ')})"
    return f"from airside.teach import {name}\n\n{call or short}"


def _seen(name: str, way: str) -> str:
    """A file of the lesson, seen from the notebook."""
    return name if name.startswith(DEMO) or not name else f"{way}/{name}"


def _literal(value: Any) -> str:
    """Plain data as Python writes it: whatever a text says, it stays a text."""
    if isinstance(value, str):
        # A form that both read alike, with double quotes.
        return json.dumps(value, ensure_ascii=False) if value.isprintable() else repr(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_literal(k)}: {_literal(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_literal, value)) + "]"
    if isinstance(value, (bool, int, float)):
        return repr(value)
    raise TypeError(f"{type(value).__name__} is no plain data")


def _run(notebook: Any, cells: list[Cell], lesson: Lesson, place: Path) -> None:
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    client = NotebookClient(
        notebook, timeout=LONGEST_CELL, kernel_name="python3", store_widget_state=False, record_timing=False,
        allow_errors=True, extra_arguments=["--log-level=ERROR"],
        resources={"metadata": {"path": str(place.resolve())}},
    )  # fmt: skip
    try:
        client.execute()
    except CellTimeoutError:
        raise LessonError([Finding(lesson.file, 0, f"a cell took longer than {LONGEST_CELL} s to run.")]) from None
    except (CellExecutionError, DeadKernelError) as error:
        raise LessonError([Finding(lesson.file, 0, f"the notebook could not be run ({error}).")]) from None
    wrong = []
    for cell, made in zip(cells, notebook.cells, strict=True):
        for output in made.get("outputs", ()):
            if output.output_type == "error":
                wrong.append(Finding(lesson.file, cell.line, f"cannot be shown: {output.evalue or output.ename}"))
            if output.output_type == "stream" and output.name == "stderr":
                said = str(output.text).strip().splitlines()
                wrong.append(Finding(lesson.file, cell.line, f"gave a warning: {said[-1] if said else ''}"))
            output.get("data", {}).pop(WIDGET_VIEW, None)
    if wrong:
        raise LessonError(wrong)
