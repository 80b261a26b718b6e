"""Planning a visit: what change could be seen with these instruments, and what would help."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

from airside.compare.planning import Plan, plan
from airside.errors import AirsideError
from airside.show.panels.accuracy_sliders import AccuracySliders
from airside.show.panels.frame import Shown, whole
from airside.show.panels.panel import Panel
from airside.show.panels.visit_form import VisitForm
from airside.show.planning import plan_chart
from airside.units import percent


class PlanningPanel(Panel):
    """Panel for the visits to come.

    Parameters
    ----------
    file : str or Path, optional
        A visit file: one that was measured, or a draft with the readings that are expected.

    Attributes
    ----------
    plan : Plan or None
        The last good result.
    """

    title = "Planning a visit"
    key = "planning_a_visit"
    # Each step of a plan is a comparison of its own.
    dragging_draws = 1_000

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.plan: Plan | None = None
        self._largest: tuple[str, ...] = ()
        self.forms["visit"] = VisitForm(("Airflow", "Return air", "Supply air", "Visit", "Outdoor air"))
        self.accuracy = AccuracySliders()
        self.accuracy.button.on_click(lambda _: self.press(self._as_stated))
        self.settings = dict(self.accuracy.settings)
        self.build([*self.accuracy.widgets, self.form.widget])
        self.start(file)

    def loaded(self, name: str) -> None:
        """Start the sliders at what the visit states."""
        try:
            self.accuracy.start(self.stated(name))
        except AirsideError:
            self.accuracy.start(None)

    def _as_stated(self) -> None:
        self._quiet = True
        self.loaded("visit")
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
        """None: the sliders' accuracies are saved as instruments."""
        return ()

    def data(self, name: str | None = None) -> dict[str, Any]:
        """The visit with the accuracies of the sliders that were moved."""
        return self.accuracy.turned(self.form.data(), "before")

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """The visit as it was planned with."""
        return self.accuracy.turned(super().saved_data(name, folder), "before")

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.plan = None
        self.accuracy.start(None)
        super().clear()

    def find(self, *, is_draft: bool) -> Shown:
        """What could be seen."""
        with suppress(AirsideError):
            self.accuracy.follow(self.stated("visit"))
        found = plan(self.visit(), count=self.dragging_draws if is_draft else self.draws, with_budget=not is_draft)
        self.plan = found
        # What to improve first is found when the drag is over.
        self._largest = self._largest if is_draft else found.largest
        figures = [("Smallest change seen now", percent(found.smallest_detectable_ratio, 1))]
        if found.options:
            best = found.options[0]
            figures.append(("With all that helps most", percent(best.smallest_detectable_ratio, 1)))
        if self._largest:
            figures.append(("Improve first", self._largest[0]))
        said = ["Seen means: at the 5 % level with a power of 80 %.",
                "A second visit like this one is imagined: the same instruments, method and numbers of readings."]  # fmt: skip
        figure = plan_chart(found, units=self.units, theme=self.theme)
        return Shown(whole(found.sentence), figures, figure, (), said)
