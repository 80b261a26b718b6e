"""Read a scenario file: TOML, validated, with every problem named at once."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.state import TESTED_PRESSURE, MoistAir
from airside.errors import FileError, ImpossibleStateError, Problem
from airside.teach.scenario_schema import STAGES, TABLES, Scenario
from airside.teach.toml_words import line_of_field, toml_problem
from airside.units import SYSTEMS, UnitSystem, show
from airside.visit.accuracy_schema import Table
from airside.visit.convert import kind_of
from airside.visit.impossible import ELEVATIONS
from airside.visit.quantities import expected, found

SCENARIO_FILE = "scenario.toml"
# A scenario is a page of text.
LARGEST = 200_000


class ScenarioError(FileError):
    """A scenario file that cannot be used."""


@dataclass(frozen=True)
class LinedProblem(Problem):
    """A problem with the line, from 1, on which it stands; 0 where none is known."""

    line: int = 0

    def __str__(self) -> str:
        said = super().__str__()
        return f"line {self.line}, {said}" if self.line else said


def read_scenario(path: str | Path) -> Scenario:
    """Read a scenario file.

    Parameters
    ----------
    path : str or Path
        The file, or a folder with ``scenario.toml`` in it.

    Returns
    -------
    Scenario
        Numbers are SI.

    Raises
    ------
    ScenarioError
        The file cannot be read, is not TOML, or has problems; all of them are named.
    """
    place = scenario_place(path)
    name = str(place)
    try:
        with place.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise ScenarioError(name, "there is no such file. Check the name and the folder.") from None
    except OSError as error:
        raise ScenarioError(name, f"cannot be read ({error.strerror}).") from None
    if len(raw) > LARGEST:
        raise ScenarioError(name, f"has more than {LARGEST:,} bytes; a scenario is a page of text.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ScenarioError(name, f"is not UTF-8 text (line {line}). Save it as UTF-8 in the editor.") from None
    return parse_scenario(text, name)


def scenario_place(path: str | Path) -> Path:
    """The scenario's file, where a folder may be named for it."""
    place = Path(path)
    return place / SCENARIO_FILE if place.is_dir() else place


def parse_scenario(text: str, name: str = "scenario") -> Scenario:
    """A scenario from its text; ``name`` stands in the messages.

    Raises
    ------
    ScenarioError
        As `read_scenario`.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, words = toml_problem(error, text)
        raise ScenarioError(name, f"line {line + 1} is not valid TOML: {words}") from None
    except (RecursionError, ValueError):
        raise ScenarioError(name, "holds lists in lists without end, or a number with thousands of digits.") from None
    units: UnitSystem = next((s for s in SYSTEMS if s == data.get("units")), "SI")
    try:
        scenario = Scenario.model_validate(data, context={"units": units})
    except ValidationError as error:
        raise ScenarioError(name, _lined(_problems(error.errors(include_url=False), data, units), text)) from None
    problems = [*_instruments(scenario), *_conditions(scenario)]
    if problems:
        raise ScenarioError(name, _lined(problems, text))
    return scenario


def _lined(problems: Sequence[Problem], text: str) -> list[Problem]:
    """The problems, each with its line where the text has one."""
    return [LinedProblem(p.message, p.field, p.row, line_of_field(text, p.field) if p.field else 0) for p in problems]


# -- what the schema alone does not see -----------------------------------------------------------------


def _instruments(scenario: Scenario) -> list[Problem]:
    """Instruments that are named and not described, or cannot read what they should; dates that are turned round."""
    r = scenario.readings
    wanted = [
        ("readings.return_instrument", r.return_instrument, "dry_bulb"),
        ("readings.return_instrument", r.return_instrument, r.humidity),
        ("readings.supply_instrument", r.supply_instrument, "dry_bulb"),
        ("readings.supply_instrument", r.supply_instrument, r.humidity),
        ("readings.outdoor_instrument", r.outdoor_instrument, "dry_bulb"),
    ]
    if r.power_instrument is not None:
        wanted.append(("readings.power_instrument", r.power_instrument, "power"))
    if scenario.site.instrument is not None:
        wanted.append(("site.instrument", scenario.site.instrument, "barometric_pressure"))
    if scenario.airflow.instrument is not None:
        quantity = {"measured": "", "traverse": "velocity", "fan table": "duct_pressure"}[scenario.airflow.method]
        wanted.append(("airflow.instrument", scenario.airflow.instrument, quantity))
    problems: dict[str, Problem] = {}
    for field, who, quantity in wanted:
        known = scenario.instruments
        if who not in known:
            text = f"found {found(who)}, but there is no table [instruments.{who}]. There are: {', '.join(known) or 'none'}."
        elif quantity and getattr(known[who], quantity) is None:
            text = f"{who} reads no {quantity.replace('_', ' ')}. Add a line: {quantity} = {{ accuracy = … }} to its table."
        else:
            continue
        problems.setdefault(field, Problem(text, field))
    first, second = scenario.before.date, scenario.after.date
    if first is not None and second is not None and first > second:
        problems["after.date"] = Problem(f"found {second}, before the date of the before visit, {first}.", "after.date")
    if r.side_by_side and r.return_instrument == r.supply_instrument:
        problems.setdefault(
            "readings.side_by_side", Problem("found one probe at both places; expected two.", "readings.side_by_side")
        )
    return list(problems.values())


def _conditions(scenario: Scenario) -> list[Problem]:
    """Corners of the ranges that the system's curve, its coil or air itself does not allow."""
    from airside.teach.scenario_truth import TrueSystem

    problems: dict[str, Problem] = {}
    site = scenario.site
    if site.elevation is not None and not ELEVATIONS[0] <= site.elevation <= ELEVATIONS[1]:
        low, high = (show(v, "elevation", scenario.units) for v in ELEVATIONS)
        said = f"found {show(site.elevation, 'elevation', scenario.units)}; expected {low} to {high}."
        return [Problem(said, "site.elevation")]
    if (
        site.barometric_pressure is not None
        and not TESTED_PRESSURE[0] <= site.barometric_pressure <= TESTED_PRESSURE[1]
    ):
        low, high = (show(v, "barometric_pressure", scenario.units) for v in TESTED_PRESSURE)
        said = (
            f"found {show(site.barometric_pressure, 'barometric_pressure', scenario.units)}; expected {low} to {high}."
        )
        return [Problem(said, "site.barometric_pressure")]
    try:
        system = TrueSystem(scenario)
    except FileError as error:
        return list(error.problems)
    for stage in STAGES:
        own = scenario.stage(stage).weather
        for dry_bulb in scenario.range_of(stage, "return_dry_bulb"):
            for humidity in scenario.range_of(stage, "return_relative_humidity"):
                field = f"{stage}.weather" if own.model_fields_set else "weather"
                try:
                    air = MoistAir.from_relative_humidity(dry_bulb, humidity, pressure_of(scenario))
                except (ImpossibleStateError, FileError) as error:
                    problems.setdefault(field, Problem(str(error), f"{field}.return_relative_humidity"))
                    continue
                for outdoor in scenario.range_of(stage, "outdoor_dry_bulb"):
                    why = system.outside(stage, air, outdoor)
                    if why:
                        problems.setdefault(why[1] or field, Problem(why[0], why[1] or field))
    return list(problems.values())


