"""Make the demo with logger files: an invented clinic's waiting-room unit, a working week before and after the work.

`make_demo.py` calls it. A room with a thermostat is simulated minute by minute; the unit's true capacity follows return
wet bulb, outdoor air and flow. Two loggers write it down: the second one's clock is slow, its file has a preamble,
semicolons and decimal commas, and -999 where its meter did not answer; the first one lacks forty minutes in one week.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from airside import MoistAir
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.air.properties import dry_bulb_from_enthalpy

Floats = NDArray[np.float64]
INVENTED = "# Invented for this demo: no such building, no such equipment, no such readings.\n"
PRESSURE = 98_200.0  # Pa
DAYS, MINUTE, EVERY = 5, 60.0, 2
# The second logger's stamps are so much too early [s]: its clock is slow.
SLOW = 420
# What the probes read wrong: K and fraction of RH.
BIAS = {"return": (0.15, 0.008), "supply": (-0.10, -0.006)}


@dataclass(frozen=True)
class Week:
    """One week's weather and machine."""

    stage: str
    words: str
    begin: datetime
    warmest: tuple[float, ...]  # °C, of each day
    volume_flow: float  # m³/s of supply air
    fan_power: float  # W
    filter: str
    blower: str
    gap: bool
    seed: int


WEEKS = (
    Week("before", "before the filter change", datetime(2026, 7, 6, tzinfo=UTC), (31.5, 33.0, 34.5, 32.0, 30.0), 0.520,
         380.0, "loaded, in use since autumn", "medium", True, 71),
    Week("after", "after the filter change, blower one step higher", datetime(2026, 7, 20, tzinfo=UTC),
         (32.5, 31.0, 33.5, 35.0, 31.5), 0.655, 520.0, "new", "high", False, 72),
)  # fmt: skip


def true_capacity(wet_bulb: Floats, outdoor: Floats, flow: float) -> Floats:
    """Net total cooling [W] of the invented unit."""
    rated = 11_600.0 * (flow / 0.62) ** 0.42
    return rated * (1 + 0.030 * (wet_bulb - 17.0) - 0.008 * (outdoor - 33.0))


def smoothed(values: Floats, minutes: float) -> Floats:
    """A first-order lag, a step a minute."""
    share, held = 1 - np.exp(-1 / minutes), np.empty_like(values)
    now = values[0]
    for i, value in enumerate(values):
        now += share * (value - now)
        held[i] = now
    return held


@dataclass(frozen=True)
class Simulated:
    """A week, minute by minute [°C, fraction of RH, W, m³/s]."""

    return_dry_bulb: Floats
    return_humidity: Floats
    supply_dry_bulb: Floats
    supply_humidity: Floats
    outdoor: Floats
    power: Floats
    volume_flow: Floats


def simulate(week: Week) -> Simulated:
    """The room, its thermostat and the unit."""
    random = np.random.default_rng(week.seed)
    count = DAYS * 24 * 60
    hour = np.arange(count) / 60 % 24
    day = np.arange(count) // (24 * 60)
    warmest = np.interp(np.arange(count) / 1440 - 0.65, np.arange(DAYS), week.warmest)
    weather = smoothed(random.normal(0, 6.0, count), 180.0)
    outdoor = warmest - 5.5 * (1 - np.cos((hour - 15.5) / 24 * 2 * np.pi)) + weather
    open_hours = (hour >= 7) & (hour < 19)
    gains = np.where(open_hours, 3400.0, 900.0) + smoothed(random.normal(0, 2500.0, count), 30.0)
    setpoint = np.where((hour >= 6) & (hour < 19), 24.0, 26.0)
    humid = 0.0093 + 0.0006 * np.sin(day * 1.7 + week.seed) + smoothed(random.normal(0, 0.0012, count), 240.0)
    # Heat that the building takes up and gives [J/K]; moisture that the room's air and furniture hold [kg].
    mass, held = 16e6, 2600.0
    room, ratio, on = 24.8, humid[0], False
    dry_bulb, ratios, running = np.empty(count), np.empty(count), np.zeros(count, dtype=bool)
    for i in range(count):
        on = room > setpoint[i] - 0.55 if on else room > setpoint[i] + 0.55
        dry_bulb[i], ratios[i], running[i] = room, ratio, on
        sensible = 8_600.0 * (week.volume_flow / 0.62) ** 0.45 if on else 0.0
        room += MINUTE / mass * (330.0 * (outdoor[i] - room) + gains[i] - sensible)
        ratio += (
            MINUTE / held * (0.09 * (humid[i] + 0.0022 - ratio) + 0.00018 * open_hours[i] - (0.00075 if on else 0.0))
        )
    return through_unit(week, dry_bulb, ratios, outdoor, running, random)


