"""Files that a command writes beside what it prints: their places are checked before any work is done."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from airside.compare.explanation import Explanation
from airside.errors import OutputError
from airside.files import check_free, write_whole
from airside.units import UnitSystem
from airside.visit.logs.logged_visit import LoggedVisit

CHART, TABLE, REPORT = (".png", ".svg", ".pdf"), (".csv",), (".html", ".pdf")


def place_of(name: str | None, endings: tuple[str, ...], what: str, *, force: bool) -> Path | None:
    """Where a file may be written; None where no name is given.

    Parameters
    ----------
    name : str or None
    endings : tuple of str
        Of which the name must have one.
    what : str
        What the file holds, for the sentence.
    force : bool
        Whether an existing file may be replaced.

    Raises
    ------
    OutputError
        Another ending, or as `airside.files.check_free`.
    """
    if name is None:
        return None
    if Path(name).suffix.lower() not in endings:
        expected = " or ".join([", ".join(endings[:-1]), endings[-1]]) if len(endings) > 1 else endings[0]
        raise OutputError(f"{name}: the {what}'s name ends in {Path(name).suffix or 'nothing'}; expected {expected}.")
    return check_free(name, force=force)


def write_csv(target: Path, result: Any, explanation: Explanation | None, units: UnitSystem, *, force: bool) -> None:
    """Write every figure of a visit or a change as CSV."""
    from airside.show.report import csv_text

    write_whole(target, csv_text(result, explanation, units=units), force=force)


def write_log_chart(target: Path, logged: LoggedVisit, units: UnitSystem, *, force: bool) -> None:
    """Draw a logged visit over time, with its runs and steady stretches.

    Raises
    ------
    OutputError
        Nothing that is logged can be drawn, or the place cannot be written to.
    """
    from airside.show.psychrometric import figure_bytes
    from airside.show.time_series import panels_of, time_series_chart

    if not panels_of(logged):
        raise OutputError(f"{target}: no channel of air, power or airflow is logged, so there is nothing to draw.")
    figure = time_series_chart(logged, units=units)
    write_whole(target, figure_bytes(figure, target.suffix.lower()[1:]), force=force)  # type: ignore[arg-type]


def say_written(console: Any, chart: Path | None, table: Path | None, over_time: Path | None = None) -> None:
    """Name the files under what was printed."""
    for what, file in (("Chart", chart), ("Chart of the log", over_time), ("Table", table)):
        if file is not None:
            console.print(f"{what}: {file}", soft_wrap=True)
