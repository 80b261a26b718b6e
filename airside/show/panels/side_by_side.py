"""Side-by-side check: two probes in one airstream, the offset between them and what it is worth."""

from __future__ import annotations

import json
import math
from typing import Any

import ipywidgets as widgets
import numpy as np

from airside.air.state import TESTED_DRY_BULB
from airside.errors import AirsideError, EvidenceError
from airside.instruments.side_by_side import Offset, offset
from airside.show.palette import MARKERS, THEMES
from airside.show.panels.fields import NumberField, TextField, unit_buttons
from airside.show.panels.frame import PanelFrame, bundle, whole
from airside.units import KINDS, UnitSystem, difference_from_inside, parse, show, show_difference, to_inside

QUANTITIES = {"dry_bulb": ("temperature", "Dry bulb"), "relative_humidity": ("relative_humidity", "Relative humidity")}


class SideBySideCheck:
    """Panel for two probes held in one airstream for some minutes.

    Attributes
    ----------
    offsets : dict of str to Offset
        By quantity; of the last good input.
    """

    def __init__(self) -> None:
        self.offsets: dict[str, Offset] = {}
        self.units_choice = unit_buttons()
        self.names = [
            TextField("first", "First probe", "As the visit file names it", placeholder="probe_1"),
            TextField("second", "Second probe", "As the visit file names it", placeholder="probe_2"),
        ]
        self.names[0].take("probe_1")
        self.names[1].take("probe_2")
        self.fields: dict[tuple[str, int], NumberField] = {}
        rows: list[Any] = [
            widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"}),
            *(n.widget for n in self.names),
        ]
        for quantity, (kind, label) in QUANTITIES.items():
            rows.append(widgets.HTML(f'<b style="line-height:1.6">{label}</b>'))
            for index, which in enumerate(("First probe", "Second probe")):
                field = NumberField(
                    f"side_by_side.{quantity}", f"{which}, readings", "At least 3, each taken together with the other probe's",
                    kind, many=True,
                )  # fmt: skip
                field.on_change(self.compute)
                self.fields[quantity, index] = field
                rows.append(field.widget)
        self.text = widgets.Textarea(rows=6, layout={"width": "auto"},
                                     tooltip="Copy this table into the visit file")  # fmt: skip
        foot = widgets.VBox([widgets.HTML("<b>For the visit file</b>"), self.text], layout={"margin": "6px 0 0"})
        self.frame = PanelFrame(widgets.VBox(rows), foot)
        self.widget = self.frame.widget
        self.units_choice.observe(self._switch, names="value")
        for name in self.names:
            name.on_change(self.compute)
        self.compute()

    @property
    def units(self) -> UnitSystem:
        """Units of the bare numbers."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def _switch(self, _: Any) -> None:
        for field in self.fields.values():
            field.switch_units(self.units)
        self.compute()

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

    def compute(self) -> None:
        """Compute the offsets and show them; what is wrong is marked at its field."""
        found: dict[str, Offset] = {}
        readings: dict[str, tuple[list[float], list[float]]] = {}
        is_wrong = False
        for marked in (*self.names, *self.fields.values()):
            marked.say("")
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
        names = [str(n.value() or "") for n in self.names]
        if names[0] == names[1] or not all(names):
            self.names[1].say("expected the names of two probes, as the visit file has them.")
            is_wrong = True
        if is_wrong or not found:
            # A table of other readings than those typed must not be copied.
            self.text.value = ""
            self.frame.stale("Something on the left is missing or wrong; it is marked there." if is_wrong
                             else "Hold both probes in one airstream for some minutes and type their readings.")  # fmt: skip
            return
        self.offsets = found
        self._show(readings)

    def _show(self, readings: dict[str, tuple[list[float], list[float]]]) -> None:
        one, other = (str(n.value() or which) for n, which in zip(self.names, ("first", "second"), strict=True))
        sentences, figures = [], []
        for quantity, found in self.offsets.items():
            kind, label = QUANTITIES[quantity]
            amount = show_difference(abs(found.offset), kind, self.units, decimals=2)
            doubt = show_difference(found.standard_uncertainty, kind, self.units, decimals=2)
            word = "above" if found.offset > 0 else "below"
            sentences.append(f"{other} reads {amount} {word} {one} in {label.lower()}")
            figures.append((f"{label}, standard uncertainty of the offset", doubt))
            figures.append((f"{label}, is it there?", "yes" if found.is_significant else "not beyond its doubt"))
        note = (
            "Applied in a visit, the correction brings both probes halfway. Their common error stays, and so does the doubt "
            "of this check.",
            "Probes need some minutes in the airstream before their readings count.",
        )
        self.frame.show(whole("; ".join(sentences) + "."), figures, self._picture(readings), (), note)
        self.text.value = self._table(one, other)

    def _table(self, one: str, other: str) -> str:
        # TOML takes JSON's texts and lists; a list on one line is what a person would write.
        lines = ["[side_by_side]", f"instruments = {json.dumps([one, other], ensure_ascii=False)}", "apply = true"]
        for quantity in self.offsets:
            kind = QUANTITIES[quantity][0]
            # With the unit in each text, the table means the same in any visit file.
            unit = {"temperature": "degF" if self.units == "IP" else "degC", "relative_humidity": "%"}[kind]
            both = [
                [v if isinstance(v, str) else f"{v:.6g} {unit}" for v in self.fields[quantity, i].value()]
                for i in (0, 1)
            ]
            lines.append(f"{quantity} = {json.dumps(both, ensure_ascii=False)}")
        return "\n".join(lines) + "\n"

    def _picture(self, readings: dict[str, tuple[list[float], list[float]]]) -> bytes:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        from airside.show.psychrometric import figure_bytes

        colours = THEMES["light"]
        figure = Figure(figsize=(9, 2.6 * len(readings) + 0.4), facecolor=colours.paper)
        FigureCanvasAgg(figure)
        for position, (quantity, (first, second)) in enumerate(readings.items(), 1):
            kind, label = QUANTITIES[quantity]
            axes = figure.add_subplot(len(readings), 1, position)
            found = self.offsets[quantity]
            difference = difference_from_inside(np.asarray(second) - np.asarray(first), kind, self.units)
            middle, doubt = (
                float(difference_from_inside(v, kind, self.units)) for v in (found.offset, found.standard_uncertainty)
            )
            x = np.arange(1, len(difference) + 1)
            axes.axhspan(middle - 2 * doubt, middle + 2 * doubt, color=colours.series[2], alpha=0.25, linewidth=0)
            axes.axhline(middle, color=colours.series[2], linewidth=1.6)
            axes.axhline(0, color=colours.ink, linewidth=0.8, linestyle=(0, (2, 2)))
            axes.plot(x, difference, linestyle="none", marker=MARKERS[0], color=colours.series[0])
            unit = KINDS[kind].display(self.units).label
            axes.set_ylabel(f"{label}\nsecond less first, {unit}", fontsize=9)
            axes.set_xticks(x)
            for side in ("top", "right"):
                axes.spines[side].set_visible(False)
        axes.set_xlabel("Pair of readings; the band is twice the standard uncertainty of the offset", fontsize=9)
        figure.tight_layout()
        return figure_bytes(figure, "png", dpi=110)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Side-by-side check: needs a running kernel and widgets to show.")
