"""How the report can be made again: files with their SHA-256, version, draws, command line; typed visits as text."""

from __future__ import annotations

import hashlib
import os
import shlex
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from airside import __version__
from airside.compare.reference import RATING, Conditions
from airside.compare.result import Change
from airside.errors import ComparisonError, VisitError
from airside.show.report.blocks import Block, Facts, Grid, Paragraph, Section, Verbatim, section
from airside.show.report.subject import Subject
from airside.units import from_inside
from airside.visit.convert import visit_data
from airside.visit.load import parse_visit, read_visit_data
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.reading_errors import visit_identity
from airside.visit.schema import Visit
from airside.visit.write import logged_visit_text, visit_text

TYPED = "typed in a panel, not read from a file"
CHANGED = "its stretches were chosen in a panel, not read from a file"
_TABLES = {
    "table": "airflow table", "performance_table": "performance table", "target_superheat_table": "target superheat table",
    "compressor_table": "compressor table",
}  # fmt: skip


@dataclass(frozen=True)
class Source:
    """One visit and where it comes from: its file with the hash of its bytes, or nothing for a typed one."""

    visit: Visit
    role: str
    file: Path | None
    digest: str
    logged: LoggedVisit | None = None

    @property
    def without_file(self) -> str:
        """What a visit that has no file is."""
        return TYPED if self.logged is None else CHANGED

    @property
    def folder(self) -> Path:
        """What its tables and logger files are named relative to."""
        return self.visit.path.parent if self.visit.path is not None else Path()


def refuse_one_file(before: str | Path, after: str | Path) -> None:
    """Refuse a pair of files that hold the same bytes: a report on the change between them would be of nothing.

    Raises
    ------
    ComparisonError
    """
    if Path(before).read_bytes() != Path(after).read_bytes():
        return
    one = f"{before} is given twice" if str(before) == str(after) else f"{before} and {after} hold the same bytes"
    raise ComparisonError(
        f"{one}; expected a visit from before the work and another from after it. Name the other file, or name one "
        "file alone for a report on that visit."
    )


def source_of(visit: Visit, role: str, logged: LoggedVisit | None = None) -> Source:
    """Find the file of a visit; a file that holds other readings than the visit is not its file."""
    if visit.path is not None:
        try:
            raw = visit.path.read_bytes()
            if logged is not None:
                same = read_visit_data(visit.path) == logged.data
            else:
                same = visit_identity(parse_visit(raw.decode("utf-8-sig"), path=visit.path)) == visit_identity(visit)
        except (OSError, UnicodeDecodeError, VisitError):
            same = False
        if same:
            return Source(visit, role, visit.path, hashlib.sha256(raw).hexdigest(), logged)
    return Source(visit, role, None, "", logged)


def sources_of(subject: Subject) -> list[Source]:
    """The visits of a report and their files."""
    roles = subject.heads or ("visit",)
    return [source_of(*each) for each in zip(subject.visits, roles, subject.logs, strict=True)]


def repeat_section(subject: Subject, has_stamp: bool) -> Section:
    """What is needed to make the report again and get the same figures."""
    sources = sources_of(subject)
    folder = _common_folder(sources)
    rows = [
        (
            _from(folder, s.file) if s.file is not None else "–",
            f"{s.role} visit" if subject.heads else "visit",
            s.digest or s.without_file,
        )
        for s in sources
    ]
    rows += [row for s in sources for row in (*_table_rows(s, folder), *_logger_rows(s, folder))]
    draws = subject.draws
    facts = [
        ("Library", (f"airside {__version__}",)),
        ("Draws", (f"{draws.count:,}",)),
        ("Seed of the draws", (str(draws.seed),)),
        ("Draws set aside", joined_counts(subject)),
    ]
    typed = [s for s in sources if s.file is None]
    if typed:
        names = " and ".join(_name(s, folder) for s in typed)
        how = f"Save the text at the end of this report as {names}, then run this beside it: the figures come out the same."
        if any(s.logged is not None for s in typed):
            how += " The logger files lie where that text names them."
    else:
        stamp = "with the time on the first page" if has_stamp else "none"
        how = (
            f"Run this in the folder of the visit files. Add --time-stamp {stamp}, and the report comes out the same to the byte; "
            "with a name that ends in .pdf, as PDF."
        )
    blocks: list[Block | None] = [
        Grid(
            "Files",
            ("File", "what it is", "SHA-256"),
            tuple(dict.fromkeys(rows)),
            text_columns=(0, 1, 2),
            file_columns=(0, 2),
            widths=(24, 16, 60),
        ),
        Facts(tuple(facts)),
        Paragraph(how),
        Verbatim("", command_line(subject, [_name(s, folder) for s in sources])),
    ]
    return section("How to make this report again", blocks)


