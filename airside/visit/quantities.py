"""Numbers of a visit file as pydantic types: bare in the file's units, or text with a unit; SI inside."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from airside.errors import UnitError
from airside.units import KINDS, UnitSystem, parse, to_inside

# Characters of a text from the file that a message repeats.
LONGEST_QUOTE = 60
# A comma for the decimals, or between thousands.
_COMMA = re.compile(r"^\s*[+-]?\d+,\d")


def found(value: Any) -> str:
    """How a message quotes what stood in the file: on one line, and short."""
    if isinstance(value, str):
        text = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in value[:200])
        return f'"{text}"' if len(text) <= LONGEST_QUOTE else f'"{text[:LONGEST_QUOTE]}…"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    # Python refuses to print an integer of thousands of digits.
    return "a huge number" if isinstance(value, int) and abs(value) > 10**15 else str(value)


def _problem(message: str) -> PydanticCustomError:
    # The message holds text from the file; as context it is not taken for a template.
    return PydanticCustomError("airside", "{message}", {"message": message})


def expected(kind: str, units: UnitSystem, *, above_zero: bool = False) -> str:
    """What a field of a kind should hold, in words."""
    name, unit = kind.replace("_", " "), KINDS[kind].display(units).label
    article = "an" if name[0] in "aeiou" else "a"
    unit = "inches" if unit == "in" else unit
    return f"{article} {name}{f' in {unit}' if unit else ''}{', above zero' if above_zero else ''}"


def number(value: Any, kind: str, units: UnitSystem, *, above_zero: bool = False) -> float:
    """One number of a file [inside unit of ``kind``].

    Raises
    ------
    PydanticCustomError
        Not a number, not finite, a unit of another kind, or not above zero where it must be.
    """
    wanted = expected(kind, units, above_zero=above_zero)
    example = KINDS[kind].example
    if isinstance(value, str):
        if _COMMA.match(value):
            raise _problem(
                f"found {found(value)}; expected {wanted}, or text such as {example}. "
                "Write a decimal point, not a comma, and nothing between thousands."
            )
        if len(value) > LONGEST_QUOTE:
            raise _problem(f"found {found(value)}; expected {wanted}, or text such as {example}.")
        try:
            inside = parse(value, kind)
        except UnitError as error:
            raise _problem(str(error)) from None
    else:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise _problem(f"found {found(value)}; expected {wanted}, or text such as {example}.")
        try:
            bare = float(value)
        except OverflowError:
            bare = math.inf
        if not math.isfinite(bare):
            raise _problem(f"found {found(value)}; expected {wanted}. Take a missing reading out of its list.")
        inside = float(to_inside(bare, kind, units))
    if not math.isfinite(inside):
        raise _problem(f"found {found(value)}; expected {wanted}.")
    if above_zero and inside <= 0:
        raise _problem(f"found {found(value)}; expected {wanted}.")
    return inside


def _reader(kind: str, *, above_zero: bool = False) -> Callable[[Any, ValidationInfo], float]:
    def read(value: Any, info: ValidationInfo) -> float:
        return number(value, kind, (info.context or {}).get("units", "SI"), above_zero=above_zero)

    # The kind travels with the validator, so that the schema alone knows what each field is.
    read.kind = kind  # type: ignore[attr-defined]
    return read


def _listed(value: Any) -> Any:
    return [value] if isinstance(value, (int, float, str)) and not isinstance(value, bool) else value


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
NominalCapacity = Annotated[float, BeforeValidator(_reader("nominal_capacity", above_zero=True))]
Power = Annotated[float, BeforeValidator(_reader("power"))]
FlowPerCapacity = Annotated[float, BeforeValidator(_reader("flow_per_capacity", above_zero=True))]
Elevation = Annotated[float, BeforeValidator(_reader("elevation"))]
DuctSide = Annotated[float, BeforeValidator(_reader("duct_side", above_zero=True))]
Voltage = Annotated[float, BeforeValidator(_reader("voltage", above_zero=True))]
Current = Annotated[float, BeforeValidator(_reader("current", above_zero=True))]
Fraction = Annotated[float, BeforeValidator(_reader("fraction"))]
Time = Annotated[float, BeforeValidator(_reader("time"))]
Mass = Annotated[float, BeforeValidator(_reader("mass", above_zero=True))]
RefrigerantPressure = Annotated[float, BeforeValidator(_reader("refrigerant_pressure"))]
MassFlow = Annotated[float, BeforeValidator(_reader("mass_flow", above_zero=True))]
# Readings that say nothing unless they are above zero; an accuracy of the same kind may be zero.
FlowReading = Annotated[float, BeforeValidator(_reader("volume_flow", above_zero=True))]
RiseReading = Annotated[float, BeforeValidator(_reader("temperature_difference", above_zero=True))]
HeatReading = Annotated[float, BeforeValidator(_reader("power", above_zero=True))]


def listed(item: Any) -> Any:
    """A list of readings of a type; a single value is a list of one."""
    from pydantic import AfterValidator

    return Annotated[tuple[item, ...], BeforeValidator(_listed), AfterValidator(_filled)]


Temperatures = listed(Temperature)
TemperatureDifferences = listed(RiseReading)
RelativeHumidities = listed(RelativeHumidity)
DuctPressures = listed(DuctPressure)
VolumeFlows = listed(FlowReading)
Velocities = listed(Velocity)
Powers = listed(Power)
Heats = listed(HeatReading)
Voltages = listed(Voltage)
Currents = listed(Current)
RefrigerantPressures = listed(RefrigerantPressure)
MassFlows = listed(MassFlow)
