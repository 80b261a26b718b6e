"""Make the tables of every refrigerant, or of those named, from CoolProp: ``python -m airside.refrigerant.make_tables``.

Run it again when CoolProp's models change, and look at what the tests of the tables say. It writes
into the folder ``tables`` beside it, a file for each refrigerant, from the same numbers every time.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.constants import ZERO_CELSIUS
from airside.refrigerant.models import along_isobar, saturation_pressures
from airside.refrigerant.names import REFRIGERANTS, Refrigerant, find_refrigerant
from airside.refrigerant.polynomials import Curve, Surface, fit_curve, fit_surface, nodes
from airside.refrigerant.tables import BELOW_CRITICAL, COLDEST, Side, away_of_place, file_name

# The fits go on a little beyond their range [K]: the error of a fit is largest at its ends.
MARGIN = 1.0
SATURATION_NODES, SATURATION_DEGREE = 96, 18
PHASE_NODES, PHASE_DEGREES = (40, 24), (14, 11)
# Zero of enthalpies: saturated liquid at 0 °C has 200 kJ/kg (International Institute of Refrigeration).
DATUM = 200e3
# Digits that a file keeps: more than the fits are worth, fewer than the machine's, so that it reads the same anywhere.
DIGITS = 11
SIDES: tuple[Side, Side] = ("dew", "bubble")


def make_tables(refrigerant: Refrigerant) -> dict[str, Any]:
    """Everything that a refrigerant's file holds."""
    warmest = refrigerant.critical_temperature - BELOW_CRITICAL
    celsius = nodes(COLDEST, warmest + MARGIN, SATURATION_NODES)
    pressures = {side: saturation_pressures(refrigerant, side, celsius) for side in SIDES}
    one_curve = bool((pressures["dew"] == pressures["bubble"]).all())
    at_zero = float(saturation_pressures(refrigerant, "bubble", np.array([0.0]))[0])
    datum = DATUM - float(along_isobar(refrigerant, "bubble", at_zero, np.array([0.0]))[0][0])
    return {
        "refrigerant": refrigerant.name,
        "model": refrigerant.model,
        "made_with": f"CoolProp {version('CoolProp')}",
        "dew": _saturation(celsius, pressures["dew"], warmest),
        "bubble": None if one_curve else _saturation(celsius, pressures["bubble"], warmest),
        "vapour": _phase(refrigerant, "dew", celsius, pressures["dew"], datum),
        "liquid": _phase(refrigerant, "bubble", celsius, pressures["bubble"], datum),
    }


def _saturation(celsius: Array, pressure: Array, warmest: float) -> dict[str, Any]:
    curve = fit_curve(-1000.0 / (celsius + ZERO_CELSIUS), np.log(pressure), SATURATION_DEGREE)
    lowest, highest = np.exp(curve(-1000.0 / (np.array([COLDEST, warmest]) + ZERO_CELSIUS)))
    return {
        "lowest": _rounded(lowest), "highest": _rounded(highest), "warmest": _rounded(warmest),
        "temperature": _kept(fit_curve(np.log(pressure), celsius, SATURATION_DEGREE)),
        "log_pressure": _kept(curve),
    }  # fmt: skip


def _phase(refrigerant: Refrigerant, side: Side, celsius: Array, pressure: Array, datum: float) -> dict[str, Any]:
    log_pressure = nodes(float(np.log(pressure[0])), float(np.log(pressure[-1])), PHASE_NODES[0])
    saturated = fit_curve(np.log(pressure), celsius, SATURATION_DEGREE)(log_pressure)
    places = nodes(-1.0, 1.0, PHASE_NODES[1])
    enthalpy, density = np.empty(PHASE_NODES), np.empty(PHASE_NODES)
    for i, (log_p, t) in enumerate(zip(log_pressure, saturated, strict=True)):
        # From far off towards saturation, as `along_isobar` wants it.
        away = away_of_place(side, t, places)[::-1]
        temperatures = t + away if side == "dew" else t - away
        h, d = along_isobar(refrigerant, side, float(np.exp(log_p)), temperatures)
        enthalpy[i], density[i] = h[::-1] + datum, d[::-1]
    log_density = np.log(density) - (log_pressure[:, np.newaxis] if side == "dew" else 0.0)
    return {
        "enthalpy": _kept(fit_surface(log_pressure, places, enthalpy, PHASE_DEGREES)),
        "log_density": _kept(fit_surface(log_pressure, places, log_density, PHASE_DEGREES)),
    }


def _kept(fit: Curve | Surface) -> dict[str, Any]:
    rows = np.array(fit.coefficients)
    coefficients = [_rounded(c) for c in rows] if rows.ndim == 1 else [[_rounded(c) for c in row] for row in rows]
    # The scale is kept exact: a rounded end would move every point.
    return {"low": fit.low, "high": fit.high, "coefficients": coefficients}


def _rounded(value: float) -> float:
    return float(f"{float(value):.{DIGITS}g}")


def main(names: Sequence[str]) -> None:
    """Write the files of the named refrigerants, or of all."""
    folder = Path(__file__).parent / "tables"
    folder.mkdir(exist_ok=True)
    for refrigerant in [find_refrigerant(n) for n in names] or REFRIGERANTS.values():
        text = json.dumps(make_tables(refrigerant), ensure_ascii=False)
        # A line for each list keeps the file's changes readable.
        text = text.replace('"coefficients": [', '"coefficients":\n[').replace("], [", "],\n[").replace('}, "', '},\n"')
        (folder / file_name(refrigerant)).write_text(text + "\n", "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
