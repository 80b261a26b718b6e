"""What healthy equipment delivers over conditions: by the manufacturer's table, or nominal capacity and a rating curve.

Its doubt has two parts, each with a name: the level (nominal capacity, or the table as a whole), and
the slopes with return air, outdoor air and airflow, which count the more the farther the conditions are
from rating condition A.

Sources
-------
10 CFR part 430 subpart B appendix M1, cooling test A. Rating curves and slopes' doubt: `airside.compare.curves`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from airside.air.blocks import Array, Number
from airside.air.state import MoistAir
from airside.compare.correction import Correction, rated_flow, standard_flow
from airside.compare.curves import Axis, rating_curve
from airside.compare.performance_table import PerformanceTable, read_performance_table
from airside.compare.reference import RATING, Conditions
from airside.instruments.named_error import NamedError
from airside.units import UnitSystem, percent, show
from airside.visit.schema import Visit

# Standard uncertainty of what the equipment delivers when it is well, as a part of nominal capacity with a rating
# curve, and of a manufacturer's table; common practice, no source.
NOMINAL_DOUBT = 0.05
TABLE_DOUBT = 0.03
# A table of one airflow is used as far as this from it [fraction]; common practice, no source.
ONE_FLOW_RANGE = 0.10
LEVEL = "expected/level"


@dataclass(frozen=True)
class Rating:
    """Cooling capacity of healthy equipment over conditions.

    Attributes
    ----------
    correction : Correction
        Rating curve or table, with its doubt.
    nominal_capacity : float [W] or None
        What a rating curve is scaled with; a table needs none.
    """

    correction: Correction
    nominal_capacity: float | None

    @property
    def table(self) -> PerformanceTable | None:
        """The table, where it is one."""
        source = self.correction.source
        return source if isinstance(source, PerformanceTable) else None

    @property
    def doubt_of_level(self) -> float:
        """Standard uncertainty of the level [fraction]."""
        return NOMINAL_DOUBT if self.table is None else TABLE_DOUBT

    def errors(self) -> list[NamedError]:
        """The level, and a slope for each axis."""
        name = "nominal capacity" if self.table is None else "performance table: level"
        return [NamedError(name, LEVEL, "curve", self.doubt_of_level), *self.correction.errors("capacity")]

    def start(self) -> tuple[Conditions, float]:
        """Conditions and flow [m³/s of standard air] where the slopes' doubt is zero: condition A at rated flow.

        In a table that does not reach it, its nearest point.
        """
        a = RATING["cooling"]["A"]
        if self.table is None:
            return a, self.correction.rated_flow
        indoor, outdoor, flow = self.correction.limits()
        near = Conditions(
            a.name, _into(float(np.asarray(a.indoor)), indoor), _into(float(np.asarray(a.outdoor)), outdoor)
        )
        return near, _into(self.correction.rated_flow, flow)

    def capacity(self, conditions: Conditions, flow: Number, errors: Mapping[str, Number] | None = None) -> Array:
        """Expected total capacity [W].

        Parameters
        ----------
        conditions : Conditions
            Return wet bulb and outdoor dry bulb.
        flow : float or array [m³/s of standard air]
        errors : mapping of str to array, optional
            Draws of `errors` by key; a missing one is zero.
        """
        errors = errors or {}
        start, at_flow = self.start()
        if self.table is not None:
            level = np.asarray(self.table.read("total", start.indoor, start.outdoor, at_flow, outside="extend"))
        else:
            assert self.nominal_capacity is not None
            ratio = self.correction.source.capacity_ratio(start.indoor, start.outdoor)  # type: ignore[union-attr]
            level = self.nominal_capacity * np.asarray(ratio)
        factors = self.correction.factors("capacity", start, at_flow, conditions, flow)
        found: Array = level * np.exp(errors.get(LEVEL, 0.0)) * self.correction.apply("capacity", factors, errors)
        return found

    def capacity_ratio(self, here: Conditions, flow: Number, outdoor: Number) -> Callable[[MoistAir, Number], Number]:
        """Capacity at another outdoor dry bulb over that here, for `airside.air.coil_prediction.predict_coil`.

        Parameters
        ----------
        here : Conditions
            Of the measured coil.
        flow : float or array [m³/s of standard air]
            Of the measured coil.
        outdoor : float or array [°C]
            The other outdoor dry bulb.

        Returns
        -------
        callable
            Of return air and dry air flow [kg/s]. A curve or table is read on beyond its ends: see `outside`.
        """
        measured = self.capacity(here, flow)

        def ratio(air: MoistAir, dry_air_mass_flow: Number) -> Number:
            there = self.capacity(Conditions("", air.wet_bulb, outdoor), standard_flow(dry_air_mass_flow))
            found: Array = there / measured
            return float(found) if found.ndim == 0 else found

        return ratio

    def outside(self, where: str, conditions: Conditions, flow: float, units: UnitSystem) -> str:
        """Why conditions cannot be used; empty where they can."""
        flows = self.correction.limits()[2]
        if self.table is None or flows.low < flows.high:
            return self.correction.outside(where, conditions, flow, units)
        if abs(flow / flows.low - 1) > ONE_FLOW_RANGE:
            one, found = (show(v, "volume_flow", units) for v in (flows.low, flow))
            return (
                f"{where}: the {self.correction.name} is for {one} alone, and the airflow is {found} of standard air, more than "
                f"{percent(ONE_FLOW_RANGE)} away."
            )
        # Without `same_flow` the flow is not looked at.
        return Correction(self.correction.source, self.correction.rated_flow, False).outside(
            where, conditions, flows.low, units
        )

    def assumptions(self, units: UnitSystem) -> tuple[str, ...]:
        """What is taken for granted."""
        if self.table is None:
            assert self.nominal_capacity is not None
            said = [
                f"Expected capacity: nominal capacity {show(self.nominal_capacity, 'nominal_capacity', units)} by the "
                f"{self.correction.name}.",
                rated_flow(self.nominal_capacity, 0.0)[1],
                f"Nominal capacity is good to {percent(NOMINAL_DOUBT)} (standard uncertainty); common practice, no source.",
            ]
        else:
            said = [
                f"Expected capacity: {self.correction.name}.",
                f"The table is good to {percent(TABLE_DOUBT)} (standard uncertainty); common practice, no source.",
            ]
            flows = self.correction.limits()[2]
            if flows.low == flows.high:
                said.append(f"The table has one airflow; it is used within {percent(ONE_FLOW_RANGE)} of it as it is.")
        return (
            *said,
            f"The slopes of expected capacity are good to {percent(self.correction.doubt)} of themselves, from rating condition A.",
            "Expected capacity is taken as net of fan heat, as delivered capacity is, and airflow as standard air at any elevation.",
        )


def _into(value: float, axis: Axis) -> float:
    return min(max(value, axis.low), axis.high)


def rating_of(visit: Visit) -> tuple[Rating | None, str]:
    """What the equipment of a visit should deliver, and why that is not known.

    Raises
    ------
    TableError
        The performance table cannot be used.
    """
    system = visit.system
    if visit.mode != "cooling":
        return None, "Expected capacity is given for cooling: nominal capacity is a cooling capacity."
    if system.performance_table is not None:
        folder = visit.path.parent if visit.path is not None else None
        path = folder / system.performance_table if folder is not None else system.performance_table
        return rating_by_table(read_performance_table(path, visit.table_units), system.nominal_capacity), ""
    if system.nominal_capacity is None:
        return None, (
            "No nominal capacity and no performance table is given, so there is nothing to expect. "
            "Add nominal_capacity or performance_table under [system]."
        )
    curve = rating_curve(system.equipment, visit.mode)
    if curve is None:
        return None, f"There is no rating curve for an {system.equipment} in {visit.mode}."
    return Rating(Correction(curve, rated_flow(system.nominal_capacity, 0.0)[0], True), system.nominal_capacity), ""


def rating_by_table(table: PerformanceTable, nominal_capacity: float | None = None) -> Rating:
    """The rating that a performance table gives.

    Parameters
    ----------
    table : PerformanceTable
    nominal_capacity : float [W], optional
        Gives the rated flow; without it, that is the middle of the table's.
    """
    flows = table.limits()[2]
    rated = (flows.low + flows.high) / 2
    if nominal_capacity is not None:
        rated = rated_flow(nominal_capacity, rated)[0]
    return Rating(Correction(table, rated, flows.low < flows.high), nominal_capacity)
