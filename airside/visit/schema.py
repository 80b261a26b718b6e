"""The visit file as pydantic models: tables, fields, kinds of numbers. Values inside are SI.

Format "airside visit 1". Messages for people are made in `airside.visit.problems`.
"""

from __future__ import annotations

from datetime import date as Day  # a field named date would hide the type
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from airside.units import UnitSystem
from airside.visit import quantities as q
from airside.visit.accuracy_schema import (
    BarometricPressureAccuracy,
    DuctPressureAccuracy,
    HumidityAccuracy,
    Instrument,
    PowerAccuracy,
    RefrigerantPressureAccuracy,
    Table,
    TemperatureAccuracy,
    VelocityAccuracy,
    VolumeFlowAccuracy,
    problem,
)
from airside.visit.logs.stretch_record import StretchRecord

FORMAT = "airside visit 1"
Place = Literal["return", "supply"]


class Site(Table):
    """Where: gives the barometric pressure; name and address are for the report."""

    name: str | None = None
    address: str | None = None
    elevation: q.Elevation | None = None
    barometric_pressure: q.BarometricPressure | None = None
    instrument: str | None = None

    @model_validator(mode="after")
    def _one(self) -> Site:
        if self.elevation is None and self.barometric_pressure is None:
            raise problem("found neither elevation nor barometric_pressure; expected at least one of them.")
        return self


class System(Table):
    """The equipment as its plate and its owner name it."""

    name: str | None = None
    equipment: Literal["air conditioner", "heat pump"] = "air conditioner"
    nominal_capacity: q.NominalCapacity | None = None
    refrigerant: str | None = None
    metering_device: str | None = None
    # What they are now, in words: where the words differ between two visits, the airflow's error is not shared.
    coil: str | None = None
    filter: str | None = None
    # The manufacturer's: CSV files, named relative to the visit file.
    performance_table: str | None = None
    target_superheat_table: str | None = None
    compressor_table: str | None = None
    # From the nameplate.
    target_superheat: q.TemperatureDifference | None = None
    target_subcooling: q.TemperatureDifference | None = None
    charge: q.Mass | None = None


class Fan(Table):
    """The indoor fan, for gross against net capacity."""

    power: q.Powers
    position: Literal["between probes", "outside probes"] = "between probes"
    # On which side of the coil it sits; takes its heat out of the coil's figures where it is between the probes.
    place: Literal["after coil", "before coil"] | None = None
    instrument: str | None = None


class Evidence(Table):
    """What every airflow method may have."""

    at: Place | None = None
    relative_uncertainty: q.Fraction | None = None
    instrument: str | None = None


class FanTable(Evidence):
    """Static pressure into a fan table."""

    method: Literal["fan table"]
    table: str
    speed: str
    external_static_pressure: q.DuctPressures


class Measured(Evidence):
    """Flow read directly."""

    method: Literal["measured"]
    volume_flow: q.VolumeFlows
    basis: Literal["actual", "standard"]


class Traverse(Evidence):
    """Duct traverse."""

    method: Literal["traverse"]
    shape: Literal["rectangular", "round"]
    width: q.DuctSide | None = None
    height: q.DuctSide | None = None
    diameter: q.DuctSide | None = None
    velocity: q.Velocities | None = None
    velocity_pressure: q.DuctPressures | None = None


class TemperatureRise(Evidence):
    """Temperature rise over a heat input."""

    method: Literal["temperature rise"]
    heat_input: q.Heats | None = None
    voltage: q.Voltages | None = None
    current: q.Currents | None = None
    phases: Literal[1, 3] = 1
    fuel_input: q.Heats | None = None
    efficiency: q.Fraction | None = None
    temperature_rise: q.TemperatureDifferences
    test_dry_bulb: q.Temperature | None = None


class PressureMatch(Evidence):
    """Calibrated device in the airstream."""

    method: Literal["pressure match"]
    device_flow: q.VolumeFlows
    normal_static_pressure: q.DuctPressures
    device_static_pressure: q.DuctPressures
    basis: Literal["actual", "indicated"] = "actual"


class CoilPressureDrop(Evidence):
    """Pressure drop over the coil."""

    method: Literal["coil pressure drop"]
    table: str
    coil: Literal["dry", "wet"]
    pressure_drop: q.DuctPressures


class RuleOfThumb(Evidence):
    """A customary flow for the nominal capacity."""

    method: Literal["rule of thumb"]
    flow_per_capacity: q.FlowPerCapacity


