"""What a trainee has tried: a file of their own beside the notebook, a table, and CSV for a teacher. It is sent nowhere."""

from __future__ import annotations

import json
import weakref
from dataclasses import asdict, dataclass
from datetime import datetime
from html import escape
from io import StringIO
from pathlib import Path
from typing import Any

from airside.errors import OutputError
from airside.files import write_whole
from airside.teach.drawing import Question
from airside.teach.judging import Judgement

FORMAT = "airside progress 1"
FILE_NAME = "my_progress.jsonl"
# Tens of thousands of tries; anything larger is another file.
LARGEST = 10_000_000
OUTCOMES = ("right", "slip", "wrong")
HEADS = ("when", "lesson", "kind", "title", "seed", "units", "outcome", "slip", "hints", "steps_shown")


@dataclass(frozen=True)
class Record:
    """One try.

    Attributes
    ----------
    when : str
        ISO 8601, with its offset from UTC.
    lesson : int
        In which it was tried.
    kind, title : str
    seed : int
    units : "IP" or "SI"
    outcome : "right", "slip" or "wrong"
    slip : str
        Name of the slip; else empty.
    hints : int
        Given before.
    steps_shown : bool
        Whether the worked solution had been shown.
    """

    when: str
    lesson: int
    kind: str
    title: str
    seed: int
    units: str
    outcome: str
    slip: str = ""
    hints: int = 0
    steps_shown: bool = False


def record_of(
    question: Question, judgement: Judgement, hints: int = 0, steps_shown: bool = False, lesson: int | None = None
) -> Record:
    """The record of an answer that was given now; by default in the lesson to which the kind belongs."""
    kind = question.kind
    return Record(
        datetime.now().astimezone().isoformat(timespec="seconds"), kind.lesson if lesson is None else lesson, kind.name, kind.title, question.seed,
        question.units, judgement.outcome, judgement.slip, hints, steps_shown,
    )  # fmt: skip


# Called after a record has been kept: the progress tables that are open.
_LISTENERS: weakref.WeakSet[Any] = weakref.WeakSet()


def listen(listener: Any) -> None:
    """Have an object's ``refresh`` called after each record."""
    _LISTENERS.add(listener)


def add_record(record: Record, file: str | Path | None = None) -> list[str]:
    """Keep a record; gives sentences of what had to be set aside.

    Raises
    ------
    OutputError
        The file cannot be read or written, or a later airside wrote it; it stays as it is.
    """
    place = Path(FILE_NAME) if file is None else Path(file)
    records, said = read_progress(place)
    lines = [json.dumps({"format": FORMAT})]
    lines += [json.dumps(asdict(r), ensure_ascii=False) for r in (*records, record)]
    write_whole(place, "\n".join(lines) + "\n", force=True)
    for listener in list(_LISTENERS):
        listener.refresh()
    return said


def read_progress(file: str | Path | None = None, *, set_aside: bool = True) -> tuple[list[Record], list[str]]:
    """The records of a progress file, and sentences about what was wrong with it.

    Parameters
    ----------
    file : str or Path, optional
        By default `my_progress.jsonl` in the working folder; a file that is not there has no records.
    set_aside : bool
        Rename a damaged file, so that a new one can be begun beside it.

    Raises
    ------
    OutputError
        It cannot be read, a later airside wrote it, or a damaged one cannot be renamed.
    """
    place = Path(FILE_NAME) if file is None else Path(file)
    try:
        if place.is_dir():
            raise OutputError(f"{place}: is a folder; expected the progress file. Move the folder away.")
        with place.open("rb") as stream:
            raw = stream.read(LARGEST + 1)
    except FileNotFoundError:
        return [], []
    except OSError as error:
        raise OutputError(f"{place}: cannot be read ({error.strerror}). Check its rights.") from None
    records, problem = _records(raw, place)
    if not problem:
        return records, []
    if not set_aside:
        return records, [f"{place}: {problem}"]
    return records, [_set_aside(place, problem, len(records))]


def _records(raw: bytes, place: Path) -> tuple[list[Record], str]:
    """The records that can be read, and what is wrong with the first that cannot."""
    if len(raw) > LARGEST:
        return [], f"it has more than {LARGEST:,} bytes, which is no progress file."
    lines = raw.split(b"\n")
    head = _json(lines[0])
    told = head.get("format") if isinstance(head, dict) else None
    if isinstance(told, str) and told.startswith("airside progress ") and told != FORMAT:
        raise OutputError(
            f'{place}: was written by another airside ("{told[:40]}"); it is left as it is. Move it away first.'
        )
    records: list[Record] = []
    problem = "" if told == FORMAT else f'line 1 does not say {{"format": "{FORMAT}"}}.'
    for number, line in enumerate(lines[1:] if told == FORMAT else lines, start=2 if told == FORMAT else 1):
        if not line.strip():
            continue
        record = _record(_json(line))
        if record is not None:
            records.append(record)
        elif not problem:
            problem = f"line {number} is no record."
    return records, problem


