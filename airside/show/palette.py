"""Colours, line styles and markers, in one place.

On screens Okabe and Ito's palette (Color Universal Design, 2008), safe for colour-blind readers; in
print black and greys. What colour says is also said by a marker, a line style or a word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Theme = Literal["light", "dark", "print"]

ORANGE, SKY, GREEN, YELLOW = "#E69F00", "#56B4E9", "#009E73", "#F0E442"
BLUE, VERMILLION, PURPLE = "#0072B2", "#D55E00", "#CC79A7"

SOLID, DASHED, DOTTED, DASH_DOT, LONG_DASHED = "solid", (0, (5, 2)), (0, (1.2, 1.6)), (0, (6, 2, 1.2, 2)), (0, (9, 3))


@dataclass(frozen=True)
class Colours:
    """Colours of one theme.

    Attributes
    ----------
    paper, ink, faint, grid : str
        Ground, text and axes, lesser text, ruled lines.
    wet_bulb, volume : str
        Lines of the psychrometric chart; those of enthalpy take the wet bulb's place.
    wet_bulb_text, volume_text : str
        Numbers on those lines, dark or light enough to be read.
    series : tuple of str
        Of what is measured, in order.
    series_styles : tuple
        Line style of each series, as matplotlib takes it. On screens all are solid; in print they
        tell the series apart.
    """

    paper: str
    ink: str
    faint: str
    grid: str
    wet_bulb: str
    volume: str
    wet_bulb_text: str
    volume_text: str
    series: tuple[str, ...]
    series_styles: tuple[Any, ...] = (SOLID,) * 5


THEMES: dict[Theme, Colours] = {
    "light": Colours(
        paper="#FFFFFF", ink="#1A1A1A", faint="#5A5A5A", grid="#C9C9C9",
        wet_bulb="#6FA8C9", volume="#B79A6A", wet_bulb_text="#2E6F95", volume_text="#7A5F28",
        series=(BLUE, VERMILLION, GREEN, PURPLE, ORANGE),
    ),
    "dark": Colours(
        paper="#16191D", ink="#F0F0F0", faint="#B4B4B4", grid="#4A4F55",
        wet_bulb="#3F6E8A", volume="#7A6640", wet_bulb_text="#86BBDA", volume_text="#C8AD78",
        series=(SKY, ORANGE, "#33C79B", "#E3A3C6", YELLOW),
    ),
    "print": Colours(
        paper="#FFFFFF", ink="#000000", faint="#404040", grid="#B4B4B4",
        wet_bulb="#8C8C8C", volume="#8C8C8C", wet_bulb_text="#404040", volume_text="#404040",
        series=("#000000", "#3C3C3C", "#5A5A5A", "#747474", "#8C8C8C"),
        series_styles=(SOLID, DASHED, DASH_DOT, DOTTED, LONG_DASHED),
    ),
}  # fmt: skip
# Marker of each series, so that a print without colour still tells them apart.
MARKERS = ("o", "s", "^", "D", "v")
