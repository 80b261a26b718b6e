"""Read a lesson: a folder with ``lesson.md``, CommonMark with marks in fenced blocks.

A mark is data: nothing that stands in a lesson is computed or run, and no file outside the folder is opened.

Sources
-------
CommonMark 0.31: fenced code blocks, HTML blocks (parsed by markdown-it-py).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

from airside.teach.finding import Finding, LessonError
from airside.teach.marks import MARKS, LessonMark, Mark, read_mark

LESSON_FILE = "lesson.md"
# A lesson is read in half an hour; anything larger is another file.
LARGEST = 1_000_000
NO_HTML = "HTML is not allowed in a lesson. Write Markdown, or put < in `backticks`."
LIKE_A_MARK = re.compile(r"^[\s>*+-]*(`{3,}|~{3,})\s*airside\b", re.IGNORECASE)
DEMO = "demo:"
MarkType = TypeVar("MarkType", bound=Mark)


@dataclass(frozen=True)
class Text:
    """Markdown between two marks.

    Attributes
    ----------
    markdown : str
    line : int
        Of its first line in the file.
    """

    markdown: str
    line: int


@dataclass(frozen=True)
class Marked:
    """A mark at its place.

    Attributes
    ----------
    mark : Mark
    line : int
        Of the mark's first line in the file.
    toml : str
        As it stands in the file.
    """

    mark: Mark
    line: int
    toml: str = ""


@dataclass(frozen=True)
class Lesson:
    """A lesson as it was read.

    Attributes
    ----------
    folder : Path
    head : LessonMark
    parts : tuple of Text or Marked
        In order; the lesson mark itself is not among them.
    head_line : int
    head_toml : str
    """

    folder: Path
    head: LessonMark
    parts: tuple[Text | Marked, ...]
    head_line: int = 1
    head_toml: str = ""

    @property
    def file(self) -> str:
        """The lesson's file, as findings name it."""
        return str(self.folder / LESSON_FILE)

    def marks(self, of: type[MarkType]) -> tuple[tuple[MarkType, int], ...]:
        """Marks of one class, each with its line; an example is no question."""
        return tuple((p.mark, p.line) for p in self.parts if isinstance(p, Marked) and type(p.mark) is of)


def read_lesson(folder: str | Path) -> Lesson:
    """Read a lesson's folder.

    Parameters
    ----------
    folder : str or Path

    Returns
    -------
    Lesson

    Raises
    ------
    LessonError
        Everything that is wrong, each with file and line.
    """
    text = _text_of(Path(folder))
    return parse_lesson(text, Path(folder))


def _text_of(folder: Path) -> str:
    file = folder / LESSON_FILE

    def refuse(message: str, line: int = 0) -> LessonError:
        return LessonError([Finding(str(file if line or folder.is_dir() else folder), line, message)])

    try:
        if not folder.is_dir():
            found = "is a file, not a folder" if folder.exists() else "there is no such folder"
            raise refuse(f"{found}. Expected a lesson's folder with {LESSON_FILE} in it.")
        if not file.is_file():
            raise refuse(f"there is no {LESSON_FILE} here. Make a lesson with: airside author new FOLDER")
        if not is_inside(file, folder):
            raise refuse("leads out of the lesson's folder. Put the file itself there.")
        with file.open("rb") as stream:
            raw = stream.read(LARGEST + 1)
    except OSError as error:
        raise refuse(f"cannot be read ({error.strerror}).") from None
    if len(raw) > LARGEST:
        raise refuse(f"has more than {LARGEST:,} bytes; a lesson is a text for half an hour.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(
            "is not UTF-8 text. Save it as UTF-8 in the editor.", raw[: error.start].count(b"\n") + 1
        ) from None
    if "\0" in text:
        raise refuse("holds a zero byte, so it is not a text file.", text[: text.index("\0")].count("\n") + 1)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def parse_lesson(text: str, folder: Path) -> Lesson:
    """A lesson from its text; the folder is where its files are.

    Raises
    ------
    LessonError
        Everything that is wrong, each with file and line.
    """
    reader = _Reader(text, str(folder / LESSON_FILE))
    reader.read()
    if reader.findings:
        raise LessonError(reader.findings)
    (head, mark), *_ = reader.heads
    return Lesson(folder, mark, tuple(reader.parts), head.line, head.toml)


