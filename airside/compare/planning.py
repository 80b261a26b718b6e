"""Plan a visit: what change could be seen with these instruments, and what would halve it.

The visit is taken as it is, and a second visit like it is imagined: the same instruments, the same
method, the same numbers of readings. The doubt of the change between the two says what could be seen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from airside.cautions import SHORT
from airside.compare.change import compare
from airside.compare.result import Change
from airside.instruments import defaults
from airside.units import percent
from airside.visit.accuracy_schema import Instrument
from airside.visit.inputs import PLACES, mean_inputs, measure, readings_at
from airside.visit.schema import DuctAir, Measured, SideBySide, Visit

# Draws for planning: the answer is wanted to a tenth of a percent, not a hundredth.
PLANNING_DRAWS = 20_000
# Pairs of readings in an imagined side-by-side check.
CHECK_PAIRS = 10
# Readings in an imagined longer visit.
READINGS = 10
# Standard uncertainty of dry bulb in a stream that was mixed, or over a grid of points [K]; common practice, no source.
MIXED = 0.05
# Relative standard uncertainty of an imagined flow station.
FLOW_STATION = 0.02


@dataclass(frozen=True)
class Option:
    """Something that could be done, and the smallest change that could then be seen [fraction]."""

    action: str
    smallest_detectable_ratio: float


@dataclass(frozen=True, repr=False)
class Plan:
    """What could be seen.

    Attributes
    ----------
    smallest_detectable_ratio : float [fraction]
        With the visit as it is: 5 % level, 80 % power.
    options : tuple of Option
        Single steps and all of them together, best first.
    largest : tuple of str
        The largest shares of the budget.
    """

    smallest_detectable_ratio: float
    options: tuple[Option, ...]
    largest: tuple[str, ...]

    def __str__(self) -> str:
        lines = [self.sentence, *(f"  {percent(o.smallest_detectable_ratio, 1):>7}  {o.action}" for o in self.options)]
        return "\n".join([*lines, SHORT])

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td>{escape(o.action)}</td><td>{percent(o.smallest_detectable_ratio, 1)}</td></tr>"
            for o in self.options
        )
        return f"<p><b>{escape(self.sentence)}</b></p><table>{rows}</table><p><i>{escape(SHORT)}</i></p>"

    def to_dict(self) -> dict[str, Any]:
        """The contract of ``airside plan --json``."""
        return {
            "format": "airside plan 1",
            "smallest_detectable_ratio": self.smallest_detectable_ratio,
            "options": [
                {"action": o.action, "smallest_detectable_ratio": o.smallest_detectable_ratio} for o in self.options
            ],
            "largest": list(self.largest),
            "safety": SHORT,
        }

    @property
    def sentence(self) -> str:
        """The plan in plain words."""
        now = self.smallest_detectable_ratio
        text = f"With these probes and this airflow method, changes below {now * 100:.1f} % cannot be seen reliably."
        halving = [o for o in self.options if o.smallest_detectable_ratio <= now / 2]
        if halving:
            # The list is in order of effect; the least of the steps that do it is asked for.
            least = max(halving, key=lambda o: o.smallest_detectable_ratio)
            return f"{text} To halve that: {least.action} ({least.smallest_detectable_ratio * 100:.1f} %)."
        if self.options and self.options[0].smallest_detectable_ratio < 0.95 * now:
            best = self.options[0]
            return f"{text} Nothing listed here halves that; most helps: {best.action} ({best.smallest_detectable_ratio * 100:.1f} %)."
        return f"{text} Nothing listed here helps much."


def again(visit: Visit) -> Visit:
    """The same visit as a second, separate one: what comes anew with each visit is not shared."""
    return visit.model_copy(update={"name": f"{visit.name}, again", "date": None})


def change_of(visit: Visit, *, count: int = PLANNING_DRAWS) -> Change:
    """The comparison of a visit with a second one like it."""
    first = visit.model_copy(update={"date": None})
    return compare(first, again(first), count=count, with_budget=False)


def checked(visit: Visit) -> Visit | None:
    """The visit with a side-by-side check of its two probes; None where they are unnamed or one probe."""
    names = [readings_at(visit, place).instrument for place in PLACES]
    if None in names or names[0] == names[1] or visit.side_by_side is not None:
        return None
    humidity = readings_at(visit, "return").humidity_name
    if humidity is None or humidity != readings_at(visit, "supply").humidity_name:
        return None
    # Probes that show equal readings with the usual scatter of a mixed airstream.
    steps = [0.05 if i % 2 else -0.05 for i in range(CHECK_PAIRS)]
    size = 0.003 if humidity == "relative_humidity" else 1.0
    pair = {
        "dry_bulb": (tuple(20.0 + s for s in steps), (20.0,) * CHECK_PAIRS),
        humidity: (tuple(0.5 + s * size * 2 for s in steps), (0.5,) * CHECK_PAIRS),
    }
    data: dict[str, Any] = {"instruments": tuple(names), "apply": True, "remains": None, **pair}
    check = SideBySide.model_construct(**data)
    return visit.model_copy(update={"side_by_side": check})


def one_probe(visit: Visit) -> Visit | None:
    """The visit with one probe moved between return and supply; None where it is so already or unnamed."""
    first, second = (readings_at(visit, place) for place in PLACES)
    if first.instrument is None or second.instrument is None or first.instrument == second.instrument:
        return None
    return _with_readings(visit, supply={"instrument": first.instrument})


def mixed(visit: Visit) -> Visit | None:
    """The visit with a grid of points or a mixed stream at the probes; None where the streams are that good."""
    changes: dict[str, Mapping[str, object]] = {}
    for place, name in zip(PLACES, ("return_air", "supply"), strict=True):
        stated = readings_at(visit, place).placement
        if (defaults.PLACEMENT[place] if stated is None else stated) > MIXED:
            changes[name] = {"placement": MIXED}
    return _with_readings(visit, **changes) if changes else None


def named(visit: Visit) -> Visit | None:
    """The visit with its instruments named, so that they are the same in both; None where they are."""
    if all(readings_at(visit, place).instrument is not None for place in PLACES):
        return None
    instruments = {**visit.instruments, "return probe": Instrument(), "supply probe": Instrument()}
    changed = _with_readings(visit, return_air={"instrument": "return probe"}, supply={"instrument": "supply probe"})
    return changed.model_copy(update={"instruments": instruments})


def better_flow(visit: Visit) -> Visit | None:
    """The visit with an airflow measured to 2 %, by one station in both visits; None where it is that good."""
    at = measure(visit, mean_inputs(visit)).airflow
    if at.relative_standard_uncertainty <= FLOW_STATION:
        return None
    data: dict[str, Any] = {
        "method": "measured", "basis": "standard", "volume_flow": (float(at.standard_volume_flow),),
        "relative_uncertainty": FLOW_STATION, "instrument": "flow station", "at": None,
    }  # fmt: skip
    instruments = {**visit.instruments, "flow station": Instrument()}
    return visit.model_copy(update={"airflow": Measured.model_construct(**data), "instruments": instruments})


def more_readings(visit: Visit) -> Visit | None:
    """The visit with ten readings at return and supply that scatter as its own, or as usual; None where it has them."""
    changes: dict[str, Mapping[str, object]] = {}
    for place, name in zip(PLACES, ("return_air", "supply"), strict=True):
        readings = readings_at(visit, place)
        humidity = readings.humidity_name
        assert humidity is not None
        if len(readings.dry_bulb) < READINGS:
            changes[name] = {q: _repeated(getattr(readings, q), q) for q in ("dry_bulb", humidity)}
    return _with_readings(visit, **changes) if changes else None


def _repeated(values: tuple[float, ...], quantity: str) -> tuple[float, ...]:
    own = float(np.std(values, ddof=1)) if len(values) >= defaults.ENOUGH_READINGS else defaults.SCATTER[quantity]
    # Successive differences of these steps, and their standard deviation, are those of independent readings.
    steps = np.sqrt(2) * np.sin(np.pi / 2 * np.arange(READINGS) + np.pi / 4)
    steps = (steps - steps.mean()) / np.std(steps, ddof=1)
    return tuple(float(v) for v in np.mean(values) + own * steps)


def _with_readings(visit: Visit, **changes: Mapping[str, object]) -> Visit:
    parts: dict[str, DuctAir] = {}
    for name, update in changes.items():
        readings: DuctAir = getattr(visit.readings, name)
        parts[name] = readings.model_copy(update=update)
    return visit.model_copy(update={"readings": visit.readings.model_copy(update=parts)})


def plan(visit: Visit, *, count: int = PLANNING_DRAWS, with_budget: bool = True) -> Plan:
    """What change could be seen between this visit and a second one like it, and what would help.

    Parameters
    ----------
    visit : Visit
        Measured, or a draft with the readings that are expected.
    count : int
        Draws.
    with_budget : bool
        False leaves out what to improve first, for a picture that follows a slider.
    """
    steps = [
        ("name the instruments and use the same ones in both visits", named),
        ("check the two probes side by side at each visit", checked),
        ("use one probe for return and supply, moved between them", one_probe),
        ("take return and supply as the mean of a grid of points, or mix the stream", mixed),
        ("measure the airflow with a station or grid good to 2 %", better_flow),
        (f"take {READINGS} readings at return and supply", more_readings),
    ]
    base = compare(visit.model_copy(update={"date": None}), again(visit), count=count, with_budget=with_budget)
    options = []
    for action, change in steps:
        changed = change(visit)
        if changed is not None:
            options.append(Option(action, change_of(changed, count=count).smallest_detectable_ratio))
    options += _together(visit, count)
    options.sort(key=lambda o: o.smallest_detectable_ratio)
    return Plan(base.smallest_detectable_ratio, tuple(options), tuple(base.improve) if with_budget else ())


def _together(visit: Visit, count: int) -> Iterable[Option]:
    """Several steps at once: those of them that this visit has not taken already."""
    steps = [
        ("name the instruments", named),
        ("check the probes side by side at each visit", checked),
        ("measure in mixed streams", mixed),
        ("measure the airflow to 2 %", better_flow),
    ]
    found, taken, so_far = [], [], visit
    for action, step in steps:
        changed = step(so_far)
        if changed is None:
            continue
        so_far = changed
        taken.append(action)
        if len(taken) > 1 and step in (mixed, better_flow):
            text = f"{', '.join(taken[:-1])} and {taken[-1]}"
            found.append(Option(text, change_of(so_far, count=count).smallest_detectable_ratio))
    return found