AirflowEvidence = Annotated[
    FanTable | Measured | Traverse | TemperatureRise | PressureMatch | CoilPressureDrop | RuleOfThumb,
    Field(discriminator="method"),
]
EVIDENCE: dict[str, type[Evidence]] = {
    "fan table": FanTable,
    "measured": Measured,
    "traverse": Traverse,
    "temperature rise": TemperatureRise,
    "pressure match": PressureMatch,
    "coil pressure drop": CoilPressureDrop,
    "rule of thumb": RuleOfThumb,
}


HUMIDITIES = ("relative_humidity", "wet_bulb", "dew_point")


class AirReadings(Table):
    """Readings of one probe: dry bulb and one humidity, in the order in which they were taken."""

    instrument: str | None = None
    # Standard uncertainty of the dry bulb because the stream is not quite mixed where the probe sits.
    placement: q.TemperatureDifference | None = None
    dry_bulb: q.Temperatures
    relative_humidity: q.RelativeHumidities | None = None
    wet_bulb: q.Temperatures | None = None
    dew_point: q.Temperatures | None = None

    @property
    def humidity_name(self) -> str | None:
        """Which humidity was read."""
        return next((name for name in HUMIDITIES if getattr(self, name) is not None), None)

    @model_validator(mode="after")
    def _lengths(self) -> AirReadings:
        given = [name for name in HUMIDITIES if getattr(self, name) is not None]
        if len(given) > 1:
            raise problem(f"found {' and '.join(given)}; expected one humidity. Take the others out.")
        for name in given:
            count = len(getattr(self, name))
            if count != len(self.dry_bulb):
                raise problem(
                    f"found {len(self.dry_bulb)} dry_bulb and {count} {name}; expected equal lengths, because each "
                    "pair is one reading. A decimal comma makes two numbers of one."
                )
        return self


class DuctAir(AirReadings):
    """Readings in the duct: a humidity is needed."""

    @model_validator(mode="after")
    def _humidity(self) -> DuctAir:
        if self.humidity_name is None:
            raise problem("found no humidity; expected one of relative_humidity, wet_bulb or dew_point.")
        return self


class PowerReadings(Table):
    """Electric power, for efficiency."""

    instrument: str | None = None
    total: q.Powers | None = None
    outdoor_unit: q.Powers | None = None
    indoor_unit: q.Powers | None = None

    @model_validator(mode="after")
    def _enough(self) -> PowerReadings:
        if self.total is not None and (self.outdoor_unit is not None or self.indoor_unit is not None):
            raise problem("found total beside outdoor_unit or indoor_unit; expected the total or its parts, not both.")
        if self.total is None and self.outdoor_unit is None:
            raise problem("found neither total nor outdoor_unit; expected one of them.")
        return self


class RefrigerantReadings(Table):
    """Refrigerant side: gauge pressures, line temperatures."""

    instrument: str | None = None
    line_instrument: str | None = None
    suction_pressure: q.RefrigerantPressures | None = None
    liquid_pressure: q.RefrigerantPressures | None = None
    suction_line_at_coil: q.Temperatures | None = None
    suction_line_at_outdoor_unit: q.Temperatures | None = None
    liquid_line: q.Temperatures | None = None
    discharge_line: q.Temperatures | None = None
    mass_flow: q.MassFlows | None = None
    weighed_in_charge: q.Mass | None = None

    @model_validator(mode="after")
    def _pressures(self) -> RefrigerantReadings:
        if self.suction_pressure is None and self.liquid_pressure is None:
            raise problem("found neither suction_pressure nor liquid_pressure; expected at least one of them.")
        return self


class SideBySide(Table):
    """Two probes held in one airstream: for each quantity the readings of the first and of the second."""

    instruments: tuple[str, str]
    apply: bool = True
    remains: q.Fraction | None = None
    dry_bulb: tuple[q.Temperatures, q.Temperatures] | None = None
    relative_humidity: tuple[q.RelativeHumidities, q.RelativeHumidities] | None = None
    wet_bulb: tuple[q.Temperatures, q.Temperatures] | None = None
    dew_point: tuple[q.Temperatures, q.Temperatures] | None = None

    @model_validator(mode="after")
    def _pairs(self) -> SideBySide:
        given = [n for n in ("dry_bulb", *HUMIDITIES) if getattr(self, n) is not None]
        if not given:
            raise problem("found no readings; expected pairs such as dry_bulb = [[75.1, ...], [75.6, ...]].")
        if self.instruments[0] == self.instruments[1]:
            raise problem("found one instrument twice; expected the names of two.")
        if self.remains is not None and not 0 <= self.remains <= 1:
            raise problem(f"found remains = {self.remains:g}; expected a fraction from 0 to 1.")
        for name in given:
            first, second = getattr(self, name)
            if len(first) != len(second):
                raise problem(
                    f"found {len(first)} values of {name} by the first instrument and {len(second)} by the second; "
                    "expected pairs taken together."
                )
            if len(first) < 3:
                raise problem(f"found {len(first)} pairs of {name}; expected at least 3.")
        return self


