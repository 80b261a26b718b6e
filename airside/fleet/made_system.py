"""One invented system over time: what is true of it every minute, and what its loggers read.

Nothing here is measured. The physics is plain: a system that runs and stops, a rating curve, air of known enthalpy before
and after it, and instruments that are wrong by what their statements allow.

Sources
-------
Capacity and power over conditions: `airside.compare.curves`. Weather, run times, response and noise: invented.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from airside.air import properties
from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.compare.correction import rated_flow, standard_flow
from airside.compare.curves import AIR_CONDITIONER, FLOW, SLOPE_DOUBT
from airside.compare.rating import NOMINAL_DOUBT
from airside.instruments import defaults
from airside.visit.logs.log import Floats

MINUTE = 60.0
# What the made visit files state [inside units]: limits of the instruments, resolutions, and the flow station's standard
# uncertainty.
DRY_BULB, RELATIVE_HUMIDITY, OUTDOOR, POWER, FLOW_STATION = 0.3, 0.02, 0.5, 0.01, 0.03
STEPS = {"dry_bulb": 0.1, "relative_humidity": 0.001, "outdoor": 0.1, "power": 1.0, "volume_flow": 1e-4}
FAULTS = ("none", "low airflow", "low capacity")
NOMINAL = tuple(1000.0 * kilowatts for kilowatts in (7.0, 10.5, 14.0, 17.5, 21.0, 28.0, 35.0))
# Standard deviations of the minutes' noise.
NOISE = {"dry_bulb": 0.06, "relative_humidity": 0.003, "outdoor": 0.1, "power": 0.005, "volume_flow": 0.006}


@dataclass(frozen=True)
class MadeSystem:
    """What is true of an invented system.

    Attributes
    ----------
    name : str
    nominal_capacity : float [W]
    elevation : float [m]
    fault : str
        One of `FAULTS`.
    flow_ratio : float [fraction]
        Volume flow that the blower is set to over the rated one, at the density of the place; results give standard airflow.
    health : float [fraction]
        Capacity over that of the well system at the same conditions and airflow.
    level, indoor_slope, outdoor_slope, flow_slope : float
        Departures from the rating curve, as `airside.compare.rating` takes them to be spread.
    """

    name: str
    nominal_capacity: float
    elevation: float
    fault: str
    flow_ratio: float
    health: float
    level: float
    indoor_slope: float
    outdoor_slope: float
    flow_slope: float


@dataclass(frozen=True, eq=False)
class MadeLog:
    """Truth and readings of every minute.

    Attributes
    ----------
    time : array, shape (n,)
        [s since 1970-01-01, the system's own clock].
    total : array, shape (n,)
        True total capacity [W]; zero while it is off.
    expected : array, shape (n,)
        What the well system of this nominal capacity delivers at these conditions and this airflow, as its own true
        departures from the curve have it [W]; NaN while it is off.
    readings : dict of str to array, shape (n,)
        As the loggers have them [°C, fraction, m³/s, W].
    """

    time: Floats
    total: Floats
    expected: Floats
    readings: dict[str, Floats]


def draw_system(name: str, fault: str, random: np.random.Generator) -> MadeSystem:
    """Draw an invented system.

    Parameters
    ----------
    name : str
    fault : str
        One of `FAULTS`.
    random : numpy Generator
    """
    flow, health = random.uniform(0.92, 1.06), 1.0
    if fault == "low airflow":
        flow = random.uniform(0.68, 0.80)
    elif fault == "low capacity":
        # The range that a charge a fifth to a third too low gives, invented.
        health = random.uniform(0.70, 0.88)
    nominal = float(random.choice(NOMINAL))
    slopes = np.clip(random.normal(0.0, SLOPE_DOUBT, 3), -1.5, 1.5)
    return MadeSystem(
        name, nominal, round(float(random.uniform(0, 1600))), fault, float(flow), health,
        float(random.normal(0.0, NOMINAL_DOUBT)), *(float(s) for s in slopes),
    )  # fmt: skip


def instrument_errors(random: np.random.Generator) -> dict[str, float]:
    """Draw one error of each instrument, as the made visit files state their sizes.

    Returns
    -------
    dict of str to float
        Standard normal numbers by what they belong to; a second set, "new ...", comes anew with each period.
    """
    names = ("return", "supply", "outdoor", "return humidity", "supply humidity", "power", "flow")
    return {n: float(random.standard_normal()) for n in names}


def make_log(
    system: MadeSystem,
    time: Floats,
    lasting: dict[str, float],
    random: np.random.Generator,
) -> MadeLog:
    """Truth and readings of an invented system.

    Parameters
    ----------
    system : MadeSystem
    time : array, shape (n,)
        Every minute [s].
    lasting : dict of str to float
        From `instrument_errors`; what is new with each period is drawn here.
    random : numpy Generator
    """
    n = time.size
    outdoor = _weather(time, random)
    age, off = _runs(outdoor, random)
    on = age >= 0
    pressure = float(standard_atmosphere_pressure(system.elevation))
    pressure *= 1 + defaults.WEATHER_PRESSURE * float(random.standard_normal())
    # A room swings with its system, and slowly by itself.
    return_air = random.uniform(23.0, 25.0) + 0.3 * _slow(n, 0.002, random)
    relative = np.clip(random.uniform(0.47, 0.55) + 0.01 * _slow(n, 0.002, random), 0.42, 0.60)
    w_return = np.asarray(properties.humidity_ratio_from_relative_humidity(return_air, relative, pressure))
    at = np.flatnonzero(on)
    t, w = return_air[at], w_return[at]
    wet_bulb = np.asarray(properties.wet_bulb(t, w, pressure))
    rated = rated_flow(system.nominal_capacity, 0.0)[0]
    flow = rated * system.flow_ratio * _density_ratio(pressure)
    dry_air = flow / np.asarray(properties.specific_volume(t, w, pressure))
    ratio = np.clip(np.asarray(standard_flow(dry_air)) / rated, FLOW.low, FLOW.high)
    expected = system.nominal_capacity * _expected(system, wet_bulb, outdoor[at], ratio)
    # All but a thousandth is there after ten minutes.
    capacity = expected * system.health * (1 - np.exp(-(age[at] + 0.5) / 1.5))
    enthalpy = np.asarray(properties.enthalpy(t, w)) - capacity / dry_air
    supply, w_supply = _supply(enthalpy, w, pressure)
    power = system.nominal_capacity / 3.6 * np.asarray(AIR_CONDITIONER.power_ratio(wet_bulb, outdoor[at], ratio))

    total, should = np.zeros(n), np.full(n, np.nan)
    total[at], should[at] = capacity, expected
    t_supply = return_air - 0.3 - 6.0 * np.exp(-off / 6.0)
    t_supply[at] = supply
    r_supply = np.clip(relative + 0.2 * np.exp(-off / 20.0), 0.0, 0.85)
    r_supply[at] = np.asarray(properties.relative_humidity(supply, w_supply, pressure))
    flows, watts = np.full(n, 0.0), np.full(n, 25.0)
    flows[at], watts[at] = flow, power
    true = {"return": return_air, "supply": t_supply, "outdoor": outdoor, "return humidity": relative,
            "supply humidity": r_supply, "power": watts, "flow": flows}  # fmt: skip
    return MadeLog(time, total, should, _read(true, lasting, random))


def _density_ratio(pressure: float) -> float:
    """What a fan moves in thin air over the rated flow of standard air: half of the loss is made good; invented."""
    return float(math.sqrt(standard_atmosphere_pressure(0.0) / pressure))


def _expected(system: MadeSystem, wet_bulb: Floats, outdoor: Floats, ratio: Floats) -> Floats:
    """Share of the nominal capacity: the rating curve with this system's departures from it."""
    curve, a = AIR_CONDITIONER, (19.0 + 4.0 / 9.0, 35.0)  # condition A of 10 CFR 430
    start = np.asarray(curve.capacity_ratio(*a))
    indoor = np.asarray(curve.capacity_ratio(wet_bulb, a[1]))
    both = np.asarray(curve.capacity_ratio(wet_bulb, outdoor))
    with_flow = np.asarray(curve.capacity_ratio(wet_bulb, outdoor, ratio))
    steps = (
        np.log(indoor / start) * (1 + system.indoor_slope)
        + np.log(both / indoor) * (1 + system.outdoor_slope)
        + np.log(with_flow / both) * (1 + system.flow_slope)
    )
    found: Floats = start * np.exp(system.level + steps)
    return found


def _weather(time: Floats, random: np.random.Generator) -> Floats:
    """Outdoor dry bulb [°C]: the day's swing, and weather that comes and goes."""
    hours = (time / 3600.0) % 24
    days = np.arange(math.floor(time[0] / 86400.0), math.ceil(time[-1] / 86400.0) + 1)
    fronts = np.interp(time / 86400.0, days, random.normal(0.0, 2.5, days.size))
    warm = random.uniform(29.0, 32.0)
    found: Floats = np.clip(warm + 4.5 * np.sin((hours - 9.0) * math.pi / 12) + fronts, 19.5, 46.0)
    return found


def _runs(outdoor: Floats, random: np.random.Generator) -> tuple[Floats, Floats]:
    """Minutes since the start of a run, -1 while off; and minutes since the last run's end, 0 while on."""
    n = outdoor.size
    age, off = np.full(n, -1.0), np.zeros(n)
    load = np.clip((outdoor - 17.0) / 22.0, 0.10, 0.97)
    at = int(random.integers(5, 40))
    off[:at] = np.arange(at) + 60.0
    draws = iter(random.lognormal(math.log(48.0), 0.35, max(n // 10, 8)))
    while at < n:
        on = int(np.clip(next(draws), 18, 160))
        stop = min(at + on, n)
        age[at:stop] = np.arange(stop - at)
        rest = min(max(round(on * (1 - load[at]) / load[at]), 4), 400)
        until = min(stop + rest, n)
        off[stop:until] = np.arange(until - stop) + 1.0
        at = until
    return age, off


def _slow(n: int, rate: float, random: np.random.Generator) -> Floats:
    """A slow wander of about unit size: knots an hour or so apart, joined smoothly."""
    every = max(int(0.2 / rate), 2)
    knots = random.standard_normal(n // every + 3)
    place = np.arange(n) / every
    i = place.astype(np.intp)
    x = place - i
    x = x * x * (3 - 2 * x)
    found: Floats = knots[i] * (1 - x) + knots[i + 1] * x
    return found


def _supply(enthalpy: Floats, w_return: Floats, pressure: float) -> tuple[Floats, Floats]:
    """Dry bulb and humidity ratio of air of an enthalpy that left a wet coil, or a dry one where it cannot be wet."""
    table = np.linspace(enthalpy.min() - 1.0, enthalpy.max() + 1.0, 400)
    saturated = np.interp(enthalpy, table, np.asarray(saturated_temperature_from_enthalpy(table, pressure)))
    dry_bulb = saturated + 1.5
    # ASHRAE Fundamentals (2017) ch. 1 Eq. 30 turned round.
    w = (enthalpy - properties.SPECIFIC_HEAT_DRY_AIR * dry_bulb) / (
        properties.EVAPORATION_HEAT + properties.SPECIFIC_HEAT_VAPOUR * dry_bulb
    )
    dry = w > w_return
    w = np.where(dry, w_return, w)
    return np.where(dry, np.asarray(properties.dry_bulb_from_enthalpy(enthalpy, w)), dry_bulb), w


def _read(true: dict[str, Floats], lasting: dict[str, float], random: np.random.Generator) -> dict[str, Floats]:
    """What the loggers have: the truth with its errors, noise and steps."""
    new = instrument_errors(random)

    def error(name: str, quantity: str) -> float:
        share = defaults.NEW_EACH_VISIT[quantity].share
        return lasting[name] * math.sqrt(1 - share) + new[name] * math.sqrt(share)

    def noisy(values: Floats, name: str) -> Floats:
        found: Floats = values + NOISE[name] * random.standard_normal(values.size)
        return found

    def stepped(values: Floats, name: str) -> Floats:
        per = round(1 / STEPS[name])
        found: Floats = np.rint(values * per) / per
        return found

    read = {}
    for place in ("return", "supply", "outdoor"):
        limit, name = (OUTDOOR, "outdoor") if place == "outdoor" else (DRY_BULB, "dry_bulb")
        shift = limit / math.sqrt(3) * error(place, "dry_bulb")
        shift += defaults.PLACEMENT[place] * float(random.standard_normal())
        read[f"{place}_dry_bulb"] = stepped(noisy(true[place] + shift, name), name)
    for place in ("return", "supply"):
        shift = RELATIVE_HUMIDITY / math.sqrt(3) * error(f"{place} humidity", "relative_humidity")
        values = noisy(true[f"{place} humidity"] + shift, "relative_humidity")
        read[f"{place}_humidity"] = stepped(np.clip(values, 0.0, 1.0), "relative_humidity")
    flow = math.exp(FLOW_STATION * _flow_error(lasting["flow"], new["flow"]))
    noise = 1 + NOISE["volume_flow"] * random.standard_normal(true["flow"].size)
    read["volume_flow"] = stepped(true["flow"] * flow * noise, "volume_flow")
    watts = 1 + POWER / math.sqrt(3) * error("power", "power")
    read["power"] = stepped(
        true["power"] * watts * (1 + NOISE["power"] * random.standard_normal(true["power"].size)), "power"
    )
    return read


def _flow_error(lasting: float, new: float) -> float:
    share = float(defaults.METHOD_SHARES["measured"][0])
    return lasting * math.sqrt(1 - share) + new * math.sqrt(share)


def minutes(days: float, begin: float) -> Floats:
    """Every minute of some days from a time on [s], shape (n,)."""
    return np.asarray(begin + MINUTE * np.arange(max(round(days * 1440), 1)), dtype=np.float64)
