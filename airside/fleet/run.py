"""Run a fleet: each system once, whatever stops in between, and one result in the order of the systems' names."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from airside.errors import OutputError
from airside.files import check_free, write_whole, written_whole
from airside.fleet.cluster import client_of, results_of
from airside.fleet.long_form import find_in_parquet, pyarrow_for
from airside.fleet.parts import Keys, Part, Parts, part_of, schema
from airside.fleet.sources import System, find_systems
from airside.fleet.summary import COLUMNS

# Rows that are gathered before they are written: few large row groups are read quicker than many small ones.
GATHERED = 100_000
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class FleetRun:
    """What a run has done.

    Attributes
    ----------
    out, summary, work : Path
        Rows of all steady stretches (Parquet), a row for each system (CSV), and the folder of part files.
    systems, kept, rows : int
        Systems; those whose part was there already; steady stretches.
    problems : tuple of (str, str)
        Systems without a result, or without that of a period, and why.
    notes : tuple of str
        What was found of the whole, as sentences.
    """

    out: Path
    summary: Path
    work: Path
    systems: int
    kept: int
    rows: int
    problems: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What was done, in words."""
        of_one = "1 system" if self.systems == 1 else f"{self.systems:,} systems"
        kept = f", {self.kept:,} of them done before" if self.kept else ""
        bad = f"; {len(self.problems):,} with a problem" if self.problems else ""
        return f"{of_one}{kept}: {self.rows:,} steady stretches{bad}."


def run_fleet(
    what: str | Path,
    out: str | Path,
    *,
    template: str | Path | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
    force: bool = False,
    progress: Progress | None = None,
) -> FleetRun:
    """Steady stretches and a summary of every system of a fleet.

    Parameters
    ----------
    what : str or Path
        A folder of systems or a pattern of visit files (see `airside.fleet.sources.find_systems`), or with a template the
        Parquet file or folder that holds the readings of all (see `airside.fleet.long_form.find_in_parquet`).
    out : str or Path
        The rows, ``.parquet``. The summary goes beside it as ``..._systems.csv``, part files into ``..._work``: after a stop
        the same run goes on where it was. Parts stay, so that a later run does only what has changed.
    template : str or Path, optional
        Visit file of all systems.
    scheduler : str, optional
        Address of a scheduler of dask.distributed. Its workers see the files under the same names.
    workers : int, optional
        Worker processes on this machine; default: this process alone.
    force : bool
        Replace results that exist.
    progress : callable, optional
        Called with how many systems are done, and how many there are.

    Returns
    -------
    FleetRun

    Raises
    ------
    FileError, VisitError
        There are no systems, or the template cannot be used.
    OutputError
        A result exists, or cannot be written.
    AirsideError
        No scheduler, or no worker is left.
    """
    target = Path(out)
    if target.suffix.lower() not in (".parquet", ".pq"):
        raise OutputError(f"{out}: the results are a Parquet file. Name it such as results.parquet.")
    if scheduler is not None and workers is not None:
        raise OutputError("--scheduler has workers of its own; leave --workers out.")
    summary = target.with_name(f"{target.stem}_systems.csv")
    for path in (target, summary):
        check_free(path, force=force)
    pyarrow_for(str(out))
    systems, notes = _systems(what, template, target)
    # Progress counts while the inputs are looked through, too: a part that is there is done.
    parts, keys = Parts(target.with_name(f"{target.stem}_work")), Keys()
    known = [keys.of(s) for s in systems]
    left = [i for i, key in enumerate(known) if not parts.has(key)]
    done = kept = len(systems) - len(left)
    if progress is not None:
        progress(done, len(systems))
    passing: dict[int, Part] = {}
    for place, result in _results([systems[i] for i in left], scheduler, workers):
        i = left[place]
        if result.is_final:
            parts.write(known[i], result)
        else:
            passing[i] = result
        done += 1
        if progress is not None:
            progress(done, len(systems))
    rows, problems = _join(systems, known, parts, passing, target, summary, force)
    parts.keep_only(known)
    return FleetRun(target, summary, parts.folder, len(systems), kept, rows, tuple(problems), notes)


def _systems(what: str | Path, template: str | Path | None, target: Path) -> tuple[Sequence[System], tuple[str, ...]]:
    if template is not None:
        if Path(what).is_dir() and target.resolve().is_relative_to(Path(what).resolve()):
            raise OutputError(
                f"{target}: lies in the folder of readings, and would be read as one of them. Name another place."
            )
        # Workers need names that hold in any folder.
        found = find_in_parquet(Path(what).absolute(), Path(template).absolute())
        return found.systems, found.notes
    return find_systems(Path(what).absolute()), ()


def _results(systems: Sequence[System], scheduler: str | None, workers: int | None) -> Iterator[tuple[int, Part]]:
    if not systems:
        return
    if scheduler is None and (workers is None or workers == 1):
        for place, system in enumerate(systems):
            yield place, part_of(system)
        return
    with ExitStack() as stack:
        client = stack.enter_context(client_of(scheduler, workers))
        yield from results_of(client, systems)


def _join(
    systems: Sequence[System], keys: Sequence[str], parts: Parts, passing: dict[int, Part], target: Path,
    summary: Path, force: bool,
) -> tuple[int, list[tuple[str, str]]]:  # fmt: skip
    """Write rows and summary in the order of the systems; how many rows, and the problems."""
    import pyarrow as pa
    from pyarrow import parquet

    lines = io.StringIO()
    table = csv.DictWriter(lines, COLUMNS, restval="", lineterminator="\n")
    table.writeheader()
    problems, count = [], 0
    gathered: list[Any] = []
    with (
        written_whole(target, force=force) as place,
        parquet.ParquetWriter(place, schema(), compression="zstd") as writer,
    ):
        for i, (system, key) in enumerate(zip(systems, keys, strict=True)):
            if i in passing:
                about = passing[i].summary
            else:
                about = parts.summary(key)
                gathered.append(parts.rows(key))
                count += gathered[-1].num_rows
            if about.get("problem"):
                problems.append((system.name, str(about["problem"])))
            table.writerow({k: "" if v is None else v for k, v in about.items()})
            if sum(t.num_rows for t in gathered) >= GATHERED:
                writer.write_table(pa.concat_tables(gathered))
                gathered.clear()
        if gathered:
            writer.write_table(pa.concat_tables(gathered))
    write_whole(summary, lines.getvalue(), force=force)
    return count, problems
