"""Logged data: from logger files to steady stretches, one of which stands for the visit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from html import escape
from pathlib import Path
from typing import Any, cast

import ipywidgets as widgets
import numpy as np

from airside.errors import OutputError
from airside.show.panels.fields import ChoiceField
from airside.show.panels.fold import Fold
from airside.show.panels.frame import Shown, with_interval
from airside.show.panels.logged_form import LoggedForm
from airside.show.panels.logged_tables import channel_table, stretch_table
from airside.show.panels.panel import Panel
from airside.show.panels.pictures import visit_picture
from airside.show.panels.shared import plain_layout
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm
from airside.show.time_series import panels_of, time_series_chart
from airside.units import show
from airside.visit.analysis import VisitResult, analyse
from airside.visit.logs.clock import ComparedClocks, compare_clocks
from airside.visit.logs.logged_visit import LoggedVisit, logged_visit
from airside.visit.schema import Visit
from airside.visit.write import logged_visit_text

PICTURE_WORDS = {
    "whole log": "the log over time", "day around the stretch": "24 hours around the stretch",
    "psychrometric chart": "the stretch on a psychrometric chart",
}  # fmt: skip
# About the middle of the standing stretch [s].
HALF_DAY = 43_200.0


class LoggedData(Panel):
    """Panel for one visit whose readings are in logger files.

    Parameters
    ----------
    file : str or Path, optional
        A visit file that names logger files.

    Attributes
    ----------
    logged : LoggedVisit or None
        The last good log with its runs and stretches.
    result : VisitResult or None
        Of the stretch that stands for the visit.
    """

    title = "Logged data"
    key = "logged_data"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.logged: LoggedVisit | None = None
        self.result: VisitResult | None = None
        self.clocks: tuple[ComparedClocks, ...] = ()
        self.inputs = LoggedForm(opened=("Stretches", "Which minutes count"))
        # It has what a panel asks of a form.
        self.forms["visit"] = cast(VisitForm, self.inputs)
        self.inputs.earlier.on_click(lambda _: self.press(partial(self._step, -1)))
        self.inputs.later.on_click(lambda _: self.press(partial(self._step, 1)))
        self.picture_choice = ChoiceField(
            "picture",
            "Picture shows",
            "What is drawn, here and in the picture that is saved",
            tuple(PICTURE_WORDS),
            words=PICTURE_WORDS,
        )
        self.apply_clocks = Tick(
            "add the offset that was found", "Shift the stamps of the files that are named above, and read them again"
        )
        self.settings = {"picture": self.picture_choice, "clocks": self.apply_clocks}
        clocks = self._clock_fold()
        self.build([self.inputs.widget, clocks.widget, self.picture_choice.widget])
        self.tables = {name: widgets.HTML() for name in ("Steady stretches", "Logged channels")}
        folds = []
        for name, table in self.tables.items():
            table.add_class("airside-box")
            folds.append(Fold(name, [table]).widget)
        right = self.frame.widget.children[0].children[1]
        right.children = (*right.children, *folds)
        self.start(file)

    def _clock_fold(self) -> Fold:
        self.clock_button = widgets.Button(
            description="Compare the clocks", tooltip="By the starts and stops that the logger files have in common; takes seconds for a long log",
            layout={"width": "auto"},
        )  # fmt: skip
        self.clock_button.on_click(lambda _: self.press(self._compare_clocks))
        self.clock_words = widgets.HTML(layout=plain_layout())
        self.clock_words.add_class("airside-box")
        return Fold("Clocks of the loggers", [self.clock_button, self.clock_words, self.apply_clocks.widget])

    # -- what stands in it ----------------------------------------------------------------------

    @property
    def moved(self) -> dict[str, float]:
        """Seconds that are added to the stamps of each file, because the user said so."""
        if not self.apply_clocks.value():
            return {}
        return {c.second: float(round(c.offset.seconds)) for c in self._apart}

    @property
    def _apart(self) -> list[ComparedClocks]:
        return [c for c in self.clocks if c.offset.found and not c.agree]

    def data(self, name: str | None = None) -> dict[str, Any]:
        """The visit as nested dictionaries, as its file holds it."""
        return self.inputs.moved_clocks(self.inputs.data(), self.moved)

    def find_logged(self) -> LoggedVisit:
        """Runs and steady stretches of the log as it was read.

        Raises
        ------
        VisitError
            What stands on the left cannot be, or no stretch is steady.
        """
        file = self.inputs.file
        return logged_visit(
            self.data(), self.inputs.log_with(self.moved), str(file or "visit"), path=file, units=self.units
        )

    def visit(self, name: str | None = None) -> Visit:
        """The visit of the stretch that stands for it.

        Raises
        ------
        VisitError
            As `find_logged`.
        """
        return self.find_logged().standing

    def stated(self, name: str) -> Visit:
        """As `visit`."""
        return self.visit(name)

    def blank_sentence(self) -> str:
        """What to do first."""
        return "Load a visit file that names logger files, below." if self.inputs.is_blank else ""

    def find(self, *, is_draft: bool) -> Shown:
        """Capacity of the stretch that stands for the visit."""
        logged = self.find_logged()
        result = analyse(logged.standing.shown_in(self.units), count=self.draws)
        units, capacity = self.units, result.capacity
        rows = {r.name: r for r in result.parts()[0][1]}
        stretch = logged.standing.stretch
        assert stretch is not None
        sentence = (
            f"Delivered {capacity.mode}: <b>{escape(show(float(capacity.total), 'capacity', units))}</b>, "
            f"95 % interval {escape(rows['total'].interval_text(units))}, in {escape(stretch.place)}."
        )
        figures: list[tuple[str, ...]] = [
            with_interval("Sensible", rows["sensible"], units),
            with_interval("Latent", rows["latent"], units),
            with_interval("Sensible heat ratio", rows["sensible_heat_ratio"], units),
            ("Airflow", show(float(result.airflow.volume_flow), "volume_flow", units)),
            *self._over_all(logged),
            ("Run of the stretch", f"{stretch.run_length / 60:.0f} min{f', {stretch.stage}' if stretch.stage else ''}"),
            ("Improve first", result.improve[0] if result.improve else "nothing"),
        ]
        self.logged, self.result = logged, result
        self.inputs.found.value = "".join(
            f'<div class="airside-small">{escape(s)}</div>' for s in logged.runs.sentences
        )
        self._fill_tables()
        return Shown(sentence, figures, self._drawn(logged, result), result.warnings, result.assumptions)

    def _over_all(self, logged: LoggedVisit) -> list[tuple[str, ...]]:
        """What all stretches gave."""
        total = logged.capacities().figures["total"].value
        # Where the airflow's evidence is outside its table, a stretch has none.
        known = total[np.isfinite(total)]
        s, shown = logged.stretches, partial(show, kind="capacity", system=self.units)
        found: list[tuple[str, ...]] = [
            ("Steady stretches", f"{len(logged):,}", f"{len(s) * s.rows / s.minutes * 100:.0f} % of the log")
        ]
        if known.size > 1:
            low, high = float(known.min()), float(known.max())
            found.append(("Total over all of them", f"{shown(low, unit=False)} to {shown(high)}"))
        return found

    def _fill_tables(self) -> None:
        assert self.logged is not None
        self.tables["Steady stretches"].value = stretch_table(self.logged, self.units)
        self.tables["Logged channels"].value = channel_table(self.logged.log, self.units)

    def _drawn(self, logged: LoggedVisit, result: VisitResult, *, title: str | None = None) -> Any:
        """The picture that is chosen."""
        choice = self.picture_choice.value()
        # Where no channel of air, power or airflow is logged, there is nothing to draw over time.
        if choice == "psychrometric chart" or not panels_of(logged):
            return visit_picture(result, self.units, self.theme, title=title)
        first = last = None
        if choice == "day around the stretch":
            i = logged.standing_number - 1
            middle = float(logged.stretches.begin[i] + logged.stretches.end[i]) / 2
            time = logged.log.time
            first, last = max(float(time[0]), middle - HALF_DAY), min(float(time[-1]), middle + HALF_DAY)
        return time_series_chart(logged, units=self.units, theme=self.theme, first=first, last=last)

    def picture(self) -> Any:
        """The picture, with the visit's name."""
        assert self.logged is not None and self.result is not None
        return self._drawn(self.logged, self.result, title=self.result.title)

    def report(self, form: str) -> bytes:
        """The report of the stretch that stands for the visit."""
        from airside.show.report import report_bytes

        logged = self.find_logged()
        return report_bytes(logged.standing, form=form, units=self.units, logs=(logged,))

    # -- buttons --------------------------------------------------------------------------------

    def _step(self, by: int) -> None:
        """Let a neighbour of the standing stretch stand for the visit."""
        if self.logged is None or self.frame.is_stale:
            return
        number = min(max(self.logged.standing_number + by, 1), len(self.logged))
        # It changes as if it had been typed.
        self.inputs.stretch.box.value = str(number)

    def _compare_clocks(self) -> None:
        log = self.inputs.log
        if log is None:
            self.clock_words.value = _small(["Load a visit file first."])
            return
        self.clocks = compare_clocks(log)
        self._say_clocks()
        self.changed()

    def _say_clocks(self) -> None:
        if self.clocks:
            said = [c.sentence(how=False) for c in self.clocks]
            said += [f"The tick adds {round(c.offset.seconds):+d} s to the times of {c.second}." for c in self._apart]
        elif self.inputs.log is not None and len({r.file for r in self.inputs.log.records}) == 1:
            said = ["All channels come from one file, so there is one clock."]
        else:
            said = []
        self.clock_words.value = _small(said)
        self.apply_clocks.box.disabled = not self._apart

    # -- undo and files -------------------------------------------------------------------------

    def snapshot(self) -> dict[Any, Any]:
        """Everything that undo brings back; what was found of the clocks too."""
        return super().snapshot() | {"clocks": self.clocks}

    def restore(self, kept: dict[Any, Any]) -> None:
        """Bring back what `snapshot` gave."""
        self.clocks = kept["clocks"]
        super().restore(kept)
        self._say_clocks()

    def loaded(self, name: str) -> None:
        """Begin with the file's own clocks."""
        self._forget_clocks()
        self.picture_choice.take(None)
        super().loaded(name)

    def _forget_clocks(self) -> None:
        self.clocks = ()
        self.apply_clocks.take(False)
        self._say_clocks()

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.logged = self.result = None
        self._quiet = True
        self._forget_clocks()
        self.picture_choice.take(None)
        self.inputs.found.value = ""
        for table in self.tables.values():
            table.value = ""
        super().clear()

    def saved_settings(self, name: str) -> Sequence[str]:
        """The choice of the picture; an offset that is applied stands in the file's [log]."""
        return ("picture",)

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """The visit file as it came, with what stands on the left."""
        data = super().saved_data(name, folder)
        moved = {self.inputs.found_from(folder, file): s for file, s in self.moved.items()}
        return self.inputs.moved_clocks(data, moved)

    def save(self, file: str | Path, name: str | None = None, *, replace: bool = False) -> Path:
        """Write the visit file; the logger files stay where they are.

        Raises
        ------
        VisitError, OutputError
            What stands on the left cannot be, or the file exists.
        """
        if self.inputs.is_blank:
            raise OutputError("There is nothing to write yet. Load a visit file that names logger files first.")
        data = self.saved_data(name or "visit", Path(file).resolve().parent)
        return self._write(file, logged_visit_text(data, self.inputs.log_with(self.moved), path=Path(file)), replace)


def _small(sentences: Sequence[str]) -> str:
    return "".join(f'<div class="airside-small">{escape(s)}</div>' for s in sentences)
