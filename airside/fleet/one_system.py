"""The results of one system: the function that is called for each, on this machine or on others."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from airside import __version__
from airside.errors import AirsideError
from airside.fleet.expected_figures import FLOW, RATIO, RELATIVE, RatedCapacities, rated_capacities
from airside.fleet.long_form import read_system
from airside.fleet.sources import Source, System
from airside.fleet.summary import change_summary, column_of, period_summary
from airside.visit.logs.log import wall_time
from airside.visit.logs.log_schema import has_logs, log_settings
from airside.visit.logs.logged_visit import LoggedVisit, load_logged, logged_visit
from airside.visit.logs.read import read_log
from airside.visit.logs.stretch_capacity import FIGURES

CONDITIONS = ("return_dry_bulb", "return_wet_bulb", "supply_dry_bulb", "outdoor_dry_bulb")
KINDS_OF = {**FIGURES, RATIO: "fraction", RELATIVE: "fraction", FLOW: "fraction"}
PARTS = ("", "_u", "_u_own", "_u_shared", "_95_low", "_95_high")
# Columns of the rows: those of text, of whole numbers, and of numbers; NaN where a system has no such figure.
TEXTS = ("system", "period", "zone")
# Of the first and last minute, as the clock on the wall has them.
TIMES = ("begin", "end")
WHOLE = ("number", "run")
NUMBERS = (
    "begin_s", "end_s", "age_s", "stage", *(f"{c}_C" for c in CONDITIONS),
    *(f"{column_of(n, k)}{p}" for n, k in KINDS_OF.items() for p in PARTS), "expected_total_W",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class SystemResult:
    """What came of one system.

    Attributes
    ----------
    system : str
    rows : dict of str to array or list, each of length m
        A row for each steady stretch, by `TEXTS`, `TIMES`, `WHOLE` and `NUMBERS`.
    summary : dict of str to Any
        By `airside.fleet.summary.COLUMNS`; what is not known is not there.
    is_final : bool
        Whether the same input gives the same again; false after a fault of the program or the machine.
    version : str
        Of airside, where it was made.
    """

    system: str
    rows: dict[str, Any] = field(default_factory=dict)
    summary: dict[str, Any] = field(default_factory=dict)
    is_final: bool = True
    version: str = __version__

    @property
    def problem(self) -> str:
        """Why the system, or one of its periods, has no results; empty where all is well."""
        return str(self.summary.get("problem", ""))


def system_result(system: System) -> SystemResult:
    """Steady stretches of one system with their figures, and its summary. Nothing is raised: a problem is a sentence.

    Parameters
    ----------
    system : System
    """
    problems, is_final = [system.problem] if system.problem else [], True
    found: dict[str, tuple[LoggedVisit, RatedCapacities]] = {}
    table = None
    for source in () if system.problem else system.sources:
        try:
            if system.pieces and table is None:
                table = read_system(system)
            logged = _load(system, source, table)
            found[source.period] = logged, rated_capacities(logged)
        except AirsideError as error:
            problems.append(_one_line(error))
        except Exception as error:  # one system's fault must not stop the others
            is_final = False
            problems.append(
                f"{source.path}: a fault of the program, not of this input: {type(error).__name__}: {error}"
            )
    summary: dict[str, Any] = {"system": system.name, "periods": " and ".join(s.period for s in system.sources)}
    last = system.sources[-1].period if system.sources else ""
    for period, (logged, rated) in found.items():
        prefix = "" if period == last else "before_"
        summary |= {f"{prefix}{k}": v for k, v in period_summary(logged, rated).items()}
    if len(found) == 2:
        summary |= change_summary(*(found[p][1] for p in ("before", "after")))
    if problems:
        summary["problem"] = " ".join(problems)
    blocks = [_rows(system.name, p, logged, rated) for p, (logged, rated) in found.items()]
    rows = {name: _joined([b[name] for b in blocks]) for name in (blocks[0] if blocks else ())}
    return SystemResult(system.name, rows, summary, is_final)


def _one_line(error: AirsideError) -> str:
    return " ".join(line.strip() for line in str(error).splitlines())


def _load(system: System, source: Source, table: Any) -> LoggedVisit:
    if source.data is None:
        return load_logged(source.path)
    data: Mapping[str, Any] = source.data
    name = f"{source.path} ({system.name})"
    if not has_logs(data):
        raise AirsideError(
            f'{name}: names no column of the Parquet; expected a table with log = "{Path(system.pieces[0].file).name}" and '
            "columns."
        )
    # Whatever the template calls its log, it is the system's readings.
    tables = dict.fromkeys(log_settings(data).files, table)
    folder = Path(source.path).parent
    return logged_visit(data, read_log(data, folder=folder, name=name, tables=tables), name, path=Path(source.path))


def _rows(name: str, period: str, logged: LoggedVisit, rated: RatedCapacities) -> dict[str, Any]:
    """A row for each stretch, all columns."""
    found = rated.capacities
    columns = found.columns()
    m = len(found)
    with np.errstate(all="ignore"):
        columns["expected_total_W"] = columns["total_W"] / columns.get(RATIO, np.full(m, math.nan))
    rows: dict[str, Any] = {"system": [name] * m, "period": [period] * m, "zone": [found.zone or ""] * m}
    rows |= {n: _wall_times(columns[f"{n}_s"], found.zone) for n in TIMES}
    rows |= {n: np.asarray(columns[n], dtype=np.int64) for n in WHOLE}
    return rows | {n: np.asarray(columns.get(n, np.full(m, math.nan)), dtype=np.float64) for n in NUMBERS}


def _wall_times(seconds: Any, zone: str | None) -> Any:
    """Times of the wall's clock, datetime64[s]."""
    if zone is None:
        return np.asarray(seconds).astype(np.int64).astype("datetime64[s]")
    return np.array([wall_time(float(t), zone).replace(" ", "T") for t in seconds], dtype="datetime64[s]")


def _joined(blocks: list[Any]) -> Any:
    if isinstance(blocks[0], list):
        return [value for block in blocks for value in block]
    return np.concatenate(blocks)
