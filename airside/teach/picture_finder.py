"""Find a picture for a lesson: choose one, see it drawn from a demo, copy its mark with every key that it takes."""

from __future__ import annotations

import tomllib
from base64 import b64encode
from html import escape
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError
from airside.show.panels.frame import bundle
from airside.show.panels.lab_theme import lab_theme
from airside.show.panels.shared import plain_layout
from airside.teach.author_panel import STYLE, named
from airside.teach.look import box, paragraphs, row, words
from airside.teach.picture_examples import example_mark
from airside.teach.pictures import PICTURES, picture_bytes

ROWS = 16


class PictureFinder:
    """The panel.

    Attributes
    ----------
    shows : widget
        Choice of the picture.
    mark : widget
        The mark to copy into the lesson.
    """

    def __init__(self) -> None:
        self.shows = named(
            widgets.Dropdown(
                options=[(f"{k.name}: {k.says}", k.name) for k in PICTURES.values()], description="Picture"
            ),
            "A picture that a lesson may show",
        )
        self.shows.add_class("airside-wide")
        self.shown = words("picture")
        self.mark = widgets.Textarea(
            description="Copy this into lesson.md, with an empty line before and after; what follows a # may go",
            tooltip="The mark of this picture",
            layout=plain_layout(),
        )
        self.widget = box("workshop", [words(value=STYLE), row(self.shows), self.shown, self.mark])
        self.shows.observe(lambda _: self._show(), names="value")
        self._show()

    def _show(self) -> None:
        shows = self.shows.value
        text = example_mark(shows)
        self.mark.rows, self.mark.value = min(text.count("\n") + 2, ROWS), text
        given = tomllib.loads("\n".join(text.split("\n")[1:-1]))
        parameters = {k: v for k, v in given.items() if k not in ("shows", "describes")}
        if shows == "image file":
            self.shown.value = paragraphs(["Your own photograph or drawing. Put the file into the lesson's folder."])
            return
        try:
            drawn = b64encode(picture_bytes(shows, parameters, theme=lab_theme())).decode()
        except AirsideError as error:
            self.shown.value = paragraphs([str(error)])
            return
        said = escape(PICTURES[shows].says)
        self.shown.value = (
            f'<img src="data:image/png;base64,{drawn}" alt="{said}" style="max-width: 620px; width: 100%">'
        )

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Pictures to choose from. Needs a running kernel.")


def find_pictures() -> PictureFinder:
    """Pictures to choose from, to stand as the last line of a cell."""
    return PictureFinder()
