"""A panel's settings as a visit file holds them, in its table ``[panel.KEY]``: each with its SI unit, so that it means the
same in both systems."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from airside.errors import Problem, UnitError, VisitError
from airside.show.panels.fields import ChoiceField, Field
from airside.show.panels.slider import SliderField
from airside.show.panels.ticks import Tick
from airside.units import KINDS, parse


def saved_setting(setting: SliderField | Field | Tick) -> Any:
    """A setting as a visit file holds it."""
    if not isinstance(setting, SliderField):
        return setting.value()
    inside = KINDS[setting.kind].inside
    return f"{setting.value:.10g} {inside}" if inside else float(f"{setting.value:.10g}")


def take_setting(setting: SliderField | Field | Tick, value: bool | float | str) -> None:
    """Put a setting where a visit file says that it was.

    Raises
    ------
    UnitError
        The file's value is none that the setting can have; the setting stays.
    """
    if isinstance(setting, SliderField):
        kind = KINDS[setting.kind]
        if isinstance(value, bool) or not math.isfinite(found := _number(value, setting.kind)):
            raise UnitError(f"found {str(value).lower()}; expected a number such as {kind.example}.")
        setting.value = found
        return
    if isinstance(setting, Tick) and not isinstance(value, bool):
        raise UnitError(f'found "{value}"; expected true or false.')
    if isinstance(setting, ChoiceField) and value not in setting.options:
        raise UnitError(f'found "{value}"; expected one of {", ".join(setting.options)}.')
    setting.take(value)


def _number(value: float | str, kind: str) -> float:
    return parse(value, kind) if isinstance(value, str) else float(value)


def take_settings(
    settings: Mapping[str, SliderField | Field | Tick], table: Mapping[str, Any], path: str, file: str
) -> None:
    """Put every setting that a file's table names where it was.

    Raises
    ------
    VisitError
        The file gives a setting what it cannot be.
    """
    for key, setting in settings.items():
        if table.get(key) is None:
            continue
        try:
            take_setting(setting, table[key])
        except UnitError as error:
            raise VisitError(file, [Problem(str(error), f"{path}.{key}")]) from None
