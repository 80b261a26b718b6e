"""A quantity to turn: a box with its label and unit, and a slider under it, both in the units shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from airside.show.panels.fields import number_text
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
        self.box = widgets.BoundedFloatText(min=-1e12, max=1e12, continuous_update=False)
        self.box.style.description_width = "auto"
        self.slider = widgets.FloatSlider(min=-1e12, max=1e12, readout=False)
        self.widget = widgets.VBox([self.box, self.slider])
        self.widget.add_class("airside-slider")
        self.set_units("IP")
        self.box.observe(lambda change: self._moved(change["new"]), names="value")
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

    def _show(self) -> None:
        self._quiet = True
        step = self._steps[self.units]
        low, high = self._shown(self.low), self._shown(self.high)
        unit = KINDS[self.kind].display(self.units).label
        ends = f"{number_text(low)} to {number_text(high)}{f' {unit}' if unit else ''}"
        self.box.tooltip = self.slider.tooltip = f"{self.tooltip}. From {ends}."
        shown = min(max(float(f"{self._shown(self._exact):.4g}"), low), high)
        for part in (self.box, self.slider):
            # The new limits first reach as far as needed, so that no value is cut on the way.
            part.min, part.max = min(part.min, low), max(part.max, high)
            part.step = step
            part.value = shown
            part.min, part.max = low, high
        self._quiet = False

    def _slid(self, shown: float) -> None:
        # The browser puts a slider on the nearest step and says so; that is no move of the user's.
        if abs(shown - self.box.value) > self.slider.step / 2 + 1e-9:
            self._moved(shown)

    def _moved(self, shown: float) -> None:
        if self._quiet:
            return
        self._quiet = True
        self.box.value = self.slider.value = shown
        self._quiet = False
        self._exact = float(to_inside(shown, self.kind, self.units))
        for call in self._calls:
            call()

    def snapshot(self) -> Any:
        """What undo brings back."""
        return self._exact

    def restore(self, kept: Any) -> None:
        """Bring back what `snapshot` gave."""
        if kept != self._exact:
            self.value = kept
