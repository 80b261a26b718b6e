"""What the marks of a lesson name: question kinds, pictures and their parameters, panels, files. Nothing is drawn here."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from airside.errors import AirsideError
from airside.teach.finding import Finding
from airside.teach.lesson import DEMO, NO_HTML, Lesson, Marked, file_in, html_in, is_inside
from airside.teach.lesson_panels import PANELS
from airside.teach.marks import AsideMark, PanelMark, PictureMark, QuestionMark, line_of, nearest
from airside.teach.places import demo_file


def finder(lesson: Lesson) -> Callable[[str], Path]:
    """Gives the place of a file that a mark of this lesson names."""

    def find(name: str) -> Path:
        try:
            return place_in(lesson, name)
        except ValueError as error:
            raise AirsideError(str(error)) from None

    return find


def place_in(lesson: Lesson, name: str) -> Path:
    """A file that a mark names: in the lesson's folder, or a demo file.

    Raises
    ------
    ValueError
        It is elsewhere or not there; a sentence.
    """
    if name.startswith(DEMO):
        return demo_file(name.removeprefix(DEMO))
    return file_in(lesson.folder, name)


def unusable(lesson: Lesson) -> list[Finding]:
    """Marks that name what is not there, each with file and line."""
    head = lesson.head
    words = {"title": [head.title], "able": head.able, "sources": head.sources, "next_says": [head.next_says]}
    places = _html(words, lambda key: lesson.head_line + 1 + line_of(lesson.head_toml, key))
    for part in lesson.parts:
        if isinstance(part, Marked):
            places += _of_mark(lesson, part)
    return [Finding(lesson.file, line, message) for line, message in places]


def _html(texts: Mapping[str, Sequence[str]], at: Callable[[str], int]) -> list[tuple[int, str]]:
    """Texts of a mark go into Markdown cells, where HTML would be HTML."""
    return [
        (at(key), f"{key}: found {piece}. {NO_HTML}")
        for key, lines in texts.items()
        for text in lines
        for piece in html_in(text)
    ]


def _of_mark(lesson: Lesson, part: Marked) -> list[tuple[int, str]]:
    mark = part.mark

    def at(key: str) -> int:
        return part.line + 1 + line_of(part.toml, key)

    if isinstance(mark, QuestionMark):
        return [(at("kind"), problem)] if (problem := _question(lesson, mark)) else []
    if isinstance(mark, PictureMark):
        from airside.teach.pictures import PictureError, read_parameters

        # The three words of every picture are no parameters of one.
        try:
            read_parameters(mark.shows, mark.parameters, toml=part.toml, start=part.line + 1)
        except PictureError as error:
            return error.places
        return _files(lesson, {k: v for k in ("visit", "before", "after", "file") if (v := mark.parameters.get(k))}, at)
    if isinstance(mark, AsideMark):
        return _html({"text": [mark.text]}, at)
    if isinstance(mark, PanelMark):
        panel = PANELS.get(mark.shows)
        if panel is None:
            return [(at("shows"), f'there is no panel "{mark.shows}". {nearest(mark.shows, PANELS)}')]
        given = {k: v for k in ("visit", "before", "after") if (v := getattr(mark, k))}
        if set(given) != set(panel.files):
            wanted = " and ".join(panel.files)
            return [
                (at("shows"), f'the panel "{mark.shows}" begins with {wanted}; found {" and ".join(given) or "none"}.')
            ]
        return _files(lesson, given, at)
    return []


def _question(lesson: Lesson, mark: QuestionMark) -> str:
    from airside.teach.drawing import draw
    from airside.teach.kinds import QUESTION_KINDS

    kind = QUESTION_KINDS.get(mark.kind)
    if kind is None:
        return f'there is no question kind "{mark.kind}". {nearest(mark.kind, QUESTION_KINDS)}'
    if lesson.head.units not in kind.systems:
        return f'the question kind "{mark.kind}" is not asked in {lesson.head.units}.'
    try:
        draw(kind, mark.seed, lesson.head.units)
    except AirsideError as error:
        return str(error)
    return ""


def _files(lesson: Lesson, given: Mapping[str, str], at: Callable[[str], int]) -> list[tuple[int, str]]:
    from airside.visit.load import load_visit

    found = []
    for key, name in given.items():
        try:
            place = place_in(lesson, name)
            if key == "file":
                continue
            _check_tables(place, place.parent if name.startswith(DEMO) else lesson.folder)
            load_visit(place)
        except (ValueError, AirsideError) as error:
            found.append((at(key), str(error)))
    return found


def _check_tables(visit: Path, folder: Path) -> None:
    """A visit of a lesson reads no table from elsewhere.

    Raises
    ------
    ValueError
        It names one outside the folder.
    """
    try:
        data = tomllib.loads(visit.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):
        # What is wrong with the file itself is said when it is loaded.
        return
    for table in ("system", "airflow"):
        for key, name in data[table].items() if isinstance(data.get(table), dict) else ():
            if key.endswith("table") and isinstance(name, str) and not is_inside(visit.parent / name, folder):
                raise ValueError(
                    f"{visit.name}: {table}.{key} names {name}, which leads out of the lesson's folder. Put it there."
                )
