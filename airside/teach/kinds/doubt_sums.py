"""Sums of doubts that the questions of lessons 8 and 9 share: the library's propagation on a few named errors."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from airside.air.blocks import Number
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import Linear, linear

GUM = "JCGM 100:2008 (GUM)"
PRACTICE = "common practice, no source"


def _error(key: str, size: float) -> NamedError:
    return NamedError(key, key, "method", size)


def combined(*sizes: float) -> float:
    """Standard uncertainty of a sum of errors that know nothing of each other, in their unit."""
    errors = [_error(str(i), size) for i, size in enumerate(sizes)]

    def total(drawn: Mapping[str, Number]) -> dict[str, Any]:
        return {"sum": sum((drawn.get(e.key, 0.0) for e in errors), 0.0)}

    return linear(total, errors, ["sum"])["sum"].standard_uncertainty


def of_product(**sizes: float) -> Linear:
    """A product of factors that are 1 at the readings, each with a relative standard uncertainty by its name."""
    errors = [_error(name, size) for name, size in sizes.items()]

    def product(drawn: Mapping[str, Number]) -> dict[str, Any]:
        found: Any = 1.0
        for error in errors:
            found = found * (1 + drawn.get(error.key, 0.0))
        return {"product": found}

    return linear(product, errors, ["product"])["product"]


def shares(**sizes: float) -> dict[str, float]:
    """Part of the variance [fraction] that each relative standard uncertainty has in a product, by its name."""
    found = of_product(**sizes)
    variance = found.standard_uncertainty**2
    return {name: (found.sensitivities.get(name, 0.0) * size) ** 2 / variance for name, size in sizes.items()}


def of_change(shared: float, before: float, after: float) -> float:
    """Standard uncertainty of a relative change: one error that both visits share, and one of each visit's own [fractions]."""
    errors = [_error("shared", shared), _error("before", before), _error("after", after)]

    def change(drawn: Mapping[str, Number]) -> dict[str, Any]:
        both: Any = 1 + drawn.get("shared", 0.0)
        one, other = (both * (1 + drawn.get(name, 0.0)) for name in ("before", "after"))
        return {"change": other / one - 1}

    return linear(change, errors, ["change"])["change"].standard_uncertainty
