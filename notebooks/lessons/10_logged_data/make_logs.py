"""Make the logger files of lesson 10: an invented puppet theatre's cooling unit, six days with ivy over its outdoor coil and six without.

Run in this folder: ``python make_logs.py``. Two loggers write down what an invented unit does every five minutes. The second
one has no year, the month first, -999 where its meter did not answer, and a clock that is ten minutes slow; the first one
lacks two hours of one day.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from airside import MoistAir
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.air.properties import dry_bulb_from_enthalpy

PRESSURE = 99_600.0  # Pa
DAYS, STEP = 6, 5
SLOW = 10  # min
FLOW = 0.47  # m³/s of supply air
BIAS = {"return": (0.12, 0.006), "supply": (-0.08, -0.005)}  # K and fraction of RH


@dataclass(frozen=True)
class Period:
    """One period's weather and machine."""

    name: str
    begin: datetime
    warmest: tuple  # °C, of each day
    capacity: float  # against the unit without ivy
    power: float
    gap: bool
    seed: int


PERIODS = (
    Period("before", datetime(2026, 6, 8), (28.0, 30.5, 33.0, 35.5, 32.5, 29.0), 0.87, 1.09, True, 41),
    Period("after", datetime(2026, 6, 22), (32.5, 35.0, 36.5, 34.5, 33.0, 32.0), 1.0, 1.0, False, 42),
)


def smoothed(values, steps):
    """A first-order lag."""
    share, held, now = 1 - np.exp(-1 / steps), np.empty_like(values), values[0]
    for i, value in enumerate(values):
        now += share * (value - now)
        held[i] = now
    return held


def simulated(period):
    """The period, step by step: what both loggers see."""
    random = np.random.default_rng(period.seed)
    count = DAYS * 24 * 60 // STEP
    hour = np.arange(count) * STEP / 60 % 24
    warmest = np.interp(np.arange(count) * STEP / 1440 - 0.65, np.arange(DAYS), period.warmest)
    outdoor = warmest - 5.0 * (1 - np.cos((hour - 15.5) / 24 * 2 * np.pi)) + smoothed(random.normal(0, 2.0, count), 30)
    running = np.zeros(count, dtype=bool)
    at = 0
    while at < count:
        # Rehearsals from nine on, the play until eleven at night; at night the unit hardly runs.
        awake = 9 <= hour[at] < 22.5
        on, off = (random.integers(11, 20), random.integers(4, 8)) if awake else (0, 12)
        running[at : at + on] = True
        at += on + off
    guests = (hour > 17.5) & (hour < 22.5)
    # The thermostat's saw tooth.
    dry_bulb = 24.6 + smoothed(np.where(running, -0.9, 0.7), 14) + 0.4 * guests
    day = np.arange(count) * STEP / 1440
    ratio = 0.0098 + 0.0007 * np.sin(day * 1.3 + period.seed) + 0.0006 * smoothed(guests.astype(float), 12)
    ratio += smoothed(random.normal(0, 0.0008, count), 36) - 0.0004 * smoothed(running.astype(float), 10)
    air = MoistAir.from_humidity_ratio(dry_bulb, ratio, PRESSURE)
    since = np.zeros(count)
    for i in range(1, count):
        since[i] = since[i - 1] + STEP if running[i] and running[i - 1] else 0.0
    drift = 1 + smoothed(random.normal(0, 0.02, count), 12)
    total = 10_600.0 * period.capacity * drift * (1 + 0.032 * (air.wet_bulb - 17.5) - 0.011 * (outdoor - 32.0))
    total = total * (1 - np.exp(-(since + 1.0) / 3.0))
    dry_air = FLOW / 0.835
    bypass = np.exp(-0.95 / dry_air)
    surface = saturated_temperature_from_enthalpy(air.enthalpy - total / dry_air / (1 - bypass), PRESSURE)
    coldest = MoistAir.from_relative_humidity(surface, 1.0, PRESSURE).humidity_ratio
    supply_ratio = np.where(running, np.minimum(coldest + bypass * (ratio - coldest), ratio), ratio)
    supply = np.where(running, dry_bulb_from_enthalpy(air.enthalpy - total / dry_air, supply_ratio), dry_bulb + 0.8)
    found = {"running": running, "outdoor": outdoor + random.normal(0, 0.1, count)}
    for place, values, held in (("return", dry_bulb, ratio), ("supply", supply, supply_ratio)):
        humidity = MoistAir.from_humidity_ratio(values, held, PRESSURE, impossible="nan").relative_humidity
        found[place] = values + BIAS[place][0] + random.normal(0, 0.05, count)
        found[f"{place} RH"] = np.clip(humidity + BIAS[place][1] + random.normal(0, 0.003, count), 0.05, 0.995)
    power = 2_750.0 * period.power * (1 + 0.017 * (outdoor - 32.0)) * (1 - 0.3 * np.exp(-since / 3.0))
    found["power"] = np.where(running, power, 35.0) * (1 + random.normal(0, 0.005, count))
    found["flow"] = np.where(running, FLOW * (1 + random.normal(0, 0.006, count)), 0.0)
    return found


