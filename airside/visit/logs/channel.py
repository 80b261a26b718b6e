"""One column of a logger file as a channel: its unit, its values in SI, what is set aside as no reading of that kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from airside.errors import FileError, UnitError
from airside.units import KINDS, UnitSystem, parse, show
from airside.visit.logs.log import Floats
from airside.visit.logs.log_schema import LoggedColumn
from airside.visit.logs.logger_table import TEXT, Column, LoggerTable, split_heading
from airside.visit.quantities import expected, found

# Above this share of texts, or of impossible values, a column is something else than it was taken for; common
# practice, no source.
MOST_TEXT = 0.05
IMPOSSIBLE = "impossible value"
# What no sensor of the trade reads unless something is wrong with it [inside unit]; common practice, no source.
POSSIBLE: Mapping[str, tuple[float, float]] = {
    "temperature": (-70.0, 250.0),
    "relative_humidity": (0.0, 1.1),
    "barometric_pressure": (40e3, 115e3),
    "duct_pressure": (-20e3, 20e3),
    "refrigerant_pressure": (-110e3, 10e6),
    # A little below nothing is a zero that is off; -999 of any unit is no reading.
    "volume_flow": (-0.04, 1000.0),
    "power": (-100.0, 5e6),
    "mass_flow": (-1e3, 1e4),
}
# Words of a status whose meaning needs no telling.
KNOWN_WORDS = {
    "off": 0.0, "idle": 0.0, "standby": 0.0, "stopped": 0.0, "false": 0.0, "no": 0.0,
    "on": 1.0, "running": 1.0, "true": 1.0, "yes": 1.0, "low": 1.0, "high": 2.0,
    "stage 1": 1.0, "stage 2": 2.0, "stage 3": 3.0,
}  # fmt: skip


@dataclass(frozen=True)
class Channel:
    """Values of one channel, row by row of its file.

    Attributes
    ----------
    values : array of float64, shape (n,)
        NaN where there is no value [inside unit].
    unit : str
        Of the file.
    assumed : bool
        Whether the unit stands nowhere, so that it is that of bare numbers in the visit file.
    set_aside : dict of str to int
    samples : dict of str to tuple of (int, str)
        Row of the file and what stood there.
    words : dict of str to float
        What the words of a status mean.
    """

    values: Floats
    unit: str
    assumed: bool
    set_aside: dict[str, int]
    samples: dict[str, tuple[tuple[int, str], ...]]
    words: dict[str, float]


def read_channel(table: LoggerTable, column: LoggedColumn, units: UnitSystem, *, is_last_use: bool = False) -> Channel:
    """Make a channel of a column.

    Parameters
    ----------
    table : LoggerTable
    column : LoggedColumn
    units : "IP" or "SI"
        Of bare numbers in the visit file; they hold for a column that names no unit.
    is_last_use : bool
        Whether the column's own memory may be taken for the channel.

    Raises
    ------
    FileError
        The unit cannot be used, the column holds no numbers, or too many cells of it are none.
    """
    index = table.index[column.column]
    held = table.columns[index]
    place = f"column {found(column.column)}" if isinstance(column.column, str) else f"column {column.column}"
    words: dict[str, float] = {}
    if not column.kind and held.words is not None and TEXT in held.reasons:
        held, words = _with_words(table, held, column, place)
    total = len(held.numbers)
    texts = held.reasons.get(TEXT, np.zeros(0, np.intp))
    usable = int(np.count_nonzero(np.isfinite(held.numbers)))
    if len(texts) and (usable == 0 or len(texts) > MOST_TEXT * total):
        row = int(texts[0])
        wanted = expected(column.kind, units) if column.kind else "a number or a word"
        raise FileError(table.file, (
            f"row {table.row_numbers[row]}, {place}: found {found(held.texts[row])}; expected {wanted}. {len(texts):,} of "
            f"{total:,} rows hold text. If it stands for \"no value\", write it into no_value in [log]; or correct "
            "delimiter and decimal."
        ))  # fmt: skip
    if usable == 0:
        reasons = ", ".join(f"{reason}: {len(rows):,} rows" for reason, rows in held.reasons.items())
        raise FileError(table.file, f"{place}: found no number ({reasons or 'no rows'}); expected readings.")
    set_aside = {reason: len(rows) for reason, rows in held.reasons.items()}
    samples = {
        reason: tuple((int(table.row_numbers[r]), held.texts.get(int(r), "")) for r in rows[:3])
        for reason, rows in held.reasons.items()
    }
    if not column.kind:
        return Channel(held.numbers, "", False, set_aside, samples, words)
    unit, assumed = _unit(table, index, column, units, place)
    factor, offset = _line(unit, column.kind)
    values = held.numbers if is_last_use and held.numbers.flags.writeable else held.numbers.copy()
    if factor != 1:
        values *= factor
    if offset:
        values += offset
    low, high = POSSIBLE.get(column.kind, (-np.inf, np.inf))
    if low <= np.fmin.reduce(values) and np.fmax.reduce(values) <= high:
        return Channel(values, unit, assumed, set_aside, samples, {})
    wrong = np.flatnonzero((values < low) | (values > high))
    if len(wrong):
        shown = [f"{(values[r] - offset) / factor:g} {unit}" for r in wrong[:3]]
        row = int(table.row_numbers[wrong[0]])
        if len(wrong) > MOST_TEXT * total or len(wrong) == usable:
            ends = f"{show(low, column.kind, units)} to {show(high, column.kind, units)}"
            raise FileError(table.file, (
                f"row {row}, {place}: found {shown[0]}; expected {ends}. {len(wrong):,} of {total:,} rows are so. If the "
                "number stands for \"no value\", write it into no_value in [log]; else correct column_units or the column."
            ))  # fmt: skip
        set_aside[IMPOSSIBLE] = len(wrong)
        samples[IMPOSSIBLE] = tuple((int(table.row_numbers[r]), s) for r, s in zip(wrong[:3], shown, strict=True))
        values[wrong] = np.nan
    return Channel(values, unit, assumed, set_aside, samples, {})


def _line(unit: str, kind: str) -> tuple[float, float]:
    """Factor and offset that bring a number of a unit to the inside unit of a kind."""
    if not unit:
        return 1.0, 0.0
    zero, one = (parse(f"{n} {unit}", kind) for n in ("0", "1"))
    return one - zero, zero


def _usable(unit: str, kind: str) -> str:
    """Empty if a unit is one of a kind; else ``"other"`` for one of another kind, ``"unknown"`` for none at all."""
    try:
        parse(f"1 {unit}", kind)
    except UnitError as error:
        return "other" if "is not a" in str(error) else "unknown"
    return ""


def _unit(table: LoggerTable, index: int, column: LoggedColumn, units: UnitSystem, place: str) -> tuple[str, bool]:
    """The unit of a column: stated, in the heading, in a row under it, or the visit's own; and whether it is that."""
    kind = KINDS[column.kind]
    name = column.kind.replace("_", " ")
    if column.unit is not None:
        if _usable(column.unit, column.kind):
            raise FileError(table.file, f"{place}: column_units says {found(column.unit)}, which is no unit of "
                            f"{name}; expected for example {kind.example}.")  # fmt: skip
        return column.unit, False
    heading = table.headings[index] if index < len(table.headings) else ""
    in_heading = split_heading(heading)[1]
    for text in (in_heading, *(t.strip("[]() ") for t in table.units.get(index, ()))):
        if not text:
            continue
        verdict = _usable(text, column.kind)
        if not verdict:
            return text, False
        if verdict == "other" and text == in_heading:
            raise FileError(table.file, f"{place}: the heading says {found(text)}, which is no unit of {name}; expected for "
                            f"example {kind.example}. Is it the right column? Else state its unit in column_units.")  # fmt: skip
    return kind.input_unit(units), True


def _with_words(table: LoggerTable, held: Column, column: LoggedColumn, place: str) -> tuple[Column, dict[str, float]]:
    """A status column with its words as numbers."""
    assert held.words is not None
    texts = held.reasons[TEXT]
    cells = np.array([str(held.words[r]).strip().casefold() for r in texts], dtype=object)
    meaning = {**KNOWN_WORDS, **column.words}
    seen = list(dict.fromkeys(cells.tolist()))
    for word in seen:
        if word not in meaning:
            row = int(texts[int(np.flatnonzero(cells == word)[0])])
            shown = str(held.words[row]).strip()
            raise FileError(table.file, (
                f"row {table.row_numbers[row]}, {place}: found the status {found(shown)}; expected a number, or a word such as "
                f'Off or On. Say what it means: words = {{ "{shown[:30]}" = 1 }} in [readings.status].'
            ))  # fmt: skip
    numbers = held.numbers.copy()
    numbers[texts] = [meaning[c] for c in cells]
    reasons = {k: v for k, v in held.reasons.items() if k != TEXT}
    return Column(numbers, reasons, held.texts), {w: meaning[w] for w in seen}
