"""Parquet files: columns have types, so that little is to be found out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from airside.errors import FileError
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import (
    EMPTY,
    SAMPLE,
    TEXT,
    Column,
    LoggerTable,
    column_index,
    set_aside_numbers,
    time_columns,
)
from airside.visit.logs.time_stamps import Stamps
from airside.visit.logs.typed_cells import cell_column, cell_stamps, classify, judged


def read_parquet(
    raw: bytes,
    wanted: Sequence[str | int],
    settings: FileSettings,
    file: str,
    words: frozenset[str | int] = frozenset(),
) -> LoggerTable:
    """Read a Parquet file; its columns have types, so that little is to be found out.

    Parameters
    ----------
    raw, wanted, settings, file, words
        As `delimited.read_delimited`.

    Raises
    ------
    FileError
        pyarrow is not installed, or with a sentence for whatever cannot be read.
    """
    try:
        import pyarrow
        from pyarrow import parquet
    except ImportError:
        raise FileError(
            file, 'needs pyarrow to be read: pip install "airside[logs]", or save the table as CSV.'
        ) from None
    try:
        content = parquet.ParquetFile(pyarrow.BufferReader(raw))
    except (pyarrow.ArrowException, OSError, ValueError) as error:
        raise _broken(file, error) from None

    def read(names: Sequence[str], rows: int | None) -> Any:
        try:
            if rows is None:
                return content.read(columns=list(names))
            batch = next(content.iter_batches(rows), None)
            return content.schema_arrow.empty_table() if batch is None else pyarrow.Table.from_batches([batch])
        except (pyarrow.ArrowException, OSError, ValueError) as error:
            raise _broken(file, error) from None

    return _read(content.schema_arrow, read, wanted, settings, file, words)


def read_arrow(
    table: Any,
    wanted: Sequence[str | int],
    settings: FileSettings,
    file: str,
    words: frozenset[str | int] = frozenset(),
) -> LoggerTable:
    """Read a table of pyarrow that is in memory already, as `read_parquet` reads a file.

    Parameters
    ----------
    table : pyarrow.Table
    wanted, settings, file, words
        As `delimited.read_delimited`.

    Raises
    ------
    FileError
        With a sentence for whatever cannot be read.
    """

    def read(names: Sequence[str], rows: int | None) -> Any:
        return table.select(list(names)) if rows is None else table.slice(0, rows)

    return _read(table.schema, read, wanted, settings, file, words)


def _read(
    schema: Any, read: Callable[[Sequence[str], int | None], Any], wanted: Sequence[str | int], settings: FileSettings,
    file: str, words: frozenset[str | int],
) -> LoggerTable:  # fmt: skip
    """Columns of a table; `read` gives named columns whole, or the first rows of all."""
    import pyarrow

    names = tuple(schema.names)
    index = {name: column_index(name, names, len(names), file, "columns") for name in wanted}
    kinds = [schema.field(n).type for n in names]
    if settings.time is not None:
        times = tuple(column_index(name, names, len(names), file, "columns") for name in settings.time)
    else:
        stamped = [i for i, k in enumerate(kinds) if pyarrow.types.is_timestamp(k) and i not in index.values()]
        if len(stamped) == 1:
            times = (stamped[0],)
        else:
            rows = [tuple(r.values()) for r in read(names, SAMPLE).to_pylist()]
            times = time_columns(rows, names, set(index.values()), None, file, classify)
    needed = sorted({*times, *index.values()})
    table = read([names[i] for i in needed], None)
    n = table.num_rows
    if n == 0:
        raise FileError(file, "holds no rows.")
    numbers = np.arange(n, dtype=np.int64) + 1
    kind = kinds[times[0]]
    if len(times) == 1 and pyarrow.types.is_timestamp(kind):
        held = table.column(names[times[0]]).cast(pyarrow.timestamp("us", kind.tz))
        whole = held.cast(pyarrow.int64()).to_numpy(zero_copy_only=False)
        stamps = Stamps(np.asarray(whole, dtype=np.float64) / 1e6, kind.tz is not None)
        stamps = judged(stamps, lambda r: f"row {numbers[r]}", lambda r: str(held[r]), file)
    else:
        stamps = cell_stamps([table.column(names[i]).to_pylist() for i in times], settings, numbers, file)
    worded = {i for name, i in index.items() if name in words}
    columns = {}
    for i in set(index.values()):
        held = table.column(names[i])
        if pyarrow.types.is_integer(kinds[i]) or pyarrow.types.is_floating(kinds[i]):
            values = np.array(held.cast(pyarrow.float64(), safe=False).to_numpy(), dtype=np.float64)
            column = Column(values)
            missing = np.flatnonzero(np.isnan(values))
            endless = np.flatnonzero(np.isinf(values))
            column.reasons = {k: v for k, v in ((EMPTY, missing), (TEXT, endless)) if len(v)}
            column.texts = {int(r): str(values[r]) for r in endless[:3]}
            values[endless] = np.nan
            set_aside_numbers(column, settings.no_value)
        else:
            column = cell_column(held.to_pylist(), settings, i in worded)
        columns[i] = column
    return LoggerTable(
        file, names, {}, numbers, stamps.time, stamps.utc, columns, index, {}, [stamps.note] if stamps.note else []
    )


def _broken(file: str, error: Exception) -> FileError:
    return FileError(
        file, f"is not a Parquet file that can be read ({type(error).__name__}). Save it again, or as CSV."
    )
