"""Tables of the logged-data panel: the steady stretches, and the channels with what was set aside."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from airside.show.log_table import channel_cells, gap_sentences, set_aside_sentences
from airside.show.stretch_table import rows_sentence, stretch_cells, stretch_heads
from airside.units import UnitSystem
from airside.visit.logs.log import Log
from airside.visit.logs.logged_visit import LoggedVisit

# Rows of the table of stretches at most; of more, those about the standing one.
MOST = 200
CHANNEL_HEADS = ("", "first and last", "every", "values", "gaps", "lowest", "highest")
# As wide as there is room, whatever the table's own width.
WIDE = "width:0;min-width:100%;overflow:auto"
SCROLL = f'<div style="max-height:280px;{WIDE}">'


def stretch_table(logged: LoggedVisit, units: UnitSystem) -> str:
    """The stretches as HTML, the one that stands for the visit in bold."""
    count, standing = len(logged), logged.standing_number - 1
    first = max(0, min(standing - MOST // 2, count - MOST))
    listed = range(first, min(first + MOST, count))
    rows = [_row(stretch_cells(logged, i, units), is_bold=i == standing) for i in listed]
    cut = f"Stretches {listed[0] + 1:,} to {listed[-1] + 1:,} of {count:,}. " if len(listed) < count else ""
    words = f'<div class="airside-small">{escape(cut + rows_sentence(logged))}</div>'
    return f"{words}{SCROLL}{_table(_heads(logged, units), rows)}</div>"


def _heads(logged: LoggedVisit, units: UnitSystem) -> list[str]:
    """Heads in one line, each with its unit after a comma."""
    return [" ".join(h) if h == ("into", "run") else ", ".join(filter(None, h)) for h in stretch_heads(logged, units)]


def channel_table(log: Log, units: UnitSystem) -> str:
    """The channels as HTML, then gaps, what was set aside and why, and how the files were read."""
    rows = []
    for record in log.records:
        name, *cells = channel_cells(record, log, units)
        where = f'<br><span style="opacity:.8">{escape(f"{record.file}: {record.column}")}</span>'
        rows.append(_row([name, *cells], more=where))
    clock = f"{log.zone} time" if log.zone is not None else "the loggers' own clock"
    words = f'<div class="airside-small">{escape(f"{len(log):,} times every {log.step:g} s, {clock}.")}</div>'
    lists = (
        ("Gaps without values", gap_sentences(log)), ("Set aside", set_aside_sentences(log)),
        ("How the logger files were read", log.notes),
    )  # fmt: skip
    return words + f'<div style="{WIDE}">{_table(CHANNEL_HEADS, rows)}</div>' + "".join(_list(*part) for part in lists)


def _table(heads: Sequence[str], rows: Sequence[str]) -> str:
    cells = "".join(
        f'<th style="font-weight:normal;text-align:{_side(i)};padding:0 6px">{escape(h)}</th>'
        for i, h in enumerate(heads)
    )
    return (
        '<table style="border-spacing:0;font-size:12px;line-height:1.35;font-variant-numeric:tabular-nums">'
        f"<tr>{cells}</tr>{''.join(rows)}</table>"
    )


def _side(column: int) -> str:
    return "left" if column == 0 else "right"


def _row(cells: Sequence[str], *, is_bold: bool = False, more: str = "") -> str:
    """A row; `more` is HTML of our own under the first cell."""
    style = ' style="font-weight:600"' if is_bold else ""
    found = "".join(
        f'<td style="text-align:{_side(i)};padding:0 6px;vertical-align:top;white-space:{"normal" if i == 0 and more else "pre"}">'
        f"{escape(cell)}{more if i == 0 else ''}</td>"
        for i, cell in enumerate(cells)
    )
    return f"<tr{style}>{found}</tr>"


def _list(heading: str, items: Sequence[str]) -> str:
    if not items:
        return ""
    listed = "".join(f"<li>{escape(item)}</li>" for item in items)
    return f'<div class="airside-small" style="margin-top:6px"><b>{escape(heading)}</b><ul style="margin:0 0 4px">{listed}</ul></div>'
