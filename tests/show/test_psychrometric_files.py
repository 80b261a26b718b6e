"""Picture files: what is written is what was drawn."""

from io import BytesIO

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from airside.show.psychrometric import figure_bytes


def figure(size=(3.0, 2.0), paper="#FFFFFF"):
    made = Figure(figsize=size, facecolor=paper)
    FigureCanvasAgg(made)
    made.add_axes((0.2, 0.2, 0.7, 0.7)).plot([0, 1, 2], [0, 3, 1], color="#0072B2")
    return made


def pixels(content):
    image = Image.open(BytesIO(content))
    image.load()
    return np.asarray(image.convert("RGB")), image


@pytest.mark.parametrize("size", [(3.0, 2.0), (10.5, 7.4), (2.01, 1.97), (9.0, 6.0)])
@pytest.mark.parametrize("dpi", [70, 95, 110, 133])
def test_a_png_holds_what_matplotlib_draws(size, dpi):
    made = figure(size)
    own, image = pixels(figure_bytes(made, "png", dpi=dpi))
    buffer = BytesIO()
    made.savefig(buffer, format="png", dpi=dpi, facecolor="#FFFFFF")
    reference = np.asarray(Image.open(buffer).convert("RGB"))
    np.testing.assert_array_equal(own, reference)
    assert image.info["Software"] == "airside"
    assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.01)


def test_a_quick_png_holds_the_same():
    made = figure((9.0, 6.0))
    slow, quick = figure_bytes(made, "png"), figure_bytes(made, "png", quick=True)
    np.testing.assert_array_equal(pixels(slow)[0], pixels(quick)[0])
    assert len(slow) < len(quick)
