"""Make the demo visits. Everything here is invented; the seed makes it come out the same each time.

Run from the top of the tree: ``python data/make_demo.py``. It rewrites data/reading_room, data/bakery and
data/clinic.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from make_clinic import make_clinic

from airside import MoistAir
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.air.properties import dry_bulb_from_enthalpy
from airside.refrigerant.saturation import bubble_pressure, dew_pressure

HERE = Path(__file__).parent
INVENTED = "# Invented for this demo: no such building, no such equipment, no such readings.\n"
random = np.random.default_rng(20260714)


def fahrenheit(celsius: float) -> float:
    return celsius * 1.8 + 32


def supply_state(return_air: MoistAir, dry_air: float, total: float, surface: float) -> MoistAir:
    """Supply air of a wet coil of known capacity [W] and effective surface [kg/s]: bypass factor exp(-surface / flow)."""
    bypass = math.exp(-surface / dry_air)
    enthalpy = return_air.enthalpy - total / dry_air / (1 - bypass)
    dew_point = saturated_temperature_from_enthalpy(enthalpy, return_air.pressure)
    coldest = MoistAir.from_relative_humidity(dew_point, 1.0, return_air.pressure)
    ratio = coldest.humidity_ratio + bypass * (return_air.humidity_ratio - coldest.humidity_ratio)
    dry_bulb = dry_bulb_from_enthalpy(return_air.enthalpy - total / dry_air, ratio)
    return MoistAir.from_humidity_ratio(dry_bulb, ratio, return_air.pressure)


def readings(value: float, scatter: float, count: int, decimals: int = 1) -> str:
    drawn = value + random.normal(0, scatter, count)
    return "[" + ", ".join(f"{v:.{decimals}f}" for v in drawn) + "]"


def refrigerant_side(
    name: str,
    barometric_pressure: float,
    evaporating: float,
    condensing: float,
    superheat: float,
    subcooling: float,
    units: str,
) -> str:
    """Refrigerant readings of a cycle: saturation temperatures [°C], superheat at the coil and subcooling [K]."""
    per_unit, temperature = (6894.757, fahrenheit) if units == "IP" else (1000.0, float)
    suction = (dew_pressure(name, evaporating) - barometric_pressure) / per_unit
    liquid = (bubble_pressure(name, condensing) - barometric_pressure) / per_unit
    scatter, decimals = (0.4, 1) if units == "IP" else (3.0, 0)
    return f"""suction_pressure = {readings(suction, scatter, 5, decimals)}
liquid_pressure = {readings(liquid, 2 * scatter, 5, decimals)}
suction_line_at_coil = {readings(temperature(evaporating + superheat), 0.2, 5)}
suction_line_at_outdoor_unit = {readings(temperature(evaporating + superheat + 2.0), 0.2, 5)}
liquid_line = {readings(temperature(condensing - subcooling), 0.2, 5)}
discharge_line = {readings(temperature(condensing + 31.0 + 0.5 * superheat), 0.4, 5)}"""


# What the invented duct probes of the library read too high: °F and % RH.
BIAS = {"duct_probe_1": (0.35, 0.9), "duct_probe_2": (-0.25, -0.6)}


def side_by_side(dry_bulb: float, humidity: float, count: int) -> str:
    """Both probes in one airstream for some minutes: readings of one quantity a line."""
    lines = []
    for name, value, index, scatter in (("dry_bulb", dry_bulb, 0, 0.08), ("relative_humidity", humidity, 1, 0.15)):
        pairs = ", ".join(readings(value + BIAS[p][index], scatter, count) for p in BIAS)
        lines.append(f"{name} = [{pairs}]")
    return "\n".join(lines)


def reading_room(
    stage: str,
    return_air: MoistAir,
    dry_air: float,
    total: float,
    surface: float,
    outdoor: float,
    static: float,
    power: float,
    evaporating: float,
    condensing: float,
    date: str,
) -> str:
    supply = supply_state(return_air, dry_air, total, surface)
    count = 8
    words = {"before": "before cleaning the outdoor coil", "after": "after cleaning the outdoor coil"}
    return f"""{INVENTED}format = "airside visit 1"
units = "IP"
name = "Reading room rooftop unit, {words[stage]}"
date = {date}
mode = "cooling"

