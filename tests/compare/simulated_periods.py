"""Periods of steady stretches with a known change, simulated without minutes; invented.

A unit of about 10 kW: capacity falls with the outdoor dry bulb and rises with the return's wet bulb. Residuals hang together
from stretch to stretch (first-order autoregression). Errors of instruments are drawn anew for each pair of periods: those of
one key are one draw for both periods, as the library takes them.
"""

from __future__ import annotations

import numpy as np

from airside.compare.periods import Period
from airside.instruments.named_error import NamedError

DAY = 86_400.0
# Monday 2026-06-01, a clock without a zone.
BEGIN = 1_780_272_000.0
# Relative part of total and power that one standard deviation of each error moves.
SHARED = {
    "instrument/return probe/dew_point": (0.020, 0.0),
    "instrument/flow station/volume_flow": (0.015, 0.0),
    "instrument/meter/power": (0.0, 0.010),
}
OWN = {"{}/instrument/return probe/dew_point": (0.010, 0.0), "{}/airflow": (0.005, 0.0)}


def autoregression(random, count, rho, scatter):
    """A stationary first-order autoregression."""
    steps = random.standard_normal(count)
    values = np.empty(count)
    values[0] = steps[0]
    for i in range(1, count):
        values[i] = rho * values[i - 1] + np.sqrt(1 - rho**2) * steps[i]
    return scatter * values


def residuals(random, days, per_day, rho, scatter, of_days):
    """An autoregression, with a part of the variance that is the same through a day."""
    left = autoregression(random, days * per_day, rho, scatter)
    if not of_days:
        return left
    level = np.repeat(random.normal(0, scatter, days), per_day)
    return np.sqrt(1 - of_days) * left + np.sqrt(of_days) * level


def true_figures(outdoor, wet_bulb):
    """Total capacity and power [W] of the unchanged unit."""
    total = 10_000 * (1 - 0.009 * (outdoor - 32) + 0.022 * (wet_bulb - 17))
    return total, 3_000 * (1 + 0.015 * (outdoor - 32) + 0.004 * (wet_bulb - 17))


def period(
    random, *, which="before", days=6, per_day=10, change=0.0, power_change=0.0, rho=0.5, scatter=0.015, outdoor=31.0,
    spread=3.0, first_day=0, drawn=None, shared=True, flow=0.55, of_days=0.0,
):  # fmt: skip
    """One period; `drawn` holds draws of errors by key, and gets those that it lacks."""
    count = days * per_day
    hours = np.linspace(10, 19, per_day)
    begin = BEGIN + DAY * np.repeat(first_day + np.arange(days), per_day) + 3600 * np.tile(hours, days)
    day_level = np.repeat(random.normal(outdoor, spread, days), per_day)
    air = day_level + 2.5 * np.sin((np.tile(hours, days) - 10) / 9 * np.pi) + random.normal(0, 0.3, count)
    wet_bulb = 17 + np.repeat(random.normal(0, 0.8, days), per_day) + autoregression(random, count, 0.8, 0.7)
    airflow = flow * (1 + 0.003 * random.standard_normal(count))
    total, power = true_figures(air, wet_bulb)
    total = total * (1 + change) * (1 + residuals(random, days, per_day, rho, scatter, of_days))
    power = power * (1 + power_change) * (1 + residuals(random, days, per_day, rho, 0.6 * scatter, of_days))
    names = (SHARED if shared else {f"{which} {k}": v for k, v in SHARED.items()}) | {
        k.format(which): v for k, v in OWN.items()
    }
    drawn = {} if drawn is None else drawn
    effects = {}
    for key, (of_total, of_power) in names.items():
        drawn.setdefault(key, random.standard_normal())
        total, power = total * (1 + of_total * drawn[key]), power * (1 + of_power * drawn[key])
    for key, (of_total, of_power) in names.items():
        effects[key] = {n: part * v for n, part, v in (("total", of_total, total), ("power", of_power, power)) if part}
    columns = {
        "total": total,
        "power": power,
        "outdoor_dry_bulb": air,
        "return_wet_bulb": wet_bulb,
        "volume_flow": airflow,
    }
    days_of = tuple(str(np.datetime64(int(b), "s"))[:10] for b in begin)
    errors = tuple(NamedError(k.split("/")[-1], k, "calibration", 1.0) for k in names)
    return Period(f"Clinic unit, {which} (invented)", "cooling", begin, days_of, columns, effects, errors)


def pair(seed, *, before=None, after=None, **both):
    """Two periods with common instruments; the after one begins a week after the before one ends."""
    random = np.random.default_rng(seed)
    drawn = {}
    one = period(random, drawn=drawn, **(both | (before or {})))
    first_day = (before or {}).get("days", both.get("days", 6)) + 8
    settings = {"which": "after", "first_day": first_day, "outdoor": 30.5, "drawn": drawn} | both | (after or {})
    return one, period(random, **settings)
