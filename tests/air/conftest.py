"""Random states, and psychrolib set up once: with numba it compiles anew whenever its units are set."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import psychrolib
import pytest


@pytest.fixture(scope="session")
def reference() -> Callable[..., Any]:
    """Call a psychrolib function by name on arrays, in SI."""
    # Not GetUnitSystem(): with numba installed it crashes the interpreter.
    if psychrolib.PSYCHROLIB_UNITS is not psychrolib.SI:
        psychrolib.SetUnitSystem(psychrolib.SI)

    def call(name: str, *arguments: Any) -> Any:
        function = getattr(psychrolib, name)
        if not psychrolib.has_numba:
            function = np.vectorize(function, otypes=[np.float64])
        return function(*arguments)

    return call


@pytest.fixture(scope="session")
def states() -> dict[str, Any]:
    """10,000 random states over the whole range: -40 to 60 °C, 60 to 110 kPa, dry to saturated."""
    random = np.random.default_rng(20_170_101)
    n = 10_000
    return {
        "t": random.uniform(-40.0, 60.0, n),
        # psychrolib puts humidity ratios below 1e-7 up to 1e-7: stay above.
        "rh": random.uniform(0.01, 1.0, n),
        "p": random.uniform(60e3, 110e3, n),
    }
