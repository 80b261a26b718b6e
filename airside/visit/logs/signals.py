"""From what a log says whether the system runs, and at which stage: status, power, airflow, or the supply's distance from the return.

Where the threshold is not stated it is found between two levels (`airside.visit.logs.levels`). The limits here are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from airside.errors import Problem, UnitError, VisitError
from airside.units import parse, show, show_difference, to_inside
from airside.visit.logs.counting import Counting
from airside.visit.logs.levels import SEPARABLE_STAGES, Distinct, Levels, running_threshold, two_levels
from airside.visit.logs.log import Floats, Log

# Status words of a system that does not run.
OFF_WORDS = {"off", "idle", "stop", "stopped", "standby", "stand-by", "no", "false", "none", "0"}
# A supply that differs less from the return is no running system [K]; common practice, no source.
LEAST_SPLIT = 3.0
# Two stages draw powers that differ by at least this factor, each for at least this share of the running minutes.
STAGE_FACTOR, STAGE_SHARE = 1.2, 0.05
# A level that falls below this part of its median is no single level.
STEADY_LEVEL = 0.4
# The return less the supply fades slowly after a stop: where its low end is below this part of its high end, a cut that
# explains less of the variance counts too (common practice, no source).
FADING, SEPARABLE_FADING = 0.3, 0.6


@dataclass(frozen=True, eq=False)
class Signal:
    """What a channel says.

    Attributes
    ----------
    name, channel : str
        One of `airside.visit.logs.counting.RUNNING_FROM`, and the path in the visit file.
    running : array, shape (n,)
        1 running, 0 off, NaN not known.
    stage : array, shape (n,)
        NaN where it is not known.
    threshold : float or None
        [inside unit]; None for a status, and where there is one level only.
    sentences : tuple of str
    words : tuple of str
        Of a status that holds words.
    is_unclear : bool
        One level only, but too wide for a system that never changes.
    """

    name: str
    channel: str
    running: Floats
    stage: Floats
    threshold: float | None = None
    sentences: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    is_unclear: bool = False


def find_signal(log: Log, counting: Counting, mode: str = "cooling", name: str = "visit") -> Signal:
    """Running or off by row, and the stage.

    Parameters
    ----------
    log : Log
    counting : Counting
    mode : "cooling" or "heating"
    name : str
        The visit file's, for messages.

    Raises
    ------
    VisitError
        No channel says it, or the threshold must be stated.
    """
    return _with_status(log, _signal(log, counting, mode, name))


# Channels of each signal, the best first.
_CHANNELS: dict[str, tuple[str, ...]] = {
    "power": ("readings.power.outdoor_unit", "readings.power.total"),
    "airflow": ("airflow.volume_flow", "airflow.external_static_pressure", "airflow.pressure_drop",
                "airflow.device_static_pressure", "airflow.temperature_rise"),
    "supply temperature": ("readings.supply.dry_bulb",),
}  # fmt: skip


def _channel(log: Log, signal: str) -> str | None:
    if signal == "status":
        return next((c for c in log.channels if c.startswith("readings.status.")), None)
    return next((c for c in _CHANNELS[signal] if c in log.channels), None)


def _signal(log: Log, counting: Counting, mode: str, name: str) -> Signal:
    order = ("status", "power", "airflow", "supply temperature")
    wanted = counting.running_from
    logged = {s: c for s in order if (c := _channel(log, s)) is not None}
    if "supply temperature" in logged and "readings.return.dry_bulb" not in log.channels:
        del logged["supply temperature"]
    if wanted is not None and wanted not in logged:
        listed = ", ".join(f'"{s}"' for s in logged) or "none of them"
        raise VisitError(name, [Problem(
            f'found "{wanted}", but no such channel is logged; expected one that is: {listed}.'
            + (' The supply temperature counts beside the return\'s.' if wanted == "supply temperature" else ""),
            "log.counting.running_from",
        )])  # fmt: skip
    if not logged:
        raise VisitError(name, [Problem(
            "found no channel that says when the system runs; expected status, power, airflow, or the dry bulbs of "
            "return and supply among the logged columns.", "log.counting.running_from",
        )])  # fmt: skip
    if counting.running_above is not None:
        return _by_level(log, wanted or next(iter(logged)), logged, counting, mode, name)
    one_level = None
    for signal in [wanted] if wanted is not None else list(logged):
        found = _by_status(log, logged["status"]) if signal == "status" else _by_level(
            log, signal, logged, counting, mode, name
        )  # fmt: skip
        if found.threshold is not None or signal == "status":
            return found
        if one_level is None or (one_level.is_unclear and not found.is_unclear):
            one_level = found
    assert one_level is not None
    if one_level.is_unclear:
        raise VisitError(name, [Problem(
            f"is missing: {one_level.sentences[0]} Expected the value above which the system runs.",
            "log.counting.running_above",
        )])  # fmt: skip
    return one_level


def _with_status(log: Log, signal: Signal) -> Signal:
    """Where running is from another channel, a status column still says the stage."""
    channel = _channel(log, "status")
    if signal.name == "status" or channel is None:
        return signal
    said = (*signal.sentences[:1], f"Stage by the column of {channel}.")
    return replace(signal, stage=log.channels[channel], sentences=said, words=tuple(log.status_words.get(channel, ())))


def _by_status(log: Log, channel: str) -> Signal:
    values = log.channels[channel]
    words = log.status_words.get(channel, ())
    if words:
        is_off = np.array([w.strip().casefold() in OFF_WORDS for w in words])
        known = np.isfinite(values)
        off = np.zeros(len(log), dtype=bool)
        off[known] = is_off[values[known].astype(int)]
        running = np.where(known, (~off).astype(float), np.nan)
        off_words = ", ".join(f'"{w}"' for w, o in zip(words, is_off, strict=True) if o) or "no word of it"
        said = f"Running or off by the column of {channel}; {off_words} is off."
        return Signal("status", channel, running, values, None, (said,), tuple(words))
    running = np.where(np.isfinite(values), (values > 0).astype(float), np.nan)
    return Signal("status", channel, running, values, None, (f"Running or off by the column of {channel}.",))


def _kind(signal: str, channel: str) -> str:
    if signal == "supply temperature" or channel.endswith("temperature_rise"):
        return "temperature_difference"
    return {"power": "power", "airflow": "volume_flow"}[signal] if "pressure" not in channel else "duct_pressure"


def signal_kind(log: Log, wanted: str | None = None) -> str:
    """Kind of quantity of a threshold, with a signal that is wanted or the first that is logged; "count" for a status."""
    for signal in (wanted,) if wanted is not None else ("status", *_CHANNELS):
        channel = _channel(log, signal) if signal == "status" or signal in _CHANNELS else None
        if channel is not None:
            return "count" if signal == "status" else _kind(signal, channel)
    return "power"


def _stated(counting: Counting, kind: str, name: str) -> float:
    value = counting.running_above
    try:
        if isinstance(value, str):
            return float(parse(value, kind))
        return float(to_inside(value, kind, counting.units))
    except UnitError as error:
        raise VisitError(name, [Problem(str(error), "log.counting.running_above")]) from None


def _by_level(log: Log, signal: str, logged: Mapping[str, str], counting: Counting, mode: str, name: str) -> Signal:
    if signal == "status":
        values = log.channels[logged["status"]]
        if log.status_words.get(logged["status"]) or isinstance(counting.running_above, str):
            raise VisitError(name, [Problem(
                "goes with a number; expected none for a status, or running_from to name another channel.",
                "log.counting.running_above",
            )])  # fmt: skip
        limit = float(counting.running_above or 0.0)
        running = np.where(np.isfinite(values), (values > limit).astype(float), np.nan)
        return Signal("status", logged["status"], running, values, limit,
                       (f"Running where {logged['status']} is above {limit:g}, as stated.",))  # fmt: skip
    channel, nothing = logged[signal], np.full(len(log), np.nan)
    values, what = log.channels[channel], channel.removeprefix("readings.").replace(".", " ").replace("_", " ")
    if signal == "supply temperature":
        values = log.channels["readings.return.dry_bulb"] - values
        values, what = (values, "return less supply dry bulb") if mode == "cooling" else (-values, "supply less return dry bulb")  # fmt: skip
    kind, known = _kind(signal, channel), Distinct.of(values)
    if counting.running_above is not None:
        limit = _stated(counting, kind, name)
        said = f"Running where {what} is above {show(limit, kind, counting.units)}, as stated."
    else:
        levels = _levels(_inside_only(known, values, counting, log), signal)
        if levels is None or (signal == "supply temperature" and levels.high < LEAST_SPLIT):
            return _one_level(log, signal, channel, values, what, kind, counting)
        limit = levels.threshold
        low, high = (show(v, kind, counting.units) for v in (levels.low, levels.high))
        said = (
            f"Running where {what} is above {show(limit, kind, counting.units)}, found {levels.how} "
            f"(off {low}, running {high} on average)."
        )
    running = np.where(np.isfinite(values), (values > limit).astype(float), np.nan)
    stage, more = (
        _stage_by_power(values, known.part(above=limit), limit, kind, counting) if signal == "power" else (nothing, ())
    )
    return Signal(signal, channel, running, stage, limit, (said, *more))


def _inside(log: Log, counting: Counting) -> NDArray[np.bool_]:
    """Rows from first to last."""
    low = -np.inf if counting.first is None else counting.first
    high = np.inf if counting.last is None else counting.last
    found: NDArray[np.bool_] = (log.time >= low) & (log.time <= high)
    return found


def _inside_only(known: Distinct, values: Floats, counting: Counting, log: Log) -> Distinct:
    """Readings of the rows from first to last."""
    is_whole = counting.first is None and counting.last is None
    return known if is_whole else Distinct.of(values[_inside(log, counting)])


def _levels(known: Distinct, signal: str) -> Levels | None:
    found = running_threshold(known)
    if found is not None or signal != "supply temperature" or not known.size:
        return found
    is_fading = known.quantile(0.01) < FADING * known.quantile(0.99)
    return two_levels(known, SEPARABLE_FADING) if is_fading else None


def _one_level(log: Log, signal: str, channel: str, values: Floats, what: str, kind: str, counting: Counting) -> Signal:
    """Always on or always off: a supply apart from its return runs, and so does a power or flow above nothing."""
    known = values[np.isfinite(values)]
    level = float(np.median(known)) if known.size else 0.0
    split = log.channels.get("readings.return.dry_bulb"), log.channels.get("readings.supply.dry_bulb")
    is_on = level > 0
    if split[0] is not None and split[1] is not None:
        apart = np.abs(split[0] - split[1])
        is_on = bool(np.isfinite(apart).any() and np.nanmedian(apart) >= LEAST_SPLIT)
    running = np.where(np.isfinite(values), float(is_on), np.nan)
    low, high = (float(v) for v in np.quantile(known, (0.005, 0.995))) if known.size else (0.0, 0.0)
    if is_on and low < STEADY_LEVEL * level:
        ends = " and ".join(show(v, kind, counting.units) for v in (low, high))
        said = f"{what} is between {ends}, without two clear levels that would tell running from off."
        return Signal(signal, channel, running, np.full(len(log), np.nan), None, (said,), (), True)
    state = "to run all the time" if is_on else "to be off all the time"
    shown = (show_difference if "difference" in kind else show)(level, kind, counting.units)
    said = f"{what[0].upper()}{what[1:]} has one level only (about {shown}); the system is taken {state}."
    return Signal(signal, channel, running, np.full(len(log), np.nan), None, (said,))


def _stage_by_power(
    values: Floats, running: Distinct, limit: float, kind: str, counting: Counting
) -> tuple[Floats, tuple[str, ...]]:
    """Stages 1 and 2 where the running power has two clear levels."""
    nothing = np.full(values.size, np.nan)
    levels = two_levels(running, SEPARABLE_STAGES)
    if levels is None or "Otsu" not in levels.how or levels.high < STAGE_FACTOR * levels.low:
        return nothing, ()
    if not STAGE_SHARE <= levels.share <= 1 - STAGE_SHARE:
        return nothing, ()
    low, high, cut = (show(v, kind, counting.units) for v in (levels.low, levels.high, levels.threshold))
    said = (
        f"The running power has two levels ({low} and {high} on average): stage 2 is above {cut}, found {levels.how}."
    )
    return np.where(values > limit, np.where(values > levels.threshold, 2.0, 1.0), np.nan), (said,)


def nothing_runs(log: Log, signal: Signal, counting: Counting) -> str:
    """Why there is no run, in a sentence."""
    values = log.channels[signal.channel]
    known = values[np.isfinite(values) & _inside(log, counting)]
    if not known.size:
        return f"{signal.channel} has no value, so nobody can say when the system runs; set running_from to another channel."
    where = " between first and last" if counting.first is not None or counting.last is not None else ""
    said = " ".join(signal.sentences)
    if signal.words:
        return f"the system never runs{where}. {said} Set running_from to another channel, or check the column."
    kind = (
        ""
        if signal.name == "status"
        else ("temperature" if signal.name == "supply temperature" else _kind(signal.name, signal.channel))
    )
    ends = [f"{v:g}" if not kind else show(float(v), kind, counting.units) for v in (known.min(), known.max())]
    return (
        f"the system never runs{where}: {signal.channel} is between {ends[0]} and {ends[1]}. {said} "
        "Set running_above or running_from, or check the column."
    )
