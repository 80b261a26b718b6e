"""Colours and line styles, in one place.

Okabe and Ito's palette (Color Universal Design, 2008), safe for colour-blind readers. What colour
says is also said by a marker or a word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Theme = Literal["light", "dark"]

ORANGE, SKY, GREEN, YELLOW = "#E69F00", "#56B4E9", "#009E73", "#F0E442"
BLUE, VERMILLION, PURPLE = "#0072B2", "#D55E00", "#CC79A7"


@dataclass(frozen=True)
class Colours:
    """Colours of one theme."""

    paper: str
    ink: str
    faint: str
    grid: str
    wet_bulb: str
    volume: str
    series: tuple[str, ...]


THEMES: dict[Theme, Colours] = {
    "light": Colours("#FFFFFF", "#1A1A1A", "#5A5A5A", "#C9C9C9", "#6FA8C9", "#B79A6A",
                     (BLUE, VERMILLION, GREEN, PURPLE, ORANGE)),
    "dark": Colours("#16191D", "#F0F0F0", "#B4B4B4", "#4A4F55", "#3F6E8A", "#7A6640",
                    (SKY, ORANGE, "#33C79B", "#E3A3C6", YELLOW)),
}  # fmt: skip
# Marker of each series, so that a print without colour still tells them apart.
MARKERS = ("o", "s", "^", "D", "v")
