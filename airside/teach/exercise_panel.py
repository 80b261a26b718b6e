"""An exercise: one question with its answer box, which says what was right, or what the likely slip was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError
from airside.show.panels.frame import bundle
from airside.show.panels.later import Later
from airside.show.panels.shared import plain_layout
from airside.teach import shared_units
from airside.teach.drawing import Question, draw
from airside.teach.judging import Judgement, judge
from airside.teach.kinds import kind_of
from airside.teach.look import box, button, listed, paragraphs, row, safe, units_switch, words
from airside.teach.progress import add_record, record_of
from airside.teach.question import QuestionKind
from airside.units import UnitSystem

# While the kernel works, the page holds a changed answer back: it comes so long after the click at most [s].
HELD_BACK = 0.2
LAST_HINT = "That was the last hint. The steps show the whole way."


class Exercise:
    """One question to answer.

    Parameters
    ----------
    kind : str
        Name of the question kind.
    seed : int
        The same seed, the same numbers.
    units : "IP" or "SI", optional
        In which it begins; by default as the rest of the notebook.
    file : str or Path, optional
        Where what was tried is kept; by default `my_progress.jsonl` in the notebook's folder.
    lesson : int, optional
        In which it is asked, for that record; by default the kind's own.

    Attributes
    ----------
    question : Question
    judgement : Judgement or None
        Of the last answer.
    hints_given : int
    has_steps : bool
        Whether the worked solution is shown.

    Raises
    ------
    AirsideError
        There is no such kind, or it cannot be drawn.
    """

    def __init__(self, kind: str, seed: int, units: UnitSystem | None = None, file: str | Path | None = None,
                 lesson: int | None = None) -> None:  # fmt: skip
        self.kind = kind_of(kind)
        self.seed, self._file, self._lesson = seed, file, lesson
        begin = shared_units.join(self, units)
        if begin not in self.kind.systems:
            begin = self.kind.systems[0]
        self.question: Question = draw(self.kind, seed, begin)
        self.judgement: Judgement | None = None
        self.hints_given, self.has_steps = 0, False
        self._quiet = self._waits = False
        self._later, self._soon = Later(self._check_entered), Later(self._check_entered, HELD_BACK)
        self._make(begin)
        self._show_question()

    def _make(self, units: UnitSystem) -> None:
        self.units_choice = units_switch(self.kind.systems, units)
        self.heading = words("title", safe(self.kind.title))
        self.text = words("question")
        self.said = words("judgement")
        self.hints = words("hints")
        self.steps = words("steps")
        if self.kind.options:
            self.answer: Any = widgets.RadioButtons(
                options=list(self.kind.options), value=None, description="Your answer", layout=plain_layout()
            )
        else:
            self.answer = widgets.Text(
                layout=plain_layout(), style={"description_width": "auto"}, continuous_update=False
            )
            # Enter in the box checks; leaving it does not.
            self.answer.on_msg(self._entered)
            self.answer.observe(self._arrived, names="value")
        self.answer.add_class("airside-answer")
        self.check_button = button("Check", "Judge the answer; Enter in the box does the same")
        self.hint_button = button("Hint", "One hint after another")
        self.steps_button = button("Show the steps", "The worked solution, with every number and unit")
        self.new_button = button("New numbers", "The same question with other numbers")
        if is_fixed(self.kind):
            self.new_button.disabled = True
            self.new_button.tooltip = "This question has one set of numbers, its own"
        self.check_button.on_click(lambda _: self._clicked())
        self.hint_button.on_click(lambda _: self.hint())
        self.steps_button.on_click(lambda _: self.show_steps())
        self.new_button.on_click(lambda _: self.renew())
        self.units_choice.observe(self._switched, names="value")
        buttons = row(self.check_button, self.hint_button, self.steps_button, self.new_button)
        if self.kind.parameters or not self.kind.options:
            # A question in words alone reads the same in both systems.
            buttons.children = (*buttons.children, self.units_choice)
        parts = [self.heading, self.text, self.answer, buttons, self.said, self.hints, self.steps]
        self.widget = box("exercise", parts)

    # -- what the trainee does -------------------------------------------------------------------

    def check(self) -> Judgement:
        """Judge what stands in the box, say it, and keep it."""
        self.judgement = found = judge(self.question, self.answer.value or "")
        lines = [found.says]
        if found.outcome != "unreadable":
            try:
                record = record_of(self.question, found, self.hints_given, self.has_steps, self._lesson)
                lines += add_record(record, self._file)
            except AirsideError as error:
                lines.append(f"This try could not be kept: {error}")
        # Read out by a screen reader as it appears.
        self.said.value = f'<div role="alert">{paragraphs(lines)}</div>'
        return found

    def hint(self) -> None:
        """Give the next hint."""
        self.hints_given = min(self.hints_given + 1, len(self.kind.hints))
        given = self.kind.hints[: self.hints_given]
        last = paragraphs([LAST_HINT]) if self.hints_given == len(self.kind.hints) else ""
        self.hints.value = f"{listed(given)}{last}"
        self.hint_button.disabled = bool(last)

    def show_steps(self) -> None:
        """Show the worked solution."""
        self.has_steps = True
        source = f'<div class="airside-small">Source: {safe(self.kind.source)}</div>' if self.kind.source else ""
        self.steps.value = f"{listed(steps_of(self.question))}{source}"
        self.steps_button.disabled = True

    def renew(self) -> None:
        """Ask again with other numbers."""
        self._draw(self.seed + 1, self.question.units)

    # -- what follows ------------------------------------------------------------------------------

    @property
    def is_touched(self) -> bool:
        """Whether the trainee has begun here."""
        return bool(self.answer.value) or self.judgement is not None or self.hints_given > 0 or self.has_steps

    def follow(self, units: UnitSystem) -> None:
        """Turn to the units chosen elsewhere in the notebook; what has been begun stays as it is."""
        if units in self.kind.systems and units != self.question.units and not self.is_touched:
            self._draw(self.seed, units)

    def _switched(self, _: Any) -> None:
        if self._quiet:
            return
        units: UnitSystem = "SI" if self.units_choice.value == "SI" else "IP"
        self._draw(self.seed, units)
        shared_units.choose(units, self)

    def _entered(self, _: Any, content: Any, __: Any) -> None:
        if content.get("event") == "submit":
            # What was typed comes a moment after the key, or not at all where it has not changed.
            self._waits = True
            self._later.request()

    def _clicked(self) -> None:
        self._waits = True
        self._soon.request()

    def _arrived(self, _: Any) -> None:
        if self._waits and not self._quiet:
            self._check_entered()

    def _check_entered(self) -> None:
        if self._waits:
            self._waits = False
            self.check()

    def _draw(self, seed: int, units: UnitSystem) -> None:
        try:
            self.question, self.seed = draw(self.kind, seed, units), seed
        except AirsideError as error:
            self.said.value = f'<div role="alert">{paragraphs([str(error)])}</div>'
            return
        self.judgement, self.hints_given, self.has_steps = None, 0, False
        self._quiet, self._waits = True, False
        try:
            self.units_choice.value = units
            self.answer.value = None if self.kind.options else ""
        finally:
            self._quiet = False
        for part in (self.said, self.hints, self.steps):
            part.value = ""
        self.hint_button.disabled = not self.kind.hints
        self.steps_button.disabled = False
        self._show_question()

    def _show_question(self) -> None:
        self.text.value = safe(self.question.text)
        if not self.kind.options:
            unit = self.question.unit
            self.answer.description = f"Your answer{f', {unit}' if unit else ''}"
            self.answer.placeholder = f"a number, or one with its unit: … {unit}".rstrip() if unit else "a number"

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        unit = self.question.unit
        wanted = " / ".join(self.kind.options) if self.kind.options else f"a number{f' in {unit}' if unit else ''}"
        text = f"Exercise: {self.kind.title}\n{self.question.text}\nAnswer: {wanted}. Needs a running kernel to be answered."
        return bundle(self.widget, text)


def is_fixed(kind: QuestionKind) -> bool:
    """Whether a question has one set of numbers, as a published example has."""
    return all(p.low == p.high for p in kind.parameters)


def steps_of(question: Question) -> tuple[str, ...]:
    """The worked solution in lines; of a question with options, why the right one is right too."""
    if not question.kind.options:
        return question.worked
    return (*question.worked, question.kind.because[round(question.answer)])


def exercise(kind: str, seed: int, *, lesson: int | None = None, units: UnitSystem | None = None) -> Exercise:
    """An exercise, to stand as the last line of a cell.

    Parameters
    ----------
    kind : str
        Name of the question kind.
    seed : int
    lesson : int, optional
        In which it is asked; the progress table names it.
    units : "IP" or "SI", optional

    Raises
    ------
    AirsideError
        There is no such kind.
    """
    return Exercise(kind, seed, units, lesson=lesson)
