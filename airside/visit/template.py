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
        "temperature": "°F", "pair_1": "75.1, 75.2, 75.1", "pair_2": "75.6, 75.6, 75.5", "placement": "0.3",
        "placement_default": "0.54", "suction": "[118, 119, 118]", "liquid": "[360, 362, 361]",
        "suction_line": "[50.2, 50.3, 50.1]", "liquid_line": "[98.0, 98.1, 98.0]",
    },
    "SI": {
        "meaning": "bare numbers: °C, % RH, kPa (barometer), Pa (duct), L/s, m/s, kW, m (elevation), mm (duct sides)",
        "elevation": "200", "elevation_unit": "m", "pressure": "98.9", "pressure_unit": "kPa",
        "capacity": "10.5", "capacity_unit": "kW", "flow": "555", "flow_unit": "L/s",
        "static": "[118, 122, 120]", "static_unit": "Pa", "velocity": "m/s", "side": "mm",
        "width": "500", "height": "400",
        "return": "[24.0, 24.1, 24.0]", "supply": "[13.6, 13.5, 13.6]", "outdoor": "[31.0]",
        "accuracy": "0.5", "per_capacity": "54", "per_capacity_unit": "L/s per kW", "rise": "[12.4, 12.6, 12.5]",
        "temperature": "°C", "pair_1": "24.0, 24.1, 24.0", "pair_2": "24.3, 24.3, 24.2", "placement": "0.15",
        "placement_default": "0.3", "suction": "[815, 820, 817]", "liquid": "[2480, 2490, 2485]",
        "suction_line": "[10.1, 10.2, 10.1]", "liquid_line": "[36.6, 36.7, 36.6]",
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
# customer = "Name"               # the next three are for: airside report
# work = "What was done to the system before this visit"
# notes = "Anything else that a reader should know"
mode = "cooling"                  # or "heating"

[site]                            # one of the two; with both, the barometer is used and checked
elevation = {elevation}                   # {elevation_unit}
# barometric_pressure = {pressure}      # {pressure_unit}, as read here: not the weather service's sea-level figure
# name = "Clinic"                 # name and address of the building, for: airside report
# address = "Street and town"

[system]
nominal_capacity = {capacity}              # {capacity_unit}
# name = "Clinic, unit 2"         # the same in both visits of a comparison
# equipment = "air conditioner"   # or "heat pump": chooses the rating curve
# refrigerant = "R-32"
# metering_device = "thermostatic valve"     # or "fixed orifice"
# target_subcooling = 10          # temperature difference, from the nameplate; also target_superheat
# coil = "as found, dusty"        # what they are now, in words: where the words differ between two
# filter = "new, 2 inch"          # visits, the airflow method's error is not taken as shared
# performance_table = "performance.csv"      # the manufacturer's; takes the rating curve's place

# [fan]                           # separates fan heat: delivered against gross capacity
# power = 0.45                    # kW
# position = "between probes"     # or "outside probes"
# place = "after coil"            # or "before coil": takes its heat out of the coil's figures

# How much air: keep one method.
[airflow]
method = "measured"               # flow hood, grid, nozzle or station
volume_flow = [{flow}]             # {flow_unit}
basis = "actual"                  # or "standard": air of 0.075 lb/ft3
at = "return"                     # where the flow holds: "return" or "supply"
# relative_uncertainty = 0.05     # standard, a fraction; replaces the method's default
# instrument = "manometer"        # its accuracy stands in [instruments.manometer], under duct_pressure, velocity, ...

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

# More of a data sheet, for one quantity:
# dew_point = {{ accuracy = 0.7, accuracy_of_reading = 1.0, combination = "larger", coverage = "95 %", new_each_visit = 0.5 }}

[instruments.probe_2]
dry_bulb = {{ accuracy = {accuracy}, resolution = 0.1 }}
relative_humidity = {{ accuracy = 2.5, resolution = 0.1 }}

# Two probes in one airstream for some minutes: pairs of readings of the first and of the second.
# [side_by_side]
# instruments = ["probe_1", "probe_2"]
# apply = true                    # correct both, each by half of the offset
# dry_bulb = [[{pair_1}], [{pair_2}]]

# [readings]
# interval = 2                    # minutes between readings
# tolerances = "field"            # or "strict": 10 CFR 430 subpart B appendix M1

# At least three readings each, some minutes apart, after the equipment has run steadily for 15 minutes or more.
[readings.return]
instrument = "probe_1"
dry_bulb = {return}
relative_humidity = [50.2, 50.0, 50.3]     # or wet_bulb, or dew_point

[readings.supply]
# placement = {placement}                  # standard doubt of dry bulb in a stream that is not quite mixed; default {placement_default}
instrument = "probe_2"
dry_bulb = {supply}
relative_humidity = [88.0, 88.3, 88.1]

[readings.outdoor]
instrument = "probe_1"
dry_bulb = {outdoor}

# [readings.power]                # for efficiency; the indoor unit, or [fan], is needed beside the outdoor unit
# outdoor_unit = [2.61, 2.63, 2.62]          # kW; or total
# indoor_unit = [0.45, 0.45, 0.45]

# [readings.refrigerant]          # gauge pressures, line temperatures
# suction_pressure = {suction}
# liquid_pressure = {liquid}
# suction_line_at_coil = {suction_line}
# liquid_line = {liquid_line}

# Readings from logger files: the same three keys in any table above, in place of its lists of readings. See the README.
# log = "loggers/return.csv"      # CSV, workbook or Parquet; seen from this file
# columns = {{ dry_bulb = "T return", relative_humidity = "RH return" }}       # headings of the file
# column_units = {{ dry_bulb = "degC" }}         # where the file does not say them
# [log]                           # how the files are written, as far as it cannot be found out
# date_order = "day month year"   # also time, time_format, year, time_zone, delimiter, decimal, no_value, clock_offset
# [log.counting]                  # which minutes count
# running_from = "power"          # or "status", "airflow", "supply temperature"; also running_above, stage
# after_start = 10                # minutes left out; also before_stop
# window = 15                     # minutes of a steady stretch
# stretch = 3                     # the one that stands for the visit; default: the last of the longest run

# Safety: live voltage, moving blowers, refrigerant under pressure and hot surfaces can hurt.
# Local codes, the manufacturer's instructions and licensed practice come first.
"""


def visit_template(units: UnitSystem = "IP") -> str:
    """Text of a commented visit file with example numbers in a unit system."""
    return _TEXT.format(units=units, **_NUMBERS[units])