def through_unit(
    week: Week,
    dry_bulb: Floats,
    ratio: Floats,
    outdoor: Floats,
    running: NDArray[np.bool_],
    random: np.random.Generator,
) -> Simulated:
    """What the unit makes of the return air, as probes in the ducts follow it."""
    air = MoistAir.from_humidity_ratio(dry_bulb, ratio, PRESSURE)
    since = np.zeros(dry_bulb.size)
    for i in range(1, dry_bulb.size):
        since[i] = since[i - 1] + 1 if running[i] and running[i - 1] else 0.0
    # Capacity comes up within minutes; as long as the coil is warmer than the dew point, it dries nothing.
    total = true_capacity(air.wet_bulb, outdoor, week.volume_flow) * (1 - np.exp(-(since + 0.5) / 2.0))
    dry_air = week.volume_flow / 0.845
    bypass = np.exp(-0.95 / dry_air)
    surface = np.asarray(saturated_temperature_from_enthalpy(air.enthalpy - total / dry_air / (1 - bypass), PRESSURE))
    coldest = np.asarray(MoistAir.from_relative_humidity(surface, 1.0, PRESSURE).humidity_ratio)
    supply_ratio = np.minimum(coldest + bypass * (ratio - coldest), ratio)
    supply = dry_bulb_from_enthalpy(air.enthalpy - total / dry_air, supply_ratio)
    # Where the blower stands, the supply duct takes the temperature of the space that it runs through.
    supply = np.where(running, supply, dry_bulb + 0.6)
    supply_ratio = np.where(running, supply_ratio, ratio)
    seen = {}
    for place, values, held in (("return", dry_bulb, ratio), ("supply", supply, supply_ratio)):
        # Temperature and humidity of a probe follow the air together.
        shown, kept = smoothed(np.asarray(values), 1.0), smoothed(held, 1.0)
        humidity = np.asarray(MoistAir.from_humidity_ratio(shown, kept, PRESSURE, impossible="nan").relative_humidity)
        seen[place] = (
            shown + BIAS[place][0] + random.normal(0, 0.05, shown.size),
            np.clip(
                np.nan_to_num(humidity, nan=0.99) + BIAS[place][1] + random.normal(0, 0.0025, shown.size), 0.01, 0.99
            ),
        )
    power = np.where(running, 2_950.0 * (1 + 0.016 * (outdoor - 33.0)) * (1 - 0.35 * np.exp(-since / 1.5)), 40.0)
    flow = np.where(running, week.volume_flow * (1 + random.normal(0, 0.006, power.size)), 0.0)
    return Simulated(
        *seen["return"], *seen["supply"], outdoor + random.normal(0, 0.1, power.size),
        power * (1 + random.normal(0, 0.004, power.size)), flow,
    )  # fmt: skip


def air_file(week: Week, made: Simulated) -> str:
    """The logger of probes and flow: commas, ISO stamps, units in the headings; the battery was changed once."""
    lines = [
        "time,return temperature [degC],return humidity [%],supply temperature [degC],supply humidity [%],air flow [L/s]"
    ]
    for i in range(0, made.outdoor.size, EVERY):
        if week.gap and 3500 <= i < 3540:
            continue
        lines.append(
            f"{week.begin + timedelta(minutes=i):%Y-%m-%d %H:%M:%S},{made.return_dry_bulb[i]:.1f},"
            f"{made.return_humidity[i] * 100:.1f},{made.supply_dry_bulb[i]:.1f},{made.supply_humidity[i] * 100:.1f},{made.volume_flow[i] * 1000:.0f}"
        )
    return "\n".join(lines) + "\n"


