"""The command line of fleets: `airside fleet` and `airside fleet-demo`."""

from __future__ import annotations

from typing import Annotated

import typer

Force = Annotated[bool, typer.Option("--force", help="Replace results that exist.")]


def fleet(
    what: Annotated[
        str,
        typer.Argument(
            metavar="FOLDER|PATTERN|PARQUET",
            help="A folder with a folder for each system, a pattern of visit files in quotes, or with --visit a Parquet file.",
        ),
    ],
    out: Annotated[
        str, typer.Option("--out", metavar="FILE.parquet", help="Rows of all steady stretches.")
    ] = "results.parquet",
    visit: Annotated[
        str | None,
        typer.Option(
            "--visit", metavar="FILE.toml", help="Visit file of all systems, whose columns are the Parquet's."
        ),
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option("--scheduler", metavar="ADDRESS", help="Work on a scheduler of dask.distributed.")
    ] = None,
    workers: Annotated[
        int | None, typer.Option("--workers", min=1, help="Worker processes on this machine; default: one.")
    ] = None,
    force: Force = False,
) -> None:
    """Find the steady stretches of many systems, and sum up each: capacity, expected ratio, change, quality of the data.

    The summary is written beside the rows, as ..._systems.csv. Part files are kept in ..._work: after a stop, or after a file
    was mended, the same command does only what is not done yet.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from airside.fleet.run import run_fleet
    from airside.show.table import new_console, print_list

    error_console = Console(stderr=True)
    # A bar in a log file is of no use.
    with Progress(
        TextColumn("Systems"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), console=error_console,
        disable=not error_console.is_terminal, transient=True,
    ) as bar:  # fmt: skip
        task = bar.add_task("systems", total=None)

        def show(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        try:
            run = run_fleet(
                what, out, template=visit, scheduler=scheduler, workers=workers, force=force, progress=show
            )  # fmt: skip
        except KeyboardInterrupt:
            bar.stop()
            typer.echo("airside: stopped. What is done is kept: the same command goes on from here.", err=True)
            raise typer.Exit(130) from None
    console = new_console()
    console.print(run.sentence, soft_wrap=True)
    if run.problems:
        print_list(console, "Systems with a problem", [f"{name}: {said}" for name, said in run.problems])
    if run.notes:
        print_list(console, "Notes", list(run.notes))
    console.print(f"Rows: {run.out}", soft_wrap=True)
    console.print(f"Systems: {run.summary}", soft_wrap=True)
    console.print(
        f"Part files: {run.work}; a second run does only what has changed. Delete it when done.", soft_wrap=True
    )


def fleet_demo(
    folder: Annotated[str, typer.Argument(metavar="FOLDER", help="A new folder.")],
    systems: Annotated[int, typer.Option("--systems", min=1)] = 20,
    days: Annotated[float, typer.Option("--days", help="Of one-minute readings of each system.")] = 7.0,
    seed: Annotated[int, typer.Option("--seed", help="The same seed, the same fleet.")] = 1,
    folders: Annotated[
        bool, typer.Option("--folders", help="A folder for each system instead of one Parquet file.")
    ] = False,
    mended: Annotated[bool, typer.Option("--mended", help="Two periods each; faults are mended between them.")] = False,
) -> None:
    """Make a fleet of invented systems, to try `airside fleet` on; what is true of them goes into its folder truth."""
    from airside.fleet.make_fleet import make_fleet

    made = make_fleet(folder, systems, days, seed=seed, form="folders" if folders else "parquet", mended=mended)
    visit = f" --visit {made.template}" if made.template is not None else ""
    typer.echo(f"Invented readings: {made.readings}. What is true: {made.truth}.")
    typer.echo(f"Try: airside fleet {made.readings}{visit} --out results.parquet")


def add_fleet(app: typer.Typer) -> None:
    """Add both commands."""
    app.command("fleet")(fleet)
    app.command("fleet-demo")(fleet_demo)
