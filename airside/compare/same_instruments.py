"""One instrument has one accuracy: what is done where two visits state different ones for the same name."""

from __future__ import annotations

from typing import Any

from airside.visit.accuracy_schema import Accuracy, Instrument
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit


def with_same_instruments(before: Visit, after: Visit) -> tuple[Visit, Visit, list[VisitWarning]]:
    """Both visits with one accuracy for each instrument that both name, and what is said of it.

    The larger statement counts for both; where one visit alone states an accuracy, that one does.

    Parameters
    ----------
    before, after : Visit
    """
    changed: dict[str, Instrument] = {}
    warnings = []
    for name in before.instruments:
        if name not in after.instruments:
            continue
        first, second = before.instruments[name], after.instruments[name]
        update: dict[str, Any] = {}
        larger, alone = [], []
        for quantity in Instrument.model_fields:
            one, other = getattr(first, quantity), getattr(second, quantity)
            if quantity == "description" or one == other:
                continue
            if one is not None and other is not None:
                update[quantity] = _larger(one, other)
                larger.append(quantity.replace("_", " "))
            else:
                update[quantity] = one if one is not None else other
                alone.append(quantity.replace("_", " "))
        if not update:
            continue
        changed[name] = first.model_copy(update=update)
        said = [f"the larger counts for both ({', '.join(larger)})"] if larger else []
        said += [f"one that stands in one visit alone counts for both ({', '.join(alone)})"] if alone else []
        warnings.append(VisitWarning(
            "different_accuracy",
            f'Instrument "{name}" has different accuracies before and after; {" and ".join(said)}. If it is not the same '
            "instrument, or was calibrated in between, give it a name of its own in each visit.",
        ))  # fmt: skip
    if not changed:
        return before, after, []
    return (
        before.model_copy(update={"instruments": {**before.instruments, **changed}}),
        after.model_copy(update={"instruments": {**after.instruments, **changed}}),
        warnings,
    )


def _larger(one: Accuracy, other: Accuracy) -> Accuracy:
    """An accuracy that is at least as wide as both."""

    def most(name: str) -> float | None:
        known = [v for v in (getattr(one, name, None), getattr(other, name, None)) if v is not None]
        return max(known) if known else None

    names = ("accuracy", "accuracy_of_reading", "resolution", "new_each_visit")
    update: dict[str, Any] = {n: most(n) for n in names if n in type(one).model_fields}
    update["combination"] = "sum" if "sum" in (one.combination, other.combination) else "larger"
    # Of one half-width, a limit is the wider statement: over root 3 against over 1.96.
    update["coverage"] = "limit" if "limit" in (one.coverage, other.coverage) else "95 %"
    return one.model_copy(update=update)
