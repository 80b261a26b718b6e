"""Layouts and styles that many widgets share: each one made anew is a message to the browser, and a panel has hundreds
of widgets. Jupyter's server drops messages where too many come at once."""

from __future__ import annotations

import re
from html import escape, unescape
from typing import Any

import ipywidgets as widgets

_MADE: dict[str, Any] = {}


def _shared(key: str, make: Any) -> Any:
    kept = _MADE.get(key)
    # A notebook may close all widgets; then a new one is needed.
    if kept is None or kept.comm is None:
        kept = _MADE[key] = make()
    return kept


def plain_layout() -> Any:
    """The layout of what the style sheet places; nobody changes it."""
    return _shared("plain", lambda: widgets.Layout(width="auto", overflow="visible"))


def field_style(kind: type[Any]) -> Any:
    """The style of input boxes of one class of widgets, whose labels are as wide as their words."""
    return _shared(kind.__name__, lambda: kind.style.klass(description_width="auto"))


def name_box(box: Any, words: str, tooltip: str) -> None:
    """Give an input its label, on which the tooltip shows.

    A tooltip that an input has before the browser makes it is shown nowhere by ipywidgets 8, if the input has a label;
    one that the label holds itself is.
    """
    box.description_allow_html = True
    box.description = f'<span title="{escape(tooltip)}">{escape(words)}</span>'
    box.tooltip = tooltip


def words_of(box: Any) -> str:
    """The words of an input's label."""
    if not box.description_allow_html:
        return str(box.description)
    return unescape(re.sub("<[^>]*>", "", box.description))
