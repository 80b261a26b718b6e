"""Coverage of 95 % intervals on 500 simulated pairs of periods with a known change: ``python -m tests.benchmarks.long_run``."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from airside.compare.long_run import long_run
from airside.errors import ComparisonError

sys.path.append(str(Path(__file__).parents[1] / "compare"))
from simulated_periods import pair

GAIN, FALL = 0.06, -0.04
TRUE = {"change_total": GAIN, "change_power": FALL, "change_efficiency": (1 + GAIN) / (1 + FALL) - 1}
SETTINGS = {
    "correlation 0.5, 6 days": {"rho": 0.5},
    "correlation 0, 6 days": {"rho": 0.0},
    "correlation 0.8, 6 days": {"rho": 0.8},
    "correlation 0.5, 20 days": {"rho": 0.5, "days": 20},
    "correlation 0.7, other instruments": {"rho": 0.7, "shared": False},
}


def main(count: int = 500) -> None:
    """Print the share of intervals that hold the truth, for each setting and figure."""
    for name, both in SETTINGS.items():
        begin, held, seen, widths, said = time.perf_counter(), dict.fromkeys(TRUE, 0), 0, [], 0
        for seed in range(count):
            before, after = pair(seed, after={"change": GAIN, "power_change": FALL}, **both)
            try:
                found = long_run(before, after)
            except ComparisonError:
                continue
            seen += 1
            widths.append(np.diff(found.change.interval_95)[0])
            said += bool({"drift", "uneven_change", "one_day_decides"} & {w.code for w in found.warnings})
            for figure, value in TRUE.items():
                low, high = found.estimates[figure].interval_95
                held[figure] += low <= value <= high
        shares = ", ".join(f"{figure} {share / seen:.1%}" for figure, share in held.items())
        print(
            f"{name}: {seen} of {count} pairs; {shares}; mean width of total {np.mean(widths):.1%}; drift or day said without "
            f"cause {said / seen:.1%}; {(time.perf_counter() - begin) / count * 1e3:.0f} ms a pair"
        )


if __name__ == "__main__":
    main()
