"""Every word of a figure with its place, and a check that words keep apart and inside the picture."""

from itertools import combinations

import numpy as np
from matplotlib.text import Text

# Pixels by which letters' boxes may touch: a box is a little larger than what is drawn in it.
SLACK = 1.0


def corners(text, renderer):
    """Corners of a text in pixels, turned as the text is; a leader and a frame are no part of its words."""
    turn = text.get_rotation()
    if turn % 90 == 0:
        box = Text.get_window_extent(text, renderer)
        return np.array([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)])
    assert text.get_rotation_mode() == "anchor"
    text.set_rotation(0)
    box = Text.get_window_extent(text, renderer)
    text.set_rotation(turn)
    flat = np.array([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)])
    middle = text.get_transform().transform(text.get_position())
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    return (flat - middle) @ np.array([[c, s], [-s, c]]) + middle


def overlap(one, other):
    """Whether two turned boxes overlap: no line along a side of either keeps them apart."""
    for box in (one, other):
        for i in range(2):
            side = box[i + 1] - box[i]
            length = np.hypot(*side)
            if length == 0:
                continue
            across = np.array([-side[1], side[0]]) / length
            a, b = one @ across, other @ across
            if a.max() <= b.min() + SLACK or b.max() <= a.min() + SLACK:
                return False
    return True


def words(figure):
    """(text, corners, font size) of everything that is written in a figure."""
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    found = list(figure.texts)
    for axes in figure.axes:
        found += [*axes.texts, axes.title, axes.xaxis.label, axes.yaxis.label]
        if axes.get_legend() is not None:
            found += axes.get_legend().get_texts()
        for axis, limits in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
            low, high = sorted(limits)
            # Labels of ticks beyond the ends are there, but are not drawn.
            found += [
                text
                for place, tick in zip(axis.get_majorticklocs(), axis.get_major_ticks(), strict=True)
                for text in (tick.label1, tick.label2)
                if low <= place <= high
            ]
    return [
        (t.get_text(), corners(t, renderer), t.get_fontsize())
        for t in found
        if t.get_visible() and t.get_text().strip()
    ]


def check_words(figure, *, smallest=None):
    """All words keep apart and inside the picture; gives them back.

    ``smallest`` is how many pixels a letter is high at least where the picture is shown 560 px wide.
    """
    said = words(figure)
    assert said
    width, height = figure.bbox.size
    for text, box, size in said:
        assert box.min() >= -SLACK and box[:, 0].max() <= width + SLACK and box[:, 1].max() <= height + SLACK, text
        if smallest is not None:
            assert size * 560 / (72 * figure.get_size_inches()[0]) >= smallest, text
    for (text, one, _), (other_text, other, _) in combinations(said, 2):
        assert not overlap(one, other), (text, other_text)
    return [text for text, _, _ in said]
