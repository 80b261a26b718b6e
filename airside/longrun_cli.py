"""The command `airside longrun`: two long periods of logged data against each other."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

Units = Literal["IP", "SI"]
PERIOD = "a visit file that names logger files, or a folder of such files"


def longrun(
    before: Annotated[str, typer.Argument(metavar="BEFORE", help=f"Before the work: {PERIOD}.")],
    after: Annotated[str, typer.Argument(metavar="AFTER", help=f"After the work: {PERIOD}.")],
    without: Annotated[
        list[str] | None,
        typer.Option(
            "--without", metavar="CONDITION",
            help="Leave a condition out of the baseline: volume_flow where the work changed the airflow. May be repeated.",
        ),
    ] = None,
    bins: Annotated[
        str | None,
        typer.Option("--bins", metavar="FILE.csv|toml", help="A season: hours of running at outdoor dry bulbs."),
    ] = None,
    price: Annotated[
        str | None, typer.Option("--price", metavar="PRICE", help='Of a kWh, such as "0.18 EUR"; with --bins.')
    ] = None,
    units: Annotated[Units | None, typer.Option("--units", help="Units to show; default: those of BEFORE.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print JSON in SI instead of tables.")] = False,
    chart: Annotated[
        str | None, typer.Option("--chart", metavar="FILE.png|svg|pdf", help="Draw the result on a chart.")
    ] = None,
    csv: Annotated[
        str | None, typer.Option("--csv", metavar="FILE.csv", help="Write every steady stretch as CSV, SI.")
    ] = None,
    report: Annotated[
        str | None, typer.Option("--report", metavar="FILE.html|pdf", help="Write a report in one file.")
    ] = None,
    time_stamp: Annotated[
        str, typer.Option("--time-stamp", help='Time on the report, such as "2026-11-24 10:00"; or now, or none.')
    ] = "now",
    force: Annotated[bool, typer.Option("--force", help="Replace a file that exists.")] = False,
) -> None:  # fmt: skip
    """Compare two long periods of logged data: the after period against a baseline model of the before period."""
    from airside.compare.long_run import long_run
    from airside.files import write_whole
    from airside.show.outputs import CHART, REPORT, TABLE, place_of, say_written
    from airside.show.report.pdf import check_pdf

    picture = place_of(chart, CHART, "chart", force=force)
    table = place_of(csv, TABLE, "table", force=force)
    page = place_of(report, REPORT, "report", force=force)
    form = "" if page is None else page.suffix.lower()[1:]
    if form == "pdf":
        check_pdf()
    # JSON is SI whatever the units; its sentences are in those of the files.
    found = long_run(before, after, without=without or (), bins=bins, price=price, units=None if json else units)
    shown = units or found.before.units
    if picture is not None:
        from airside.show.figure_files import figure_bytes
        from airside.show.long_run import long_run_chart

        ending = picture.suffix.lower()[1:]
        write_whole(picture, figure_bytes(long_run_chart(found, units=shown), ending), force=force)  # type: ignore[arg-type]
    if table is not None:
        write_whole(table, found.to_frame().to_csv(index=False), force=force)
    if page is not None:
        from airside.show.report.long_run_page import long_run_report

        write_whole(page, long_run_report(found, form=form, units=shown, time_stamp=time_stamp), force=force)
    if json:
        import json as writer

        typer.echo(writer.dumps(found.to_dict(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    from airside.show.long_run_table import print_long_run
    from airside.show.table import new_console

    console = new_console()
    print_long_run(console, found, shown)
    say_written(console, picture, table)
    if page is not None:
        console.print(f"Report: {page}", soft_wrap=True)


def add_longrun(app: typer.Typer) -> None:
    """Put the command into the command line."""
    app.command()(longrun)
