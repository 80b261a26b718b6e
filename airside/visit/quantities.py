"""Numbers of a visit file as pydantic types: bare in the file's units, or text with a unit; SI inside."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from airside.errors import UnitError
from airside.units import KINDS, parse, to_inside


def found(value: Any) -> str:
    """How a message quotes what stood in the file."""
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return str(value)


def _problem(message: str) -> PydanticCustomError:
    # The message holds text from the file; as context it is not taken for a template.
    return PydanticCustomError("airside", "{message}", {"message": message})


def _reader(kind: str) -> Callable[[Any, ValidationInfo], float]:
    def read(value: Any, info: ValidationInfo) -> float:
        units = (info.context or {}).get("units", "SI")
        name, unit = kind.replace("_", " "), KINDS[kind].display(units).label
        expected = f"a {name} in {unit}" if unit else f"a {name}"
        if isinstance(value, str):
            try:
                return parse(value, kind)
            except UnitError as error:
                raise _problem(str(error)) from None
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise _problem(f"found {found(value)}; expected {expected}, or text such as {KINDS[kind].example}.")
        if not math.isfinite(value):
            raise _problem(f"found {value}; expected {expected}. Take a missing reading out of its list.")
        return float(to_inside(value, kind, units))

    # The kind travels with the validator, so that the schema alone knows what each field is.
    read.kind = kind  # type: ignore[attr-defined]
    return read


def _listed(value: Any) -> Any:
    return [value] if isinstance(value, (int, float, str)) and not isinstance(value, bool) else value


def _above_zero(value: float) -> float:
    if value <= 0:
        raise _problem("found a value that is not above zero; expected one above zero.")
    return value


def _filled(values: tuple[float, ...]) -> tuple[float, ...]:
    if not values:
        raise _problem("found an empty list; expected at least one reading.")
    return values


Temperature = Annotated[float, BeforeValidator(_reader("temperature"))]
TemperatureDifference = Annotated[float, BeforeValidator(_reader("temperature_difference"))]
RelativeHumidity = Annotated[float, BeforeValidator(_reader("relative_humidity"))]
BarometricPressure = Annotated[float, BeforeValidator(_reader("barometric_pressure"))]
DuctPressure = Annotated[float, BeforeValidator(_reader("duct_pressure"))]
VolumeFlow = Annotated[float, BeforeValidator(_reader("volume_flow"))]
Velocity = Annotated[float, BeforeValidator(_reader("velocity"))]
NominalCapacity = Annotated[float, BeforeValidator(_reader("nominal_capacity"))]
Power = Annotated[float, BeforeValidator(_reader("power"))]
FlowPerCapacity = Annotated[float, BeforeValidator(_reader("flow_per_capacity"))]
Elevation = Annotated[float, BeforeValidator(_reader("elevation"))]
DuctSide = Annotated[float, BeforeValidator(_reader("duct_side"))]
Voltage = Annotated[float, BeforeValidator(_reader("voltage"))]
Current = Annotated[float, BeforeValidator(_reader("current"))]
Fraction = Annotated[float, BeforeValidator(_reader("fraction"))]
Density = Annotated[float, BeforeValidator(_reader("density"))]


def listed(item: Any) -> Any:
    """A list of readings of a type; a single value is a list of one."""
    from pydantic import AfterValidator

    return Annotated[tuple[item, ...], BeforeValidator(_listed), AfterValidator(_filled)]


Temperatures = listed(Temperature)
TemperatureDifferences = listed(TemperatureDifference)
RelativeHumidities = listed(RelativeHumidity)
DuctPressures = listed(DuctPressure)
VolumeFlows = listed(VolumeFlow)
Velocities = listed(Velocity)
Powers = listed(Power)
Voltages = listed(Voltage)
Currents = listed(Current)
