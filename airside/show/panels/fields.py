"""Input fields of the panels: a box with its label and unit, and room for the sentence when something is wrong.

A field holds what the user typed. It gives the visit file's value for it, and takes one from a file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date as Day
from html import escape
from typing import Any

import ipywidgets as widgets

from airside.show.panels.shared import field_style, name_box, plain_layout, words_of
from airside.units import KINDS, UnitSystem, to_input, to_inside


def number_text(value: float) -> str:
    """A number as a person would type it: no rounding tail."""
    return f"{float(f'{value:.6g}'):.10g}"


def wrong_text(sentence: str) -> Any:
    """What is wrong with an input, to stand under it."""
    message = widgets.HTML(f'<div class="airside-wrong-text">▲ {escape(sentence)}</div>', layout=plain_layout())
    message.add_class("airside-box")
    return message


def switched_text(value: float) -> str:
    """A number that a switch of units made, with four figures or all those before the point; the exact one is kept."""
    before = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    return number_text(round(value, max(4 - before, 0))) if before else number_text(float(f"{value:.4g}"))


def _roundly(value: float) -> str:
    return number_text(float(f"{value:.{3 if abs(value) >= 100 else 2}g}"))


def _box(kind: type[Any], **given: Any) -> Any:
    return kind(layout=plain_layout(), style=field_style(kind), **given)


class Field:
    """One input of a panel.

    Parameters
    ----------
    path : str
        Field of the visit file, such as ``readings.return.dry_bulb``.
    label : str
    tooltip : str
        What it is and which values are usual, in the trade's words.
    """

    def __init__(self, path: str, label: str, tooltip: str, box: Any) -> None:
        self.path = path
        self.label = label
        self.tooltip = tooltip
        # The label is the box's own, so that a screen reader names it.
        self.box = box
        self.box.add_class("airside-field")
        self.said = ""
        self.widget = widgets.VBox([self.box], layout=plain_layout())
        self.set_units("IP")

    @property
    def caption(self) -> str:
        """The label as it is shown, with its unit."""
        return words_of(self.box)

    def set_units(self, units: UnitSystem) -> None:
        """Show the label and the tooltip for a unit system."""
        name_box(self.box, self.label, self.tooltip)

    def say(self, sentence: str) -> None:
        """Mark the field with a sentence; an empty one takes the mark away."""
        if sentence == self.said:
            return
        self.said = sentence
        (self.box.add_class if sentence else self.box.remove_class)("airside-wrong")
        if not sentence:
            self.widget.children = (self.box,)
            return
        self.widget.children = (self.box, wrong_text(sentence))

    def on_change(self, call: Callable[[], None]) -> None:
        """Call when the user has changed the value."""
        self.box.observe(lambda _: call(), names="value")

    def value(self) -> Any:
        """What the visit file would hold; None where nothing is given."""
        text = self.box.value
        return text.strip() or None if isinstance(text, str) else text

    def take(self, value: Any) -> None:
        """Show a value as a visit file holds it."""
        self.box.value = "" if value is None else str(value)

    def snapshot(self) -> Any:
        """What undo brings back."""
        return self.box.value

    def restore(self, kept: Any) -> None:
        """Bring back what `snapshot` gave."""
        if self.box.value != kept:
            self.box.value = kept


class TextField(Field):
    """A line of text."""

    def __init__(self, path: str, label: str, tooltip: str, *, placeholder: str = "") -> None:
        super().__init__(path, label, tooltip, _box(widgets.Text, placeholder=placeholder, continuous_update=False))


class DateField(TextField):
    """A day, as TOML has it."""

    def value(self) -> Any:
        """A date where the text is one, else the text, whose sentence says what is wrong."""
        text = super().value()
        try:
            return Day.fromisoformat(text) if text else None
        except ValueError:
            return text


class ChoiceField(Field):
    """One of a few words.

    Parameters
    ----------
    empty : bool
        Whether it may stay empty.
    free : bool
        Whether a file may hold other words; they are kept as they are.
    words : mapping of str to str, optional
        What is shown for an option; by default its own word.
    """

    def __init__(
        self,
        path: str,
        label: str,
        tooltip: str,
        options: Sequence[str],
        *,
        empty: bool = False,
        free: bool = False,
        words: Mapping[str, str] | None = None,
    ) -> None:
        words = words or {}
        self._offered = tuple((words.get(o, o.replace("_", " ")), o) for o in (["", *options] if empty else options))
        self._free = free
        super().__init__(path, label, tooltip, _box(widgets.Dropdown, options=self._offered))

    @property
    def options(self) -> tuple[str, ...]:
        """The words that are offered, as a visit file has them."""
        return tuple(o[1] for o in self._offered)

    def take(self, value: Any) -> None:
        """Show a value as a visit file holds it; without one, the first choice."""
        offered = self._offered
        known = value in [o[1] for o in offered]
        if not known and self._free and value:
            offered, known = (*offered, (str(value), value)), True
        if tuple(self.box.options) != offered:
            self.box.options = offered
        self.box.value = value if known else offered[0][1]

    def restore(self, kept: Any) -> None:
        """Bring back what `snapshot` gave, a word of a file's own among them."""
        if self.box.value != kept:
            self.take(kept)


