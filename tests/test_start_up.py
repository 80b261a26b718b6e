"""``import airside`` stays quick: what is heavy loads where it is used. Times are benchmarks, not tests."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("matplotlib", "CoolProp", "pandas", "IPython", "pint", "psychrolib", "ipywidgets", "scipy", "pydantic", "rich")


@pytest.mark.parametrize(
    "code",
    [
        "import airside",
        "import airside; airside.MoistAir.from_relative_humidity(24.0, 0.5, 83e3).wet_bulb",
        "import airside; a = airside.MoistAir.from_relative_humidity(24.0, 0.5, 83e3); airside.delivered_capacity(a, a, 1)",
    ],
    ids=["import", "state", "capacity"],
)
def test_nothing_heavy_is_loaded(code: str) -> None:
    show = f"import sys; {code}; print(*(m for m in {HEAVY!r} if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", show], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
