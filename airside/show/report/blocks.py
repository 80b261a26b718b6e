"""What a section of the report is made of: facts, tables, sentences, pictures, plain text. Words only; no HTML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from airside.results import Row
from airside.show.report.wording import in_words, merged
from airside.units import UnitSystem, show_difference


@dataclass(frozen=True)
class Facts:
    """Names and what stands beside them, a column for each visit; None is a line to fill in by hand.

    A tuple of one is true of all visits.
    """

    rows: tuple[tuple[str, tuple[str | None, ...]], ...]
    heads: tuple[str, ...] = ()
    shape: ClassVar[str] = "facts"


@dataclass(frozen=True)
class Grid:
    """A table with a row of heads; the first column is text, the others numbers unless `text_columns` names them."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    text_columns: tuple[int, ...] = (0,)
    # Columns of file names and hashes, in type of one width.
    file_columns: tuple[int, ...] = ()
    # Of the columns [percent]; a table that holds text from files needs them, so that no text runs out of the page.
    widths: tuple[int, ...] = ()
    shape: ClassVar[str] = "grid"


@dataclass(frozen=True)
class Sentences:
    """A list of sentences under a heading."""

    heading: str
    items: tuple[str, ...]
    shape: ClassVar[str] = "sentences"


@dataclass(frozen=True)
class Paragraph:
    """One paragraph; `is_strong` for the verdict."""

    text: str
    is_strong: bool = False
    shape: ClassVar[str] = "paragraph"


@dataclass(frozen=True)
class Picture:
    """An inlined SVG, safe to stand in HTML, and its caption."""

    svg: str
    caption: str
    shape: ClassVar[str] = "picture"


@dataclass(frozen=True)
class Verbatim:
    """Text to be copied as it stands, such as a command line or a file."""

    caption: str
    text: str
    shape: ClassVar[str] = "verbatim"


Block = Facts | Grid | Sentences | Paragraph | Picture | Verbatim


@dataclass(frozen=True)
class Section:
    """A numbered section of the engineer's pages."""

    title: str
    blocks: tuple[Block, ...]
    starts_page: bool = False
    # Kept on one page in print.
    is_whole: bool = False


def section(
    title: str, blocks: Sequence[Block | None], *, starts_page: bool = False, is_whole: bool = False
) -> Section:
    """A section of the blocks that are there."""
    return Section(title, tuple(b for b in blocks if b is not None), starts_page, is_whole)


def sentences(heading: str, items: Sequence[str]) -> Sentences | None:
    """A list; None where there is nothing to list."""
    return Sentences(heading, tuple(items)) if items else None


def told(heading: str, each: Sequence[Sequence[str]]) -> Sentences | None:
    """Sentences of one visit or two: what both say stands once, what one says names its visit."""
    if len(each) == 1:
        return sentences(heading, [in_words(s) for s in each[0]])
    first, second = each
    found = [s if s in second else f"Before: {s}" for s in first]
    found += [f"After: {s}" for s in second if s not in first]
    return sentences(heading, [in_words(s) for s in merged(found)])


def figures_table(caption: str, each: Sequence[Sequence[Row]], units: UnitSystem) -> Grid | None:
    """Figures with their 95 % intervals, of one visit or of two beside each other.

    Parameters
    ----------
    caption : str
    each : sequence of sequence of Row
        The rows of each visit; two visits may have different ones.
    units : "IP" or "SI"
    """
    if not any(each):
        return None
    if len(each) == 1:
        rows = tuple((r.title, r.text(units), r.interval_text(units), _uncertainty_text(r, units)) for r in each[0])
        return Grid(caption, ("", "value", "95 % interval", "standard uncertainty"), rows)
    named: list[dict[str, Row]] = [{r.name: r for r in rows} for rows in each]
    titles: dict[str, str] = {}
    for found in named:
        titles |= {name: r.title for name, r in found.items() if name not in titles}
    cells = tuple(
        (title, *(text for found in named for text in _pair_of_texts(found.get(name), units)))
        for name, title in titles.items()
    )
    return Grid(caption, ("", "before", "95 % interval", "after", "95 % interval"), cells)


def _pair_of_texts(row: Row | None, units: UnitSystem) -> tuple[str, str]:
    return ("", "") if row is None else (row.text(units), row.interval_text(units))


def _uncertainty_text(row: Row, units: UnitSystem) -> str:
    known: Any = row.uncertainty
    if known is None or known != known:
        return ""
    # A step of a percentage is one of points; the table's unit is said once, by the value.
    return show_difference(known, row.kind, units)
