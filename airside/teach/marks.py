"""The marks of a lesson: what each holds, and sentences for what is wrong with one. Data only; no text is ever computed."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from airside.teach.toml_words import toml_problem
from airside.units import UnitSystem

# A mark is a short table; anything larger is not one.
LARGEST_MARK = 50_000
Words = Annotated[str, Field(min_length=1)]


class Mark(BaseModel):
    """Base of the marks; an unknown key is a mistake."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class LessonMark(Mark):
    """The lesson itself; the first mark.

    Attributes
    ----------
    number : int
    title : str
    minutes : int
        How long it takes.
    able : list of str
        What the trainee will be able to do.
    sources : list of str
    next : str
        Folder of the next lesson; empty after the last one.
    next_says : str
        What comes next, in a sentence.
    units : "IP" or "SI"
        In which the lesson opens.
    """

    number: int = Field(ge=1, le=999)
    title: Words
    minutes: int = Field(ge=1, le=600)
    able: list[Words] = Field(min_length=1)
    sources: list[Words] = Field(min_length=1)
    next: str = Field(default="", pattern=r"^[A-Za-z0-9_-]*$")
    next_says: str = ""
    units: UnitSystem = "IP"


class QuestionMark(Mark):
    """A question that the trainee answers."""

    kind: Words
    seed: int = Field(ge=0, le=2**31)


class ExampleMark(QuestionMark):
    """A worked example: a question with its solution, step by step."""


class PictureMark(Mark):
    """A picture; every other key is a parameter of it."""

    model_config = ConfigDict(extra="allow", strict=True, frozen=True)

    shows: Words
    describes: str = ""

    @property
    def parameters(self) -> dict[str, Any]:
        """The picture's own keys."""
        return dict(self.model_extra or {})


class PanelMark(Mark):
    """A panel of the workbench, beginning with a visit, or with two."""

    shows: Words
    visit: str = ""
    before: str = ""
    after: str = ""


class AsideMark(Mark):
    """A box: why it matters in the field, or a caution."""

    kind: Literal["field", "caution"]
    text: Words


MARKS: dict[str, type[Mark]] = {
    "lesson": LessonMark,
    "question": QuestionMark,
    "example": ExampleMark,
    "picture": PictureMark,
    "panel": PanelMark,
    "aside": AsideMark,
}


def nearest(word: str, known: Any) -> str:
    """A hint at the word that was probably meant, or the list of those that are known."""
    names = sorted(str(k) for k in known)
    near = get_close_matches(word.casefold(), [n.casefold() for n in names], n=1, cutoff=0.6)
    for name in names:
        if near and name.casefold() == near[0]:
            return f'Did you mean "{name}"?'
    listed = ", ".join(names[:40])
    return f"Known are: {listed}{' …' if len(names) > 40 else ''}."


def read_mark(name: str, text: str, start: int) -> tuple[Mark | None, list[tuple[int, str]]]:
    """A mark from its TOML.

    Parameters
    ----------
    name : str
        The word after ``airside``.
    text : str
        What stands in the block.
    start : int
        Line of the file on which the block's first line of content stands.

    Returns
    -------
    Mark or None, list of (int, str)
        The mark, or what is wrong with it, each with its line in the file.
    """
    if name not in MARKS:
        return None, [(start - 1, f'unknown mark "airside {name}". {nearest(name, MARKS)}')]
    if len(text) > LARGEST_MARK:
        return None, [
            (start - 1, f"the mark is longer than {LARGEST_MARK:,} letters. Put data in a file of the folder.")
        ]
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        begun = next((n for n, line in enumerate(text.split("\n")) if re.match(r"\s*(`{3}|~{3})", line)), None)
        if begun is not None:
            said = f"the mark that begins here has no end: on line {start + begun} the next one begins. Close it with a line of ```."
            return None, [(start - 1, said)]
        line, words = toml_problem(error, text)
        return None, [(start + line, f'the "airside {name}" mark is not TOML: {words}')]
    except RecursionError:
        return None, [(start - 1, f'the "airside {name}" mark is nested too deeply. Write it flat.')]
    problem = _not_plain(data)
    if problem:
        return None, [(start + line_of(text, problem[0]), problem[1])]
    try:
        return MARKS[name].model_validate(data), []
    except ValidationError as error:
        return None, sentences(error, text, start, MARKS[name], f"airside {name}")