class Readings(Table):
    """All readings of the visit."""

    # Minutes between one reading and the next.
    interval: q.Time | None = None
    tolerances: Literal["field", "strict"] = "field"

    return_air: DuctAir = Field(alias="return")
    supply: DuctAir
    outdoor: AirReadings | None = None
    power: PowerReadings | None = None
    refrigerant: RefrigerantReadings | None = None


class Visit(Table):
    """One measured condition of one system. Numbers are SI."""

    format: Literal["airside visit 1"]
    units: UnitSystem
    name: str = Field(min_length=1)
    date: datetime | Day | None = None
    measured_by: str | None = None
    # For the report: who asked for it, and what was done to the system before this visit.
    customer: str | None = None
    work: str | None = None
    notes: str | None = None
    mode: Literal["cooling", "heating"]
    site: Site
    system: System = Field(default_factory=System)
    fan: Fan | None = None
    airflow: AirflowEvidence
    instruments: dict[str, Instrument] = Field(default_factory=dict)
    side_by_side: SideBySide | None = None
    readings: Readings
    # Where the sliders of a panel stood, by panel and slider; results do not use it.
    panel: dict[str, dict[str, bool | float | str]] = Field(default_factory=dict)
    # Where the file lies; tables are named relative to it. Not part of the file.
    path: Path | None = Field(default=None, exclude=True)
    # Units of the file where `units` has been changed to show the visit in the other system. Not part of the file.
    file_units: UnitSystem | None = Field(default=None, exclude=True)
    # Which steady stretch of its log stands for the visit, where the file names logger files. Not part of the file.
    stretch: StretchRecord | None = Field(default=None, exclude=True)

    @property
    def table_units(self) -> UnitSystem:
        """Units of table columns that name none: those of the file."""
        return self.file_units or self.units

    def shown_in(self, units: UnitSystem) -> Visit:
        """The same visit with its sentences and tables in another unit system; the numbers inside are SI anyway."""
        return self.model_copy(update={"units": units, "file_units": self.table_units})

    @field_validator("date", mode="before")
    @classmethod
    def _a_date(cls, value: Any) -> Any:
        # pydantic would take a bare number for seconds since 1970.
        if isinstance(value, int | float):
            raise problem(f"found {q.found(value)}; expected a date such as 2026-07-14, without quotes.")
        return value

    @field_validator("name")
    @classmethod
    def _one_line(cls, value: str) -> str:
        # The name stands in titles, tables and terminals.
        if not value.isprintable() or not value.strip():
            raise problem(f"found {q.found(value)}; expected one line of text.")
        return value


# Which model describes a table of the file; a star stands for any name.
TABLES: dict[tuple[str, ...], type[Table]] = {
    (): Visit,
    ("site",): Site,
    ("system",): System,
    ("fan",): Fan,
    ("instruments", "*"): Instrument,
    **{
        ("instruments", "*", name): model
        for name, model in {
            "dry_bulb": TemperatureAccuracy, "wet_bulb": TemperatureAccuracy, "dew_point": TemperatureAccuracy,
            "relative_humidity": HumidityAccuracy, "temperature_rise": TemperatureAccuracy,
            "duct_pressure": DuctPressureAccuracy, "velocity": VelocityAccuracy, "volume_flow": VolumeFlowAccuracy,
            "power": PowerAccuracy, "barometric_pressure": BarometricPressureAccuracy,
            "refrigerant_pressure": RefrigerantPressureAccuracy, "line_temperature": TemperatureAccuracy,
        }.items()
    },
    ("side_by_side",): SideBySide,
    ("readings",): Readings,
    ("readings", "power"): PowerReadings,
    ("readings", "refrigerant"): RefrigerantReadings,
    ("readings", "return"): DuctAir,
    ("readings", "supply"): DuctAir,
    ("readings", "outdoor"): AirReadings,
}  # fmt: skip
