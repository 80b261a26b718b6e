"""The questions of a lesson as they are asked on paper: numbered, with numbers of each student's own."""

from __future__ import annotations

import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from airside.errors import AirsideError
from airside.teach.drawing import Question, draw
from airside.teach.exercise_panel import is_fixed, steps_of
from airside.teach.finding import Finding, LessonError
from airside.teach.kinds import kind_of
from airside.teach.lesson import Lesson, read_lesson
from airside.teach.marks import ExampleMark, QuestionMark
from airside.teach.question import QuestionKind
from airside.teach.references import unusable
from airside.units import UnitSystem

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LARGEST_STUDENT = 9_999
MOST_STUDENTS = 200
# Students so many to a class have numbers that differ from each other's, as far as a question has as many.
CLASS = 50
# Seeds that are tried for numbers that are not taken; a question with few numbers runs out of them.
MOST_SEEDS = 60
_RANGE = re.compile(r"(\d{1,6})(?:\s*-\s*(\d{1,6}))?")


@dataclass(frozen=True)
class Asked:
    """A question with its place on the sheet.

    Attributes
    ----------
    number : int
        From 1, in the lesson's order.
    question : Question
    line : int
        Of its mark in the lesson.
    """

    number: int
    question: Question
    line: int

    @property
    def options(self) -> tuple[tuple[str, str], ...]:
        """Letter and text of each option; empty where a number is asked for."""
        return tuple(zip(LETTERS, self.question.kind.options, strict=False))

    @property
    def letter(self) -> str:
        """The letter of the right option; empty where a number is asked for."""
        return LETTERS[round(self.question.answer)] if self.question.kind.options else ""

    @property
    def short_answer(self) -> str:
        """The answer as a table holds it: an option's letter and words, or the number with its unit."""
        shown = self.question.shown(self.question.answer)
        return f"{self.letter}: {shown}" if self.letter else shown

    @property
    def accepted(self) -> tuple[str, str]:
        """The ends of what counts as right, with units; two empty texts where there are options, or one answer alone."""
        question = self.question
        if question.kind.options:
            return "", ""
        low, high = (question.shown(end) for end in question.accepted)
        return (low, high) if low != high else ("", "")

    @property
    def steps(self) -> tuple[str, ...]:
        """The worked solution, the answer last."""
        return steps_of(self.question)

    @property
    def way(self) -> tuple[str, ...]:
        """The steps that lead to the answer, without the answer itself; of a question with options, all of them."""
        return self.steps if self.question.kind.options else self.steps[:-1]

    @property
    def slips(self) -> tuple[tuple[str, str], ...]:
        """The answer that each known slip gives, and what went wrong."""
        return tuple((self.question.shown(value), slip.says) for slip, value in self.question.slips)


def usable_lesson(folder: str | Path) -> Lesson:
    """A lesson that can be exported.

    Raises
    ------
    LessonError
        It cannot be read, a mark names what is not there, or nothing is asked in it.
    """
    lesson = read_lesson(folder)
    wrong = [f for f in unusable(lesson) if f.weight == "mistake"]
    if wrong:
        raise LessonError(wrong)
    return lesson


def asked_of(lesson: Lesson, student: int, units: UnitSystem | None = None) -> tuple[Asked, ...]:
    """The exercises of a lesson with the numbers of one student.

    The seeds are made of the lesson's folder, the student's number and the question's place, so that neither another
    lesson nor another student has the same ones. Numbers that the lesson shows on the screen do not come again, and
    no two students of a class have the same, as far as a question has so many.

    Parameters
    ----------
    lesson : Lesson
    student : int
        From 1.
    units : "IP" or "SI", optional
        Default: the lesson's. A kind that is not asked in them is asked in its own.

    Raises
    ------
    LessonError
        The lesson asks nothing, or a question cannot be drawn; with file and line.
    """
    marks = lesson.marks(QuestionMark)
    if not marks:
        raise LessonError([Finding(lesson.file, 0, 'nothing is asked here. Add "airside question" marks.')])
    key, on_screen = lesson.folder.resolve().name, _on_screen(lesson)
    found: list[Asked] = []
    wrong = []
    for number, (mark, line) in enumerate(marks, start=1):
        kind = kind_of(mark.kind)
        system = units or lesson.head.units
        if system not in kind.systems:
            system = kind.systems[0]
        shown = frozenset(on_screen.get(mark.kind, ()))
        own = frozenset(a.question.text for a in found if a.question.kind.name == mark.kind)
        try:
            drawn = _of_class(kind, key, number, system, shown, student)
            if drawn.text in own:
                drawn = _untaken(kind, key, number, system, student, own, shown)
        except AirsideError as error:
            wrong.append(Finding(lesson.file, line, str(error)))
            continue
        found.append(Asked(number, drawn, line))
    if wrong:
        raise LessonError(wrong)
    return tuple(found)


