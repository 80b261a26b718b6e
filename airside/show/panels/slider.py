"""A quantity to turn: a box with its label and unit, and a slider under it, both in the units shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from airside.show.panels.fields import number_text, wrong_text
from airside.show.panels.shared import name_box, words_of
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
        Step in IP and in SI, in the unit shown; the slider's places are about as far apart as the step in SI.
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
        # The slider stands on whole places from 0 to a number that stays. Where its scale changed with the units, the
        # browser put it on the new scale by itself and sent what came of it, which passed for a move of the user's.
        self.places = round((high - low) / self._place_width())
        self.slider = widgets.IntSlider(min=0, max=self.places, readout=False)
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
    def caption(self) -> str:
        """The label as it is shown, with its unit."""
        return words_of(self.box)

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
        self._show()

    def _ends_words(self) -> str:
        unit = KINDS[self.kind].display(self.units).label
        low, high = (number_text(self._shown(v)) for v in (self.low, self.high))
        return f"{low} to {high}{f' {unit}' if unit else ''}"

    def _place_width(self) -> float:
        """How far apart the slider's places are at the start [inside unit]."""
        zero, one = (float(to_inside(v, self.kind, "SI")) for v in (0.0, self._steps["SI"]))
        return abs(one - zero)

    def _place(self) -> int:
        """Where the slider stands for the quantity."""
        return round((self._exact - self.low) / (self.high - self.low) * self.places)

    def _show(self) -> None:
        self._quiet = True
        unit = KINDS[self.kind].display(self.units).label
        self.slider.tooltip = f"{self.tooltip}. From {self._ends_words()}."
        name_box(self.box, f"{self.label}{f', {unit}' if unit else ''}", self.slider.tooltip)
        self.box.step, self.box.value = self._steps[self.units], float(f"{self._shown(self._exact):.4g}")
        self.slider.value = self._place()
        self._say("")
        self._quiet = False

    def _slid(self, place: int) -> None:
        if self._quiet or place == self._place():
            return
        inside = self.low + place / self.places * (self.high - self.low)
        decimals = next(d for d in range(4) if round(self._steps[self.units], d) == self._steps[self.units])
        low, high = (self._shown(v) for v in (self.low, self.high))
        self._moved(min(max(round(self._shown(inside), decimals), low), high))

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
