"""Part files: the result of each system in a file of its own, kept under a digest of all that it came from.

A part is written whole or not at all. Its name is the digest of the system's name, its visit files, its readings, every
table that the visit files name, and the version of airside: what is found under that name needs no second work, and what
has changed is not found.
"""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from airside import __version__
from airside.errors import OutputError
from airside.files import write_whole
from airside.fleet.long_form import GroupDigests
from airside.fleet.one_system import NUMBERS, TEXTS, TIMES, WHOLE, SystemResult, system_result
from airside.fleet.sources import Source, System

# Goes up where a part's content changes within one version.
FORMAT = 1
_ABOUT = b"airside fleet"
_BLOCK = 1 << 20


class Keys:
    """Digests of systems; row groups and files that several systems share are read once."""

    def __init__(self) -> None:
        self._groups = GroupDigests()
        self._files: dict[Path, bytes] = {}

    def of(self, system: System) -> str:
        """The digest of everything a system's result comes from, as 32 hexadecimal digits.

        Parameters
        ----------
        system : System
        """
        digest = hashlib.blake2b(digest_size=16)
        digest.update(repr((FORMAT, __version__, system.name, system.problem)).encode())
        for source in system.sources:
            digest.update(repr((source.period, source.path, _plain(source.data))).encode())
            for file in _files_of(source, with_logs=not system.pieces):
                digest.update(str(file).encode() + self._file(file, keep=bool(system.pieces)))
        for one in self._groups.of(system.pieces):
            digest.update(one)
        return digest.hexdigest()

    def _file(self, file: Path, *, keep: bool) -> bytes:
        if file in self._files:
            return self._files[file]
        digest = hashlib.blake2b(digest_size=16)
        try:
            with file.open("rb") as content:
                while block := content.read(_BLOCK):
                    digest.update(block)
        except OSError:
            return b"missing"
        if keep:
            self._files[file] = digest.digest()
        return digest.digest()


def _plain(data: Any) -> Any:
    """Data without the order of its keys."""
    if isinstance(data, Mapping):
        return sorted((str(k), _plain(v)) for k, v in data.items())
    return [_plain(v) for v in data] if isinstance(data, list) else data


def _files_of(source: Source, *, with_logs: bool) -> Iterator[Path]:
    """The visit file and every file that it names."""
    from airside.visit.load import read_visit_data

    visit = Path(source.path)
    data = source.data
    if data is None:
        yield visit
        try:
            data = read_visit_data(visit)
        except Exception:  # what is wrong with it is said when it is loaded
            return
    for key, text in sorted(set(_texts(data))):
        if key == "log" and not with_logs:
            continue
        file = visit.parent / text
        try:
            if file.is_file():
                yield file
        except (OSError, ValueError):
            continue


def _texts(data: Any, key: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(data, Mapping):
        for name, value in data.items():
            yield from _texts(value, str(name))
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value, key)
    elif isinstance(data, str) and data.strip():
        yield key, data


@dataclass(frozen=True)
class Part:
    """The result of one system as its part file has it: made where the work is done, so that little is left to do here.

    Attributes
    ----------
    content : bytes
        The part file.
    summary : dict of str to Any
        By `airside.fleet.summary.COLUMNS`.
    is_final, version
        As `SystemResult`.
    """

    content: bytes
    summary: dict[str, Any]
    is_final: bool
    version: str


def part_of(system: System) -> Part:
    """Work on one system; nothing is raised, as `airside.fleet.one_system.system_result` says.

    Parameters
    ----------
    system : System
    """
    from pyarrow import parquet

    result = system_result(system)
    content = io.BytesIO()
    parquet.write_table(_table(result), content, compression="zstd")
    return Part(content.getvalue(), result.summary, result.is_final, result.version)


class Parts:
    """The folder of part files."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise OutputError(f"{folder}: cannot be made ({error.strerror}). Check the place and its rights.") from None

    def path(self, key: str) -> Path:
        """Where the part of a key is."""
        return self.folder / f"{key}.parquet"

    def has(self, key: str) -> bool:
        """Whether there is a part that can be read."""
        from pyarrow import ArrowException, parquet

        try:
            return _ABOUT in (parquet.read_schema(self.path(key)).metadata or {})
        except (ArrowException, OSError):
            return False

    def write(self, key: str, part: Part) -> None:
        """Keep a result."""
        write_whole(self.path(key), part.content, force=True)

    def summary(self, key: str) -> dict[str, Any]:
        """The summary of a part."""
        from pyarrow import parquet

        found: dict[str, Any] = json.loads(parquet.read_schema(self.path(key)).metadata[_ABOUT])
        return found

    def rows(self, key: str) -> Any:
        """The rows of a part, a table of pyarrow."""
        from pyarrow import parquet

        return parquet.read_table(self.path(key)).replace_schema_metadata(None)

    def keep_only(self, keys: Iterable[str]) -> None:
        """Take away parts of what has changed since."""
        wanted = {self.path(k).name for k in keys}
        for file in self.folder.glob("*.parquet"):
            if file.name not in wanted:
                file.unlink(missing_ok=True)
        # What a stop left half written.
        for file in self.folder.glob(".airside.*"):
            file.unlink(missing_ok=True)


def schema() -> Any:
    """Columns of the rows."""
    import pyarrow as pa

    return pa.schema(
        [(n, pa.string()) for n in TEXTS] + [(n, pa.timestamp("ms")) for n in TIMES]
        + [(n, pa.int64()) for n in WHOLE] + [(n, pa.float64()) for n in NUMBERS]
    )  # fmt: skip


def _table(result: SystemResult) -> Any:
    import pyarrow as pa

    fields = schema()
    columns = []
    for field in fields:
        values = result.rows.get(field.name, [])
        if field.name in TIMES and len(values):
            values = values.astype("datetime64[ms]")
        # Not-a-number is written as no value.
        columns.append(pa.array(values, field.type, from_pandas=True))
    about = json.dumps(result.summary, ensure_ascii=False, sort_keys=True)
    return pa.table(columns, schema=fields).replace_schema_metadata({_ABOUT: about.encode()})
