"""The cooling coil of a visit, each figure with its doubt through the visit's draws."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np

from airside.air import properties
from airside.air.blocks import Number
from airside.air.coil import CoilPerformance, coil_performance
from airside.air.coil_status import CoilStatus
from airside.air.state import MoistAir
from airside.results import Result, Row, rows_to_dict
from airside.units import probability, show_difference
from airside.visit.inputs import Measured
from airside.visit.uncertainty import VisitUncertainty

FanPlace = Literal["after coil", "before coil"]


@dataclass(frozen=True, eq=False, repr=False)
class VisitCoil(Result):
    """The coil as one visit shows it.

    Attributes
    ----------
    doubt : VisitUncertainty
    performance : CoilPerformance
        At the readings.
    drawn : CoilPerformance
        For each draw.
    assumptions : tuple of str
    """

    doubt: VisitUncertainty
    performance: CoilPerformance
    drawn: CoilPerformance
    assumptions: tuple[str, ...] = ()
    title = "Cooling coil"

    @cached_property
    def _rows(self) -> list[Row]:
        return self.doubt.with_doubt(self.performance.rows(), self.drawn.rows())

    def rows(self) -> Iterable[Row]:
        """Every figure of the coil with uncertainty and interval; among draws that have it."""
        return self._rows

    @cached_property
    def counts(self) -> dict[CoilStatus, int]:
        """How many of the possible draws have each status, most first."""
        codes = np.broadcast_to(np.asarray(self.drawn.status), (self.doubt.draws.count,))[self.doubt.is_possible]
        values, counts = np.unique(codes, return_counts=True)
        found = {CoilStatus(int(v)): int(n) for v, n in zip(values, counts, strict=True)}
        return dict(sorted(found.items(), key=lambda item: -item[1]))

    @property
    def probability_wet(self) -> float:
        """Probability that the coil takes water from the air [fraction]; NaN where no draw tells."""
        known = sum(n for status, n in self.counts.items() if status != CoilStatus.UNKNOWN)
        wet = self.counts.get(CoilStatus.WET, 0) + self.counts.get(CoilStatus.NO_MEETING, 0)
        return wet / known if known else float("nan")

    def notes(self) -> Iterable[str]:
        """Wet or dry, how often the draws say otherwise, and what was assumed."""
        status = self.performance.status
        assert isinstance(status, CoilStatus)
        found = [status.sentence]
        if np.isfinite(self.probability_wet):
            found.append(f"The probability that the coil is wet is {probability(self.probability_wet)}.")
        without = {k: n for k, n in self.counts.items() if k != CoilStatus.WET}
        if without and status == CoilStatus.WET:
            why = ", ".join(f"{n:,} {k.words}" for k, n in without.items())
            found.append(
                f"{sum(without.values()):,} of {sum(self.counts.values()):,} draws have no apparatus dew point ({why}); "
                "intervals of it and of the bypass factor are of the others."
            )
        return [*found, *self.assumptions]

    def to_dict(self) -> dict[str, Any]:
        """``status``, ``probability_wet``, every figure in SI with ``_u`` and ``_95``, ``notes``."""
        status = self.performance.status
        assert isinstance(status, CoilStatus)
        wet = self.probability_wet
        return {
            "status": status.words,
            "probability_wet": wet if np.isfinite(wet) else None,
            **rows_to_dict(self._rows),
            "notes": list(self.notes()),
        }


def coil_of_visit(
    doubt: VisitUncertainty,
    surface_temperature: float | None = None,
    surface_temperature_draws: Number | None = None,
    *,
    fan: FanPlace | None = None,
) -> tuple[VisitCoil | None, str]:
    """The coil of a visit, and why there is none.

    Parameters
    ----------
    doubt : VisitUncertainty
    surface_temperature : float [°C], optional
        Saturated suction temperature, or that of the coil's surface, at the readings.
    surface_temperature_draws : array, shape (draws,) [°C], optional
        Its draws; default: without doubt.
    fan : "after coil" or "before coil", optional
        Where the fan sits that the probes have between them: its heat is then taken out of the air at
        that probe. Default: as the visit says under [fan]; else the coil is described by the air at the
        probes, fan and all.

    Returns
    -------
    tuple of VisitCoil or None, and str
        The coil, or the reason why there is none.
    """
    if doubt.visit.mode != "cooling":
        return None, "The visit is in heating: the coil's figures are of a cooling coil."
    if fan is None and doubt.visit.fan is not None:
        fan = doubt.visit.fan.place
    assumptions = ["Bypass factor by enthalpy, as in the EnergyPlus Engineering Reference."]
    warming = _fan_warming(doubt, doubt.at_readings)
    if warming is not None:
        amount = show_difference(float(np.asarray(warming)), "temperature", doubt.visit.units)
        if fan is None:
            assumptions.append(
                f"The coil is described by the air at the probes. The fan between them warms it by {amount}; that is "
                "not taken out, because it is not known whether it blows into the coil or draws from it."
            )
        else:
            assumptions.append(f"The fan's heat, {amount}, is taken out of the air {fan.replace(' ', ' the ')}.")
    found = []
    for measured, surface in (
        (doubt.at_readings, surface_temperature),
        (doubt.measured, surface_temperature if surface_temperature_draws is None else surface_temperature_draws),
    ):
        entering, leaving = _at_coil(doubt, measured, fan)
        flow = measured.airflow.dry_air_mass_flow
        with_surface = surface if surface_temperature is not None else None
        found.append(coil_performance(entering, leaving, flow, surface_temperature=with_surface))
    return VisitCoil(doubt, found[0], found[1], tuple(assumptions)), ""


def _fan_warming(doubt: VisitUncertainty, measured: Measured) -> Number | None:
    """What the fan between the probes warms the air by [K]; None where there is none that is known."""
    capacity, fan = measured.capacity, doubt.visit.fan
    if capacity.gross is None or (fan is not None and fan.position != "between probes"):
        return None
    heat = properties.specific_heat(measured.supply_air.humidity_ratio)
    power = np.subtract(capacity.gross, capacity.total)
    warming: Number = power / (np.asarray(measured.airflow.dry_air_mass_flow) * heat)
    return warming


def _at_coil(doubt: VisitUncertainty, measured: Measured, fan: FanPlace | None) -> tuple[MoistAir, MoistAir]:
    """Air on both sides of the coil alone."""
    entering, leaving = measured.return_air, measured.supply_air
    warming = _fan_warming(doubt, measured)
    if fan is None or warming is None:
        return entering, leaving
    air, shift = (leaving, -np.asarray(warming)) if fan == "after coil" else (entering, np.asarray(warming))
    moved = MoistAir.from_humidity_ratio(air.dry_bulb + shift, air.humidity_ratio, air.pressure, impossible="nan")
    return (entering, moved) if fan == "after coil" else (moved, leaving)
