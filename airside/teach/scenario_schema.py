"""The scenario file as pydantic models: an invented place, a system whose truth is known, its faults. Values inside are SI.

Format "airside scenario 1". Site and instruments are written as in a visit file.
"""

from __future__ import annotations

from datetime import date as Day  # a field named date would hide the type
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from airside.units import UnitSystem
from airside.visit import quantities as q
from airside.visit.accuracy_schema import Instrument, Table, problem
from airside.visit.schema import TABLES as VISIT_TABLES
from airside.visit.schema import Site

FORMAT = "airside scenario 1"
STAGES = ("before", "after")
Humidity = Literal["relative_humidity", "wet_bulb", "dew_point"]

# A scenario is a class's work: an hour of a logger, and readings that fit on a sheet.
MOST_ROWS = 2000


def _one_line(value: str) -> str:
    if not value.isprintable() or not value.strip():
        raise problem(f"found {q.found(value)}; expected one line of text.")
    return value


Words = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_one_line)]
Finite = Annotated[float, Field(allow_inf_nan=False)]


def _pair(value: Any) -> Any:
    return [value, value] if isinstance(value, (int, float, str)) and not isinstance(value, bool) else value


def _ordered(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] > value[1]:
        raise problem("the first of the two is larger than the second; expected the lower end first.")
    return value


def _part(low: float, high: float, words: str, unit: str = "", factor: float = 1.0) -> AfterValidator:
    def check(value: float) -> float:
        if not low <= value <= high:
            said, least, most = (f"{v * factor:g}{unit}" for v in (value, low, high))
            raise problem(f"found {said}; expected {words}, {least} to {most}.")
        return value

    return AfterValidator(check)


TemperatureRange = Annotated[
    tuple[q.Temperature, q.Temperature], BeforeValidator(_pair), AfterValidator(_ordered)
]  # fmt: skip
PossibleHumidity = Annotated[q.RelativeHumidity, _part(0.02, 1.0, "a relative humidity", " %", 100.0)]
HumidityRange = Annotated[
    tuple[PossibleHumidity, PossibleHumidity], BeforeValidator(_pair), AfterValidator(_ordered)
]  # fmt: skip


class System(Table):
    """The equipment. What is hidden from the trainee says so."""

    nominal_capacity: q.NominalCapacity
    equipment: Literal["air conditioner", "heat pump"] = "air conditioner"
    refrigerant: Words | None = None
    metering_device: Words | None = None
    # Hidden: what it delivers at rating condition A when nothing is wrong, as a part of nominal capacity.
    capacity_of_nominal: Annotated[q.Fraction, _part(0.6, 1.3, "a part of nominal capacity")] = 1.0
    # Hidden: how far its slopes with conditions differ from the rating curve's, drawn with this standard deviation.
    slope_doubt: Annotated[q.Fraction, _part(0.0, 1.0, "a part of the slope")] | None = None
    # Hidden: of the coil, at the airflow without fault.
    coil_bypass_factor: Annotated[q.Fraction, _part(0.01, 0.5, "a bypass factor")] = 0.1
    # Hidden: of the outdoor unit at rating condition A; without it no power is read.
    rated_power: Annotated[q.Power, _part(1.0, 1e6, "a power", " kW", 1e-3)] | None = None


class Fan(Table):
    """The indoor fan, between the probes, after the coil."""

    power: Annotated[q.Power, _part(0.0, 1e5, "a power", " kW", 1e-3)]


class Airflow(Table):
    """The airflow without fault, actual volume of return air (hidden), and how it is measured."""

    volume_flow: q.VolumeFlow
    method: Literal["measured", "traverse", "fan table"] = "measured"
    instrument: str | None = None
    relative_uncertainty: Annotated[q.Fraction, _part(0.001, 0.5, "a standard uncertainty as a fraction")] | None = None
    at: Literal["return", "supply"] | None = None
    # Of a traverse.
    width: q.DuctSide | None = None
    height: q.DuctSide | None = None
    points: Literal[5, 6, 7] = 5
    # Of a fan table: names of the speeds, and rows of static pressure and a flow for each; bare numbers.
    speed: str | None = None
    speeds: list[Words] = Field(default_factory=list, max_length=8)
    rows: list[list[Finite]] = Field(default_factory=list, max_length=60)

    @model_validator(mode="after")
    def _whole(self) -> Airflow:
        if self.volume_flow <= 0:
            raise problem("found a volume_flow that is not above zero.")
        wanted = {"measured": (), "traverse": ("width", "height"), "fan table": ("speed", "speeds", "rows")}
        missing = [n for n in wanted[self.method] if not getattr(self, n)]
        if missing:
            raise problem(f'method "{self.method}" needs {" and ".join(missing)} too.')
        if self.method == "fan table":
            if self.speed not in self.speeds:
                raise problem(f'speed "{self.speed}" is not among speeds: {", ".join(self.speeds)}.')
            if any(len(row) != 1 + len(self.speeds) for row in self.rows) or len(self.rows) < 2:
                raise problem("each of rows needs a static pressure and a flow for each of speeds; two rows at least.")
        return self