class NumberField(Field):
    """A number or a list of readings, bare in the panel's units or with a unit of its own.

    Parameters
    ----------
    kind : str
        A name in `airside.units.KINDS`.
    many : bool
        Whether it is a list of readings.
    rows : int
        Lines of the box.
    usual : (float, float) [inside unit of ``kind``]
        Where values usually lie; shown in the empty box and in the tooltip. No limit: the library judges.
    """

    def __init__(
        self,
        path: str,
        label: str,
        tooltip: str,
        kind: str,
        *,
        usual: tuple[float, float],
        many: bool = False,
        rows: int = 1,
    ) -> None:
        self.kind, self.many, self.usual = kind, many, usual
        self.units: UnitSystem = "IP"
        # What was typed before the units were switched, what the switch made of it, and the exact numbers of that.
        self._switched: tuple[str, UnitSystem, str, list[Any]] | None = None
        box: Any = (
            _box(widgets.Textarea, rows=rows, continuous_update=False)
            if rows > 1
            else _box(widgets.Text, continuous_update=False)
        )
        super().__init__(path, label, tooltip, box)

    def set_units(self, units: UnitSystem) -> None:
        """Show the label with the unit that a bare number has, and where values usually lie."""
        self.units = units
        shown = KINDS[self.kind].display(units)
        low, high = (_roundly(float(to_input(v, self.kind, units))) for v in self.usual)
        self.box.placeholder = f"usual {low} to {high}"
        usual = f"{self.tooltip}. Usual: {low} to {high}{f' {shown.label}' if shown.label else ''}."
        name_box(self.box, f"{self.label}{f', {shown.label}' if shown.label else ''}", usual)

    def set_kind(self, kind: str, usual: tuple[float, float]) -> None:
        """Make it a field of another kind of quantity; what was typed stays as it is."""
        self.usual = usual
        if kind != self.kind:
            self.kind = kind
            self._switched = None

    def snapshot(self) -> Any:
        """What undo brings back: the text, and what it was before the units were switched."""
        return self.box.value, self._switched

    def restore(self, kept: Any) -> None:
        """Bring back what `snapshot` gave; the units are set already."""
        text, self._switched = kept
        if self.box.value != text:
            self.box.value = text

    def switch_units(self, units: UnitSystem) -> None:
        """Turn the bare numbers into the other system; switching back gives what was typed, to the letter."""
        if units == self.units:
            return
        before, typed, exact = self.units, self.box.value, self._exact_parts()
        back = self._switched
        if back is not None and back[1] == units and back[2] == typed:
            text, turned = back[0], None
        else:
            turned = [self._converted(part, before, units) for part in exact]
            text = ", ".join(p if isinstance(p, str) else switched_text(p) for p in turned)
        self.set_units(units)
        self._switched = None if turned is None else (typed, before, text, turned)
        self.box.value = text

    def _converted(self, part: Any, before: UnitSystem, units: UnitSystem) -> Any:
        if isinstance(part, str):
            return part
        return float(f"{to_input(to_inside(float(part), self.kind, before), self.kind, units):.10g}")

    def _exact_parts(self) -> list[Any]:
        """The parts typed; where a switch of units wrote them rounded, the unrounded ones."""
        if self._switched is not None and self._switched[2] == self.box.value:
            return self._switched[3]
        return self._parts()

    def _parts(self) -> list[Any]:
        parts: list[Any] = []
        text = self.box.value.replace(";", ", ").replace("\n", ", ")
        # "1,700" may be one number or two: it goes to the reader as it is, whose sentence says so. A comma between
        # numbers with decimal points, or before a space, is a list.
        text = re.sub(r"(?<=\.\d)(\d*),(?=\d)", r"\1, ", text)
        # After a unit it is one too.
        text = re.sub(r"(?<=[^\d\s]),(?=\d)", ", ", text)
        pieces = re.split(r",(?!\d)", text)
        # Three numbers or more, not grouped as thousands, are a list too; no reading goes to hundreds of millions.
        many = re.compile(r"^[+-]?\d+(,[+-]?\d+){2,}$")
        thousands = re.compile(r"^[+-]?\d{1,2}(,\d{3})+$")
        pieces = [
            q
            for p in pieces
            for q in (p.split(",") if many.match(p.strip()) and not thousands.match(p.strip()) else [p])
        ]
        for piece in pieces:
            piece = piece.strip()
            if not piece:
                continue
            try:
                if "_" in piece:
                    raise ValueError
                number = float(piece)
                parts.append(
                    int(number) if number.is_integer() and piece.lstrip("+-").isdigit() and len(piece) < 15 else number
                )
            except ValueError:
                parts.append(piece)
        return parts

    def value(self) -> Any:
        """A number, a text with a unit, a list of them, or None."""
        parts = self._exact_parts()
        if not parts:
            return None
        return parts if self.many else (parts[0] if len(parts) == 1 else ", ".join(map(str, parts)))

    def take(self, value: Any) -> None:
        """Show a value as a visit file holds it."""
        values = value if isinstance(value, (list, tuple)) else [] if value is None else [value]
        # What was typed before belongs to another visit.
        self._switched = None
        self.box.value = ", ".join(v if isinstance(v, str) else str(v) for v in values)
