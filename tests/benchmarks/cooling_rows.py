"""The rows that the benchmarks compute: a million readings of a cooling unit, and what is made of each.

A row: two states from dry bulb and relative humidity, the return wet bulb, both dew points, the mass
flow of dry air from the volume flow at the return state, and total, sensible and latent capacity.
"""

from __future__ import annotations

from typing import Any

import numpy as np

import airside

ROWS = 1_000_000

Arrays = dict[str, Any]


def readings(rows: int = ROWS) -> Arrays:
    """Random readings; every row has a pressure and a flow of its own."""
    random = np.random.default_rng(2026)
    t1 = random.uniform(18.0, 35.0, rows)
    return {
        "t1": t1,
        "rh1": random.uniform(0.2, 0.9, rows),
        "t2": t1 - random.uniform(5.0, 15.0, rows),
        "rh2": random.uniform(0.5, 0.98, rows),
        "p": random.uniform(75e3, 102e3, rows),
        "flow": random.uniform(0.2, 2.0, rows),
    }


def by_airside(given: Arrays) -> Arrays:
    """The row by the public names of airside."""
    return_air = airside.MoistAir.from_relative_humidity(given["t1"], given["rh1"], given["p"])
    supply_air = airside.MoistAir.from_relative_humidity(given["t2"], given["rh2"], given["p"])
    mass_flow = given["flow"] / return_air.specific_volume
    capacity = airside.delivered_capacity(return_air, supply_air, mass_flow)
    return {
        "w1": return_air.humidity_ratio,
        "w2": supply_air.humidity_ratio,
        "wet_bulb": return_air.wet_bulb,
        "dew_point_1": return_air.dew_point,
        "dew_point_2": supply_air.dew_point,
        "mass_flow": mass_flow,
        "total": capacity.total,
        "sensible": capacity.sensible,
        "latent": capacity.latent,
    }


def by_psychrolib(given: Arrays) -> Arrays:
    """The row by psychrolib, whose functions numba has compiled for arrays."""
    import psychrolib as ps

    t1, t2, p = given["t1"], given["t2"], given["p"]
    w1 = ps.GetHumRatioFromRelHum(t1, given["rh1"], p)
    w2 = ps.GetHumRatioFromRelHum(t2, given["rh2"], p)
    mass_flow = given["flow"] / ps.GetMoistAirVolume(t1, w1, p)
    total = mass_flow * (ps.GetMoistAirEnthalpy(t1, w1) - ps.GetMoistAirEnthalpy(t2, w2))
    sensible = mass_flow * (ps.GetMoistAirEnthalpy(t1, w2) - ps.GetMoistAirEnthalpy(t2, w2))
    return {
        "w1": w1,
        "w2": w2,
        "wet_bulb": ps.GetTWetBulbFromHumRatio(t1, w1, p),
        "dew_point_1": ps.GetTDewPointFromHumRatio(t1, w1, p),
        "dew_point_2": ps.GetTDewPointFromHumRatio(t2, w2, p),
        "mass_flow": mass_flow,
        "total": total,
        "sensible": sensible,
        "latent": total - sensible,
    }
