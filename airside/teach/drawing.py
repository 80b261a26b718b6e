"""Draw a question of a kind: numbers from stated ranges with a seed, in IP or SI, none impossible, absurd or ambiguous."""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from airside.errors import AirsideError
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Values
from airside.teach.written_sum import of_readings, written_sum
from airside.units import KINDS, UnitSystem, from_inside, parse, show, to_input, to_inside

# A count may be off a whole number by no more than rounding, and an end of what is right by less.
WHOLE, TINY = 0.01, 1e-9

# Draws of one seed that may be set aside before the kind itself is called wrong.
MOST_TRIES = 400
# A worked solution rounds on its way: an answer this close is right [fraction of the answer].
ROUNDING = 0.004
# A slip must lie this many tolerances from the right answer and from every other slip.
APART = 2.2


@dataclass(frozen=True, eq=False)
class Question:
    """A question with its numbers.

    Attributes
    ----------
    kind : QuestionKind
    seed : int
    units : "IP" or "SI"
    values : mapping of str to float or tuple [inside units]
    """

    kind: QuestionKind
    seed: int
    units: UnitSystem
    values: Values

    @cached_property
    def solution(self) -> Solution:
        """The right answer and the steps to it."""
        return self.kind.solve(self.values)

    @cached_property
    def answer(self) -> float:
        """The right answer [inside unit of the kind]."""
        return float(self.solution.answer)

    @cached_property
    def slips(self) -> tuple[tuple[Slip, float], ...]:
        """The slips that can be made here, each with the answer it would give; those that give no number are left out."""
        found = []
        for slip in self.kind.slips:
            if self.units not in slip.systems:
                continue
            try:
                value = float(slip.gives(self.values, self.units))
            except AirsideError:
                # It leads to air that cannot be, or out of a table: nobody gets a number by it.
                continue
            if math.isfinite(value):
                found.append((slip, value))
        return tuple(found)

    @cached_property
    def tolerance(self) -> float:
        """Half width [inside unit, a difference] within which an answer is right.

        Each stated number is known to half its step: what that does to the answer is added as root of the squares, then
        the rounding of a worked solution and of the answer's last decimal.
        """
        if self.kind.options:
            return 0.0
        squares = sum(self._moved(parameter) ** 2 for parameter in self.kind.parameters if not parameter.exact)
        return math.sqrt(squares) + self.least_tolerance

    @cached_property
    def least_tolerance(self) -> float:
        """What is left of the tolerance where the stated numbers are exact [inside unit, a difference]."""
        return ROUNDING * abs(self.answer) + 0.5 * self.last_decimal

    def _moved(self, parameter: Parameter) -> float:
        """By how much half a step of a parameter moves the answer [inside unit, a difference]."""
        half = 0.5 * _step_inside(parameter.kind, parameter.step_in(self.units), self.units)
        value = self.values[parameter.name]
        # Readings of a list are rounded each on its own, so that their mean is known better.
        half /= math.sqrt(parameter.count)
        for by in (half, -half):
            moved = tuple(v + by for v in value) if isinstance(value, tuple) else value + by
            try:
                changed = float(self.kind.solve({**self.values, parameter.name: moved}).answer)
            except AirsideError:
                # Half a step further lies outside what can be, or outside a table; then the other side says it.
                continue
            if math.isfinite(changed):
                return changed - self.answer
        return 0.0

    @property
    def decimals(self) -> int:
        """Decimals of the shown answer."""
        own = self.kind.decimals
        if own is not None:
            return own[0] if self.units == "IP" else own[1]
        return KINDS[self.kind.kind].display(self.units).decimals

    @cached_property
    def last_decimal(self) -> float:
        """One step of the answer's last decimal [inside unit, a difference]."""
        return 10.0**-self.decimals * _shown_step(self.kind.kind, self.units)

    @property
    def comes_whole(self) -> bool:
        """Whether things are counted, so that a part of one is no answer."""
        is_count = self.kind.kind == "count" and self.last_decimal >= 1 and not self.kind.is_difference
        return is_count and abs(self.answer - round(self.answer)) < WHOLE

    @property
    def accepted(self) -> tuple[float, float]:
        """Lowest and highest answer of as many decimals as are shown that is right [inside unit]."""
        shown = float(from_inside(self.answer, self.kind.kind, self.units)) * 10.0**self.decimals
        wide = self.tolerance / self.last_decimal
        low, high = math.ceil(shown - wide - TINY), math.floor(shown + wide + TINY)
        if low > high:
            return self.answer, self.answer
        found = [from_shown(n / 10.0**self.decimals, self.kind.kind, self.units) for n in (low, high)]
        return found[0], found[1]

    @property
    def unit(self) -> str:
        """The unit that a bare answer has; empty where there is none."""
        return KINDS[self.kind.kind].display(self.units).label

    @property
    def text(self) -> str:
        """The question with its numbers and units."""
        said = {p.name: self.stated(p.name) for p in self.kind.parameters}
        return self.kind.ask.format(**said)

    def stated(self, name: str) -> str:
        """A parameter as the question states it: exact, with its unit."""
        parameter = self.kind.parameter(name)
        decimals = _decimals(parameter.step_in(self.units))
        unit = _input_label(parameter.kind, self.units)
        texts = [f"{number:,.{decimals}f}" for number in self._numbers(name)]
        return ", ".join(texts) + (f" {unit}" if unit else "")

    def _numbers(self, name: str) -> tuple[float, ...]:
        """A parameter's bare numbers, in the unit in which it is stated."""
        kind, value = self.kind.parameter(name).kind, self.values[name]
        return tuple(float(to_input(v, kind, self.units)) for v in (value if isinstance(value, tuple) else (value,)))

    def _in_a_sum(self, name: str, way: str) -> str:
        """A parameter as a written sum has it."""
        if name not in {p.name for p in self.kind.parameters}:
            raise AirsideError(f'{self.kind.name}: a written sum names "{name}", which is no parameter.')
        if not way:
            return self.stated(name)
        parameter = self.kind.parameter(name)
        decimals, numbers = _decimals(parameter.step_in(self.units)), self._numbers(name)
        if way == "fraction":
            return f"{numbers[0] / 100:.{decimals + 2}f}"
        unit = _input_label(parameter.kind, self.units)
        # A step of temperature is in K where the temperature is in °C.
        apart = _input_label("temperature_difference", self.units) if parameter.kind == "temperature" else unit
        other = self._numbers(way.removeprefix("minus ")) if way.startswith("minus ") else ()
        return of_readings(numbers, decimals, unit, way, other, apart)

    def written_sum(self, place: int) -> str:
        """The sum of a step of the solution, from 0, with numbers and units; empty where nothing is reckoned."""
        return written_sum(self.solution.steps, place, self.units, self._in_a_sum)

    def shown(self, value: float) -> str:
        """An answer as text with its unit."""
        if self.kind.options:
            return self.kind.options[round(value)]
        return show(value, self.kind.kind, self.units, decimals=self.decimals)

    @property
    def worked(self) -> tuple[str, ...]:
        """The worked solution, a sentence for each step, with numbers and units; the answer last."""
        lines = []
        for place, step in enumerate(self.solution.steps):
            found = self.written_sum(place)
            lines.append(f"{step.says}: {f'{found} = ' if found else ''}{step.shown(self.units)}")
        return (*lines, f"Answer: {self.shown(self.answer)}")


