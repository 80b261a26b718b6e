"""Which systems a fleet has, and where the visit files and readings of each are."""

from __future__ import annotations

import glob
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from airside.errors import FileError

PERIODS = ("before", "after")


@dataclass(frozen=True)
class Piece:
    """Row groups of one Parquet file that hold readings of a system.

    Attributes
    ----------
    file : str
    groups : tuple of int
    is_whole : bool
        Whether they hold nothing else.
    column : str
        Column that names the system of each row; empty where the folder's name does.
    """

    file: str
    groups: tuple[int, ...]
    is_whole: bool
    column: str = ""


@dataclass(frozen=True)
class Source:
    """The visit of one period of a system.

    Attributes
    ----------
    period : str
        "before", "after", or empty where the system has one period.
    path : str
        Visit file, or the template.
    data : mapping or None
        The template's content for this system and period; None where the visit file is read.
    """

    period: str
    path: str
    data: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class System:
    """One system of a fleet.

    Attributes
    ----------
    name : str
    sources : tuple of Source
        In the order of `PERIODS`.
    pieces : tuple of Piece
        Where its readings are in the fleet's Parquet; empty where its visit files name logger files.
    problem : str
        Why it cannot be used; empty where it can.
    """

    name: str
    sources: tuple[Source, ...]
    pieces: tuple[Piece, ...] = ()
    problem: str = ""


def find_systems(what: str | Path) -> list[System]:
    """The systems of a folder or of a pattern of file names, by name.

    A visit file is one system. ``before*.toml`` and ``after*.toml`` in one folder are two periods of one system. A folder's
    only system has the folder's name.

    Parameters
    ----------
    what : str or Path
        A folder with a folder for each system, a visit file, or a pattern such as ``sites/*/visit.toml``.

    Raises
    ------
    FileError
        There is no such folder, or nothing fits.
    """
    text = str(what)
    place = Path(what)
    if place.is_dir():
        files = [*place.glob("*.toml"), *place.glob("*/*.toml")]
        if not files:
            raise FileError(text, "holds no visit file. Expected a folder for each system with its visit file (.toml) in it; a "
                            "folder of Parquet files needs --visit.")  # fmt: skip
    elif place.is_file():
        if place.suffix.lower() in (".parquet", ".pq"):
            raise FileError(
                text, "is a Parquet file: name the visit file that says what its columns are, with --visit."
            )
        files = [place]
    else:
        # Path.glob takes no pattern with a root.
        files = [Path(f) for f in glob.glob(text, recursive=True) if Path(f).is_file()]  # noqa: PTH207
        if not files:
            raise FileError(text, "there is no such file or folder, and no file fits it as a pattern. Check the name.")
    by_folder: dict[Path, list[Path]] = {}
    for file in sorted(set(files)):
        by_folder.setdefault(file.parent, []).append(file)
    base = place if place.is_dir() else _common(list(by_folder))
    found = [s for folder, own in by_folder.items() for s in _of_folder(folder, own, base)]
    names = [s.name for s in found]
    # A file beside a folder of the same name is another system.
    found = [
        replace(s, name=f"{s.name}{Path(s.sources[0].path).suffix}")
        if names.count(s.name) > 1 and Path(s.sources[0].path).stem == s.name
        else s
        for s in found
    ]
    return sorted(found, key=lambda s: s.name)


def _common(folders: Sequence[Path]) -> Path:
    """The folder in which all of them lie, not one of them itself."""
    base = folders[0].parent
    while not all(f.is_relative_to(base) and f != base for f in folders) and base != base.parent:
        base = base.parent
    return base


def _of_folder(folder: Path, files: Sequence[Path], base: Path) -> list[System]:
    by_period = {p: [f for f in files if f.stem.casefold().startswith(p)] for p in PERIODS}
    alone = [f for f in files if not any(f in own for own in by_period.values())]
    inside = folder.relative_to(base).as_posix() if folder.is_relative_to(base) else folder.as_posix()
    name = "" if inside == "." else inside
    systems = []
    paired = [f for own in by_period.values() for f in own]
    if paired:
        many = [(p, own) for p, own in by_period.items() if len(own) > 1]
        problem = "".join(
            f"{folder}: {len(own)} files begin with {p} ({', '.join(f.name for f in own)}); expected one. Put systems into "
            "folders of their own."
            for p, own in many[:1]
        )
        sources = tuple(Source(p, str(own[0])) for p, own in by_period.items() if own)
        systems.append(System(name or folder.resolve().name, sources, problem=problem))
    only = len(alone) == 1 and not paired and name
    systems += [
        System(name if only else f"{name}/{f.stem}".lstrip("/"), (Source("", str(f)),)) for f in alone
    ]  # fmt: skip
    return systems
