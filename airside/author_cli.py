"""The command line of the author's workshop: `airside author new`, `build`, `check`; the rest comes from `author_commands`."""

from __future__ import annotations

from typing import Annotated

import typer

from airside.errors import OutputError
from airside.teach.author_commands import add_commands, say_what_goes_with_it

author = typer.Typer(
    name="author",
    help="Make lessons: a folder with lesson.md in it becomes a notebook.",
    no_args_is_help=True,
)
Folders = Annotated[list[str], typer.Argument(metavar="FOLDER...", help="Lessons' folders.")]
OutOption = Annotated[
    str | None, typer.Option("--out", metavar="FILE.ipynb", help="The notebook; default: beside the folder.")
]
Folder = Annotated[str, typer.Argument(metavar="FOLDER", help="A lesson's folder.")]


@author.command()
def new(folder: Folder) -> None:
    """Begin a lesson: a folder with a small lesson that is complete."""
    from airside.teach.first_lesson import new_lesson

    made = new_lesson(folder)
    typer.echo(f"{made}: change it, then: airside author check {folder}")


@author.command()
def build(
    folders: Folders,
    out: OutOption = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a notebook that no lesson was built into.")] = False,
) -> None:
    """Build lessons into their notebooks, and run each once."""
    from airside.teach.build import build as build_lesson

    _one_out(folders, out)
    for folder in folders:
        made = build_lesson(folder, out, force=force)
        typer.echo(f"Notebook: {made}")
        say_what_goes_with_it(folder, made)


@author.command()
def check(folders: Folders, out: OutOption = None) -> None:
    """Say what is wrong with lessons, or could be better; exit status 2 where something must be mended."""
    from airside.teach.check import check_lesson, report

    _one_out(folders, out)
    findings = [f for folder in folders for f in check_lesson(folder, out)]
    typer.echo(report(findings))
    if any(f.weight == "mistake" for f in findings):
        raise typer.Exit(2)


def _one_out(folders: list[str], out: str | None) -> None:
    if out is not None and len(folders) > 1:
        raise OutputError(
            f"--out names one notebook, but {len(folders)} folders are named. Leave --out out, or name one."
        )


add_commands(author)
