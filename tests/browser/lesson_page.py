"""A lesson as its trainee meets it: exercises in the order of the notebook, worked examples, pictures, the progress table."""

from __future__ import annotations

import ast
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Locator, Page, expect

from airside.teach import draw
from airside.teach.drawing import Question
from airside.teach.kinds import kind_of
from airside.teach.question import QuestionKind
from airside.units import UnitSystem

# For what a slow machine may take; nothing waits longer than it must [ms].
PATIENCE = 30_000
# See `panel_page`.
SETTLED = "() => asked.size === 0 && performance.now() - lastAsked > 150"
# The public calls that a built lesson is made of, and the class of what each shows.
SHOWN = {
    "exercise": "airside-exercise", "example": "airside-example", "picture": "airside-lesson-picture",
    "panel": "airside-panel", "my_progress": "airside-progress",
}  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """A question of a notebook's file: its kind, its seed, and how many of its sort stand before it."""

    kind: QuestionKind
    seed: int
    place: int

    def drawn(self, units: UnitSystem, more: int = 0) -> Question:
        """The question with its numbers, ``more`` seeds further."""
        return draw(self.kind, self.seed + more, units)


def calls_of(notebook: Path) -> list[tuple[str, tuple[Any, ...], dict[str, Any]]]:
    """The calls in a built notebook, in order: name, and what is given with and without a name."""
    found = []
    for cell in json.loads(notebook.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] != "code":
            continue
        call = ast.parse("".join(cell["source"])).body[-1].value
        given = {k.arg: ast.literal_eval(k.value) for k in call.keywords}
        found.append((call.func.id, tuple(ast.literal_eval(a) for a in call.args), given))
    return found


def asked_in(notebook: Path, name: str = "exercise") -> list[Asked]:
    """The exercises of a built notebook, in order; with "example" its worked examples."""
    given = [(args[0], more["seed"]) for called, args, more in calls_of(notebook) if called == name]
    return [Asked(kind_of(kind), seed, place) for place, (kind, seed) in enumerate(given)]


class LessonPage:
    """The parts of the lesson that is open in a page."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.progress = page.locator(".airside-progress")

    def shown(self, name: str) -> Locator:
        """What the calls of one name show."""
        return self.page.locator(f".{SHOWN[name]}")

    def settle(self) -> None:
        """Wait until the kernel has answered everything that was asked of it."""
        self.page.wait_for_function(SETTLED, timeout=PATIENCE)

    def exercise(self, asked: Asked) -> ExercisePage:
        """An exercise."""
        return ExercisePage(self, self.shown("exercise").nth(asked.place))

    def steps_of_example(self, asked: Asked) -> Locator:
        """The lines of a worked example."""
        return self.shown("example").nth(asked.place).locator(".airside-steps li")

    def progress_row(self, title: str) -> Locator:
        """The cells of a question's line in the progress table."""
        line = self.progress.locator("tr").filter(has=self.page.get_by_role("cell", name=title, exact=True))
        return line.locator("td")


class ExercisePage:
    """One exercise.

    Attributes
    ----------
    root, title, text, said, hints, steps : Locator
    """

    def __init__(self, lesson: LessonPage, root: Locator) -> None:
        self.lesson, self.root = lesson, root
        self.title, self.text = root.locator(".airside-title"), root.locator(".airside-question")
        self.said = root.locator(".airside-judgement")
        self.hints, self.steps = root.locator(".airside-hints"), root.locator(".airside-steps")
        self.options = root.get_by_role("radio")

    def button(self, words: str) -> Locator:
        """A button by its words."""
        return self.root.get_by_role("button", name=words, exact=True)

    def press(self, words: str) -> None:
        """Press a button, and wait until the kernel has answered."""
        self.button(words).click()
        self.lesson.settle()

    def answer(self, text: str, *, enter: bool = False) -> None:
        """Type an answer, and have it checked by the button or by Enter."""
        box = self.root.get_by_role("textbox")
        box.fill(text)
        if enter:
            box.press("Enter")
        else:
            self.press("Check")

    def choose(self, option: str) -> None:
        """Choose an answer, and have it checked."""
        self.root.get_by_label(option, exact=True).check()
        self.press("Check")

    def says(self, text: str) -> None:
        """Wait until the judgement is this; white space counts as one space."""
        expect(self.said).to_have_text(text, timeout=PATIENCE)

    def in_units(self, units: UnitSystem) -> None:
        """Turn to a unit system, or leave it there."""
        self.press(units)

    def asks(self, question: Question) -> None:
        """Wait until it asks this question, afresh."""
        expect(self.text).to_have_text(question.text, timeout=PATIENCE)
        for part in (self.said, self.hints, self.steps):
            expect(part).to_have_text("")
