"""Pictures of a lesson whose readings are in logger files: a log over time, two long periods."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from airside.errors import AirsideError
from airside.show.palette import Theme
from airside.teach.marks import nearest
from airside.teach.picture_parameters import OfLog, OfPeriods
from airside.units import UnitSystem

Key = tuple[str, int]


@lru_cache(maxsize=4)
def _logged(key: Key) -> Any:
    from airside.visit.load import read_visit_data
    from airside.visit.logs.log_schema import has_logs
    from airside.visit.logs.logged_visit import load_logged

    if not has_logs(read_visit_data(key[0])):
        raise AirsideError(
            f'{key[0]}: names no logger file, so there is no log to draw. For a typed visit write shows = "visit" or '
            'shows = "readings over time".'
        )
    return load_logged(key[0])


@lru_cache(maxsize=2)
def _compared(before: Key, after: Key) -> Any:
    from airside.compare.long_run import long_run

    return long_run(_logged(before), _logged(after))


def log_picture(given: OfLog, visit: Key, *, units: UnitSystem, theme: Theme) -> Any:
    """A logged visit over time, with its runs and steady stretches; gives the figure.

    Parameters
    ----------
    given : OfLog
    visit : (str, int)
        The visit file, and when it was changed.
    units : "IP" or "SI"
    theme : "light", "dark" or "print"

    Raises
    ------
    AirsideError
        The log cannot be used, a panel is not there, or a time is none.
    """
    from airside.show.time_series import panels_of, time_series_chart

    logged = _logged(visit)
    known = {panel.name: panel for panel in panels_of(logged)}
    for name in given.panels:
        if name not in known:
            raise AirsideError(f'{given.visit}: there is no panel "{name}" in its log. {nearest(name, known)}')
    panels = [known[name] for name in given.panels] or list(known.values())
    first, last = (_moment(text, logged.log.zone) for text in (given.first, given.last))
    try:
        return time_series_chart(logged, units=units, theme=theme, panels=panels, first=first, last=last)
    except ValueError as error:
        raise AirsideError(f"the picture of {given.visit}: {error}.") from None


def long_run_picture(given: OfPeriods, before: Key, after: Key, *, units: UnitSystem, theme: Theme) -> Any:
    """Two long periods: capacity against the weather with the baseline, or the change as it came about; gives the figure.

    Parameters
    ----------
    given : OfPeriods
    before, after : (str, int)
        The visit files, and when they were changed.
    units : "IP" or "SI"
    theme : "light", "dark" or "print"

    Raises
    ------
    AirsideError
        The periods cannot be compared.
    """
    from airside.show.long_run import long_run_chart

    return long_run_chart(_compared(before, after), units=units, theme=theme, parts=[given.part], with_verdict=False)


def _moment(text: str | None, zone: str | None) -> float | None:
    """A time on the log's clock [s, as `Log.time`]; None where none is given."""
    if text is None:
        return None
    from zoneinfo import ZoneInfo

    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise AirsideError(f'"{text}" is no time; write it such as "2026-06-10 14:00".') from None
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=ZoneInfo(zone) if zone is not None else UTC)
    return moment.timestamp()
