"""Answers that nothing in the world can have, and why: said in place of a plain "not yet"."""

from __future__ import annotations

from airside.teach.drawing import WHOLE, Question
from airside.units import UnitSystem, show

ABSOLUTE_ZERO = -273.15
# Inside units: the end of the scale, and why there is nothing below it.
LOWEST: dict[str, tuple[float, str]] = {
    "temperature": (ABSOLUTE_ZERO, "That is absolute zero: there is no heat left to be taken."),
    "relative_humidity": (0.0, "At 0 % there is no water in the air at all, and there cannot be less than none."),
    "humidity_ratio": (0.0, "At 0 there is no water in the air at all, and there cannot be less than none."),
    "vapour_pressure": (0.0, "At 0 there is no vapour left that could press."),
    "barometric_pressure": (0.0, "At 0 there is no air left above: that is a vacuum."),
    "refrigerant_pressure": (-101_325.0, "A gauge at sea level shows this in a full vacuum, and nothing lies below a vacuum."),
    "specific_volume": (0.0, "A pound or a kilogram of air always takes up some room."),
    "density": (0.0, "Air always weighs something."),
    "area": (0.0, "An area has no sign."),
    "mass": (0.0, "A mass has no sign."),
    "time": (0.0, "It would have been over before it began."),
    "count": (0.0, "You can count to nothing, but not below."),
    "efficiency": (0.0, "A unit that takes power and cools has an efficiency above 0."),
}  # fmt: skip
# The other end, where there is one.
HIGHEST: dict[str, tuple[float, str]] = {
    "relative_humidity": (1.0, "At 100 % air is saturated: water beyond that falls out as drops or fog."),
}


def impossible(question: Question, value: float, *, slack: float = 1e-9) -> str:
    """Why an answer cannot be; empty where it can.

    Parameters
    ----------
    question : Question
    value : float [inside unit of the question's kind]
    slack : float [inside unit]
        An answer at the end itself may be rounded.
    """
    kind = question.kind
    if kind.is_difference:
        # A difference of two humidities may well be below zero, and of two temperatures below absolute zero's figure.
        return ""
    if is_part_of_a_count(question, value):
        return "What is counted here comes whole. Is the part that is left over one of them, or none?"
    low, high = LOWEST.get(kind.kind), HIGHEST.get(kind.kind)
    if low is not None and value < low[0] - slack:
        return f"{_name(kind.kind)} below {_end(low[0], kind.kind, question.units)} cannot be. {low[1]}"
    if high is not None and value > high[0] + slack:
        return f"{_name(kind.kind)} above {_end(high[0], kind.kind, question.units)} cannot be. {high[1]}"
    return ""


def is_part_of_a_count(question: Question, value: float) -> bool:
    """Whether things are counted and an answer is no whole number."""
    return question.comes_whole and abs(value - round(value)) > WHOLE


def _name(kind: str) -> str:
    name = kind.replace("_", " ")
    return f"{'An' if name[0] in 'aeiou' else 'A'} {name}"


def _end(value: float, kind: str, units: UnitSystem) -> str:
    text = show(value, kind, units)
    number, _, unit = text.partition(" ")
    # A plain 0 or 100 without decimals.
    plain = float(number.replace(",", ""))
    return f"{plain:.0f} {unit}".rstrip() if plain == round(plain) else text
