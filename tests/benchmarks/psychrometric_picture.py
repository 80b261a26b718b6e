"""Drawing the psychrometric chart: from states to the bytes of a PNG, as a panel does at each step of a slider."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from tests.benchmarks import Figure, best_time

WINDOW, FULL = 0.150, 0.400  # s
DPI = 110
REPEATS = 9


def measure() -> Iterator[Figure]:
    """The window and the full chart in both unit systems, then the window with all that can be asked for."""
    import numpy as np

    from airside.air.state import MoistAir
    from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart

    turn = count()

    def process(**more: MoistAir) -> Process:
        # The state moves with each run, as under a slider.
        warm = MoistAir.from_relative_humidity(24.0 + 0.1 * (next(turn) % 10), 0.46, 83e3)
        return Process(warm, MoistAir.from_relative_humidity(13.0, 0.85, 83e3), "before", **more)

    for view, target in (("states", WINDOW), ("full", FULL)):
        for units in ("IP", "SI"):
            for quick in (False, True):

                def picture(view=view, units=units, quick=quick) -> bytes:  # type: ignore[no-untyped-def]
                    axes = psychrometric_chart([process()], view=view, units=units)
                    return figure_bytes(axes.figure, "png", dpi=DPI, quick=quick)

                picture()
                name = f"{'window' if view == 'states' else 'full chart'}, {units}, PNG{', quick' if quick else ''}"
                yield Figure(name, best_time(picture, REPEATS), "s", at_most=target)
    spread = np.random.default_rng(1).normal(size=(2, 10_000))
    draws = MoistAir(24.5 + 0.3 * spread[0], 0.0108 + 0.0003 * spread[1], 83e3)
    apparatus = MoistAir.from_relative_humidity(10.97, 1.0, 83e3)

    def everything() -> bytes:
        drawn = process(start_draws=draws, apparatus_dew_point=apparatus)
        return figure_bytes(psychrometric_chart([drawn], protractor=True, title="A unit").figure, "png", dpi=DPI)

    everything()
    yield Figure("window, ellipse, coil line and protractor", best_time(everything, REPEATS), "s")
