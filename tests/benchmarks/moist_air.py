"""Speed of moist air: the full row against psychrolib with numba, the wet bulb against CoolProp."""

from __future__ import annotations

import os
from collections.abc import Iterator

import numpy as np

import airside
from tests.benchmarks import Figure, best_time
from tests.benchmarks.cooling_rows import ROWS, Arrays, by_airside, by_psychrolib, readings

REPEATS = 15
# CoolProp takes part of a millisecond for a wet bulb: a part of the rows must do.
COOLPROP_ROWS = 2_000


def measure() -> Iterator[Figure]:
    """Ratios of the others' time to airside's."""
    import psychrolib

    if not psychrolib.has_numba:
        raise SystemExit("numba is missing: without it psychrolib is no fair reference (pip install -e '.[test]')")
    psychrolib.SetUnitSystem(psychrolib.SI)
    given = readings()
    # Compile, and see that both compute the same.
    _compare(by_airside(readings(100_000)), by_psychrolib(readings(100_000)))
    theirs = best_time(lambda: by_psychrolib(given), 3)
    yield Figure("full row, psychrolib with numba", 1e9 * theirs / ROWS, "ns/row")
    for threads, target in ((1, 8.0), (2, 12.0)):
        os.environ["AIRSIDE_THREADS"] = str(threads)
        by_airside(given)
        ours = best_time(lambda: by_airside(given), REPEATS)
        name = f"full row, airside, {threads} thread{'s' if threads > 1 else ''}"
        yield Figure(name, 1e9 * ours / ROWS, "ns/row")
        yield Figure(f"{name}, against psychrolib", theirs / ours, "times", at_least=target)
    os.environ["AIRSIDE_THREADS"] = "1"
    yield from _against_coolprop(given)
    del os.environ["AIRSIDE_THREADS"]


def _against_coolprop(given: Arrays) -> Iterator[Figure]:
    from CoolProp.HumidAirProp import HAPropsSI

    state = airside.MoistAir.from_relative_humidity(given["t1"], given["rh1"], given["p"])
    ours = best_time(lambda: airside.air.properties.wet_bulb(state.dry_bulb, state.humidity_ratio, state.pressure), 5)
    some = [tuple(float(v) for v in row) for row in zip(given["t1"], given["rh1"], given["p"], strict=True)]
    some = some[:COOLPROP_ROWS]

    def coolprop() -> None:
        for t, rh, p in some:
            HAPropsSI("Twb", "T", t + 273.15, "R", rh, "P", p)

    theirs = best_time(coolprop, 3) / COOLPROP_ROWS
    yield Figure("return wet bulb, CoolProp HAPropsSI", 1e9 * theirs, "ns/row")
    yield Figure("return wet bulb, airside, 1 thread", 1e9 * ours / ROWS, "ns/row")
    yield Figure("return wet bulb, against CoolProp", theirs / (ours / ROWS), "times", at_least=500.0)


def _compare(ours: Arrays, theirs: Arrays) -> None:
    for name, values in ours.items():
        if name in ("wet_bulb", "dew_point_1", "dew_point_2"):
            # psychrolib stops at 1e-3 K; around 0 °C it may take the other branch of the wet bulb.
            same = (np.abs(values) > 1.0) if name == "wet_bulb" else np.full(values.shape, True)
            np.testing.assert_allclose(values[same], theirs[name][same], rtol=0, atol=1e-3, err_msg=name)
        else:
            scale = np.abs(theirs["total"]).max() if name in ("total", "sensible", "latent") else 1.0
            np.testing.assert_allclose(values, theirs[name], rtol=1e-9, atol=1e-12 * scale, err_msg=name)
