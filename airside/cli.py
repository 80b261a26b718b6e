"""The command line: `airside capacity`, `compare`, `report`, `plan`, `check`, `template`, `lab`.

Exit status: 0, 2 for bad input, 1 for a fault of the program. Heavy modules load inside commands.
"""

from __future__ import annotations

import sys
from io import TextIOWrapper
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn

import typer

from airside import __version__
from airside.author_cli import author
from airside.errors import AirsideError, VisitError
from airside.fleet_cli import add_fleet
from airside.longrun_cli import add_longrun
from airside.reference_options import (
    DryBulbOption,
    OutdoorOption,
    ReferenceOption,
    SameFlowOption,
    WetBulbOption,
    stated_reference,
)

app = typer.Typer(
    name="airside",
    help="Delivered capacity of an air-conditioning system from duct readings, with what each figure assumes.",
    epilog="Safety: local codes, the manufacturer's instructions and licensed practice come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.add_typer(author)
Units = Literal["IP", "SI"]
VisitFile = Annotated[str, typer.Argument(metavar="FILE", help="A visit file (TOML). See: airside template")]
UnitsOption = Annotated[Units | None, typer.Option("--units", help="Units to show; default: those of the file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON in SI instead of tables.")]
ChartOption = Annotated[
    str | None, typer.Option("--chart", metavar="FILE.png|svg|pdf", help="Draw the result on a chart.")
]
DrawsOption = Annotated[int, typer.Option("--draws", min=1000, max=2_000_000, help="Monte Carlo draws.")]
SeedOption = Annotated[int | None, typer.Option("--seed", help="Seed of the draws; the same seed, the same figures.")]
CsvOption = Annotated[str | None, typer.Option("--csv", metavar="FILE.csv", help="Write every figure as CSV too.")]
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
    chart: ChartOption = None,
    csv: CsvOption = None,
    draws: DrawsOption = 100_000,
    seed: SeedOption = None,
    stretches: Annotated[
        bool, typer.Option("--stretches", help="List every steady stretch of a logged visit, not only some of them.")
    ] = False,
    log_chart: Annotated[
        str | None, typer.Option("--log-chart", metavar="FILE.png|svg|pdf", help="Draw a logged visit over time.")
    ] = None,
    force: ForceOption = False,
) -> None:
    """Print the delivered capacity of one visit; of a logged one, a table of its steady stretches first."""
    from airside.instruments.named_error import DEFAULT_SEED
    from airside.show.outputs import CHART, place_of, say_written, write_csv, write_log_chart
    from airside.visit.analysis import analyse
    from airside.visit.logs.logged_visit import load_either

    target, rows = _places(chart, csv, force)
    over_time = place_of(log_chart, CHART, "chart", force=force)
    visit, logged = load_either(file, None if json else units)
    if logged is None and (stretches or over_time is not None):
        option = "--stretches" if stretches else "--log-chart"
        raise VisitError(file, f"names no logger file, so it has no stretches. Leave out {option}.")
    result = analyse(
        visit.shown_in(units) if units and not json else visit, count=draws, seed=DEFAULT_SEED if seed is None else seed
    )
    if target is not None:
        _write_chart(result, target, units or result.visit.units, force)
    if over_time is not None and logged is not None:
        write_log_chart(over_time, logged, units or result.visit.units, force=force)
    from airside.compare.explanation import explain

    explanation = explain(result.doubt or result.visit)
    if rows is not None:
        write_csv(rows, result, explanation, units or result.visit.units, force=force)
    if json:
        content = result.to_dict() | explanation.to_dict()
        content["warnings"] += [{"code": w.code, "message": w.message} for w in explanation.warnings()]
        if logged is not None:
            content["stretches"] = logged.to_dict()
        print_json(content)
        return
    from airside.show.table import new_console, print_visit

    console = new_console()
    if logged is not None:
        from airside.show.stretch_table import print_stretches

        print_stretches(console, logged, units or result.visit.units, all_of_them=stretches)
    print_visit(console, result, units or result.visit.units, explanation)
    say_written(console, target, rows, over_time)


def _places(chart: str | None, csv: str | None, force: bool) -> tuple[Path | None, Path | None]:
    from airside.show.outputs import CHART, TABLE, place_of

    return place_of(chart, CHART, "chart", force=force), place_of(csv, TABLE, "table", force=force)