def sentences(error: ValidationError, text: str, start: int, model: type[BaseModel], of: str) -> list[tuple[int, str]]:
    """pydantic's findings as sentences, each with its line in the file."""
    found = []
    for one in error.errors():
        way = one["loc"]
        key = ".".join(str(p + 1) if isinstance(p, int) else p for p in way)
        # A key that is missing at the top has no line of its own: the mark's first line is named.
        line = start - 1 if one["type"] == "missing" and len(way) == 1 else start + _line_of_way(text, way)
        found.append((line, f'in the "{of}" mark, {_sentence(one, key, _model_at(model, way[:-1]))}'))
    return found


def _model_at(model: type[BaseModel], way: tuple[int | str, ...]) -> type[BaseModel]:
    """The model of the table in which a key stands."""
    for part in way:
        if isinstance(part, int) or part not in model.model_fields:
            continue
        inner = [
            a
            for a in _arguments(model.model_fields[part].annotation)
            if isinstance(a, type) and issubclass(a, BaseModel)
        ]
        model = inner[0] if inner else model
    return model


def _arguments(annotation: Any) -> list[Any]:
    inner = get_args(annotation)
    return [a for part in inner for a in _arguments(part)] if inner else [annotation]


def _line_of_way(text: str, way: tuple[int | str, ...]) -> int:
    """Line, counted from 0, of a value by its way: key, place in a list, key in a table."""
    if not way:
        return 0
    lines = text.split("\n")
    number = line_of(text, str(way[0]))
    at = sum(len(line) + 1 for line in lines[:number])
    if len(way) > 1 and isinstance(way[1], int):
        for _ in range(way[1] + 1):
            at = max(text.find("{", at + 1), at)
    if len(way) > 2:
        at = max(text.find(str(way[2]), at), at)
    return text[:at].count("\n")


def _sentence(one: Any, key: str, model: type[BaseModel]) -> str:
    kind, value, context = one["type"], one["input"], one.get("ctx", {})
    seen = quoted(value)
    if kind == "missing":
        return f"{key} is missing. Add a line: {key} = …"
    if kind == "extra_forbidden":
        return f'the key "{key}" is not known. {nearest(key, model.model_fields)}'
    if kind == "literal_error":
        return f"{key} is {seen}; expected {context['expected']}."
    if kind == "string_type":
        return f"{key} is {seen}; expected a text in double quotes."
    if kind in ("string_too_short", "too_short"):
        return f"{key} is empty. Write something there."
    if kind.startswith(("int", "float")):
        return f"{key} is {seen}; expected a number without quotes."
    if kind.startswith(("greater", "less")):
        wanted = one["msg"].removeprefix("Input should be ")
        return f"{key} is {seen}; expected a number {wanted}."
    if kind in ("list_type", "tuple_type"):
        return f'{key} is {seen}; expected a list, such as ["…", "…"].'
    if kind == "bool_type":
        return f"{key} is {seen}; expected true or false."
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f'{key} is {seen}; expected a table, such as {{ name = "…" }}.'
    if kind == "string_pattern_mismatch":
        return f"{key} is {seen}; expected letters, digits, _ and - only."
    if kind == "value_error":
        return f"{key}: {context['error']}" if key else f"{context['error']}"
    return f"{key} is {seen}: {one['msg']}."


def quoted(value: Any) -> str:
    """A value as a sentence shows it, cut where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:78] + '…"'


def line_of(text: str, key: str) -> int:
    """Line, counted from 0, of a key in TOML; 0 where it is not found."""
    for number, line in enumerate(text.splitlines()):
        word = line.split("=", 1)[0].strip().strip("\"'[]")
        if key and (word == key or word.startswith(f"{key}.")):
            return number
    return 0


def _not_plain(data: Mapping[str, Any]) -> tuple[str, str] | None:
    """The key of a value that is no text, number, truth, list or table, with a sentence."""

    def look(value: Any) -> bool:
        if isinstance(value, Mapping):
            return all(look(v) for v in value.values())
        if isinstance(value, list):
            return all(look(v) for v in value)
        if isinstance(value, float):
            return math.isfinite(value)
        return isinstance(value, (str, int, bool))

    for key, value in data.items():
        if not look(value):
            return key, f"{key} holds a date, or a number without an end; expected texts in quotes and plain numbers."
    return None
