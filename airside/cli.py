"""The command line: `airside capacity`, `check`, `template`, `lab`.

Exit status: 0, 2 for bad input, 1 for a fault of the program. Heavy modules load inside commands.
"""

from __future__ import annotations

import sys
from io import TextIOWrapper
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn

import typer

from airside import __version__
from airside.errors import AirsideError, OutputError

app = typer.Typer(
    name="airside",
    help="Delivered capacity of an air-conditioning system from duct readings, with what each figure assumes.",
    epilog="Safety: local codes, the manufacturer's instructions and licensed practice come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
Units = Literal["IP", "SI"]
VisitFile = Annotated[str, typer.Argument(metavar="FILE", help="A visit file (TOML). See: airside template")]
UnitsOption = Annotated[Units | None, typer.Option("--units", help="Units to show; default: those of the file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON in SI instead of tables.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Replace a file that exists.")]


def _version(show: bool) -> None:
    if show:
        typer.echo(f"airside {__version__}")
        raise typer.Exit()


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


@app.command()
def capacity(
    file: VisitFile,
    units: UnitsOption = None,
    json: JsonOption = False,
    chart: Annotated[
        str | None,
        typer.Option("--chart", metavar="FILE.png|svg|pdf", help="Draw the process on a psychrometric chart."),
    ] = None,
    force: ForceOption = False,
) -> None:
    """Print the delivered capacity of one visit."""
    from airside.visit.analysis import analyse
    from airside.visit.load import load_visit

    target = _chart_target(chart, force)
    result = analyse(load_visit(file))
    if target is not None:
        _write_chart(result, target, units or result.visit.units, force)
    if json:
        print_json(result.to_dict())
        return
    from airside.show.table import new_console, print_visit

    console = new_console()
    print_visit(console, result, units or result.visit.units)
    if target is not None:
        console.print(f"Chart: {target}", soft_wrap=True)


def _chart_target(chart: str | None, force: bool) -> Path | None:
    """Check the place before any work is done."""
    from airside.files import check_free

    if chart is None:
        return None
    if Path(chart).suffix.lower() not in (".png", ".svg", ".pdf"):
        raise OutputError(
            f"{chart}: the chart's name ends in {Path(chart).suffix or 'nothing'}; expected .png, .svg or .pdf."
        )
    return check_free(chart, force=force)


def _write_chart(result: Any, target: Path, units: Units, force: bool) -> None:
    import warnings

    from airside.files import write_whole
    from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart

    process = Process(result.return_air, result.supply_air)
    # A name may hold dollar signs, which matplotlib would take for mathematics.
    axes = psychrometric_chart([process], units=units, title=result.title.replace("$", r"\$"))
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        drawn = figure_bytes(axes.figure, target.suffix.lower()[1:])  # type: ignore[arg-type]
    if any("Glyph" in str(w.message) for w in said):
        typer.echo("airside: the chart's font lacks some letters of the visit's name.", err=True)
    write_whole(target, drawn, force=force)


def print_json(content: dict[str, Any]) -> None:
    """Print JSON to standard output; not-a-number never goes out."""
    import json

    typer.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))


@app.command()
def check(file: VisitFile) -> None:
    """Check a visit file: name every problem and every warning."""
    from airside.show.table import new_console, print_list
    from airside.visit.analysis import analyse
    from airside.visit.load import load_visit

    result = analyse(load_visit(file))
    readings = result.visit.readings
    counts = [f"{len(readings.return_air.dry_bulb)} at return", f"{len(readings.supply.dry_bulb)} at supply"]
    if readings.outdoor is not None:
        counts.append(f"{len(readings.outdoor.dry_bulb)} outdoors")
    console = new_console()
    console.print(f"{file}: a valid visit file ({result.visit.name})", soft_wrap=True)
    console.print(f"  Readings: {', '.join(counts)}. Airflow: {result.airflow.method}.")
    print_list(console, "Warnings", [w.message for w in result.warnings])
    if not result.warnings:
        console.print("  No warnings.")


@app.command()
def template(
    units: Annotated[Units, typer.Option("--units", help="Units of the bare numbers.")] = "IP",
    out: Annotated[
        str | None, typer.Option("--out", metavar="FILE", help="Write to a file instead of the screen.")
    ] = None,
    force: ForceOption = False,
) -> None:
    """Print a commented visit file to fill in."""
    from airside.visit.template import visit_template

    text = visit_template(units)
    if out is None:
        typer.echo(text, nl=False)
        return
    from airside.files import write_whole

    written = write_whole(out, text, force=force)
    typer.echo(f"{written}: fill it in, then: airside check {written}")


@app.command()
def lab(
    folder: Annotated[
        str | None,
        typer.Option(
            "--folder", metavar="FOLDER", help="Copy notebooks and demo data here first; files there are kept."
        ),
    ] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser.")] = True,
    port: Annotated[int, typer.Option("--port", help="Port on this machine; another is taken if it is in use.")] = 8888,
) -> None:
    """Open the notebooks in JupyterLab."""
    from airside.lab import open_lab

    sys.exit(open_lab(folder, browser=browser, port=port))


def _end_quietly() -> NoReturn:
    """The reader of the output, such as `head`, has gone: that is no fault."""
    import os

    # What is still in the buffer goes nowhere, so that Python does not complain at its end.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(0)


def main() -> None:
    """Entry point: errors that the user can mend are sentences, with exit status 2."""
    for stream in (sys.stdout, sys.stderr):
        # A degree sign, or a file name that is not text, must not stop the program.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except AirsideError as error:
        typer.echo(f"airside: {error}", err=True)
        sys.exit(2)
    except BrokenPipeError:
        _end_quietly()
    except SystemExit as end:
        # typer and rich turn a closed pipe into status 1, which is that of a fault.
        if isinstance(end.__context__, BrokenPipeError):
            _end_quietly()
        raise
    except Exception as error:
        import os

        if os.environ.get("AIRSIDE_TRACEBACK"):
            raise
        typer.echo(
            f"airside: a fault of the program, not of your input: {type(error).__name__}: {error}\n"
            "Run again with the environment variable AIRSIDE_TRACEBACK=1 and report what it prints.",
            err=True,
        )
        sys.exit(1)


if __name__ == "__main__":
    main()
