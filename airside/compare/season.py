"""A season by outdoor temperature: delivered heat, energy and cost before and after the change.

The bins say how many hours the unit runs at each outdoor dry bulb. The baseline gives capacity and power at each, with the
other conditions at their mean; the change is taken to be the same in all bins. Bins outside the baseline's outdoor range
are set apart and counted, never extrapolated.

Sources
-------
Bin method: ASHRAE Handbook, Fundamentals, ch. 19 (energy estimating; from memory).
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import ComparisonError, FileError, Problem
from airside.units import KINDS, SYSTEMS, UnitSystem, show, to_inside
from airside.visit.logs.log import Floats

KEYS = ("name", "units", "dry_bulb", "hours")
# Hours of a year.
YEAR = 8784.0


@dataclass(frozen=True, eq=False)
class Bins:
    """Hours of running at outdoor dry bulbs.

    Attributes
    ----------
    name : str
        What season, of where.
    dry_bulb : array, shape (k,) [°C]
        Middle of each bin.
    hours : array, shape (k,) [h]
    """

    name: str
    dry_bulb: Floats
    hours: Floats


@dataclass(frozen=True)
class Price:
    """Price of electric energy.

    Attributes
    ----------
    per_kwh : float
    currency : str
    """

    per_kwh: float
    currency: str = ""

    @property
    def rate(self) -> str:
        """The price in words."""
        return f"{self.per_kwh:g}{f' {self.currency}' if self.currency else ''} a kWh"

    def text(self, cost: float) -> str:
        """A sum of money."""
        return f"{cost:,.2f}{f' {self.currency}' if self.currency else ''}".replace("-0.00", "0.00")


@dataclass(frozen=True, eq=False)
class Season:
    """A season by temperature bins.

    Attributes
    ----------
    bins : Bins
        As stated.
    inside : bool array, shape (k,)
        Bins inside the baseline's outdoor range.
    range : (float, float) [°C]
        That range.
    set_apart_hours : float [h]
        Of the other bins.
    price : Price or None
    """

    bins: Bins
    inside: NDArray[np.bool_]
    range: tuple[float, float]
    set_apart_hours: float
    price: Price | None

    @property
    def hours(self) -> float:
        """Hours of the bins inside [h]."""
        return float(self.bins.hours[self.inside].sum())

    def set_apart_sentence(self, units: UnitSystem) -> str:
        """How much of the season is set apart, and why."""
        whole = self.set_apart_hours + self.hours
        low, high = (show(v, "temperature", units) for v in self.range)
        return (
            f"{self.set_apart_hours:,.0f} of the season's {whole:,.0f} hours are at outdoor temperatures that the before period "
            f"has not seen ({low} to {high}); they are set apart and in no figure of the season."
        )


def price_of(text: str | float | Price | None) -> Price | None:
    """A price from what a person types: ``"0.18"`` or ``"0.18 EUR"``, for each kWh.

    Raises
    ------
    ComparisonError
        No number, or one that is not above zero.
    """
    if text is None or isinstance(text, Price):
        return text
    found = re.fullmatch(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*([^\d\s.,]?[^\d]{0,19})", str(text))
    value = float(found[1]) if found else math.nan
    if not found or not math.isfinite(value) or value <= 0:
        raise ComparisonError(f'price: "{text}" is not a price. Expected one for each kWh, such as 0.18 or "0.18 EUR".')
    currency = re.sub(r"(?i)\s*(?:/|per )\s*kwh$", "", found[2].strip())
    return Price(value, currency)


def read_bins(path: str | Path) -> Bins:
    """Read a season's bins from a CSV or TOML file.

    CSV: a row of heads with the outdoor dry bulb and its unit, ``dry_bulb [degC]`` or ``dry_bulb [degF]``, and ``hours``; a
    row for each bin; lines that begin with # are the season's name. TOML: ``name``, ``units``, and the lists ``dry_bulb`` and
    ``hours``.

    Parameters
    ----------
    path : str or Path

    Raises
    ------
    FileError
        All that is wrong with the file.
    """
    name = str(path)
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:
        reason = "is not text in UTF-8" if isinstance(error, ValueError) else (error.strerror or str(error)).lower()
        raise FileError(name, f"the season's bins cannot be read: {reason}. Expected a CSV or TOML file.") from None
    ending = Path(path).suffix.lower()
    if ending == ".toml":
        return _from_toml(text, name)
    if ending == ".csv":
        return _from_csv(text, name)
    raise FileError(name, f"the season's bins end in {ending or 'nothing'}; expected a .csv or .toml file.")


def _from_toml(text: str, name: str) -> Bins:
    try:
        data: Mapping[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileError(name, f"is not TOML: {error}. Mend the line that is named.") from None
    problems = [Problem(f"is not known here; expected {', '.join(KEYS)}.", k) for k in data if k not in KEYS]
    units: UnitSystem = data.get("units", "")
    if units not in SYSTEMS:
        problems.append(Problem('expected "IP" (°F) or "SI" (°C).', "units"))
    for key in ("dry_bulb", "hours"):
        if not isinstance(data.get(key), list):
            problems.append(Problem("expected a list of numbers, one for each bin.", key))
    if problems:
        raise FileError(name, problems)
    return _bins(
        str(data.get("name", "")), [str(v) for v in data["dry_bulb"]], [str(v) for v in data["hours"]], units, name
    )


def _from_csv(text: str, name: str) -> Bins:
    lines = text.splitlines()
    title = " ".join(line.lstrip("# ").strip() for line in lines if line.startswith("#"))
    rows = [
        r
        for r in csv.reader(io.StringIO("\n".join(x for x in lines if not x.startswith("#"))))
        if any(c.strip() for c in r)
    ]
    if not rows:
        raise FileError(name, "is empty; expected a row of heads and a row for each bin.")
    heads = [h.strip() for h in rows[0]]
    first = next((i for i, h in enumerate(heads) if h.lower().startswith(("dry_bulb", "dry bulb"))), None)
    hours = next((i for i, h in enumerate(heads) if h.lower().split(" ")[0] == "hours"), None)
    unit = re.search(r"[\[(]\s*(?:deg|°)?\s*([CF])\s*[\])]", heads[first]) if first is not None else None
    if first is None or hours is None or unit is None:
        raise FileError(
            name, f'the heads are {", ".join(heads)}; expected "dry_bulb [degC]" or "dry_bulb [degF]", and "hours".'
        )
    short = [i for i, r in enumerate(rows[1:], 1) if len(r) <= max(first, hours)]
    if short:
        raise FileError(
            name, f"bin {short[0]} has {len(rows[short[0]])} values; expected {len(heads)}, with a comma between."
        )
    system: UnitSystem = "IP" if unit[1] == "F" else "SI"
    return _bins(title, [r[first] for r in rows[1:]], [r[hours] for r in rows[1:]], system, name)


def _bins(title: str, dry_bulb: list[str], hours: list[str], units: UnitSystem, name: str) -> Bins:
    problems = []
    if len(dry_bulb) != len(hours) or not hours:
        raise FileError(
            name, f"{len(dry_bulb)} dry bulbs and {len(hours)} hours; expected as many of both, and at least one."
        )
    columns: dict[str, list[float]] = {"dry_bulb": [], "hours": []}
    for key, texts in (("dry_bulb", dry_bulb), ("hours", hours)):
        for row, text in enumerate(texts, 1):
            try:
                value = float(text)
            except ValueError:
                value = math.nan
            if not math.isfinite(value) or (key == "hours" and value < 0):
                wanted = "hours of 0 or more" if key == "hours" else "a temperature as a number"
                problems.append(Problem(f'"{text.strip()}" is found; expected {wanted}.', key, row))
            columns[key].append(value)
    temperatures = np.asarray(to_inside(np.array(columns["dry_bulb"]), "temperature", units))
    if not problems:
        for at in np.flatnonzero((temperatures < -60) | (temperatures > 60)):
            problems.append(Problem(
                f"{columns['dry_bulb'][at]:g} {KINDS['temperature'].display(units).label} is no outdoor temperature; check the unit.",
                "dry_bulb", int(at) + 1,
            ))  # fmt: skip
        if len({round(t, 6) for t in temperatures.tolist()}) < len(temperatures):
            problems.append(Problem("a temperature stands twice; expected one bin for each.", "dry_bulb"))
        total = sum(columns["hours"])
        if not 0 < total <= YEAR:
            problems.append(
                Problem(f"the hours add up to {total:g}; expected more than 0, and no more than a year has.", "hours")
            )
    if problems:
        raise FileError(name, problems)
    return Bins(title or Path(name).stem, temperatures, np.array(columns["hours"]))


def bins_of(source: str | Path | Bins | None) -> Bins | None:
    """Bins as they are, or read from a file.

    Raises
    ------
    FileError, ComparisonError
        As `read_bins`; or something else than a file or `Bins`.
    """
    if source is None or isinstance(source, Bins):
        return source
    if isinstance(source, str | Path):
        return read_bins(source)
    raise ComparisonError(f"bins are {type(source).__name__}; expected a file's name or airside.compare.season.Bins.")
