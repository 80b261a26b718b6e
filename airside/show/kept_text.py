"""A canvas that draws each word once: most of a picture's time goes into letters, and while a slider is drawn nearly
all of its words stay the same.

The shape of a text of one font, size and turn is kept and put where it is wanted, on a whole pixel. What is kept
changes nothing in the picture: a text is drawn in this way the first time too.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg

from airside.air.blocks import Array

# Texts and sizes of texts that are kept: some hundred pictures' worth.
MOST = 4000

Key = tuple[Any, ...]
# matplotlib's renderer has no types.
_Agg: Any = RendererAgg


class _Kept(OrderedDict[Key, Any]):
    """The last so many values by their keys."""

    def found(self, key: Key) -> Any:
        value = self.get(key)
        if value is not None:
            self.move_to_end(key)
        return value

    def keep(self, key: Key, value: Any) -> Any:
        self[key] = value
        if len(self) > MOST:
            self.popitem(last=False)
        return value


_SHAPES, _SIZES = _Kept(), _Kept()


def _font(prop: Any, dpi: float) -> Key:
    """What makes a font: `FontProperties` may be changed, so they are no key themselves."""
    return (
        tuple(prop.get_family()), prop.get_style(), prop.get_variant(), prop.get_weight(), prop.get_stretch(),
        prop.get_size_in_points(), prop.get_file(), dpi,
    )  # fmt: skip


class KeptTextRenderer(RendererAgg):
    """Agg, but for plain texts, whose shapes and sizes are kept."""

    def get_text_width_height_descent(self, s: str, prop: Any, ismath: Any) -> Any:
        """Size of a text in pixels."""
        if ismath:
            return _Agg.get_text_width_height_descent(self, s, prop, ismath)
        key = (s, *_font(prop, self.dpi))
        return _SIZES.found(key) or _SIZES.keep(key, _Agg.get_text_width_height_descent(self, s, prop, ismath))

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any = False, mtext: Any = None
    ) -> None:
        """Put a text at a place in pixels from the upper left corner."""
        if ismath or not gc.get_antialiased() or not s.strip():
            _Agg.draw_text(self, gc, x, y, s, prop, angle, ismath, mtext)
            return
        # A turn is kept to a tenth of a degree: a long word's end moves by less than a pixel.
        turn = round(angle, 1)
        key = (s, turn, *_font(prop, self.dpi))
        shape, left, bottom = _SHAPES.found(key) or _SHAPES.keep(key, self._shape(gc, s, prop, turn))
        if shape.size:
            self._renderer.draw_text_image(shape, round(x) + left, round(y) + bottom, 0, gc)

    def _shape(self, gc: Any, text: str, prop: Any, turn: float) -> tuple[Array, int, int]:
        """How much of each pixel a text covers [0 to 255], and where its lower left corner is from its origin."""
        of: Any = self
        width, height, _ = of.get_text_width_height_descent(text, prop, False)
        reach = math.ceil(math.hypot(width, height)) + 8
        sheet = _Agg(2 * reach, 2 * reach, self.dpi)
        ink = sheet.new_gc()
        ink.set_foreground((0.0, 0.0, 0.0))
        ink.set_antialiased(gc.get_antialiased())
        sheet.draw_text(ink, reach, reach, text, prop, turn)
        covered = np.asarray(sheet.buffer_rgba())[..., 3]
        rows, columns = np.flatnonzero(covered.any(axis=1)), np.flatnonzero(covered.any(axis=0))
        if not rows.size:
            return np.empty((0, 0), dtype=np.uint8), 0, 0
        shape = np.ascontiguousarray(covered[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1])
        return shape, int(columns[0]) - reach, int(rows[-1]) + 1 - reach


class KeptTextCanvas(FigureCanvasAgg):
    """A canvas whose renderer keeps texts."""

    _size: tuple[float, ...] | None = None

    def get_renderer(self) -> Any:
        """The renderer of the figure's size."""
        wide, high = self.figure.bbox.size
        size = (wide, high, self.figure.dpi)
        if self._size != size:
            renderer: Any = KeptTextRenderer
            self.renderer = renderer(wide, high, self.figure.dpi)
            self._size = size
        return self.renderer
