"""What can be read from a visit's data even where parts of them are wrong.

Plausibility is judged on this, so that one run names every problem: a misspelt key at the top does
not hide a humidity of 146 % further down.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from airside.units import UnitSystem
from airside.visit.quantities import number


@dataclass(frozen=True)
class Draft:
    """Nested dictionaries as the file holds them, and what their bare numbers mean."""

    data: Mapping[str, Any]
    units: UnitSystem

    def raw(self, *path: str) -> Any:
        """What stands at a place; None where nothing does."""
        here: Any = self.data
        for part in path:
            if not isinstance(here, Mapping):
                return None
            here = here.get(part)
        return here

    def numbers(self, kind: str, *path: str) -> list[float]:
        """The numbers at a place [inside unit of ``kind``]; NaN for one that cannot be read, empty for none."""
        values = self.raw(*path)
        if values is None or isinstance(values, Mapping):
            return []
        read = []
        for value in values if isinstance(values, list | tuple) else [values]:
            try:
                read.append(number(value, kind, self.units))
            except PydanticCustomError:
                read.append(math.nan)
        return read

    def count(self, field: str) -> int:
        """How many values stand at a place such as ``readings.return.dry_bulb``."""
        values = self.raw(*field.split("."))
        return len(values) if isinstance(values, list | tuple) else 1

    def one(self, kind: str, *path: str) -> float | None:
        """One number at a place; None where there is none that can be read."""
        values = self.numbers(kind, *path)
        return values[0] if len(values) == 1 and math.isfinite(values[0]) else None

    def mean(self, kind: str, *path: str) -> float | None:
        """Mean of the readable numbers at a place; None where there are none."""
        values = [v for v in self.numbers(kind, *path) if math.isfinite(v)]
        return math.fsum(values) / len(values) if values else None