def fahrenheit(celsius):
    """For a file in degF."""
    return f"{celsius * 1.8 + 32:.1f}"


def air_file(period, made):
    """The logger in the ducts."""
    lines = ["time,return [degF],return RH [%],supply [degF],supply RH [%],air flow [cfm]"]
    for i in range(made["outdoor"].size):
        if period.gap and 700 <= i < 724:
            continue
        stamp = period.begin + timedelta(minutes=i * STEP)
        lines.append(
            f"{stamp:%Y-%m-%d %H:%M},{fahrenheit(made['return'][i])},{made['return RH'][i] * 100:.1f},"
            f"{fahrenheit(made['supply'][i])},{made['supply RH'][i] * 100:.1f},{made['flow'][i] * 2118.88:.0f}"
        )
    return "\n".join(lines) + "\n"


def unit_file(period, made):
    """The logger at the outdoor unit: no year, a slow clock, -999."""
    random = np.random.default_rng(period.seed + 100)
    lines = ["time,power [kW],outdoor [degF]"]
    for i in range(made["outdoor"].size):
        stamp = period.begin + timedelta(minutes=i * STEP - SLOW)
        power = "-999" if random.random() < 0.004 else f"{made['power'][i] / 1000:.2f}"
        lines.append(f"{stamp:%m/%d %H:%M},{power},{fahrenheit(made['outdoor'][i])}")
    return "\n".join(lines) + "\n"


def visit_file(period):
    """The visit file; both periods have the same probes at the same places."""
    words = "with ivy over the outdoor coil" if period.name == "before" else "after the ivy was cut"
    air, unit = f"loggers/{period.name}_air.csv", f"loggers/{period.name}_unit.csv"
    return f"""# Invented for lesson 10: no such theatre, no such equipment, no such readings.
format = "airside visit 1"
units = "IP"
name = "Puppet theatre, {words} (invented)"
mode = "cooling"

[log]
no_value = "-999"

# The second logger: no year, month first, and a clock that is ten minutes slow.
[log.files."{unit}"]
date_order = "month day year"
year = 2026
clock_offset = {SLOW * 60}

[log.counting]
running_from = "power"
after_start = 10
window = 30

[site]
barometric_pressure = {PRESSURE / 3386.389:.2f}
instrument = "barometer_1"

[system]
name = "Puppet theatre, stage unit"
nominal_capacity = 3

[fan]
power = 0.35
position = "between probes"

[airflow]
method = "measured"
basis = "actual"
at = "supply"
instrument = "flow_grid"
relative_uncertainty = 0.025
log = "{air}"
columns = {{ volume_flow = "air flow" }}

[instruments.probe_1]
dry_bulb = {{ accuracy = 0.5, resolution = 0.1 }}
relative_humidity = {{ accuracy = 1.5, resolution = 0.1 }}

[instruments.probe_2]
dry_bulb = {{ accuracy = 0.5, resolution = 0.1 }}
relative_humidity = {{ accuracy = 1.5, resolution = 0.1 }}

[instruments.outdoor_probe]
dry_bulb = {{ accuracy = 1.0, resolution = 0.1 }}

[instruments.barometer_1]
barometric_pressure = {{ accuracy = 0.03, resolution = 0.01 }}

[instruments.power_meter]
power = {{ accuracy_of_reading = 1.0, resolution = 0.01 }}

[instruments.flow_grid]
volume_flow = {{ accuracy_of_reading = 3.0, resolution = 1 }}

[readings.return]
instrument = "probe_1"
placement = 0.2
log = "{air}"
columns = {{ dry_bulb = "return", relative_humidity = "return RH" }}

[readings.supply]
instrument = "probe_2"
placement = 0.2
log = "{air}"
columns = {{ dry_bulb = "supply", relative_humidity = "supply RH" }}

[readings.outdoor]
instrument = "outdoor_probe"
log = "{unit}"
columns = {{ dry_bulb = "outdoor" }}

[readings.power]
instrument = "power_meter"
log = "{unit}"
columns = {{ outdoor_unit = "power" }}
"""


if __name__ == "__main__":
    Path("loggers").mkdir(exist_ok=True)
    for one in PERIODS:
        seen = simulated(one)
        Path(f"{one.name}.toml").write_text(visit_file(one), encoding="utf-8")
        Path(f"loggers/{one.name}_air.csv").write_text(air_file(one, seen), encoding="utf-8")
        Path(f"loggers/{one.name}_unit.csv").write_text(unit_file(one, seen), encoding="utf-8")
