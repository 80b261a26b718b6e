"""The pictures of a lesson as files for slides: SVG and PNG, with their descriptions in a text beside them."""

from __future__ import annotations

import re
from pathlib import Path

from airside.errors import AirsideError, OutputError
from airside.files import check_free, write_whole
from airside.show.figure_files import figure_bytes
from airside.show.palette import Theme
from airside.show.printable import printable
from airside.teach.exports.asked import beside, usable_lesson
from airside.teach.finding import Finding, LessonError
from airside.teach.lesson import Lesson
from airside.teach.marks import PictureMark
from airside.teach.pictures import picture_figure
from airside.teach.references import finder
from airside.units import UnitSystem

# A picture of seven inches fills a slide of 1,920 pixels.
DPI = 270
DESCRIPTIONS = "descriptions.txt"


def slide_pictures(lesson: Lesson, units: UnitSystem | None = None, theme: Theme = "light") -> dict[str, bytes]:
    """The pictures of a lesson by the names of their files, in order; with ``descriptions.txt``.

    Parameters
    ----------
    lesson : Lesson
    units : "IP" or "SI", optional
        Default: the lesson's.
    theme : "light", "dark" or "print"

    Raises
    ------
    LessonError
        There is no picture, or one cannot be drawn; with file and line.
    """
    from matplotlib import pyplot

    marks = lesson.marks(PictureMark)
    if not marks:
        raise LessonError([Finding(lesson.file, 0, 'there is no picture here. Add "airside picture" marks.')])
    found: dict[str, bytes] = {}
    said = [f"Lesson {lesson.head.number}: {lesson.head.title}"]
    for number, (mark, line) in enumerate(marks, start=1):
        name = f"{number:02d}_{re.sub(r'[^a-z0-9]+', '_', mark.shows.casefold()).strip('_')}"
        try:
            figure = picture_figure(
                mark.shows, mark.parameters, units=units or lesson.head.units, theme=theme, find=finder(lesson)
            )
        except AirsideError as error:
            raise LessonError([Finding(lesson.file, line, str(error))]) from None
        found[f"{name}.svg"] = figure_bytes(figure, "svg")
        found[f"{name}.png"] = figure_bytes(figure, "png", DPI)
        pyplot.close(figure)
        said.append(f"{name}: {' '.join(mark.describes.split())}")
    found[DESCRIPTIONS] = printable("\n\n".join(said) + "\n").encode()
    return found


def write_pictures(
    folder: str | Path,
    out: str | Path | None = None,
    *,
    units: UnitSystem | None = None,
    theme: Theme = "light",
    force: bool = False,
) -> tuple[Path, ...]:
    """Write the pictures of a lesson into a folder.

    Parameters
    ----------
    folder : str or Path
        The lesson's folder.
    out : str or Path, optional
        Folder of the pictures, made where it is missing; default: beside the lesson's folder.
    units, theme : as `slide_pictures`
    force : bool
        Replace files that exist.

    Raises
    ------
    LessonError
        As `slide_pictures`.
    OutputError
        A file exists already, or cannot be written.
    """
    lesson = usable_lesson(folder)
    target = beside(lesson, out, "_pictures")
    found = slide_pictures(lesson, units, theme)
    return write_into(target, found, force=force)


def write_into(folder: Path, content: dict[str, bytes], *, force: bool) -> tuple[Path, ...]:
    """Write files into a folder, which is made where it is missing: none where one of them is in the way.

    Raises
    ------
    OutputError
        A file exists already, or the folder cannot be made.
    """
    try:
        folder.mkdir(exist_ok=True)
    except FileNotFoundError:
        raise OutputError(f"{folder}: the folder {folder.parent} does not exist. Make it first.") from None
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror}). Name another place.") from None
    for name in content:
        check_free(folder / name, force=force)
    return tuple(write_whole(folder / name, data, force=force) for name, data in content.items())
