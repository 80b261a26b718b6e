"""Side-by-side check: two probes in one airstream, the offset between them and what it is worth."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.air.state import TESTED_DRY_BULB
from airside.errors import AirsideError, EvidenceError, OutputError
from airside.instruments.side_by_side import Offset, offset
from airside.show.panels.fields import NumberField, TextField
from airside.show.panels.fold import Fold
from airside.show.panels.frame import Shown, whole
from airside.show.panels.panel import Panel
from airside.show.panels.shared import name_box
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_fields import USUAL_AIR
from airside.show.panels.visit_form import VisitForm, get, put
from airside.show.side_by_side import QUANTITIES, side_by_side_chart
from airside.units import parse, show, show_difference, to_inside


class SideBySideCheck(Panel):
    """Panel for two probes held in one airstream for some minutes.

    Parameters
    ----------
    file : str or Path, optional
        A visit file; its check is shown, and the check made here is saved in it.

    Attributes
    ----------
    offsets : dict of str to Offset
        By quantity; of the last good input.
    """

    title = "Side-by-side check"
    key = "side_by_side_check"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.offsets: dict[str, Offset] = {}
        self.forms["visit"] = VisitForm()
        which = ("First probe", "Second probe")
        self.probes = [
            TextField(f"probe_{i}", words, "As the visit file names it", placeholder=f"probe_{i}")
            for i, words in enumerate(which, 1)
        ]
        for i, probe in enumerate(self.probes, 1):
            probe.take(f"probe_{i}")
        self.apply = Tick("correct the visit's readings by it", "Without the tick the check is noted only", value=True)
        self.fields: dict[tuple[str, int], NumberField] = {}
        left: list[Any] = [p.widget for p in self.probes]
        self.settings = {"first": self.probes[0], "second": self.probes[1], "apply": self.apply}
        for quantity, (kind, label) in QUANTITIES.items():
            for index, words in enumerate(which):
                field = NumberField(
                    f"side_by_side.{quantity}", f"{words}, {label.lower()}",
                    "At least 3 readings, each taken together with the other probe's", kind, many=True, rows=2,
                    usual=USUAL_AIR["return"][quantity],
                )  # fmt: skip
                self.fields[quantity, index] = field
                self.settings[f"{quantity}_{index}"] = field
                left.append(field.widget)
        self.text = widgets.Textarea(rows=6, layout={"width": "auto"})
        name_box(self.text, "Table for a visit file", "Copy this table into a visit file, or load the file and save")
        self.text.add_class("airside-field")
        self.text.style.description_width = "auto"
        fold = Fold("The visit's readings", [self.form.widget])
        # Whether the readings were typed here, and did not come with a visit.
        self._is_typed = False
        for field in self.fields.values():
            field.on_change(self._typed)
        self.build([*left, self.apply.widget, self.text, fold.widget])
        self.start(file)

    def _typed(self) -> None:
        if not self._quiet:
            self._is_typed = True

    def snapshot(self) -> dict[Any, Any]:
        """Everything that undo brings back."""
        return super().snapshot() | {"typed": self._is_typed}

    def restore(self, kept: dict[Any, Any]) -> None:
        """Bring back what `snapshot` gave."""
        super().restore(kept)
        self._is_typed = kept["typed"]

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self._quiet = True
        self.offsets, self._is_typed = {}, False
        for i, probe in enumerate(self.probes, 1):
            probe.take(f"probe_{i}")
        self.apply.take(True)
        for field in self.fields.values():
            field.take(None)
        super().clear()

    # -- the visit's own check ------------------------------------------------------------------

    def loaded(self, name: str) -> None:
        """Show the check that the visit has; without one, what was typed, or the names of the visit's probes."""
        check = get(self.form.data(), "side_by_side")
        if check is None and self._is_typed:
            # Typed before the visit came in: a check that is to be saved in it, with the names as they were typed.
            return
        names = [get(self.form.data(), f"readings.{p}.instrument") for p in ("return", "supply")]
        if check is not None:
            names = list(check["instruments"])
            self.apply.take(check.get("apply", True))
        for probe, given in zip(self.probes, names, strict=True):
            if given:
                probe.take(given)
        for (quantity, index), field in self.fields.items():
            pair = (check or {}).get(quantity)
            field.take(None if pair is None else pair[index])
        self._is_typed = False

    def saved_settings(self, name: str) -> tuple[str, ...]:
        """None: the check is a table of the visit file itself."""
        return ()

    def check_table(self, *, with_units: bool) -> dict[str, Any]:
        """The table ``[side_by_side]`` as the fields have it; with units it means the same in any visit file."""
        table: dict[str, Any] = {
            "instruments": [str(p.value() or "") for p in self.probes], "apply": self.apply.value(),
        }  # fmt: skip
        for quantity in self.offsets:
            kind = QUANTITIES[quantity][0]
            unit = {"temperature": "degF" if self.units == "IP" else "degC", "relative_humidity": "%"}[kind]
            table[quantity] = [
                [
                    f"{v:.6g} {unit}" if with_units and not isinstance(v, str) else v
                    for v in self.fields[quantity, i].value()
                ]
                for i in (0, 1)
            ]
        return table

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """The visit with this check.

        Raises
        ------
        OutputError
            There is no visit to save it in, or no good check.
        """
        if self.form.is_blank:
            raise OutputError(
                "A check is saved in a visit. Load the visit's file first, or copy the table on the left."
            )
        if self.frame.is_stale:
            raise OutputError("The check is not complete, so there is nothing to save. Mend what is marked first.")
        data = super().saved_data(name, folder)
        put(data, "side_by_side", self._kept_parts() | self.check_table(with_units=False))
        return data

    def data(self, name: str | None = None) -> dict[str, Any]:
        """The visit with this check, where there is a good one."""
        data = super().data(name)
        if self.offsets and not self.frame.is_stale:
            put(data, "side_by_side", self._kept_parts() | self.check_table(with_units=False))
        return data

    def _kept_parts(self) -> dict[str, Any]:
        """What the visit's own check says beside names, readings and tick."""
        own = get(self.form.data(), "side_by_side") or {}
        return {k: v for k, v in own.items() if k not in QUANTITIES}

    def report(self, form: str) -> bytes:
        """The report of the visit with this check."""
        if self.form.is_blank:
            raise OutputError("A report needs a visit. Load the visit's file first.")
        return super().report(form)

    # -- result ---------------------------------------------------------------------------------

    def blank_sentence(self) -> str:
        """What to do first."""
        if any(f.value() for f in self.fields.values()):
            return ""
        # A table of other readings than those typed must not be copied.
        self.text.value = ""
        return "Hold both probes in one airstream for some minutes and type their readings."

    def _inside(self, quantity: str, index: int) -> list[float]:
        """Readings of one probe, SI; what is wrong with them is raised."""
        field = self.fields[quantity, index]
        found = []
        for row, value in enumerate(field.value() or [], 1):
            inside = (
                parse(value, field.kind) if isinstance(value, str) else float(to_inside(value, field.kind, self.units))
            )
            if not math.isfinite(inside):
                raise EvidenceError(
                    f"value {row}: found {value}; expected a number. Take a missing reading out of both lists."
                )
            low, high = (0.0, 1.0) if quantity == "relative_humidity" else TESTED_DRY_BULB
            if not low <= inside <= high:
                limits = " to ".join(show(v, field.kind, self.units) for v in (low, high))
                raise EvidenceError(f"value {row}: found {show(inside, field.kind, self.units)}; expected {limits}.")
            found.append(inside)
        return found

    def find(self, *, is_draft: bool) -> Shown:
        """The offsets; what is wrong is marked at its field."""
        found: dict[str, Offset] = {}
        readings: dict[str, tuple[list[float], list[float]]] = {}
        is_wrong = False
        for quantity in QUANTITIES:
            both: list[list[float]] = []
            for index in (0, 1):
                try:
                    both.append(self._inside(quantity, index))
                except AirsideError as error:
                    self.fields[quantity, index].say(str(error))
                    is_wrong = True
            if len(both) < 2 or not any(both):
                continue
            try:
                found[quantity] = offset(*both)
                readings[quantity] = (both[0], both[1])
            except AirsideError as error:
                self.fields[quantity, 1].say(str(error))
                is_wrong = True
        names = [str(p.value() or "") for p in self.probes]
        if names[0] == names[1] or not all(names):
            self.probes[1].say("expected the names of two probes, as the visit file has them.")
            is_wrong = True
        if is_wrong or not found:
            self.text.value = ""
            raise AirsideError("Something on the left is missing or wrong; it is marked there.")
        self.offsets = found
        self.text.value = self._table_text()
        return self._shown(names, readings)

    def _shown(self, names: list[str], readings: dict[str, tuple[list[float], list[float]]]) -> Shown:
        sentences, figures = [], []
        for quantity, found in self.offsets.items():
            kind, label = QUANTITIES[quantity]
            amount = show_difference(abs(found.offset), kind, self.units, decimals=2)
            doubt = show_difference(found.standard_uncertainty, kind, self.units, decimals=2)
            word = "above" if found.offset > 0 else "below"
            sentences.append(f"{names[1]} reads {amount} {word} {names[0]} in {label.lower()}")
            figures.append((f"{label}, standard uncertainty of the offset", doubt))
            figures.append((f"{label}, is it there?", "yes" if found.is_significant else "not beyond its doubt"))
        said = (
            "Applied in a visit, the correction brings both probes halfway. Their common error stays, and so does the doubt "
            "of this check.",
            "Probes need some minutes in the airstream before their readings count.",
        )
        figure = side_by_side_chart(readings, self.offsets, units=self.units, theme=self.theme)
        return Shown(whole("; ".join(sentences) + "."), figures, figure, (), said)

    def _table_text(self) -> str:
        # TOML takes JSON's texts, lists and ticks; a list on one line is what a person would write.
        lines = [
            f"{key} = {json.dumps(value, ensure_ascii=False)}"
            for key, value in self.check_table(with_units=True).items()
        ]
        return "\n".join(["[side_by_side]", *lines]) + "\n"
