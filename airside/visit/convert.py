"""Turn a visit from one unit system into the other, or back into what its file holds; texts with a unit stay."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, get_args

from airside.units import UnitSystem, to_input, to_inside
from airside.visit.problems import model_of
from airside.visit.schema import Visit


def kind_of(annotation: Any, metadata: Any = ()) -> str | None:
    """Kind of quantity of a field of the schema, read off its validators; None for words and tables."""
    for item in metadata:
        kind = getattr(getattr(item, "func", None), "kind", None)
        if kind is not None:
            return str(kind)
        inner = kind_of(None, getattr(item, "__metadata__", ()))
        if inner is not None:
            return inner
    for part in get_args(annotation):
        inner = kind_of(part, getattr(part, "__metadata__", ()))
        if inner is not None:
            return inner
    return None


def convert_data(data: Mapping[str, Any], units: UnitSystem) -> dict[str, Any]:
    """A visit's nested dictionaries with bare numbers in another unit system.

    Parameters
    ----------
    data : mapping
        As the file holds it; its ``units`` says what bare numbers mean.
    units : "IP" or "SI"

    Returns
    -------
    dict
    """
    before: UnitSystem = data["units"]
    if before == units:
        return dict(data)
    return {**_turned(data, lambda v, kind: to_input(to_inside(v, kind, before), kind, units)), "units": units}


def visit_data(visit: Visit) -> dict[str, Any]:
    """A visit as nested dictionaries, as its file would hold them: the inverse of `visit_from_data`.

    Bare numbers are in the units of the visit's file; only what was given is there.

    Parameters
    ----------
    visit : Visit

    Returns
    -------
    dict
    """
    units = visit.table_units
    inside = visit.model_dump(by_alias=True, exclude_unset=True, exclude_none=True)
    # Validation has filled in nothing but these, which every file holds.
    inside = {"format": visit.format, **inside, "units": units}
    return _turned(inside, lambda v, kind: to_input(v, kind, units))


def _turned(data: Mapping[str, Any], turn: Callable[[float, str], Any]) -> dict[str, Any]:
    """Nested dictionaries with each bare number turned, by its kind of quantity."""

    def number(value: Any, kind: str) -> Any:
        if isinstance(value, (list, tuple)):
            return [number(v, kind) for v in value]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return value
        # Ten digits: far below any reading's resolution, and no rounding tail in the file.
        return float(f"{turn(float(value), kind):.10g}")

    def table(content: Mapping[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
        model = model_of(path, data)
        fields = {} if model is None else {f.alias or n: f for n, f in model.model_fields.items()}
        found: dict[str, Any] = {}
        for key, value in content.items():
            if isinstance(value, Mapping):
                found[key] = table(value, (*path, key))
                continue
            field = fields.get(key)
            kind = None if field is None else kind_of(field.annotation, field.metadata)
            # The model's tuples are lists in the file.
            value = list(value) if isinstance(value, tuple) else value
            found[key] = value if kind is None else number(value, kind)
        return found

    return table(data, ())
