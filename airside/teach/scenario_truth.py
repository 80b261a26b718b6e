"""The system of a scenario as it really is: capacity by the rating curve with slopes of its own, its coil, its faults.

What is true of a stage follows from the conditions that the seed draws. Faults of airflow act through the curve and the
coil; a fault of charge multiplies capacity and power; both together multiply each other, as in NIST TN 1848.

Sources
-------
Rating curves: NREL/TP-5500-56354 (`airside.compare.curves`). Charge: NIST Technical Note 1848
(`airside.teach.scenario_charge`). Coil: EnergyPlus Engineering Reference (`airside.air.coil_prediction`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from airside.air.blocks import Number
from airside.air.coil import CoilPerformance, coil_performance
from airside.air.coil_prediction import CoilPrediction, predict_coil
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.air.coil_status import CoilStatus, describe
from airside.air.process import Capacity, delivered_capacity
from airside.air.properties import dry_bulb_from_enthalpy
from airside.air.state import MoistAir
from airside.compare.correction import Correction, rated_flow, standard_flow
from airside.compare.curves import SLOPE_DOUBT, rating_curve
from airside.compare.rating import LEVEL, Rating
from airside.compare.reference import RATING, Conditions
from airside.errors import Problem
from airside.instruments.defaults import WEATHER_PRESSURE
from airside.teach.scenario import ScenarioError, pressure_of
from airside.teach.scenario_charge import charge_ratio
from airside.teach.scenario_schema import STAGES, Scenario
from airside.units import show

# Return air of rating condition A: 80 °F dry bulb (10 CFR part 430 subpart B appendix M1, from memory).
RATED_DRY_BULB = (80 - 32) / 1.8
# A slope that would turn round, or be three times as steep, is no equipment.
LEAST_SLOPE, MOST_SLOPE = -0.9, 2.0
SLOPES = ("indoor", "outdoor", "flow")


@dataclass(frozen=True)
class StageTruth:
    """What is true before or after.

    Attributes
    ----------
    stage : "before" or "after"
    return_air, supply_air : MoistAir
        At the probes; the fan lies between them.
    outdoor_dry_bulb : float [°C]
    volume_flow : float [m³/s]
        Actual volume of return air.
    capacity : Capacity
        Delivered, net of fan heat.
    power : float [W] or None
        Of the outdoor unit.
    coil : CoilPrediction
        Without fan heat.
    airflow_fault, charge_fault : float [fraction]
    charge_capacity : float [fraction]
        What the charge fault multiplies capacity with.
    """

    stage: str
    return_air: MoistAir
    supply_air: MoistAir
    outdoor_dry_bulb: float
    volume_flow: float
    capacity: Capacity
    power: float | None
    coil: CoilPrediction
    airflow_fault: float
    charge_fault: float
    charge_capacity: float

    @property
    def total(self) -> float:
        """Delivered total capacity [W]."""
        return float(np.asarray(self.capacity.total))

    @property
    def dry_air_mass_flow(self) -> float:
        """Dry air [kg/s]."""
        return float(np.asarray(self.capacity.dry_air_mass_flow))


@dataclass(frozen=True)
class PairTruth:
    """What is true before and after, and of the change.

    Attributes
    ----------
    before, after : StageTruth
    change : float [fraction]
        Of total capacity, as it was in both visits.
    change_at_before : float [fraction]
        The same with the after system at the conditions of the before visit.
    slopes : dict of str to float
        How far the system's own slopes are from the curve's, as a part of them.
    """

    before: StageTruth
    after: StageTruth
    change: float
    change_at_before: float
    slopes: dict[str, float]

    def stage(self, name: str) -> StageTruth:
        """A stage by its name."""
        return self.before if name == "before" else self.after


class TrueSystem:
    """The equipment of a scenario as it is.

    Parameters
    ----------
    scenario : Scenario
    slopes : dict of str to float, optional
        Its own slopes against the curve's: 0.2 is a fifth steeper; default as the curve.

    Raises
    ------
    ScenarioError
        There is no rating curve for it, or its coil cannot be.
    """

    def __init__(self, scenario: Scenario, slopes: dict[str, float] | None = None) -> None:
        self.scenario, system = scenario, scenario.system
        curve = rating_curve(system.equipment, "cooling")
        assert curve is not None
        self.curve = curve
        self.rating = Rating(
            Correction(curve, rated_flow(system.nominal_capacity, 0.0)[0], True), system.nominal_capacity
        )
        own = slopes or {}
        self.errors = {LEVEL: float(np.log(system.capacity_of_nominal))}
        self.errors |= {f"curve/{q}/{a}": own.get(a, 0.0) for q in ("capacity", "power") for a in SLOPES}
        self.fan = scenario.fan.power if scenario.fan is not None else 0.0
        self.healthy = self._healthy_coil()

    def _with_usual_flow(self, why: str) -> str:
        """A sentence on a flow ratio, with what its two sides are."""
        units, nominal = self.scenario.units, self.scenario.system.nominal_capacity
        usual = show(self.rating.correction.rated_flow, "volume_flow", units)
        return f"{why} The ratio is 1 at {usual}, which is usual for {show(nominal, 'nominal_capacity', units)}. Check both."

    def _healthy_coil(self) -> CoilPerformance:
        """The coil at rating condition A, as predict_coil needs it."""
        a = RATING["cooling"]["A"]
        pressure = pressure_of(self.scenario)
        entering = MoistAir.from_wet_bulb(RATED_DRY_BULB, float(np.asarray(a.indoor)), pressure)
        flow = self.scenario.airflow.volume_flow / float(np.asarray(entering.specific_volume))
        standard = float(np.asarray(standard_flow(flow)))
        why = self.rating.outside("without fault", a, standard, self.scenario.units)
        if why:
            raise ScenarioError("scenario", [Problem(self._with_usual_flow(why), "airflow.volume_flow")])
        gross = self.net(entering, float(np.asarray(a.outdoor)), flow, 0.0) + self.fan
        bypass = self.scenario.system.coil_bypass_factor
        enthalpy = float(np.asarray(entering.enthalpy))
        surface = saturated_temperature_from_enthalpy(enthalpy - gross / flow / (1 - bypass), pressure)
        where = "airflow.volume_flow"
        if not float(np.asarray(surface)) > 0:
            raise ScenarioError("scenario", [Problem(
                "at rating condition A the coil would be below freezing: too little airflow for its capacity.", where
            )])  # fmt: skip
        coldest = MoistAir.from_relative_humidity(surface, 1.0, pressure)
        ratio = coldest.humidity_ratio + bypass * (entering.humidity_ratio - coldest.humidity_ratio)
        leaving = MoistAir.from_humidity_ratio(
            dry_bulb_from_enthalpy(enthalpy - gross / flow, ratio), ratio, pressure, impossible="nan"
        )
        found = coil_performance(entering, leaving, flow)
        if found.status is not CoilStatus.WET or not np.isfinite(float(np.asarray(found.bypass_factor))):
            raise ScenarioError("scenario", [Problem(
                f"at rating condition A there is no such coil: {describe(found.status)} Change the airflow, or coil_bypass_factor.",
                where,
            )])  # fmt: skip
        return found

    def net(self, air: MoistAir, outdoor: float, flow: Number, charge_fault: float) -> float:
        """Delivered capacity [W] by the curve with the system's own slopes, with the charge's fault."""
        there = Conditions("", air.wet_bulb, outdoor)
        found = self.rating.capacity(there, standard_flow(flow), self.errors)
        return float(found) * float(charge_ratio("capacity", charge_fault, float(np.asarray(air.dry_bulb)), outdoor))

    def coil(self, air: MoistAir, outdoor: float, flow: float, charge_fault: float) -> CoilPrediction:
        """What the coil gives at these conditions; the fan's heat is still to come."""
        had = float(np.asarray(self.healthy.enthalpy_difference)) * float(np.asarray(self.healthy.dry_air_mass_flow))

        def ratio(state: MoistAir, mass_flow: Number) -> Number:
            return (self.net(state, outdoor, mass_flow, charge_fault) + self.fan) / had

        return predict_coil(self.healthy, return_air=air, dry_air_mass_flow=flow, capacity_ratio=ratio)

    def with_fan(self, air: MoistAir, flow: float) -> MoistAir:
        """Air behind the fan."""
        warm = dry_bulb_from_enthalpy(np.asarray(air.enthalpy) + self.fan / flow, air.humidity_ratio)
        return MoistAir(float(warm) if np.ndim(warm) == 0 else warm, air.humidity_ratio, air.pressure)

    def flow_of(self, stage: str) -> float:
        """Actual volume of return air with the stage's fault [m³/s]."""
        return self.scenario.airflow.volume_flow * (1 + self.scenario.stage(stage).airflow_fault)

    def at(self, stage: str, air: MoistAir, outdoor: float, mass_flow: float | None = None) -> StageTruth:
        """The truth of a stage's system under conditions.

        Parameters
        ----------
        stage : "before" or "after"
        air : MoistAir
            Return air.
        outdoor : float [°C]
        mass_flow : float [kg/s], optional
            Default: that of the stage's volume flow.

        Raises
        ------
        ScenarioError
            The coil has no answer there.
        """
        fault = self.scenario.stage(stage)
        flow = self.flow_of(stage) / float(np.asarray(air.specific_volume)) if mass_flow is None else mass_flow
        coil = self.coil(air, outdoor, flow, fault.charge_fault)
        if coil.status not in (CoilStatus.WET, CoilStatus.DRY):
            assert isinstance(coil.status, CoilStatus)
            raise ScenarioError("scenario", [Problem(f"the coil has no answer here. {describe(coil.status)}", stage)])
        supply = self.with_fan(coil.supply_air, flow)
        capacity = delivered_capacity(air, supply, flow, fan_power=self.fan or None)
        dry_bulb = float(np.asarray(air.dry_bulb))
        return StageTruth(
            stage, air, supply, outdoor, self.flow_of(stage), capacity,
            self._power(air, outdoor, flow, fault.charge_fault), coil, fault.airflow_fault, fault.charge_fault,
            float(charge_ratio("capacity", fault.charge_fault, dry_bulb, outdoor)),
        )  # fmt: skip

    def _power(self, air: MoistAir, outdoor: float, flow: float, charge_fault: float) -> float | None:
        rated = self.scenario.system.rated_power
        if rated is None:
            return None
        start, at_flow = self.rating.start()
        correction = self.rating.correction
        there = Conditions("", air.wet_bulb, outdoor)
        factors = correction.factors("power", start, at_flow, there, standard_flow(flow))
        dry_bulb = float(np.asarray(air.dry_bulb))
        ratio = float(correction.apply("power", factors, self.errors))
        return rated * ratio * float(charge_ratio("power", charge_fault, dry_bulb, outdoor))

    def outside(self, stage: str, air: MoistAir, outdoor: float) -> tuple[str, str] | None:
        """Why a condition cannot be used, and the field that is to be changed; None where it can."""
        flow = self.flow_of(stage) / float(np.asarray(air.specific_volume))
        here = Conditions("", float(np.asarray(air.wet_bulb)), outdoor)
        why = self.rating.outside(
            "at an end of the ranges", here, float(np.asarray(standard_flow(flow))), self.scenario.units
        )
        if why:
            return (self._with_usual_flow(why), "airflow.volume_flow") if "flow ratio" in why else (why, "")
        try:
            self.at(stage, air, outdoor)
        except ScenarioError as error:
            return error.problems[0].message, ""
        return None