def _on_screen(lesson: Lesson) -> dict[str, tuple[str, ...]]:
    """What the lesson's own exercises and examples ask, in both unit systems, by kind."""
    found: dict[str, tuple[str, ...]] = {}
    for mark, _ in (*lesson.marks(QuestionMark), *lesson.marks(ExampleMark)):
        kind = kind_of(mark.kind)
        try:
            texts = tuple(draw(kind, mark.seed, system).text for system in kind.systems)
        except AirsideError:
            # Said where the question itself is drawn.
            continue
        found[mark.kind] = (*found.get(mark.kind, ()), *texts)
    return found


def seed_of(key: str, student: int, number: int, again: int = 0) -> int:
    """The seed of one student's question: the same everywhere, far from the small seeds of lessons.

    Parameters
    ----------
    key : str
        Name of the lesson's folder.
    student, number : int
        The question's place in the lesson, from 1.
    again : int
        Counts the seeds that were tried before.
    """
    # One bit is left out: a seed is as large as a lesson's mark may hold.
    return zlib.crc32(f"{key}|{student}|{number}|{again}".encode()) >> 1


@lru_cache(maxsize=4096)
def _of_class(
    kind: QuestionKind, key: str, number: int, units: UnitSystem, shown: frozenset[str], student: int
) -> Question:
    """A student's question, with other numbers than the screen's and than those of the class's students before.

    They choose in their order, so that a sheet is the same whoever else gets one.
    """
    first = student - (student - 1) % CLASS
    before = {_of_class(kind, key, number, units, shown, s).text for s in range(first, student)}
    return _untaken(kind, key, number, units, student, frozenset(before), shown)


def _untaken(
    kind: QuestionKind, key: str, number: int, units: UnitSystem, student: int, taken: frozenset[str],
    shown: frozenset[str],
) -> Question:  # fmt: skip
    """The first draw that asks something new; where nothing new is left, the first that the screen does not show."""
    drawn: list[Question] = []
    for again in range(1 if is_fixed(kind) else MOST_SEEDS):
        drawn.append(draw(kind, seed_of(key, student, number, again), units))
        if drawn[-1].text not in taken and drawn[-1].text not in shown:
            return drawn[-1]
    return next((q for q in drawn if q.text not in shown), drawn[0])


def student_numbers(text: str) -> tuple[int, ...]:
    """Student numbers from text such as ``1-24`` or ``3, 7, 10-12``.

    Raises
    ------
    AirsideError
        It is none, out of order, or too many.
    """
    found: list[int] = []
    for part in text.split(","):
        match = _RANGE.fullmatch(part.strip())
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, -1)
        if not 1 <= first <= last <= LARGEST_STUDENT:
            raise AirsideError(
                f'students: found "{text[:60]}"; expected numbers from 1 to {LARGEST_STUDENT:,}, such as 1-24 or 3, 7, 10-12.'
            )
        # Not all of a huge range before it is refused.
        found += range(first, min(last, first + MOST_STUDENTS) + 1)
    students = tuple(dict.fromkeys(found))
    if len(students) > MOST_STUDENTS:
        raise AirsideError(f"students: more than {MOST_STUDENTS}; make the sheets in several parts.")
    return students


def beside(lesson: Lesson, out: str | Path | None, ending: str) -> Path:
    """Where an export goes: as named, or beside the lesson's folder with its name and this ending."""
    if out is not None:
        return Path(out)
    folder = lesson.folder
    name = folder.resolve().name + ending
    # Short in messages: as the folder was named.
    return folder.parent / name if folder.name not in ("", "..") else folder.resolve().parent / name


def numbers_said(students: Sequence[int]) -> str:
    """Student numbers in words, for a title."""
    return f"student {students[0]}" if len(students) == 1 else f"{len(students)} students"
