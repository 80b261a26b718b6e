"""Pictures that a lesson may show, by name: parameters as data, drawn by `airside.show`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from airside.errors import AirsideError
from airside.show.palette import Theme
from airside.show.psychrometric import figure_bytes
from airside.teach import picture_parameters as of
from airside.teach.marks import nearest, sentences
from airside.teach.places import visit_place
from airside.units import UnitSystem

Find = Callable[[str], Path]
# Draws behind a picture's intervals: good to a percent of themselves.
DRAWS = 20_000
# A plan compares half a dozen times; its bars show a percent to one decimal.
PLAN_DRAWS = 10_000
LARGEST_IMAGE = 10_000_000


@dataclass(frozen=True)
class PictureKind:
    """A picture by its name.

    Attributes
    ----------
    name : str
    parameters : type of Parameters
    draw : callable
        From the parameters, the units, the theme, and a way to find files, to a matplotlib Figure.
    says : str
        What it shows, in words for the author.
    """

    name: str
    parameters: type[of.Parameters]
    draw: Callable[[Any, UnitSystem, Theme, Find], Any]
    says: str


def read_parameters(shows: str, given: Mapping[str, Any], *, toml: str = "", start: int = 0) -> of.Parameters:
    """The parameters of a picture.

    Parameters
    ----------
    shows : str
        The picture's name.
    given : mapping
        Its parameters as data.
    toml : str
        The mark's text, and ``start`` the line on which it begins: for errors' lines.

    Raises
    ------
    PictureError
        What is wrong, each with its line.
    """
    kind = PICTURES.get(shows)
    if kind is None:
        raise PictureError([(start, f'there is no picture "{shows}". {nearest(shows, PICTURES)}')])
    try:
        return kind.parameters.model_validate(given)
    except ValidationError as error:
        raise PictureError(sentences(error, toml, start, kind.parameters, "airside picture")) from None


class PictureError(AirsideError):
    """A picture that cannot be drawn.

    Attributes
    ----------
    places : list of (int, str)
        Line and sentence of each problem.
    """

    def __init__(self, places: list[tuple[int, str]]) -> None:
        self.places = places
        super().__init__(" ".join(says for _, says in places))


def picture_figure(
    shows: str,
    given: Mapping[str, Any],
    *,
    units: UnitSystem = "IP",
    theme: Theme = "light",
    find: Find = visit_place,
) -> Any:
    """A lesson's picture as a matplotlib Figure.

    Parameters
    ----------
    shows : str
        Its name, one of `PICTURES`.
    given : mapping
        Its parameters as data, as the lesson's mark holds them.
    units : "IP" or "SI"
    theme : "light", "dark" or "print"
    find : callable
        Gives the place of a file that the parameters name.

    Raises
    ------
    AirsideError
        A parameter is wrong, or what is to be shown cannot be computed.
    """
    parameters = read_parameters(shows, given)
    return PICTURES[shows].draw(parameters, units, theme, find)


def picture_bytes(shows: str, given: Mapping[str, Any], *, form: Any = "png", dpi: int = 110, **options: Any) -> bytes:
    """A lesson's picture as the bytes of a file; options as of `picture_figure`."""
    return figure_bytes(picture_figure(shows, given, **options), form, dpi)


# -- what the pictures are made of -----------------------------------------------------------------


def _key(path: Path) -> tuple[str, int]:
    try:
        return str(path), path.stat().st_mtime_ns
    except OSError:
        return str(path), 0


@lru_cache(maxsize=16)
def _analysed(key: tuple[str, int]) -> Any:
    from airside.visit.analysis import analyse
    from airside.visit.load import load_visit

    return analyse(load_visit(key[0]), count=DRAWS)


@lru_cache(maxsize=8)
def _compared(before: tuple[str, int], after: tuple[str, int]) -> Any:
    from airside.compare.change import compare
    from airside.visit.load import load_visit

    return compare(load_visit(before[0]), load_visit(after[0]), count=DRAWS)


@lru_cache(maxsize=8)
def _planned(key: tuple[str, int]) -> Any:
    from airside.compare.planning import plan
    from airside.visit.load import load_visit

    return plan(load_visit(key[0]), count=PLAN_DRAWS)


def _result(name: str, find: Find) -> Any:
    return _analysed(_key(find(name)))


