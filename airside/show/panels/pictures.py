"""The psychrometric chart in the size of a panel's picture: its words stay readable in a window of 900 px."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from airside.air.state import MoistAir
from airside.show.palette import THEMES, Theme
from airside.show.psychrometric import Process, new_axes, psychrometric_chart
from airside.units import UnitSystem
from airside.visit.analysis import VisitResult

# Inches; shown at 430 px, letters of 9 points are 9 px high.
SIZE = (6.0, 5.2)


def panel_chart(
    processes: Sequence[Process],
    units: UnitSystem,
    theme: Theme,
    *,
    states: Sequence[tuple[str, MoistAir]] = (),
    scales: bool = False,
) -> Any:
    """A psychrometric chart for a panel; gives the figure."""
    axes = new_axes(THEMES[theme], SIZE, scales=scales)
    psychrometric_chart(processes, states=states, units=units, theme=theme, scales=scales, axes=axes)
    return axes.figure


def visit_picture(result: VisitResult, units: UnitSystem, theme: Theme, *, title: str | None = None) -> Any:
    """The chart of one visit: for a panel, or with a title in full size for a file; gives the figure."""
    measured = None if result.doubt is None else result.doubt.measured
    process = Process(
        result.return_air, result.supply_air, start_draws=None if measured is None else measured.return_air,
        end_draws=None if measured is None else measured.supply_air,
    )  # fmt: skip
    if title is None:
        return panel_chart([process], units, theme, scales=True)
    return psychrometric_chart([process], units=units, theme=theme, title=title).figure
