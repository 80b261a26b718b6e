"""Scenarios for tests: the one that an author begins with, and others that differ in one thing."""

from airside.teach.scenario import parse_scenario
from airside.teach.scenario_first import FIRST

FAN_TABLE = """method = "fan table"
speed = "high"
speeds = ["low", "high"]
rows = [
  [0.0, 2000, 2900], [0.2, 1900, 2700], [0.4, 1800, 2500], [0.6, 1600, 2250],
  [0.8, 1350, 1950], [1.0, 1000, 1600], [1.2, 600, 1200], [1.4, 200, 700],
]"""


def changed(*changes):
    """The first scenario's text with some of its words changed."""
    text = FIRST
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


METHOD = 'method = "measured"                   # or "traverse" (width, height), or "fan table" (speed, speeds, rows)'
VARIANTS = {
    "measured": FIRST,
    "traverse": changed(
        (METHOD, 'method = "traverse"\nwidth = 20\nheight = 16'),
        ("[instruments.flow_station]", "[instruments.flow_station]\nvelocity = { accuracy = 10, accuracy_of_reading = 3.0, resolution = 1 }"),
    ),
    "fan table": changed(
        (METHOD, FAN_TABLE), ("relative_uncertainty = 0.04\n", ""),
        ("[instruments.flow_station]",
         "[instruments.flow_station]\nduct_pressure = { accuracy = 0.01, accuracy_of_reading = 1.0, resolution = 0.01 }"),
    ),
    "wet bulb": changed(
        ("relative_humidity = { accuracy = 2.5, resolution = 0.1 }", "wet_bulb = { accuracy = 0.9, resolution = 0.1 }"),
        ("relative_humidity = { accuracy = 2.5, resolution = 0.1 }", "wet_bulb = { accuracy = 0.9, resolution = 0.1 }"),
        ('humidity = "relative_humidity"', 'humidity = "wet_bulb"'),
    ),
    "three readings, no check, a barometer": changed(
        ("side_by_side = true", "side_by_side = false"), ("count = 8", "count = 3"),
        ("elevation = 2600 ", 'elevation = 2600\ninstrument = "barometer" '),
        ("[instruments.probe_1]", "[instruments.barometer]\nbarometric_pressure = { accuracy = 0.06, resolution = 0.01 }\n\n[instruments.probe_1]"),
    ),
}  # fmt: skip


def scenario(name="measured"):
    """A variant, read."""
    return parse_scenario(VARIANTS[name], f"{name}.toml")
