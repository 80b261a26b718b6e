"""Refrigerants by their ASHRAE 34 designations, however typed, with composition and safety group.

Compositions are the nominal mass fractions of the designation. Which CoolProp model serves which:

- R-22, R-32, R-134a, R-290, R-1234yf: the reference equation of the pure fluid.
- R-404A, R-407C, R-410A: the pseudo-pure equations of Lemmon (2003), which printed tables use; the
  mixture model of CoolProp differs from them by less than 0.02 K, as a test shows.
- R-448A, R-452B, R-454B, R-454C, R-513A: CoolProp's mixture of Helmholtz equations, whose binary
  parameters for the HFO pairs are those of Bell (2023), from CoolProp 8 on.

Sources
-------
ANSI/ASHRAE Standard 34, tables 4-1 and 4-2: designations, compositions, safety groups (from memory;
a test holds the compositions against CoolProp's own).
Lemmon (2003), Pseudo-pure fluid equations of state for R-410A, R-404A, R-507A and R-407C,
Int. J. Thermophysics 24.
Bell (2023), mixture models for HFC and HFO blends, J. Phys. Chem. Ref. Data (as CoolProp names it).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from airside.errors import AirsideError

SafetyGroup = Literal["A1", "A2L", "A3"]


class UnknownRefrigerantError(AirsideError):
    """A refrigerant that airside does not know; the message names the nearest that it knows."""


@dataclass(frozen=True)
class Refrigerant:
    """One refrigerant.

    Attributes
    ----------
    name : str
        Designation, such as ``"R-410A"``.
    fluids : tuple of str
        CoolProp's fluids: one for a pure fluid or a pseudo-pure equation, more for a mixture.
    mass_fractions : tuple of float
        Of ``fluids`` in a mixture; empty for one fluid.
    safety_group : str
        "A1" (no flame propagation), "A2L" (lower flammability), "A3" (higher flammability).
    critical_temperature : float [°C]
    critical_pressure : float [Pa]
        Of the model in use; a test recomputes both.
    """

    name: str
    fluids: tuple[str, ...]
    mass_fractions: tuple[float, ...]
    safety_group: SafetyGroup
    critical_temperature: float
    critical_pressure: float

    @property
    def model(self) -> str:
        """The model in words."""
        if self.mass_fractions:
            parts = ", ".join(f"{m:.1%} {f}" for f, m in zip(self.fluids, self.mass_fractions, strict=True))
            return f"mixture of Helmholtz equations by CoolProp ({parts} by mass)"
        if self.name in ("R-404A", "R-407C", "R-410A"):
            return "pseudo-pure equation of Lemmon (2003) by CoolProp"
        return "reference equation of the pure fluid by CoolProp"

    def __str__(self) -> str:
        return self.name


# Critical points: CoolProp 8; those of the mixtures by `airside.refrigerant.models.critical_point`.
REFRIGERANTS: dict[str, Refrigerant] = {
    r.name: r
    for r in (
        Refrigerant("R-22", ("R22",), (), "A1", 96.145, 4.9900e6),
        Refrigerant("R-32", ("R32",), (), "A2L", 78.105, 5.7826e6),
        Refrigerant("R-134a", ("R134a",), (), "A1", 101.062, 4.0593e6),
        Refrigerant("R-290", ("n-Propane",), (), "A3", 96.740, 4.2512e6),
        Refrigerant("R-404A", ("R404A",), (), "A1", 72.120, 3.7348e6),
        Refrigerant("R-407C", ("R407C",), (), "A1", 86.195, 4.6317e6),
        Refrigerant("R-410A", ("R410A",), (), "A1", 71.344, 4.9012e6),
        Refrigerant("R-448A", ("R32", "R125", "R1234yf", "R134a", "R1234ze(E)"), (0.26, 0.26, 0.20, 0.21, 0.07), "A1",
                    82.79, 4.6052e6),
        Refrigerant("R-452B", ("R32", "R125", "R1234yf"), (0.67, 0.07, 0.26), "A2L", 77.17, 5.2463e6),
        Refrigerant("R-454B", ("R32", "R1234yf"), (0.689, 0.311), "A2L", 78.28, 5.3041e6),
        Refrigerant("R-454C", ("R32", "R1234yf"), (0.215, 0.785), "A2L", 87.64, 4.3705e6),
        Refrigerant("R-513A", ("R1234yf", "R134a"), (0.56, 0.44), "A1", 95.41, 3.6551e6),
        Refrigerant("R-1234yf", ("R1234yf",), (), "A2L", 94.700, 3.3844e6),
    )
}  # fmt: skip

# What may stand before the number: R, refrigerant, and the composition-designating prefixes of ASHRAE 34.
_PREFIX = re.compile(r"^(?:refrigerant|hcfc|hfc|hfo|hc|r)(?=\d)")


def _plain(text: str) -> str:
    squeezed = re.sub(r"[\s\-_./‐‑–—−]", "", text.casefold())
    return _PREFIX.sub("", squeezed)


_BY_PLAIN = {_plain(n): r for n, r in REFRIGERANTS.items()} | {"propane": REFRIGERANTS["R-290"]}


def find_refrigerant(name: str | Refrigerant) -> Refrigerant:
    """The refrigerant of a name, however typed: "R-410A", "r410a", "R 410 a", "410A".

    Parameters
    ----------
    name : str or Refrigerant

    Raises
    ------
    UnknownRefrigerantError
        The name is none of `REFRIGERANTS`; the message names the nearest.
    """
    if isinstance(name, Refrigerant):
        return name
    plain = _plain(name) if isinstance(name, str) else ""
    if plain in _BY_PLAIN:
        return _BY_PLAIN[plain]
    near = [_BY_PLAIN[p].name for p in get_close_matches(plain, _BY_PLAIN, n=3, cutoff=0.5)] if plain else []
    hint = f" Did you mean {_either(near)}?" if near else ""
    raise UnknownRefrigerantError(f"refrigerant {name!r} is not known.{hint} Known are {', '.join(REFRIGERANTS)}.")


def _either(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


# What a safety group asks to be remembered; groups of ASHRAE 34.
_CAUTIONS: dict[SafetyGroup, str] = {
    "A1": "",
    "A2L": "is of lower flammability (safety group A2L of ASHRAE 34): keep ignition sources away and use gauges and "
           "hoses rated for it.",
    "A3": "is highly flammable (safety group A3 of ASHRAE 34): keep ignition sources away, ventilate, and use tools "
          "rated for it.",
}  # fmt: skip


def safety_caution(refrigerant: str | Refrigerant) -> str:
    """A sentence on flammability; empty for group A1."""
    found = find_refrigerant(refrigerant)
    caution = _CAUTIONS[found.safety_group]
    return f"{found.name} {caution}" if caution else ""
