"""Load a visit file: TOML, validated, with every problem named at once."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from airside.errors import Problem, VisitError
from airside.units import SYSTEMS, UnitSystem
from airside.visit.evidence import table_problems
from airside.visit.impossible import impossible_readings, missing_instruments
from airside.visit.logs.log_schema import has_logs
from airside.visit.problems import problems_from
from airside.visit.schema import Visit

# A visit file is written by hand; anything larger is another file.
LARGEST = 5_000_000


def load_visit(path: str | Path) -> Visit:
    """Load a visit file; of one that names logger files, the visit of the steady stretch that stands for it.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Visit
        Numbers are SI.

    Raises
    ------
    VisitError
        The file cannot be read, is not TOML, or has problems; all of them are named.
    """
    name, data = str(path), read_visit_data(path)
    if has_logs(data):
        from airside.visit.logs.logged_visit import load_logged

        return load_logged(path).standing
    try:
        return visit_from_data(data, name, path=Path(path))
    except VisitError as error:
        # With a valid visit, `analyse` says what is wrong with its table; here it must not wait for another run.
        raise VisitError(name, [*error.problems, *table_problems(data, Path(path).parent)]) from None


def read_visit_data(path: str | Path) -> dict[str, Any]:
    """A visit file as nested dictionaries, as it stands; nothing is checked but that it is TOML.

    Raises
    ------
    VisitError
        The file cannot be read, or is not TOML.
    """
    name = str(path)
    try:
        with Path(path).open("rb") as file:
            raw = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise VisitError(name, "there is no such file. Check the name and the folder.") from None
    except IsADirectoryError:
        raise VisitError(name, "is a folder; expected a visit file.") from None
    except OSError as error:
        raise VisitError(name, f"cannot be read ({error.strerror}).") from None
    if len(raw) > LARGEST:
        raise VisitError(name, f"has more than {LARGEST:,} bytes; a visit file is a short text. Is it a logger file?")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise VisitError(name, f"is not UTF-8 text (line {line}). Save it as UTF-8 in the editor.") from None
    return _toml(text, name)


def parse_visit(text: str, name: str = "visit", *, path: Path | None = None) -> Visit:
    """Read a visit from TOML text; `name` stands in the messages, `path` is what tables are relative to.

    Raises
    ------
    VisitError
        As `load_visit`.
    """
    return visit_from_data(_toml(text, name), name, path=path)


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise VisitError(
            name, f"is not valid TOML: {error}. Texts stand in quotes, lists in [ ], numbers with a point."
        ) from None
    except RecursionError:
        raise VisitError(name, "holds lists in lists without end; a visit file has none.") from None
    except ValueError:
        # Python refuses integers of thousands of digits.
        raise VisitError(name, "holds a number with thousands of digits.") from None


def visit_from_data(data: Mapping[str, Any], name: str = "visit", *, path: Path | None = None) -> Visit:
    """Make a visit from nested dictionaries as the file holds them.

    Raises
    ------
    VisitError
        As `load_visit`.
    """
    units = data.get("units")
    known: UnitSystem | None = next((s for s in SYSTEMS if s == units), None)
    problems: list[Problem] = []
    visit: Visit | None = None
    # Fields of the visit that are not the file's.
    for own in ("path", "file_units", "stretch"):
        if own in data:
            problems.append(Problem(f'unknown key "{own}".', own))
            data = {k: v for k, v in data.items() if k != own}
    if has_logs(data):
        # Only a file on disk says where its loggers' files lie.
        said = "the visit names logger files; expected a visit file on disk, loaded by its name (airside.load_visit)."
        raise VisitError(name, [*problems, Problem(said, "log")])
    try:
        visit = Visit.model_validate(dict(data), context={"units": known or "SI"})
    except ValidationError as error:
        problems += problems_from(error.errors(include_url=False), data)
    problems += missing_instruments(data)
    if known is not None:
        problems += impossible_readings(data, known)
    if problems:
        raise VisitError(name, problems)
    assert visit is not None
    return visit.model_copy(update={"path": path})
