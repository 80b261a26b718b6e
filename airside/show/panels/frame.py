"""The common form of every panel: inputs left, the sentence and the key figures top right, the picture
below, assumptions folded away, files at the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from airside.cautions import SHORT
from airside.visit.plausibility import VisitWarning

WRONG = "var(--jp-error-color1,#b00)"


class PanelFrame:
    """Right-hand side and foot of a panel.

    Parameters
    ----------
    left : widget
        Inputs.
    files : widget
        Row of files and export, at the bottom.
    """

    def __init__(self, left: Any, files: Any) -> None:
        self.head = widgets.HTML()
        self.figures = widgets.HTML()
        self.picture = widgets.Image(format="png", layout={"width": "100%", "max_width": "1100px"})
        self.assumptions = widgets.HTML()
        self.message = widgets.HTML()
        fold = widgets.Accordion([self.assumptions], titles=("Assumptions and warnings",), selected_index=None)
        # Both fit side by side in a window of 900 px: a result below a long form would not be seen.
        left.layout.flex, left.layout.min_width, left.layout.max_width = "2 1 240px", "230px", "330px"
        left.layout.padding = "0 12px 0 0"
        right = widgets.VBox(
            [self.head, self.figures, self.picture, fold], layout={"flex": "3 1 420px", "min_width": "400px"}
        )
        # The last good result stays, greyed, while the input is wrong.
        style = "<style>.airside-stale{opacity:.35}</style>"
        safety = widgets.HTML(f'{style}<div style="font-size:12px">{escape(SHORT)}</div>')
        self.widget = widgets.VBox([
            widgets.HBox([left, right], layout={"flex_flow": "row wrap", "width": "100%"}), files, self.message, safety,
        ])  # fmt: skip
        self.has_result = False
        self.is_stale = False

    def show(
        self,
        sentence: str,
        figures: Sequence[tuple[str, str]],
        picture: bytes,
        warnings: Sequence[VisitWarning],
        assumptions: Sequence[str],
    ) -> None:
        """Show a good result. The sentence may hold HTML of our own; everything else is escaped."""
        self.has_result, self.is_stale = True, False
        for part in (self.figures, self.picture):
            part.remove_class("airside-stale")
        extra = ""
        if warnings:
            count = len(warnings)
            said = " ".join(w.message for w in warnings[:2]) + (" …" if count > 2 else "")
            extra = (
                f'<div style="font-size:13px;line-height:1.35;margin-top:4px">▲ {count} '
                f"warning{'s' if count > 1 else ''}: {escape(said)}</div>"
            )
        self.head.value = f'<div style="font-size:17px;line-height:1.35;margin:2px 0 6px">{sentence}{extra}</div>'
        cells = "".join(
            '<div style="min-width:150px;padding:2px 18px 4px 0;line-height:1.3">'
            f'<span style="font-size:12px;opacity:.75">{escape(name)}</span><br><b>{escape(value)}</b></div>'
            for name, value in figures
        )
        self.figures.value = f'<div style="display:flex;flex-wrap:wrap">{cells}</div>'
        self.picture.value = picture
        items = [f"<b>Warning:</b> {escape(w.message)}" for w in warnings] + [escape(a) for a in assumptions]
        self.assumptions.value = (
            '<ul style="line-height:1.4">' + "".join(f"<li>{item}</li>" for item in items) + "</ul>"
        )

    def clear(self) -> None:
        """Take the last result away, where a new visit begins."""
        self.has_result = False
        self.figures.value, self.picture.value, self.assumptions.value, self.message.value = "", b"", "", ""
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


def bundle(widget: Any, text: str) -> dict[str, Any]:
    """What Jupyter shows for a panel, and a line of text where there are no widgets."""
    shown: dict[str, Any] = dict(widget._repr_mimebundle_())
    shown["text/plain"] = text
    return shown


def whole(text: str) -> str:
    """Text for HTML, escaped, with no line break between a number and its percent sign."""
    return escape(text).replace(" %", "&nbsp;%")
