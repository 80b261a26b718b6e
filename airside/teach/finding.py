"""What is found in a lesson's folder: a file, a line, a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from airside.errors import AirsideError

# A mistake must be mended, a hint should be looked at, information is only told.
Weight = Literal["mistake", "hint", "information"]


@dataclass(frozen=True)
class Finding:
    """One thing found.

    Attributes
    ----------
    file : str
        Seen from where the folder was named.
    line : int
        From 1; 0 where the whole file is meant.
    message : str
        What was found, what was expected, what to do.
    weight : "mistake", "hint" or "information"
    """

    file: str
    line: int
    message: str
    weight: Weight = "mistake"

    def __str__(self) -> str:
        place = f"{self.file}, line {self.line}" if self.line else self.file
        return f"{place}: {self.message}"


class LessonError(AirsideError):
    """A lesson folder that cannot be used; everything that is wrong is named at once.

    Attributes
    ----------
    findings : tuple of Finding
    """

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(sorted(findings, key=lambda f: (f.file, f.line)))
        super().__init__("\n".join(str(f) for f in self.findings))
