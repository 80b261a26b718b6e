"""Lines of a text file that have the right number of cells, found in numpy; the others are counted, with their rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.text_head import COMMENT, Head, split

NEWLINE, ZERO = 10, 0
# Bytes that are looked at together.
BLOCK = 1 << 22
Lines = NDArray[np.int64]


def first_byte(text: bytes, line: int) -> int:
    """Where a line begins; lines are counted from 0."""
    place = 0
    for _ in range(line):
        place = text.index(b"\n", place) + 1
    return place


def sound_lines(
    text: bytes, head: Head, look_closely: bool = False
) -> tuple[bytes | memoryview, Lines | None, dict[str, list[tuple[int, str]]]]:
    """The lines that have the right number of cells, and what the others are.

    Parameters
    ----------
    text : bytes
        The whole file in UTF-8.
    head : Head
    look_closely : bool
        Whether lines with quotation marks are read one by one.

    Returns
    -------
    body : bytes
        The sound lines, one after the other.
    numbers : array of int or None
        Their numbers in the file; None where all lines from the first to the last are sound.
    odd : dict of str to list of (int, str)
        The others by reason: number and text.
    """
    start = first_byte(text, head.first_line)
    body = memoryview(text)[start:]
    signs = np.frombuffer(text, np.uint8, offset=start)
    ends = np.concatenate([np.flatnonzero(signs[i : i + BLOCK] == NEWLINE) + i for i in range(0, len(signs), BLOCK)])
    if not len(signs) or signs[-1] != NEWLINE:
        ends = np.append(ends, len(signs))
    begins = np.concatenate([[0], ends[:-1] + 1])
    # A line with as many delimiters as the file's own is sound, unless quotation marks hide some.
    quoted = text.find(b'"', start) >= 0
    count = _delimiters(signs, begins, ends, ord(head.delimiter))
    usual = head.cells - 1
    if quoted and len(count):
        likely = int(np.bincount(count[:1000]).argmax())
        first = int(np.flatnonzero(count == likely)[0])
        if len(split(str(body[begins[first] : ends[first]], "utf-8", "replace"), head.delimiter)) == head.cells:
            usual = likely
    wrong = count != usual
    comment = np.zeros(len(begins), bool)
    inside = begins < len(signs)
    comment[inside] = signs[begins[inside]] == ord(COMMENT)
    suspect = wrong | comment
    zeros = np.flatnonzero(signs == ZERO) if b"\0" in text else np.zeros(0, np.int64)
    suspect[np.unique(np.searchsorted(ends, zeros))] = True
    if quoted:
        marks = _delimiters(signs, begins, ends, ord('"'))
        suspect |= (marks > 0) if look_closely else (marks % 2 == 1)
    if not suspect.any():
        return body, None, {}
    odd: dict[str, list[tuple[int, str]]] = {}
    keep = ~suspect
    for i in np.flatnonzero(suspect):
        line = bytes(body[begins[i] : ends[i]]).decode("utf-8", "replace").rstrip("\r")
        cells = split(line, head.delimiter)
        if not line.strip():
            reason = "empty row"
        elif "\0" in line:
            reason = "row with zero bytes"
        elif line.startswith(COMMENT):
            reason = "comment"
        elif not any(cells):
            reason = "empty row"
        elif line.count('"') % 2:
            reason = "row with an open quotation mark"
        elif len(cells) == head.cells:
            keep[i] = True
            continue
        else:
            reason = "row with too few cells" if len(cells) < head.cells else "row with too many cells"
        odd.setdefault(reason, []).append((int(i) + head.first_line + 1, line))
    rows = np.flatnonzero(keep)
    # An empty line at the end is no row.
    if "empty row" in odd:
        last = int(rows[-1]) + head.first_line + 1 if len(rows) else 0
        odd["empty row"] = [r for r in odd["empty row"] if r[0] < last]
        if not odd["empty row"]:
            del odd["empty row"]
    return _joined(body, begins, ends, keep), rows + head.first_line + 1, odd


def _delimiters(signs: NDArray[np.uint8], begins: Lines, ends: Lines, delimiter: int) -> Lines:
    """How many delimiters each line has; in blocks, so that little memory is needed."""
    count = np.zeros(len(begins), np.int64)
    if not len(signs):
        return count
    rows_at_once = max(1, int(BLOCK / max(len(signs) / max(len(begins), 1), 1)))
    for first in range(0, len(begins), rows_at_once):
        part = slice(first, first + rows_at_once)
        low = int(begins[first])
        high = int(begins[part.stop]) if part.stop < len(begins) else len(signs)
        # A byte holds the count of a short line, and is added up quickest.
        short = int((ends[part] - begins[part]).max()) < 256
        found = (signs[low:high] == delimiter).view(np.uint8)
        count[part] = np.add.reduceat(found, begins[part] - low, dtype=np.uint8 if short else np.int64)
    return count


def _joined(body: memoryview, begins: Lines, ends: Lines, keep: NDArray[np.bool_]) -> bytes:
    """The kept lines, one after the other."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], keep, [False]]).astype(np.int8)))
    parts = [bytes(body[begins[first] : ends[last - 1]]) for first, last in zip(edges[::2], edges[1::2], strict=True)]
    return b"\n".join(parts) + (b"\n" if parts else b"")