class Weather(Table):
    """Ranges from which the conditions are drawn; a single number is taken as it is."""

    return_dry_bulb: TemperatureRange | None = None
    return_relative_humidity: HumidityRange | None = None
    outdoor_dry_bulb: TemperatureRange | None = None


class WholeWeather(Weather):
    """The ranges of both visits."""

    return_dry_bulb: TemperatureRange
    return_relative_humidity: HumidityRange
    outdoor_dry_bulb: TemperatureRange


class Stage(Table):
    """Before or after: the faults that are there (hidden), and what anybody can see."""

    date: Day | None = None
    airflow_fault: Annotated[q.Fraction, _part(-0.4, 0.4, "a part of the airflow")] = 0.0
    charge_fault: Annotated[q.Fraction, _part(-0.3, 0.3, "a part of the right charge")] = 0.0
    coil: Words | None = None
    filter: Words | None = None
    weather: Weather = Field(default_factory=Weather)


class Readings(Table):
    """Which instrument reads what, and how often."""

    return_instrument: str = "probe_1"
    supply_instrument: str = "probe_2"
    outdoor_instrument: str = "probe_1"
    power_instrument: str | None = None
    humidity: Humidity = "relative_humidity"
    side_by_side: bool = False
    count: int = Field(default=8, ge=1, le=100)
    # Minutes between one reading and the next.
    interval: q.Time = 120.0
    # Noise of a reading, as a part of what is usual.
    scatter: Annotated[q.Fraction, _part(0.0, 3.0, "a part of the usual scatter")] = 0.6


class Logger(Table):
    """The logger files: a start-up, in minutes."""

    interval: q.Time = 30.0
    duration: q.Time = 2400.0
    # When the compressor starts, the system's time constant, and the probes' own.
    start: q.Time = 300.0
    settling: q.Time = 240.0
    response: q.Time = 60.0

    @model_validator(mode="after")
    def _possible(self) -> Logger:
        for name in ("interval", "duration", "settling", "response"):
            if not getattr(self, name) > 0:
                raise problem(f"found {name} that is not above zero.")
        if not 0 <= self.start < self.duration:
            raise problem("found start outside the duration; expected the compressor to start within it.")
        if self.duration / self.interval > MOST_ROWS:
            raise problem(f"found more than {MOST_ROWS} rows; expected a longer interval or a shorter duration.")
        return self


class Scenario(Table):
    """A scenario. Numbers are SI."""

    format: Literal["airside scenario 1"]
    units: UnitSystem
    name: Words
    work: Words | None = None
    site: Site
    system: System
    fan: Fan | None = None
    airflow: Airflow
    instruments: dict[str, Instrument]
    weather: WholeWeather
    before: Stage
    after: Stage
    readings: Readings = Field(default_factory=Readings)
    logger: Logger = Field(default_factory=Logger)

    def stage(self, name: str) -> Stage:
        """A stage by its name."""
        return self.before if name == "before" else self.after

    def range_of(self, stage: str, quantity: str) -> tuple[float, float]:
        """The range of a condition at a stage [inside unit]: its own, or that of both."""
        own: tuple[float, float] | None = getattr(self.stage(stage).weather, quantity)
        found: tuple[float, float] = getattr(self.weather, quantity) if own is None else own
        return found


# Which model describes a table of the file; a star stands for any name.
TABLES: dict[tuple[str, ...], type[Table]] = {
    (): Scenario, ("site",): Site, ("system",): System, ("fan",): Fan, ("airflow",): Airflow, ("weather",): WholeWeather,
    **{(s,): Stage for s in STAGES}, **{(s, "weather"): Weather for s in STAGES}, ("readings",): Readings,
    ("logger",): Logger, **{path: model for path, model in VISIT_TABLES.items() if path[:1] == ("instruments",)},
}  # fmt: skip
