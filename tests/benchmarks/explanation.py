"""Explaining a visit: coil, refrigerant side, expectation and findings with 100,000 draws, and what a slider waits for.

A slider's step is everything that runs when it is turned but for sending the picture to the browser.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks import Figure, best_time

DRAWS = 100_000
TARGET = 2.0  # s, on two threads
LIVE = 0.150  # s, a slider's new picture
DATA = Path(__file__).parents[2] / "data"


def measure() -> Iterator[Figure]:
    """Both demos, then both panels."""
    from airside.compare.explanation import explain
    from airside.visit.load import load_visit
    from airside.visit.uncertainty import visit_uncertainty

    threads = os.environ.get("AIRSIDE_THREADS")
    os.environ["AIRSIDE_THREADS"] = "2"
    try:
        for room in ("reading_room", "bakery"):
            visit = load_visit(DATA / room / "before.toml")
            seconds = best_time(lambda v=visit: explain(visit_uncertainty(v, count=DRAWS)).to_dict(), 5)  # type: ignore[misc]
            yield Figure(f"explain, {DRAWS:,} draws, {room}, draws too, 2 threads", seconds, "s", at_most=TARGET)
        yield from _coil_panel()
        yield from _refrigerant_panel()
    finally:
        if threads is None:
            del os.environ["AIRSIDE_THREADS"]
        else:
            os.environ["AIRSIDE_THREADS"] = threads


def _coil_panel() -> Iterator[Figure]:
    from airside.show.panels.coil import CoilPanel

    panel = CoilPanel(DATA / "reading_room" / "before.toml")
    places = iter([95.0, 105.0] * 10)

    def step() -> None:
        panel.airflow.value = next(places)

    step()
    yield Figure("coil panel, a step of the airflow slider", best_time(step, 7), "s", at_most=LIVE)


def _refrigerant_panel() -> Iterator[Figure]:
    from airside.compare.explanation import explain
    from airside.show.panels.refrigerant import LIVE_DRAWS, RefrigerantPanel
    from airside.show.psychrometric import figure_bytes
    from airside.show.refrigerant import refrigerant_chart
    from airside.visit.load import visit_from_data
    from airside.visit.uncertainty import visit_uncertainty

    panel = RefrigerantPanel(DATA / "reading_room" / "before.toml")
    folder = DATA / "reading_room" / "panel.toml"

    def figures() -> None:
        explain(visit_uncertainty(visit_from_data(panel.data(), "panel", path=folder), count=LIVE_DRAWS))

    side = panel.explanation.refrigerant if panel.explanation is not None else None
    assert side is not None
    yield Figure(f"refrigerant panel, figures of {LIVE_DRAWS:,} draws", best_time(figures, 7), "s", at_most=LIVE)
    yield Figure(
        "refrigerant panel, its picture",
        best_time(lambda: figure_bytes(refrigerant_chart(side, units="IP"), "png", dpi=95), 7), "s",
    )  # fmt: skip
    yield Figure("refrigerant panel, a whole step", best_time(panel.refresh, 7), "s")
