"""Judge an answer: right, a known slip, wrong, or not readable; always with a sentence."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from airside.errors import UnitError
from airside.teach.drawing import Question, from_shown, slip_width
from airside.teach.impossible import impossible, is_part_of_a_count
from airside.units import KINDS, UnitSystem, difference_from_inside, from_inside, parse

Outcome = Literal["right", "slip", "wrong", "unreadable"]
_BARE = re.compile(r"^[+-]?(\d[\d,]*\.?\d*|\.\d+)([eE][+-]?\d+)?$")
# An answer is a number and a unit; anything longer is something else.
LONGEST = 40
# So many tolerances from the right answer is close: a matter of rounding, most likely.
CLOSE = 3.0
# What a pocket calculator or a phone writes for a minus, a point of multiplication, a space.
_SIGNS = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "₂": "2"})
DEGREES = ("°F", "°C", "K")
# "72 degrees", "72 deg", "72°": without a letter, so in the scale of the question.
_BARE_DEGREES = re.compile(r"\s*(degrees?|degs?\.?|°)$", re.IGNORECASE)
NOT_YET = "Ask for a hint, or go through the steps."


@dataclass(frozen=True)
class Judgement:
    """What an answer was.

    Attributes
    ----------
    outcome : "right", "slip", "wrong" or "unreadable"
    says : str
        A sentence for the trainee.
    slip : str
        Name of the slip that was recognised; else empty.
    """

    outcome: Outcome
    says: str
    slip: str = ""


def judge(question: Question, answer: str) -> Judgement:
    """Judge an answer as it was typed.

    Parameters
    ----------
    question : Question
    answer : str
        "31.2 kBtu/h", "9.1 kW", or a bare number in the unit that the question states; of a question with options, the
        option's text or its number from 1.

    Returns
    -------
    Judgement
    """
    text = " ".join(answer.translate(_SIGNS).split())
    if question.kind.options:
        return _judge_option(question, text)
    try:
        value, is_bare = read_answer(question, text)
    except UnitError as error:
        return Judgement("unreadable", str(error))
    if _is_near(value, question.answer, question.tolerance) and not is_part_of_a_count(question, value):
        return Judgement("right", f"Right: {question.shown(question.answer)}.")
    for slip, given in question.slips:
        if _is_near(value, given, slip_width(question, given)):
            return Judgement("slip", slip.says, slip.name)
    general = _general_slip(question, value, is_bare)
    if general is not None:
        return general
    if reason := impossible(question, value):
        return Judgement("wrong", f"{reason} {NOT_YET}")
    side = "above" if value > question.answer else "below"
    if _is_near(value, question.answer, CLOSE * question.tolerance):
        return Judgement(
            "wrong", f"Close: your figure lies a little {side} the right one. Round only at the end. {NOT_YET}"
        )
    return Judgement("wrong", f"Not yet: your figure lies {side} the right one. {NOT_YET}")


def read_answer(question: Question, text: str) -> tuple[float, bool]:
    """An answer as a number [inside unit of the kind], and whether it was typed without a unit.

    Raises
    ------
    UnitError
        It is no number, or its unit is not one of this kind.
    """
    unit = question.unit
    wanted = f"a number in {unit}, or with a unit of its own" if unit else "a number"
    if not text:
        raise UnitError(f"There is no answer yet. Expected {wanted}.")
    if len(text) > LONGEST:
        raise UnitError(f"That is too long for an answer. Expected {wanted}.")
    _no_decimal_comma(text)
    if unit in DEGREES:
        # On a question of temperature a bare "degrees" is that of the question.
        text = _BARE_DEGREES.sub(f" {unit}", text)
    if _BARE.match(text):
        return from_shown(_finite(float(text.replace(",", "")), wanted), question.kind.kind, question.units), True
    # Thousands may be set apart before a unit too.
    plain = re.sub(r"(?<=\d),(?=\d{3}(\D|$))", "", text)
    if KINDS[question.kind.kind].inside == "" and not unit:
        if re.match(r"^[+-]?(\d+\.?\d*|\.\d+)\s*%$", plain):
            return float(plain.rstrip(" %")) / 100, False
        raise UnitError(f'"{text}" is not a number. Expected {wanted}.')
    return _finite(parse(plain, question.kind.kind), wanted), False


def _no_decimal_comma(text: str) -> None:
    """A comma stands between thousands or nowhere: anything else may be meant in two ways."""
    found = re.match(r"^[+-]?[\d.,]*\d[\d.,]*", text)
    if found is None or "," not in found[0] or re.fullmatch(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?", found[0]):
        return
    number, rest = found[0], text[found.end() :]
    whole, _, tail = number.partition(",")
    meant = f" If {number} is meant as a decimal number, write {whole}.{tail}{rest}." if tail.isdigit() else ""
    raise UnitError(
        f'"{text}": a comma may only stand between thousands, as in 24,980; decimals come behind a point.{meant}'
    )


def _finite(number: float, wanted: str) -> float:
    if not math.isfinite(number):
        raise UnitError(f"That number is too large to be computed with. Expected {wanted}.")
    return number


def _judge_option(question: Question, text: str) -> Judgement:
    options = question.kind.options
    chosen = next((i for i, o in enumerate(options) if " ".join(o.split()).casefold() == text.casefold()), None)
    if chosen is None and re.fullmatch(r"[0-9]{1,2}", text) and 1 <= int(text) <= len(options):
        chosen = int(text) - 1
    if chosen is None:
        return Judgement("unreadable", f"Choose one of the {len(options)} answers, or type its number.")
    said = question.kind.because[chosen]
    if chosen == round(question.answer):
        return Judgement("right", f"Right. {said}")
    return Judgement("slip", f"Not this one. {said}", options[chosen])


def _is_near(value: float, wanted: float, width: float) -> bool:
    return math.isfinite(value) and abs(value - wanted) <= width * (1 + 1e-9)


def _general_slip(question: Question, value: float, is_bare: bool) -> Judgement | None:
    """Slips that any question may meet: the other system's unit, the sign, a factor of a hundred or a thousand."""
    kind = question.kind.kind
    # As the trainee sees them: a sign and a factor mean something on the shown scale only.
    typed, answer = (float(from_inside(v, kind, question.units)) for v in (value, question.answer))
    width = abs(float(difference_from_inside(question.tolerance, kind, question.units)))
    if is_bare and question.unit:
        other: UnitSystem = "SI" if question.units == "IP" else "IP"
        label = KINDS[kind].display(other).label
        if label != question.unit and _is_near(from_shown(typed, kind, other), question.answer, question.tolerance):
            says = f"That is right in {label}. A bare number here is in {question.unit}: turn it, or write {label} behind it."
            return Judgement("slip", says, "the other unit")
    if abs(answer) > width:
        if _is_near(-typed, answer, width):
            return Judgement("slip", "The size is right, the sign is not. Which of the two is larger?", "the sign")
        for factor, words, name in (
            (100.0, "a percent and a fraction", "percent and fraction"),
            (1000.0, "units a thousand apart, such as W and kW,", "a factor of a thousand"),
        ):
            if _is_near(typed * factor, answer, width) or _is_near(typed / factor, answer, width):
                return Judgement("slip", f"The digits are right, but {words} have been mixed up.", name)
    return None
