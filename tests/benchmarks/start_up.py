"""Wall time of ``import airside`` and of ``airside --help``, warm, each in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks import Figure, best_time

TARGET = 0.4  # s


def measure() -> Iterator[Figure]:
    """Best of five runs; the first run warms the file cache."""
    script = Path(sys.executable).with_name("airside")
    commands = {
        "python alone": ([sys.executable, "-c", ""], None),
        "import airside": ([sys.executable, "-c", "import airside"], TARGET),
        "a first state": (
            [sys.executable, "-c", "import airside; airside.MoistAir.from_relative_humidity(24, 0.5, 83e3).wet_bulb"],
            None,
        ),
        "airside --help": ([str(script), "--help"], TARGET),
    }
    for name, (command, target) in commands.items():
        if not Path(command[0]).exists():
            raise SystemExit(f"{command[0]} is missing: install the project first (pip install -e '.[test]')")

        def run(command: list[str] = command) -> None:
            subprocess.run(command, check=True, capture_output=True)

        run()
        yield Figure(name, best_time(run, 5), "s", at_most=target)
