"""The kinds of question as text, for an author at the command line."""

from __future__ import annotations

from airside.errors import AirsideError
from airside.teach.drawing import draw
from airside.teach.kinds import QUESTION_KINDS, kind_of
from airside.units import UnitSystem


def kinds_listed(lesson: int | None = None) -> str:
    """Every kind with its title, by the lesson of airside's own that it belongs to.

    Parameters
    ----------
    lesson : int, optional
        Only the kinds of this lesson.

    Raises
    ------
    AirsideError
        No kind belongs to it.
    """
    numbers = sorted({k.lesson for k in QUESTION_KINDS.values()})
    if lesson is not None and lesson not in numbers:
        raise AirsideError(f"no question belongs to lesson {lesson}; expected one of {numbers[0]} to {numbers[-1]}.")
    wide = max(map(len, QUESTION_KINDS))
    lines: list[str] = []
    for number in numbers if lesson is None else [lesson]:
        lines.append(f"Lesson {number}")
        lines += [f"  {k.name:<{wide}}  {k.title}" for k in QUESTION_KINDS.values() if k.lesson == number]
    return "\n".join(
        [*lines, "", f"To see one with its solution: airside author find-question {next(iter(QUESTION_KINDS))}"]
    )


def question_shown(name: str, seed: int, units: UnitSystem) -> str:
    """A question with its solution and its source, and the mark to copy.

    Raises
    ------
    AirsideError
        There is no such kind, or it is not asked in these units.
    """
    # Widgets, which a list does not need.
    from airside.teach.exercise_panel import steps_of

    kind = kind_of(name)
    question = draw(kind, seed, units)
    lines = [f"{kind.title} (lesson {kind.lesson})", "", question.text]
    lines += [f"  - {option}" for option in kind.options]
    lines += [
        "",
        *(f"  {n}. {step}" for n, step in enumerate(steps_of(question), start=1)),
        "",
        f"Source: {kind.source}",
    ]
    return "\n".join([*lines, "", "```airside question", f'kind = "{name}"', f"seed = {seed}", "```"])
