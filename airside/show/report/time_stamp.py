"""The report's time stamp: as stated, of SOURCE_DATE_EPOCH, or now.

Sources
-------
reproducible-builds.org, SOURCE_DATE_EPOCH: seconds since 1970 in UTC, so that what is built twice is the same.
"""

from __future__ import annotations

import os
import re
from datetime import UTC, datetime

from airside.errors import AirsideError

# What stands behind the time on a report, such as "UTC" or "UTC+02:00".
_UTC = re.compile(r"\s*\bUTC([+-]\d\d:\d\d)?$")


def time_stamp_of(text: str = "now") -> datetime | None:
    """The time stamp of a report.

    Parameters
    ----------
    text : str
        A day, or a day and a time, as in ISO 8601; "none" leaves the stamp out; "now" is the time of
        SOURCE_DATE_EPOCH where that is set, else the time now.

    Returns
    -------
    datetime or None

    Raises
    ------
    AirsideError
        A text that is no time, or a SOURCE_DATE_EPOCH that is no count of seconds.
    """
    word = text.strip().casefold()
    if word == "none":
        return None
    if word == "now":
        return _epoch() or datetime.now().astimezone()
    try:
        return datetime.fromisoformat(_UTC.sub(lambda found: found[1] or "+00:00", text.strip()))
    except ValueError:
        raise AirsideError(
            f'time stamp: "{text}" is not a time. Expected a day and a time such as "2026-11-24 10:00", now, or none.'
        ) from None


def _epoch() -> datetime | None:
    text = os.environ.get("SOURCE_DATE_EPOCH", "")
    if not text:
        return None
    try:
        return datetime.fromtimestamp(int(text), UTC)
    except (ValueError, OverflowError, OSError):
        raise AirsideError(
            f'SOURCE_DATE_EPOCH is "{text}"; expected whole seconds since 1970, such as 1795514400. Mend it, or unset it.'
        ) from None


def stamp_text(stamp: datetime) -> str:
    """A time stamp as the report shows it, to the minute; `time_stamp_of` reads it again."""
    text = stamp.isoformat(sep=" ", timespec="minutes")
    if stamp.utcoffset() is None:
        return text
    return f"{text[:16]} UTC{text[16:] if stamp.utcoffset() else ''}"
