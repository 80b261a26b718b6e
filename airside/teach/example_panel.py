"""A worked example: a question with its solution, every step with its number and unit."""

from __future__ import annotations

from typing import Any

from airside.show.panels.frame import bundle
from airside.teach import shared_units
from airside.teach.drawing import draw
from airside.teach.exercise_panel import steps_of
from airside.teach.kinds import kind_of
from airside.teach.look import box, listed, row, safe, units_switch, words
from airside.units import UnitSystem


class Example:
    """A question that is worked before the trainee's eyes.

    Parameters
    ----------
    kind : str
    seed : int
    units : "IP" or "SI", optional
    """

    def __init__(self, kind: str, seed: int, units: UnitSystem | None = None) -> None:
        self.kind, self.seed = kind_of(kind), seed
        begin = shared_units.join(self, units)
        if begin not in self.kind.systems:
            begin = self.kind.systems[0]
        self.units_choice = units_switch(self.kind.systems, begin)
        self.heading = words("title", safe(f"Worked example: {self.kind.title}"))
        self.text, self.steps = words("question"), words("steps")
        self.units_choice.observe(self._switched, names="value")
        self.widget = box("example", [self.heading, self.text, self.steps, row(self.units_choice)])
        self._show(begin)

    def follow(self, units: UnitSystem) -> None:
        """Turn to the units chosen elsewhere in the notebook."""
        if units in self.kind.systems and units != self.units_choice.value:
            self._quiet_value(units)
            self._show(units)

    def _quiet_value(self, units: UnitSystem) -> None:
        self.units_choice.unobserve(self._switched, names="value")
        self.units_choice.value = units
        self.units_choice.observe(self._switched, names="value")

    def _switched(self, _: Any) -> None:
        units: UnitSystem = "SI" if self.units_choice.value == "SI" else "IP"
        self._show(units)
        shared_units.choose(units, self)

    def _show(self, units: UnitSystem) -> None:
        self.question = draw(self.kind, self.seed, units)
        self.text.value = safe(self.question.text)
        source = f'<div class="airside-small">Source: {safe(self.kind.source)}</div>' if self.kind.source else ""
        self.steps.value = f"{listed(steps_of(self.question))}{source}"

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        steps = [f"{n}. {line}" for n, line in enumerate(steps_of(self.question), start=1)]
        text = "\n".join(
            [f"Worked example: {self.kind.title}", self.question.text, *steps, f"Source: {self.kind.source}"]
        )
        return bundle(self.widget, text)


def example(kind: str, seed: int, *, units: UnitSystem | None = None) -> Example:
    """A worked example, to stand as the last line of a cell.

    Parameters
    ----------
    kind : str
        Name of the question kind.
    seed : int
    units : "IP" or "SI", optional

    Raises
    ------
    AirsideError
        There is no such kind.
    """
    return Example(kind, seed, units)
