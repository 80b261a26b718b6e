"""The sum of a worked step as the trainee would write it: a step's template, filled with the numbers and units in use.

A template holds places in braces. ``{name}`` is a parameter as the question states it, ``{-1}`` the result of the step
before, ``{2}`` that of the second step, ``{#1}`` the first of the step's own `numbers`. A list of readings takes a word
behind a colon: ``total``, ``count``, ``highest``, ``lowest``, the place of one reading from 1, or ``minus`` and another
list. ``fraction`` writes a percent as a fraction. Nothing is computed from a text here: only places are filled.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from airside.errors import AirsideError
from airside.teach.question import Step
from airside.units import UnitSystem, show

_PLACE = re.compile(r"\{([#-]?\w+)(?::([\w ]+))?\}(²?)")
# States a parameter, as a whole or in the way that the word behind the colon says.
Stated = Callable[[str, str], str]


def written_sum(steps: tuple[Step, ...], place: int, units: UnitSystem, stated: Stated) -> str:
    """The sum of one step with its numbers and units; empty where the step has none.

    Parameters
    ----------
    steps : tuple of Step
    place : int
        Of the step, from 0.
    units : "IP" or "SI"
    stated : callable
        From a parameter's name and the word behind the colon to its text.

    Raises
    ------
    AirsideError
        The template names a step or a number that is not there.
    """
    template = steps[place].template(units)

    def fill(found: re.Match[str]) -> str:
        name, way, square = found[1], found[2] or "", found[3]
        text = _number(name, steps, place, units) if name[0] in "#-" or name.isdigit() else stated(name, way)
        first = not template[: found.start()].strip()
        # Two signs do not stand side by side, and a square is of the number with its unit.
        wrapped = square or (text.startswith("-") and not first)
        return f"({text}){square}" if wrapped else text

    return _PLACE.sub(fill, template)


def _number(name: str, steps: tuple[Step, ...], place: int, units: UnitSystem) -> str:
    own = steps[place].numbers
    if name.startswith("#"):
        index = int(name[1:]) - 1
        if not 0 <= index < len(own):
            raise AirsideError(f'step "{steps[place].says}": its sum names {name}, but it has {len(own)} numbers.')
        value, kind = own[index]
        return show(value, kind, units)
    index = place + int(name) if name.startswith("-") else int(name) - 1
    if not 0 <= index < place:
        raise AirsideError(f'step "{steps[place].says}": its sum names step {name}, which does not stand before it.')
    return steps[index].shown(units)


def of_readings(
    numbers: tuple[float, ...], decimals: int, unit: str, way: str, other: tuple[float, ...] = (), difference: str = ""
) -> str:
    """A list of readings in one of the ways that a template asks for.

    Parameters
    ----------
    numbers, other : tuple of float [the stated unit]
        The second is the list that is taken off.
    decimals : int
    unit, difference : str
        Label of a reading, and of a difference of two.
    way : str

    Raises
    ------
    AirsideError
        The way is not known.
    """

    def text(value: float, label: str = unit) -> str:
        return f"{value:,.{decimals}f}{f' {label}' if label else ''}"

    if way == "count":
        return str(len(numbers))
    if way in ("highest", "lowest"):
        return text(max(numbers) if way == "highest" else min(numbers))
    if way.isdigit() and 1 <= int(way) <= len(numbers):
        return text(numbers[int(way) - 1])
    if way.startswith("minus") and len(other) == len(numbers):
        pairs: Any = [text(a - b, "") for a, b in zip(numbers, other, strict=True)]
        return f"({' + '.join(f'({p})' if p.startswith('-') else p for p in pairs)}) {difference}".rstrip()
    if way == "total":
        return f"({' + '.join(text(n, '') for n in numbers)}) {unit}".rstrip()
    raise AirsideError(f'readings cannot be written as "{way}" in a sum.')
