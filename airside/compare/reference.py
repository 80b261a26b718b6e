"""The conditions to which before and after are brought.

Sources
-------
10 CFR part 430 subpart B appendix M1: cooling tests A (80 °F dry bulb, 67 °F wet bulb indoors, 95 °F
outdoors) and B (the same indoors, 82 °F outdoors); heating test H1 (70 °F indoors, 47 °F outdoors).
From memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from airside.air.blocks import Number
from airside.errors import ComparisonError
from airside.units import UnitSystem, show


@dataclass(frozen=True)
class Conditions:
    """Indoor and outdoor conditions of a capacity.

    Attributes
    ----------
    name : str
    indoor : float or array [°C]
        Return wet bulb in cooling, return dry bulb in heating.
    outdoor : float or array [°C]
        Outdoor dry bulb.
    """

    name: str
    indoor: Number
    outdoor: Number

    def text(self, units: UnitSystem, mode: str) -> str:
        """Conditions as words."""
        what = "return wet bulb" if mode == "cooling" else "return dry bulb"
        return (
            f"{self.name}: {show(float(self.indoor), 'temperature', units)} {what}, "
            f"{show(float(self.outdoor), 'temperature', units)} outdoors"
        )


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


RATING: dict[str, dict[str, Conditions]] = {
    "cooling": {
        "A": Conditions("rating condition A of 10 CFR 430", _celsius(67), _celsius(95)),
        "B": Conditions("rating condition B of 10 CFR 430", _celsius(67), _celsius(82)),
    },
    "heating": {"H1": Conditions("rating condition H1 of 10 CFR 430", _celsius(70), _celsius(47))},
}


def check_reference(reference: str | Conditions, mode: str) -> None:
    """Check the name of a reference.

    Raises
    ------
    ComparisonError
        An unknown name.
    """
    known = ("before", "after", *RATING[mode])
    if not isinstance(reference, Conditions) and reference not in known:
        listed = ", ".join(f'"{k}"' for k in known)
        raise ComparisonError(f'reference is "{reference}"; expected one of {listed} in {mode}, or stated conditions.')


def named_conditions(reference: str | Conditions, mode: str, before: Conditions, after: Conditions) -> Conditions:
    """Conditions by name: "before", "after", or a rating condition; `Conditions` are taken as they are.

    Raises
    ------
    ComparisonError
        An unknown name.
    """
    if isinstance(reference, Conditions):
        return reference
    check_reference(reference, mode)
    return {"before": before, "after": after, **RATING[mode]}[reference]
