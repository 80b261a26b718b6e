"""A comparison of two long periods as tables for a terminal."""

from __future__ import annotations

from typing import Any

from airside.cautions import SHORT
from airside.compare.long_run_result import LongRun
from airside.compare.period_guards import WEIGHTY
from airside.show.table import print_list, print_rows
from airside.units import UnitSystem, percent


def print_long_run(console: Any, found: LongRun, units: UnitSystem) -> None:
    """The verdict first, then the figures, where the doubt comes from, what it rests on, warnings, assumptions."""
    console.print(found.before.name)
    console.print(f"→ {found.after.name}")
    console.print()
    console.print(found.verdict, style="bold")
    for sentence in found.further_sentences:
        console.print(sentence)
    if found.is_change_supported:
        seen = percent(found.smallest_detectable_ratio, 1)
        console.print(f"Smallest change in total capacity that could have been seen (5 % level, 80 % power): {seen}")
    # What may undo the verdict stands right under it.
    for message in found.weighty():
        console.print(f"▲ {message}")
    console.print()
    rows = list(found.rows())
    season = [r for r in rows if r.name.startswith(("heat_", "energy_", "hours_"))]
    print_rows(console, "Change, and the figures behind it", [r for r in rows if r not in season], units)
    if season:
        print_rows(console, "The season by temperature bins", season, units)
        print_list(console, "What the season rests on", found.season_sentences())
    _print_budget(console, found)
    if (ends := found.influence) is not None:
        console.print(
            f"With any one day left out the change is {percent(ends[0], 1, sign=True)} to {percent(ends[1], 1, sign=True)}."
        )
        console.print()
    print_list(console, "What the change rests on", found.basis_sentences(units))
    print_list(console, "Warnings", [w.message for w in found.warnings if w.code not in WEIGHTY])
    told = {*found.basis_sentences(units), *found.season_sentences()}
    print_list(console, "Assumptions", [s for s in found.assumptions(units) if s not in told])
    console.print(SHORT, style="italic")


def _print_budget(console: Any, found: LongRun, most: int = 8) -> None:
    from rich.table import Table

    table = Table(box=None, show_header=False, padding=(0, 1, 0, 1))
    table.add_column(min_width=44)
    table.add_column(justify="right")
    table.add_column()
    rows = [r for r in found.budget() if r[1] > 1e-6]
    shown = [r for r in rows[:most] if r[1] >= 0.005]
    if len(rows) > len(shown):
        left = len(rows) - len(shown)
        shown.append((f"{left} other{'s' if left > 1 else ''}", sum(s for _, s in rows) - sum(s for _, s in shown)))
    for name, share in shown:
        table.add_row(name, percent(share, 0), "▪" * round(share * 20))
    console.print("Where the doubt of the change in total capacity comes from (share of the variance)", style="bold")
    console.print(table)
    console.print()