def pressure_of(scenario: Scenario) -> float:
    """Barometric pressure of the site without weather [Pa]."""
    site = scenario.site
    if site.elevation is not None:
        return float(standard_atmosphere_pressure(site.elevation))
    assert site.barometric_pressure is not None
    return site.barometric_pressure


# -- pydantic's findings as sentences -------------------------------------------------------------------


def _problems(errors: Sequence[Mapping[str, Any]], data: Any, units: UnitSystem) -> list[Problem]:
    problems: dict[tuple[str, int | None], Problem] = {}
    for error in errors:
        words = [p for p in error["loc"] if not isinstance(p, int)]
        rows = [p + 1 for p in error["loc"] if isinstance(p, int)]
        path = tuple(str(p) for p in words if not str(p).startswith(("function", "tuple[", "list[")))
        value, field = _at(data, path), ".".join(path)
        row = rows[0] if rows and isinstance(value, list) and len(value) > 1 else None
        problems.setdefault((field, row), Problem(_sentence(error, path, units), field, row))
    return list(problems.values())


def _at(data: Any, path: tuple[str, ...]) -> Any:
    for part in path:
        data = data.get(part) if isinstance(data, Mapping) else None
    return data


def _model(path: tuple[str, ...]) -> type[Table] | None:
    for pattern, model in TABLES.items():
        if len(pattern) == len(path) and all(a in ("*", b) for a, b in zip(pattern, path, strict=True)):
            return model
    return None


def _sentence(error: Mapping[str, Any], path: tuple[str, ...], units: UnitSystem) -> str:
    kind, value, context = error["type"], error["input"], error.get("ctx", {})
    model = _model(path[:-1])
    fields = {} if model is None else {f.alias or n: f for n, f in model.model_fields.items()}
    if kind == "airside":
        return str(context["message"])
    if kind == "missing" and isinstance(error["loc"][-1], int):
        return "found one value; expected one number, or the lower and the higher end in [ ]."
    if kind == "missing":
        if path in TABLES or path[-1] == "instruments":
            return f"is missing; expected a table [{'.'.join(path)}]."
        field = fields.get(path[-1])
        quantity = kind_of(field.annotation, field.metadata) if field is not None else None
        return f"is missing; expected {'text in quotes' if quantity is None else expected(quantity, units)}."
    if kind == "extra_forbidden":
        near = get_close_matches(path[-1].casefold(), fields, n=1, cutoff=0.6)
        hint = f'Did you mean "{near[0]}"?' if near else f"Known here: {', '.join(fields)}."
        return f'unknown key "{path[-1]}". {hint}'
    if kind == "literal_error":
        return f"found {found(value)}; expected {str(context['expected']).replace(chr(39), chr(34))}."
    if kind == "too_long":
        return f"found a list that is too long; expected {context['max_length']} at most."
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"found {found(value)}; expected a table."
    if kind.startswith("bool"):
        return f"found {found(value)}; expected true or false."
    if kind in ("tuple_type", "list_type"):
        return f"found {found(value)}; expected a list in [ ]."
    if kind.startswith("string"):
        return f"found {found(value)}; expected a text in quotes, not empty, of 200 letters at most."
    if kind.startswith(("int", "float", "greater", "less", "finite")):
        return f"found {found(value)}; {error['msg'].replace('Input should be', 'expected')}."
    if kind.startswith(("date", "datetime")):
        return f"found {found(value)}; expected a date such as 2026-07-14, without quotes."
    return f"found {found(value)}; {error['msg']}."
