"""Picture of a side-by-side check: the differences of two probes, pair by pair, and what their mean is worth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from airside.instruments.side_by_side import Offset
from airside.show.palette import MARKERS, THEMES, Theme
from airside.units import KINDS, UnitSystem, difference_from_inside

# Kind and label of each quantity that is compared.
QUANTITIES = {"dry_bulb": ("temperature", "Dry bulb"), "relative_humidity": ("relative_humidity", "Relative humidity")}


def side_by_side_chart(
    readings: Mapping[str, tuple[list[float], list[float]]],
    offsets: Mapping[str, Offset],
    *,
    units: UnitSystem,
    theme: Theme = "light",
) -> Any:
    """Differences of two probes, one picture for each quantity.

    Parameters
    ----------
    readings : mapping of str to (list of float, list of float) [inside unit]
        Of the first and of the second probe, by quantity.
    offsets : mapping of str to Offset
    units : "IP" or "SI"
    theme : "light" or "dark"

    Returns
    -------
    matplotlib Figure
    """
    from matplotlib.figure import Figure

    from airside.show.kept_text import KeptTextCanvas

    colours = THEMES[theme]
    figure = Figure(figsize=(6.6, 2.3 * len(readings) + 0.5), facecolor=colours.paper)
    KeptTextCanvas(figure)
    axes = None
    for position, (quantity, (first, second)) in enumerate(readings.items(), 1):
        kind, label = QUANTITIES[quantity]
        axes = figure.add_subplot(len(readings), 1, position)
        axes.set_facecolor(colours.paper)
        found = offsets[quantity]
        difference = difference_from_inside(np.asarray(second) - np.asarray(first), kind, units)
        middle, doubt = (
            float(difference_from_inside(v, kind, units)) for v in (found.offset, found.standard_uncertainty)
        )
        x = np.arange(1, len(difference) + 1)
        axes.axhspan(middle - 2 * doubt, middle + 2 * doubt, color=colours.series[2], alpha=0.25, linewidth=0)
        axes.axhline(middle, color=colours.series[2], linewidth=1.6)
        axes.axhline(0, color=colours.ink, linewidth=0.8, linestyle=(0, (2, 2)))
        axes.plot(x, difference, linestyle="none", marker=MARKERS[0], color=colours.series[0])
        axes.text(
            1.005, middle, "mean", transform=axes.get_yaxis_transform(), fontsize=9, color=colours.ink, va="center"
        )
        unit = KINDS["temperature_difference" if kind == "temperature" else kind].display(units).label
        axes.set_ylabel(f"{label}\nsecond less first, {unit}", fontsize=9, color=colours.ink)
        axes.set_xticks(x if len(x) <= 20 else x[:: len(x) // 10])
        axes.tick_params(colors=colours.ink, labelsize=9)
        for side, spine in axes.spines.items():
            spine.set_visible(side in ("bottom", "left"))
            spine.set_color(colours.ink)
    if axes is not None:
        axes.set_xlabel(
            "Pair of readings. The band: the mean ± twice its standard uncertainty", fontsize=9, color=colours.ink
        )
    figure.tight_layout()
    return figure
