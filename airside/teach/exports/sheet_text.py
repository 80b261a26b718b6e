"""Text on a sheet: escaped by the template, without signs that a page cannot show, units beside their numbers."""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files
from typing import Any

from airside.show.printable import printable
from airside.units import KINDS, SYSTEMS

_LABELS = sorted(
    {k.display(s).label for k in KINDS.values() for s in SYSTEMS if k.display(s).label}, key=len, reverse=True
)
_UNIT = re.compile(rf"(?<=\d) (?:{'|'.join(map(re.escape, _LABELS))})(?![\w/])")


def unbroken(text: str) -> str:
    """Text in which a number and its unit stay on one line."""
    return _UNIT.sub(lambda found: found[0].replace(" ", "\N{NO-BREAK SPACE}"), text)


def plain_markdown(text: str) -> str:
    """Text as Markdown that says just that: nothing in it is markup, a formula or HTML."""
    escaped = re.sub(r"([\\`*_{}\[\]()#+!|<>$~^=-])", r"\\\1", printable(text))
    # At the beginning of a line a number with a point would be a list.
    return re.sub(r"(?m)^(\s*\d+)([.)])", r"\1\\\2", escaped).replace("&", "&amp;")


@lru_cache(maxsize=1)
def sheets() -> Any:
    """The templates, with every text escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("airside.teach.exports", ""), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )  # fmt: skip
    # The sheets' own style; nothing of a lesson goes into it.
    environment.globals["style"] = (files("airside.teach.exports") / "sheet.css").read_text(encoding="utf-8")
    environment.filters["unbroken"] = unbroken
    return environment
