"""Before and after: load or type two visits, turn what the instruments are worth, and see the verdict move."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.airflow.defaults import METHODS, RULE_OF_THUMB_LEAST
from airside.compare.change import compare
from airside.compare.result import Change
from airside.errors import AirsideError, FileError, OutputError, VisitError
from airside.files import check_free, write_whole
from airside.instruments.defaults import ACCURACY_CLASSES
from airside.show.change import change_chart
from airside.show.panels.fields import unit_buttons
from airside.show.panels.frame import PanelFrame, bundle, whole
from airside.show.panels.later import Later
from airside.show.panels.visit_form import VisitForm
from airside.show.psychrometric import figure_bytes
from airside.units import UnitSystem, show, show_difference
from airside.visit.load import visit_from_data
from airside.visit.schema import Visit
from airside.visit.write import visit_text

# Draws while dragging, and for the figure that stays.
DRAGGING, FULL = 5_000, 100_000
NAMES = ("before", "after")


class BeforeAfter:
    """Panel for two visits.

    Parameters
    ----------
    before, after : str or Path, optional
        Visit files to begin with.

    Attributes
    ----------
    change : Change or None
        The last good result.
    """

    def __init__(self, before: str | Path | None = None, after: str | Path | None = None) -> None:
        self.change: Change | None = None
        self.forms = {name: VisitForm() for name in NAMES}
        self.units_choice = unit_buttons()
        self._later = Later(self.compute)
        self._quiet = False
        self.frame = PanelFrame(self._left(), self._foot())
        self.widget = self.frame.widget
        for name, file in zip(NAMES, (before, after), strict=True):
            if file is not None:
                self._load(name, file)
        self.units_choice.observe(self._switch_units, names="value")
        for form in self.forms.values():
            form.on_change(self.compute)
        self.compute()

    def _left(self) -> Any:
        self.files = {
            name: widgets.Text(placeholder=f"{name}.toml", continuous_update=False, layout={"width": "auto"},
                               tooltip=f"Visit file from {name} the work; Enter loads it")
            for name in NAMES
        }  # fmt: skip
        rows = []
        for name, box in self.files.items():
            box.observe(lambda change, name=name: self._file_named(name, change["new"]), names="value")
            rows += [
                widgets.HTML(f'<span style="font-size:12px">Visit file, {name}</span>', layout={"height": "18px"}),
                box,
            ]
        self.reference = widgets.Dropdown(
            options=[("conditions of the before visit", "before"), ("conditions of the after visit", "after"),
                     ("rating condition A, 95 °F outdoors", "A"), ("rating condition B, 82 °F outdoors", "B")],
            layout={"width": "auto"}, tooltip="Both visits are brought to these conditions",
        )  # fmt: skip
        self.same_flow = widgets.Checkbox(
            value=False, description="bring to one airflow too", indent=False,
            tooltip="Leave out where the work changed the airflow",
        )  # fmt: skip
        self.as_stated = widgets.Checkbox(
            value=True, description="instruments as the files state", indent=False,
            tooltip="Take the tick away to turn the accuracies below",
        )  # fmt: skip
        self.dry_bulb = widgets.FloatSlider(value=0.5, min=0.05, max=1.5, step=0.05, readout_format=".2f")
        self.humidity = widgets.FloatSlider(value=2.5, min=0.5, max=6.0, step=0.25, readout_format=".2f")
        self.airflow = widgets.FloatSlider(value=5.0, min=1.0, max=25.0, step=0.5, readout_format=".1f")
        # Until a slider is moved, each quantity keeps what the visit or the table of defaults gives it.
        self._starts: dict[Any, float] = {}
        self._full = True
        self.new_share = widgets.FloatSlider(value=0.3, min=0.0, max=1.0, step=0.05, readout_format=".2f")
        sliders = []
        self.dry_bulb.readout = False
        self.dry_bulb_words = widgets.HTML(layout={"height": "18px"})
        for slider, label, tip in (
            (self.dry_bulb, "Dry-bulb accuracy", "Limit, of every probe"),
            (self.humidity, "Humidity accuracy, ± % RH", "Limit, of every probe that reads RH"),
            (self.airflow, "Airflow, standard uncertainty, %", "Of the method's own error"),
            (
                self.new_share,
                "Part that is new with each visit",
                "Of each probe's variance; the rest is common and cancels. Until it is moved, each quantity keeps its own",
            ),
        ):
            slider.layout.width, slider.tooltip = "auto", tip
            slider.observe(lambda _: self._dragged(), names="value")
            words = widgets.HTML(f'<span style="font-size:12px">{label}</span>', layout={"height": "18px"})
            sliders += [self.dry_bulb_words if slider is self.dry_bulb else words, slider]
        self.sliders = widgets.VBox(sliders)
        self.sliders.layout.display = "none"
        self._sliders_from_files()
        self.as_stated.observe(self._as_stated_changed, names="value")
        for choice in (self.reference, self.same_flow):
            choice.observe(lambda _: self.compute(), names="value")
        tabs = widgets.Tab([f.widget for f in self.forms.values()], titles=NAMES)
        fold = widgets.Accordion([tabs], titles=("Readings",), selected_index=None)
        return widgets.VBox([
            widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"}),
            *rows,
            widgets.HTML('<b style="line-height:1.6">Brought to</b>'), self.reference, self.same_flow,
            widgets.HTML('<b style="line-height:1.6">What the readings are worth</b>'), self.as_stated, self.sliders,
            fold,
        ])  # fmt: skip

    def _foot(self) -> Any:
        self.export_name = widgets.Text(placeholder="change.svg", layout={"width": "260px"},
                                        tooltip="Picture (.svg, .png, .pdf), or a folder's name for both visit files")  # fmt: skip
        self.export_button = widgets.Button(description="Export", tooltip="Write the picture or the two visit files")
        self.replace = widgets.Checkbox(value=False, description="replace existing files", indent=False,
                                        layout={"width": "190px"})  # fmt: skip
        self.export_button.on_click(lambda _: self._export_clicked())
        return widgets.HBox([widgets.HTML("<b>Export</b>"), self.export_name, self.export_button, self.replace],
                            layout={"flex_flow": "row wrap", "margin": "6px 0 0"})  # fmt: skip

    # -- inputs ---------------------------------------------------------------------------------

    @property
    def units(self) -> UnitSystem:
        """Units that are shown."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def _load(self, name: str, file: str | Path) -> None:
        self.forms[name].load(file)
        self._quiet = True
        self.files[name].value = str(file)
        if name == "before":
            self.units_choice.value = self.forms[name].units
        for form in self.forms.values():
            form.switch_units(self.units)
        if name == "before":
            self._sliders_from_files()
        self._quiet = False

    def _file_named(self, name: str, file: str) -> None:
        if self._quiet or not file.strip():
            return
        try:
            self._load(name, file.strip())
            self.frame.say(f"Loaded {file.strip()} as {name}.")
            self.compute()
        except AirsideError as error:
            self.frame.say(f"{error} The {name} visit is still the one from before.", wrong=True)

    def _switch_units(self, _: Any) -> None:
        if self._quiet:
            return
        for form in self.forms.values():
            form.switch_units(self.units)
        self._label_sliders()
        self.compute()

    def _as_stated_changed(self, _: Any) -> None:
        self.sliders.layout.display = "none" if self.as_stated.value else ""
        self._quiet = True
        self._sliders_from_files()
        self._quiet = False
        self.compute()

    def _dragged(self) -> None:
        if self.as_stated.value or self._quiet:
            return
        self._label_sliders()
        self.compute(count=DRAGGING)
        self._later.request()

    def visit(self, name: str) -> Visit:
        """One of the two visits as it stands in the panel.

        Raises
        ------
        VisitError
            The readings typed are not a valid visit.
        """
        form = self.forms[name]
        return visit_from_data(self._turned(form.data(), name), name, path=form.folder / f"{name}.toml")

    def _turned(self, data: dict[str, Any], which: str) -> dict[str, Any]:
        """A visit's data with the accuracies of the sliders that were moved, where they are in use."""
        if self.as_stated.value:
            return data
        shared = self._is_moved(self.new_share)
        for place in ("return", "supply"):
            readings = data.get("readings", {}).get(place)
            if readings is None:
                continue
            for quantity, slider, unit in (
                ("dry_bulb", self.dry_bulb, "K"), ("relative_humidity", self.humidity, "%"),
            ):  # fmt: skip
                if quantity not in readings or not (shared or self._is_moved(slider)):
                    continue
                # A probe without a name gets one, so that its accuracy can be turned; only where the user says
                # what is common to both visits is it the same probe in both.
                name = readings.setdefault("instrument", f"{place} probe" if shared else f"{place} probe, {which}")
                instrument = data.setdefault("instruments", {}).setdefault(name, {})
                stated = dict(instrument.get(quantity, {}))
                if self._is_moved(slider) or not stated:
                    stated.pop("accuracy_of_reading", None)
                    stated["accuracy"] = f"{slider.value} {unit}"
                if shared:
                    stated["new_each_visit"] = self.new_share.value
                instrument[quantity] = stated
        if self._is_moved(self.airflow):
            airflow = data.setdefault("airflow", {})
            least = RULE_OF_THUMB_LEAST if airflow.get("method") == "rule of thumb" else 0.0
            airflow["relative_uncertainty"] = max(self.airflow.value / 100, least)
        return data

    def _is_moved(self, slider: Any) -> bool:
        return bool(slider.value != self._starts[slider])

    def _sliders_from_files(self) -> None:
        """Start the sliders at what the before visit states, or at the defaults."""
        self.dry_bulb.value = ACCURACY_CLASSES["dry_bulb"].accuracy
        self.humidity.value = ACCURACY_CLASSES["relative_humidity"].accuracy * 100
        self.new_share.value = 0.3
        self._start_at_readings()
        self._starts = {s: s.value for s in (self.dry_bulb, self.humidity, self.airflow, self.new_share)}
        self._label_sliders()

    def _label_sliders(self) -> None:
        amount = show_difference(self.dry_bulb.value, "temperature", self.units, decimals=2)
        self.dry_bulb_words.value = f'<span style="font-size:12px">Dry-bulb accuracy: <b>± {amount}</b></span>'

    def _start_at_readings(self) -> None:
        try:
            visit = visit_from_data(
                self.forms["before"].data(), "before", path=self.forms["before"].folder / "before.toml"
            )
        except AirsideError:
            return
        readings = visit.readings.return_air
        instrument = visit.instruments.get(readings.instrument or "")
        for slider, quantity, scale in ((self.dry_bulb, "dry_bulb", 1.0), (self.humidity, "relative_humidity", 100.0)):
            accuracy, values = getattr(instrument, quantity, None), getattr(readings, quantity)
            if accuracy is not None and values:
                slider.value = round(accuracy.statement().half_width(sum(values) / len(values)) * scale, 6)
        method = METHODS[visit.airflow.method]
        stated = visit.airflow.relative_uncertainty
        self.airflow.value = round(100 * (method.relative_standard_uncertainty if stated is None else stated), 6)

    # -- result ---------------------------------------------------------------------------------

    def compute(self, count: int | None = None) -> None:
        """Compare and show; what is wrong is marked at its field."""
        count = FULL if count is None else count
        visits: dict[str, Visit] = {}
        wrong: list[str] = []
        blank = [name for name, form in self.forms.items() if form.is_blank]
        if blank:
            self.frame.stale(f"Load or type the {' and the '.join(blank)} visit on the left.")
            return
        for name, form in self.forms.items():
            form.clear_marks()
            try:
                visits[name] = self.visit(name)
            except VisitError as error:
                left = form.mark(error)
                wrong.append(f"The {name} visit: " + (" ".join(left) or "see the marks under Readings."))
        if wrong:
            self.frame.stale(" ".join(wrong))
            return
        try:
            self.change = compare(
                visits["before"], visits["after"], reference=self.reference.value, same_flow=self.same_flow.value,
                count=count, with_budget=count == FULL,
            )  # fmt: skip
        except AirsideError as error:
            self.frame.stale(self._marked(error, visits))
            return
        self._full = count == FULL
        self._show(self.change, full=count == FULL)

    def _marked(self, error: AirsideError, visits: dict[str, Visit]) -> str:
        """Mark what only the comparison finds, such as a table that is not there; give back the sentence."""
        for name, visit in visits.items():
            folder = self.forms[name].folder
            named = str(getattr(visit.airflow, "table", ""))
            places = (str(visit.path), visit.name, str(folder / named))
            if isinstance(error, FileError) and error.path in places:
                left = self.forms[name].mark(error)
                return f"The {name} visit: " + (" ".join(left) or "see the marks under Readings.")
        return str(error)

    def _show(self, change: Change, *, full: bool) -> None:
        units = self.units
        before, after = (v.estimate("total") for v in (change.before, change.after))
        figures = [
            ("Before, as measured", show(before.value, "capacity", units)),
            ("After, as measured", show(after.value, "capacity", units)),
            ("Probability that it rose", f"{change.probability_of_increase * 100:.1f} %"),
            ("Smallest change that could be seen", f"{change.smallest_detectable_ratio * 100:.1f} %"),
        ]
        if change.improve:
            figures.append(("Improve first", change.improve[0]))
        figure = change_chart(change, units=units, with_verdict=False)
        picture = figure_bytes(figure, "png", dpi=95 if full else 70)
        said = [change.cancelled, *change.assumptions()]
        self.frame.show(f"<b>{whole(change.verdict)}</b>", figures, picture, change.all_warnings(), said)

    def _export_clicked(self) -> None:
        name = self.export_name.value.strip()
        if not name or self.change is None:
            self.frame.say(
                "Name a file or a folder first." if self.change is not None else "There is no result yet.", wrong=True
            )
            return
        try:
            self.frame.say(self.export(name, replace=self.replace.value))
        except AirsideError as error:
            self.frame.say(str(error), wrong=True)

    def export(self, name: str, *, replace: bool = False) -> str:
        """Write the picture, or both visit files into a folder; give back the sentence that says so.

        Raises
        ------
        VisitError, OutputError
            The visits are not valid, or files exist.
        """
        assert self.change is not None
        option = "the tick at “replace existing files”"
        form = Path(name).suffix.lower()[1:]
        if self.frame.is_stale:
            raise OutputError("The input is wrong, so there is nothing to export. Mend what is marked first.")
        if form and form not in ("svg", "png", "pdf"):
            raise OutputError(
                f"{name}: expected a picture (.svg, .png, .pdf), or the name of a folder for both visit files."
            )
        if form and not self._full:
            # The coarse result of a drag is not for keeping.
            self.compute()
        if form:
            figure = change_chart(self.change, units=self.units)
            written = write_whole(name, figure_bytes(figure, form), force=replace, option=option)  # type: ignore[arg-type]
            return f"Saved {written}."
        folder = Path(name)
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(f"{name}: the folder cannot be made ({error.strerror}). Name another.") from None
        # Both places are checked before either file is written.
        targets = {n: check_free(folder / f"{n}.toml", force=replace, option=option) for n in NAMES}
        # What was compared is what is written: with the sliders' accuracies, where they are in use.
        saved = {n: self._turned(self.forms[n].saved_data(folder.resolve()), n) for n in NAMES}
        texts = {n: visit_text(saved[n], path=folder / f"{n}.toml") for n in NAMES}
        for n in NAMES:
            write_whole(targets[n], texts[n], force=replace, option=option)
        return f"Saved {targets['before']} and {targets['after']}."

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Before and after: needs a running kernel and widgets to show.")
