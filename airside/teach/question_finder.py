"""Find a question for a lesson: choose a lesson's kinds, see one drawn with its solution, copy its mark."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError
from airside.show.panels.frame import bundle
from airside.show.panels.shared import plain_layout
from airside.teach.author_panel import STYLE, named
from airside.teach.drawing import draw
from airside.teach.exercise_panel import steps_of
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.look import box, listed, paragraphs, row, safe, units_switch, words
from airside.units import SYSTEMS


class QuestionFinder:
    """The panel.

    Attributes
    ----------
    kind : widget
        Choice of the question kind.
    mark : widget
        The mark to copy into the lesson.
    """

    def __init__(self) -> None:
        lessons = sorted({kind.lesson for kind in QUESTION_KINDS.values()})
        self.lesson = named(
            widgets.Dropdown(options=[(f"Lesson {n}", n) for n in lessons], description="Kinds of"),
            "The lesson whose questions are listed",
        )
        self.kind = named(widgets.Dropdown(description="Question"), "A kind of question")
        self.seed = named(
            widgets.BoundedIntText(value=1, min=0, max=2**31, description="Seed"), "The same seed, the same numbers"
        )
        self.units = units_switch(SYSTEMS, "IP")
        self.shown = words("question")
        self.mark = widgets.Textarea(
            description="Copy this into lesson.md, with an empty line before and after",
            rows=4,
            tooltip="The mark of this question",
            layout=plain_layout(),
        )
        self.widget = box("workshop", [
            words(value=STYLE), row(self.lesson, self.kind, self.seed, self.units), self.shown, self.mark,
        ])  # fmt: skip
        self._list()
        self.lesson.observe(lambda _: self._list(), names="value")
        for choice in (self.kind, self.seed, self.units):
            choice.observe(lambda _: self._show(), names="value")
        self._show()

    def _list(self) -> None:
        of_lesson = [k for k in QUESTION_KINDS.values() if k.lesson == self.lesson.value]
        self.kind.options = [(k.title, k.name) for k in of_lesson]
        self.kind.value = of_lesson[0].name

    def _show(self) -> None:
        if self.kind.value is None:
            return
        kind = QUESTION_KINDS[self.kind.value]
        try:
            question = draw(kind, self.seed.value, "SI" if self.units.value == "SI" else "IP")
        except AirsideError as error:
            self.shown.value, self.mark.value = paragraphs([str(error)]), ""
            return
        options = listed(kind.options) if kind.options else ""
        self.shown.value = (
            f"<div>{safe(question.text)}</div>{options}{listed(steps_of(question))}"
            f'<div class="airside-small">Source: {safe(kind.source)}</div>'
        )
        self.mark.value = f'```airside question\nkind = "{kind.name}"\nseed = {self.seed.value}\n```'

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Question kinds to choose from. Needs a running kernel.")


def find_questions() -> QuestionFinder:
    """Kinds of question to choose from, to stand as the last line of a cell."""
    return QuestionFinder()
