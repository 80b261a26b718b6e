"""Why one visit's capacity is what it is: coil, expected against delivered, refrigerant side, efficiency, findings.

Capacity alone does not say why. Each block says what it knows with its doubt, or why it knows
nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.compare.expected import Expected, expected_of_visit
from airside.compare.second_capacity import SecondCapacity, second_capacity
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import estimate
from airside.refrigerant import targets
from airside.refrigerant.causes import Findings, what_readings_say
from airside.results import Row, rows_to_dict
from airside.units import UnitSystem
from airside.visit.coil_block import VisitCoil, coil_of_visit
from airside.visit.plausibility import VisitWarning
from airside.visit.refrigerant_side import RefrigerantSide, device_of, refrigerant_side
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

# Dry-bulb drop across the coil at about 50 % return RH [K]: 16 to 22 °F; common practice, no source.
TEMPERATURE_DROP = (16 / 1.8, 22 / 1.8)


@dataclass(frozen=True, eq=False)
class Explanation:
    """What a visit's readings say beside its capacity.

    Attributes
    ----------
    doubt : VisitUncertainty
    coil, expected, refrigerant, second : result or None
    findings : Findings or None
    reasons : dict of str to str
        Why a block is not there, by its name.
    """

    doubt: VisitUncertainty
    coil: VisitCoil | None
    expected: Expected | None
    refrigerant: RefrigerantSide | None
    second: SecondCapacity | None
    findings: Findings | None
    reasons: dict[str, str]

    @cached_property
    def efficiency(self) -> list[Row]:
        """Efficiency with its doubt: total, and of the outdoor unit alone."""
        return _efficiency(self.doubt)

    def warnings(self) -> tuple[VisitWarning, ...]:
        """What looks misread on the refrigerant side."""
        return self.refrigerant.warnings if self.refrigerant is not None else ()

    def blocks(self) -> list[tuple[str, list[Row], list[str]]]:
        """Heading, rows and sentences of each block that is there."""
        found: list[tuple[str, list[Row], list[str]]] = []
        for part in (self.expected, self.coil, self.refrigerant, self.second):
            if part is not None:
                found.append((part.title, list(part.rows()), list(part.notes())))
        if self.efficiency:
            found.append(("Efficiency", self.efficiency, []))
        return found

    def finding_sentences(self, units: UnitSystem) -> list[str]:
        """What the readings say together; it suggests what to look at, and never orders work."""
        return self.findings.sentences(units) if self.findings is not None else []

    def to_dict(self) -> dict[str, Any]:
        """JSON keys ``coil``, ``refrigerant``, ``expected``, ``efficiency``, ``findings``."""

        def part(name: str, value: Any) -> Any:
            return value.to_dict() if value is not None else {"reason": self.reasons.get(name, "not known")}

        refrigerant = part("refrigerant", self.refrigerant)
        if self.refrigerant is not None:
            refrigerant["second_capacity"] = part("second_capacity", self.second)
        return {
            "coil": part("coil", self.coil),
            "refrigerant": refrigerant,
            "expected": part("expected", self.expected),
            "efficiency": rows_to_dict(self.efficiency)
            if self.efficiency
            else {"reason": "The visit has no electric power under [readings.power]."},
            "findings": part("findings", self.findings),
        }


def explain(visit: Visit | VisitUncertainty, *, limit: float = 0.9) -> Explanation:
    """Explain one visit.

    Parameters
    ----------
    visit : Visit or VisitUncertainty
        The latter saves drawing again: ``airside.analyse(visit).doubt``.
    limit : float [fraction]
        Delivered over expected below which something is likely wrong.

    Raises
    ------
    VisitError, TableError
        Refrigerant readings or tables that cannot be used.
    """
    doubt = visit_uncertainty(visit) if isinstance(visit, Visit) else visit
    reasons: dict[str, str] = {}
    refrigerant, reasons["refrigerant"] = refrigerant_side(doubt)
    surface = surface_draws = None
    if refrigerant is not None and "saturated_suction" in refrigerant.at_readings:
        surface = float(np.asarray(refrigerant.at_readings["saturated_suction"][0]))
        surface_draws = refrigerant.draws("saturated_suction")
    coil, reasons["coil"] = coil_of_visit(doubt, surface, surface_draws)
    expected, reasons["expected"] = expected_of_visit(doubt, limit=limit)
    second, reasons["second_capacity"] = second_capacity(doubt, refrigerant)
    findings, reasons["findings"] = _findings(doubt, refrigerant)
    return Explanation(doubt, coil, expected, refrigerant, second, findings, reasons)


def _efficiency(doubt: VisitUncertainty) -> list[Row]:
    """Capacity over power: of the whole system, and of the outdoor unit alone where its power is known."""
    at, drawn = doubt.at_readings, doubt.measured
    powers: dict[str, tuple[float, Any]] = {}
    for name, here, there in (
        ("total", at.power, drawn.power), ("outdoor_unit", at.outdoor_unit_power, drawn.outdoor_unit_power),
    ):  # fmt: skip
        if here is not None and there is not None:
            powers[name] = (float(np.asarray(here)), np.asarray(there))
    rows = []
    for name, (power, draws) in powers.items():
        if power <= 0:
            continue
        found = estimate(
            float(np.asarray(at.capacity.total)) / power,
            (np.asarray(drawn.capacity.total) / draws)[doubt.is_possible],
        )
        label = "efficiency (COP, EER)" if name == "total" else "of the outdoor unit alone"
        rows.append(Row(f"coefficient_of_performance_{name}" if name != "total" else "coefficient_of_performance",
                        found.value, "efficiency", label, found.standard_uncertainty, found.interval_95))  # fmt: skip
    return rows


def _findings(doubt: VisitUncertainty, refrigerant: RefrigerantSide | None) -> tuple[Findings | None, str]:
    """Rank candidate causes by the deviations from what is expected, with the expectation's own doubt."""
    if doubt.visit.mode != "cooling":
        return None, "The rule tables are for cooling."
    if refrigerant is None:
        return None, "The visit has no refrigerant readings."
    expectations = _expectations(doubt, refrigerant)
    device = "fixed orifice" if device_of(doubt.visit) == "fixed orifice" else "thermostatic valve"
    deviations = {}
    for name, (draws, low, high) in expectations.items():
        # The range is taken as rectangular: what is right for this unit may be anywhere in it.
        spread = (high - low) / 12**0.5
        error = doubt.draws.of(NamedError(f"expected {name}", f"expected/{name}", "method", spread, "rectangular"))
        middle = (low + high) / 2
        deviations[name] = np.where(doubt.is_possible, draws - middle - error, np.nan)
    return what_readings_say(deviations, device), ""


