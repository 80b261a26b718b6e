"""The customer's page: one sentence, one picture, who, when and what, in everyday words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isfinite, log10
from typing import Any

from airside.cautions import CAUTIONS, PRECEDENCE
from airside.compare.result import Change
from airside.show.report.blocks import Facts, Picture
from airside.show.report.pictures import change_for_customer, inline_svg, ranges_for_customer
from airside.show.report.subject import Subject
from airside.show.report.wording import in_words, merged, with_minus
from airside.units import UnitSystem, from_inside, percent, show
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit

# Warnings that may undo the answer stand beside it, not only in the list of all.
WEIGHTY = (
    "different_system",
    "airflow_not_measured",
    "other_stage",
    "side_by_side_in_one",
    "different_accuracy",
    "not_at_reference",
)


@dataclass(frozen=True)
class CustomerPage:
    """What the first page holds.

    Attributes
    ----------
    title, sentence : str
    meaning : tuple of str
        What the sentence means, and what it does not say.
    picture : Picture or None
    facts : tuple of Facts
    reservations : tuple of str
        Warnings that may undo the sentence.
    cautions : tuple of str
    """

    title: str
    sentence: str
    meaning: tuple[str, ...]
    picture: Picture | None
    facts: tuple[Facts, ...]
    reservations: tuple[str, ...]
    cautions: tuple[str, ...]


def customer_page(subject: Subject) -> CustomerPage:
    """The first page of a report."""
    change = subject.change
    if change is None:
        sentence, meaning = of_visit(subject)
        picture = _visit_picture(subject)
        title = f"Delivered {subject.mode}"
    else:
        sentence, meaning = of_change(change, subject.units)
        picture = _change_picture(change)
        title = f"Delivered {subject.mode} before and after the work"
    weighty = [w for w in warnings_of(subject) if w.code in WEIGHTY]
    return CustomerPage(
        title, sentence, (*meaning, _count_of_warnings(subject)), picture, _facts(subject),
        tuple(w.message for w in weighty), (CAUTIONS[0], CAUTIONS[1], PRECEDENCE),
    )  # fmt: skip


def warnings_of(subject: Subject) -> list[VisitWarning]:
    """Every warning of the report, each once, without the keys of the file."""
    if subject.change is not None:
        found = subject.change.all_warnings()
    else:
        found = [*subject.results[0].warnings, *subject.explanations[0].warnings()]
    codes = {w.message: w.code for w in reversed(found)}
    codes |= {f"Before and after: {m.removeprefix('Before: ')}": code for m, code in codes.items()}
    return [VisitWarning(codes[m], in_words(m)) for m in merged([w.message for w in found])]


def _count_of_warnings(subject: Subject) -> str:
    count = len(warnings_of(subject))
    if not count:
        return "The pages that follow are for the engineer: how this was found, and what it rests on."
    said = "one warning" if count == 1 else f"{count} warnings"
    return f"The pages that follow are for the engineer: how this was found, what it rests on, and {said} about the readings."


def points(fraction: float, decimals: int) -> str:
    """A relative change in percent, without a minus before a zero."""
    return percent(fraction, decimals).removesuffix(" %")


def of_change(change: Change, units: UnitSystem) -> tuple[str, list[str]]:
    """The verdict in everyday words, and what it means."""
    found, mode = change.ratios[change.basis], change.before.visit.mode
    if not isfinite(found.standard_uncertainty) or found.standard_uncertainty == 0:
        return change.verdict, []
    same = change.basis == "reference"
    value, (low, high) = found.value, found.interval_95
    if change.is_change_supported:
        more = low > 0
        small, large = (low, high) if more else (-high, -low)
        # A whole percent is enough for a wide interval; a narrow or a small one would round to nothing.
        digits = 0 if small >= 0.01 and large - small >= 0.04 else 1
        where = "At the same conditions, the" if same else "The"
        sentence = (
            f"{where} system delivers about {points(abs(value), digits)} % {'more' if more else 'less'} {mode} than before "
            f"the work: between {points(small, digits)} and {points(large, digits)} %, with a probability of 95 %."
        )
        meaning = [
            f"The {'gain' if more else 'loss'} is larger than the doubt of the readings, so it is not an accident of the "
            "instruments. It is the change between the two days of measurement; that the work made it is the judgement of who "
            "signs this report."
        ]
    else:
        digits = 0 if min(abs(low), abs(high)) >= 0.01 and high - low >= 0.04 else 1
        sentence = (
            f"The readings do not show whether the system delivers more or less {mode} than before the work. The change lies "
            f"between {_signed(low, digits)} and {_signed(high, digits)} % (95 % probability). {_both(change, units)}"
        )
        seen = percent(change.smallest_detectable_ratio, 0)
        meaning = [
            f"That is not proof that nothing changed. With these instruments, a change smaller than about {seen} could not "
            "be seen reliably."
        ]
    if same:
        meaning.append(
            "Both days' results were first brought to the same weather and room conditions, so that they can be compared."
        )
    else:
        meaning.append(
            "The two days' results could not be brought to the same weather and room conditions: part of what differs may be the "
            "weather."
        )
    return sentence, meaning


def _signed(fraction: float, digits: int) -> str:
    return with_minus(percent(fraction, digits, sign=True).removesuffix(" %"))


def _both(change: Change, units: UnitSystem) -> str:
    """Both capacities, as measured."""
    first, last = (about(v.estimate("total").value, units) for v in (change.before, change.after))
    return f"Before: about {first}. After: about {last}, as measured."


def of_visit(subject: Subject) -> tuple[str, list[str]]:
    """The delivered capacity in everyday words, and what it means."""
    result, units, mode = subject.results[0], subject.units, subject.mode
    total = subject.doubts[0].estimate("total")
    if not total.value > 0:
        amount = show(total.value, "capacity", units)
        return f"The readings show no {mode}: the figure comes out as {amount}.", [
            "Either the system was not working in that mode, or a reading is wrong."
        ]
    where = "" if result.visit.date is None else f" on {result.visit.date:%Y-%m-%d}"
    sentence = f"The system delivered about {about(total.value, units)} of {mode}{where}"
    low, high = total.interval_95
    if isfinite(low):
        ends = about(low, units, unit=False, like=total.value), about(high, units, like=total.value)
        sentence += f": between {' and '.join(ends)}, with a probability of 95 %."
    else:
        sentence += "."
    meaning = [
        "It is what the air itself took up or gave off between return and supply, at the conditions of that day."
    ]
    expected = subject.explanations[0].expected
    if expected is not None and isfinite(expected.ratio.interval_95[0]):
        first, last = (percent(v).removesuffix(" %") for v in expected.ratio.interval_95)
        meaning.append(
            f"That is {percent(expected.ratio.value)} of the {about(expected.total.value, units)} that is expected of such "
            f"equipment at these conditions ({first} to {last} %, with a probability of 95 %)."
        )
    return sentence, meaning


def about(watts: float, units: UnitSystem, *, unit: bool = True, like: float | None = None) -> str:
    """A capacity [W] to three digits, as people say it; with ``like`` [W], to the digits of that one."""
    shown, model = (float(from_inside(v, "capacity", units)) for v in (watts, watts if like is None else like))
    decimals = 2 - floor(log10(abs(model))) if model else 0
    rounded = round(shown, decimals)
    text = f"{rounded:,.{max(decimals, 0)}f}"
    label = show(0.0, "capacity", units).split(" ", 1)[1]
    return f"{text} {label}" if unit else text


def _change_picture(change: Change) -> Picture | None:
    figure = change_for_customer(change)
    if figure is None:
        return None
    value, (low, high) = change.ratios[change.basis].value, change.ratios[change.basis].interval_95
    words = f"Change {percent(value, 1, sign=True)}, 95 % interval {percent(low, 1, sign=True)} to {percent(high, 1, sign=True)}"
    return Picture(
        inline_svg(figure, "customer", words),
        "The diamond is the figure at the readings. The thick line holds the true figure with a probability of 95 %; the higher "
        "the curve, the better the readings fit.",
    )


def _visit_picture(subject: Subject) -> Picture | None:
    total = subject.doubts[0].estimate("total")
    if not total.value > 0:
        return None
    rows: list[tuple[str, float, tuple[float, float] | None]] = [("delivered", total.value, total.interval_95)]
    expected = subject.explanations[0].expected
    if expected is not None:
        rows.append(("expected at these conditions", expected.total.value, expected.total.interval_95))
    nominal = subject.visits[0].system.nominal_capacity
    if nominal is not None and subject.mode == "cooling":
        rows.append(("nominal, by the nameplate", nominal, None))
    rows = [(f"{name}: {about(value, subject.units)}", value, interval) for name, value, interval in rows]
    words = "; ".join(name for name, _, _ in rows)
    return Picture(
        inline_svg(ranges_for_customer(rows, subject.units), "customer", words),
        "Each line holds the true figure with a probability of 95 %. The nameplate's figure is for other conditions than that day's."
        if rows[-1][2] is None
        else "Each line holds the true figure with a probability of 95 %.",
    )


def joined(values: Sequence[Any]) -> tuple[str | None, ...]:
    """Texts of each visit; one where all say the same, None for a line to fill in."""
    texts = tuple(None if v is None or not str(v).strip() else str(v) for v in values)
    return texts[:1] if len(set(texts)) == 1 else texts


def _facts(subject: Subject) -> tuple[Facts, ...]:
    visits = subject.visits
    last = visits[-1]

    def first_of(name: str, part: str = "") -> str | None:
        """What the last visit says, else the first one."""
        for visit in reversed(visits):
            value = getattr(getattr(visit, part) if part else visit, name)
            if value is not None:
                return str(value)
        return None

    # What was done is what the last visit says: the first one's work came before both.
    what: tuple[tuple[str, tuple[str | None, ...]], ...] = (
        ("Customer", (first_of("customer"),)),
        ("Place", (place_of(last) or place_of(visits[0]),)),
        ("System", (first_of("name", "system") or last.name,)),
        ("What was done", (last.work,)),
    )
    # Each visit has its own line here, even where both say the same.
    who: tuple[tuple[str, tuple[str | None, ...]], ...] = (
        ("Measured on", tuple(date_of(v) for v in visits)),
        ("Measured by", tuple(v.measured_by for v in visits)),
    )
    return (Facts(what), Facts(who, subject.heads)) if subject.heads else (Facts((*what, *who)),)


def place_of(visit: Visit) -> str | None:
    """Name and address of the building, on lines of their own."""
    return "\n".join(t for t in (visit.site.name, visit.site.address) if t) or None


def date_of(visit: Visit) -> str | None:
    """Day, and the time where it is known."""
    if visit.date is None:
        return None
    return f"{visit.date:%Y-%m-%d %H:%M}" if hasattr(visit.date, "hour") else f"{visit.date:%Y-%m-%d}"
