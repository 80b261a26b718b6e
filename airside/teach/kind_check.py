"""What the author of a question kind would get wrong, in sentences."""

from __future__ import annotations

import re
from string import Formatter

from airside.teach.question import QuestionKind
from airside.units import KINDS

HINTS = (2, 4)
# What a worksheet can print, or asks to be handed out.
NEEDS = frozenset({"saturation", "elevation", "response", "chart", "R-410A", "R-407C"})
NUMBER_WITH_UNIT = re.compile(
    r"(?<![\w{])\d[\d.,]*\s*(°F|°C|cfm|L/s|inH2O|k?Pa\b|k?Btu|kW|tons?\b|ft\b|psi\b|gr/lb|g/kg|lb\b|kg\b)"
)


def kind_problems(kind: QuestionKind) -> list[str]:
    """What is wrong with a question kind; empty where nothing is."""
    found: list[str] = []

    def say(wrong: bool, sentence: str) -> None:
        if wrong:
            found.append(f"question kind {kind.name}: {sentence}")

    say(not re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", kind.name), "its name is not of words joined by underscores.")
    say(not kind.title.strip(), "it has no title.")
    say(kind.kind not in KINDS, f'its answer is of an unknown kind "{kind.kind}".')
    unknown = [p.kind for p in kind.parameters if p.kind not in KINDS]
    say(bool(unknown), f"parameters of unknown kinds: {', '.join(unknown)}.")
    named = [field for _, field, _, _ in Formatter().parse(kind.ask) if field]
    own = [p.name for p in kind.parameters]
    missing, foreign = sorted(set(own) - set(named)), sorted(set(named) - set(own))
    say(bool(missing), f"its text does not give {', '.join(missing)}.")
    say(bool(foreign), f"its text names {', '.join(foreign)}, which is no parameter.")
    say(len(set(own)) < len(own), "two parameters have one name.")
    say("?" not in kind.ask and not kind.ask.rstrip().endswith("."), "its text asks nothing: no question mark.")
    say(
        not HINTS[0] <= len(kind.hints) <= HINTS[1],
        f"it has {len(kind.hints)} hints; expected {HINTS[0]} to {HINTS[1]}.",
    )
    say(any(not h.strip() for h in kind.hints), "a hint is empty.")
    say(not kind.source.strip(), 'it has no source; where there is none, write "common practice, no source".')
    say(
        len(kind.options) != len(kind.because),
        f"{len(kind.options)} options, {len(kind.because)} reasons; expected as many.",
    )
    say(len(kind.options) == 1, "one option is no choice.")
    say(len({o.casefold() for o in kind.options}) < len(kind.options), "two options are the same.")
    say(
        bool(kind.options) and bool(kind.slips),
        "it has options and slips; the reasons of the options say what the slips would.",
    )
    say(not kind.options and not kind.slips, "it knows no slips.")
    names = [s.name for s in kind.slips]
    say(len(set(names)) < len(names), "two slips have one name.")
    say(any(not s.says.strip() for s in kind.slips), "a slip says nothing.")
    strange = sorted(set(kind.needs) - NEEDS)
    say(bool(strange), f'it needs "{", ".join(strange)}", which no worksheet can print.')
    say(kind.limits[0] >= kind.limits[1], "its limits are not from low to high.")
    # A number that stands in the text itself does not follow the unit system; with the other one in brackets it may stay.
    typed = NUMBER_WITH_UNIT.search(kind.ask)
    if typed is not None and len(kind.systems) > 1 and "(" not in kind.ask[typed.end() : typed.end() + 60]:
        say(True, f'its text holds "{typed[0]}" in one unit system; make it a parameter, or give both.')
    return found
