"""What a picture of a lesson takes: quantities as text with their unit, names, visit files."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from airside.errors import UnitError
from airside.units import KINDS, parse

MOST_POINTS = 5_000


def _quantity(kind: str) -> Any:
    def read(value: Any) -> float:
        example = KINDS[kind].example
        if not isinstance(value, str):
            raise ValueError(f"found {value}; write it as text with its unit, such as {example}.")
        try:
            return parse(value, kind)
        except UnitError as error:
            raise ValueError(str(error)) from None

    return BeforeValidator(read)


Temperature = Annotated[float, _quantity("temperature")]
RelativeHumidity = Annotated[float, _quantity("relative_humidity")]
HumidityRatio = Annotated[float, _quantity("humidity_ratio")]
Elevation = Annotated[float, _quantity("elevation")]
Barometer = Annotated[float, _quantity("barometric_pressure")]
Share = Annotated[float, _quantity("percentage")]
Name = Annotated[str, Field(min_length=1, max_length=80)]
Number = Annotated[float, Field(allow_inf_nan=False)]


class Parameters(BaseModel):
    """Base of the parameters; an unknown key is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class OfVisit(Parameters):
    """A picture of one visit: a file in the lesson's folder, or ``demo:`` and a demo file."""

    visit: Name


class OfPair(Parameters):
    """A picture of two visits."""

    before: Name
    after: Name


class OfLog(OfVisit):
    """A picture of a visit whose readings are in logger files; a part of its time, and some of its panels."""

    first: Name | None = None
    last: Name | None = None
    panels: list[Name] = Field(default_factory=list, max_length=10)


class OfPeriods(Parameters):
    """A picture of two long periods, each a visit file that names logger files."""

    before: Name
    after: Name
    part: Literal["weather", "running"] = "weather"


class Readings(OfVisit):
    """Readings in the order in which they were taken."""

    quantity: Literal["dry bulb", "humidity", "total capacity"] = "dry bulb"


class StateOf(Parameters):
    """A state of moist air by its dry bulb and one humidity."""

    name: Name
    dry_bulb: Temperature
    relative_humidity: RelativeHumidity | None = None
    wet_bulb: Temperature | None = None
    dew_point: Temperature | None = None
    humidity_ratio: HumidityRatio | None = None

    @property
    def humidity(self) -> tuple[str, float]:
        """Name and value of the humidity that is given."""
        return next((n, v) for n in HUMIDITIES if (v := getattr(self, n)) is not None)

    @model_validator(mode="after")
    def _one(self) -> StateOf:
        given = [n for n in HUMIDITIES if getattr(self, n) is not None]
        if len(given) != 1:
            found = " and ".join(given) or "none"
            raise ValueError(f'state "{self.name}" needs one humidity of {", ".join(HUMIDITIES)}; found {found}.')
        return self


HUMIDITIES = ("relative_humidity", "wet_bulb", "dew_point", "humidity_ratio")


class ProcessOf(Parameters):
    """An arrow between two of the states, by their names; as a coil, with its apparatus dew point."""

    start: Name
    end: Name
    name: str = ""
    coil: bool = False


class MixtureOf(Parameters):
    """Two of the states that mix; the share is that of the first, by mass of dry air."""

    first: Name
    second: Name
    share: Share
    name: Name = "mixed"

    @model_validator(mode="after")
    def _part(self) -> MixtureOf:
        if not 0 < self.share < 1:
            raise ValueError(f'the share of "{self.first}" must lie between 0 and 100 %.')
        return self


class Chart(Parameters):
    """A psychrometric chart."""

    states: list[StateOf] = Field(default_factory=list, max_length=20)
    processes: list[ProcessOf] = Field(default_factory=list, max_length=5)
    mixtures: list[MixtureOf] = Field(default_factory=list, max_length=5)
    elevation: Elevation | None = None
    barometric_pressure: Barometer | None = None
    view: Literal["states", "full"] = "states"
    lines: Literal["wet bulb", "enthalpy"] = "wet bulb"
    protractor: bool = False

    @model_validator(mode="after")
    def _together(self) -> Chart:
        if self.elevation is not None and self.barometric_pressure is not None:
            raise ValueError("found elevation and barometric_pressure; give one of them.")
        names = [s.name for s in self.states]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f'two states are called "{name}". Give each its own name.')
        used = [n for p in self.processes for n in (p.start, p.end)]
        used += [n for m in self.mixtures for n in (m.first, m.second)]
        for name in used:
            if name not in names:
                raise ValueError(f'there is no state "{name}". Known are: {", ".join(names) or "none"}.')
        return self


class Axis(Parameters):
    """An axis: its words, its kind of quantity, and the unit of the bare numbers."""

    label: Name
    kind: Name
    unit: str = ""

    @model_validator(mode="after")
    def _known(self) -> Axis:
        if self.kind not in KINDS:
            raise ValueError(f'the kind "{self.kind}" is not known. Known are: {", ".join(sorted(KINDS))}.')
        self.inside(1.0)
        return self

    def inside(self, value: float) -> float:
        """A bare number of this axis [inside unit of its kind]."""
        if not self.unit:
            if KINDS[self.kind].ip_input:
                raise ValueError(
                    f'"{self.label}" needs the unit of its numbers, such as unit = "{KINDS[self.kind].ip_input}".'
                )
            return value
        try:
            return parse(f"{value!r} {self.unit}", self.kind)
        except UnitError as error:
            raise ValueError(str(error)) from None


class Across(Axis):
    """The axis across, with its numbers."""

    values: list[Number] = Field(min_length=2, max_length=MOST_POINTS)


class LineOf(Parameters):
    """A line: its name and its numbers, one for each of the axis across."""

    name: Name
    values: list[Number] = Field(min_length=2, max_length=MOST_POINTS)


class At(Parameters):
    """A level or a moment that is marked, with its words."""

    name: Name
    value: Number


class Lines(Parameters):
    """Lines over an axis, from numbers that stand in the lesson."""

    across: Across
    up: Axis
    lines: list[LineOf] = Field(min_length=1, max_length=5)
    levels: list[At] = Field(default_factory=list, max_length=4)
    moments: list[At] = Field(default_factory=list, max_length=4)
    dots: bool = False

    @model_validator(mode="after")
    def _lengths(self) -> Lines:
        for line in self.lines:
            if len(line.values) != len(self.across.values):
                raise ValueError(
                    f'the line "{line.name}" has {len(line.values)} values, the axis across {len(self.across.values)}; '
                    "expected as many."
                )
        if not math.isfinite(sum(self.across.values)):
            raise ValueError("the axis across holds numbers too large to add up.")
        return self


class ImageFile(Parameters):
    """A photograph or drawing in the lesson's folder: PNG or JPEG."""

    file: Name
