"""Tables of the long-run panel: the baseline with its ranges, the season, the doubt's parts, the days."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from airside.compare.long_run_result import LongRun
from airside.show.report.blocks import Grid
from airside.show.report.long_run_page import budget_grid, days_grid, figures_grid, fit_grid, is_of_season, slopes_grid
from airside.units import UnitSystem

NO_SEASON = "No season is stated. A file of bins, named on the left, gives heat, energy and, with a price, cost."
# As wide as there is room, whatever the table's own width.
WIDE = "width:0;min-width:100%;overflow:auto"


def baseline_table(found: LongRun, units: UnitSystem) -> str:
    """How well the model fits, its slopes and ranges, and what it rests on, as HTML."""
    rest = [s for s in found.basis_sentences(units) if not s.startswith(("Fit of", "Slope of", "Range of"))]
    return _tables([fit_grid(found), slopes_grid(found, units)]) + _small(rest)


def season_table(found: LongRun, units: UnitSystem) -> str:
    """Heat and energy of the season with intervals, and the cost in words, as HTML."""
    if found.season is None:
        return _small([NO_SEASON])
    rows = [r for r in found.rows() if is_of_season(r)]
    return _tables([figures_grid("", rows, units)]) + _small(found.season_sentences())


def doubt_table(found: LongRun) -> str:
    """The parts of the variance, and the days that move the change most, as HTML."""
    return _tables([budget_grid(found), days_grid(found)])


def _tables(grids: Sequence[Grid | None]) -> str:
    return "".join(_table(grid) for grid in grids if grid is not None)


def _table(grid: Grid) -> str:
    caption = f'<div class="airside-small" style="margin-top:4px"><b>{escape(grid.caption)}</b></div>'
    head = "".join(_cell("th", head, i, grid) for i, head in enumerate(grid.heads))
    rows = "".join(f"<tr>{''.join(_cell('td', text, i, grid) for i, text in enumerate(row))}</tr>" for row in grid.rows)
    return (
        (caption if grid.caption else "")
        + f'<div style="{WIDE}"><table style="border-spacing:0;font-size:12px;line-height:1.35;'
        + f'font-variant-numeric:tabular-nums"><tr>{head}</tr>{rows}</table></div>'
    )


def _cell(tag: str, text: str, column: int, grid: Grid) -> str:
    side = "left" if column in grid.text_columns else "right"
    style = f"font-weight:normal;text-align:{side};padding:0 14px 0 0;vertical-align:top"
    # Words may break, numbers not.
    style += "" if column in grid.text_columns else ";white-space:nowrap"
    return f'<{tag} style="{style}">{escape(text)}</{tag}>'


def _small(sentences: Sequence[str]) -> str:
    return "".join(f'<div class="airside-small" style="margin-top:3px">{escape(s)}</div>' for s in sentences)
