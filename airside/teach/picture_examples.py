"""A mark to copy for each picture, with every key that it takes: for the author who has not shown one before."""

from __future__ import annotations

from airside.errors import AirsideError
from airside.teach.marks import nearest

ONE = 'visit = "demo:reading_room/before.toml"      # or a file in the lesson\'s folder, such as "visits/before.toml"'
TWO = """before = "demo:reading_room/before.toml"     # or a file in the lesson's folder, such as "visits/before.toml"
after = "demo:reading_room/after.toml\""""
# The check asks for other words.
DESCRIBES = "Say here what is to be seen, for those who cannot see it."

# What stands between `describes` and the mark's end.
KEYS = {
    "psychrometric chart": """elevation = "2600 ft"                        # or barometric_pressure = "27.2 inHg"; neither: sea level
states = [                                   # each with one of relative_humidity, wet_bulb, dew_point, humidity_ratio
  { name = "outdoor", dry_bulb = "90 degF", relative_humidity = "45 %" },
  { name = "return", dry_bulb = "76 degF", wet_bulb = "63 degF" },
  { name = "supply", dry_bulb = "57 degF", relative_humidity = "88 %" },
]
# All below may be left out.
processes = [ { start = "return", end = "supply", coil = true, name = "the coil" } ]   # coil: with its apparatus dew point
mixtures = [ { first = "outdoor", second = "return", share = "20 %", name = "mixed" } ]  # share of the first
view = "states"                              # or "full": the whole chart
lines = "wet bulb"                           # or "enthalpy"
protractor = false                           # true: the scale of sensible heat ratios""",
    "visit": ONE,
    "change": TWO,
    "densities": TWO,
    "change alone": TWO,
    "budget": ONE,
    "budget of the change": TWO,
    "airflow evidence": ONE,
    "performance table": ONE,
    "temperature profile": ONE,
    "pressure and enthalpy": ONE,
    "smallest change": ONE,
    "side-by-side check": 'visit = "demo:reading_room/before.toml"      # a visit with a side-by-side check',
    "readings over time": f'{ONE}\nquantity = "dry bulb"                        # or "humidity", "total capacity"',
    "logged data": """visit = "demo:clinic/before.toml"            # a visit that names logger files
# All below may be left out.
first = "2026-07-07 10:00"                   # the part of its time that is shown
last = "2026-07-07 16:00"
panels = ["Dry bulb", "Power"]               # only these, in this order""",
    "long run": """before = "demo:clinic/before.toml"           # visits that name logger files
after = "demo:clinic/after.toml"
part = "weather"                             # capacity against the weather; or "running": the change as it came about""",
    "lines": """# kind: what is measured, such as "temperature", "time", "volume_flow"; unit: that of the numbers here.
across = { label = "Elevation", kind = "elevation", unit = "ft", values = [0, 2000, 4000, 6000] }
up = { label = "Specific volume", kind = "specific_volume", unit = "ft**3/lb" }
lines = [ { name = "room air", values = [13.69, 14.74, 15.88, 17.14] } ]   # as many values as across; up to five lines
# All below may be left out.
levels = [ { name = "standard air", value = 13.33 } ]   # a line across, at a value of up
moments = [ { name = "the clinic", value = 4900 } ]     # a line upwards, at a value of across
dots = true                                  # mark each value""",
    "image file": 'file = "grille.jpg"                          # PNG or JPEG in the lesson\'s folder',
}


def example_mark(shows: str) -> str:
    """A picture's mark as it may stand in a lesson, with a comment on each key.

    Parameters
    ----------
    shows : str
        Name of the picture, one of `airside.teach.pictures.PICTURES`.

    Raises
    ------
    AirsideError
        There is no such picture.
    """
    if shows not in KEYS:
        raise AirsideError(f'there is no picture "{shows}". {nearest(shows, KEYS)}')
    return f'```airside picture\nshows = "{shows}"\ndescribes = "{DESCRIBES}"\n{KEYS[shows]}\n```'


def pictures_listed() -> str:
    """The pictures and panels that a lesson may show, a line for each."""
    from airside.teach.lesson_panels import PANELS
    from airside.teach.pictures import PICTURES

    wide = max(map(len, (*PICTURES, *PANELS)))
    lines = ["Pictures, by their shows:", *(f"  {k.name:<{wide}}  {k.says}" for k in PICTURES.values())]
    lines += ["", "Panels, by their shows, and the files that they begin with:"]
    lines += [f"  {name:<{wide}}  {', '.join(panel.files)}" for name, panel in PANELS.items()]
    return "\n".join(
        [*lines, "", 'For a picture\'s mark with its keys: airside author find-picture "psychrometric chart"']
    )
