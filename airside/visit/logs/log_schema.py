"""What a visit file says of its logger files: `[log]`, `[log.files]`, and `log`, `columns`, `column_units` of tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from airside.errors import Problem
from airside.visit.convert import kind_of
from airside.visit.logs.time_format import format_pattern
from airside.visit.logs.time_stamps import NUMBER_FORMATS, ORDERS, StampSettings
from airside.visit.problems import nearest
from airside.visit.quantities import found
from airside.visit.schema import EVIDENCE, AirReadings, Fan, PowerReadings, RefrigerantReadings, Site

LOG_KEYS = ("log", "columns", "column_units")
# Heading of the status column, and what its words mean as numbers.
STATUS = ("readings", "status")
WORDS = "words"
_AIR = ("dry_bulb", "relative_humidity", "wet_bulb", "dew_point")
# Fields of each table that a logger can hold.
LOGGED: dict[tuple[str, ...], tuple[str, ...]] = {
    ("site",): ("barometric_pressure",),
    ("fan",): ("power",),
    ("airflow",): ("volume_flow", "external_static_pressure", "pressure_drop", "temperature_rise", "heat_input"),
    ("readings", "return"): _AIR,
    ("readings", "supply"): _AIR,
    ("readings", "outdoor"): _AIR,
    ("readings", "power"): ("total", "outdoor_unit", "indoor_unit"),
    ("readings", "refrigerant"): (
        "suction_pressure", "liquid_pressure", "suction_line_at_coil", "suction_line_at_outdoor_unit", "liquid_line",
        "discharge_line", "mass_flow",
    ),
    STATUS: ("stage",),
}  # fmt: skip
_MODELS: dict[tuple[str, ...], Any] = {
    ("site",): Site, ("fan",): Fan, ("readings", "power"): PowerReadings,
    ("readings", "refrigerant"): RefrigerantReadings,
}  # fmt: skip
DELIMITERS = (",", ";", "\t")
ENCODINGS = ("utf-8", "utf-16", "latin-1")


@dataclass(frozen=True)
class FileSettings:
    """How one logger file is written; None where it is to be found out."""

    time: tuple[str, ...] | None = None
    time_format: str | None = None
    date_order: str | None = None
    year: int | None = None
    time_zone: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    encoding: str | None = None
    heading_line: int | None = None
    sheet: str | None = None
    no_value: tuple[str, ...] = ()
    clock_offset: float = 0.0

    @property
    def stamps(self) -> StampSettings:
        """What concerns the time stamps."""
        return StampSettings(self.time_format, self.date_order, self.year)


@dataclass(frozen=True)
class LoggedColumn:
    """One column of a logger file that a field of the visit file names.

    Attributes
    ----------
    channel : str
        Path in the visit file.
    kind : str
        Kind of quantity; empty for a status.
    file : str
        Logger file as the visit file names it.
    column : str or int
        Heading, or number of the column from 1.
    unit : str or None
        Unit that the visit file states.
    words : mapping of str to float
        What the words of a status mean.
    """

    channel: str
    kind: str
    file: str
    column: str | int
    unit: str | None = None
    words: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class LogSettings:
    """Everything that a visit file says of its logger files."""

    columns: tuple[LoggedColumn, ...]
    files: Mapping[str, FileSettings]
    step: float | None
    problems: tuple[Problem, ...]


class _Wrong(Exception):
    """What was expected of a key, for its sentence."""


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _Wrong("text in quotes")
    return value


def _time(value: Any) -> tuple[str, ...]:
    names = (value,) if isinstance(value, str) else tuple(value) if isinstance(value, list) else ()
    if len(names) not in (1, 2) or not all(isinstance(n, str) and n.strip() for n in names):
        raise _Wrong('the heading of the time column, or of two, such as ["date", "time"]')
    return names


def _time_format(value: Any) -> str:
    text = _text(value)
    if text not in NUMBER_FORMATS:
        try:
            format_pattern(text)
        except ValueError as error:
            raise _Wrong(
                f'a format such as "%d.%m.%Y %H:%M:%S", or one of {_listed(NUMBER_FORMATS)}; {error}'
            ) from None
    return text


def _zone(value: Any) -> str:
    from zoneinfo import ZoneInfo

    text = _text(value)
    try:
        ZoneInfo(text)
    except Exception:  # several unrelated kinds, by name and by what the machine has
        raise _Wrong('the IANA name of a time zone, such as "Europe/Berlin" or "America/Denver"') from None
    return text


def _one_of(*choices: str) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        if value not in choices:
            raise _Wrong(f"{'one of ' if len(choices) > 1 else ''}{_listed(choices)}")
        return str(value)

    return read


def _encoding(value: Any) -> str:
    known = {"utf-8": "utf-8", "utf8": "utf-8", "utf-16": "utf-16", "utf16": "utf-16", "latin-1": "latin-1",
             "latin1": "latin-1", "iso-8859-1": "latin-1", "windows-1252": "cp1252", "cp1252": "cp1252"}  # fmt: skip
    if not isinstance(value, str) or value.casefold() not in known:
        raise _Wrong(f"one of {_listed([*ENCODINGS, 'windows-1252'])}")
    return known[value.casefold()]


def _whole(low: int, high: int, what: str) -> Callable[[Any], int]:
    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise _Wrong(what)
        return value

    return read


def _no_value(value: Any) -> tuple[str, ...]:
    given = value if isinstance(value, list) else [value]
    texts = []
    for item in given:
        if isinstance(item, bool) or not isinstance(item, (str, int, float)):
            raise _Wrong('texts such as ["-999", "OL"]')
        texts.append(item.strip() if isinstance(item, str) else f"{item:g}" if abs(item) < 1e6 else str(item))
    return tuple(t for t in texts if t)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not abs(value) < 1e10:
        raise _Wrong("a number of seconds")
    return float(value)


def _step(value: Any) -> float:
    number = _number(value)
    if not 0 < number <= 86400:
        raise _Wrong("a number of seconds above zero, at most 86400")
    return number


_FILE_KEYS: dict[str, Callable[[Any], Any]] = {
    "time": _time, "time_format": _time_format, "date_order": _one_of(*ORDERS),
    "year": _whole(1970, 2199, "a year such as 2026"), "time_zone": _zone, "delimiter": _one_of(*DELIMITERS),
    "decimal": _one_of(".", ","), "encoding": _encoding,
    "heading_line": _whole(0, 10_000, "the number of the line with the headings, 0 if there is none"), "sheet": _text,
    "no_value": _no_value, "clock_offset": _number,
}  # fmt: skip


def _listed(items: Any) -> str:
    return ", ".join(f'"{i}"' if i != "\t" else '"\\t"' for i in items)


def has_logs(data: Mapping[str, Any]) -> bool:
    """Whether a visit file names logger files."""
    return any("log" in table or "columns" in table for _, table in _tables(data)) or "log" in data


def _tables(data: Mapping[str, Any]) -> list[tuple[tuple[str, ...], Mapping[str, Any]]]:
    tables = []
    for path in LOGGED:
        here: Any = data
        for part in path:
            here = here.get(part) if isinstance(here, Mapping) else None
        if isinstance(here, Mapping):
            tables.append((path, here))
    return tables


def log_settings(data: Mapping[str, Any]) -> LogSettings:
    """What a visit file's data says of its logger files, and what is wrong with it.

    Parameters
    ----------
    data : mapping
        Nested dictionaries as the file holds them.

    Returns
    -------
    LogSettings
        Its `problems` are empty where all is well.
    """
    problems: list[Problem] = []
    columns: list[LoggedColumn] = []
    for path, table in _tables(data):
        columns += _logged_columns(path, table, data, problems)
    table = data.get("log", {})
    if not isinstance(table, Mapping):
        problems.append(Problem(f"found {found(table)}; expected a table [log].", "log"))
        table = {}
    own = {k: v for k, v in table.items() if k not in ("files", "counting", "step")}
    common = _file_settings(own, "log", FileSettings(), problems, extra=("files", "counting", "step"))
    step = None
    if "step" in table:
        try:
            step = _step(table["step"])
        except _Wrong as wrong:
            problems.append(Problem(f"found {found(table['step'])}; expected {wrong}.", "log.step"))
    named = list(dict.fromkeys(c.file for c in columns))
    files = dict.fromkeys(named, common)
    given = table.get("files", {})
    if not isinstance(given, Mapping):
        problems.append(
            Problem(f'found {found(given)}; expected tables such as [log.files."return.csv"].', "log.files")
        )
        given = {}
    for name, settings in given.items():
        place = f'log.files."{name}"'
        if not isinstance(settings, Mapping):
            problems.append(Problem(f"found {found(settings)}; expected a table.", place))
        elif name not in files:
            problems.append(Problem(f"no table names this file as its log.{nearest(name, named)}", place))
        else:
            files[name] = _file_settings(settings, place, common, problems)
    if not columns and not problems:
        problems.append(Problem(
            'no table names a logger file; expected for example log = "return.csv" and columns = { dry_bulb = "T" } in '
            "[readings.return].", "log",
        ))  # fmt: skip
    return LogSettings(tuple(columns), files, step, tuple(problems))


def _file_settings(
    table: Mapping[str, Any], place: str, before: FileSettings, problems: list[Problem], extra: tuple[str, ...] = ()
) -> FileSettings:
    assert {f.name for f in fields(FileSettings)} == set(_FILE_KEYS)
    changed = {}
    for key, value in table.items():
        if key not in _FILE_KEYS:
            problems.append(Problem(f'unknown key "{key}".{nearest(key, [*_FILE_KEYS, *extra])}', f"{place}.{key}"))
            continue
        try:
            changed[key] = _FILE_KEYS[key](value)
        except _Wrong as wrong:
            problems.append(Problem(f"found {found(value)}; expected {wrong}.", f"{place}.{key}"))
    settings = replace(before, **changed)
    if settings.delimiter is not None and settings.delimiter == settings.decimal:
        # A quoted number may have a comma between commas; then neither needs to be said.
        problems.append(
            Problem("found a comma as delimiter and as decimal; leave one of them out.", f"{place}.decimal")
        )
    return settings


def _kind(path: tuple[str, ...], name: str) -> str:
    models = [_MODELS[path]] if path in _MODELS else [*EVIDENCE.values()] if path == ("airflow",) else [AirReadings]
    for model in models:
        if name in model.model_fields:
            annotated = model.model_fields[name]
            return kind_of(annotated.annotation, annotated.metadata) or ""
    raise AssertionError(name)


def _logged_columns(
    path: tuple[str, ...], table: Mapping[str, Any], data: Mapping[str, Any], problems: list[Problem]
) -> list[LoggedColumn]:
    place = ".".join(path)
    if not any(key in table for key in LOG_KEYS):
        if path == STATUS:
            problems.append(Problem('found no log; expected log = "FILE" and columns = { stage = "HEADING" }.', place))
        return []
    file, columns, units = (table.get(key) for key in LOG_KEYS)
    known = LOGGED[path]
    if path == ("airflow",) and isinstance(table.get("method"), str) and table["method"] in EVIDENCE:
        known = tuple(n for n in known if n in EVIDENCE[table["method"]].model_fields)
    if not isinstance(file, str) or not file.strip():
        said = "is missing" if file is None else f"found {found(file)}"
        problems.append(
            Problem(f'{said}; expected the name of a logger file, such as "loggers/return.csv".', f"{place}.log")
        )
        return []
    if not isinstance(columns, Mapping) or not columns:
        said = "is missing" if columns is None else f"found {'an empty table' if columns == {} else found(columns)}"
        example = f'{{ {known[0] if known else "power"} = "HEADING" }}'
        problems.append(Problem(f"{said}; expected which column holds what, such as {example}.", f"{place}.columns"))
        return []
    units = {} if units is None else units
    if not isinstance(units, Mapping):
        problems.append(
            Problem(f'found {found(units)}; expected units such as {{ {known[0]} = "degF" }}.', f"{place}.column_units")
        )
        units = {}
    for name in units:
        if name not in columns:
            problems.append(
                Problem(f"columns names no {name}.{nearest(str(name), list(columns))}", f"{place}.column_units.{name}")
            )
    words = _status_words(path, table, problems)
    logged = []
    for name, column in columns.items():
        here = f"{place}.columns.{name}"
        if name not in known:
            problems.append(Problem(f'unknown field "{name}".{nearest(str(name), known)}', here))
        elif name in table:
            problems.append(Problem("is typed and logged; expected one of the two. Take one out.", f"{place}.{name}"))
        elif isinstance(column, bool) or not (
            (isinstance(column, str) and column.strip()) or (isinstance(column, int) and column >= 1)
        ):
            problems.append(
                Problem(f"found {found(column)}; expected a heading in quotes, or the number of a column from 1.", here)
            )
        else:
            unit = units.get(name)
            if unit is not None and (not isinstance(unit, str) or path == STATUS):
                problems.append(Problem(
                    f"found {found(unit)}; expected {'no unit for a status' if path == STATUS else 'a unit in quotes'}.",
                    f"{place}.column_units.{name}",
                ))  # fmt: skip
                continue
            kind = "" if path == STATUS else _kind(path, name)
            logged.append(LoggedColumn(f"{place}.{name}", kind, file, column, unit, words))
    return logged


def _status_words(path: tuple[str, ...], table: Mapping[str, Any], problems: list[Problem]) -> dict[str, float]:
    if path != STATUS:
        return {}
    for key in table:
        if key not in (*LOG_KEYS, WORDS, "stage"):
            problems.append(
                Problem(f'unknown key "{key}".{nearest(key, [*LOG_KEYS, WORDS])}', f"readings.status.{key}")
            )
    words = table.get(WORDS, {})
    if not isinstance(words, Mapping) or any(
        isinstance(v, bool) or not isinstance(v, (int, float)) for v in words.values()
    ):
        problems.append(Problem(
            f'found {found(words)}; expected a number for each word, such as {{ Off = 0, "Stage 1" = 1 }}.',
            "readings.status.words",
        ))  # fmt: skip
        return {}
    return {str(k).strip().casefold(): float(v) for k, v in words.items()}
