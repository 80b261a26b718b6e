"""A scenario that is complete, for an author to begin from."""

from __future__ import annotations

from pathlib import Path

from airside.errors import OutputError
from airside.files import write_whole
from airside.teach.scenario import SCENARIO_FILE

FIRST = """\
# Invented: no such school, no such equipment. Change what you like, then: airside author scenario FOLDER --seed 7
# What is marked hidden goes into the truth file alone, never into the files for the trainee.
format = "airside scenario 1"
units = "IP"                          # bare numbers are °F, % RH, cfm, ton, kW, ft, min; or "SI"
name = "School gymnasium, rooftop unit"
work = "New filter, and what the technician found"      # stands in the after visit

[site]
elevation = 2600                      # or barometric_pressure; instrument = "…" adds a barometer

[system]
nominal_capacity = 5
equipment = "air conditioner"         # or "heat pump": chooses the rating curve
refrigerant = "R-410A"
metering_device = "thermostatic valve"
capacity_of_nominal = 0.97            # hidden: what it delivers at rating condition A when all is well, of nominal
coil_bypass_factor = 0.10             # hidden: at the airflow without fault
rated_power = 4.3                     # hidden: of the outdoor unit at condition A; leave out for no power readings
# slope_doubt = 0.5                   # hidden: how far its slopes may differ from the curve's; 0 follows it exactly

[fan]
power = 0.7                           # kW, between the probes, after the coil

[airflow]
volume_flow = 2050                    # hidden: actual volume of return air without fault
method = "measured"                   # or "traverse" (width, height), or "fan table" (speed, speeds, rows)
instrument = "flow_station"
relative_uncertainty = 0.04

# What the data sheets say, as in a visit file.
[instruments.probe_1]
dry_bulb = { accuracy = 0.9, resolution = 0.1 }
relative_humidity = { accuracy = 2.5, resolution = 0.1 }

[instruments.probe_2]
dry_bulb = { accuracy = 0.9, resolution = 0.1 }
relative_humidity = { accuracy = 2.5, resolution = 0.1 }

[instruments.outdoor_thermometer]
dry_bulb = { accuracy = 1.0, resolution = 0.1 }

[instruments.power_meter]
power = { accuracy_of_reading = 1.5, resolution = 0.01 }

[instruments.flow_station]

# Drawn with the seed, for each visit anew; a single number is taken as it is.
[weather]
return_dry_bulb = [75, 78]
return_relative_humidity = [45, 53]
outdoor_dry_bulb = [86, 96]

[before]
date = 2026-06-10
airflow_fault = -0.20                 # hidden: a fifth less than the airflow without fault
charge_fault = -0.15                  # hidden: of the right charge; NIST Technical Note 1848
filter = "as found, dirty"

[after]
date = 2026-06-17
filter = "new"

[readings]
return_instrument = "probe_1"
supply_instrument = "probe_2"
outdoor_instrument = "outdoor_thermometer"
power_instrument = "power_meter"
humidity = "relative_humidity"        # or "wet_bulb", "dew_point"
side_by_side = true                   # both probes in the return air before the readings
count = 8
interval = 2

[logger]
interval = 0.5                        # minutes, as all times here
duration = 40
start = 5                             # when the compressor starts
settling = 4                          # time constant of the system
response = 1                          # time constant of the probes
"""


def new_scenario(folder: str | Path) -> Path:
    """Write a scenario that is complete into a folder; gives its file.

    Parameters
    ----------
    folder : str or Path
        A lesson's folder, or any other.

    Raises
    ------
    OutputError
        There is a scenario already, or no such folder.
    """
    top = Path(folder)
    if not top.is_dir():
        raise OutputError(f"{folder}: there is no such folder. Make it first, or name another.")
    place = top / SCENARIO_FILE
    if place.exists():
        raise OutputError(f"{place}: exists already and is left as it is. Change it in an editor.")
    return write_whole(place, FIRST)
