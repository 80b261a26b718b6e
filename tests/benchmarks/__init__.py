"""Benchmarks: ``python -m tests.benchmarks`` prints each figure beside its target.

A module in this folder that has a function ``measure()``, yielding `Figure`, is a benchmark: to add
one, add the module, named for what it measures. Tests never time, and pytest collects nothing here.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Figure:
    """One measured number, and the target that it must meet.

    Attributes
    ----------
    name : str
    value : float
    unit : str
    at_least, at_most : float, optional
        The target; a figure without one is printed for information.
    """

    name: str
    value: float
    unit: str
    at_least: float | None = None
    at_most: float | None = None

    @property
    def met(self) -> bool:
        """Whether the target is met; true without one."""
        if self.at_least is not None and not self.value >= self.at_least:
            return False
        return self.at_most is None or self.value <= self.at_most

    @property
    def verdict(self) -> str:
        """The target in words, and whether it is met."""
        if self.at_least is None and self.at_most is None:
            return ""
        side, target = ("at least", self.at_least) if self.at_least is not None else ("at most", self.at_most)
        return f"{side} {target:g}: {'pass' if self.met else 'FAIL'}"


def best_time(function: Callable[[], Any], repeats: int) -> float:
    """Shortest wall time [s] of several runs: what else the machine does only lengthens them."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)
