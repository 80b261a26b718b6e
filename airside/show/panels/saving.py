"""Files that a panel writes: the visit, the picture and the report."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

from airside.errors import OutputError
from airside.files import write_whole
from airside.show.panels.fields import Field
from airside.show.panels.frame import PanelFrame, Shown
from airside.show.panels.saved_settings import saved_setting
from airside.show.panels.slider import SliderField
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm, get, put
from airside.visit.write import visit_text

PICTURES = ("svg", "png", "pdf")


class Saving(ABC):
    """What `airside.show.panels.panel.Panel` writes."""

    key: ClassVar[str]
    names: ClassVar[tuple[str, ...]]
    forms: dict[str, VisitForm]
    settings: dict[str, SliderField | Field | Tick]
    shown: Shown | None
    frame: PanelFrame
    _is_draft: bool

    @abstractmethod
    def refresh(self, *, is_draft: bool = False) -> None:
        """Compute and draw anew."""

    @abstractmethod
    def picture_bytes(self, form: str) -> bytes:
        """The picture as a file's content."""

    @abstractmethod
    def report(self, form: str) -> bytes:
        """The report as a file's content."""

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """A visit as it is saved: its tables found from another folder, the panel's settings with it."""
        data = self.forms[name].saved_data(folder)
        put(data, f"panel.{self.key}", None)
        for key in self.saved_settings(name):
            put(data, f"panel.{self.key}.{key}", saved_setting(self.settings[key]))
        if not get(data, "panel"):
            put(data, "panel", None)
        return data

    def saved_settings(self, name: str) -> Sequence[str]:
        """Keys of the settings that are saved with a visit."""
        return tuple(self.settings) if name == self.names[0] else ()

    def save(self, file: str | Path, name: str | None = None, *, replace: bool = False) -> Path:
        """Write a visit as a file that the command line reads.

        Raises
        ------
        VisitError, OutputError
            What is typed is not a valid visit, or the file exists.
        """
        data = self.saved_data(name or self.names[0], Path(file).resolve().parent)
        return self._write(file, visit_text(data, path=Path(file)), replace)

    def save_picture(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the picture: .svg, .png or .pdf.

        Raises
        ------
        OutputError
            There is no good result, the name has another ending, or the file exists.
        """
        form = self._ending(file, PICTURES)
        return self._write(file, self.picture_bytes(form), replace)

    def save_report(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the report: .html, or .pdf where the extra for it is installed.

        Raises
        ------
        OutputError
            There is no good result, the name has another ending, or the file exists.
        """
        return self._write(file, self.report(self._ending(file, ("html", "pdf"))), replace)

    def _write(self, file: str | Path, content: bytes | str, replace: bool) -> Path:
        return write_whole(file, content, force=replace, option="the tick at “replace a file that exists”")

    def _ending(self, file: str | Path, known: Sequence[str]) -> str:
        """The form that a name asks for, where there is a result to write."""
        form = Path(file).suffix.lower()[1:]
        listed = " or ".join(f".{k}" for k in known)
        if form not in known:
            raise OutputError(f"{file}: the name ends in {Path(file).suffix or 'nothing'}; expected {listed}.")
        if self.shown is None:
            raise OutputError("There is no result yet. Type the readings or load a visit first.")
        if self.frame.is_stale:
            raise OutputError("The input is wrong, so there is nothing to write. Mend what is marked first.")
        if self._is_draft:
            # The coarse result of a drag is not for keeping.
            self.refresh()
        return form
