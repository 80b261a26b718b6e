"""Pictures of the refrigerant side: temperatures of refrigerant and airstreams along the coils, and both pictures in one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.show.labels import text_size
from airside.show.palette import Colours, Theme
from airside.show.plain_axes import (
    LINE,
    SMALL,
    WIDTH,
    axes_in_inches,
    colours_of,
    dress,
    few_ticks,
    label,
    new_figure,
    points_of,
    spread,
)
from airside.show.pressure_enthalpy import pressure_enthalpy
from airside.units import KINDS, UnitSystem, from_inside, show, show_difference
from airside.visit.inputs import Measured
from airside.visit.refrigerant_side import RefrigerantSide

# Where along a coil the refrigerant has changed its state, and is only warmed or cooled from there: not to scale.
CHANGED = 0.8
# Points between the words of a coil and the coil, and between the words of two coils.
BESIDE, BETWEEN = 9.0, 14.0
SIDES = ("left", "right")


@dataclass(frozen=True)
class _Stream:
    """What passes a coil: places along it from 0 to 1, temperatures [°C], colour, line style, marker."""

    places: list[float]
    temperatures: list[float]
    series: int
    style: Any
    marker: str


@dataclass(frozen=True)
class _Mark:
    """Words beside a point of a coil: place, temperature [°C], what they say, series, side."""

    place: float
    temperature: float
    text: str
    series: int
    side: str


@dataclass(frozen=True)
class _Coil:
    """One coil with its streams and words."""

    name: str
    streams: list[_Stream]
    marks: list[_Mark]


def _value(side: RefrigerantSide, name: str) -> float | None:
    return float(np.asarray(side.at_readings[name][0])) if name in side.at_readings else None


def _reading(measured: Measured, name: str) -> float | None:
    value = measured.refrigerant.get(name)
    return None if value is None else float(np.asarray(value))


def _coils(side: RefrigerantSide, units: UnitSystem) -> list[_Coil]:
    """The indoor coil, and the outdoor coil where anything is known of it.

    In heating the coils have changed places: the indoor coil condenses.
    """
    at = side.doubt.at_readings
    air, cold, hot = 0, 2, 1

    def words(name: str, value: float, difference: str = "", what: str = "") -> str:
        found = _value(side, difference) if difference else None
        more = f"\n{what} {show_difference(found, 'temperature_difference', units)}" if found is not None else ""
        return f"{name}\n{show(value, 'temperature', units)}{more}"

    indoor, outdoor = _Coil("indoor coil", [], []), _Coil("outdoor coil", [], [])
    cooling = side.doubt.visit.mode == "cooling"
    evaporating, condensing = (indoor, outdoor) if cooling else (outdoor, indoor)
    back, supply = (float(np.asarray(s.dry_bulb)) for s in (at.return_air, at.supply_air))
    indoor.streams.append(_Stream([0.0, 1.0], [back, supply], air, "-", "o"))
    indoor.marks.append(_Mark(0.0, back, words("return air", back), air, "left"))
    indoor.marks.append(_Mark(1.0, supply, words("supply air", supply), air, "right"))
    if at.outdoor_dry_bulb is not None:
        outside = float(np.asarray(at.outdoor_dry_bulb))
        outdoor.streams.append(_Stream([0.0, 1.0], [outside, outside], air, "-", "o"))
        outdoor.marks.append(_Mark(0.0, outside, words("outdoor air", outside), air, "left"))
    suction = _value(side, "saturated_suction")
    if suction is not None:
        # The refrigerant boils at one temperature over most of the coil, then warms: superheat.
        line = _reading(at, "suction_line_at_coil")
        places, temperatures = (
            ([0.0, CHANGED, 1.0], [suction, suction, line]) if line is not None else ([0.0, 1.0], [suction] * 2)
        )
        evaporating.streams.append(_Stream(places, temperatures, cold, "--", "s"))
        evaporating.marks.append(_Mark(0.0, suction, words("saturated\nsuction", suction), cold, "left"))
        if line is not None:
            said = words("suction line", line, "superheat_at_coil", "superheat")
            evaporating.marks.append(_Mark(1.0, line, said, cold, "right"))
    liquid = _value(side, "saturated_liquid")
    if liquid is not None:
        discharge, line = _reading(at, "discharge_line"), _reading(at, "liquid_line")
        places, temperatures = [1 - CHANGED, CHANGED], [liquid, liquid]
        places[0], places[1] = (0.0 if discharge is None else places[0]), (1.0 if line is None else places[1])
        condensing.marks.append(_Mark(places[1], liquid, words("saturated liquid", liquid), hot, "right"))
        if discharge is not None:
            places, temperatures = [0.0, *places], [discharge, *temperatures]
            condensing.marks.append(_Mark(0.0, discharge, words("discharge line", discharge), hot, "left"))
        if line is not None:
            places, temperatures = [*places, 1.0], [*temperatures, line]
            said = words("liquid line", line, "subcooling", "subcooling")
            condensing.marks.append(_Mark(1.0, line, said, hot, "right"))
        condensing.streams.append(_Stream(places, temperatures, hot, "--", "^"))
    return [coil for coil in (indoor, outdoor) if coil.streams]


def temperature_picture(side: RefrigerantSide, axes: Any, units: UnitSystem, theme: Theme = "light") -> Any:
    """Temperatures along both coils: the air that passes and the refrigerant inside; gives the Axes back.

    Parameters
    ----------
    side : RefrigerantSide
    axes : matplotlib Axes
        In its place already: the words are laid out in its width.
    units : "IP" or "SI"
    theme : "light", "dark" or "print"
    """
    colours = colours_of(theme, units)
    coils = _coils(side, units)
    wide, high = points_of(axes)
    shown = [float(from_inside(t, "temperature", units)) for c in coils for s in c.streams for t in s.temperatures]
    # Words at the lowest and the highest temperature need their room.
    room = 1.5 * SMALL * LINE / high
    low, top = min(shown), max(max(shown), min(shown) + 10)
    low, top = low - room / (1 - 2 * room) * (top - low), top + room / (1 - 2 * room) * (top - low)
    axes.set_xlim(0, wide)
    axes.set_ylim(low, top)
    dress(axes, colours)
    few_ticks(axes.yaxis, 7)
    label(axes, colours, y=f"Temperature, {KINDS['temperature'].display(units).label}")
    columns = {(i, side_): _column(c, side_, low, top, high, units) for i, c in enumerate(coils) for side_ in SIDES}
    # Across, the picture is in points: what the words leave is shared by the coils.
    gaps = [_gap(columns[i, "right"], columns[i + 1, "left"]) for i in range(len(coils) - 1)]
    first, last = _width(columns[0, "left"]) + 8, _width(columns[len(coils) - 1, "right"]) + 6
    length = max((wide - first - sum(gaps) - last) / len(coils), 20.0)
    start, ticks = first, []
    for index, coil in enumerate(coils):
        for stream in coil.streams:
            axes.plot(
                [start + p * length for p in stream.places],
                [float(from_inside(t, "temperature", units)) for t in stream.temperatures], linewidth=1.8, markersize=5,
                color=colours.series[stream.series], linestyle=stream.style, marker=stream.marker, zorder=3,
            )  # fmt: skip
        for side_ in SIDES:
            _write_column(axes, columns[index, side_], side_, start, length, high, colours)
        ticks.append((start + length / 2, coil.name))
        start += length + (gaps[index] if index < len(gaps) else 0.0)
    axes.set_xticks([at for at, _ in ticks], [name for _, name in ticks])
    axes.tick_params(axis="x", length=0)
    return axes


@dataclass(frozen=True)
class _Word:
    """A mark with its place: where it would stand, and where it stands, above the foot of the Axes [points]."""

    mark: _Mark
    wanted: float
    place: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height [points]."""
        return text_size(self.mark.text, SMALL)[0], (self.mark.text.count("\n") + 1) * SMALL * LINE


