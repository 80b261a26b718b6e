"""Coil performance: turn airflow, return air and outdoor air, and see what the measured coil would deliver."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import numpy as np

from airside.air.coil_prediction import CoilPrediction, predict_coil
from airside.air.state import MoistAir
from airside.compare.rating import rating_of
from airside.compare.reference import Conditions
from airside.errors import AirsideError
from airside.show.panels.fold import Fold
from airside.show.panels.frame import Shown, whole
from airside.show.panels.panel import Panel
from airside.show.panels.pictures import panel_chart
from airside.show.panels.slider import SliderField
from airside.show.panels.visit_form import VisitForm
from airside.show.psychrometric import Process
from airside.units import percent, show
from airside.visit.coil_block import coil_of_visit
from airside.visit.plausibility import VisitWarning
from airside.visit.uncertainty import visit_uncertainty


class CoilPanel(Panel):
    """Panel for the coil of one visit.

    Parameters
    ----------
    file : str or Path, optional
        A visit file in cooling.

    Attributes
    ----------
    prediction : CoilPrediction or None
        At the sliders' conditions.
    expected : float or None [W]
        Total capacity that the rating curve or the manufacturer's table expects there.
    """

    title = "Coil performance"
    key = "coil_performance"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.prediction: CoilPrediction | None = None
        self.expected: float | None = None
        self.forms["visit"] = VisitForm(("Visit", "Return air", "Supply air", "Airflow", "Outdoor air", "Fan heat"))
        self.airflow = SliderField("Airflow, of that measured", "The same coil at another blower speed", "percentage", 0.5,
                                   1.5, (1.0, 1.0), value=1.0)  # fmt: skip
        self.return_dry_bulb = SliderField("Return dry bulb", "Air that enters the coil", "temperature", 15.0, 35.0,
                                           (0.2, 0.1), value=24.0)  # fmt: skip
        self.return_humidity = SliderField("Return relative humidity", "Air that enters the coil", "relative_humidity",
                                           0.2, 0.8, (0.5, 0.5), value=0.5)  # fmt: skip
        self.outdoor = SliderField("Outdoor dry bulb", "Air at the outdoor coil; moves the capacity by the rating curve",
                                   "temperature", 15.0, 48.0, (0.2, 0.1), value=35.0)  # fmt: skip
        self.sliders = {
            "airflow": self.airflow, "return_dry_bulb": self.return_dry_bulb, "return_humidity": self.return_humidity,
            "outdoor": self.outdoor,
        }  # fmt: skip
        self.settings = dict(self.sliders)
        self._data: dict[str, Any] | None = None
        self._measured: dict[str, float] = {}
        self.reset_button = widgets.Button(description="As measured", tooltip="Bring the sliders back to the visit")
        self.reset_button.on_click(lambda _: self.press(self.reset))
        fold = Fold("The visit's readings", [self.form.widget])
        self.build([*(s.widget for s in self.sliders.values()), self.reset_button, fold.widget])
        self.start(file)

    # -- the visit ------------------------------------------------------------------------------

    def _take_visit(self) -> None:
        """Find the coil of the visit as it stands, and what was measured; nothing where it is as before.

        Raises
        ------
        AirsideError
            The visit is not valid, or gives no coil.
        """
        data = self.data()
        if data == self._data:
            return
        self._data = None
        doubt = visit_uncertainty(self.visit(), count=self.draws)
        coil, reason = coil_of_visit(doubt)
        if coil is None:
            raise AirsideError(reason)
        self.doubt, self.coil = doubt, coil.performance
        at = doubt.at_readings
        outdoor = at.outdoor_dry_bulb
        measured = {
            "airflow": 1.0,
            "return_dry_bulb": float(np.asarray(at.return_air.dry_bulb)),
            "return_humidity": float(np.asarray(at.return_air.relative_humidity)),
        }
        if outdoor is not None:
            measured["outdoor"] = float(np.asarray(outdoor))
        # Sliders that stand at the old readings follow the new ones.
        before, self._measured = self._measured, measured
        self.outdoor.disabled = outdoor is None
        for key, value in measured.items():
            if key not in before or self.sliders[key].value == before[key]:
                self.sliders[key].value = value
        self._data = data

    def loaded(self, name: str) -> None:
        """Stand at what the visit measured, or where its file says that the panel stood."""
        self._data, self._measured = None, {}
        try:
            self._take_visit()
        except AirsideError:
            return
        super().loaded(name)

    def saved_settings(self, name: str) -> tuple[str, ...]:
        """Only what was turned away from the readings."""
        return tuple(k for k, v in self._measured.items() if self.sliders[k].value != v)

    @property
    def is_as_measured(self) -> bool:
        """Whether every slider stands at its reading."""
        return all(self.sliders[k].value == v for k, v in self._measured.items())

    def reset(self) -> None:
        """Bring the sliders back to the measured conditions."""
        self._quiet = True
        for key, value in self._measured.items():
            self.sliders[key].value = value
        self._quiet = False
        self.changed()

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.prediction = self.expected = None
        self._data, self._measured = None, {}
        super().clear()

    def snapshot(self) -> dict[Any, Any]:
        """Everything that undo brings back; the readings that the sliders stand at too."""
        return super().snapshot() | {"measured": self._measured}

    def restore(self, kept: dict[Any, Any]) -> None:
        """Bring back what `snapshot` gave."""
        self._measured = kept["measured"]
        super().restore(kept)

    # -- result ---------------------------------------------------------------------------------

    def find(self, *, is_draft: bool) -> Shown:
        """What the coil would deliver where the sliders stand."""
        self._take_visit()
        at, units = self.doubt.at_readings, self.units
        pressure = float(np.asarray(at.return_air.pressure))
        air = MoistAir.from_relative_humidity(self.return_dry_bulb.value, self.return_humidity.value, pressure)
        flow = self.airflow.value * float(np.asarray(at.airflow.dry_air_mass_flow))
        rating, reason = rating_of(self.doubt.visit)
        warnings: list[VisitWarning] = []
        ratio: Any = 1.0
        self.expected = None
        if rating is not None and at.outdoor_dry_bulb is not None:
            here = Conditions("", at.return_air.wet_bulb, at.outdoor_dry_bulb)
            standard = float(np.asarray(at.airflow.standard_volume_flow))
            ratio = rating.capacity_ratio(here, standard, self.outdoor.value)
            there = Conditions("", air.wet_bulb, self.outdoor.value)
            moved = standard * self.airflow.value
            why = rating.outside("these conditions", there, moved, units)
            if why:
                warnings.append(VisitWarning("outside_curve", why))
            else:
                self.expected = float(np.asarray(rating.capacity(there, moved)))
        else:
            warnings.append(VisitWarning("no_curve", f"{reason or 'There is no outdoor air.'} The capacity is held."))
        found = predict_coil(self.coil, return_air=air, dry_air_mass_flow=flow, capacity_ratio=ratio)
        if not np.isfinite(float(np.asarray(found.capacity.total))):
            raise AirsideError(" ".join(found.notes()))
        self.prediction = found
        return Shown(
            self._sentence(found), self._figures(found), self._figure(found, air), warnings, tuple(found.notes())
        )

    def _sentence(self, found: CoilPrediction) -> str:
        total = float(np.asarray(found.capacity.total))
        here = float(np.asarray(self.doubt.at_readings.capacity.total))
        step = "" if self.is_as_measured else f", {whole(percent(total / here - 1, 1, sign=True))} from the visit"
        what = "As measured" if self.is_as_measured else "The same coil there"
        return f"{what}: <b>{escape(show(total, 'capacity', self.units))}</b> total{step}."

    def _figures(self, found: CoilPrediction) -> list[tuple[str, str]]:
        units, capacity = self.units, found.capacity
        figures = [
            ("Sensible", show(float(np.asarray(capacity.sensible)), "capacity", units)),
            ("Latent", show(float(np.asarray(capacity.latent)), "capacity", units)),
            ("Sensible heat ratio", show(float(np.asarray(capacity.sensible_heat_ratio)), "fraction", units)),
            ("Supply dry bulb", show(float(np.asarray(found.supply_air.dry_bulb)), "temperature", units)),
            ("Supply humidity", f"{100 * float(np.asarray(found.supply_air.relative_humidity)):.0f} % RH"),
            ("Apparatus dew point", show(float(np.asarray(found.apparatus_dew_point)), "temperature", units)),
            ("Bypass factor", show(float(np.asarray(found.bypass_factor)), "fraction", units)),
        ]
        if self.expected is not None:
            figures.append(("Expected there, by curve or table", show(self.expected, "capacity", units)))
            ratio = float(np.asarray(capacity.total)) / self.expected
            figures.append(("Delivered over expected", show(ratio, "percentage", units)))
        return figures

    def _figure(self, found: CoilPrediction, air: MoistAir) -> Any:
        at = self.doubt.at_readings
        apparatus = float(np.asarray(found.apparatus_dew_point))
        dew = None
        if np.isfinite(apparatus):
            dew = MoistAir.from_relative_humidity(apparatus, 1.0, float(np.asarray(air.pressure)))
        # The coil's line goes on from the supply air to saturation.
        if self.is_as_measured:
            processes = [Process(at.return_air, at.supply_air, "as measured", apparatus_dew_point=dew)]
        else:
            processes = [
                Process(at.return_air, at.supply_air, "as measured"),
                Process(air, found.supply_air, "the same coil there", apparatus_dew_point=dew),
            ]
        states = []
        if self.expected is not None:
            # The same coil with the capacity that is expected of the equipment there.
            ratio = self.expected / float(np.asarray(at.capacity.total))
            flow = found.capacity.dry_air_mass_flow
            wanted = predict_coil(self.coil, return_air=air, dry_air_mass_flow=flow, capacity_ratio=ratio)
            if np.isfinite(float(np.asarray(wanted.supply_air.dry_bulb))):
                states.append(("expected supply", wanted.supply_air))
        return panel_chart(processes, self.units, self.theme, states=states)
