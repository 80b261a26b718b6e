"""The full model of a refrigerant: CoolProp's Helmholtz equations, one state at a time.

Tables are made from it, and tests hold them against it. CoolProp's own flash finds the phases of a
mixture at most temperatures, not at all; so saturation is marched up from the cold end, each state
starting from the last.

Sources
-------
Bell, Wronski, Quoilin and Lemort (2014), Pure and pseudo-pure fluid thermophysical property
evaluation and the open-source library CoolProp, Ind. Eng. Chem. Res. 53.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.constants import ZERO_CELSIUS
from airside.refrigerant.names import Refrigerant
from airside.refrigerant.tables import COLDEST, Side

# A march starts at the table's cold end and takes no larger step [K]: from further off the mixture flash may fail.
STEP = 2.0


def state_of(refrigerant: Refrigerant) -> Any:
    """A new CoolProp state of the refrigerant, its composition set."""
    from CoolProp.CoolProp import AbstractState

    state = AbstractState("HEOS", "&".join(refrigerant.fluids))
    if refrigerant.mass_fractions:
        state.set_mass_fractions(list(refrigerant.mass_fractions))
    return state


def saturation_pressures(refrigerant: Refrigerant, side: Side, temperatures: Array) -> Array:
    """Dew or bubble pressures of the full model.

    Parameters
    ----------
    refrigerant : Refrigerant
    side : "dew" or "bubble"
    temperatures : array, shape (n,) [°C]
        Rising, from `COLDEST` on.

    Returns
    -------
    array, shape (n,) [Pa]
    """
    from CoolProp import QT_INPUTS

    state, quality = state_of(refrigerant), 1.0 if side == "dew" else 0.0
    found = np.empty(len(temperatures))
    if not refrigerant.mass_fractions:
        for i, t in enumerate(temperatures):
            state.update(QT_INPUTS, quality, t + ZERO_CELSIUS)
            found[i] = state.p()
        return found
    at = COLDEST
    state.update(QT_INPUTS, quality, at + ZERO_CELSIUS)
    for i, t in enumerate(temperatures):
        for part in np.linspace(at, t, max(int(np.ceil((t - at) / STEP)), 1) + 1)[1:]:
            state.update_with_guesses(QT_INPUTS, quality, part + ZERO_CELSIUS, _guess(state))
        at = t
        found[i] = state.p()
    return found


def _guess(state: Any) -> Any:
    """The state that ``state`` is in, as start of the next flash."""
    from CoolProp import iDmolar
    from CoolProp.CoolProp import PyGuessesStructure

    guess = PyGuessesStructure()
    guess.T, guess.p = state.T(), state.p()
    guess.x, guess.y = list(state.mole_fractions_liquid()), list(state.mole_fractions_vapor())
    guess.rhomolar_liq = state.saturated_liquid_keyed_output(iDmolar)
    guess.rhomolar_vap = state.saturated_vapor_keyed_output(iDmolar)
    return guess


def along_isobar(refrigerant: Refrigerant, side: Side, pressure: float, temperatures: Array) -> tuple[Array, Array]:
    """Enthalpy and density of vapour ("dew") or liquid ("bubble") of the full model, at one pressure.

    Parameters
    ----------
    refrigerant : Refrigerant
    side : "dew" or "bubble"
        Which phase; up to its saturation line, no further.
    pressure : float [Pa]
    temperatures : array, shape (n,) [°C]
        In order towards saturation: each state starts from the last.

    Returns
    -------
    tuple of arrays, shape (n,)
        Enthalpy [J/kg, zero of CoolProp] and density [kg/m³].
    """
    from CoolProp import PT_INPUTS, iphase_gas, iphase_liquid
    from CoolProp.CoolProp import PyGuessesStructure

    state = state_of(refrigerant)
    state.specify_phase(iphase_gas if side == "dew" else iphase_liquid)
    enthalpy, density = np.empty(len(temperatures)), np.empty(len(temperatures))
    for i, t in enumerate(temperatures):
        kelvin = float(t) + ZERO_CELSIUS
        if i and refrigerant.mass_fractions:
            guess = PyGuessesStructure()
            guess.T, guess.p, guess.rhomolar = kelvin, pressure, state.rhomolar()
            state.update_with_guesses(PT_INPUTS, pressure, kelvin, guess)
        else:
            state.update(PT_INPUTS, pressure, kelvin)
        enthalpy[i], density[i] = state.hmass(), state.rhomass()
    return enthalpy, density


def critical_point(refrigerant: Refrigerant) -> tuple[float, float]:
    """Critical temperature [°C] and pressure [Pa] of the full model; slow for mixtures."""
    state = state_of(refrigerant)
    if not refrigerant.mass_fractions:
        return state.T_critical() - ZERO_CELSIUS, state.p_critical()
    stable = [c for c in state.all_critical_points() if c.stable and c.p > 0]
    highest = max(stable, key=lambda c: c.T)
    return highest.T - ZERO_CELSIUS, highest.p
