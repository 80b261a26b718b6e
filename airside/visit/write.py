"""Write a visit file from nested dictionaries as the file holds them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from airside.visit.load import visit_from_data
from airside.visit.logs.log import Log

HEAD = "# Written by airside. See: airside template\n"

# A list of numbers, or of such lists, one a line as tomli_w writes it. Texts never match: their line ends are escaped.
_LIST = re.compile(r"\[\n((?: *(?:[-+.\deE]+|\[[-+.\deE, ]*\]),\n)+) *\]")


def visit_text(data: Mapping[str, Any], *, path: Any = None) -> str:
    """TOML text of a visit.

    Parameters
    ----------
    data : mapping
        As the file holds it: bare numbers in the units that ``units`` names, or text with a unit.
    path : Path, optional
        Where the file will lie.

    Returns
    -------
    str

    Raises
    ------
    VisitError
        The data are not a valid visit; nothing invalid is ever written.
    """
    import tomli_w

    visit_from_data(data, path=path)
    return HEAD + _lists_on_one_line(tomli_w.dumps(dict(data)))


def logged_visit_text(data: Mapping[str, Any], log: Log, *, path: Any = None) -> str:
    """TOML text of a visit that names logger files, which stay as they are.

    Parameters
    ----------
    data : mapping
        As the file holds it.
    log : Log
        What the logger files hold.
    path : Path, optional
        Where the file will lie.

    Raises
    ------
    VisitError
        The data are not a valid visit, or no stretch of the log is steady; nothing invalid is ever written.
    """
    import tomli_w

    from airside.visit.logs.logged_visit import logged_visit

    # Airflow tables are named relative to the file; which stretch stands for the visit needs none of them.
    assert logged_visit(data, log, str(path or "visit"), path=path).standing is not None
    return HEAD + _lists_on_one_line(tomli_w.dumps(dict(data)))


def _lists_on_one_line(text: str) -> str:
    """Readings beside each other, as a person writes them; twice, because pairs are lists of lists."""
    for _ in range(2):
        text = _LIST.sub(lambda found: "[" + ", ".join(x.strip(" ,") for x in found[1].splitlines()) + "]", text)
    return text
