"""How the parts of a lesson look: one small style sheet over Jupyter's own colours, and the pieces they share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from airside.show.panels.shared import plain_layout

STYLE = """<style>
.airside-exercise, .airside-example, .airside-lesson-picture, .airside-progress {max-width: 860px; overflow: visible;
  border: 1px solid var(--jp-border-color2, #bbb); padding: 8px 14px 10px; margin: 4px 0 10px}
.airside-lesson-picture {border: none; padding: 0}
.airside-lesson-picture img {max-width: 100%; height: auto; display: block}
.airside-lesson-picture figure {margin: 0}
.airside-lesson-picture figcaption {font-size: 13px; line-height: 1.4; margin-top: 4px}
.airside-row {display: flex; flex-flow: row wrap; align-items: center; overflow: visible}
.airside-row > button.jupyter-button {width: auto; min-width: 64px; padding: 0 12px}
.airside-row > .widget-toggle-buttons:not(:first-child) {margin-left: 14px}
.airside-row .widget-toggle-buttons {width: auto; display: flex; flex-flow: row nowrap; align-items: center; height: 30px}
.airside-row .widget-toggle-buttons label.widget-label {width: 46px; text-align: left; margin: 0; font-size: 12px}
.airside-row .widget-toggle-buttons .widget-toggle-button {box-shadow: none; line-height: 24px; height: 24px}
.airside-row .widget-toggle-buttons .mod-active {font-weight: 600; outline: 1px solid var(--jp-ui-font-color2, #666)}
.airside-words, .airside-words > .widget-html-content {height: auto; overflow: visible; line-height: 1.45; font-size: 14px}
.airside-words ol, .airside-words ul {margin: 2px 0 4px; padding-left: 26px}
.airside-words table {border-collapse: collapse; font-size: 13px}
.airside-words th, .airside-words td {text-align: left; padding: 2px 14px 2px 0; vertical-align: top}
.airside-progress td:last-child {white-space: nowrap}
.airside-words .airside-small, .airside-small > .widget-html-content {font-size: 12px}
.airside-title > .widget-html-content {font-weight: 600}
.airside-judgement {margin: 4px 0}
.airside-answer.widget-text {display: flex; flex-direction: column; align-items: stretch; width: 330px; max-width: 420px;
  height: auto}
.airside-answer > label.widget-label {width: auto; max-width: none; height: auto; text-align: left; white-space: normal;
  font-size: 13px; line-height: 1.3; margin: 0; padding: 0 0 1px; flex: none}
.airside-answer > input {width: 100%; height: 30px; flex: none; font-size: 14px}
.airside-answer.widget-radio {width: auto; max-width: 100%; height: auto; display: flex; flex-direction: column}
.airside-answer .widget-radio-box {width: auto; max-width: none; height: auto; margin: 2px 0; padding: 0; overflow: visible}
.airside-answer .widget-radio-box label {height: auto; line-height: 1.45; white-space: normal; font-size: 14px; margin: 0 0 4px;
  overflow: visible; text-overflow: clip; display: flex; flex-direction: row-reverse; justify-content: flex-end; align-items: flex-start}
.airside-answer .widget-radio-box label > input {float: none; flex: none; margin: 1px 8px 0 0}
</style>"""


def words(name: str = "", value: str = "") -> Any:
    """A piece of text: HTML of our own, with what comes from elsewhere escaped in it."""
    made = widgets.HTML(value, layout=plain_layout())
    made.add_class("airside-words")
    if name:
        made.add_class(f"airside-{name}")
    return made


def row(*parts: Any) -> Any:
    """Widgets beside each other, which wrap in a narrow window."""
    made = widgets.HBox(list(parts), layout=plain_layout())
    made.add_class("airside-row")
    return made


def box(name: str, parts: Sequence[Any]) -> Any:
    """The frame of one part of a lesson, with the style sheet in it."""
    made = widgets.VBox([words(value=STYLE), *parts], layout=plain_layout())
    made.add_class(f"airside-{name}")
    return made


def units_switch(systems: Sequence[str], value: str) -> Any:
    """The choice of units."""
    tips = {"IP": "°F, inH2O, cfm, Btu/h", "SI": "°C, Pa, L/s, kW"}
    return widgets.ToggleButtons(
        options=list(systems), value=value, tooltips=[tips[s] for s in systems], description="Units", layout=plain_layout(),
        style={"button_width": "44px", "description_width": "50px"},
    )  # fmt: skip


def button(says: str, tip: str) -> Any:
    """A button."""
    return widgets.Button(description=says, tooltip=tip, layout=plain_layout())


def paragraphs(lines: Iterable[str]) -> str:
    """Texts as HTML, escaped; a number stays with its percent sign."""
    return "".join(f"<div>{safe(line)}</div>" for line in lines)


def listed(lines: Iterable[str], *, numbered: bool = True) -> str:
    """A list as HTML, escaped; empty where there is nothing."""
    items = "".join(f"<li>{safe(line)}</li>" for line in lines)
    tag = "ol" if numbered else "ul"
    return f"<{tag}>{items}</{tag}>" if items else ""


def safe(text: str) -> str:
    """Text for HTML, escaped, with no line break between a number and its percent sign."""
    return escape(text).replace(" %", "&nbsp;%")
