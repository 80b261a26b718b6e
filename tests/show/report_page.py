"""Read a report back: its elements, its tables by caption, its texts."""

from __future__ import annotations

import html.parser
import re
from dataclasses import dataclass, field

VOID = {"meta", "br", "col", "link", "img", "input", "base", "hr"}


def plain(text: str) -> str:
    """One space between words, whatever kind it was."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip()


@dataclass
class Table:
    """A table: its caption, and each row's cells; None for a line to fill in."""

    caption: str = ""
    rows: list[list[str | None]] = field(default_factory=list)

    def row(self, name: str) -> list[str | None]:
        """The cells beside a name."""
        (found,) = [r[1:] for r in self.rows if r and r[0] == name]
        return found


class Page(html.parser.HTMLParser):
    """A parsed report."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.tables: list[Table] = []
        self.open: list[str] = []
        self.words: dict[str, list[str]] = {}
        self.all: list[str] = []
        self._cell: list[str] | None = None
        self._blank = False
        self.feed(text)
        self.close()
        assert self.open == [], "every element is closed"

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "table":
            self.tables.append(Table())
        elif tag == "tr":
            self.tables[-1].rows.append([])
        elif tag in ("td", "th", "caption", "title", "li", "p", "h1", "h2", "h3", "pre", "figcaption"):
            self._cell, self._blank = [], False
        elif tag == "span" and dict(attrs).get("class") == "blank":
            self._blank = True

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert tag == self.open.pop(), tag
        if self._cell is None:
            return
        text = "".join(self._cell)
        if tag in ("td", "th"):
            self.tables[-1].rows[-1].append(None if self._blank else plain(text))
            self._cell = None
        elif tag == "caption":
            self.tables[-1].caption = plain(text)
            self._cell = None
        elif tag in ("title", "li", "p", "h1", "h2", "h3", "pre", "figcaption"):
            self.words.setdefault(tag, []).append(text if tag == "pre" else plain(text))
            self._cell = None

    def handle_data(self, data):
        self.all.append(data)
        if self._cell is not None:
            self._cell.append(data)

    def table(self, caption: str) -> Table:
        """The one table whose caption begins so."""
        (found,) = [t for t in self.tables if t.caption.startswith(caption)]
        return found

    def fact(self, name: str) -> list[list[str | None]]:
        """What stands beside a name in every table that has it."""
        return [r[1:] for t in self.tables for r in t.rows if r and r[0] == name]

    @property
    def text(self) -> str:
        """Everything that is read."""
        return plain(" ".join(self.all))
