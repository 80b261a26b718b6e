"""A fleet's readings in Parquet, in long form: a column says which system a row is of.

Only the column of names is looked through at first, a row group at a time. A system's rows are read from the row groups
that hold it; no more than one row group of other systems is in memory beside them.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from airside.errors import FileError, Problem, VisitError
from airside.fleet.sources import PERIODS, Piece, Source, System
from airside.visit.load import read_visit_data
from airside.visit.problems import nearest
from airside.visit.quantities import found

COLUMN = "system"
# Tables of a template that a visit file does not have.
OWN, SPANS = "systems", "periods"
_IN_FOLDER = re.compile(rf"^{COLUMN}=(.+)$")
# Row groups a system is spread over, from which on a sorted file is worth its making; common practice, no source.
MANY_GROUPS = 8


@dataclass(frozen=True)
class LongForm:
    """The systems of a Parquet file or folder.

    Attributes
    ----------
    systems : tuple of System
        By name.
    notes : tuple of str
        What was found, as sentences.
    """

    systems: tuple[System, ...]
    notes: tuple[str, ...]


def pyarrow_for(file: str) -> Any:
    """pyarrow.parquet, or the sentence that it is missing.

    Raises
    ------
    FileError
    """
    try:
        from pyarrow import parquet
    except ImportError:
        raise FileError(file, 'needs pyarrow: pip install "airside[fleet]".') from None
    return parquet


def find_in_parquet(what: str | Path, template: str | Path) -> LongForm:
    """The systems of a Parquet file, or of a folder of them.

    Parameters
    ----------
    what : str or Path
        Its column ``system`` names the system of each row; in a folder, parts of paths ``system=NAME`` do where there is
        no such column.
    template : str or Path
        A visit file whose logged columns are those of the Parquet. ``[systems.NAME]`` holds what a system has for itself,
        ``[periods]`` when before ends and after begins, as ``before = { last = "2026-06-14" }``.

    Raises
    ------
    FileError, VisitError
        A file cannot be read, or does not hold what it should.
    """
    text, place = str(what), Path(what)
    files = sorted(p for p in place.rglob("*.parquet") if p.is_file()) if place.is_dir() else [place]
    if not files:
        raise FileError(text, "holds no Parquet file (.parquet).")
    where: dict[str, list[Piece]] = {}
    nameless, most = 0, 0
    for file in files:
        missing, own = _index(file)
        nameless += missing
        for name, piece in own.items():
            where.setdefault(name, []).append(piece)
            most = max(most, len(piece.groups) if not piece.is_whole else 0)
    if not where:
        raise FileError(text, "holds no row that names its system.")
    contents = _contents(str(template), sorted(where))
    notes = []
    if nameless:
        notes.append(f"{text}: {nameless:,} rows name no system and are in no result.")
    if most > MANY_GROUPS:
        notes.append(
            f"{text}: rows of different systems are mixed, so that {most} row groups are read for a system. Sorted by system it "
            "goes quicker."
        )
    systems = [
        System(n, tuple(Source(p, str(template), data) for p, data in contents[n]), tuple(where[n]))
        for n in sorted(where)
    ]
    return LongForm(tuple(systems), tuple(notes))


def _index(file: Path) -> tuple[int, dict[str, Piece]]:
    """Rows without a name, and the row groups of each system."""
    parquet = pyarrow_for(str(file))
    import pyarrow as pa

    try:
        with parquet.ParquetFile(file) as content:
            if COLUMN not in content.schema_arrow.names:
                folder = next((m[1] for part in reversed(file.parts) if (m := _IN_FOLDER.match(part))), None)
                if folder is None:
                    listed = ", ".join(content.schema_arrow.names[:12])
                    raise FileError(
                        str(file), f'has no column "{COLUMN}" that names the system of each row; found {listed}.'
                    )
                return 0, {folder: Piece(str(file), tuple(range(content.num_row_groups)), True)}
            groups: dict[str, list[int]] = {}
            mixed: set[str] = set()
            missing = 0
            for group in range(content.num_row_groups):
                names, without = _names(content, group)
                missing += without
                for name in names:
                    groups.setdefault(name, []).append(group)
                if len(names) > 1 or without:
                    mixed.update(names)
    except FileNotFoundError:
        raise FileError(str(file), "there is no such file.") from None
    except (pa.ArrowException, OSError, ValueError) as error:
        raise FileError(str(file), f"is not a Parquet file that can be read ({type(error).__name__}).") from None
    return missing, {n: Piece(str(file), tuple(g), n not in mixed, COLUMN) for n, g in groups.items()}


def _names(content: Any, group: int) -> tuple[list[str], int]:
    """Systems of one row group, and its rows without a name."""
    import pyarrow.compute as pc

    about = content.metadata.row_group(group)
    at = content.schema_arrow.names.index(COLUMN)
    # Columns of plain types stand in the file in the schema's order.
    said = about.column(at).statistics if about.num_columns == len(content.schema_arrow.names) else None
    if said is not None and said.has_min_max and said.min == said.max and said.null_count == 0:
        return [str(said.min)], 0
    column = content.read_row_group(group, columns=[COLUMN]).column(0)
    names = [n for n in pc.unique(column).to_pylist() if n is not None and str(n).strip()]
    blank = pc.sum(pc.equal(pc.utf8_trim_whitespace(column.cast("string")), "")).as_py() or 0
    return [str(n) for n in names], int(column.null_count + blank)


def read_system(system: System) -> Any:
    """Readings of one system as a table of pyarrow, without the column of names.

    Raises
    ------
    FileError
        A file has changed, or cannot be read any more.
    """
    import pyarrow as pa
    import pyarrow.compute as pc

    parts = []
    for piece in system.pieces:
        parquet = pyarrow_for(piece.file)
        try:
            with parquet.ParquetFile(piece.file) as content:
                for group in piece.groups:
                    table = content.read_row_group(group)
                    if piece.column and not piece.is_whole:
                        table = table.filter(pc.equal(table.column(piece.column).cast("string"), system.name))
                    if piece.column:
                        table = table.drop_columns([piece.column])
                    parts.append(table)
        except (pa.ArrowException, OSError, ValueError, KeyError, IndexError) as error:
            raise FileError(piece.file, f"cannot be read any more ({type(error).__name__}). Run again.") from None
    try:
        return pa.concat_tables(parts, promote_options="permissive").combine_chunks()
    except pa.ArrowException as error:
        raise FileError(system.pieces[0].file, f"has columns of other kinds than a second file ({error}).") from None


class GroupDigests:
    """A digest of each row group's bytes in the file, found once."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, int], bytes] = {}

    def of(self, pieces: Sequence[Piece]) -> Iterator[bytes]:
        """Digests of the row groups of a system, in order."""
        for piece in pieces:
            if any((piece.file, g) not in self._known for g in piece.groups):
                self._find(piece)
            yield from (self._known[piece.file, g] for g in piece.groups)

    def _find(self, piece: Piece) -> None:
        with pyarrow_for(piece.file).ParquetFile(piece.file) as content, Path(piece.file).open("rb") as raw:
            for group in piece.groups:
                if (piece.file, group) in self._known:
                    continue
                about = content.metadata.row_group(group)
                digest = hashlib.blake2b(digest_size=16)
                for c in range(about.num_columns):
                    chunk = about.column(c)
                    first = chunk.dictionary_page_offset
                    raw.seek(chunk.data_page_offset if first is None else min(first, chunk.data_page_offset))
                    digest.update(raw.read(chunk.total_compressed_size))
                self._known[piece.file, group] = digest.digest()