def draw(kind: QuestionKind, seed: int, units: UnitSystem = "IP") -> Question:
    """A question of a kind: the same seed and units, the same numbers.

    Parameters
    ----------
    kind : QuestionKind
    seed : int
    units : "IP" or "SI"

    Raises
    ------
    AirsideError
        The kind is not asked in these units, or none of many draws is possible, sensible and free of slips that
        look like the right answer.
    """
    if units not in kind.systems:
        raise AirsideError(f"{kind.name}: is asked in {' and '.join(kind.systems)} only; found {units}.")
    # The name's checksum keeps kinds apart that share a seed.
    generator = np.random.default_rng([seed, zlib.crc32(kind.name.encode()), units == "SI"])
    for _ in range(MOST_TRIES):
        question = Question(kind, seed, units, {p.name: _drawn(p, units, generator) for p in kind.parameters})
        if is_usable(question):
            return question
    raise AirsideError(
        f"{kind.name}: none of {MOST_TRIES} draws with seed {seed} in {units} is possible, within its limits and free of "
        "slips that look alike. Widen its ranges, or take a slip out."
    )


def is_usable(question: Question) -> bool:
    """Whether the values belong together, the answer is sensible, and every slip can be told from it and from the others."""
    kind = question.kind
    try:
        if kind.possible is not None and not kind.possible(question.values):
            return False
        answer = question.answer
    except AirsideError:
        # Air that cannot be, or a value outside a table.
        return False
    if not math.isfinite(answer) or not kind.limits[0] <= answer <= kind.limits[1]:
        return False
    if kind.options:
        return answer == round(answer)
    # The full tolerance costs a computation for each parameter; where the least of it is too much, it is spared.
    return _apart(question, question.least_tolerance) and _apart(question, question.tolerance)


