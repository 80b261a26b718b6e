"""What is known of a coil, element by element: a code where numbers are missing, and its words."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Codes = NDArray[np.int8]


class CoilStatus(IntEnum):
    """Why a coil's figures are there, or are NaN."""

    WET = 0
    DRY = 1
    NOT_COOLED = 2
    NO_MEETING = 3
    UNKNOWN = 4
    NOT_MEASURED = 5
    NO_CAPACITY = 6
    TOO_COLD = 7
    NOT_CONVERGED = 8

    @property
    def words(self) -> str:
        """One word or two, for tables and JSON."""
        return self.name.lower().replace("_", " ")

    @property
    def sentence(self) -> str:
        """What it means."""
        return SENTENCES[self]


SENTENCES = {
    CoilStatus.WET: "The coil is wet: the air leaves with less water than it brought.",
    CoilStatus.DRY: "The coil is dry: the air loses no water.",
    CoilStatus.NOT_COOLED: "The air is not cooled, so there is no cooling coil to describe.",
    CoilStatus.NO_MEETING: (
        "The line from return to supply air does not meet saturation, so there is no apparatus dew point: the supply "
        "air is warmer or drier than one coil can make it. Heat between coil and probe, air round the coil, or a humidity reading that is off."
    ),
    CoilStatus.UNKNOWN: "A reading is missing or is no air that can be.",
    CoilStatus.NOT_MEASURED: "The measured coil gives no bypass factor, so nothing can be predicted from it.",
    CoilStatus.NO_CAPACITY: "Airflow or capacity is not above zero.",
    CoilStatus.TOO_COLD: "The air would leave colder than the formulas hold (-60 °C): that much capacity is too much for this flow.",
    CoilStatus.NOT_CONVERGED: "The capacity of the dry coil was not found: its function of return air has no solution here.",
}


def describe(status: CoilStatus | Codes) -> str:
    """A status as a sentence; for an array how many elements have which."""
    if isinstance(status, CoilStatus):
        return status.sentence
    codes, counts = np.unique(status, return_counts=True)
    found = sorted(zip(counts, codes, strict=True), reverse=True)
    if len(found) == 1:
        return f"All {status.size:,}: {CoilStatus(int(codes[0])).sentence}"
    listed = ", ".join(f"{count:,} {CoilStatus(int(code)).words}" for count, code in found)
    return f"Of {status.size:,}: {listed}."