def _write_chart(result: Any, target: Path, units: Units, force: bool) -> None:
    import warnings

    from airside.files import write_whole
    from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart

    process = Process(result.return_air, result.supply_air)
    axes = psychrometric_chart([process], units=units, title=result.title)
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
def compare(
    before: Annotated[str, typer.Argument(metavar="BEFORE", help="Visit file from before the work.")],
    after: Annotated[str, typer.Argument(metavar="AFTER", help="Visit file from after the work.")],
    reference: ReferenceOption = "before",
    return_wet_bulb: WetBulbOption = None,
    return_dry_bulb: DryBulbOption = None,
    outdoor_dry_bulb: OutdoorOption = None,
    same_flow: SameFlowOption = False,
    at_least: Annotated[
        float | None,
        typer.Option(
            "--at-least", metavar="SHARE", help="Probability that the after visit delivers this share of nominal."
        ),
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    chart: ChartOption = None,
    csv: CsvOption = None,
    draws: DrawsOption = 100_000,
    seed: SeedOption = None,
    force: ForceOption = False,
) -> None:
    """Compare two visits: is the change real?"""
    from airside.compare.acceptance import acceptance
    from airside.compare.change import compare as compare_visits
    from airside.instruments.named_error import DEFAULT_SEED
    from airside.show.outputs import say_written, write_csv
    from airside.visit.load import load_visit

    target, rows = _places(chart, csv, force)
    first, second = load_visit(before), load_visit(after)
    shown = units or first.units
    if not json:
        # JSON is SI whatever the units; its sentences are in those of the files.
        first, second = first.shown_in(shown), second.shown_in(shown)
    stated = stated_reference(reference, first.mode, return_wet_bulb, return_dry_bulb, outdoor_dry_bulb)
    change = compare_visits(
        first, second, reference=stated, same_flow=same_flow, count=draws, seed=DEFAULT_SEED if seed is None else seed
    )
    accepted = acceptance(change.after, at_least) if at_least is not None else None
    if target is not None:
        from airside.files import write_whole
        from airside.show.change import change_chart
        from airside.show.psychrometric import figure_bytes

        figure = change_chart(change, units=shown)
        write_whole(target, figure_bytes(figure, target.suffix.lower()[1:]), force=force)  # type: ignore[arg-type]
    if rows is not None:
        write_csv(rows, change, None, shown, force=force)
    if json:
        content = change.to_dict()
        if accepted is not None:
            content["acceptance"] = {
                "share": accepted.share, "limit_W": accepted.limit, "ratio": accepted.ratio,
                "probability": accepted.probability,
            }  # fmt: skip
        print_json(content)
        return
    from airside.show.table import new_console, print_change, print_list

    console = new_console()
    print_change(console, change, shown)
    if accepted is not None:
        print_list(console, "Acceptance of the after visit", [accepted.sentence])
    say_written(console, target, rows)


@app.command()
def report(
    before: Annotated[
        str, typer.Argument(metavar="BEFORE", help="Visit file; with AFTER, the one from before the work.")
    ],
    after: Annotated[str | None, typer.Argument(metavar="AFTER", help="Visit file from after the work.")] = None,
    out: Annotated[str, typer.Option("--out", metavar="FILE.html|pdf", help="Where the report goes.")] = "report.html",
    reference: ReferenceOption = "before",
    return_wet_bulb: WetBulbOption = None,
    return_dry_bulb: DryBulbOption = None,
    outdoor_dry_bulb: OutdoorOption = None,
    same_flow: SameFlowOption = False,
    time_stamp: Annotated[
        str, typer.Option("--time-stamp", help='Time on the report, such as "2026-11-24 10:00"; or now, or none.')
    ] = "now",
    units: UnitsOption = None,
    draws: DrawsOption = 100_000,
    seed: SeedOption = None,
    force: ForceOption = False,
) -> None:
    """Write a report to sign: the customer's page, then the engineer's, in one file to print or to send."""
    from airside.errors import ComparisonError
    from airside.files import write_whole
    from airside.instruments.named_error import DEFAULT_SEED
    from airside.show.outputs import REPORT, place_of
    from airside.show.report import check_pdf, refuse_one_file, report_bytes
    from airside.visit.logs.logged_visit import load_either

    target = place_of(out, REPORT, "report", force=force)
    assert target is not None
    form = target.suffix.lower()[1:]
    if form == "pdf":
        check_pdf()
    loaded = [load_either(file, units) for file in (before, after) if file is not None]
    first, second = loaded[0][0], None if after is None else loaded[1][0]
    if after is not None:
        refuse_one_file(before, after)
    stated = stated_reference(reference, first.mode, return_wet_bulb, return_dry_bulb, outdoor_dry_bulb)
    if second is None and (stated != "before" or same_flow):
        raise ComparisonError(
            "--reference and --same-flow are for two visits. Name the after visit too, or leave them out."
        )
    content = report_bytes(
        first, second, form=form, units=units, reference=stated, same_flow=same_flow, time_stamp=time_stamp, count=draws,
        seed=DEFAULT_SEED if seed is None else seed, logs=[log for _, log in loaded],
    )  # fmt: skip
    typer.echo(f"Report: {write_whole(target, content, force=force)}")


@app.command()
def plan(
    file: VisitFile,
    json: JsonOption = False,
) -> None:
    """Say what change could be seen with the instruments of a visit, and what would halve it."""
    from airside.compare.planning import plan as plan_visit
    from airside.visit.load import load_visit

    found = plan_visit(load_visit(file))
    if json:
        print_json(found.to_dict())
        return
    from airside.show.table import new_console, print_plan

    print_plan(new_console(), found)


@app.command()
def check(file: VisitFile) -> None:
    """Check a visit file: name every problem and every warning."""
    from airside.compare.explanation import explain
    from airside.show.log_table import print_logs
    from airside.show.table import new_console, print_list
    from airside.visit.analysis import analyse

    console = new_console()
    result = analyse(print_logs(console, file))
    # The refrigerant side and every table that the visit names are looked at too.
    explanation = explain(result.doubt or result.visit)
    warnings = [*result.warnings, *explanation.warnings()]
    readings = result.visit.readings
    counts = [f"{len(readings.return_air.dry_bulb)} at return", f"{len(readings.supply.dry_bulb)} at supply"]
    if readings.outdoor is not None:
        counts.append(f"{len(readings.outdoor.dry_bulb)} outdoors")
    console.print(f"{file}: a valid visit file ({result.visit.name})", soft_wrap=True)
    console.print(f"  Readings: {', '.join(counts)}. Airflow: {result.airflow.method}.")
    print_list(console, "Warnings", [w.message for w in warnings])
    if not warnings:
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


add_fleet(app)
add_longrun(app)


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
