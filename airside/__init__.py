"""airside: delivered cooling capacity from duct readings, with its doubt.

Public names load on first use, so that ``import airside`` stays quick: matplotlib, CoolProp,
pandas and Jupyter come in only where they are needed. Numbers are SI, scalars or arrays.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_HOMES = {
    "AirsideError": "airside.errors",
    "Airflow": "airside.airflow",
    "Capacity": "airside.air.process",
    "MoistAir": "airside.air.state",
    "analyse": "airside.visit.analysis",
    "compare": "airside.compare.change",
    "crosscheck": "airside.air.crosscheck",
    "delivered_capacity": "airside.air.process",
    "explain": "airside.compare.explanation",
    "load_logged": "airside.visit.logs.logged_visit",
    "load_visit": "airside.visit.load",
    "long_run": "airside.compare.long_run",
    "mix": "airside.air.process",
    "plan": "airside.compare.planning",
    "psychrometric_chart": "airside.show.psychrometric",
}

if TYPE_CHECKING:
    from airside.air.crosscheck import crosscheck
    from airside.air.process import Capacity, delivered_capacity, mix
    from airside.air.state import MoistAir
    from airside.airflow import Airflow
    from airside.compare.change import compare
    from airside.compare.explanation import explain
    from airside.compare.long_run import long_run
    from airside.compare.planning import plan
    from airside.errors import AirsideError
    from airside.show.psychrometric import psychrometric_chart
    from airside.visit.analysis import analyse
    from airside.visit.load import load_visit
    from airside.visit.logs.logged_visit import load_logged

__all__ = [
    "Airflow",
    "AirsideError",
    "Capacity",
    "MoistAir",
    "__version__",
    "analyse",
    "compare",
    "crosscheck",
    "delivered_capacity",
    "explain",
    "load_logged",
    "load_visit",
    "long_run",
    "mix",
    "plan",
    "psychrometric_chart",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'airside' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
