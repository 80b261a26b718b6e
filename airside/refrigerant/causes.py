"""What the readings say together: candidate causes, ranked by how well the deviations fit them.

The model is simple and stated. Each deviation, measured less expected, is taken as normal with its
standard uncertainty. Beforehand a reading may as well have gone up, gone down, or stayed within a
threshold, by any size alike up to `SPAN` thresholds; Bayes' rule gives what the measurement makes of
that. A measurement that says nothing leaves a third to each, so doubt favours no cause.
The rule table gives each cause the outcomes that it expects of a reading: one of the three, two of
them alike ("not up"), or all three alike ("either"). The likelihood of a cause by one reading is
the probability of meeting what it expects, mixed with a third by `RULE_DOUBT`, because the tables
are simpler than systems are.

A cause's share is the product of its likelihoods over that of all causes together, as if each were
as likely beforehand and exactly one present. Causes that fit come first, each group ranked by it. A cause's match is how well
it fits by itself: the geometric mean over the readings that count for it of the probability that
what it expects is met; near 1 where all fit, whatever other causes fit as well. Readings are taken
as independent, which those with a common pressure are not: shares rank, they are no more.

It suggests what to look at; it never says what to do.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

import numpy as np

from airside.cautions import SHORT
from airside.errors import EvidenceError
from airside.refrigerant.cause_rules import (
    CAUSES,
    READINGS,
    SOURCE,
    THRESHOLDS,
    Cause,
    Direction,
    MeteringDevice,
    expected_direction,
)
from airside.results import Result, Row, plain
from airside.units import UnitSystem, percent, show_difference

# Share in which a rule may be wrong for a system; chosen here, no source.
RULE_DOUBT = 0.1
# Largest true deviation thought of, in thresholds; chosen here.
SPAN = 5.0
# With fewer readings nothing is ranked.
FEWEST = 2
# A share below which a cause is not mentioned; chosen here.
WORTH_SAYING = 0.1

Outcome = Literal["up", "down", "unchanged"]
# What each direction of the rule tables allows, each alike.
OUTCOMES: dict[Direction, tuple[Outcome, ...]] = {
    "up": ("up",),
    "down": ("down",),
    "unchanged": ("unchanged",),
    "not down": ("up", "unchanged"),
    "not up": ("down", "unchanged"),
    "either": ("up", "down", "unchanged"),
}

Deviation = Any  # (value, standard uncertainty) or an array of draws [K]


@dataclass(frozen=True)
class Moved:
    """How a reading deviates.

    Attributes
    ----------
    reading : str
        A name in `READINGS`.
    value : float [K]
        Measured less expected; the mean of draws.
    uncertainty : float [K]
        Standard uncertainty of the deviation.
    up, down, unchanged : float
        Probabilities; they add up to 1.
    """

    reading: str
    value: float
    uncertainty: float
    up: float
    down: float
    unchanged: float

    def likelihood(self, direction: Direction) -> float:
        """Probability of meeting what a rule expects, the doubt about the rule mixed in."""
        outcomes = OUTCOMES[direction]
        met = sum(float(getattr(self, outcome)) for outcome in outcomes) / len(outcomes)
        return (1 - RULE_DOUBT) * met + RULE_DOUBT / 3

    @property
    def direction(self) -> Outcome:
        """The most probable of up, down and unchanged."""
        return max(OUTCOMES["either"], key=lambda outcome: float(getattr(self, outcome)))


@dataclass(frozen=True)
class Match:
    """How well one cause fits.

    Attributes
    ----------
    cause : Cause
    match : float
        Geometric mean of the fits, 0 to 1; NaN where no reading counts.
    share : float
        Among all causes, 0 to 1.
    fits : bool
        Whether the match is nearer to a sure one than to that of readings that say nothing.
    fitting, against : tuple of str
        Readings that fit and that do not, names in `READINGS`; neither where the reading is vague.
    """

    cause: Cause
    match: float
    share: float
    fits: bool
    fitting: tuple[str, ...]
    against: tuple[str, ...]


@dataclass(frozen=True, repr=False)
class Findings(Result):
    """Candidate causes, the best fitting first.

    Attributes
    ----------
    metering_device : str
    moved : tuple of Moved
        The readings that were there.
    matches : tuple of Match
        Every cause, ranked; empty with fewer than two readings.
    """

    metering_device: MeteringDevice
    moved: tuple[Moved, ...]
    matches: tuple[Match, ...]
    title = "What the readings say together"

    def rows(self) -> list[Row]:
        """Match of each cause, and its share."""
        return [
            row
            for m in self.matches
            for row in (
                Row(f"{m.cause.name}_match", m.match, "fraction", f"{m.cause.label}, match"),
                Row(f"{m.cause.name}_share", m.share, "fraction", f"{m.cause.label}, share"),
            )
        ]

    def sentence(self, match: Match, units: UnitSystem = "SI") -> str:
        """Why a cause stands where it stands, and what to look at next."""
        by_name = {m.reading: m for m in self.moved}

        def listed(readings: tuple[str, ...]) -> str:
            return ", ".join(_said(by_name[r], units) for r in readings)

        label = match.cause.label[:1].upper() + match.cause.label[1:]
        text = f"{label} ({_number(match.match)} match)"
        text += f": what fits is {listed(match.fitting)}" if match.fitting else ": no reading fits clearly"
        text += f"; against it speaks {listed(match.against)}." if match.against else "."
        return f"{text} Worth a look next: {match.cause.next_look}."

    def notes(self) -> list[str]:
        """The causes that fit, each in a sentence, what the ranking rests on, and the cautions."""
        return [*self.sentences("SI"), SHORT]

    def sentences(self, units: UnitSystem = "SI") -> list[str]:
        """As `notes`, in a unit system."""
        if not self.matches:
            return [f"Fewer than {FEWEST} readings have an expected value; nothing is ranked."]
        best = [m for m in self.matches if m.fits and m.share >= WORTH_SAYING]
        said = [self.sentence(m, units) for m in best] or [
            f"No cause fits well; the nearest: {self.sentence(self.matches[0], units)}"
        ]
        if len(best) > 1 and best[1].share > best[0].share / 2:
            said.append(f"The readings do not tell {best[0].cause.label} from {best[1].cause.label}.")
        return [
            *said,
            SOURCE,
            "This is a ranking to guide looking, not a diagnosis; more than one cause may be present.",
        ]

    def to_dict(self) -> dict[str, Any]:
        """SI, ready for JSON: the deviations and the ranked causes."""
        return {
            "metering_device": self.metering_device,
            "safety": SHORT,
            "deviations": [
                {
                    "reading": m.reading, "value_K": m.value, "value_K_u": m.uncertainty,
                    "probability_up": m.up, "probability_down": m.down, "probability_unchanged": m.unchanged,
                }
                for m in self.moved
            ],
            "causes": [
                {
                    "cause": m.cause.name, "label": m.cause.label, "match": plain(m.match), "share": m.share, "fits": m.fits,
                    "fitting": list(m.fitting), "against": list(m.against), "sentence": self.sentence(m),
                    "next_look": m.cause.next_look,
                }
                for m in self.matches
            ],
            "source": SOURCE,
        }  # fmt: skip


def _number(match: float) -> str:
    return "no" if math.isnan(match) else percent(match)


def _said(moved: Moved, units: UnitSystem) -> str:
    name = READINGS[moved.reading]
    if moved.direction == "unchanged":
        return f"{name} as expected"
    size = show_difference(abs(moved.value), "temperature_difference", units)
    return f"{name} {size} {'above' if moved.value > 0 else 'below'} expectation"


def moved(reading: str, deviation: Deviation, threshold: float | None = None) -> Moved | None:
    """A deviation with its probabilities; None where it is not known.

    Parameters
    ----------
    reading : str
        A name in `READINGS`.
    deviation : tuple of (value, standard uncertainty) or array of draws [K]
        Measured less expected, the expectation's own uncertainty among it.
    threshold : float, optional [K]
        Default in `airside.refrigerant.cause_rules.THRESHOLDS`.
    """
    if reading not in READINGS:
        raise EvidenceError(f'findings: "{reading}" is no reading of the rule tables; expected {", ".join(READINGS)}.')
    limit = THRESHOLDS[reading] if threshold is None else threshold
    if isinstance(deviation, tuple):
        value, uncertainty = float(deviation[0]), float(deviation[1])
    else:
        draws = np.asarray(deviation, dtype=np.float64)
        draws = draws[np.isfinite(draws)]
        value, uncertainty = (float(draws.mean()), float(draws.std())) if draws.size else (math.nan, math.nan)
    if math.isnan(value) or not uncertainty >= 0:
        return None
    # Without any doubt the ratios below would be 0 / 0 at a threshold.
    spread = max(uncertainty, 1e-6 * limit)
    most = max(SPAN * limit, abs(value) + limit)

    def weight(low: float, high: float) -> float:
        """Mean likelihood of the true deviations from ``low`` to ``high``."""
        return (_below(high - value, spread) - _below(low - value, spread)) / (high - low)

    up, down, unchanged = weight(limit, most), weight(-most, -limit), weight(-limit, limit)
    total = up + down + unchanged
    return Moved(reading, value, uncertainty, up / total, down / total, unchanged / total)


def _below(distance: float, uncertainty: float) -> float:
    """Probability that a normal variable of mean zero is below ``distance``."""
    return 0.5 * math.erfc(-distance / (uncertainty * math.sqrt(2)))


def what_readings_say(
    deviations: Mapping[str, Deviation | None], metering_device: str, *, thresholds: Mapping[str, float] | None = None
) -> Findings:
    """Rank the candidate causes.

    Parameters
    ----------
    deviations : mapping of str to (value, standard uncertainty) or array of draws [K]
        Measured less expected, by the names in `airside.refrigerant.cause_rules.READINGS`; leave out,
        or give None or NaN, what is not known.
    metering_device : "fixed orifice" or "thermostatic valve"
        Each has its own table.
    thresholds : mapping of str to float, optional [K]
        In place of the defaults.

    Returns
    -------
    Findings

    Raises
    ------
    EvidenceError
        An unknown reading or metering device.
    """
    if metering_device not in ("fixed orifice", "thermostatic valve"):
        raise EvidenceError(
            f'findings: metering device "{metering_device}"; expected "fixed orifice" or "thermostatic valve".'
        )
    device = cast(MeteringDevice, metering_device)
    limits = thresholds or {}
    known = [moved(name, value, limits.get(name)) for name, value in deviations.items() if value is not None]
    order = list(READINGS)
    found = tuple(sorted((m for m in known if m is not None), key=lambda m: order.index(m.reading)))
    if len(found) < FEWEST:
        return Findings(device, found, ())
    directions = {c.name: {m: expected_direction(c.name, m.reading, device) for m in found} for c in CAUSES}
    weights = {name: math.prod(m.likelihood(d) for m, d in rules.items()) for name, rules in directions.items()}
    total = sum(weights.values())
    matches = [_match(c, directions[c.name], weights[c.name] / total) for c in CAUSES]
    return Findings(device, found, tuple(sorted(matches, key=lambda m: (not m.fits, -m.share))))


def _match(cause: Cause, rules: Mapping[Moved, Direction], share: float) -> Match:
    counting = {m: d for m, d in rules.items() if d != "either"}
    if not counting:
        return Match(cause, math.nan, share, False, (), ())
    # The likelihood of two outcomes alike is half their probability: the match wants the whole.
    fits = {m.reading: m.likelihood(d) * len(OUTCOMES[d]) for m, d in counting.items()}
    # What a reading that says nothing comes to.
    vague = {m.reading: len(OUTCOMES[d]) / 3 for m, d in counting.items()}
    match = _geometric_mean(fits)
    fitting = tuple(r for r, f in fits.items() if f >= (1 + vague[r]) / 2)
    against = tuple(r for r, f in fits.items() if f <= vague[r] / 2)
    return Match(cause, match, share, match >= (1 + _geometric_mean(vague)) / 2, fitting, against)


def _geometric_mean(fits: Mapping[str, float]) -> float:
    return math.exp(sum(math.log(f) for f in fits.values()) / len(fits))
