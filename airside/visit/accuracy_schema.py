"""Instruments and accuracy statements of the visit file as pydantic models."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from airside.instruments.accuracy import Statement
from airside.visit import quantities as q


def problem(message: str) -> PydanticCustomError:
    """An error of a whole table, with a sentence of our own."""
    return PydanticCustomError("airside", "{message}", {"message": message})


class Table(BaseModel):
    """A table of the file: unknown keys are errors, nothing changes after loading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Accuracy(Table):
    """What a data sheet says of one quantity of an instrument.

    ``accuracy`` is the half-width in the quantity's unit, ``accuracy_of_reading`` in percent of
    reading; with both, ``combination`` says whether they add or the larger holds.
    """

    accuracy_of_reading: q.RelativeHumidity | None = None
    combination: Literal["sum", "larger"] = "sum"
    coverage: Literal["limit", "95 %"] = "limit"
    new_each_visit: q.Fraction | None = None

    @model_validator(mode="after")
    def _stated(self) -> Accuracy:
        if getattr(self, "accuracy", None) is None and self.accuracy_of_reading is None:
            raise problem("found neither accuracy nor accuracy_of_reading; expected at least one of them.")
        for name in ("accuracy", "accuracy_of_reading", "resolution"):
            value = getattr(self, name, None)
            if value is not None and value < 0:
                raise problem(f"found {name} below zero; expected the half-width, zero or above.")
        if self.new_each_visit is not None and not 0 <= self.new_each_visit <= 1:
            raise problem(f"found new_each_visit = {self.new_each_visit:g}; expected a fraction from 0 to 1.")
        return self

    def statement(self) -> Statement:
        """The statement as the instruments' room takes it."""
        return Statement(
            accuracy=getattr(self, "accuracy", None) or 0.0,
            of_reading=self.accuracy_of_reading or 0.0,
            combination=self.combination,
            coverage=self.coverage,
            resolution=getattr(self, "resolution", None) or 0.0,
        )


class TemperatureAccuracy(Accuracy):
    """Of a temperature."""

    accuracy: q.TemperatureDifference | None = None
    resolution: q.TemperatureDifference | None = None


class HumidityAccuracy(Accuracy):
    """Of a relative humidity, in percent RH."""

    accuracy: q.RelativeHumidity | None = None
    resolution: q.RelativeHumidity | None = None


class DuctPressureAccuracy(Accuracy):
    """Of a static, velocity or differential pressure in ducts."""

    accuracy: q.DuctPressure | None = None
    resolution: q.DuctPressure | None = None


class VelocityAccuracy(Accuracy):
    """Of an air velocity."""

    accuracy: q.Velocity | None = None
    resolution: q.Velocity | None = None


class VolumeFlowAccuracy(Accuracy):
    """Of a flow hood, grid or station."""

    accuracy: q.VolumeFlow | None = None
    resolution: q.VolumeFlow | None = None


class PowerAccuracy(Accuracy):
    """Of an electric power or heat input."""

    accuracy: q.Power | None = None
    resolution: q.Power | None = None


class RefrigerantPressureAccuracy(Accuracy):
    """Of a refrigerant gauge."""

    accuracy: q.RefrigerantPressure | None = None
    resolution: q.RefrigerantPressure | None = None


class BarometricPressureAccuracy(Accuracy):
    """Of a barometer."""

    accuracy: q.BarometricPressure | None = None
    resolution: q.BarometricPressure | None = None


class Instrument(Table):
    """One instrument and what each of its quantities is worth."""

    description: str | None = None
    dry_bulb: TemperatureAccuracy | None = None
    wet_bulb: TemperatureAccuracy | None = None
    dew_point: TemperatureAccuracy | None = None
    relative_humidity: HumidityAccuracy | None = None
    temperature_rise: TemperatureAccuracy | None = None
    duct_pressure: DuctPressureAccuracy | None = None
    velocity: VelocityAccuracy | None = None
    volume_flow: VolumeFlowAccuracy | None = None
    power: PowerAccuracy | None = None
    barometric_pressure: BarometricPressureAccuracy | None = None
    refrigerant_pressure: RefrigerantPressureAccuracy | None = None
    line_temperature: TemperatureAccuracy | None = None