def unit_file(week: Week, made: Simulated) -> str:
    """The unit's logger: a preamble, semicolons, decimal commas, the day first; -999 where the meter did not answer."""
    random = np.random.default_rng(week.seed + 100)
    lines = ["Unit log (invented)", f"Waiting room unit;{week.stage}", "Time;Power;Outdoor", ";kW;degC"]
    for i in range(1, made.outdoor.size, EVERY):
        stamp = week.begin + timedelta(minutes=i) - timedelta(seconds=SLOW)
        power = "-999" if random.random() < 0.004 else f"{made.power[i] / 1000:.2f}"
        cells = f"{power};{made.outdoor[i]:.1f}".replace(".", ",")
        lines.append(f"{stamp:%d.%m.%Y %H:%M:%S};{cells}")
    return "\n".join(lines) + "\n"


def side_by_side(seed: int) -> str:
    """Both probes in one airstream before the week, ten readings of each."""
    random, lines = np.random.default_rng(seed + 200), []
    for name, value, index, scale, scatter in (
        ("dry_bulb", 24.2, 0, 1.0, 0.05),
        ("relative_humidity", 51.0, 1, 100.0, 0.2),
    ):
        pairs = [value + BIAS[p][index] * scale + random.normal(0, scatter, 10) for p in ("return", "supply")]
        lines.append(f"{name} = [{', '.join('[' + ', '.join(f'{v:.1f}' for v in pair) + ']' for pair in pairs)}]")
    return "\n".join(lines)


def visit_file(week: Week) -> str:
    """The visit file of a week."""
    air, unit = f"loggers/{week.stage}_air.csv", f"loggers/{week.stage}_unit.csv"
    return f"""{INVENTED}format = "airside visit 1"
units = "SI"
name = "Clinic waiting-room unit, {week.words}"
mode = "cooling"

# How the loggers wrote their files. What can be found out is not said: headings, delimiters, interval.
[log]
date_order = "day month year"
no_value = "-999"

# Which minutes count. With a stretch of 30 minutes each has enough readings; the rest is found out.
[log.counting]
running_from = "power"
window = 30

[site]
barometric_pressure = {PRESSURE / 1000:.1f}

[system]
name = "Clinic, waiting-room unit"
nominal_capacity = 12.3
filter = "{week.filter}"

[fan]
power = {week.fan_power / 1000:.2f}
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
dry_bulb = {{ accuracy = 0.3, resolution = 0.1 }}
relative_humidity = {{ accuracy = 1.5, resolution = 0.1 }}

[instruments.probe_2]
dry_bulb = {{ accuracy = 0.3, resolution = 0.1 }}
relative_humidity = {{ accuracy = 1.5, resolution = 0.1 }}

[instruments.outdoor_probe]
dry_bulb = {{ accuracy = 0.5, resolution = 0.1 }}

[instruments.power_meter]
power = {{ accuracy_of_reading = 1.0, resolution = 0.01 }}

[instruments.flow_grid]
volume_flow = {{ accuracy_of_reading = 3.0, resolution = 1 }}

# Both probes in the return duct before the week, for ten minutes.
[side_by_side]
instruments = ["probe_1", "probe_2"]
apply = true
{side_by_side(week.seed)}

[readings.return]
instrument = "probe_1"
placement = 0.1
log = "{air}"
columns = {{ dry_bulb = "return temperature", relative_humidity = "return humidity" }}

[readings.supply]
instrument = "probe_2"
placement = 0.1
log = "{air}"
columns = {{ dry_bulb = "supply temperature", relative_humidity = "supply humidity" }}

[readings.outdoor]
instrument = "outdoor_probe"
log = "{unit}"
columns = {{ dry_bulb = "Outdoor" }}

[readings.power]
instrument = "power_meter"
log = "{unit}"
columns = {{ outdoor_unit = "Power" }}
"""


def make_clinic(folder: Path) -> None:
    """Write both weeks."""
    (folder / "loggers").mkdir(parents=True, exist_ok=True)
    for week in WEEKS:
        made = simulate(week)
        (folder / f"{week.stage}.toml").write_text(visit_file(week), encoding="utf-8")
        for name, text in (("air", air_file(week, made)), ("unit", unit_file(week, made))):
            (folder / "loggers" / f"{week.stage}_{name}.csv").write_text(text, encoding="utf-8")