def _contents(template: str, names: Sequence[str]) -> dict[str, list[tuple[str, dict[str, Any]]]]:
    """The template's data for each system: its periods in order."""
    data = read_visit_data(template)
    problems: list[Problem] = []
    own = data.pop(OWN, {})
    if not isinstance(own, Mapping) or any(not isinstance(v, Mapping) for v in own.values()):
        problems.append(Problem(f"expected tables such as [{OWN}.{names[0]}].", OWN))
        own = {}
    for name in own:
        if name not in names:
            problems.append(
                Problem(f"no row of the Parquet is of this system.{nearest(str(name), names)}", f"{OWN}.{name}")
            )
    if problems:
        raise VisitError(template, problems)
    contents = {}
    for name in names:
        merged = _merged(data, own.get(name, {}))
        if "name" not in own.get(name, {}):
            merged["name"] = f"{data['name']}, {name}" if isinstance(data.get("name"), str) else name
        contents[name] = _periods(merged, template)
    return contents


def _merged(base: Mapping[str, Any], more: Mapping[str, Any]) -> dict[str, Any]:
    result = deepcopy(dict(base))
    for key, value in more.items():
        here = result.get(key)
        result[key] = _merged(here, value) if isinstance(here, dict) and isinstance(value, Mapping) else deepcopy(value)
    return result


def _periods(data: dict[str, Any], template: str) -> list[tuple[str, dict[str, Any]]]:
    spans = data.pop(SPANS, None)
    if spans is None:
        return [("", data)]
    if not isinstance(spans, Mapping) or set(spans) != set(PERIODS):
        raise VisitError(template, [Problem(f"found {found(spans)}; expected before and after.", SPANS)])
    result = []
    for period in PERIODS:
        span = spans[period]
        if not isinstance(span, Mapping) or not span or not set(span) <= {"first", "last"}:
            raise VisitError(template, [Problem(
                f'found {found(span)}; expected when it begins or ends, such as {{ first = "2026-06-17" }}.',
                f"{SPANS}.{period}",
            )])  # fmt: skip
        result.append((period, _merged(data, {"log": {"counting": dict(span)}})))
    return result