def _json(line: bytes) -> Any:
    try:
        return json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        return None


def _record(data: Any) -> Record | None:
    if not isinstance(data, dict) or set(data) != set(HEADS):
        return None
    texts = ("when", "kind", "title", "units", "outcome", "slip")
    good = all(isinstance(data[n], str) and len(data[n]) < 500 for n in texts)
    good = good and all(type(data[n]) is int for n in ("lesson", "seed", "hints")) and type(data["steps_shown"]) is bool
    if not good or data["outcome"] not in OUTCOMES or data["units"] not in ("IP", "SI"):
        return None
    return Record(**data)


def _set_aside(place: Path, problem: str, kept: int) -> str:
    for number in range(1, 1000):
        aside = place.with_name(f"{place.stem}.damaged-{number}{place.suffix}")
        if aside.exists():
            continue
        try:
            place.rename(aside)
        except OSError as error:
            raise OutputError(
                f"{place}: is damaged and cannot be renamed ({error.strerror}). It is left as it is."
            ) from None
        goes_on = f"{kept} record{'s' if kept != 1 else ''} that can be read go on in a new file."
        return f"The progress file was damaged: {problem} It is kept as {aside.name}; {goes_on}"
    raise OutputError(f"{place}: is damaged, and a thousand damaged ones stand beside it. Clear the folder first.")


@dataclass(frozen=True)
class ProgressTable:
    """What was tried, a line for each question kind.

    Attributes
    ----------
    records : tuple of Record
    said : tuple of str
        What was wrong with the file.
    """

    records: tuple[Record, ...]
    said: tuple[str, ...] = ()

    COLUMNS = ("Lesson", "Question", "Tried", "Right", "Last answer", "When")

    def rows(self) -> list[tuple[str, ...]]:
        """Lesson, title, tries, right ones, the last outcome and when, as text."""
        groups: dict[tuple[int, str], list[Record]] = {}
        for record in self.records:
            groups.setdefault((record.lesson, record.kind), []).append(record)
        rows: list[tuple[str, ...]] = []
        # Within a lesson in the order in which they were first tried, as the trainee met them.
        for (lesson, _), tries in sorted(groups.items(), key=lambda group: group[0][0]):
            last = tries[-1]
            outcome = f"slip: {last.slip}" if last.outcome == "slip" and last.slip else last.outcome
            right = sum(t.outcome == "right" for t in tries)
            rows.append(
                (str(lesson), last.title, str(len(tries)), str(right), outcome, last.when[:16].replace("T", " "))
            )
        return rows

    def __str__(self) -> str:
        rows = [self.COLUMNS, *self.rows()]
        widths = [max(len(r[i]) for r in rows) for i in range(len(self.COLUMNS))]
        lines = ["  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows]
        return "\n".join([*(lines if self.records else ["Nothing has been tried yet."]), *self.said])

    def _repr_html_(self) -> str:
        said = "".join(f"<div>{escape(s)}</div>" for s in self.said)
        if not self.records:
            return f"<div>Nothing has been tried yet.</div>{said}"
        head = "".join(f"<th>{escape(c)}</th>" for c in self.COLUMNS)
        body = "".join("<tr>" + "".join(f"<td>{escape(c)}</td>" for c in row) + "</tr>" for row in self.rows())
        return f"<table><tr>{head}</tr>{body}</table>{said}"

    def csv_text(self) -> str:
        """Every try as CSV with one row of heads; no cell can be taken for a formula."""
        import csv

        from airside.show.report.figures_csv import text_cell

        out = StringIO(newline="")
        writer = csv.writer(out)
        writer.writerow(HEADS)
        for record in self.records:
            cells = asdict(record)
            writer.writerow([text_cell(v) if isinstance(v, str) else _plain(v) for v in (cells[h] for h in HEADS)])
        return out.getvalue()

    def write_csv(self, file: str | Path, *, force: bool = False, option: str = "force=True") -> Path:
        """Write every try as CSV, for a teacher.

        Raises
        ------
        OutputError
            The name has another ending, the file exists, or it cannot be written.
        """
        if Path(file).suffix.lower() != ".csv":
            raise OutputError(f"{file}: the name ends in {Path(file).suffix or 'nothing'}; expected .csv.")
        return write_whole(file, self.csv_text(), force=force, option=option)


def _plain(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def progress_table(file: str | Path | None = None) -> ProgressTable:
    """What has been tried, from the progress file in the working folder; the file itself is only read.

    Parameters
    ----------
    file : str or Path, optional
        Another progress file.

    Raises
    ------
    OutputError
        It cannot be read, or a later airside wrote it.
    """
    records, said = read_progress(file, set_aside=False)
    return ProgressTable(tuple(records), tuple(said))
