"""A heading that folds what is under it; a button, so that the keyboard reaches it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from airside.show.panels.shared import plain_layout


class Fold:
    """A heading with widgets under it.

    Parameters
    ----------
    title : str
    inside : sequence of widget
    is_open : bool
    """

    def __init__(self, title: str, inside: Sequence[Any], *, is_open: bool = False) -> None:
        self.title = title
        self.button = widgets.Button(tooltip=f"Show or hide: {title}", layout=plain_layout())
        self.button.add_class("airside-fold")
        self.inside = widgets.VBox(list(inside))
        self.inside.add_class("airside-inside")
        self.widget = widgets.VBox([self.button, self.inside], layout=plain_layout())
        self.button.on_click(lambda _: self.set_open(not self.is_open))
        self.set_open(is_open)

    def set_open(self, is_open: bool) -> None:
        """Unfold it, or fold it away."""
        self.is_open = is_open
        self.button.description = f"{'▾' if is_open else '▸'} {self.title}"
        self.inside.layout.display = "" if is_open else "none"
