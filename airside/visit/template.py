"""A commented visit file to fill in; it is itself a valid visit."""

from __future__ import annotations

from airside.units import UnitSystem

_NUMBERS: dict[UnitSystem, dict[str, str]] = {
    "IP": {
        "meaning": "bare numbers: °F, % RH, inHg, inH2O (duct), cfm, ft/min, ton, kW, ft (elevation), in (duct sides)",
        "elevation": "650", "elevation_unit": "ft", "pressure": "29.2", "pressure_unit": "inHg",
        "capacity": "3", "capacity_unit": "ton", "flow": "1180", "flow_unit": "cfm",
        "static": "[0.48, 0.50, 0.49]", "static_unit": "inH2O", "velocity": "ft/min", "side": "in",
        "width": "20", "height": "16",
        "return": "[75.2, 75.3, 75.1]", "supply": "[56.4, 56.3, 56.5]", "outdoor": "[88.0]",
        "accuracy": "0.9", "per_capacity": "400", "per_capacity_unit": "cfm per ton", "rise": "[22.4, 22.6, 22.5]",
        "temperature": "°F",
    },
    "SI": {
        "meaning": "bare numbers: °C, % RH, kPa (barometer), Pa (duct), L/s, m/s, kW, m (elevation), mm (duct sides)",
        "elevation": "200", "elevation_unit": "m", "pressure": "98.9", "pressure_unit": "kPa",
        "capacity": "10.5", "capacity_unit": "kW", "flow": "555", "flow_unit": "L/s",
        "static": "[118, 122, 120]", "static_unit": "Pa", "velocity": "m/s", "side": "mm",
        "width": "500", "height": "400",
        "return": "[24.0, 24.1, 24.0]", "supply": "[13.6, 13.5, 13.6]", "outdoor": "[31.0]",
        "accuracy": "0.5", "per_capacity": "54", "per_capacity_unit": "L/s per kW", "rise": "[12.4, 12.6, 12.5]",
        "temperature": "°C",
    },
}  # fmt: skip

_TEXT = """\
# A visit file: one measured condition of one system. Fill in, save, then: airside capacity FILE
# Lines that begin with # are comments. A text with a unit, such as "24.1 degC", overrides `units` for that number.
format = "airside visit 1"
units = "{units}"                      # {meaning}
name = "Name of the system and its condition"
# date = 2026-07-14
# measured_by = "Name"
mode = "cooling"                  # or "heating"

[site]                            # one of the two; with both, the barometer is used and checked
elevation = {elevation}                   # {elevation_unit}
# barometric_pressure = {pressure}      # {pressure_unit}, as read here: not the weather service's sea-level figure

[system]
nominal_capacity = {capacity}              # {capacity_unit}
# refrigerant = "R-32"
# metering_device = "thermostatic valve"

# [fan]                           # separates fan heat: delivered against gross capacity
# power = 0.45                    # kW
# position = "between probes"     # or "outside probes"

# How much air: keep one method.
[airflow]
method = "measured"               # flow hood, grid, nozzle or station
volume_flow = [{flow}]             # {flow_unit}
basis = "actual"                  # or "standard": air of 0.075 lb/ft3
at = "return"                     # where the flow holds: "return" or "supply"
# relative_uncertainty = 0.05     # standard, a fraction; replaces the method's default

# method = "fan table"            # static pressure into the manufacturer's table (a CSV file beside this one)
# table = "fan_table.csv"
# speed = "medium"                # the column
# external_static_pressure = {static}    # {static_unit}

# method = "traverse"             # velocities across the duct
# shape = "rectangular"           # width and height; or "round" with diameter
# width = {width}                     # {side}
# height = {height}
# velocity = []                   # {velocity}, one a point; or velocity_pressure in {static_unit}

# method = "temperature rise"     # a known heat input and the rise over it
# heat_input = 9.6                # kW; or voltage and current; or fuel_input and efficiency
# temperature_rise = {rise}       # {temperature} difference

# method = "pressure match"       # calibrated device in the airstream
# device_flow = {flow}              # {flow_unit}
# normal_static_pressure = {static}      # {static_unit}, without the device
# device_static_pressure = {static}      # {static_unit}, with the device

# method = "coil pressure drop"   # drop over the coil into the coil's table
# table = "coil_table.csv"
# coil = "wet"                    # or "dry"
# pressure_drop = {static}        # {static_unit}

# method = "rule of thumb"        # a customary flow; nothing is measured
# flow_per_capacity = {per_capacity}         # {per_capacity_unit}

# What the data sheets say. The same name in another visit is the same instrument.
[instruments.probe_1]
dry_bulb = {{ accuracy = {accuracy}, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.5, resolution = 0.1 }}

[instruments.probe_2]
dry_bulb = {{ accuracy = {accuracy}, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.5, resolution = 0.1 }}

# At least three readings each, some minutes apart, after the equipment has run steadily for 15 minutes or more.
[readings.return]
instrument = "probe_1"
dry_bulb = {return}
relative_humidity = [50.2, 50.0, 50.3]     # or wet_bulb, or dew_point

[readings.supply]
instrument = "probe_2"
dry_bulb = {supply}
relative_humidity = [88.0, 88.3, 88.1]

[readings.outdoor]
dry_bulb = {outdoor}

# Safety: live voltage, moving blowers, refrigerant under pressure and hot surfaces can hurt.
# Local codes, the manufacturer's instructions and licensed practice come first.
"""


def visit_template(units: UnitSystem = "IP") -> str:
    """Text of a commented visit file with example numbers in a unit system."""
    return _TEXT.format(units=units, **_NUMBERS[units])
