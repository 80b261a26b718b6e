"""Airflow from the temperature rise over a known heat input.

Sources
-------
Energy balance with the moist-air specific heat of ASHRAE Handbook—Fundamentals (2017) ch. 1 Eq. 30.
"""

from __future__ import annotations

import math

import numpy as np

from airside.air import properties
from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.interpolation import Outside
from airside.airflow.result import Airflow, airflow_at
from airside.errors import EvidenceError
from airside.results import Row


def heat_to_air(
    *,
    heat_input: Number | None = None,
    voltage: Number | None = None,
    current: Number | None = None,
    phases: int = 1,
    fuel_input: Number | None = None,
    efficiency: float | None = None,
) -> Number:
    """Heat that reaches the air [W], from one of three kinds of reading.

    Parameters
    ----------
    heat_input : float or array [W]
        Electric heat, fan included where the fan is between the probes.
    voltage, current : float or array [V, A]
        Electric resistance heat; line to line for three phases.
    phases : 1 or 3
    fuel_input : float or array [W]
        Rate of fuel, higher heating value.
    efficiency : float [fraction]
        Share of the fuel's heat that reaches the air.

    Raises
    ------
    EvidenceError
        None of the three, more than one, or half of one.
    """
    given = [
        heat_input is not None,
        voltage is not None or current is not None,
        fuel_input is not None or efficiency is not None,
    ]
    if sum(given) != 1:
        raise EvidenceError(
            "temperature rise: give one of heat_input, or voltage and current, or fuel_input and efficiency."
        )
    if heat_input is not None:
        return heat_input
    if fuel_input is not None and efficiency is not None:
        if not 0 < efficiency <= 1:
            raise EvidenceError(f"temperature rise: efficiency is {efficiency:g}; expected a fraction such as 0.80.")
        return fuel_input * efficiency
    if voltage is not None and current is not None:
        if phases not in (1, 3):
            raise EvidenceError(f"temperature rise: phases is {phases}; expected 1 or 3.")
        return voltage * current * (math.sqrt(3) if phases == 3 else 1.0)
    missing = "efficiency or fuel_input" if given[2] else "voltage or current"
    raise EvidenceError(f"temperature rise: {missing} is missing.")


def temperature_rise(
    heat: Number,
    temperature_rise: Number,
    *,
    at: MoistAir,
    test_air: MoistAir | None = None,
    relative_standard_uncertainty: float | None = None,
    outside: Outside = "raise",
) -> Airflow:
    """Airflow by temperature rise.

    Parameters
    ----------
    heat : float or array [W]
        Heat that reaches the air, see `heat_to_air`.
    temperature_rise : float or array [K]
        Supply less return dry bulb, in mixed air.
    at : MoistAir
        Air for which the volume flow is given.
    test_air : MoistAir, optional
        Air that the fan moved during the heating test. The fan moves the same volume of it as of
        ``at``. Default: air like ``at``.
    relative_standard_uncertainty : float [fraction], optional
    outside : "raise" or "extend"
        With "extend", for error draws, a rise that is not above zero gives NaN.

    Raises
    ------
    EvidenceError
        Heat or rise not above zero.

    Notes
    -----
    mass flow = heat / [(1006 + 1860 W) rise]; volume = mass flow times volume per dry air.
    """
    rise = np.asarray(temperature_rise, dtype=np.float64)
    if outside == "extend":
        temperature_rise = np.where(rise > 0, rise, np.nan)
    elif not np.all(rise > 0) or not np.all(np.asarray(heat) > 0):
        raise EvidenceError("temperature rise: heat and temperature rise must both be above zero.")
    moved = test_air if test_air is not None else at
    mass_flow = heat / (properties.specific_heat(moved.humidity_ratio) * temperature_rise)
    return airflow_at(
        mass_flow * moved.specific_volume, at, "temperature rise", relative_standard_uncertainty,
        evidence=(
            Row("heat_to_air", heat, "power", "heat to the air"),
            Row("temperature_rise", temperature_rise, "temperature_difference"),
        ),
        assumptions=(
            "The heat goes into the air alone, and the supply probe sees mixed air and no hot surface.",
            "The heat input includes the fan's power where the fan is between the probes.",
            "The fan moves the same volume in the visit as in the heating test.",
            *(() if test_air is not None else ("The fan moved air like that of the visit in the heating test.",)),
        ),
    )  # fmt: skip
