"""Sliders for what the readings are worth: accuracies of the probes, doubt of the airflow, what is common to both visits.

Until a slider is moved, each quantity keeps what the visit or the table of defaults gives it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from airside.airflow.defaults import METHODS, RULE_OF_THUMB_LEAST
from airside.instruments.defaults import ACCURACY_CLASSES
from airside.show.panels.slider import SliderField
from airside.visit.schema import Visit

# Where the share that is new with each visit starts; the visit's own shares hold until it is moved.
USUAL_NEW_SHARE = 0.3


class AccuracySliders:
    """Four sliders over the accuracies that visits state.

    Attributes
    ----------
    settings : dict of str to SliderField
    """

    def __init__(self) -> None:
        each = "of every probe, as a limit"
        self.dry_bulb = SliderField("Dry-bulb accuracy (±)", f"Accuracy {each}", "temperature_difference", 0.05, 1.5,
                                    (0.1, 0.05))  # fmt: skip
        self.humidity = SliderField("RH accuracy (±)", f"Accuracy {each} that reads RH", "relative_humidity",
                                    0.005, 0.06, (0.25, 0.25))  # fmt: skip
        self.airflow = SliderField("Airflow, standard uncertainty", "Of the method's own error", "percentage", 0.01,
                                   0.25, (0.5, 0.5))  # fmt: skip
        self.new_share = SliderField(
            "New with each visit, a fraction",
            "Part of each probe's variance that comes anew with each visit; the rest is common and cancels",
            "fraction", 0.0, 1.0, (0.05, 0.05), value=USUAL_NEW_SHARE,
        )  # fmt: skip
        self.settings = {
            "dry_bulb": self.dry_bulb, "humidity": self.humidity, "airflow": self.airflow, "new_share": self.new_share,
        }  # fmt: skip
        self.button = widgets.Button(
            description="As the file states", tooltip="Bring the accuracies back to the visit's"
        )
        # Where each slider stands until it is moved.
        self.starts: dict[str, float] = {}
        self.start(None)

    @property
    def widgets(self) -> Sequence[Any]:
        """What stands on the left of a panel."""
        return [*(s.widget for s in self.settings.values()), self.button]

    def start(self, visit: Visit | None) -> None:
        """Start at what a visit states, or at the defaults."""
        self.starts = {key: s.value for key, s in self.settings.items()}
        self.follow(visit)

    def follow(self, visit: Visit | None) -> None:
        """Bring the sliders that were not moved to what a visit states now; the others stay."""
        at = {k: ACCURACY_CLASSES[q].accuracy for k, q in (("dry_bulb", "dry_bulb"), ("humidity", "relative_humidity"))}
        at |= {"airflow": METHODS["fan table"].relative_standard_uncertainty, "new_share": USUAL_NEW_SHARE}
        if visit is not None:
            readings = visit.readings.return_air
            instrument = visit.instruments.get(readings.instrument or "")
            for key, quantity in (("dry_bulb", "dry_bulb"), ("humidity", "relative_humidity")):
                accuracy, values = getattr(instrument, quantity, None), getattr(readings, quantity)
                if accuracy is not None and values:
                    at[key] = accuracy.statement().half_width(sum(values) / len(values))
            stated = visit.airflow.relative_uncertainty
            method = METHODS[visit.airflow.method]
            at["airflow"] = method.relative_standard_uncertainty if stated is None else stated
        for key, value in at.items():
            if not self.is_moved(key):
                self.settings[key].value = value
        self.starts = at

    def is_moved(self, key: str) -> bool:
        """Whether the user has moved a slider."""
        return self.settings[key].value != self.starts[key]

    def turned(self, data: dict[str, Any], which: str) -> dict[str, Any]:
        """A visit's data with the accuracies of the sliders that were moved."""
        shared = self.is_moved("new_share")
        for place in ("return", "supply"):
            readings = data.get("readings", {}).get(place)
            if readings is None:
                continue
            is_nameless = "instrument" not in readings
            for quantity, key, text in (
                ("dry_bulb", "dry_bulb", f"{self.dry_bulb.value:.6g} K"),
                ("relative_humidity", "humidity", f"{self.humidity.value * 100:.6g} %"),
            ):
                if quantity not in readings or not (shared or self.is_moved(key)):
                    continue
                # A probe without a name gets one, so that its accuracy can be turned; only where the user says
                # what is common to both visits is it the same probe in both.
                name = readings.setdefault("instrument", f"{place} probe" if shared else f"{place} probe, {which}")
                instrument = data.setdefault("instruments", {}).setdefault(name, {})
                stated = dict(instrument.get(quantity, {}))
                if self.is_moved(key) or not stated:
                    stated.pop("accuracy_of_reading", None)
                    stated["accuracy"] = text
                if shared:
                    stated["new_each_visit"] = self.new_share.value
                elif is_nameless:
                    # As without a name: nothing of it cancels, in a plan's imagined second visit neither.
                    stated["new_each_visit"] = 1.0
                instrument[quantity] = stated
        if self.is_moved("airflow"):
            airflow = data.setdefault("airflow", {})
            least = RULE_OF_THUMB_LEAST if airflow.get("method") == "rule of thumb" else 0.0
            airflow["relative_uncertainty"] = max(self.airflow.value, least)
        return data
