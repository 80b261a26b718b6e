"""What a question kind is: parameters, a library computation with its steps, hints and known slips. Data; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from airside.units import SYSTEMS, UnitSystem, show

# Values of the parameters by name, SI inside; a list of readings is a tuple.
Values = Mapping[str, Any]


@dataclass(frozen=True)
class Parameter:
    """A quantity that is drawn and stands in the question's text.

    Attributes
    ----------
    name : str
        As the text and the computation call it.
    kind : str
        A name in `airside.units.KINDS`.
    low, high : float [inside unit of ``kind``]
        Between which it is drawn.
    step : (float, float)
        Step in IP and in SI, in the bare input unit: the number stated is exact, and half a step is its precision.
    count : int
        More than one: a list of readings about one drawn value.
    spread : float [inside unit of ``kind``, a difference]
        Largest distance of a reading of a list from the drawn value, to the nearest step.
    exact : bool
        The number is what it says, such as a count or a data sheet's limit: it adds nothing to the tolerance.
    """

    name: str
    kind: str
    low: float
    high: float
    step: tuple[float, float]
    count: int = 1
    spread: float = 0.0
    exact: bool = False

    def step_in(self, units: UnitSystem) -> float:
        """Step in one unit system."""
        return self.step[0] if units == "IP" else self.step[1]


@dataclass(frozen=True)
class Step:
    """One line of a worked solution.

    Attributes
    ----------
    says : str
        What is computed, with its formula in words or letters: no numbers, so that it holds in both unit systems.
    value : float [inside unit of ``kind``]
    kind : str
        A name in `airside.units.KINDS`.
    decimals : (int, int), optional
        In IP and SI, where the kind's own do not fit.
    written : str or (str, str)
        The sum with places for its numbers (`airside.teach.written_sum`), in IP and in SI where the two differ; empty
        where nothing is reckoned, as in a look into a table.
    numbers : tuple of (float [inside unit], str)
        Numbers with their kinds that stand in the sum and are neither stated nor the result of another step.
    """

    says: str
    value: float
    kind: str
    decimals: tuple[int, int] | None = None
    written: str | tuple[str, str] = ""
    numbers: tuple[tuple[float, str], ...] = ()

    def template(self, units: UnitSystem) -> str:
        """The sum's template in one unit system."""
        return self.written if isinstance(self.written, str) else self.written[units == "SI"]

    def shown(self, units: UnitSystem) -> str:
        """The value with its unit, as text."""
        decimals = None if self.decimals is None else self.decimals[units == "SI"]
        return show(self.value, self.kind, units, decimals=decimals)


@dataclass(frozen=True)
class Solution:
    """The right answer, and the way to it.

    Attributes
    ----------
    answer : float [inside unit of the question's kind]
        Of a question with options, the index of the right one.
    steps : tuple of Step
    """

    answer: float
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True)
class Slip:
    """A known slip, recognised by computing what it would give.

    Attributes
    ----------
    name : str
        Short, for the progress table: "sea-level factor at altitude".
    gives : callable
        From the values, and the unit system, to the wrong answer [inside unit of the question's kind].
    says : str
        What went wrong, named gently, and what to do instead.
    systems : tuple of str
        In which unit systems it can be made.
    """

    name: str
    gives: Callable[[Values, UnitSystem], float]
    says: str
    systems: tuple[UnitSystem, ...] = SYSTEMS


@dataclass(frozen=True)
class QuestionKind:
    """A kind of question; `airside.teach.draw` makes one of it.

    Attributes
    ----------
    name : str
        Unique: words joined by underscores.
    lesson : int
    title : str
    ask : str
        Text with ``{name}`` for each parameter, which becomes its number and unit.
    kind : str
        Kind of the answer, a name in `airside.units.KINDS`; "count" for a number without a unit.
    parameters : tuple of Parameter
    solve : callable
        From the values to the `Solution`, by the library's own functions.
    limits : (float, float) [inside unit of ``kind``]
        Beyond these an answer would be absurd; such draws are not used.
    hints : tuple of str
        In the order in which they are given.
    slips : tuple of Slip
    source : str
        Where the method comes from: document, chapter, equation; or "common practice, no source".
    options : tuple of str
        Of a question that is answered by choosing; then ``solve`` gives the index of the right one.
    because : tuple of str
        For each option, what is said when it is chosen.
    possible : callable, optional
        Whether values belong together, such as a supply colder than the return.
    decimals : (int, int), optional
        Decimals of the answer in IP and SI, where the kind's own do not fit.
    systems : tuple of str
        Unit systems in which the question can be asked.
    needs : tuple of str
        What is looked up to answer it (`airside.teach.kind_check.NEEDS`): a worksheet prints these tables.
    is_difference : bool
        The answer is a difference or an uncertainty though its kind is not: it has no end of a scale.
    """

    name: str
    lesson: int
    title: str
    ask: str
    kind: str
    parameters: tuple[Parameter, ...]
    solve: Callable[[Values], Solution]
    limits: tuple[float, float]
    hints: tuple[str, ...]
    slips: tuple[Slip, ...] = ()
    source: str = ""
    options: tuple[str, ...] = ()
    because: tuple[str, ...] = ()
    possible: Callable[[Values], bool] | None = None
    decimals: tuple[int, int] | None = None
    systems: tuple[UnitSystem, ...] = field(default=SYSTEMS)
    needs: tuple[str, ...] = ()
    is_difference: bool = False

    def parameter(self, name: str) -> Parameter:
        """A parameter by its name."""
        return next(p for p in self.parameters if p.name == name)
