"""Results as tables for a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from airside.results import Row
from airside.show.cautions import SHORT
from airside.units import UnitSystem, show
from airside.visit.analysis import VisitResult


def new_console() -> Any:
    """A terminal to print on; plain text where the output is not one."""
    from rich.console import Console

    # Text from files is printed as it is: no markup, no guessed colours.
    return Console(markup=False, highlight=False, emoji=False)


def print_rows(console: Any, heading: str, rows: Iterable[Row], units: UnitSystem) -> None:
    """A heading, and under it a name and a value on each line."""
    from rich.table import Table

    table = Table(box=None, show_header=False, padding=(0, 2, 0, 2))
    table.add_column(min_width=34)
    table.add_column(justify="right", min_width=14)
    for row in rows:
        table.add_row(row.title, row.text(units))
    console.print(heading, style="bold")
    console.print(table)
    console.print()


def print_visit(console: Any, result: VisitResult, units: UnitSystem) -> None:
    """Everything that `airside.analyse` found, as tables."""
    console.print(result.title, style="bold underline")
    console.print()
    for heading, rows in result.parts():
        print_rows(console, heading, rows, units)
    _print_textbook(console, result, units)
    print_list(console, "Warnings", [w.message for w in result.warnings])
    print_list(console, "Assumptions", result.assumptions)
    console.print(SHORT, style="italic")


def _print_textbook(console: Any, result: VisitResult, units: UnitSystem) -> None:
    from rich.table import Table

    table = Table(box=None, padding=(0, 2, 0, 2), header_style="")
    table.add_column("Sea-level factor, not used above")
    for name in ("textbook", "right here", "would give", "error"):
        table.add_column(name, justify="right")
    for t in result.textbook:
        here = f"{t.factor_here:.2f}" if t.factor_here == t.factor_here else "none"
        error = f"{t.error:+.1%}".replace("%", " %") if t.error == t.error else "none"
        table.add_row(
            f"{t.name.capitalize()} capacity", f"{t.factor:g}", here, show(t.textbook, "capacity", units), error
        )
    console.print("Textbook factors beside the exact result (Btu/h per cfm and °F, gr/lb or Btu/lb)", style="bold")
    console.print(table)
    console.print()


def print_list(console: Any, heading: str, sentences: Iterable[str]) -> None:
    """A heading and a list of sentences; nothing where the list is empty."""
    sentences = list(sentences)
    if not sentences:
        return
    from rich.table import Table

    # Two columns, so that a long sentence hangs under its own first word.
    table = Table(box=None, show_header=False, padding=(0, 1, 0, 0), pad_edge=False)
    table.add_column(width=3, justify="right")
    table.add_column()
    for sentence in sentences:
        table.add_row("-", sentence)
    console.print(heading, style="bold")
    console.print(table)
    console.print()
