"""Peak memory of the full row, over its inputs and outputs, as the operating system counts it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks import Figure
from tests.benchmarks.peak_memory import peak_memory


def measure() -> Iterator[Figure]:
    """In a process of its own, so that nothing else has raised the peak."""
    for threads in (1, 2):
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.memory"],
            capture_output=True, text=True, check=True, env={**os.environ, "AIRSIDE_THREADS": str(threads)},
            cwd=Path(__file__).parents[2],
        )  # fmt: skip
        name = f"peak over inputs and outputs, {threads} thread{'s' if threads > 1 else ''}"
        yield Figure(name, float(done.stdout), "times", at_most=2.0)


def _growth_over_size() -> float:
    from tests.benchmarks.cooling_rows import by_airside, readings

    # Load the code; what it takes is not the arrays' business.
    by_airside(readings(1_000))
    before = peak_memory()
    given = readings()
    found = by_airside(given)
    size = sum(a.nbytes for a in (*given.values(), *found.values()))
    return (peak_memory() - before) / size


if __name__ == "__main__":
    print(_growth_over_size())
