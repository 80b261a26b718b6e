"""Write a visit file from nested dictionaries as the file holds them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from airside.visit.load import visit_from_data


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
    return "# Written by airside. See: airside template\n" + tomli_w.dumps(dict(data))
