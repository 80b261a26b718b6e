"""The one shape of every result: it prints, shows in Jupyter, and exports in the same way.

A result lists its rows (`Row`); text, HTML, JSON and a pandas frame follow from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from airside.units import KINDS, UnitSystem, show


@dataclass(frozen=True)
class Row:
    """One number of a result.

    Attributes
    ----------
    name : str
        Public attribute name; with the kind's suffix, the JSON key.
    value : float or array [inside unit of ``kind``]
    kind : str
        A name in `airside.units.KINDS`.
    label : str
        What a person reads; by default the name with spaces.
    uncertainty : float or None [inside unit of ``kind``]
        Standard uncertainty, once measured.
    interval : tuple of float or None
        95 % interval.
    """

    name: str
    value: Any
    kind: str
    label: str = ""
    uncertainty: float | None = None
    interval: tuple[float, float] | None = None

    @property
    def key(self) -> str:
        """JSON key: the name and the SI unit."""
        suffix = KINDS[self.kind].suffix
        return f"{self.name}_{suffix}" if suffix else self.name

    @property
    def title(self) -> str:
        """Label with a capital."""
        text = self.label or self.name.replace("_", " ")
        return text[:1].upper() + text[1:]

    def interval_text(self, system: UnitSystem) -> str:
        """The 95 % interval with its unit; empty where there is none."""
        if self.interval is None or not np.all(np.isfinite(self.interval)):
            return ""
        low, high = self.interval
        return f"{show(low, self.kind, system, unit=False)} to {show(high, self.kind, system)}"

    def text(self, system: UnitSystem) -> str:
        """Value with its unit; for an array its range and count."""
        values = np.asarray(self.value, dtype=np.float64)
        if values.ndim == 0:
            return show(float(values), self.kind, system)
        if values.size == 0:
            return "no values"
        if not np.isfinite(values).any():
            return f"{values.size} values, none finite"
        low, high = np.nanmin(values), np.nanmax(values)
        return f"{show(low, self.kind, system, unit=False)} to {show(high, self.kind, system)} ({values.size} values)"


def plain(value: Any) -> Any:
    """Numbers and arrays as JSON can hold them; NaN and infinity become None."""
    array = np.asarray(value)
    if array.ndim == 0:
        number = array.item()
        return None if isinstance(number, float) and not np.isfinite(number) else number
    return [plain(v) for v in array]


def rows_to_dict(rows: Iterable[Row]) -> dict[str, Any]:
    """Rows as a dictionary for JSON: values, and where known ``_u`` and ``_95``."""
    found: dict[str, Any] = {}
    for row in rows:
        found[row.key] = plain(row.value)
        if row.uncertainty is not None:
            found[f"{row.key}_u"] = plain(row.uncertainty)
        if row.interval is not None:
            found[f"{row.key}_95"] = [plain(v) for v in row.interval]
    return found


class Result:
    """Base of the result classes; a subclass gives `title` and `rows`."""

    title: str = ""

    def rows(self) -> Iterable[Row]:
        """Every number of the result, in the order in which it is read."""
        raise TypeError(f"{type(self).__name__} lists no rows")

    def notes(self) -> Iterable[str]:
        """Sentences that belong to the numbers: assumptions, warnings."""
        return ()

    def text(self, units: UnitSystem = "SI") -> str:
        """The result as lines of text in a unit system."""
        rows = list(self.rows())
        width = max((len(r.title) for r in rows), default=0)
        lines = [self.title, *(f"  {r.title:<{width}}  {r.text(units)}" for r in rows)]
        return "\n".join(lines + [f"  Note: {n}" for n in self.notes()])

    def html(self, units: UnitSystem = "SI") -> str:
        """The result as an HTML table in a unit system; text from files is escaped."""
        cells = "".join(
            f'<tr><td style="text-align:left">{escape(r.title)}</td>'
            f'<td style="text-align:right">{escape(r.text(units))}</td></tr>'
            for r in self.rows()
        )
        notes = "".join(f"<div>Note: {escape(n)}</div>" for n in self.notes())
        return f"<table><caption>{escape(self.title)}</caption>{cells}</table>{notes}"

    def to_dict(self) -> dict[str, Any]:
        """The numbers in SI, the unit in each key; ready for JSON.

        Once measured, a number has its standard uncertainty under its key with ``_u`` and its 95 %
        interval under its key with ``_95``.
        """
        return rows_to_dict(self.rows())

    def to_frame(self) -> Any:
        """The numbers as a pandas frame in SI: a column each, a row for each array element."""
        import pandas as pd

        columns = {r.key: np.asarray(r.value, dtype=np.float64) for r in self.rows()}
        shape = np.broadcast_shapes(*(c.shape for c in columns.values()))
        return pd.DataFrame({k: np.broadcast_to(c, shape).reshape(-1) for k, c in columns.items()})

    def __str__(self) -> str:
        return self.text("SI")

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.title}>"

    def _repr_html_(self) -> str:
        return self.html("SI")
