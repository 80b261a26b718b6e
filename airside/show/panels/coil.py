"""Coil performance: turn airflow, return air and outdoor air, and see what the measured coil would deliver."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import numpy as np

from airside.air.coil import CoilPerformance
from airside.air.coil_prediction import CoilPrediction, predict_coil
from airside.air.state import MoistAir
from airside.compare.rating import rating_of
from airside.compare.reference import Conditions
from airside.errors import AirsideError
from airside.show.panels.fields import unit_buttons
from airside.show.panels.frame import PanelFrame, bundle
from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart
from airside.units import UnitSystem, from_inside, show
from airside.visit.coil_block import coil_of_visit
from airside.visit.load import load_visit
from airside.visit.plausibility import VisitWarning
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

LIVE_DRAWS = 20_000


class CoilPanel:
    """Panel for the coil of one visit.

    Parameters
    ----------
    file : str or Path
        A visit file in cooling.

    Attributes
    ----------
    prediction : CoilPrediction or None
        At the sliders' conditions.
    expected : float or None [W]
        Total capacity that the rating curve or the manufacturer's table expects there.
    """

    def __init__(self, file: str | Path) -> None:
        self.prediction: CoilPrediction | None = None
        self.expected: float | None = None
        self.units_choice = unit_buttons()
        self.airflow = widgets.FloatSlider(value=100, min=50, max=150, step=1, readout_format=".0f")
        self.return_dry_bulb = widgets.FloatSlider(min=15, max=35, step=0.1, readout=False)
        self.return_humidity = widgets.FloatSlider(min=20, max=80, step=0.5, readout_format=".1f")
        self.outdoor = widgets.FloatSlider(min=15, max=48, step=0.1, readout=False)
        self.words: dict[str, Any] = {}
        rows: list[Any] = [
            widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"})
        ]
        for name, slider, tip in (
            ("Airflow, % of that measured", self.airflow, "The same coil at another blower speed"),
            ("Return dry bulb", self.return_dry_bulb, "Air that enters the coil"),
            ("Return relative humidity, %", self.return_humidity, "Air that enters the coil"),
            ("Outdoor dry bulb", self.outdoor, "Air at the outdoor coil; moves the capacity by the rating curve"),
        ):
            slider.layout.width, slider.tooltip = "auto", tip
            self.words[name] = widgets.HTML(layout={"height": "20px", "margin": "0"})
            rows += [self.words[name], slider]
            slider.observe(lambda _: self.compute(), names="value")
        self.reset_button = widgets.Button(description="As measured", tooltip="Bring the sliders back to the visit")
        self.reset_button.on_click(lambda _: self.reset())
        rows.append(self.reset_button)
        self.file_name = widgets.Text(
            continuous_update=False, layout={"width": "340px"}, tooltip="Visit file; Enter loads it"
        )
        foot = widgets.HBox([widgets.HTML("<b>Visit file</b>"), self.file_name], layout={"margin": "6px 0 0"})
        self.frame = PanelFrame(widgets.VBox(rows), foot)
        self.widget = self.frame.widget
        self._quiet = False
        self.load(file)
        self.units_choice.observe(lambda _: self.compute(), names="value")
        self.file_name.observe(self._named, names="value")

    @property
    def units(self) -> UnitSystem:
        """Units that are shown."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def load(self, file: str | Path) -> None:
        """Bring in a visit file.

        Raises
        ------
        VisitError, AirsideError
            The file is not a valid visit in cooling.
        """
        doubt = visit_uncertainty(load_visit(file), count=LIVE_DRAWS)
        coil, reason = coil_of_visit(doubt)
        if coil is None:
            raise AirsideError(f"{file}: {reason}")
        self.doubt: VisitUncertainty = doubt
        self.coil: CoilPerformance = coil.performance
        self._quiet = True
        self.units_choice.value = doubt.visit.units
        self.file_name.value = str(file)
        self._quiet = False
        self.reset()

    def _named(self, change: Any) -> None:
        name = change["new"].strip()
        if self._quiet or not name:
            return
        try:
            self.load(name)
            self.frame.say(f"Loaded {name}.")
        except AirsideError as error:
            self.frame.say(f"{error}\nThe visit is still the one from before.", wrong=True)

    def reset(self) -> None:
        """Bring the sliders back to the measured conditions."""
        at = self.doubt.at_readings
        self._quiet = True
        self.airflow.value = 100
        _place(self.return_dry_bulb, float(np.asarray(at.return_air.dry_bulb)))
        _place(self.return_humidity, 100 * float(np.asarray(at.return_air.relative_humidity)))
        outdoor = at.outdoor_dry_bulb
        self.outdoor.disabled = outdoor is None
        if outdoor is not None:
            _place(self.outdoor, float(np.asarray(outdoor)))
        self._quiet = False
        self.compute()

    def _is_as_measured(self) -> bool:
        at = self.doubt.at_readings
        distances = [
            abs(self.return_dry_bulb.value - float(np.asarray(at.return_air.dry_bulb))) / 0.06,
            abs(self.return_humidity.value / 100 - float(np.asarray(at.return_air.relative_humidity))) / 0.003,
            abs(self.airflow.value - 100),
        ]
        if at.outdoor_dry_bulb is not None:
            distances.append(abs(self.outdoor.value - float(np.asarray(at.outdoor_dry_bulb))) / 0.06)
        return bool(max(distances) < 1)

    def compute(self) -> None:
        """Predict and show."""
        if self._quiet:
            return
        at, units = self.doubt.at_readings, self.units
        pressure = float(np.asarray(at.return_air.pressure))
        air = MoistAir.from_relative_humidity(self.return_dry_bulb.value, self.return_humidity.value / 100, pressure)
        flow = self.airflow.value / 100 * float(np.asarray(at.airflow.dry_air_mass_flow))
        rating, reason = rating_of(self.doubt.visit)
        warnings: list[VisitWarning] = []
        ratio: Any = 1.0
        self.expected = None
        if rating is not None and at.outdoor_dry_bulb is not None:
            here = Conditions("", at.return_air.wet_bulb, at.outdoor_dry_bulb)
            standard = float(np.asarray(at.airflow.standard_volume_flow))
            ratio = rating.capacity_ratio(here, standard, self.outdoor.value)
            there = Conditions("", air.wet_bulb, self.outdoor.value)
            why = rating.outside("these conditions", there, standard * self.airflow.value / 100, units)
            if why:
                warnings.append(VisitWarning("outside_curve", why))
            else:
                moved = standard * self.airflow.value / 100
                self.expected = float(np.asarray(rating.capacity(there, moved)))
        else:
            warnings.append(VisitWarning("no_curve", f"{reason or 'There is no outdoor air.'} The capacity is held."))
        self.prediction = predict_coil(self.coil, return_air=air, dry_air_mass_flow=flow, capacity_ratio=ratio)
        self._labels(air)
        self._show(self.prediction, air, warnings)

    def _labels(self, air: MoistAir) -> None:
        texts = {
            "Return dry bulb": show(float(np.asarray(air.dry_bulb)), "temperature", self.units),
            "Outdoor dry bulb": show(self.outdoor.value, "temperature", self.units),
        }
        for name, word in self.words.items():
            extra = f": <b>{escape(texts[name])}</b>" if name in texts else ""
            word.value = f'<span style="font-size:12px;line-height:1.3">{escape(name)}{extra}</span>'

    def _show(self, found: CoilPrediction, air: MoistAir, warnings: list[VisitWarning]) -> None:
        units, capacity = self.units, found.capacity
        total = float(np.asarray(capacity.total))
        if not np.isfinite(total):
            self.frame.stale(" ".join(found.notes()))
            return
        here = float(np.asarray(self.doubt.at_readings.capacity.total))
        what = "As measured" if self._is_as_measured() else "The same coil there"
        step = f"{(total / here - 1) * 100:+.1f}&nbsp;%"
        sentence = (
            f"{what}: <b>{escape(show(total, 'capacity', units))}</b> total"
            + ("" if self._is_as_measured() else f", {step} from the visit")
            + "."
        )
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
            figures.append(("Delivered over expected", show(total / self.expected, "percentage", units)))
        self.frame.show(sentence, figures, self._picture(found, air), warnings, list(found.notes()))

    def _picture(self, found: CoilPrediction, air: MoistAir) -> bytes:
        at = self.doubt.at_readings
        processes = [Process(at.return_air, at.supply_air, "as measured")]
        if not self._is_as_measured():
            processes.append(Process(air, found.supply_air, "the same coil there"))
        states = []
        apparatus = float(np.asarray(found.apparatus_dew_point))
        if np.isfinite(apparatus):
            dew = MoistAir.from_relative_humidity(apparatus, 1.0, float(np.asarray(air.pressure)))
            states.append(("apparatus dew point", dew))
        if self.expected is not None:
            # The same coil with the capacity that is expected of the equipment there.
            ratio = self.expected / float(np.asarray(at.capacity.total))
            flow = found.capacity.dry_air_mass_flow
            wanted = predict_coil(self.coil, return_air=air, dry_air_mass_flow=flow, capacity_ratio=ratio)
            if np.isfinite(float(np.asarray(wanted.supply_air.dry_bulb))):
                states.append(("expected supply", wanted.supply_air))
        axes = psychrometric_chart(processes, states=states, units=self.units)
        if np.isfinite(apparatus):
            # The coil's line goes on from the supply air to saturation.
            ends = (found.supply_air, states[0][1])
            x = [float(from_inside(float(np.asarray(s.dry_bulb)), "temperature", self.units)) for s in ends]
            y = [float(from_inside(float(np.asarray(s.humidity_ratio)), "humidity_ratio", self.units)) for s in ends]
            axes.plot(x, y, linestyle=(0, (1, 2)), color="#5A5A5A", linewidth=1.4, zorder=3.5)
        return figure_bytes(axes.figure, "png", dpi=105)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Coil performance: needs a running kernel and widgets to show.")


def _place(slider: Any, value: float) -> None:
    """Set a slider, and make it longer where what was measured lies beyond its ends."""
    slider.min, slider.max = min(slider.min, value), max(slider.max, value)
    slider.value = value