class _Reader:
    """Goes through a lesson's blocks, keeps its parts, and notes what is wrong."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.lines = text.split("\n")
        self.parts: list[Text | Marked] = []
        self.heads: list[tuple[Marked, LessonMark]] = []
        self.findings: list[Finding] = []
        # Lines, counted from 0, up to which all has been kept, and those inside fenced blocks.
        self._kept = 0
        self._fenced: set[int] = set()
        self._has_marks = self._has_bad_head = False

    def say(self, line: int, message: str) -> None:
        self.findings.append(Finding(self.file, line, message))

    def read(self) -> None:
        for token in markdown_tokens(self.text):
            if token.map is None:
                continue
            if token.type == "html_block":
                self.say(token.map[0] + 1, NO_HTML)
            elif token.type == "inline":
                for child in token.children or ():
                    if child.type == "html_inline":
                        line = _inline_line(self.lines, token.map[0], token.map[1], child.content)
                        self.say(line, f"found {child.content}. {NO_HTML}")
            elif token.type == "fence":
                self._fence(token)
        self._keep_text(len(self.lines))
        for more, _ in self.heads[1:]:
            self.say(
                more.line, f'a second "airside lesson" mark; the first is on line {self.heads[0][0].line}. Keep one.'
            )
        if not self.heads and not self._has_bad_head:
            hint = (
                ""
                if self._has_marks
                else " The file has no marks at all: a mark is a block that begins with ```airside."
            )
            self.say(1, f'the "airside lesson" mark is missing. Put it first.{hint}')
        for number, text in enumerate(self.lines):
            if LIKE_A_MARK.match(text) and number not in self._fenced:
                self.say(
                    number + 1,
                    "this looks like a mark and is none. Put it at the left margin, with an empty line before it.",
                )

    def _fence(self, token: Any) -> None:
        first, last = token.map
        self._fenced.update(range(first, last))
        words = token.info.split()
        is_mark = bool(words) and words[0].casefold() == "airside"
        self._has_marks = self._has_marks or is_mark
        if is_mark and token.level:
            self.say(first + 1, "a mark stands inside a list or a quotation. Move it to the left margin.")
        elif not token.level and not self._is_closed(token):
            what = "mark" if is_mark else "block"
            self.say(first + 1, f"the {what} that begins here has no end. Close it with a line of {token.markup}.")
        elif not token.level and _meant_as_mark(words):
            self.say(first + 1, f"this block is shown as code. For a mark write: airside {words[-1].casefold()}")
        elif is_mark and len(words) != 2:
            self.say(first + 1, "a mark has the word airside and one other, such as: airside question")
        elif is_mark:
            self._mark(words[1], token.content, first, last)

    def _mark(self, name: str, toml: str, first: int, last: int) -> None:
        mark, wrong = read_mark(name, toml, first + 2)
        for line, message in wrong:
            self.say(line, message)
        self._keep_text(first)
        self._kept = last
        self._has_bad_head = self._has_bad_head or (name == "lesson" and mark is None)
        if isinstance(mark, LessonMark):
            if not self.heads and self.parts:
                self.say(1, 'something stands before the "airside lesson" mark. Put that mark first.')
            self.heads.append((Marked(mark, first + 1, toml), mark))
        elif mark is not None:
            self.parts.append(Marked(mark, first + 1, toml))

    def _is_closed(self, token: Any) -> bool:
        first, last = token.map
        end = self.lines[min(last, len(self.lines)) - 1].strip()
        return last - first > 1 and len(end) >= len(token.markup) and set(end) == {token.markup[0]}

    def _keep_text(self, end: int) -> None:
        start = self._kept
        while start < end and not self.lines[start].strip():
            start += 1
        markdown = "\n".join(self.lines[start:end]).rstrip()
        if markdown:
            self.parts.append(Text(markdown, start + 1))


def _meant_as_mark(words: list[str]) -> bool:
    """Whether a block's words are a mark's without the word airside, or with it misspelt."""
    if not words or words[-1].casefold() not in MARKS:
        return False
    near = get_close_matches(words[0].casefold(), ["airside"], n=1, cutoff=0.7)
    return len(words) == 1 or (len(words) == 2 and words[0].casefold() != "airside" and bool(near))


def markdown_tokens(text: str) -> Sequence[Any]:
    """CommonMark's tokens of a text."""
    from markdown_it import MarkdownIt

    tokens: Sequence[Any] = MarkdownIt("commonmark").parse(text)
    return tokens


def html_in(markdown: str) -> Iterable[str]:
    """The pieces of HTML in a Markdown text."""
    for token in markdown_tokens(markdown):
        if token.type == "html_block":
            yield token.content.strip().split("\n")[0]
        for child in token.children or ():
            if child.type == "html_inline":
                yield child.content


def _inline_line(lines: list[str], first: int, last: int, content: str) -> int:
    return next((n + 1 for n in range(first, last) if content.split("\n")[0] in lines[n]), first + 1)


def is_inside(file: Path, folder: Path) -> bool:
    """Whether a file lies in a folder, links followed."""
    try:
        return file.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):
        return False


def file_in(folder: Path, name: str) -> Path:
    """A file that a mark names: one in the lesson's folder.

    Raises
    ------
    ValueError
        It lies outside, or is not there; a sentence.
    """
    if not name.strip():
        raise ValueError("no file is named. Name one in the lesson's folder.")
    if "\\" in name or "\0" in name or Path(name).is_absolute() or ".." in Path(name).parts or ":" in name:
        raise ValueError(
            f'"{name}" leads out of the lesson\'s folder. Name a file in the folder, with / between parts.'
        )
    file = folder / name
    if not is_inside(file, folder):
        raise ValueError(f'"{name}" leads out of the lesson\'s folder. Put the file itself there.')
    if not file.is_file():
        raise ValueError(f'there is no file "{name}" in the lesson\'s folder.')
    return file
