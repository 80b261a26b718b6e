"""The author's further commands: `airside author scenario` and `airside author export`. Heavy modules load inside them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from airside.units import UnitSystem

export = typer.Typer(
    name="export",
    help="Hand out a lesson: worksheet, answer key, pictures, question bank, notebooks.",
    no_args_is_help=True,
)
Folder = Annotated[str, typer.Argument(metavar="FOLDER", help="A lesson's folder.")]
Students = Annotated[
    str,
    typer.Option("--students", metavar="NUMBERS", help="Student numbers, such as 1-24: each has numbers of their own."),
]
Units = Annotated[UnitSystem | None, typer.Option("--units", help="Units of the questions; default: the lesson's.")]
Force = Annotated[bool, typer.Option("--force", help="Replace files that exist.")]
HtmlOut = Annotated[
    str | None, typer.Option("--out", metavar="FILE.html", help="Default: beside the lesson's folder, with its name.")
]
FolderOut = Annotated[
    str | None, typer.Option("--out", metavar="FOLDER", help="Where the files go; default: beside the lesson's folder.")
]


def add_commands(author: typer.Typer) -> None:
    """Hang the commands on `airside author`."""
    author.command("find-question")(find_question)
    author.command("find-picture")(find_picture)
    author.command("new-scenario")(begin_scenario)
    author.command()(scenario)
    author.add_typer(export)


def _say(places: Sequence[Path]) -> None:
    for place in places:
        typer.echo(str(place))


def find_question(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="A kind: it is drawn, with its solution.")] = "",
    lesson: Annotated[
        int | None, typer.Option("--lesson", min=1, help="Only the kinds of this lesson of airside's own.")
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, max=2**31, help="The same seed, the same numbers.")] = 1,
    units: Annotated[UnitSystem, typer.Option("--units", help="Units of the question.")] = "IP",
) -> None:
    """List the kinds of question; with KIND, show it drawn, and its mark to copy."""
    from airside.teach.question_list import kinds_listed, question_shown

    typer.echo(question_shown(kind, seed, units) if kind else kinds_listed(lesson))


def find_picture(
    shows: Annotated[str, typer.Argument(metavar="PICTURE", help='A picture, such as "lines": its mark.')] = "",
) -> None:
    """List the pictures and panels; with PICTURE, show its mark to copy, with every key that it takes."""
    from airside.teach.picture_examples import example_mark, pictures_listed

    typer.echo(example_mark(shows) if shows else pictures_listed())


def begin_scenario(folder: Folder) -> None:
    """Begin a scenario: scenario.toml in a folder, with an invented system that is complete."""
    from airside.teach.scenario_first import new_scenario

    typer.echo(f"{new_scenario(folder)}: change it, then: airside author scenario {folder} --seed 7")


def scenario(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A scenario (TOML), or a folder with scenario.toml in it.")
    ],
    seed: Annotated[
        int, typer.Option("--seed", min=0, max=2**31, help="Draws weather and errors of the instruments.")
    ] = 1,
    out: Annotated[
        str | None,
        typer.Option("--out", metavar="FOLDER", help="For the trainee; default: visits, beside the scenario."),
    ] = None,
    truth: Annotated[
        str | None,
        typer.Option("--truth", metavar="FILE.toml", help="For the answer key; default: beside that folder."),
    ] = None,
    force: Force = False,
) -> None:
    """Write visit and logger files of an invented system, and its truth apart."""
    from airside.teach.scenario_files import write_scenario

    *trainee, key = write_scenario(file, seed, out, truth=truth, force=force)
    typer.echo("For the trainee:")
    _say(trainee)
    typer.echo(f"The truth, for the answer key: {key}\nKeep it away from the trainees.")


@export.command()
def worksheet(
    folder: Folder, students: Students = "1", units: Units = None, out: HtmlOut = None, force: Force = False
) -> None:
    """Write worksheets for print, with other numbers for each student."""
    _sheet(folder, students, units, out, key=False, force=force)


@export.command()
def key(
    folder: Folder, students: Students = "1", units: Units = None, out: HtmlOut = None, force: Force = False
) -> None:
    """Write the answer key to the worksheets, with every worked solution."""
    _sheet(folder, students, units, out, key=True, force=force)


def _sheet(folder: str, students: str, units: UnitSystem | None, out: str | None, *, key: bool, force: bool) -> None:
    from airside.teach.exports.asked import student_numbers
    from airside.teach.exports.worksheet import write_worksheet

    _say([write_worksheet(folder, student_numbers(students), out, units=units, key=key, force=force)])


@export.command()
def pictures(
    folder: Folder,
    units: Units = None,
    theme: Annotated[Literal["light", "dark", "print"], typer.Option("--theme", help="Colours.")] = "light",
    out: FolderOut = None,
    force: Force = False,
) -> None:
    """Write the lesson's pictures for slides, as SVG and PNG."""
    from airside.teach.exports.slides import write_pictures

    _say(write_pictures(folder, out, units=units, theme=theme, force=force))


@export.command()
def questions(
    folder: Folder,
    variants: Annotated[int, typer.Option("--variants", min=1, max=100, help="How often each question is drawn.")] = 5,
    units: Units = None,
    out: Annotated[
        str | None,
        typer.Option("--out", metavar="FILE.zip", help="Default: beside the lesson's folder, with its name."),
    ] = None,
    force: Force = False,
) -> None:
    """Write a question bank for a learning platform (1EdTech QTI 2.1)."""
    from airside.teach.exports.question_bank import write_question_bank

    _say([write_question_bank(folder, out, variants=variants, units=units, force=force)])


@export.command()
def notebooks(
    folder: Folder,
    student: Annotated[int, typer.Option("--student", min=1, max=9999, help="The student's number.")] = 1,
    units: Units = None,
    out: FolderOut = None,
    force: Force = False,
) -> None:
    """Write the lesson with its exercises written out, without solutions and with them."""
    from airside.teach.exports.notebooks import write_notebooks

    _say(places := write_notebooks(folder, out, student=student, units=units, force=force))
    say_what_goes_with_it(folder, places[0])


def say_what_goes_with_it(folder: str, notebook: Path) -> None:
    """Say which folder the trainees need beside a notebook, if any."""
    from airside.teach.goes_with import goes_with

    if said := goes_with(folder, notebook):
        typer.echo(said)
