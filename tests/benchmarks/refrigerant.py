"""Speed of the refrigerant side: kernels over a million pressures, and against CoolProp one state at a time."""

from __future__ import annotations

import os
from collections.abc import Iterator

import numpy as np

from airside.refrigerant import cycle, properties, saturation
from tests.benchmarks import Figure, best_time

PRESSURES = 1_000_000
DRAWS = 100_000
# CoolProp takes part of a millisecond for a state: a part must do.
COOLPROP_PRESSURES = 2_000
TARGET = 3.0  # s, a million pressures


def measure() -> Iterator[Figure]:
    """A blend with glide throughout: it has both curves."""
    os.environ["AIRSIDE_THREADS"] = "1"
    random = np.random.default_rng(2026)
    pressures = random.uniform(4e5, 2.5e6, PRESSURES)
    kernels = {
        "dew and bubble temperature": lambda: saturation.glide("R-454B", pressures),
        "superheat": lambda: cycle.superheat("R-454B", pressures, 20.0, 83e3),
        "dew pressure": lambda: saturation.dew_pressure("R-454B", random.uniform(-30.0, 60.0, PRESSURES)),
        "vapour enthalpy": lambda: properties.vapour_enthalpy("R-454B", 70.0, pressures, impossible="nan"),
        "liquid enthalpy": lambda: properties.liquid_enthalpy("R-454B", -20.0, pressures, impossible="nan"),
    }
    for name, kernel in kernels.items():
        yield Figure(f"{name}, a million pressures, 1 thread", best_time(kernel, 3), "s", at_most=TARGET)
    yield Figure(
        "cycle with discharge, 100,000 draws, 1 thread", best_time(_cycle_of_draws(random), 5), "s", at_most=0.5
    )
    yield from _against_coolprop(pressures)
    del os.environ["AIRSIDE_THREADS"]


def _cycle_of_draws(random: np.random.Generator):  # type: ignore[no-untyped-def]
    draws = {
        "suction_pressure": random.normal(8.2e5, 1e4, DRAWS), "suction_temperature": random.normal(11.0, 1.0, DRAWS),
        "liquid_pressure": random.normal(2.5e6, 2e4, DRAWS), "liquid_temperature": random.normal(36.0, 1.0, DRAWS),
        "discharge_temperature": random.normal(75.0, 1.0, DRAWS), "barometric_pressure": random.normal(83e3, 300.0, DRAWS),
    }  # fmt: skip
    return lambda: cycle.cycle_points("R-454B", **draws, impossible="nan")


def _against_coolprop(pressures: np.ndarray) -> Iterator[Figure]:
    from CoolProp.CoolProp import PropsSI

    for ours, theirs in (("R-410A", "R410A"), ("R-32", "R32"), ("R-454B", "R454B.mix")):
        some = [float(p) for p in pressures[: COOLPROP_PRESSURES // 10 if ".mix" in theirs else COOLPROP_PRESSURES]]

        def loop(some: list[float] = some, theirs: str = theirs) -> None:
            for p in some:
                PropsSI("T", "P", p, "Q", 1, theirs)

        each = best_time(loop, 2) / len(some)
        mine = best_time(lambda ours=ours: saturation.dew_temperature(ours, pressures), 5) / PRESSURES  # type: ignore[misc]
        yield Figure(f"{ours} dew temperature, CoolProp PropsSI", 1e9 * each, "ns")
        yield Figure(f"{ours} dew temperature, airside, 1 thread", 1e9 * mine, "ns")
        yield Figure(f"{ours} dew temperature, against CoolProp", each / mine, "times", at_least=100.0)
