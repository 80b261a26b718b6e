"""Logger files of an invented bakery, written for the tests, and a visit file that names them."""

from airside.visit.logs.read import read_log

HEAD = "date_time;t [degC];rh [%]"
ROWS = [
    "2026-07-14 10:00:00;24.1;51",
    "2026-07-14 10:01:00;24.2;52",
    "2026-07-14 10:02:00;24.3;53",
    "2026-07-14 10:03:00;24.4;54",
]
MORE = [f"2026-07-14 10:{m:02}:00;{24 + m / 100:.2f};{50 + m % 5}" for m in range(4, 60)]
T, RH = "readings.return.dry_bulb", "readings.return.relative_humidity"


def write(folder, text, name="return.csv", encoding="utf-8"):
    (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode(encoding))


def lines(*rows, head=HEAD):
    return "\n".join([head, *rows]) + "\n"


def table(file="return.csv", units=None, **columns):
    columns = columns or {"dry_bulb": "t", "relative_humidity": "rh"}
    return {"log": file, "columns": columns, **({"column_units": units} if units else {})}


def read(folder, *, units="SI", log=None, files=None, **readings):
    """Read the logs of a visit file whose return readings, if nothing else is said, are in return.csv."""
    readings = {"return" if k == "return_air" else k: v for k, v in readings.items()} or {"return": table()}
    settings = dict(log or {}) | ({"files": files} if files else {})
    data = {"units": units, "readings": readings, **({"log": settings} if settings else {})}
    return read_log(data, folder=folder, name="visit.toml")