def _column(coil: _Coil, side: str, low: float, top: float, high: float, units: UnitSystem) -> list[_Word]:
    """Words of one side of a coil, moved apart where they would touch."""
    marks = [m for m in coil.marks if m.side == side]
    wanted = [(float(from_inside(m.temperature, "temperature", units)) - low) / (top - low) * high for m in marks]
    sizes = [_Word(m, 0.0, 0.0).size[1] for m in marks]
    # Where two want one place, as the supply air and the suction line may, the order of their names decides.
    places = spread(wanted, sizes, 1, high - 1, gap=4)
    return [_Word(m, at, place) for m, at, place in zip(marks, wanted, places, strict=True)]


def _width(words: list[_Word]) -> float:
    """Room [points] for the words of one side."""
    return max((w.size[0] for w in words), default=0.0) + (BESIDE if words else 0.0)


def _gap(left: list[_Word], right: list[_Word]) -> float:
    """Room [points] between two coils: words at one height stand beside each other, others may reach over."""
    least = max(_width(left), _width(right)) + BETWEEN
    for one in left:
        for other in right:
            if abs(one.place - other.place) < (one.size[1] + other.size[1]) / 2 + 3:
                least = max(least, one.size[0] + other.size[0] + 2 * BESIDE + BETWEEN)
    return least


def _write_column(
    axes: Any, words: list[_Word], side: str, start: float, length: float, high: float, colours: Colours
) -> None:
    """Words of one side of a coil; a thin line goes to what they name where they had to move."""
    low, top = axes.get_ylim()
    scale = (top - low) / high
    sign, edge = (-1, start) if side == "left" else (1, start + length)
    for word in words:
        mark, x = word.mark, start + word.mark.place * length
        if abs(word.place - word.wanted) > 2 or abs(x - edge) > 1:
            axes.plot([x + 4 * sign, edge + (BESIDE - 2) * sign], [low + word.wanted * scale, low + word.place * scale],
                      color=colours.series[mark.series], linewidth=0.8, zorder=2, gid="leader")  # fmt: skip
        axes.text(edge + BESIDE * sign, low + word.place * scale, mark.text, fontsize=SMALL, color=colours.ink,
                  linespacing=LINE, ha="right" if sign < 0 else "left", va="center", parse_math=False)  # fmt: skip


def refrigerant_chart(
    side: RefrigerantSide, *, units: UnitSystem | None = None, theme: Theme = "light", stacked: bool = False
) -> Any:
    """Both pictures in one figure: 11.4 by 4.4 inches, or 6.6 by 7.3 inches with one below the other.

    Parameters
    ----------
    side : RefrigerantSide
    units : "IP" or "SI", optional
        Default those of the visit.
    theme : "light", "dark" or "print"
    stacked : bool
        One below the other: narrower, so that the words are larger in a narrow column.

    Returns
    -------
    matplotlib Figure
    """
    system = units or side.doubt.visit.units
    colours = colours_of(theme, system)
    if stacked:
        figure = new_figure(WIDTH, 7.3, colours)
        first, second = (0.75, 4.0, WIDTH - 0.9, 3.15), (0.75, 0.6, WIDTH - 0.9, 2.85)
    else:
        figure = new_figure(11.4, 4.4, colours)
        first, second = (0.75, 0.6, 5.5, 3.65), (7.1, 0.6, 4.15, 3.65)
    temperature_picture(side, axes_in_inches(figure, *first), system, theme)
    pressure_enthalpy(side, axes_in_inches(figure, *second), system, theme)
    return figure
