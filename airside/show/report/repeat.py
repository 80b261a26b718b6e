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
from airside.visit.load import parse_visit
from airside.visit.reading_errors import visit_identity
from airside.visit.schema import Visit
from airside.visit.write import visit_text

TYPED = "typed in a panel, not read from a file"
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


def source_of(visit: Visit, role: str) -> Source:
    """Find the file of a visit; a file that holds other readings than the visit is not its file."""
    if visit.path is not None:
        try:
            raw = visit.path.read_bytes()
            same = visit_identity(parse_visit(raw.decode("utf-8-sig"), path=visit.path)) == visit_identity(visit)
        except (OSError, UnicodeDecodeError, VisitError):
            same = False
        if same:
            return Source(visit, role, visit.path, hashlib.sha256(raw).hexdigest())
    return Source(visit, role, None, "")


def sources_of(subject: Subject) -> list[Source]:
    """The visits of a report and their files."""
    roles = subject.heads or ("visit",)
    return [source_of(visit, role) for visit, role in zip(subject.visits, roles, strict=True)]


def repeat_section(subject: Subject, has_stamp: bool) -> Section:
    """What is needed to make the report again and get the same figures."""
    sources = sources_of(subject)
    folder = _common_folder(sources)
    rows = [
        (
            _from(folder, s.file) if s.file is not None else "–",
            f"{s.role} visit" if subject.heads else "visit",
            s.digest or TYPED,
        )
        for s in sources
    ]
    rows += [row for s in sources for row in _table_rows(s, folder)]
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
        Verbatim(f"{_name(s, folder)}: the {s.role} visit, {TYPED}" if subject.heads else f"{_name(s, folder)}: {TYPED}",
                 visit_text(visit_data(s.visit), path=s.visit.path))
        for s in sources if s.file is None
    ]  # fmt: skip


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
    visit = source.visit
    at = visit.path.parent if visit.path is not None else Path()
    for field, words in _TABLES.items():
        name = getattr(visit.airflow, field, None) or getattr(visit.system, field, None)
        if name is None:
            continue
        try:
            digest = hashlib.sha256((at / name).read_bytes()).hexdigest()
        except (OSError, ValueError):
            digest = "cannot be read; not used"
        yield _from(folder, at / name), words, digest


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
