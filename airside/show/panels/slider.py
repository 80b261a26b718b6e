"""A quantity to turn: a box with its label and unit, and a slider under it, both in the units shown."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from airside.show.panels.fields import number_text, wrong_text
from airside.units import KINDS, UnitSystem, to_input, to_inside


class SliderField:
    """A box and a slider for one quantity.

    Parameters
    ----------
    label, tooltip : str
    kind : str
        A name in `airside.units.KINDS`.
    low, high : float [inside unit of ``kind``]
        Ends of the slider.
    step : (float, float)
        Step in IP and in SI, in the unit shown.
    value : float [inside unit of ``kind``], optional
    """

    def __init__(
        self,
        label: str,
        tooltip: str,
        kind: str,
        low: float,
        high: float,
        step: tuple[float, float],
        *,
        value: float | None = None,
    ) -> None:
        self.label, self.tooltip, self.kind = label, tooltip, kind
        self.low, self.high, self._steps = low, high, dict(zip(("IP", "SI"), step, strict=True))
        self.units: UnitSystem = "IP"
        self._exact = low if value is None else value
        self._quiet = False
        self._calls: list[Callable[[], None]] = []
        # A box beside the slider: exact values by keyboard, and a name that a screen reader says.
        self.box = widgets.FloatText(continuous_update=False)
        self.box.style.description_width = "auto"
        self.slider = widgets.FloatSlider(min=-1e12, max=1e12, readout=False)
        self.said = ""
        self.widget = widgets.VBox([self.box, self.slider])
        self.widget.add_class("airside-slider")
        self.set_units("IP")
        self.box.observe(lambda change: self._typed(change["new"]), names="value")
        self.slider.observe(lambda change: self._slid(change["new"]), names="value")

    @property
    def value(self) -> float:
        """The quantity [inside unit], unrounded where the user has not moved it."""
        return self._exact

    @value.setter
    def value(self, exact: float) -> None:
        # What was measured may lie beyond the ends: the slider grows to it.
        self.low, self.high, self._exact = min(self.low, exact), max(self.high, exact), exact
        self._show()

    @property
    def disabled(self) -> bool:
        """Whether it cannot be moved."""
        return bool(self.slider.disabled)

    @disabled.setter
    def disabled(self, off: bool) -> None:
        self.slider.disabled = self.box.disabled = off

    def on_change(self, call: Callable[[], None]) -> None:
        """Call when the user has moved it."""
        self._calls.append(call)

    def _shown(self, inside: float) -> float:
        return float(f"{to_input(inside, self.kind, self.units):.6g}")

    def set_units(self, units: UnitSystem) -> None:
        """Show the label, the ends and the value in a unit system; the quantity stays."""
        self.units = units
        unit = KINDS[self.kind].display(units).label
        self.box.description = f"{self.label}{f', {unit}' if unit else ''}"
        self._show()

    def _ends_words(self) -> str:
        unit = KINDS[self.kind].display(self.units).label
        low, high = (number_text(self._shown(v)) for v in (self.low, self.high))
        return f"{low} to {high}{f' {unit}' if unit else ''}"

    def _ends(self) -> tuple[float, float]:
        """The slider's ends in the unit shown: whole steps, so that it can stand on each of them."""
        step = self._steps[self.units]
        low, high = self._shown(self.low), self._shown(self.high)
        return math.floor(low / step + 1e-6) * step, math.ceil(high / step - 1e-6) * step

    def _show(self) -> None:
        self._quiet = True
        step = self._steps[self.units]
        self.box.tooltip = self.slider.tooltip = f"{self.tooltip}. From {self._ends_words()}."
        low, high = self._ends()
        shown = float(f"{self._shown(self._exact):.4g}")
        # The browser puts a slider on the nearest step and sends that back. It stands on one from the start, and all
        # that is new goes out in one message: else what comes back would pass for a move of the user's.
        at = float(f"{low + round((shown - low) / step) * step:.10g}")
        with self.slider.hold_sync():
            self.slider.min, self.slider.max = min(self.slider.min, low), max(self.slider.max, high)
            self.slider.step = step
            self.slider.value = at
            self.slider.min, self.slider.max = low, high
        self.box.step, self.box.value = step, shown
        self._say("")
        self._quiet = False

    def _slid(self, shown: float) -> None:
        if self._quiet:
            return
        here = (
            self._ends()[0] + round((self._shown(self._exact) - self._ends()[0]) / self.slider.step) * self.slider.step
        )
        if abs(shown - here) > self.slider.step / 2:
            self._moved(shown)

    def _typed(self, shown: float) -> None:
        if self._quiet:
            return
        low, high = (self._shown(v) for v in (self.low, self.high))
        if not low <= shown <= high:
            used = number_text(float(f"{self._shown(self._exact):.4g}"))
            self._say(f"found {number_text(shown)}; expected {self._ends_words()}. {used} is used still.")
            return
        self._moved(shown)

    def _say(self, sentence: str) -> None:
        if sentence == self.said:
            return
        self.said = sentence
        (self.box.add_class if sentence else self.box.remove_class)("airside-wrong")
        parts = [self.box, self.slider]
        if sentence:
            parts.append(wrong_text(sentence))
        self.widget.children = tuple(parts)

    def _moved(self, shown: float) -> None:
        exact = float(to_inside(shown, self.kind, self.units))
        if exact == self._exact:
            self._show()
            return
        self._exact = exact
        self._show()
        for call in self._calls:
            call()

    def snapshot(self) -> Any:
        """What undo brings back."""
        return self._exact

    def restore(self, kept: Any) -> None:
        """Bring back what `snapshot` gave."""
        if kept != self._exact:
            self.value = kept
