"""Sentences of the library as a report says them: each once, in words for keys of a file, with one minus sign."""

from __future__ import annotations

import re
from collections.abc import Sequence

MINUS = "\N{MINUS SIGN}"
_MINUS = re.compile(r"(?<![\w-])-(?=\d)")
_VISIT = r"(?:(Before and after|Before|After): )?"
_KEY = re.compile(rf"^{_VISIT}((?:readings|airflow|site|fan|system|side_by_side)(?:\.[a-z_0-9]+)*): ")
_UNDER = re.compile(r" under \[readings\.[a-z_]+\]")
_SCATTER = re.compile(
    rf"^{_VISIT}(.+): (\d+ readings have|a single reading has) no scatter to go by; a usual scatter is taken in its place, "
    r"(.+?) \((.+)\)\.$"
)
_SHARE = re.compile(rf"^{_VISIT}Of the variance of (.+) accuracy, (.+ %) comes anew with each visit \((.+)\)\.$")
# Names of parts of a visit file that a reader would not say.
_SILENT = ("readings", "refrigerant", "site", "system")


def with_minus(text: str) -> str:
    """Text with a minus sign, not a hyphen, before each negative number."""
    return _MINUS.sub(MINUS, text)


def merged(found: Sequence[str]) -> list[str]:
    """Sentences that both visits say, said once of both; each sentence once."""
    said, known = [], set(found)
    for text in dict.fromkeys(found):
        which, _, words = text.partition(": ")
        if which == "Before" and f"After: {words}" in known:
            text = f"Before and after: {words}"
        elif which == "After" and f"Before: {words}" in known:
            continue
        said.append(text)
    return said


def in_words(text: str) -> str:
    """A sentence without the keys of a visit file: "Suction pressure, before: …" for "Before: readings.refrigerant.suction_pressure: …"."""
    text = _UNDER.sub("", text)
    found = _KEY.match(text)
    if found is None:
        return text
    which, key = found.groups()
    parts = [p for p in key.split(".") if p not in _SILENT] or [key.split(".")[-1]]
    words = "side-by-side check" if key == "side_by_side" else " ".join(parts).replace("_", " ")
    label = words[:1].upper() + words[1:]
    return f"{label}{f', {which.lower()}' if which else ''}: {text[found.end() :]}"


def gathered(found: Sequence[str]) -> list[str]:
    """Sentences that differ only in their quantity as one, where the first of them stands."""
    said: list[tuple[str, ...]] = []
    groups: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for text in found:
        key, part = _grouped(text)
        if key not in groups:
            groups[key] = []
            said.append(key)
        groups[key].append((text, part))
    return [_one(key, groups[key]) for key in said]


def _grouped(text: str) -> tuple[tuple[str, ...], str]:
    scatter = _SCATTER.match(text)
    if scatter is not None:
        which, label, readings, size, source = scatter.groups()
        return ("scatter", which or "", readings, source), f"{label[:1].lower()}{label[1:]} {size}"
    share = _SHARE.match(text)
    if share is not None:
        which, quantity, part, source = share.groups()
        return ("share", which or "", source.partition("; ")[0]), f"{quantity} {part}{_detail(source)}"
    return ("text", text), ""


def _detail(source: str) -> str:
    detail = source.partition("; ")[2]
    return f" ({detail})" if detail else ""


def _one(key: tuple[str, ...], parts: Sequence[tuple[str, str]]) -> str:
    if len(parts) == 1:
        return parts[0][0]
    which = f"{key[1]}: " if key[1] else ""
    listed = "; ".join(part for _, part in parts)
    if key[0] == "scatter":
        readings = key[2] if which else key[2][:1].upper() + key[2][1:]
        return (
            f"{which}{readings} no scatter to go by; a usual scatter (one standard deviation) is taken in its place: {listed} "
            f"({key[3]})."
        )
    return f"{which}Of the variance of an accuracy, this part comes anew with each visit: {listed} ({key[2]})."
