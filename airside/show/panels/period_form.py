"""A period of the long-run panel: a visit file that names logger files, or a folder of them, read once and kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

from airside.compare.periods import Period, period_of
from airside.errors import FileError, OutputError
from airside.show.panels.fields import Field
from airside.show.panels.logged_form import data_seen_from
from airside.units import UnitSystem
from airside.visit.load import read_visit_data
from airside.visit.logs.log import Log
from airside.visit.logs.logged_visit import load_logged


class PeriodForm:
    """What a panel asks of a form, for a period, which has no fields of its own.

    Parameters
    ----------
    name : str
        "before" or "after".

    Attributes
    ----------
    folder : Path
        Of the period's first visit file, which holds the panel's settings.
    file : Path or None
        What was named: a visit file or a folder.
    period : Period or None
        Its steady stretches.
    units : "IP" or "SI"
        Of its files.
    """

    kept_words = ""

    def __init__(self, name: str) -> None:
        self.name = name
        self.clear()

    def clear(self) -> None:
        """An empty form."""
        self.folder = Path()
        self.file: Path | None = None
        self.period: Period | None = None
        self.units: UnitSystem = "IP"
        self._data: dict[str, Any] = {}
        self._log: Log | None = None

    @property
    def is_blank(self) -> bool:
        """Whether no period has been brought in."""
        return self.period is None

    @property
    def is_folder(self) -> bool:
        """Whether a folder was named."""
        return self.file is not None and self.file != self.first_file

    @property
    def first_file(self) -> Path | None:
        """The period's first visit file."""
        return None if self.period is None else self.period.visits[0].path

    @property
    def logged(self) -> str:
        """What saving does."""
        if self.is_blank:
            return ""
        if self.is_folder:
            count = len(self.period.visits) if self.period is not None else 0
            files = "1 visit file" if count == 1 else f"{count} visit files"
            assert self.first_file is not None
            return f"The {self.name} period is a folder of {files}; its settings are saved in {self.first_file.name}."
        if self.name != "before":
            return ""
        return "Saving writes the before visit file with the settings on the left; the logger files stay as they are."

    def load(self, file: str | Path) -> None:
        """Bring in a visit file or a folder, and read the logger files; who calls computes.

        Raises
        ------
        ComparisonError, VisitError, FileError
            It cannot be used; the form stays as it is.
        """
        source = Path(file)
        log = None
        if source.is_dir():
            period = period_of(source, self.name)
        else:
            visit = load_logged(source)
            period, log = period_of(visit, self.name), visit.log
        first = period.visits[0].path
        assert first is not None
        data = read_visit_data(first)
        self.file, self.folder, self.period, self.units = source, first.parent, period, period.units
        self._data, self._log = data, log

    def data(self) -> dict[str, Any]:
        """The first visit file as nested dictionaries."""
        return deepcopy(self._data)

    def saved_data(self, folder: Path) -> dict[str, Any]:
        """As `data`, with the files that it names found from another folder."""
        return data_seen_from(self.data(), self.folder, folder)

    def log_to_save(self, file: Path) -> Log:
        """The log that a saved file goes with.

        Raises
        ------
        OutputError
            There is none, or the period is a folder and the name is not that of its first file: one more file in the
            folder would count its stretches twice.
        """
        if self.first_file is None:
            raise OutputError(
                "There is nothing to write yet. Load a visit file that names logger files, or a folder of them, first."
            )
        if self.is_folder and file.resolve() != self.first_file.resolve():
            raise OutputError(
                f"The {self.name} period is a folder, and its settings are saved in its first visit file: name "
                f"{self.first_file}, with the tick at “replace a file that exists”."
            )
        if self._log is None:
            self._log = load_logged(self.first_file).log
        return self._log

    # -- what has no meaning without fields -----------------------------------------------------

    def all_fields(self) -> list[Field]:
        """None."""
        return []

    def on_change(self, call: Callable[[], None]) -> None:
        """Nothing can change but by a load."""

    def switch_units(self, units: UnitSystem) -> None:
        """Nothing is typed here."""

    def clear_marks(self) -> None:
        """Nothing is marked here."""

    def mark(self, error: FileError) -> list[str]:
        """Every sentence is one for the top."""
        return [str(error)]

    def snapshot(self) -> dict[str, Any]:
        """What undo brings back."""
        return dict(vars(self))

    def restore(self, kept: Mapping[str, Any]) -> None:
        """Bring back what `snapshot` gave; who calls computes."""
        vars(self).update(kept)
