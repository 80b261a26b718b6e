"""The tables of a refrigerant: small polynomials, kept in the folder ``tables`` of this room.

They are shipped, not made on the way, so that a result needs no second to load CoolProp and comes
out the same whatever version of it is installed. `airside.refrigerant.make_tables` makes them;
tests hold them against the full model.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array
from airside.air.constants import ZERO_CELSIUS
from airside.refrigerant.names import Refrigerant
from airside.refrigerant.polynomials import Curve, Surface

Side = Literal["dew", "bubble"]

# Saturation begins here [°C] and ends so far below critical [K].
COLDEST = -60.0
BELOW_CRITICAL = 5.0
# The surface of vapour goes from saturation to this superheat [K], that of liquid down to this temperature [°C].
MOST_SUPERHEAT = 100.0
COLDEST_LIQUID = -70.0


@dataclass(frozen=True)
class SaturationCurves:
    """One side of saturation, dew or bubble, both ways round.

    Attributes
    ----------
    temperature : Curve
        Temperature [°C] of ln(pressure [Pa]).
    log_pressure : Curve
        ln(pressure [Pa]) of -1000 / temperature [K].
    lowest, highest : float [Pa]
        Pressures at the ends of the range.
    warmest : float [°C]
        The warm end of the range.
    """

    temperature: Curve
    log_pressure: Curve
    lowest: float
    highest: float
    warmest: float

    def temperature_at(self, pressure: Array) -> Array:
        """Kernel: temperature [°C] at a pressure [Pa], its range not checked."""
        return self.temperature(np.log(pressure))

    def pressure_at(self, temperature: Array) -> Array:
        """Kernel: pressure [Pa] at a temperature [°C], its range not checked."""
        log_pressure = self.log_pressure(-1000.0 / (temperature + ZERO_CELSIUS))
        return np.exp(log_pressure, out=log_pressure)


@dataclass(frozen=True)
class PhaseSurfaces:
    """One phase beside saturation; `place` says how far from it.

    Attributes
    ----------
    enthalpy : Surface
        Enthalpy [J/kg] of ln(pressure [Pa]) and place.
    log_density : Surface
        ln(density [kg/m³]), for vapour less ln(pressure [Pa]), of the same.
    """

    enthalpy: Surface
    log_density: Surface


@dataclass(frozen=True)
class RefrigerantTables:
    """All tables of one refrigerant; bubble is dew for a pure fluid."""

    dew: SaturationCurves
    bubble: SaturationCurves
    vapour: PhaseSurfaces
    liquid: PhaseSurfaces

    def side(self, side: Side) -> SaturationCurves:
        """The curves of dew or bubble."""
        return self.dew if side == "dew" else self.bubble


def reach(side: Side, saturated: Array) -> Array | float:
    """How far the surface of a phase goes from saturation [K]."""
    return MOST_SUPERHEAT if side == "dew" else saturated - COLDEST_LIQUID


def place(side: Side, saturated: Array, away: Array | float) -> Array:
    """Superheat or subcooling ``away`` [K] as the surfaces take it: -1 at saturation, 1 at the far end.

    The square root sets nodes closer to saturation, where properties bend most.
    """
    result: Array = np.sqrt(away / reach(side, saturated))
    result *= 2
    result -= 1
    return result


def away_of_place(side: Side, saturated: Array, place: Array) -> Array:
    """Superheat or subcooling [K]: `place` turned round."""
    result: Array = reach(side, saturated) * ((place + 1) / 2) ** 2
    return result


def file_name(refrigerant: Refrigerant) -> str:
    """Name of a refrigerant's file in the folder ``tables``."""
    return f"{refrigerant.name.replace('-', '').lower()}.json"


@lru_cache(maxsize=64)
def tables_of(refrigerant: Refrigerant) -> RefrigerantTables:
    """The tables of a refrigerant: read on first use, then kept."""
    text = (resources.files("airside.refrigerant") / "tables" / file_name(refrigerant)).read_text("utf-8")
    return from_dict(json.loads(text))


def from_dict(kept: dict[str, Any]) -> RefrigerantTables:
    """Tables from what their file holds."""
    dew = _saturation(kept["dew"])
    bubble = _saturation(kept["bubble"]) if kept["bubble"] else dew
    return RefrigerantTables(dew, bubble, _phase(kept["vapour"]), _phase(kept["liquid"]))


def _saturation(kept: dict[str, Any]) -> SaturationCurves:
    return SaturationCurves(
        _curve(kept["temperature"]), _curve(kept["log_pressure"]), kept["lowest"], kept["highest"], kept["warmest"]
    )


def _phase(kept: dict[str, Any]) -> PhaseSurfaces:
    return PhaseSurfaces(_surface(kept["enthalpy"]), _surface(kept["log_density"]))


def _curve(kept: dict[str, Any]) -> Curve:
    return Curve(kept["low"], kept["high"], tuple(kept["coefficients"]))


def _surface(kept: dict[str, Any]) -> Surface:
    return Surface(kept["low"], kept["high"], tuple(tuple(row) for row in kept["coefficients"]))