[site]
elevation = 5413

[system]
name = "Public library, reading room rooftop unit"
nominal_capacity = 5
refrigerant = "R-410A"
metering_device = "thermostatic valve"
target_subcooling = 9

[fan]
power = 0.78
position = "between probes"

[airflow]
method = "fan table"
table = "fan_table.csv"
speed = "high"
external_static_pressure = {readings(static, 0.006, 4, 2)}
instrument = "manometer_1"

[instruments.duct_probe_1]
dry_bulb = {{ accuracy = 0.9, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.5, resolution = 0.1 }}

[instruments.duct_probe_2]
dry_bulb = {{ accuracy = 0.9, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.5, resolution = 0.1 }}

[instruments.outdoor_thermometer]
dry_bulb = {{ accuracy = 1.0, resolution = 0.1 }}

[instruments.gauge_set_1]
refrigerant_pressure = {{ accuracy = 1.0, accuracy_of_reading = 0.5, resolution = 0.1 }}

[instruments.pipe_clamps]
line_temperature = {{ accuracy = 1.8, resolution = 0.1 }}

[instruments.power_meter]
power = {{ accuracy_of_reading = 1.5, resolution = 0.01 }}

[instruments.manometer_1]
duct_pressure = {{ accuracy = 0.01, accuracy_of_reading = 1.0, resolution = 0.01 }}

# Both probes in the return duct before the readings, for ten minutes.
[side_by_side]
instruments = ["duct_probe_1", "duct_probe_2"]
apply = true
{side_by_side(fahrenheit(return_air.dry_bulb), return_air.relative_humidity * 100, 10)}

[readings]
interval = 2

[readings.return]
instrument = "duct_probe_1"
placement = 0.2
dry_bulb = {readings(fahrenheit(return_air.dry_bulb) + BIAS["duct_probe_1"][0], 0.12, count)}
relative_humidity = {readings(return_air.relative_humidity * 100 + BIAS["duct_probe_1"][1], 0.25, count)}

[readings.supply]
instrument = "duct_probe_2"
placement = 0.2
dry_bulb = {readings(fahrenheit(supply.dry_bulb) + BIAS["duct_probe_2"][0], 0.12, count)}
relative_humidity = {readings(supply.relative_humidity * 100 + BIAS["duct_probe_2"][1], 0.3, count)}

[readings.outdoor]
instrument = "outdoor_thermometer"
dry_bulb = {readings(outdoor, 0.2, count)}

[readings.power]
instrument = "power_meter"
outdoor_unit = {readings(power, 0.02, count, 2)}

[readings.refrigerant]
instrument = "gauge_set_1"
line_instrument = "pipe_clamps"
{refrigerant_side("R-410A", float(return_air.pressure), evaporating, condensing, 5.6, 5.0, "IP")}
"""


def bakery(
    stage: str,
    return_air: MoistAir,
    dry_air: float,
    total: float,
    surface: float,
    outdoor: float,
    velocity: float,
    fan_power: float,
    power: float,
    evaporating: float,
    condensing: float,
    date: str,
) -> str:
    supply = supply_state(return_air, dry_air, total, surface)
    count = 5
    words = {"before": "blower on low", "after": "blower on high"}
    x = np.array([0.074, 0.288, 0.5, 0.712, 0.926])
    profile = np.outer(1 - abs(2 * x - 1) ** 7, 1 - abs(2 * x - 1) ** 7) ** 0.3
    points = (velocity * profile / profile.mean() * (1 + random.normal(0, 0.015, (5, 5)))).ravel()
    rows = ",\n".join("    " + ", ".join(f"{v:.2f}" for v in row) for row in points.reshape(5, 5))
    return f"""{INVENTED}format = "airside visit 1"
units = "SI"
name = "Bakery packing room ducted unit, {words[stage]}"
date = {date}
mode = "cooling"

[site]
elevation = 240
barometric_pressure = {return_air.pressure / 1000:.1f}

[system]
name = "Bakery, packing room ducted unit"
nominal_capacity = 10.5
refrigerant = "R-32"
metering_device = "electronic valve"
target_subcooling = 5

[fan]
power = {fan_power}
position = "between probes"

