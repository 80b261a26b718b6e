"""pydantic's findings as sentences: file, table, field, what stood there, what was expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any, get_args, get_origin

from airside.errors import Problem
from airside.units import UnitSystem
from airside.visit.accuracy_schema import Table
from airside.visit.quantities import expected, found
from airside.visit.schema import EVIDENCE, TABLES


def model_of(path: tuple[str, ...], data: Any) -> type[Table] | None:
    """The model that describes a table of the file, by its path; None for an unknown one."""
    if path == ("airflow",):
        method = data.get("airflow", {}).get("method") if isinstance(data.get("airflow"), Mapping) else None
        return EVIDENCE.get(method) if isinstance(method, str) else None
    for pattern, model in TABLES.items():
        if len(pattern) == len(path) and all(a in ("*", b) for a, b in zip(pattern, path, strict=True)):
            return model
    return None


def _known_keys(model: type[Table]) -> list[str]:
    return [f.alias or name for name, f in model.model_fields.items() if not f.exclude]


def nearest(word: str, known: Sequence[str]) -> str:
    """The known word that was probably meant, or all of them, as the end of a sentence."""
    near = get_close_matches(word.casefold(), [k.casefold() for k in known], n=1, cutoff=0.6)
    for k in known:
        if near and k.casefold() == near[0]:
            return f' Did you mean "{k}"?'
    return f" Known here: {', '.join(known)}." if known else ""


def _wanted(model: type[Table] | None, key: str, path: tuple[str, ...], units: UnitSystem) -> str:
    """What a missing field should hold, as its annotation says."""
    # convert reads this module, so it is named here alone.
    from airside.visit.convert import kind_of

    if path in TABLES or path == ("airflow",):
        return f"a table [{'.'.join(path)}]"
    fields = {} if model is None else {f.alias or name: f for name, f in model.model_fields.items()}
    if key not in fields:
        return "it to be given"
    field = fields[key]
    choices = [c for c in get_args(field.annotation) if isinstance(c, str)]
    if choices:
        return f"{'one of ' if len(choices) > 1 else ''}{', '.join(found(c) for c in choices)}"
    kind = kind_of(field.annotation, field.metadata)
    if get_origin(field.annotation) is tuple and kind is None:
        return 'the names of two, such as ["probe_1", "probe_2"]'
    if kind is None:
        return "text in quotes"
    several = get_origin(field.annotation) is tuple
    return expected(kind, units) + (", or a list of them" if several else "")


def _sentence(error: Mapping[str, Any], path: tuple[str, ...], data: Any) -> str:
    units: UnitSystem = "IP" if isinstance(data, Mapping) and data.get("units") == "IP" else "SI"
    kind, value, context = error["type"], error["input"], error.get("ctx", {})
    key = path[-1] if path else ""
    if kind == "airside":
        return str(context["message"])
    if kind == "too_long" or (kind == "missing" and isinstance(error["loc"][-1], int)):
        count = context.get("actual_length", error["loc"][-1])
        return f"found {'a list of ' if count != 1 else ''}{count}; expected two, one for each probe."
    if kind == "missing":
        model = model_of(path[:-1], data)
        return f"is missing; expected {_wanted(model, key, path, units)}."
    if kind == "extra_forbidden":
        model = model_of(path[:-1], data)
        return f'unknown key "{key}".{nearest(key, _known_keys(model) if model else [])}'
    if kind in ("literal_error", "union_tag_invalid"):
        tags = [str(v).strip("'") for v in str(context.get("expected") or context["expected_tags"]).split(", ")]
        tags = [v.strip("'") for part in tags for v in part.split(" or ")]
        if kind == "union_tag_invalid":
            value = value.get("method")
        hint = get_close_matches(str(value).casefold()[:60], tags, n=1, cutoff=0.6)
        listed = ", ".join(f'"{v}"' if not v.isdigit() else v for v in tags)
        return f"found {found(value)}; expected {'one of ' if len(tags) > 1 else ''}{listed}." + (
            f' Did you mean "{hint[0]}"?' if hint and len(tags) > 1 else ""
        )
    if kind == "union_tag_not_found":
        return f"method is missing; expected one of {', '.join(repr(m) for m in EVIDENCE)}.".replace("'", '"')
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"found {found(value)}; expected a table."
    if kind.startswith("bool"):
        return f"found {found(value)}; expected true or false."
    if kind == "tuple_type" and path[-1:] == ("instruments",):
        return f'found {found(value)}; expected the names of two, such as ["probe_1", "probe_2"].'
    if kind == "tuple_type":
        return f"found {found(value)}; expected a number or a list of numbers."
    if kind == "string_type":
        return f"found {found(value)}; expected text in quotes."
    if kind == "string_too_short":
        return "found an empty text; expected a name."
    if kind.startswith(("date", "datetime")):
        return f"found {found(value)}; expected a date such as 2026-07-14, without quotes."
    return f"found {found(value)}; {error['msg']}."


def problems_from(errors: Sequence[Mapping[str, Any]], data: Any) -> list[Problem]:
    """Turn pydantic's error list into problems with sentences, each place once."""
    problems: list[Problem] = []
    seen: set[tuple[str, int | None]] = set()
    for error in errors:
        parts: list[str] = []
        row: int | None = None
        for part in error["loc"]:
            if isinstance(part, int):
                row = part + 1
            # pydantic puts the method's name and its own type names into the path.
            elif not (parts == ["airflow"] and part in EVIDENCE) and not part.startswith(("function", "tuple[")):
                parts.append("return" if part == "return_air" else part)
        path = tuple(parts)
        if path and path[0] == "date":
            path = path[:1]
        if error["type"] == "union_tag_invalid":
            path = ("airflow", "method")
        place = (".".join(path), row)
        if place in seen:
            continue
        seen.add(place)
        values = _value_count(path, data)
        problems.append(Problem(_sentence(error, path, data), place[0], row if values != 1 else None))
    return problems


def _value_count(path: tuple[str, ...], data: Any) -> int:
    for part in path:
        if not isinstance(data, Mapping) or part not in data:
            return 1
        data = data[part]
    return len(data) if isinstance(data, list) else 1