def true_pair(scenario: Scenario, seed: int) -> PairTruth:
    """Draw the conditions of both visits and the system's own slopes; the same seed, the same truth.

    Parameters
    ----------
    scenario : Scenario
    seed : int
        0 or above.

    Raises
    ------
    ScenarioError
        The coil has no answer at the drawn conditions.
    """
    random = np.random.default_rng([seed, 1848])
    doubt = scenario.system.slope_doubt
    size = SLOPE_DOUBT if doubt is None else doubt
    slopes = {a: float(np.clip(size * random.standard_normal(), LEAST_SLOPE, MOST_SLOPE)) for a in SLOPES}
    system = TrueSystem(scenario, slopes)
    found = []
    for stage in STAGES:
        drawn = [
            float(random.uniform(*scenario.range_of(stage, q)))
            for q in ("return_dry_bulb", "return_relative_humidity", "outdoor_dry_bulb")
        ]
        pressure = pressure_of(scenario) * (1 + WEATHER_PRESSURE * float(random.standard_normal()))
        air = MoistAir.from_relative_humidity(drawn[0], drawn[1], pressure)
        found.append(system.at(stage, air, drawn[2]))
    before, after = found
    moved = system.at("after", before.return_air, before.outdoor_dry_bulb, after.dry_air_mass_flow)
    return PairTruth(before, after, after.total / before.total - 1, moved.total / before.total - 1, slopes)