[airflow]
method = "traverse"
shape = "rectangular"
width = 400
height = 350
at = "supply"
velocity = [
{rows},
]
instrument = "anemometer_1"

[instruments.probe_a]
dry_bulb = {{ accuracy = 0.4, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.0, resolution = 0.1 }}

[instruments.probe_b]
dry_bulb = {{ accuracy = 0.4, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.0, resolution = 0.1 }}

[instruments.gauges]
refrigerant_pressure = {{ accuracy = 7, accuracy_of_reading = 0.5, resolution = 1 }}

[instruments.clamps]
line_temperature = {{ accuracy = 1.0, resolution = 0.1 }}

[instruments.power_meter]
power = {{ accuracy_of_reading = 1.5, resolution = 0.01 }}

[instruments.anemometer_1]
velocity = {{ accuracy = 0.05, accuracy_of_reading = 3.0, resolution = 0.01 }}

[readings.return]
instrument = "probe_a"
dry_bulb = {readings(return_air.dry_bulb, 0.06, count)}
relative_humidity = {readings(return_air.relative_humidity * 100, 0.25, count)}

[readings.supply]
instrument = "probe_b"
dry_bulb = {readings(supply.dry_bulb, 0.06, count)}
relative_humidity = {readings(supply.relative_humidity * 100, 0.3, count)}

[readings.outdoor]
instrument = "probe_a"
dry_bulb = {readings(outdoor, 0.1, count)}

[readings.power]
instrument = "power_meter"
outdoor_unit = {readings(power, 0.01, count, 2)}

[readings.refrigerant]
instrument = "gauges"
line_instrument = "clamps"
{refrigerant_side("R-32", float(return_air.pressure), evaporating, condensing, 6.0, 5.0, "SI")}
"""


def main() -> None:
    library = HERE / "reading_room"
    # True capacities: 12.2 kW before, 14.6 kW after; about 2,050 cfm in both.
    before = MoistAir.from_relative_humidity("76.1 degF", 0.462, 83_000.0)
    after = MoistAir.from_relative_humidity("75.4 degF", 0.471, 83_000.0)
    (library / "before.toml").write_text(
        reading_room("before", before, 0.955, 12_200.0, 1.45, 91.4, 0.62, 4.62, 5.0, 51.2, "2026-07-14"),
        encoding="utf-8",
    )
    (library / "after.toml").write_text(
        reading_room("after", after, 0.960, 14_600.0, 1.45, 88.2, 0.62, 4.05, 4.1, 42.8, "2026-07-21"), encoding="utf-8"
    )
    (library / "fan_table.csv").write_text(
        INVENTED + "# Air at 0.075 lb/ft3.\nstatic pressure [inH2O],low [cfm],medium [cfm],high [cfm]\n"
        "0.2,1690,1990,2280\n0.4,1620,1920,2210\n0.6,1530,1840,2120\n0.8,1410,1730,2010\n1.0,,1590,1870\n",
        encoding="utf-8",
    )
    shop = HERE / "bakery"
    # True capacities: 8.6 kW on low, 9.2 kW on high; mean velocity 3.1 and 4.0 m/s in 0.14 m².
    before = MoistAir.from_relative_humidity(25.4, 0.52, 98_600.0)
    after = MoistAir.from_relative_humidity(25.1, 0.53, 98_900.0)
    (shop / "before.toml").write_text(
        bakery("before", before, 0.516, 8_600.0, 0.95, 32.5, 3.10, 0.19, 2.46, 6.0, 43.6, "2026-06-03"),
        encoding="utf-8",
    )
    (shop / "after.toml").write_text(
        bakery("after", after, 0.664, 9_200.0, 0.95, 31.1, 4.02, 0.34, 2.44, 7.9, 42.6, "2026-06-03"), encoding="utf-8"
    )
    (shop / "fan_table.csv").write_text(
        INVENTED + "# Air at 1.2 kg/m3.\nstatic pressure [Pa],low [L/s],medium [L/s],high [L/s]\n"
        "25,470,560,640\n50,450,540,620\n75,425,515,595\n100,395,485,562\n125,,450,525\n",
        encoding="utf-8",
    )
    make_clinic(HERE / "clinic")


if __name__ == "__main__":
    main()
