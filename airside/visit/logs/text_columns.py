"""Columns of text lines at once: by pyarrow where it is installed, else by pandas."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.text_head import Head
from airside.visit.logs.time_format import LONGEST, Texts, as_texts

# Bytes that pyarrow reads together.
BLOCK = 1 << 22
# What is not above it is a blank or no sign at all; what is not ASCII is looked at closely.
BLANK = 32


def parsed_columns(
    body: bytes | memoryview, head: Head, columns: Sequence[int], as_numbers: bool | None
) -> tuple[Texts, dict[int, NDArray[Any]], set[int]]:
    """Time as texts and other columns, by pyarrow where it is installed, else by pandas.

    Parameters
    ----------
    body : bytes
    head : Head
    columns : sequence of int
    as_numbers : bool or None
        True for numbers, False for numbers where a column is of numbers alone and texts elsewhere, None for texts.

    Returns
    -------
    cells : array of uint8
    columns : dict of int to array of float64 or object
    sure : set of int
        Columns of numbers in which NaN is an empty cell and nothing else.

    Raises
    ------
    ValueError
        A column is not all numbers, or rows cannot be told apart.
    """
    return (_by_arrow if has_arrow() else _by_pandas)(body, head, columns, as_numbers)


def has_arrow() -> bool:
    """Whether pyarrow is installed."""
    try:
        import pyarrow.csv  # noqa: F401
    except ImportError:
        return False
    return True


def _by_arrow(
    body: bytes | memoryview, head: Head, columns: Sequence[int], as_numbers: bool | None
) -> tuple[Texts, dict[int, NDArray[Any]], set[int]]:
    import pyarrow
    from pyarrow import csv

    names = [f"c{i}" for i in range(head.cells)]
    own = [names[i] for i in dict.fromkeys([*head.time, *columns])]
    kinds = {names[i]: pyarrow.float64() if as_numbers else pyarrow.string() for i in columns}
    kinds |= {names[i]: pyarrow.string() for i in head.time}
    table = csv.read_csv(
        pyarrow.BufferReader(pyarrow.py_buffer(body)),
        read_options=csv.ReadOptions(column_names=names, block_size=BLOCK),
        parse_options=csv.ParseOptions(delimiter=head.delimiter),
        convert_options=csv.ConvertOptions(
            include_columns=own, column_types=kinds, null_values=[""], strings_can_be_null=False,
            decimal_point=head.decimal, check_utf8=False,
        ),
    )  # fmt: skip
    held = {name: table.column(name) for name in own}
    del table
    cells = _arrow_texts([held[names[i]] for i in head.time])
    found: dict[int, NDArray[Any]] = {}
    sure = set()
    for i in columns:
        # Each column's own memory goes as soon as it is copied.
        column = held[names[i]] if i in head.time else held.pop(names[i])
        if as_numbers is False and head.decimal == ".":
            column = _as_floats(column)
        if pyarrow.types.is_floating(column.type):
            found[i] = column.to_numpy()
            whole = not column.null_count and bool(np.isfinite(found[i]).all())
            if whole or (int(np.isnan(found[i]).sum()) == column.null_count and not np.isinf(found[i]).any()):
                sure.add(i)
        else:
            found[i] = np.array(column.to_pylist(), dtype=object)
    return cells, found, sure


def _as_floats(column: Any) -> Any:
    """A column of texts as numbers where all of it is; empty cells are null."""
    import pyarrow
    from pyarrow import compute

    trimmed = compute.utf8_trim_whitespace(column)
    filled = compute.if_else(compute.equal(trimmed, ""), pyarrow.scalar(None, pyarrow.string()), trimmed)
    try:
        return filled.cast(pyarrow.float64())
    except pyarrow.ArrowInvalid:
        return column


def _arrow_texts(columns: Sequence[Any]) -> Texts:
    """One column, or two with a blank between them, as rows of bytes."""
    from pyarrow import compute

    column = columns[0]
    if len(columns) == 2:
        column = compute.binary_join_element_wise(compute.utf8_trim_whitespace(columns[0]), columns[1], " ")
    parts = [_bytes_of(chunk) for chunk in column.chunks if len(chunk)]
    if not parts:
        return np.zeros((0, 1), np.uint8)
    width = max(p.shape[1] for p in parts)
    if all(p.shape[1] == width for p in parts) and all((p[:, i] > BLANK).all() for p in parts for i in (0, -1)):
        return np.concatenate(parts)
    # Blanks around the text, or fewer signs in some rows.
    column = compute.utf8_trim_whitespace(column)
    parts = [_bytes_of(chunk) for chunk in column.chunks if len(chunk)]
    width = max(p.shape[1] for p in parts)
    return np.concatenate([np.pad(p, ((0, 0), (0, width - p.shape[1]))) for p in parts])


def _bytes_of(chunk: Any) -> Texts:
    _, offset_buffer, data_buffer = chunk.buffers()
    offsets = np.frombuffer(offset_buffer, np.int32)[chunk.offset : chunk.offset + len(chunk) + 1]
    data = np.frombuffer(data_buffer, np.uint8) if data_buffer is not None else np.zeros(0, np.uint8)
    lengths = np.diff(offsets)
    if (lengths == lengths[0]).all() and 0 < lengths[0] <= LONGEST:
        return data[offsets[0] : offsets[-1]].reshape(len(chunk), int(lengths[0]))
    width = int(lengths[lengths <= LONGEST].max(initial=1)) or 1
    # What is too long is left empty; then it is no time.
    lengths = np.where(lengths <= LONGEST, lengths, 0)
    places = offsets[:-1, None] + np.arange(width, dtype=np.int32)
    inside = np.arange(width) < lengths[:, None]
    if not len(data):
        return np.zeros((len(chunk), width), np.uint8)
    return np.where(inside, data[np.minimum(places, len(data) - 1)], np.uint8(0))


def _by_pandas(
    body: bytes | memoryview, head: Head, columns: Sequence[int], as_numbers: bool | None
) -> tuple[Texts, dict[int, NDArray[Any]], set[int]]:
    import pandas

    kinds: Mapping[int, Any] = {i: np.float64 if as_numbers and i not in head.time else object
                                for i in dict.fromkeys([*head.time, *columns])}  # fmt: skip
    table = pandas.read_csv(
        io.BytesIO(body), sep=head.delimiter, header=None, names=range(head.cells), usecols=list(kinds), dtype=kinds,
        decimal=head.decimal, keep_default_na=False, na_values={i: [""] for i in columns} if as_numbers else [],
        skip_blank_lines=False, engine="c", low_memory=True, skipinitialspace=True,
    )  # fmt: skip
    times = [table[i].to_numpy(dtype=object) for i in head.time]
    joined = times[0] if len(times) == 1 else [f"{a.strip()} {b.strip()}" for a, b in zip(*times, strict=True)]
    return as_texts(list(joined)), {i: table[i].to_numpy() for i in columns}, set()
