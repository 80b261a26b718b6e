"""What airside says when something is wrong.

Every error is a sentence that says what is wrong, where (file, table, field, row) and what to do.
The command line prints it and ends with exit status 2; it never shows a traceback for bad input.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class AirsideError(Exception):
    """Base of all errors that airside raises for a reason that the user can mend."""


class UnitError(AirsideError):
    """A text that should be a number with a unit is not one, or its unit is of another kind."""


class ImpossibleStateError(AirsideError):
    """A moist-air state that cannot exist: for example a relative humidity above 100 %.

    Attributes
    ----------
    count : int
        How many of the given states are impossible.
    first_index : tuple of int
        Index of the first of them; empty for a scalar.
    """

    def __init__(self, message: str, count: int = 1, first_index: tuple[int, ...] = ()) -> None:
        super().__init__(message)
        self.count = count
        self.first_index = first_index


class OutOfRangeError(AirsideError):
    """A value outside the range in which a formula, a table or a rule holds."""


class EvidenceError(AirsideError):
    """Airflow evidence that is incomplete or contradicts itself."""


class ComparisonError(AirsideError):
    """Two visits that cannot be compared, or a reference that cannot be used."""


class OutputError(AirsideError):
    """A file that cannot be written, or that exists already."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with a file.

    Attributes
    ----------
    message : str
        What was found, what was expected, what to do.
    field : str
        Table and field, such as ``readings.return.dry_bulb``; empty when the whole file is meant.
    row : int or None
        Number of the value in a list, counted from 1.
    """

    message: str
    field: str = ""
    row: int | None = None

    def __str__(self) -> str:
        place = self.field
        if self.row is not None:
            place += f"{', ' if place else ''}value {self.row}"
        return f"{place}: {self.message}" if place else self.message


class FileError(AirsideError):
    """A file with one or more problems; all of them are named at once.

    Attributes
    ----------
    path : str
        The file as the user named it.
    problems : tuple of Problem
        Everything that is wrong with it.
    """

    def __init__(self, path: str, problems: Sequence[Problem] | str) -> None:
        self.path = path
        self.problems = (Problem(problems),) if isinstance(problems, str) else tuple(problems)
        if len(self.problems) == 1:
            text = f"{path}: {self.problems[0]}"
        else:
            text = "\n".join([f"{path}: {len(self.problems)} problems", *(f"  - {p}" for p in self.problems)])
        super().__init__(text)


class TableError(FileError):
    """A fan table, coil table or performance table that cannot be used."""


class VisitError(FileError):
    """A visit file that cannot be used."""


class NothingSteadyError(VisitError):
    """A logged visit that can be read, in which nothing runs or no stretch is steady."""
