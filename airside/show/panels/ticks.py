"""A tick of a panel: one thing that is so or not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from airside.show.panels.shared import name_box
from airside.units import UnitSystem


class Tick:
    """A box to tick, with its words beside it."""

    def __init__(self, label: str, tooltip: str, *, value: bool = False) -> None:
        self.box = widgets.Checkbox(value=value, indent=False, layout={"width": "auto"})
        name_box(self.box, label, tooltip)
        self.widget = self.box

    def value(self) -> bool:
        """Whether it is ticked."""
        return bool(self.box.value)

    def take(self, value: Any) -> None:
        """Tick it, or not."""
        self.box.value = bool(value)

    def set_units(self, units: UnitSystem) -> None:
        """A tick has no unit."""

    def on_change(self, call: Callable[[], None]) -> None:
        """Call when the user has changed it."""
        self.box.observe(lambda _: call(), names="value")

    snapshot = value
    restore = take
