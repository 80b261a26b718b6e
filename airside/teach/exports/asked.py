"""The questions of a lesson as they are asked on paper: numbered, with numbers of each student's own."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from airside.errors import AirsideError
from airside.teach.drawing import Question, draw
from airside.teach.exercise_panel import steps_of
from airside.teach.finding import Finding, LessonError
from airside.teach.kinds import kind_of
from airside.teach.lesson import Lesson, read_lesson
from airside.teach.marks import QuestionMark
from airside.teach.references import unusable
from airside.units import UnitSystem

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# A student's number is the seed; a kind that is asked again in the same lesson takes a seed this much further.
LARGEST_STUDENT = 9_999
AGAIN = 10_000
MOST_STUDENTS = 200
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
    def short_answer(self) -> str:
        """The answer as a table holds it: a letter, or the number with its unit."""
        question = self.question
        return LETTERS[round(question.answer)] if question.kind.options else question.shown(question.answer)

    @property
    def accepted(self) -> tuple[str, str]:
        """The ends of what counts as right, with units; two empty texts for a question with options."""
        question = self.question
        if question.kind.options:
            return "", ""
        low, high = (question.shown(question.answer + by * question.tolerance) for by in (-1, 1))
        return low, high

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

    Parameters
    ----------
    lesson : Lesson
    student : int
        Its number is the seed of every question.
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
    times: Counter[str] = Counter()
    found, wrong = [], []
    for number, (mark, line) in enumerate(marks, start=1):
        kind = kind_of(mark.kind)
        system = units or lesson.head.units
        if system not in kind.systems:
            system = kind.systems[0]
        try:
            question = draw(kind, student + AGAIN * times[mark.kind], system)
        except AirsideError as error:
            wrong.append(Finding(lesson.file, line, str(error)))
            continue
        times[mark.kind] += 1
        found.append(Asked(number, question, line))
    if wrong:
        raise LessonError(wrong)
    return tuple(found)


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
