"""Results as tables for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from airside.cautions import SHORT
from airside.compare.explanation import Explanation
from airside.compare.moved import moved_rows
from airside.compare.planning import Plan
from airside.compare.result import Change, Figure, figure_cells
from airside.instruments.propagation import BudgetRow
from airside.results import Row
from airside.units import UnitSystem, percent, show, show_difference
from airside.visit.analysis import VisitResult

# Columns that the widest table needs.
NARROWEST = 80


def new_console() -> Any:
    """A terminal to print on; plain text where the output is not one."""
    from rich.console import Console

    # Text from files is printed as it is: no markup, no guessed colours.
    console = Console(markup=False, highlight=False, emoji=False)
    # On a narrower terminal the lines wrap, so that no number is cut.
    console.width = max(console.width, NARROWEST)
    return console


def print_rows(console: Any, heading: str, rows: Iterable[Row], units: UnitSystem) -> None:
    """A heading, and under it a name, a value and, once measured, the 95 % interval on each line."""
    from rich.table import Table

    rows = list(rows)
    has_interval = any(r.interval is not None for r in rows)
    table = Table(box=None, show_header=has_interval, header_style="", padding=(0, 1, 0, 1))
    table.add_column("", min_width=28)
    table.add_column("", justify="right", min_width=14, no_wrap=True)
    if has_interval:
        table.add_column("95 % interval", justify="right", min_width=26, no_wrap=True)
    for row in rows:
        table.add_row(row.title, row.text(units), *([row.interval_text(units)] if has_interval else []))
    console.print(heading, style="bold")
    console.print(table)
    console.print()


def print_visit(console: Any, result: VisitResult, units: UnitSystem, explanation: Explanation | None = None) -> None:
    """Everything that `airside.analyse` found, as tables; and what `airside.explain` adds to it."""
    console.print(result.title, style="bold underline")
    console.print()
    for heading, rows in result.parts():
        print_rows(console, heading, rows, units)
    if explanation is not None:
        for heading, rows, sentences in explanation.blocks():
            print_rows(console, heading, rows, units)
            print_sentences(console, sentences)
        print_list(console, "What the readings say together", explanation.finding_sentences(units))
    if result.doubt is not None:
        print_budget(console, "Where the doubt of total capacity comes from", result.budget)
        print_list(console, "Cross-check", result.doubt.sentences())
    _print_textbook(console, result, units)
    warnings = [*result.warnings, *(explanation.warnings() if explanation is not None else ())]
    print_list(console, "Warnings", [w.message for w in warnings])
    print_list(console, "Assumptions", result.assumptions)
    console.print(SHORT, style="italic")


def print_budget(console: Any, heading: str, rows: Sequence[BudgetRow], most: int = 8) -> None:
    """The largest shares of a budget, with a bar of text for each; the rest as one line."""
    from rich.table import Table

    table = Table(box=None, show_header=False, padding=(0, 1, 0, 1))
    table.add_column(min_width=44)
    table.add_column(justify="right")
    table.add_column()
    # Errors without any part in this figure, such as a gauge's, are not counted among the others.
    rows = [r for r in rows if r.share > 1e-6]
    shown = [(r.error.name, r.share) for r in rows[:most] if r.share >= 0.005]
    rest = sum(r.share for r in rows) - sum(share for _, share in shown)
    if len(rows) > len(shown):
        shown.append((f"{len(rows) - len(shown)} others", max(rest, 0.0)))
    for name, share in shown:
        table.add_row(name, f"{percent(share, 0)}", "▪" * round(share * 20))
    console.print(f"{heading} (share of the variance)", style="bold")
    console.print(table)
    console.print()


def print_change(console: Any, change: Change, units: UnitSystem) -> None:
    """A comparison: the verdict first, then the figures, the budget, what cancelled, warnings, assumptions."""
    from rich.table import Table

    console.print(change.before.visit.name)
    console.print(f"→ {change.after.visit.name}")
    console.print()
    console.print(change.verdict, style="bold")
    console.print(f"Probability that total capacity rose: {percent(change.probability_of_increase, 1)}")
    seen = percent(change.smallest_detectable_ratio, 1)
    console.print(f"Smallest change that this pair could have shown (5 % level, 80 % power): {seen}")
    # What may undo the verdict stands right under it.
    for warning in change.all_warnings():
        if warning.code in (
            "different_system",
            "airflow_not_measured",
            "other_stage",
            "side_by_side_in_one",
            "different_accuracy",
        ):
            console.print(f"▲ {warning.message}")
    console.print()
    for heading, figures in change.groups():
        table = Table(box=None, header_style="", padding=(0, 1, 0, 1))
        table.add_column("")
        for name in ("before", "after", "change", "95 % interval"):
            table.add_column(name, justify="right", no_wrap=True)
        for figure in figures:
            table.add_row(*change_cells(figure, units))
        console.print(heading, style="bold")
        console.print(table)
        console.print()
    moved = moved_rows(change)
    if moved:
        table = Table(box=None, header_style="", padding=(0, 1, 0, 1))
        table.add_column("")
        for name in ("before", "after", "change", "95 % interval"):
            table.add_column(name, justify="right", no_wrap=True)
        for row in moved:
            table.add_row(*row.cells(units))
        console.print("How the coil, the refrigerant side and the expectation moved", style="bold")
        console.print(table)
        console.print()
    if change.budgets:
        print_budget(console, "Where the doubt of the change comes from", change.budgets[change.basis])
    print_list(console, "What cancels", [change.cancelled])
    print_list(console, "Warnings", [w.message for w in change.all_warnings()])
    print_list(console, "Assumptions", change.assumptions())
    console.print(SHORT, style="italic")


def _print_textbook(console: Any, result: VisitResult, units: UnitSystem) -> None:
    from rich.table import Table

    table = Table(box=None, padding=(0, 2, 0, 2), header_style="")
    table.add_column("Sea-level factor, not used above")
    for name in ("textbook", "right here", "would give", "error"):
        table.add_column(name, justify="right")
    for t in result.textbook:
        here = f"{t.factor_here:.2f}" if t.factor_here == t.factor_here else "none"
        error = f"{percent(t.error, 1, sign=True)}" if t.error == t.error else "none"
        table.add_row(
            f"{t.name.capitalize()} capacity", f"{t.factor:g}", here, show(t.textbook, "capacity", units), error
        )
    console.print("Textbook factors beside the exact result (Btu/h per cfm and °F, gr/lb or Btu/lb)", style="bold")
    console.print(table)
    console.print()


def print_sentences(console: Any, sentences: Iterable[str]) -> None:
    """Sentences that belong to the table above them, indented; nothing where there are none."""
    from rich.padding import Padding

    sentences = list(sentences)
    for sentence in sentences:
        console.print(Padding(sentence, (0, 0, 0, 1)))
    if sentences:
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


def change_cells(figure: Figure, units: UnitSystem) -> tuple[str, str, str, str, str]:
    """Name, before, after, change and its interval: in percent, or in units where the before may be zero."""
    name, before, after, _, _ = figure_cells(figure, units)
    low, high = figure.before.interval_95
    if low > 0 or high < 0:
        ends = (f"{100 * v:+.1f}" for v in figure.ratio.interval_95)
        return name, before, after, f"{100 * figure.ratio.value:+.1f} %", f"{' to '.join(ends)} %"
    first, last = (show_difference(v, figure.kind, units) for v in figure.change.interval_95)
    change = show_difference(figure.change.value, figure.kind, units)
    return name, before, after, change, f"{first.split(' ')[0]} to {last}"


def print_plan(console: Any, plan: Plan) -> None:
    """What could be seen, and what would help."""
    from rich.table import Table

    console.print(plan.sentence, style="bold")
    console.print()
    table = Table(box=None, header_style="", padding=(0, 1, 0, 1))
    table.add_column("What could be done")
    table.add_column("smallest change seen", justify="right")
    for option in plan.options:
        table.add_row(option.action, f"{option.smallest_detectable_ratio * 100:.1f} %")
    console.print(table)
    console.print()
    print_list(console, "Where the doubt comes from now", plan.largest)
    console.print("Seen means: at the 5 % level with a power of 80 %.")
    console.print()
    console.print(SHORT, style="italic")
