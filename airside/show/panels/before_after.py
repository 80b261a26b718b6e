"""Before and after: load or type two visits, turn what the instruments are worth, and see the verdict move."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

from airside.compare.change import compare
from airside.compare.result import Change
from airside.errors import AirsideError, FileError, VisitError
from airside.show.change import change_chart
from airside.show.panels.accuracy_sliders import AccuracySliders
from airside.show.panels.fields import ChoiceField
from airside.show.panels.fold import Fold
from airside.show.panels.frame import Shown, whole
from airside.show.panels.panel import Panel
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm
from airside.units import probability, show
from airside.visit.schema import Visit

# Draws of the figure that stays.
FULL = 100_000
REFERENCES = {
    "before": "conditions of the before visit",
    "after": "conditions of the after visit",
    "A": "rating condition A, 95 °F outdoors",
    "B": "rating condition B, 82 °F outdoors",
    "H1": "rating condition H1 of heating, 47 °F outdoors",
}


class VisitsWrong(AirsideError):
    """What is wrong with either visit."""

    def __init__(self, errors: dict[str, VisitError]) -> None:
        super().__init__(" ".join(str(e) for e in errors.values()))
        self.errors = errors


class BeforeAfter(Panel):
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

    title = "Before and after"
    key = "before_after"
    names = ("before", "after")
    # A lesson's panel takes fewer, so that the notebook is soon there.
    full_draws: int | None = None

    def __init__(self, before: str | Path | None = None, after: str | Path | None = None) -> None:
        super().__init__()
        self.change: Change | None = None
        self.forms = {name: VisitForm() for name in self.names}
        self.reference = ChoiceField(
            "reference", "Both brought to", "The conditions at which the two capacities are compared", tuple(REFERENCES),
            words=REFERENCES,
        )  # fmt: skip
        self.same_flow = Tick("to one airflow too", "Leave it out where the work changed the airflow")
        self.accuracy = AccuracySliders()
        self.accuracy.button.on_click(lambda _: self.press(self._as_stated))
        self.settings = {"reference": self.reference, "same_flow": self.same_flow, **self.accuracy.settings}
        folds = [Fold(f"Readings, {name}", [form.widget]) for name, form in self.forms.items()]
        worth = Fold("What the readings are worth", self.accuracy.widgets)
        self.visit_folds = dict(zip(self.names, folds, strict=True))
        self.build([self.reference.widget, self.same_flow.widget, worth.widget, *(f.widget for f in folds)])
        self.start(before, after)

    def loaded(self, name: str) -> None:
        """Start the sliders at what the before visit states."""
        if name != "before":
            return
        self.reference.take("before")
        self.same_flow.take(False)
        super().loaded(name)
        self._start_sliders()

    def _start_sliders(self) -> None:
        try:
            self.accuracy.start(self.stated("before"))
        except AirsideError:
            self.accuracy.start(None)

    def _as_stated(self) -> None:
        self._quiet = True
        self._start_sliders()
        self._quiet = False
        self.changed()

    def snapshot(self) -> dict[Any, Any]:
        """Everything that undo brings back; where the sliders started too."""
        return super().snapshot() | {"starts": self.accuracy.starts}

    def restore(self, kept: dict[Any, Any]) -> None:
        """Bring back what `snapshot` gave."""
        self.accuracy.starts = kept["starts"]
        super().restore(kept)

    def saved_settings(self, name: str) -> tuple[str, ...]:
        """The sliders' accuracies are saved as instruments; what both are brought to goes with the before visit."""
        return ("reference", "same_flow") if name == "before" else ()

    def data(self, name: str | None = None) -> dict[str, Any]:
        """A visit with the accuracies of the sliders that were moved."""
        which = name or "before"
        return self.accuracy.turned(self.forms[which].data(), which)

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """What was compared is what is written: with the sliders' accuracies, where they are in use."""
        return self.accuracy.turned(super().saved_data(name, folder), name)

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.change = None
        self._quiet = True
        self.reference.take("before")
        self.same_flow.take(False)
        self.accuracy.start(None)
        super().clear()

    def find(self, *, is_draft: bool) -> Shown:
        """The comparison as it stands."""
        with suppress(AirsideError):
            self.accuracy.follow(self.stated("before"))
        visits: dict[str, Visit] = {}
        wrong: dict[str, VisitError] = {}
        for name in self.names:
            try:
                visits[name] = self.visit(name)
            except VisitError as error:
                wrong[name] = error
        if wrong:
            raise VisitsWrong(wrong)
        change = compare(
            visits["before"], visits["after"], reference=self.reference.value(), same_flow=self.same_flow.value(),
            count=self.dragging_draws if is_draft else self.full_draws or FULL, with_budget=not is_draft,
        )  # fmt: skip
        self.change = change
        units = self.units
        before, after = (v.estimate("total") for v in (change.before, change.after))
        figures = [
            ("Before, as measured", show(before.value, "capacity", units)),
            ("After, as measured", show(after.value, "capacity", units)),
            ("Probability that it rose", probability(change.probability_of_increase)),
            ("Smallest change that could be seen", f"{change.smallest_detectable_ratio * 100:.1f} %"),
        ]
        if change.improve:
            figures.append(("Improve first", change.improve[0]))
        figure = change_chart(change, units=units, theme=self.theme, with_verdict=False)
        said = [change.cancelled, *change.assumptions()]
        return Shown(f"<b>{whole(change.verdict)}</b>", figures, figure, change.all_warnings(), said)

    def picture(self) -> Any:
        """The whole picture, with the verdict."""
        assert self.change is not None
        return change_chart(self.change, units=self.units, theme=self.theme)

    def report(self, form: str) -> bytes:
        """The report of both visits, at the conditions chosen here."""
        from airside.show.report import report_bytes

        return report_bytes(
            self.reported("before"), self.reported("after"), form=form, units=self.units, reference=self.reference.value(),
            same_flow=self.same_flow.value(),
        )  # fmt: skip

    def mark(self, error: AirsideError) -> str:
        """Mark what an error names, in the visit that it is about."""
        if isinstance(error, VisitsWrong):
            return " ".join(self._marked(name, found) for name, found in error.errors.items())
        if isinstance(error, FileError):
            # What only the comparison finds, such as a table that is not there.
            for name, form in self.forms.items():
                table = str(form.folder / str(form.data().get("airflow", {}).get("table", "")))
                if error.path in (str(form.folder / f"{name}.toml"), str(form.fields["name"].value()), table):
                    return self._marked(name, error)
        return str(error)

    def _marked(self, name: str, error: FileError) -> str:
        self.visit_folds[name].set_open(True)
        return f"The {name} visit: " + (" ".join(self.forms[name].mark(error)) or "see the marks under its readings.")
