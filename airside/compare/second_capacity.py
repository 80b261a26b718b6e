"""A second capacity from the refrigerant side, and whether it agrees with the air side.

Refrigerant mass flow, measured or by the compressor maker's coefficients, times the enthalpy that
each kg takes up between liquid line and suction line at the coil; less the indoor fan's heat, that is
what the air should show.

Sources
-------
10 CFR part 430 subpart B appendix M1: primary and secondary capacity agree within 6 % (from memory).
AHRI Standard 540: ten-term polynomial of compressor mass flow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from airside.air.blocks import Number
from airside.air.properties import Impossible
from airside.compare.compressor_table import CompressorTable, read_compressor_table
from airside.errors import AirsideError
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import Estimate, estimate
from airside.refrigerant import cycle, saturation
from airside.refrigerant.compressor import compressor_flow
from airside.results import Result, Row
from airside.units import percent
from airside.visit.inputs import Measured
from airside.visit.refrigerant_side import RefrigerantSide
from airside.visit.uncertainty import VisitUncertainty

# 10 CFR 430 subpart B appendix M1, from memory.
AGREEMENT = 0.06
# Standard uncertainty of a compressor map's mass flow; common practice, no source.
MAP_DOUBT = 0.05


@dataclass(frozen=True, eq=False, repr=False)
class SecondCapacity(Result):
    """Capacity by the refrigerant side beside that of the air side.

    Attributes
    ----------
    mass_flow : Estimate [kg/s]
    total : Estimate [W]
        Net of the indoor fan's heat, as the air side's, where `is_net`.
    difference : Estimate [fraction]
        Refrigerant side over air side, less one.
    probability_agree : float [fraction]
        That the two true figures are within 6 % of each other.
    source : str
        Where the mass flow comes from.
    is_net : bool
        Whether the indoor fan's power is known and its heat taken off.
    """

    mass_flow: Estimate
    total: Estimate
    difference: Estimate
    probability_agree: float
    source: str
    is_net: bool
    title = "Capacity by the refrigerant side"

    def rows(self) -> Iterable[Row]:
        """Mass flow, capacity, difference from the air side, probability of agreement."""
        found = [
            Row("refrigerant_mass_flow", self.mass_flow.value, "mass_flow", "", self.mass_flow.standard_uncertainty,
                self.mass_flow.interval_95),
            Row("total", self.total.value, "capacity", "total capacity", self.total.standard_uncertainty,
                self.total.interval_95),
            Row("difference", self.difference.value, "percentage", "from the air side",
                self.difference.standard_uncertainty, self.difference.interval_95),
        ]  # fmt: skip
        label = f"probability of agreeing within {percent(AGREEMENT)}"
        return [*found, Row("probability_agree", self.probability_agree, "percentage", label)]

    def notes(self) -> Iterable[str]:
        """The answer, and where the mass flow comes from."""
        low, high = self.difference.interval_95
        within = low <= AGREEMENT and high >= -AGREEMENT
        answer = (
            f"The refrigerant side is {percent(self.difference.value, 1, sign=True)} from the air side; "
            + ("given both uncertainties they may agree" if within else "given both uncertainties they do not agree")
            + f" within {percent(AGREEMENT)} (10 CFR 430 appendix M1)."
        )
        fan = (
            "The indoor fan's heat is taken off, as in the air side's capacity."
            if self.is_net
            else "The indoor fan's power is not known, so its heat is not taken off: the refrigerant side should be above "
            "the air side by as much."
        )
        return [answer, f"Refrigerant mass flow {self.source}.", fan]


def second_capacity(doubt: VisitUncertainty, refrigerant: RefrigerantSide | None) -> tuple[SecondCapacity | None, str]:
    """Capacity by the refrigerant side, and why there is none.

    Raises
    ------
    TableError
        The compressor table cannot be used.
    """
    visit = doubt.visit
    if refrigerant is None or visit.readings.refrigerant is None:
        return None, "The visit has no refrigerant readings."
    if visit.mode != "cooling":
        return None, "The refrigerant side's capacity is worked out for cooling."
    got = doubt.at_readings.refrigerant
    needed = ("suction_pressure", "liquid_pressure", "suction_line_at_coil", "liquid_line")
    missing = [n for n in needed if n not in got]
    if missing:
        return None, f"There is no {missing[0]} under [readings.refrigerant]."
    table: CompressorTable | None = None
    if "mass_flow" not in got:
        if visit.system.compressor_table is None:
            return None, "Neither a refrigerant mass flow nor a compressor table is given."
        folder = visit.path.parent if visit.path is not None else Path()
        table = read_compressor_table(folder / visit.system.compressor_table)
    try:
        here = _capacity(visit.system.refrigerant or "", doubt.at_readings, table, "raise", {})
    except AirsideError as error:
        return None, str(error)
    if not float(np.asarray(here[0])) > 0:
        return None, "The compressor table gives no flow above zero at these saturation temperatures; check its units."
    map_error = NamedError("compressor table", "compressor table", "method", MAP_DOUBT)
    errors = {"map": doubt.draws.of(map_error)} if table else {}
    drawn = _capacity(visit.system.refrigerant or "", doubt.measured, table, "nan", errors)
    keep = doubt.is_possible
    air = np.asarray(doubt.measured.capacity.total)
    air_here = float(np.asarray(doubt.at_readings.capacity.total))
    flow, total = (np.broadcast_to(np.asarray(v, dtype=np.float64), keep.shape) for v in drawn)
    difference = (total / air - 1)[keep]
    known = difference[np.isfinite(difference)]
    return SecondCapacity(
        estimate(float(np.asarray(here[0])), flow[keep]),
        estimate(float(np.asarray(here[1])), total[keep]),
        estimate(float(np.asarray(here[1])) / air_here - 1, difference),
        float(np.mean(np.abs(known) <= AGREEMENT)) if known.size else float("nan"),
        f"by the compressor table {table.path.name}, good to {percent(MAP_DOUBT)} (common practice, no source)"
        if table is not None
        else "as measured",
        doubt.at_readings.capacity.gross is not None,
    ), ""


def _capacity(
    name: str, measured: Measured, table: CompressorTable | None, impossible: Impossible, errors: Mapping[str, Number]
) -> tuple[Number, Number]:
    """Refrigerant mass flow [kg/s] and net capacity [W]."""
    got, barometer = measured.refrigerant, measured.return_air.pressure
    points = cycle.cycle_points(
        name, suction_pressure=got["suction_pressure"], suction_temperature=got["suction_line_at_coil"],
        liquid_pressure=got["liquid_pressure"], liquid_temperature=got["liquid_line"], barometric_pressure=barometer,
        impossible=impossible,
    )  # fmt: skip
    if table is not None:
        low, high = (cycle.absolute_pressure(got[n], barometer) for n in ("suction_pressure", "liquid_pressure"))
        flow = compressor_flow(
            table.mass_flow,
            saturation.dew_temperature(name, low, impossible=impossible),
            saturation.dew_temperature(name, high, impossible=impossible),
            temperature_unit=table.temperature_unit, flow_unit=table.flow_unit,
        )  # fmt: skip
        flow = flow * (1 + np.asarray(errors.get("map", 0.0)))
    else:
        flow = got["mass_flow"]
    gross = cycle.refrigerant_capacity(flow, points.suction_enthalpy, points.liquid_enthalpy)
    # The air side's capacity has the fan's heat in it, wherever the probes sit.
    fan: Any = 0.0
    if measured.capacity.gross is not None:
        fan = np.asarray(measured.capacity.gross) - np.asarray(measured.capacity.total)
    net: Number = gross - fan
    return flow, net
