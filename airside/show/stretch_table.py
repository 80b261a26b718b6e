"""The steady stretches of a logged visit as a table for a terminal."""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.show.table import print_sentences
from airside.units import KINDS, UnitSystem, difference_from_inside, show
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.logs.stretch_capacity import WIDE_95

# Figures of the table and their headings.
COLUMNS = {"total": "total", "split": "split", "volume_flow": "airflow", "coefficient_of_performance": "efficiency"}

# Stretches that a short table shows: the first ones, those about the standing one, the last ones.
FIRST, AROUND, LAST = 3, 1, 2


def print_stretches(console: Any, logged: LoggedVisit, units: UnitSystem, *, all_of_them: bool = False) -> None:
    """A table of the steady stretches, the standing one marked; a short one unless all are asked for."""
    from rich.table import Table

    standing, count = logged.standing_number, len(logged)
    table = Table(box=None, header_style="", padding=(0, 1, 0, 1))
    for head in stretch_heads(logged, units):
        table.add_column("\n".join(head), justify="right", no_wrap=True)
    before, listed = -1, _shown(count, standing - 1, all_of_them)
    for i in listed:
        if i > before + 1:
            table.add_row("…")
        table.add_row(*stretch_cells(logged, i, units), style="bold" if i + 1 == standing else "")
        before = i
    runs = len(np.unique(logged.stretches.run))
    window = f"{logged.stretches.window / 60:g} min"
    many = f"{count:,} steady stretches of {window}" if count > 1 else f"One steady stretch of {window}"
    console.print(f"{many}, in {runs:,} of {len(logged.runs):,} run{'s' if len(logged.runs) > 1 else ''}", style="bold")
    console.print(table)
    said = [f"Stretch {standing} (→) stands for the visit; its results follow."]
    if len(listed) < count:
        said.append("All stretches: --stretches.")
    if count > 1 and logged.counting.stretch is None:
        said.append("Another one: stretch = NUMBER in [log.counting].")
    print_sentences(console, [" ".join(said), rows_sentence(logged)])


def rows_sentence(logged: LoggedVisit) -> str:
    """How many rows of the log are in stretches, and what became of the others."""
    s = logged.stretches
    unit = "minutes" if s.step == 60 else f"rows of {s.step:g} s"
    aside = ", ".join(f"{count:,} {name}" for name, count in s.set_aside.items())
    return f"Of {s.minutes:,} {unit}, {len(s) * s.rows:,} are in steady stretches{f'; {aside}' if aside else ''}."


def _shown(count: int, standing: int, all_of_them: bool) -> list[int]:
    if all_of_them or count <= FIRST + LAST + 2 * AROUND + 1:
        return list(range(count))
    about = range(max(standing - AROUND, 0), min(standing + AROUND + 1, count))
    return sorted({*range(FIRST), *about, *range(count - LAST, count)})


def _figures(logged: LoggedVisit) -> list[str]:
    return [n for n in COLUMNS if n in logged.capacities().figures]


def stretch_heads(logged: LoggedVisit, units: UnitSystem) -> list[tuple[str, ...]]:
    """Heads of the table's columns, and their units."""
    heads: list[tuple[str, ...]] = [("stretch",), ("begin",), ("into", "run")]
    for name in _figures(logged):
        heads.append((COLUMNS[name], KINDS[logged.capacities().figures[name].kind].display(units).label))
        if name == "total":
            heads.append(("± 95 %",))
    return heads


def stretch_cells(logged: LoggedVisit, i: int, units: UnitSystem) -> list[str]:
    """One stretch, counted from 0, as the cells of its row; an arrow marks the one that stands for the visit."""
    found = logged.capacities()
    cells = [
        f"{'→ ' if i + 1 == logged.standing_number else ''}{i + 1}", logged.log.wall_time(found.begin[i])[:16],
        f"{found.age[i] / 60:.0f} min",
    ]  # fmt: skip
    for name in _figures(logged):
        figure = found.figures[name]
        cells.append(show(float(figure.value[i]), figure.kind, units, unit=False))
        if name == "total":
            wide = float(difference_from_inside(WIDE_95 * figure.standard_uncertainty[i], figure.kind, units))
            cells.append(f"{wide:,.{KINDS[figure.kind].display(units).decimals}f}" if np.isfinite(wide) else "none")
    return cells
