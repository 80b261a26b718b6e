"""Check a lesson: what an author would get wrong, each with file, line and a sentence."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from airside.errors import AirsideError
from airside.teach.build import cells_of, notebook_place, notebook_text
from airside.teach.check_words import closing_caution, template_left
from airside.teach.finding import Finding, LessonError, Weight
from airside.teach.kind_check import kind_problems
from airside.teach.kinds import QUESTION_KINDS
from airside.teach.lesson import Lesson, Marked, Text, markdown_tokens, read_lesson
from airside.teach.link_check import anchor, headings_of, link_problem, links_of, unlinked
from airside.teach.marks import AsideMark, ExampleMark, PanelMark, PictureMark, QuestionMark, line_of
from airside.teach.picture_examples import DESCRIBES
from airside.teach.reading_level import grade, minutes, words_of
from airside.teach.references import unusable

FEWEST_QUESTIONS = 5
# Words of a story; of a description.
STORY = 40
DESCRIPTION = (4, 90)
# A lesson's length [min], and how far the stated one may be from that of its parts.
LENGTH = (20, 40)
FAR = 1.6
# What an author leaves standing for later.
LEFT_OVER = re.compile(r"\b(TODO|TBD|FIXME|XXX|lorem ipsum)\b", re.IGNORECASE)


def check_lesson(folder: str | Path, out: str | Path | None = None, *, run: bool = True) -> list[Finding]:
    """Everything that is found in a lesson's folder and in its notebook.

    Parameters
    ----------
    folder : str or Path
    out : str or Path, optional
        The notebook; by default beside the folder.
    run : bool
        Run the cells too, and compare with the notebook.

    Returns
    -------
    list of Finding
        Mistakes first, then hints, then information; each in the order of the lines.
    """
    try:
        lesson = read_lesson(folder)
        target = notebook_place(folder, out)
    except LessonError as error:
        return list(error.findings)
    except AirsideError as error:
        return [Finding(str(folder), 0, str(error))]
    found = [
        *unusable(lesson),
        *_parts(lesson, target.parent),
        *_texts(lesson, target.parent),
        *template_left(lesson),
        *closing_caution(lesson),
        *_questions(lesson),
        *_pictures(lesson),
    ]
    if run and not any(f.weight == "mistake" for f in found):
        found += _notebook(lesson, target)
    found += _information(lesson)
    order = ("mistake", "hint", "information")
    return sorted(found, key=lambda f: (order.index(f.weight), f.line))


def report(findings: Sequence[Finding]) -> str:
    """Findings as text: a line for each, and what they come to."""
    heads = {"mistake": "", "hint": "hint: ", "information": "information: "}
    lines = [f"{f.file}{f', line {f.line}' if f.line else ''}: {heads[f.weight]}{f.message}" for f in findings]
    mistakes = sum(f.weight == "mistake" for f in findings)
    hints = sum(f.weight == "hint" for f in findings)
    said = f"{mistakes} thing{'s' if mistakes != 1 else ''} to mend" if mistakes else "Nothing to mend"
    lines.append(f"{said}{f', {hints} to look at' if hints else ''}.")
    return "\n".join(lines)


# -- what a lesson must have --------------------------------------------------------------------------


def _parts(lesson: Lesson, place: Path) -> Iterable[Finding]:
    """Parts that are missing, or stand in another order."""
    at = lesson.head_line

    def miss(message: str, weight: Weight = "mistake", line: int = at) -> Finding:
        return Finding(lesson.file, line, message, weight)

    shown = [p for p in lesson.parts if isinstance(p, Marked) and not isinstance(p.mark, AsideMark)]
    first = min((p.line for p in shown), default=10**9)
    story = sum(len(words_of(_plain(p.markdown))) for p in lesson.parts if isinstance(p, Text) and p.line < first)
    if story < STORY:
        yield miss(f"the story is missing: before the first picture, panel, example or question stand {story} words; "
                   f"expected {STORY} or more that tell of a place and its trouble.")  # fmt: skip
    if not lesson.marks(PictureMark) and not lesson.marks(PanelMark):
        yield miss(
            'there is no picture and no panel. Add an "airside picture" or "airside panel" mark to the concepts.'
        )
    examples, questions = lesson.marks(ExampleMark), lesson.marks(QuestionMark)
    if not examples:
        yield miss('the worked example is missing. Add an "airside example" mark.')
    if len(questions) < FEWEST_QUESTIONS:
        yield miss(
            f'there are {len(questions)} exercises; expected {FEWEST_QUESTIONS} or more "airside question" marks.'
        )
    if examples and questions and questions[0][1] < examples[0][1]:
        yield miss("an exercise stands before the worked example. Show the way first.", "hint", questions[0][1])
    asides = {mark.kind for mark, _ in lesson.marks(AsideMark)}
    for kind, words in (("field", "why it matters in the field"), ("caution", "the cautions")):
        if kind not in asides:
            yield miss(
                f'{words} is missing. Add an "airside aside" mark with kind = "{kind}".'.replace(
                    "cautions is", "cautions are"
                )
            )
    if not lesson.head.next and not lesson.head.next_says:
        yield miss('it does not say what comes next. Add next = "…" or next_says = "…"', "hint")
    if lesson.head.next and link_problem(f"{lesson.head.next}.ipynb", place, ()):
        line = at + 1 + line_of(lesson.head_toml, "next")
        yield miss(
            f'next: there is no lesson "{lesson.head.next}" beside this one yet, so its link leads nowhere.',
            "hint",
            line,
        )
    low, high = LENGTH
    if not low <= lesson.head.minutes <= high:
        line = at + 1 + line_of(lesson.head_toml, "minutes")
        yield miss(f"{lesson.head.minutes} minutes; a lesson is meant for {low} to {high}.", "hint", line)


def _texts(lesson: Lesson, place: Path) -> Iterable[Finding]:
    """Links, headings and what was left standing."""
    texts = [(p.markdown, p.line) for p in lesson.parts if isinstance(p, Text)]
    texts += [(mark.text, line + 1) for mark, line in lesson.marks(AsideMark)]
    anchors = [
        anchor(h)
        for cell in cells_of(lesson, place / "x.ipynb")
        if not cell.is_code
        for _, h, _ in headings_of(cell.source)
    ]
    for markdown, start in texts:
        for kind, address, line in links_of(markdown):
            if kind == "image":
                yield Finding(
                    lesson.file,
                    start + line,
                    'an image in Markdown. Use an "airside picture" mark with shows = "image file".',
                )
            elif problem := link_problem(address, place, anchors):
                yield Finding(lesson.file, start + line, problem)
        for line, piece in unlinked(markdown):
            yield Finding(
                lesson.file,
                start + line,
                f"{piece} is not taken as a link. Use https:// or a path beside the notebook.",
            )
        for level, heading, line in headings_of(markdown):
            if level == 1:
                yield Finding(
                    lesson.file,
                    start + line,
                    f'"# {heading}": the title comes from the lesson mark. Begin headings with ##.',
                )
        lines = markdown.split("\n")
        for number, line_text in enumerate(lines):
            if found := LEFT_OVER.search(line_text):
                yield Finding(lesson.file, start + number, f'"{found[0]}" was left standing.')
            if line_text.count("$") > 1:
                yield Finding(lesson.file, start + number, "two dollar signs on a line: a notebook takes what stands between as a formula.", "hint")  # fmt: skip
            if re.match(r"^\s{0,3}\[[^\]]+\]:\s", line_text):
                yield Finding(lesson.file, start + number, "an address for a link elsewhere is lost where a mark stands between. Write it in the link itself.")  # fmt: skip


def _questions(lesson: Lesson) -> Iterable[Finding]:
    """What is wrong with the kinds that are asked, questions asked twice, sources that are not named."""
    seen: dict[tuple[str, int], int] = {}
    told: set[str] = set()
    # Each source that is not named, with the kinds that go back to it, and where they stand.
    lacking: dict[str, list[tuple[str, int]]] = {}
    named = " ".join(lesson.head.sources).casefold()
    for mark, line in (*lesson.marks(ExampleMark), *lesson.marks(QuestionMark)):
        kind = QUESTION_KINDS.get(mark.kind)
        if kind is None:
            continue
        if (mark.kind, mark.seed) in seen:
            first = seen[mark.kind, mark.seed]
            yield Finding(
                lesson.file, line, f"the same question with the same numbers stands on line {first}. Take another seed."
            )
        seen.setdefault((mark.kind, mark.seed), line)
        if mark.kind in told:
            continue
        told.add(mark.kind)
        for problem in kind_problems(kind):
            yield Finding(lesson.file, line, problem)
        document = re.split(r",|;", kind.source)[0].strip()
        if document and not document.casefold().startswith("common practice") and document.casefold() not in named:
            lacking.setdefault(document, []).append((mark.kind, line))
    for document, asked in lacking.items():
        more = f" and {len(asked) - 1} more" if len(asked) > 1 else ""
        text = f'the source of {asked[0][0]}{more}, "{document}", is not among the lesson\'s sources. Add it there.'
        yield Finding(lesson.file, asked[0][1], text, "hint")


def _pictures(lesson: Lesson) -> Iterable[Finding]:
    for mark, line in lesson.marks(PictureMark):
        count = len(words_of(mark.describes))
        if not mark.describes.strip():
            yield Finding(lesson.file, line, 'the picture has no description. Add describes = "…": what is to be seen.')
        elif mark.describes.strip() == DESCRIBES:
            yield Finding(lesson.file, line, f'the description still asks you: "{DESCRIBES}"')
        elif count < DESCRIPTION[0]:
            yield Finding(
                lesson.file,
                line,
                f"the description has {count} words; say what is to be seen, for those who cannot see it.",
                "hint",
            )
        elif count > DESCRIPTION[1]:
            yield Finding(
                lesson.file,
                line,
                f"the description has {count} words; it is a caption. Put the rest into the text.",
                "hint",
            )


def _notebook(lesson: Lesson, target: Path) -> Iterable[Finding]:
    """Whether the notebook is what the folder gives."""
    again = f"Build it: airside author build {lesson.folder}"
    try:
        wanted = notebook_text(lesson, target)
    except LessonError as error:
        return error.findings
    try:
        there = target.read_text(encoding="utf-8")
    except FileNotFoundError:
        return [Finding(str(target), 0, f"the notebook is not there yet. {again}", "hint")]
    except (OSError, UnicodeDecodeError):
        return [Finding(str(target), 0, f"the notebook cannot be read. {again}")]
    if there == wanted:
        return []
    line = _first_difference(lesson, target, there, wanted)
    where = f"; the first difference belongs to line {line} of the lesson" if line else ""
    return [Finding(str(target), 0, f"the notebook is not what the folder gives{where}. {again}")]


def _first_difference(lesson: Lesson, target: Path, there: str, wanted: str) -> int:
    try:
        one: Any = json.loads(there)["cells"]
        other: Any = json.loads(wanted)["cells"]
    except (ValueError, KeyError, TypeError):
        return 0
    for cell, a, b in zip(cells_of(lesson, target), one, other, strict=False):
        if a != b:
            return cell.line
    return 0


# -- information ---------------------------------------------------------------------------------------


def _plain(markdown: str) -> str:
    """The words of a Markdown text, a full stop after each block."""
    found = []
    for token in markdown_tokens(markdown):
        if token.type == "inline":
            text = "".join(
                c.content if c.type in ("text", "code_inline") else " " for c in token.children or ()
            ).strip()
            found.append(text if text.endswith((".", "!", "?", ":")) else f"{text}.")
    return " ".join(found)


def _information(lesson: Lesson) -> Iterable[Finding]:
    texts = [_plain(p.markdown) for p in lesson.parts if isinstance(p, Text)]
    texts += [_plain(mark.text) for mark, _ in lesson.marks(AsideMark)]
    whole = " ".join(texts)
    count = len(words_of(whole))
    counts = {
        "picture": len(lesson.marks(PictureMark)), "panel": len(lesson.marks(PanelMark)),
        "example": len(lesson.marks(ExampleMark)), "question": len(lesson.marks(QuestionMark)),
    }  # fmt: skip
    level = grade(whole)
    told = (
        f"reading level: school year {max(level, 1):.0f} (Flesch-Kincaid)"
        if level is not None
        else "too short for a reading level"
    )
    long = minutes(count, counts)
    yield Finding(lesson.file, 0, f"{told}; {count} words; about {long:.0f} minutes with its parts.", "information")
    line = lesson.head_line + 1 + line_of(lesson.head_toml, "minutes")
    if not lesson.head.minutes / FAR <= long <= lesson.head.minutes * FAR:
        yield Finding(
            lesson.file,
            line,
            f"{lesson.head.minutes} minutes are stated; by its parts it is rather {long:.0f}.",
            "hint",
        )
