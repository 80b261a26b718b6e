"""What the check reads in a lesson's words: sentences of the template that still stand, and the closing caution."""

from __future__ import annotations

import re
from collections.abc import Iterable

from airside.cautions import PRECEDENCE
from airside.teach.finding import Finding
from airside.teach.first_lesson import FIRST
from airside.teach.lesson import Lesson, Text
from airside.teach.marks import AsideMark, PictureMark, line_of

# Titles that a new folder's name gives, and that say nothing.
NO_TITLES = ("my lesson", "new lesson", "lesson", "title")
# The template's own story: a sentence with one of these in it belongs to nobody else's lesson.
ITS_STORY = re.compile(r"\b(archive|caretaker)\b", re.IGNORECASE)
TO_COME = 'next_says = "'
# Where a lesson sends somebody who reads it.
EQUIPMENT = re.compile(
    r"\b(ducts?|coils?|blowers?|fans?|compressors?|refrigerant|gauges?|filters?|roofs?|ladders?|condensate|outdoor unit|air handler|live"
    r"|voltage|disconnect)\b",
    re.IGNORECASE,
)


def template_left(lesson: Lesson) -> Iterable[Finding]:
    """Sentences of the template that the author has not made their own, one finding for each paragraph."""
    head = lesson.head

    def at(key: str) -> int:
        return lesson.head_line + 1 + line_of(lesson.head_toml, key)

    if head.title.strip().casefold() in NO_TITLES:
        yield Finding(
            lesson.file, at("title"), f'the title is still "{head.title}". Say in it what the lesson is about.'
        )
    start = FIRST.index(TO_COME) + len(TO_COME)
    if _plain(head.next_says) == _plain(FIRST[start : FIRST.index('"', start)]):
        yield Finding(
            lesson.file,
            at("next_says"),
            f'next_says still asks you: "{head.next_says.strip()}" Say it, or name the next folder with next = "…".',
        )
    for text, line in _paragraphs(lesson):
        left = [s for s in _sentences(text) if _plain(s) in OF_TEMPLATE]
        if left:
            more = f" and {len(left) - 1} more" if len(left) > 1 else ""
            yield Finding(
                lesson.file, line, f'the template\'s own story still stands here; write your own. "{left[0]}"{more}'
            )


def closing_caution(lesson: Lesson) -> Iterable[Finding]:
    """A lesson that sends somebody to equipment closes its caution with what comes before any lesson."""
    sent = next((found[0] for text, _ in _paragraphs(lesson) if (found := EQUIPMENT.search(text))), None)
    cautions = [(mark, line) for mark, line in lesson.marks(AsideMark) if mark.kind == "caution"]
    if sent is None or not cautions or any(_plain(mark.text).endswith(_plain(PRECEDENCE)) for mark, _ in cautions):
        return
    yield Finding(
        lesson.file,
        cautions[-1][1],
        f'the lesson sends somebody to equipment ("{sent}"), so its caution closes with: {PRECEDENCE}',
    )


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _sentences(text: str) -> list[str]:
    return [" ".join(s.split()) for s in re.split(r'(?<=[.?!])["”]?\s+', text) if s.strip()]


def _paragraphs(lesson: Lesson) -> Iterable[tuple[str, int]]:
    """Each paragraph of the lesson with its line, and the words of its boxes and descriptions."""
    for part in lesson.parts:
        if isinstance(part, Text):
            line = part.line
            for piece in re.split(r"(\n\s*\n)", part.markdown):
                if piece.strip():
                    yield piece, line
                line += piece.count("\n")
        elif isinstance(part.mark, AsideMark):
            yield part.mark.text, part.line
        elif isinstance(part.mark, PictureMark):
            yield part.mark.describes, part.line


# Without the marks' keys: their texts are compared as they stand in the lesson.
OF_TEMPLATE = frozenset(
    _plain(sentence)
    for piece in re.split(r'\n\s*\n|^\w+ = "|"$', FIRST, flags=re.MULTILINE)
    for sentence in _sentences(piece)
    if ITS_STORY.search(sentence)
)