def _apart(question: Question, width: float) -> bool:
    """Whether the answer and every slip can be told from each other with this tolerance of the answer."""
    answer, least = question.answer, 0.5 * question.last_decimal
    places = [(answer, width), *((v, _scaled(width, v, answer, least)) for _, v in question.slips)]
    return all(
        abs(one - other) >= APART * max(width, wide, wide_too)
        for i, (one, wide) in enumerate(places)
        for other, wide_too in places[:i]
    )


def slip_width(question: Question, value: float) -> float:
    """Half width within which an answer is taken for that slip: the answer's tolerance, scaled to the slip's size."""
    return _scaled(question.tolerance, value, question.answer, 0.5 * question.last_decimal)


def _scaled(width: float, value: float, answer: float, least: float) -> float:
    # A slip ten times as large is known ten times as coarsely, but never finer than the last decimal.
    return width if answer == 0 else max(width * min(abs(value / answer), 20.0), least)


def _drawn(parameter: Parameter, units: UnitSystem, generator: np.random.Generator) -> Any:
    step = parameter.step_in(units)
    low, high = sorted(float(to_input(v, parameter.kind, units)) for v in (parameter.low, parameter.high))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    if last < first:
        raise AirsideError(
            f"{parameter.name}: no multiple of {step:g} lies between {low:g} and {high:g} in {units}. "
            "Make the step smaller, or the range wider."
        )
    middle = int(generator.integers(first, last + 1))
    if parameter.count == 1:
        return _inside(middle * step, parameter.kind, units)
    reach = int(_step_count(parameter, units, step))
    around = generator.integers(-reach, reach + 1, size=parameter.count)
    return tuple(_inside((middle + int(k)) * step, parameter.kind, units) for k in around)


def _step_count(parameter: Parameter, units: UnitSystem, step: float) -> int:
    zero, one = (float(to_input(v, parameter.kind, units)) for v in (0.0, parameter.spread))
    return round(abs(one - zero) / step)


def _inside(value: float, kind: str, units: UnitSystem) -> float:
    # Ten digits: a multiple of a step has no rounding tail.
    return float(to_inside(float(f"{value:.10g}"), kind, units))


def _step_inside(kind: str, step: float, units: UnitSystem) -> float:
    return abs(float(to_inside(step, kind, units)) - float(to_inside(0.0, kind, units)))


@lru_cache(maxsize=256)
def _shown_step(kind: str, units: UnitSystem) -> float:
    """One of the display unit [inside unit, a difference]."""
    zero, one = (float(from_shown(v, kind, units)) for v in (0.0, 1.0))
    return abs(one - zero)


def from_shown(value: float, kind: str, units: UnitSystem) -> float:
    """A bare number of the display unit [inside unit of the kind]."""
    unit = KINDS[kind].display(units).unit
    return parse(f"{value!r} {unit}", kind) if unit else value


def _decimals(step: float) -> int:
    return next((d for d in range(7) if abs(round(step, d) - step) < 1e-12), 6)


def _input_label(kind: str, units: UnitSystem) -> str:
    """The label of the unit that a bare number has in a file of this system."""
    found = KINDS[kind]
    shown = found.display(units)
    if shown.unit == found.input_unit(units):
        return shown.label
    return found.input_unit(units)