def _change(p: of.OfPair, find: Find) -> Any:
    return _compared(_key(find(p.before)), _key(find(p.after)))


# -- the pictures ------------------------------------------------------------------------------------


def _chart(p: of.Chart, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
    from airside.air.coil import coil_performance
    from airside.air.coil_status import describe
    from airside.air.process import mix
    from airside.air.state import MoistAir
    from airside.show.palette import THEMES
    from airside.show.psychrometric import Mixing, Process, new_axes, psychrometric_chart

    pressure = SEA_LEVEL_PRESSURE
    if p.elevation is not None:
        pressure = float(standard_atmosphere_pressure(p.elevation))
    if p.barometric_pressure is not None:
        pressure = p.barometric_pressure
    states = {}
    for state in p.states:
        name, value = state.humidity
        states[state.name] = getattr(MoistAir, f"from_{name}")(state.dry_bulb, value, pressure)
    drawn: list[Any] = []
    used: set[str] = set()
    for one in p.processes:
        start, end = states[one.start], states[one.end]
        apparatus = None
        if one.coil:
            found = coil_performance(start, end)
            if not found.is_wet:
                raise AirsideError(
                    f'from "{one.start}" to "{one.end}" there is no apparatus dew point: {describe(found.status)}'
                )
            at = float(found.apparatus_dew_point)
            apparatus = MoistAir.from_relative_humidity(at, 1.0, pressure)
        drawn.append(Process(start, end, one.name, one.start, one.end, apparatus))
        used |= {one.start, one.end}
    for both in p.mixtures:
        first, second = states[both.first], states[both.second]
        mixed = mix(first, both.share, second, 1 - both.share)
        drawn.append(Mixing(first, second, mixed, "", both.first, both.second, both.name))
        used |= {both.first, both.second}
    alone = [(n, s) for n, s in states.items() if n not in used]
    axes = new_axes(THEMES[theme], (7.2, 5.4))
    psychrometric_chart(
        drawn, states=alone, pressure=pressure, units=units, view=p.view, lines=p.lines, theme=theme,
        protractor=p.protractor, scales=True, axes=axes,
    )  # fmt: skip
    return axes.figure


def _visit(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.panels.pictures import visit_picture

    return visit_picture(_result(p.visit, find), units, theme)


def _whole_change(p: of.OfPair, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.change import change_chart

    return change_chart(_change(p, find), units=units, theme=theme, with_verdict=False)


def _densities(p: of.OfPair, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.change import capacity_densities
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure

    figure = new_figure(6.6, 3.2, colours_of(theme, units))
    capacity_densities(_change(p, find), axes_in_inches(figure, 0.4, 0.75, 5.8, 2.3), units, theme)
    return figure


def _change_alone(p: of.OfPair, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.change import change_density
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure

    figure = new_figure(6.6, 3.2, colours_of(theme, units))
    change_density(_change(p, find), axes_in_inches(figure, 0.4, 0.75, 5.8, 2.3), theme, units=units)
    return figure


def _budget(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.change import budget_bars
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure

    figure = new_figure(6.6, 3.4, colours_of(theme, units))
    axes = axes_in_inches(figure, 2.9, 0.55, 3.4, 2.7)
    budget_bars(_result(p.visit, find).budget, axes, theme, words="Share of the variance of the capacity, %")
    return figure


def _change_budget(p: of.OfPair, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.change import budget_bars
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure

    change = _change(p, find)
    figure = new_figure(6.6, 3.4, colours_of(theme, units))
    budget_bars(change.budgets.get(change.basis, ()), axes_in_inches(figure, 2.9, 0.55, 3.4, 2.7), theme)
    return figure


def _airflow(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.airflow import airflow_chart

    return airflow_chart(_result(p.visit, find), units=units, theme=theme)


def _performance(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.performance import performance_chart

    return performance_chart(_result(p.visit, find), units=units, theme=theme)


def _side(name: str, find: Find) -> Any:
    from airside.compare.explanation import explain

    result = _result(name, find)
    side = explain(result.doubt or result.visit).refrigerant
    if side is None:
        raise AirsideError(f"{name}: the visit has no refrigerant readings to draw.")
    return side


def _temperatures(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure
    from airside.show.refrigerant import temperature_picture

    figure = new_figure(6.6, 4.2, colours_of(theme, units))
    temperature_picture(_side(p.visit, find), axes_in_inches(figure, 0.75, 0.5, 5.7, 3.55), units, theme)
    return figure


def _pressure_enthalpy(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.plain_axes import axes_in_inches, colours_of, new_figure
    from airside.show.pressure_enthalpy import pressure_enthalpy

    figure = new_figure(6.6, 4.2, colours_of(theme, units))
    pressure_enthalpy(_side(p.visit, find), axes_in_inches(figure, 0.75, 0.6, 5.7, 3.4), units, theme)
    return figure


def _plan(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.show.planning import plan_chart

    return plan_chart(_planned(_key(find(p.visit))), units=units, theme=theme)


def _side_by_side(p: of.OfVisit, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.instruments.side_by_side import offset
    from airside.show.side_by_side import QUANTITIES, side_by_side_chart
    from airside.visit.load import load_visit

    check = load_visit(find(p.visit)).side_by_side
    if check is None:
        raise AirsideError(f"{p.visit}: the visit has no side-by-side check to draw.")
    pairs = {n: (list(v[0]), list(v[1])) for n in QUANTITIES if (v := getattr(check, n)) is not None}
    return side_by_side_chart(pairs, {n: offset(*v) for n, v in pairs.items()}, units=units, theme=theme)


def _lines(p: of.Lines, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.teach.line_picture import line_picture

    return line_picture(p, units=units, theme=theme)


def _readings(p: of.Readings, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.teach.line_picture import readings_picture

    return readings_picture(_result(p.visit, find), p.quantity, units=units, theme=theme)


def _log(p: of.OfLog, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.teach.log_pictures import log_picture

    return log_picture(p, _key(find(p.visit)), units=units, theme=theme)


def _long_run(p: of.OfPeriods, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.teach.log_pictures import long_run_picture

    return long_run_picture(p, _key(find(p.before)), _key(find(p.after)), units=units, theme=theme)


def _image(p: of.ImageFile, units: UnitSystem, theme: Theme, find: Find) -> Any:
    from airside.teach.line_picture import image_picture

    return image_picture(find(p.file), theme=theme)


PICTURES: dict[str, PictureKind] = {
    k.name: k
    for k in (
        PictureKind(
            "psychrometric chart", of.Chart, _chart, "States, processes and mixtures on a psychrometric chart."
        ),
        PictureKind("visit", of.OfVisit, _visit, "A visit's states and process, with how well they are known."),
        PictureKind("change", of.OfPair, _whole_change, "Two visits: chart, both capacities, the change, its budget."),
        PictureKind("densities", of.OfPair, _densities, "Both visits' capacities as densities."),
        PictureKind("change alone", of.OfPair, _change_alone, "The relative change as a density, with its interval."),
        PictureKind("budget", of.OfVisit, _budget, "Where the doubt of one visit's capacity comes from."),
        PictureKind("budget of the change", of.OfPair, _change_budget, "Where the doubt of a change comes from."),
        PictureKind("airflow evidence", of.OfVisit, _airflow, "What a visit's evidence says of the airflow."),
        PictureKind(
            "performance table", of.OfVisit, _performance, "Expected capacity over outdoor temperature, and delivered."
        ),
        PictureKind(
            "temperature profile", of.OfVisit, _temperatures, "Temperatures of refrigerant and air along both coils."
        ),
        PictureKind("pressure and enthalpy", of.OfVisit, _pressure_enthalpy, "The refrigerant's cycle."),
        PictureKind("smallest change", of.OfVisit, _plan, "Which change could be seen, and what would help."),
        PictureKind("side-by-side check", of.OfVisit, _side_by_side, "The differences of two probes, pair by pair."),
        PictureKind(
            "readings over time", of.Readings, _readings, "A visit's readings in order: dry bulb, humidity or capacity."
        ),
        PictureKind("logged data", of.OfLog, _log, "A logged visit over time, with its runs and steady stretches."),
        PictureKind(
            "long run", of.OfPeriods, _long_run, "Two long periods: capacity against the weather, or the change."
        ),
        PictureKind("lines", of.Lines, _lines, "Lines over an axis, from numbers in the lesson."),
        PictureKind("image file", of.ImageFile, _image, "A photograph or drawing in the lesson's folder."),
    )
}
