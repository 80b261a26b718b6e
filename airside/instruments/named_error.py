"""Named errors: every doubt of a result has a name, a kind, a size, and an identity.

Errors with the same `key` are the same error: one draw serves wherever it enters, in one visit or
in two. So what is common to before and after cancels by itself, and what is not does not.

Sources
-------
JCGM 101:2008 (Supplement 1 to the GUM), ch. 6: probability density functions for input quantities.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from airside.air.blocks import Array

Shape = Literal["normal", "rectangular", "triangular", "student", "sample"]
Kind = Literal[
    "calibration", "drift", "resolution", "repeatability", "placement", "method", "pressure", "side by side", "curve"
]

DEFAULT_DRAWS = 100_000
DEFAULT_SEED = 20_260_101


@dataclass(frozen=True)
class NamedError:
    """One source of doubt.

    Attributes
    ----------
    name : str
        What a person reads: "duct_probe_1 dry bulb, calibration".
    key : str
        Identity: errors of one key share their draws.
    kind : str
        calibration, drift (comes anew with each visit), resolution, repeatability, placement,
        method, pressure, side by side, curve.
    standard_uncertainty : float
        Standard deviation for a normal, rectangular or triangular error, in the quantity's inside
        unit, or a fraction for relative errors. For "student", the scale (s over root n).
    shape : str
        "normal", "rectangular", "triangular", "student", or "sample".
    degrees_of_freedom : float
        For "student".
    values : tuple of float
        For "sample": drawn from with replacement, as they are.
    """

    name: str
    key: str
    kind: Kind
    standard_uncertainty: float
    shape: Shape = "normal"
    degrees_of_freedom: float = math.inf
    values: tuple[float, ...] = field(default=())

    @property
    def standard_deviation(self) -> float:
        """Standard deviation of the draws; infinite for a student error of 2 or fewer degrees of freedom."""
        if self.shape == "student":
            dof = self.degrees_of_freedom
            return self.standard_uncertainty * math.sqrt(dof / (dof - 2)) if dof > 2 else math.inf
        if self.shape == "sample":
            return float(np.std(self.values))
        return self.standard_uncertainty


class Draws:
    """Draws of named errors: seeded, the same on every machine, kept once drawn.

    Parameters
    ----------
    count : int
        Values for each error.
    seed : int
    """

    def __init__(self, count: int = DEFAULT_DRAWS, seed: int = DEFAULT_SEED) -> None:
        if count < 2:
            raise ValueError(f"draws: {count} were asked for; expected at least 2")
        self.count, self.seed = int(count), int(seed)
        self._kept: dict[tuple[str, str, float, float], Array] = {}

    def of(self, error: NamedError) -> Array:
        """Draws of one error, shape (count,); those of one key are always the same."""
        name = (error.key, error.shape, error.degrees_of_freedom, error.standard_uncertainty)
        if name not in self._kept:
            unit = self._draw(error)
            self._kept[name] = unit if error.shape == "sample" else unit * error.standard_uncertainty
        return self._kept[name]

    def _draw(self, error: NamedError) -> Array:
        # A stream of its own for each key: adding an error does not change the draws of the others.
        digest = hashlib.sha256(f"{self.seed}/{error.key}".encode()).digest()
        random = np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "big")))
        if error.shape == "normal":
            return random.standard_normal(self.count)
        if error.shape == "rectangular":
            return random.uniform(-math.sqrt(3), math.sqrt(3), self.count)
        if error.shape == "triangular":
            return (random.random(self.count) - random.random(self.count)) * math.sqrt(6)
        if error.shape == "student":
            return random.standard_t(error.degrees_of_freedom, self.count)
        return random.choice(np.asarray(error.values, dtype=np.float64), self.count)


def unique(errors: Iterable[NamedError]) -> list[NamedError]:
    """Errors in their order, each key once; the largest of one key counts."""
    found: dict[str, NamedError] = {}
    for error in errors:
        known = found.get(error.key)
        if known is None or error.standard_uncertainty > known.standard_uncertainty:
            found[error.key] = error
    return list(found.values())
