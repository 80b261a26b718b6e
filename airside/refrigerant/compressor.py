"""Mass flow and power of a compressor from its ten coefficients.

The coefficients take saturated suction and saturated discharge temperature, both at dew, in the
units in which the maker prints them. They hold at the maker's rated superheat; `corrected_flow`
brings the flow to another.

Sources
-------
AHRI Standard 540, Performance rating of positive displacement refrigerant compressors: the
ten-coefficient polynomial (from memory).
Dabiri and Rice (1981), A compressor simulation model with corrections for the level of suction gas
superheat, ASHRAE Transactions 87(2) (from memory).
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number, blockwise
from airside.errors import EvidenceError

TemperatureUnit = Literal["degF", "degC"]
FlowUnit = Literal["lb/h", "kg/h", "kg/s", "g/s"]

# One unit of flow in kg/s; the pound is 0.45359237 kg.
_FLOW = {"lb/h": 0.45359237 / 3600, "kg/h": 1 / 3600, "kg/s": 1.0, "g/s": 1e-3}
# Share of the change in suction density that the flow follows, Dabiri and Rice (1981), from memory.
VOLUMETRIC_FACTOR = 0.75


def ten_term(coefficients: Any, saturated_suction: Number, saturated_discharge: Number) -> Number:
    """The polynomial of AHRI Standard 540, in the units of its coefficients.

    Parameters
    ----------
    coefficients : array, shape (10,)
        C1 to C10 of C1 + C2 S + C3 D + C4 S² + C5 S D + C6 D² + C7 S³ + C8 D S² + C9 S D² + C10 D³.
    saturated_suction, saturated_discharge : float or array [°F or °C, as the coefficients want]
        S and D, dew points.

    Returns
    -------
    float or array [unit of the coefficients]

    Raises
    ------
    EvidenceError
        Not ten finite coefficients.
    """
    c = np.asarray(coefficients, dtype=np.float64)
    if c.shape != (10,):
        raise EvidenceError(f"compressor: found {c.size} coefficients; expected the ten of AHRI Standard 540.")
    if not np.isfinite(c).all():
        missing = int(np.flatnonzero(~np.isfinite(c))[0]) + 1
        raise EvidenceError(f"compressor: coefficient C{missing} is missing; all ten are needed, zero where none.")

    def kernel(s: Array, d: Array) -> Array:
        constant = c[0] + d * (c[2] + d * (c[5] + d * c[9]))
        first = c[1] + d * (c[4] + d * c[8])
        second = c[3] + d * c[7]
        result: Array = constant + s * (first + s * (second + s * c[6]))
        return result

    return blockwise(kernel, saturated_suction, saturated_discharge)


def _in_unit(celsius: Number, unit: TemperatureUnit) -> Number:
    if unit not in ("degF", "degC"):
        raise EvidenceError(f'compressor: temperatures in "{unit}"; expected "degF" or "degC".')
    degrees = np.asarray(celsius, dtype=np.float64)
    result = degrees * 1.8 + 32 if unit == "degF" else degrees
    return float(result) if result.ndim == 0 else result


def compressor_flow(
    coefficients: Any,
    saturated_suction: Number,
    saturated_discharge: Number,
    *,
    temperature_unit: TemperatureUnit = "degF",
    flow_unit: FlowUnit = "lb/h",
) -> Number:
    """Refrigerant mass flow at the maker's rated superheat.

    Parameters
    ----------
    coefficients : array, shape (10,)
        Of mass flow, as the maker prints them.
    saturated_suction, saturated_discharge : float or array [°C]
        Dew points at the compressor.
    temperature_unit, flow_unit : str
        Units of the coefficients.

    Returns
    -------
    float or array [kg/s]
    """
    if flow_unit not in _FLOW:
        raise EvidenceError(f'compressor: flow in "{flow_unit}"; expected one of {", ".join(_FLOW)}.')
    suction, discharge = (_in_unit(t, temperature_unit) for t in (saturated_suction, saturated_discharge))
    return ten_term(coefficients, suction, discharge) * _FLOW[flow_unit]


def compressor_power(
    coefficients: Any,
    saturated_suction: Number,
    saturated_discharge: Number,
    *,
    temperature_unit: TemperatureUnit = "degF",
) -> Number:
    """Power [W] of the compressor, from coefficients of power in W; parameters as in `compressor_flow`."""
    suction, discharge = (_in_unit(t, temperature_unit) for t in (saturated_suction, saturated_discharge))
    return ten_term(coefficients, suction, discharge)


def corrected_flow(mass_flow: Number, rated_density: Number, suction_density: Number) -> Number:
    """Mass flow [kg/s] at the suction gas that is there, from that at rated superheat.

    Parameters
    ----------
    mass_flow : float or array [kg/s]
        At rated superheat, by `compressor_flow`.
    rated_density, suction_density : float or array [kg/m³]
        Of the suction gas at rated superheat and as measured, at the same pressure.

    Notes
    -----
    Dabiri and Rice (1981): flow is multiplied with 1 + 0.75 (density ratio - 1); from memory.
    """
    return mass_flow * (1 + VOLUMETRIC_FACTOR * (suction_density / rated_density - 1))
