"""Write a visit file from nested dictionaries as the file holds them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from airside.visit.load import visit_from_data

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
    return "# Written by airside. See: airside template\n" + _lists_on_one_line(tomli_w.dumps(dict(data)))


def _lists_on_one_line(text: str) -> str:
    """Readings beside each other, as a person writes them; twice, because pairs are lists of lists."""
    for _ in range(2):
        text = _LIST.sub(lambda found: "[" + ", ".join(x.strip(" ,") for x in found[1].splitlines()) + "]", text)
    return text
