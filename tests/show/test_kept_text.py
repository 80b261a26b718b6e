"""The canvas that keeps its words draws what matplotlib draws, and the same whether a word was kept or not."""

import io

import matplotlib
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from airside.show import kept_text
from airside.show.kept_text import KeptTextCanvas

WORDS = ("Total capacity, Btu/h", "95 % interval 5.0 to 33.2 %", "°F ³ äg", "two\nlines", " ", "cost $5")


def figure(canvas, turns=(0, 90, 33.3, -120)):
    found = Figure(figsize=(5, 4))
    canvas(found)
    for i, word in enumerate(WORDS):
        for j, turn in enumerate(turns):
            found.text(0.1 + 0.2 * j, 0.1 + 0.14 * i, word, rotation=turn, fontsize=8 + i, color=(0.8, 0.1, 0.2),
                       alpha=0.8, parse_math=False, rotation_mode="anchor")  # fmt: skip
    return found


def pixels(drawn, dpi=100):
    out = io.BytesIO()
    drawn.savefig(out, format="raw", dpi=dpi)
    return np.frombuffer(out.getvalue(), dtype=np.uint8).reshape(int(4 * dpi), int(5 * dpi), 4)[..., :3].astype(float)


@pytest.fixture(autouse=True)
def nothing_kept():
    kept_text._SHAPES.clear()
    kept_text._SIZES.clear()


def test_words_are_where_matplotlib_puts_them():
    ours, theirs = pixels(figure(KeptTextCanvas)), pixels(figure(FigureCanvasAgg))
    ink = 255 - ours.mean(axis=2)
    # As much ink, and hardly moved: a word stands on a whole pixel. Smoothed over three pixels both are alike.
    assert ink.sum() == pytest.approx((255 - theirs.mean(axis=2)).sum(), rel=0.02)

    def smooth(image):
        kernel = np.ones(5) / 5
        for axis in (0, 1):
            image = np.apply_along_axis(np.convolve, axis, image, kernel, mode="same")
        return image

    apart = np.abs(smooth(ink) - smooth(255 - theirs.mean(axis=2)))
    assert apart.max() < 0.35 * smooth(ink).max()


def test_a_kept_word_is_drawn_as_a_new_one():
    first = pixels(figure(KeptTextCanvas))
    assert len(kept_text._SHAPES) > 15
    assert np.array_equal(first, pixels(figure(KeptTextCanvas)))


def test_another_resolution_has_shapes_of_its_own():
    small, large = pixels(figure(KeptTextCanvas), 50), pixels(figure(KeptTextCanvas), 200)
    # Four times the length each way.
    assert (255 - large).sum() == pytest.approx(16 * (255 - small).sum(), rel=0.25)


def test_sizes_of_words_are_those_of_matplotlib():
    for canvas in (KeptTextCanvas, KeptTextCanvas):
        ours, theirs = figure(canvas), figure(FigureCanvasAgg)
        for one, other in zip(ours.texts, theirs.texts, strict=True):
            assert one.get_window_extent().bounds == pytest.approx(other.get_window_extent().bounds)


def test_mathematics_and_rough_letters_go_the_usual_way():
    def make(canvas):
        found = Figure(figsize=(5, 4))
        canvas(found)
        found.text(0.1, 0.5, r"$\alpha^2$")
        with matplotlib.rc_context({"text.antialiased": False}):
            found.text(0.1, 0.2, "rough")
        return found

    assert np.array_equal(pixels(make(KeptTextCanvas)), pixels(make(FigureCanvasAgg)))
    assert not kept_text._SHAPES


def test_no_more_is_kept_than_a_limit(monkeypatch):
    monkeypatch.setattr(kept_text, "MOST", 5)
    once = pixels(figure(KeptTextCanvas))
    assert len(kept_text._SHAPES) == 5
    assert np.array_equal(once, pixels(figure(KeptTextCanvas)))