def joined_counts(subject: Subject) -> tuple[str, ...]:
    """Draws on air that cannot be, which were set aside."""
    if subject.change is not None:
        return (f"{subject.change.set_aside:,}",)
    return (f"{subject.doubts[0].set_aside:,}",)


def appendix(subject: Subject) -> list[Verbatim]:
    """The text of each visit that has no file, so that it can be saved and run again."""
    sources = sources_of(subject)
    folder = _common_folder(sources)
    return [
        Verbatim(f"{_name(s, folder)}: {f'the {s.role} visit, ' if subject.heads else ''}{s.without_file}", _text(s))
        for s in sources if s.file is None
    ]  # fmt: skip


def _text(source: Source) -> str:
    """A visit as its file would hold it."""
    if source.logged is not None:
        return logged_visit_text(source.logged.data, source.logged.log, path=source.visit.path)
    return visit_text(visit_data(source.visit), path=source.visit.path)


def _name(source: Source, folder: Path) -> str:
    """Name of a visit's file in the command; a typed one gets a name."""
    return _from(folder, source.file) if source.file is not None else f"{source.role}.toml"


def _common_folder(sources: list[Source]) -> Path:
    """The folder that holds all visit files: names are given from there, so that no report tells of a machine."""
    folders = [(s.file or s.visit.path or Path("x")).parent.resolve() for s in sources]
    try:
        return Path(os.path.commonpath(folders))
    except ValueError:
        # Two drives have no folder in common.
        return folders[0]


def _from(folder: Path, file: Path) -> str:
    try:
        return Path(os.path.relpath(file.parent.resolve() / file.name, folder)).as_posix()
    except ValueError:
        return file.name


def _table_rows(source: Source, folder: Path) -> Iterable[tuple[str, str, str]]:
    """Each table that a visit names, with the hash of its bytes."""
    visit, at = source.visit, source.folder
    for field, words in _TABLES.items():
        name = getattr(visit.airflow, field, None) or getattr(visit.system, field, None)
        if name is None:
            continue
        yield _from(folder, at / name), words, _digest(at / name, "cannot be read; not used")


def _logger_rows(source: Source, folder: Path) -> Iterable[tuple[str, str, str]]:
    """Each logger file that a visit names, with the hash of its bytes as they are now."""
    if source.logged is None:
        return
    for name in dict.fromkeys(r.file for r in source.logged.log.records):
        yield (
            _from(folder, source.folder / name),
            "logger file",
            _digest(source.folder / name, "cannot be read any more"),
        )


def _digest(file: Path, otherwise: str) -> str:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except (OSError, ValueError):
        return otherwise


def command_line(subject: Subject, files: list[str]) -> str:
    """The command that makes the report again."""
    words = ["airside", "report", *(f if not f.startswith("-") else f"./{f}" for f in files)]
    if subject.change is not None:
        words += _reference_words(subject.change, subject)
    words += ["--units", subject.units, "--draws", str(subject.draws.count), "--seed", str(subject.draws.seed)]
    return shlex.join([*words, "--out", "report.html"])


def _reference_words(change: Change, subject: Subject) -> list[str]:
    """The options that bring both visits to the same conditions as here."""
    found: list[str] = []
    reference = change.reference
    if reference is not None and change.correction is not None:
        names = {f"conditions of the {n} visit": n for n in ("before", "after")}
        names |= {c.name: n for n, c in RATING[subject.mode].items()}
        found += ["--reference", names.get(reference.name, "stated")]
        if reference.name not in names:
            found += _stated(reference, subject)
    if change.correction is not None and change.correction.same_flow:
        found.append("--same-flow")
    return found


def _stated(reference: Conditions, subject: Subject) -> list[str]:
    unit = "degF" if subject.units == "IP" else "degC"
    indoor, outdoor = (
        f"{float(from_inside(float(v), 'temperature', subject.units)):.10g} {unit}"
        for v in (reference.indoor, reference.outdoor)
    )
    option = "--return-wet-bulb" if subject.mode == "cooling" else "--return-dry-bulb"
    return [option, indoor, "--outdoor-dry-bulb", outdoor]
