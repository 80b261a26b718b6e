"""Compare a figure with the picture of it that was looked at and kept: a test's last look, against regressions.

The figure is drawn at a fixed size and both pictures are made coarser. Letters differ between versions of
matplotlib and of its fonts, lines hardly do, so there are two comparisons by the root mean square of
the difference (each channel 0 to 1): a fine one of what lies outside the figure's texts, and a coarse one of
everything. Each has a limit over the whole and one for the worst tile, in which one line that has moved
stands out.

``AIRSIDE_DRAW_EXPECTED=1`` writes the kept pictures anew: look at each before it is committed.
"""

from __future__ import annotations

import os
import tempfile
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import numpy as np

EXPECTED = Path(__file__).parent / "pictures_expected"
DPI = 100
# A kept picture is the figure at half size. The fine comparison is of means of squares of FINE of its pixels, the
# coarse one of COARSE; tiles are of TILE such means. MARGIN of its pixels around a text count as text.
HALF, FINE, COARSE, TILE, MARGIN = 2, 2, 8, 4, 4


class Limits(NamedTuple):
    """Largest root mean squares: fine and coarse, of the whole picture and of its worst tile.

    Between matplotlib 3.9 and 3.11 charts differ by up to 0.0034, 0.046, 0.0116 and 0.048. Lines of one family moved by
    half a kelvin differ by 0.008 (fine), one number left out by 0.13 (fine, its tile).
    """

    fine: float = 0.005
    fine_tile: float = 0.055
    coarse: float = 0.014
    coarse_tile: float = 0.055


LIMITS = Limits()


def picture(figure):
    """A figure at half size: colours from 0 to 1, shape (height, width, 3), and where its texts are."""
    from matplotlib.legend import Legend
    from matplotlib.text import Text
    from PIL import Image

    buffer = BytesIO()
    dpi = figure.dpi
    figure.set_dpi(DPI)
    try:
        figure.savefig(buffer, format="png", dpi=DPI, facecolor=figure.get_facecolor())
        pixels = np.asarray(Image.open(buffer).convert("RGB"), dtype=np.float64) / 255
        texts = np.zeros(np.array(pixels.shape[:2]) // HALF, dtype=bool)
        renderer = figure.canvas.get_renderer()
        # A legend moves with the size of its letters.
        for text in figure.findobj(lambda a: isinstance(a, Text | Legend) and a.get_visible()):
            box = getattr(text, "get_bbox_patch", lambda: None)() or text
            x0, y0, x1, y1 = np.array(box.get_window_extent(renderer).extents) / HALF
            rows = slice(max(0, int(len(texts) - y1) - MARGIN), max(0, int(len(texts) - y0) + MARGIN + 1))
            texts[rows, max(0, int(x0) - MARGIN) : max(0, int(x1) + MARGIN + 1)] = True
    finally:
        figure.set_dpi(dpi)
    return coarser(pixels, HALF), texts


def coarser(pixels, count):
    """Means of squares of pixels; what is left over at the edges is dropped."""
    high, wide = (n // count * count for n in pixels.shape[:2])
    return pixels[:high, :wide].reshape(high // count, count, wide // count, count, -1).mean(axis=(1, 3))


def differences(actual, texts, expected):
    """What `Limits` limits, of two pictures at half size."""
    # Both pictures take the same value where the actual one has a text.
    square = (coarser(np.where(texts[..., None], 0.0, actual - expected), FINE)) ** 2
    rough = (coarser(actual, COARSE) - coarser(expected, COARSE)) ** 2
    return Limits(*(
        float(np.sqrt(v)) for s in (square, rough) for v in (s.mean(), coarser(s, TILE).mean(axis=2).max())
    ))  # fmt: skip


def assert_same_picture(figure, name, *, limits=LIMITS):
    """Fail where a figure no longer looks like its kept picture.

    Parameters
    ----------
    figure : matplotlib Figure
    name : str
        Of the kept picture, without ending.
    limits : Limits

    Raises
    ------
    AssertionError
        Names the measures, and where the actual picture and the difference were written, outside the
        repository.
    """
    from PIL import Image

    actual, texts = picture(figure)
    kept = EXPECTED / f"{name}.png"
    if os.environ.get("AIRSIDE_DRAW_EXPECTED") == "1":
        EXPECTED.mkdir(exist_ok=True)
        # 256 colours, spread over all that occur: a third of the bytes, and no colour of a small mark is lost.
        image = Image.fromarray(np.round(actual * 255).astype(np.uint8))
        image = image.quantize(256, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
        image.save(kept, optimize=True)
        return
    assert kept.exists(), f"no picture {kept.name} is kept: draw it with AIRSIDE_DRAW_EXPECTED=1 and look at it"
    expected = np.asarray(Image.open(kept).convert("RGB"), dtype=np.float64) / 255
    same_size = actual.shape == expected.shape
    if same_size:
        seen = differences(actual, texts, expected)
        if all(s <= limit for s, limit in zip(seen, limits, strict=True)):
            return
        said = ", ".join(
            f"{what.replace('_', ' ')} {s:.4f} (limit {limit:g})"
            for what, s, limit in zip(Limits._fields, seen, limits, strict=True)
        )
    else:
        said = f"{actual.shape[1]} by {actual.shape[0]} pixels, was {expected.shape[1]} by {expected.shape[0]}"
    folder = Path(tempfile.gettempdir()) / "airside-artefacts"
    folder.mkdir(exist_ok=True)
    files = {"actual": actual}
    if same_size:
        files["difference"] = 1 - np.clip(3 * np.abs(actual - expected), 0, 1)
    for what, pixels in files.items():
        Image.fromarray(np.round(pixels * 255).astype(np.uint8)).save(folder / f"{name}_{what}.png")
    raise AssertionError(f"{name} differs from its kept picture: {said}; see {folder}")
