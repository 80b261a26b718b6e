"""The common form of every panel: inputs left, the sentence and the key figures top right, the picture
below, assumptions folded away, files at the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import ipywidgets as widgets

from airside.cautions import SHORT
from airside.results import Row
from airside.show.panels.fold import Fold
from airside.show.panels.style import STYLE
from airside.units import UnitSystem
from airside.visit.plausibility import VisitWarning

WRONG = "var(--jp-error-color1,#b00)"


@dataclass(frozen=True)
class Shown:
    """What a panel shows of a good result.

    Attributes
    ----------
    sentence : str
        May hold HTML of our own; what comes from files is escaped in it.
    figures : sequence of (str, str) or (str, str, str)
        Name and value of each key figure, and its 95 % interval where it has one.
    figure : matplotlib Figure
        The picture.
    warnings : sequence of VisitWarning
    assumptions : sequence of str
    as_table : bool
        Key figures one under the other, for many of one kind, with their intervals in a column.
    """

    sentence: str
    figures: Sequence[tuple[str, ...]]
    figure: Any
    warnings: Sequence[VisitWarning] = ()
    assumptions: Sequence[str] = ()
    as_table: bool = False


class PanelFrame:
    """Right-hand side and foot of a panel.

    Parameters
    ----------
    left : sequence of widget
        Inputs.
    files : widget
        Files and export, at the bottom.
    """

    def __init__(self, left: Sequence[Any], files: Any) -> None:
        self.head = widgets.HTML()
        self.figures = widgets.HTML()
        self.picture = widgets.Image(format="png", layout={"width": "100%", "max_width": "920px"})
        self.picture.add_class("airside-picture")
        self.picture.layout.display = "none"
        self.assumptions = widgets.HTML()
        self.message = widgets.HTML()
        self.fold = Fold("Assumptions and warnings", [self.assumptions])
        for part, name in (
            (self.head, "head"), (self.figures, "figures"), (self.assumptions, "assumptions"), (self.message, "message"),
        ):  # fmt: skip
            part.add_class("airside-box")
            part.add_class(f"airside-{name}")
        inputs = widgets.VBox(list(left))
        inputs.add_class("airside-left")
        right = widgets.VBox([self.head, self.figures, self.picture, self.fold.widget])
        right.add_class("airside-right")
        columns = widgets.HBox([inputs, right])
        columns.add_class("airside-columns")
        files.add_class("airside-files")
        safety = widgets.HTML(f'{STYLE}<div class="airside-small">{escape(SHORT)}</div>')
        safety.add_class("airside-box")
        self.widget = widgets.VBox([columns, files, self.message, safety], layout={"overflow": "visible"})
        self.widget.add_class("airside-panel")
        self.has_result = False
        self.is_stale = False

    def show(self, found: Shown, picture: bytes) -> None:
        """Show a good result."""
        self.has_result, self.is_stale = True, False
        for part in (self.figures, self.picture):
            part.remove_class("airside-stale")
        extra = ""
        if found.warnings:
            count = len(found.warnings)
            said = " ".join(w.message for w in found.warnings[:2]) + (" …" if count > 2 else "")
            extra = (
                f'<div style="font-size:13px;line-height:1.35;margin-top:4px">▲ {count} '
                f"warning{'s' if count > 1 else ''}: {escape(said)}</div>"
            )
        self.head.value = f'<div style="font-size:16px;line-height:1.35;margin:2px 0 6px">{found.sentence}{extra}</div>'
        if found.as_table:
            rows = "".join(_table_row(*figure) for figure in found.figures)
            head = '<tr><th></th><th></th><th style="font-weight:normal;text-align:left">95 % interval</th></tr>'
            self.figures.value = f'<table style="border-spacing:0;font-size:13px;line-height:1.4">{head}{rows}</table>'
        else:
            cells = "".join(_cell(*figure) for figure in found.figures)
            self.figures.value = f'<div style="display:flex;flex-wrap:wrap">{cells}</div>'
        self.picture.value, self.picture.layout.display = picture, ""
        items = [f"<b>Warning:</b> {escape(w.message)}" for w in found.warnings]
        items += [escape(a) for a in found.assumptions]
        listed = "".join(f"<li>{item}</li>" for item in items) or "<li>None.</li>"
        self.assumptions.value = f'<ul style="line-height:1.4;margin:2px 0">{listed}</ul>'

    def working(self, is_working: bool) -> None:
        """Show by the mouse's pointer that what was asked for is not done yet."""
        (self.widget.add_class if is_working else self.widget.remove_class)("airside-working")

    def clear(self) -> None:
        """Take the last result away, where a new visit begins."""
        self.has_result = False
        self.figures.value, self.picture.value, self.assumptions.value, self.message.value = "", b"", "", ""
        self.picture.layout.display = "none"
        for part in (self.figures, self.picture):
            part.remove_class("airside-stale")

    def stale(self, sentence: str) -> None:
        """Say what is wrong; the last good result stays, greyed."""
        self.is_stale = True
        self.head.value = f'<div style="font-size:15px;line-height:1.35;margin:2px 0 6px">▲ {escape(sentence)}</div>'
        if self.has_result:
            for part in (self.figures, self.picture):
                part.add_class("airside-stale")

    def say(self, sentence: str, *, wrong: bool = False) -> None:
        """A sentence under the files."""
        self.message.value = (
            f'<div style="color:{WRONG if wrong else "inherit"};white-space:pre-wrap;line-height:1.35">'
            f"{escape(sentence)}</div>"
        )


def _cell(name: str, value: str, interval: str = "") -> str:
    """One key figure."""
    known = f'<br><span style="font-size:12px">{escape(interval)}</span>' if interval else ""
    return (
        '<div style="min-width:136px;padding:2px 16px 4px 0;line-height:1.3">'
        f'<span style="font-size:12px;opacity:.8">{escape(name)}</span><br><b>{escape(value)}</b>{known}</div>'
    )


def _table_row(name: str, value: str, interval: str = "") -> str:
    """One key figure as a row of a table."""
    known = f'<td style="padding-left:18px">{escape(interval)}</td>'
    return f'<tr><td style="padding-right:18px">{escape(name)}</td><td><b>{escape(value)}</b></td>{known}</tr>'


def bundle(widget: Any, text: str) -> dict[str, Any]:
    """What Jupyter shows for a panel, and a line of text where there are no widgets."""
    shown: dict[str, Any] = dict(widget._repr_mimebundle_())
    shown["text/plain"] = text
    return shown


def whole(text: str) -> str:
    """Text for HTML, escaped, with no line break between a number and its percent sign."""
    return escape(text).replace(" %", "&nbsp;%")


def with_interval(title: str, row: Row, units: UnitSystem) -> tuple[str, str, str]:
    """A key figure: its title, its value with its unit, and its 95 % interval where it has one."""
    return title, row.text(units), row.interval_text(units)
