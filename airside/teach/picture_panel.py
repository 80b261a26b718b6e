"""A picture of a lesson, drawn in the notebook's units, with its description under it."""

from __future__ import annotations

from base64 import b64encode
from html import escape
from typing import Any

from airside.errors import AirsideError
from airside.show.panels.frame import bundle
from airside.show.panels.lab_theme import lab_theme
from airside.teach import shared_units
from airside.teach.look import box, row, safe, units_switch, words
from airside.teach.pictures import picture_bytes
from airside.units import SYSTEMS, UnitSystem

# The same whatever the units are.
WITHOUT_UNITS = ("image file", "budget", "budget of the change", "smallest change", "change alone")


class Picture:
    """A picture with its description.

    Parameters
    ----------
    shows : str
        Name of the picture.
    describes : str
        What is to be seen: the text for those who cannot see it, and the caption.
    given : dict
        The picture's parameters.
    units : "IP" or "SI", optional
    """

    def __init__(self, shows: str, describes: str, given: dict[str, Any], units: UnitSystem | None = None) -> None:
        self.shows, self.describes, self.given = shows, describes, given
        begin = shared_units.join(self, units)
        self.units_choice = units_switch(SYSTEMS, begin)
        self.units_choice.observe(self._switched, names="value")
        self.picture = words()
        with_units = [] if shows in WITHOUT_UNITS else [row(self.units_choice)]
        self.widget = box("lesson-picture", [self.picture, *with_units])
        self._show(begin)

    def follow(self, units: UnitSystem) -> None:
        """Turn to the units chosen elsewhere in the notebook."""
        if units != self.units_choice.value:
            self.units_choice.unobserve(self._switched, names="value")
            self.units_choice.value = units
            self.units_choice.observe(self._switched, names="value")
            if self.shows not in WITHOUT_UNITS:
                self._show_again(units)

    def _switched(self, _: Any) -> None:
        units: UnitSystem = "SI" if self.units_choice.value == "SI" else "IP"
        self._show_again(units)
        shared_units.choose(units, self)

    def _show_again(self, units: UnitSystem) -> None:
        try:
            self._show(units)
        except AirsideError as error:
            # A visit file that has gone or changed since.
            self.picture.value = safe(str(error))

    def _show(self, units: UnitSystem) -> None:
        drawn = b64encode(picture_bytes(self.shows, self.given, units=units, theme=lab_theme())).decode()
        self.picture.value = (
            f'<figure><img src="data:image/png;base64,{drawn}" alt="{escape(self.describes)}">'
            f"<figcaption>{safe(self.describes)}</figcaption></figure>"
        )

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, f"Picture: {self.shows}. {self.describes}")


def picture(shows: str, describes: str = "", *, units: UnitSystem | None = None, **given: Any) -> Picture:
    """A picture, to stand as the last line of a cell.

    Parameters
    ----------
    shows : str
        Name of the picture, one of `airside.teach.pictures.PICTURES`.
    describes : str
        What is to be seen.
    units : "IP" or "SI", optional
    **given
        The picture's parameters; quantities as text with their unit.

    Raises
    ------
    AirsideError
        There is no such picture, a parameter is wrong, or it cannot be drawn.
    """
    return Picture(shows, describes, given, units)