def _expectations(doubt: VisitUncertainty, refrigerant: RefrigerantSide) -> dict[str, tuple[Array, float, float]]:
    """Draws of each reading of the rule tables, and the range [K] in which it is expected."""
    found: dict[str, tuple[Array, float, float]] = {}
    for target in refrigerant.targets:
        name = "superheat" if target.name.startswith("superheat") else "subcooling"
        found[name] = (refrigerant.draws(target.name), target.low, target.high)
    if "condensing_over_outdoor" in refrigerant.drawn:
        found["condensing_over_outdoor"] = (
            refrigerant.draws("condensing_over_outdoor"), *targets.CONDENSING_OVER_OUTDOOR,
        )  # fmt: skip
    if "suction_below_return" in refrigerant.drawn:
        found["suction_below_return"] = (refrigerant.draws("suction_below_return"), *targets.SUCTION_BELOW_RETURN)
    air = doubt.measured
    drop = np.asarray(air.return_air.dry_bulb) - np.asarray(air.supply_air.dry_bulb)
    # The customary drop is for about half saturated return air.
    if 0.4 <= float(np.asarray(doubt.at_readings.return_air.relative_humidity)) <= 0.6:
        found["temperature_drop"] = (np.broadcast_to(drop, (doubt.draws.count,)), *TEMPERATURE_DROP)
    return found
