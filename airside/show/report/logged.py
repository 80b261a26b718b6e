"""The section on readings from logger files: which stretch stands for the visit, what was set aside and why, the picture."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from airside.show.log_table import gap_sentences, set_aside_sentences
from airside.show.report.blocks import Facts, Grid, Paragraph, Picture, Section, section, told
from airside.show.report.pictures import inline_svg, theme
from airside.show.report.subject import Subject
from airside.show.stretch_table import rows_sentence
from airside.show.time_series import panels_of, time_series_chart
from airside.units import UnitSystem, show
from airside.visit.logs.log import Log
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.logs.stretch_record import StretchRecord

# Points of a line along the time axis: a page is narrower than a screen, and its pictures are in its text.
MOST = 500
# Panels that fit a page with the picture's caption.
MOST_PANELS = 5
_NUMBER = re.compile(r"(\d+\.\d\d)\d+")


def logged_section(subject: Subject) -> Section | None:
    """What was logged and what of it counts; None where every reading was typed."""
    if all(v.stretch is None for v in subject.visits):
        return None
    said = Paragraph(
        "The readings of this report were not typed: they are the rows of logger files over one steady stretch, which stands for "
        "the visit. Every other row is counted below, with the reason why it is not used."
        if all(v.stretch is not None for v in subject.visits)
        else "The readings of one visit are the rows of logger files over one steady stretch, which stands for the visit."
    )
    logs = subject.logs
    return section(
        "Logged data",
        [
            said,
            Facts(tuple(_facts(subject)), subject.heads),
            told("How running and stage were found", [v.stretch.notes if v.stretch else () for v in subject.visits]),
            *(_channels(log, name, subject.units) for log, name in zip(logs, subject.heads or ("",), strict=True)),
            told("Gaps without values", [gap_sentences(log.log) if log else () for log in logs]),
            told("Set aside while reading the files", [set_aside_sentences(log.log) if log else () for log in logs]),
            # A picture fills most of a page: after the words, it leaves none empty.
            *(_picture(log, name, subject.units) for log, name in zip(logs, subject.heads or ("",), strict=True)),
        ],
    )  # fmt: skip


def _facts(subject: Subject) -> list[tuple[str, tuple[str | None, ...]]]:
    rows: list[tuple[str, tuple[str | None, ...]]] = []
    records = [v.stretch for v in subject.visits]

    def add(name: str, values: Sequence[str]) -> None:
        texts = tuple(v if r is not None else "typed readings" for v, r in zip(values, records, strict=True))
        rows.append((name, texts[:1] if len(set(texts)) == 1 else texts))

    add("Stretch that stands for the visit", [_place(r) for r in records])
    add("Its run", [_run(r) for r in records])
    add(
        "Readings of each channel",
        [_readings(v.readings.return_air.dry_bulb, r) for v, r in zip(subject.visits, records, strict=True)],
    )
    add("Rows in no stretch, by reason", [_aside(r) for r in records])
    if any(subject.logs):
        add("All steady stretches", ["" if log is None else _all_of_them(log, subject.units) for log in subject.logs])
        add("Times are those of", ["" if log is None else _clock(log.log) for log in subject.logs])
    return rows


def _place(record: StretchRecord | None) -> str:
    return record.place if record is not None else ""


def _run(record: StretchRecord | None) -> str:
    if record is None:
        return ""
    return f"{record.run_length / 60:.0f} min{f', {record.stage}' if record.stage else ''}"


def _readings(values: Sequence[float], record: StretchRecord | None) -> str:
    return f"{len(values)}, every {record.step:g} s" if record is not None else ""


def _aside(record: StretchRecord | None) -> str:
    return "" if record is None else aside_text(record)


def aside_text(record: StretchRecord) -> str:
    """How many rows are in no stretch, and why."""
    not_used = sum(record.set_aside.values())
    reasons = ", ".join(f"{count:,} {name}" for name, count in record.set_aside.items())
    return f"{not_used:,} of {record.rows:,} {record.unit}: {reasons}"


def _all_of_them(logged: LoggedVisit, units: UnitSystem) -> str:
    total = logged.capacities().figures["total"].value
    known = total[np.isfinite(total)]
    window = f"{logged.stretches.window / 60:g} min"
    if not known.size:
        return f"{len(logged):,} of {window}"
    low, middle, high = (
        show(float(v), "capacity", units, unit=i == 2) for i, v in enumerate(np.quantile(known, (0.0, 0.5, 1.0)))
    )
    return f"{len(logged):,} of {window}; total from {low} over {middle} (median) to {high}"


def _clock(log: Log) -> str:
    return f"the wall's clock in {log.zone}" if log.zone is not None else "the loggers' own clock"


def _picture(logged: LoggedVisit | None, name: str, units: UnitSystem) -> Picture | None:
    """The log over time."""
    if logged is None:
        return None
    found = panels_of(logged)
    if not found:
        return None
    figure = time_series_chart(logged, units=units, theme=theme(), panels=found[:MOST_PANELS], most=MOST)
    stretch = logged.standing.stretch
    assert stretch is not None
    words = f"Logged channels over time{f', {name} the work' if name else ''}, with runs and steady stretches"
    svg = inline_svg(figure, f"log-{name or 'visit'}", f"{words}; {stretch.place} stands for the visit")
    # Hundredths of a point are finer than any printer.
    svg = _NUMBER.sub(r"\1", svg)
    return Picture(svg, f"{words}. Shaded: steady stretches; between the two lines: the one that stands for the visit. "
                   f"{rows_sentence(logged)}")  # fmt: skip


def _channels(logged: LoggedVisit | None, name: str, units: UnitSystem) -> Grid | None:
    """Each channel: its file and column, its first and last value, how many there are."""
    if logged is None:
        return None
    log, rows = logged.log, []
    for r in log.records:
        first, last = (log.wall_time(t)[:16] if np.isfinite(t) else "none" for t in (r.first, r.last))
        ends = [
            show(v, r.kind, units, unit=i == 1) if r.kind else f"{v:g}" for i, v in enumerate((r.lowest, r.highest))
        ]
        aside = sum(r.set_aside.values())
        rows.append((
            r.channel.removeprefix("readings.").replace("_", " ").replace(".", " "), r.file, r.column, f"{first} to {last}",
            f"{r.count:,}", f"{aside:,}", f"{ends[0]} to {ends[1]}",
        ))  # fmt: skip
    return Grid(
        f"Logged channels{f', {name} the work' if name else ''}",
        ("Channel", "file", "column", "first and last", "values", "set aside", "range"), tuple(rows),
        text_columns=(0, 1, 2, 3), file_columns=(1,), widths=(13, 26, 14, 18, 8, 8, 13),
    )  # fmt: skip
