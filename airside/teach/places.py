"""Where a lesson's visit files are: in its folder, or among the demo data that comes with airside."""

from __future__ import annotations

from pathlib import Path

from airside.errors import AirsideError
from airside.teach.lesson import DEMO, file_in
from airside.teach.shipped import shipped


def demo_folder() -> Path:
    """The demo data: in the checkout, or inside the installed package."""
    return shipped()["data"]


def demo_file(name: str) -> Path:
    """A demo file by its name, such as ``reading_room/before.toml``.

    Raises
    ------
    ValueError
        There is none of this name; a sentence.
    """
    try:
        return file_in(demo_folder(), name)
    except ValueError:
        known = sorted(p.relative_to(demo_folder()).as_posix() for p in demo_folder().glob("*/*.toml"))
        raise ValueError(f'there is no demo file "{name}". Known are: {", ".join(known)}.') from None


def visit_place(name: str) -> Path:
    """A visit file as a notebook names it: seen from the notebook's folder, or ``demo:`` and a demo file.

    Raises
    ------
    AirsideError
        There is no such demo file.
    """
    if not name.startswith(DEMO):
        return Path(name)
    inner = name.removeprefix(DEMO)
    try:
        own = demo_file(inner)
    except ValueError as error:
        raise AirsideError(str(error)) from None
    # A trainee's copy of the data, or a short way to the checkout's own, before a long path.
    here = Path.cwd()
    for up, folder in enumerate((here, *here.parents)):
        if (folder / "data" / inner).is_file():
            return Path(*[".."] * up, "data", inner)
    return own
