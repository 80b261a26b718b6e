"""A figure as the bytes of a picture file."""

from __future__ import annotations

from io import BytesIO
from typing import Any, Literal

Form = Literal["png", "svg", "pdf"]


def figure_bytes(figure: Any, form: Form, dpi: int = 150, *, quick: bool = False) -> bytes:
    """A figure as the bytes of a file; the same figure gives the same bytes.

    Parameters
    ----------
    figure : matplotlib Figure
    form : "png", "svg" or "pdf"
    dpi : int
        Pixels per inch of a PNG.
    quick : bool
        Press a PNG less, for a picture that is soon drawn again: more bytes in less time.

    Returns
    -------
    bytes
    """
    import matplotlib as mpl

    buffer = BytesIO()
    options: dict[str, dict[str, Any]] = {
        "svg": {"metadata": {"Date": None, "Creator": "airside"}},
        "png": {"metadata": {"Software": "airside"}, "pil_kwargs": {"compress_level": 1 if quick else 6}, "dpi": dpi},
        "pdf": {"metadata": {"CreationDate": None, "Creator": "airside"}},
    }
    # Text stays text in SVG, and the ids do not change from run to run.
    with mpl.rc_context({"svg.hashsalt": "airside", "svg.fonttype": "none"}):
        figure.savefig(buffer, format=form, facecolor=figure.get_facecolor(), **options[form])
    return buffer.getvalue()
