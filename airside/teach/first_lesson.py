"""A small lesson that is complete, for an author to begin from."""

from __future__ import annotations

import re
from pathlib import Path

from airside.errors import OutputError
from airside.files import write_whole
from airside.teach.lesson import LESSON_FILE

FIRST = """```airside lesson
number = @NUMBER@
title = "@TITLE@"
minutes = 20
# What the trainee will be able to do, each beginning with a verb.
able = [
  "say why a humidity ratio tells more than a relative humidity",
  "find the humidity ratio of a room's air from its dry bulb and relative humidity",
]
sources = [
  "ASHRAE Handbook—Fundamentals (2017) ch. 1",
]
next_says = "Say here what the next lesson is about."
```

## A damp morning in the archive

The clinic in this story is invented. Its archive lies in the basement, and on Monday the papers feel damper than on Friday.
Over the weekend a new outdoor air fan has run. You have one probe and ten minutes. The relative humidity outdoors is 45 %, and
in the archive it is 55 %. The caretaker says: "So the new outdoor air fan dries the room." Is he right?

## How much water is in the air

Relative humidity says how full the air is, not how much water it holds: warm air holds more. The **humidity ratio** says how
much water goes with each pound or kilogram of dry air. It stays the same when air is only heated or cooled, as long as no
water comes or goes. That is why you compare two airs by it.

```airside picture
shows = "psychrometric chart"
describes = "The archive's air and the outdoor air on the chart. The outdoor air is warmer and has a lower relative humidity, yet it stands higher on the chart: it holds more water."
elevation = "1000 ft"
states = [
  { name = "archive", dry_bulb = "68 degF", relative_humidity = "55 %" },
  { name = "outdoor", dry_bulb = "88 degF", relative_humidity = "45 %" },
]
```

Find the archive on the chart, go straight to the right, and read the humidity ratio on the scale: about 58 gr/lb (8.3 g/kg).
Do the same for the outdoor air: about 93 gr/lb (13.2 g/kg). So the caretaker is not right. The outdoor air holds more water, so
as long as nothing dries it the fan brings water in.

## Worked example

Every step has its number and its unit. Switch the units to see the same way in the other system.

```airside example
kind = "humidity_ratio_at_altitude"
seed = 3
```

## Exercises

Type a number, with its unit if you like. A wrong answer is no harm: it is often a slip that others have made before.

```airside question
kind = "humidity_ratio_at_altitude"
seed = 11
```

```airside question
kind = "dew_point_from_relative_humidity"
seed = 12
```

```airside question
kind = "relative_humidity_after_heating"
seed = 13
```

```airside question
kind = "barometric_pressure_of_elevation"
seed = 14
```

```airside question
kind = "will_the_duct_sweat"
seed = 15
```

```airside aside
kind = "field"
text = "A customer complains about damp, and the relative humidity looks fine. The humidity ratios of two places tell you which way the water goes."
```

```airside aside
kind = "caution"
text = "A damp basement may have water near live wires. Look before you step in, and keep the probe's cable dry. Local codes, the manufacturer's instructions and licensed practice come first."
```
"""


def new_lesson(folder: str | Path) -> Path:
    """Make a folder with a small complete lesson in it; gives its file.

    Parameters
    ----------
    folder : str or Path
        Must not exist, or be empty; a number at the beginning of its name becomes the lesson's.

    Raises
    ------
    OutputError
        Something is there already, the folder above is missing, or the name does not do.
    """
    top = Path(folder)
    name = top.resolve().name
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]*", name):
        raise OutputError(
            f'{folder}: the name "{name}" does not do. Use letters, digits, _ and -, such as 10_my_lesson.'
        )
    try:
        if top.exists() and not top.is_dir():
            raise OutputError(f"{folder}: is a file. Name a folder that does not exist yet.")
        if top.is_dir() and any(top.iterdir()):
            raise OutputError(
                f"{folder}: is not empty; what is in it stays as it is. Name a folder that does not exist yet."
            )
        if not top.resolve().parent.is_dir():
            raise OutputError(
                f"{folder}: the folder {top.parent} does not exist. Make it first, or name another place."
            )
        top.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be made ({error.strerror}). Name another place.") from None
    number = int(found[0]) if (found := re.match(r"\d{1,3}", name)) else 1
    words = re.sub(r"^\d+[_-]*", "", name).replace("_", " ").replace("-", " ").strip() or "moist air"
    text = FIRST.replace("@NUMBER@", str(max(number, 1))).replace("@TITLE@", words[0].upper() + words[1:])
    return write_whole(top / LESSON_FILE, text)
