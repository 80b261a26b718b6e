"""What a report is about: one visit or two, with everything computed of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from airside.compare.change import compare
from airside.compare.explanation import Explanation, explain
from airside.compare.reference import Conditions
from airside.compare.result import Change
from airside.errors import AirsideError, ComparisonError
from airside.instruments.named_error import DEFAULT_DRAWS, DEFAULT_SEED, Draws
from airside.units import UnitSystem
from airside.visit.analysis import VisitResult, analyse
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.reading_errors import visit_identity
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty

NAMES = ("before", "after")


@dataclass(frozen=True)
class Subject:
    """Everything that a report says, computed.

    Attributes
    ----------
    visits : tuple of Visit
        As loaded or typed: one, or before and after.
    results : tuple of VisitResult
        With the draws of `change` where there is one.
    doubts : tuple of VisitUncertainty
        Named errors and draws of each visit.
    explanations : tuple of Explanation
    change : Change or None
    units : "IP" or "SI"
    logs : tuple of LoggedVisit or None
        Of each visit whose readings are from logger files.
    """

    visits: tuple[Visit, ...]
    results: tuple[VisitResult, ...]
    doubts: tuple[VisitUncertainty, ...]
    explanations: tuple[Explanation, ...]
    change: Change | None
    units: UnitSystem
    logs: tuple[LoggedVisit | None, ...]

    @property
    def heads(self) -> tuple[str, ...]:
        """Column heads: none for a single visit."""
        return ("before", "after") if len(self.visits) == 2 else ()

    @property
    def draws(self) -> Draws:
        """Count and seed of the draws."""
        return self.doubts[0].draws

    @property
    def mode(self) -> str:
        """Cooling or heating."""
        return self.visits[0].mode


def result_with(doubt: VisitUncertainty) -> VisitResult:
    """The result of a visit on draws that are there already, such as those of a comparison."""
    # Two draws, because those of this result are thrown away for the ones at hand.
    return replace(analyse(doubt.visit, count=2), doubt=doubt, warnings=tuple(doubt.warnings()))


def subject_of(
    before: Visit | VisitResult | Change,
    after: Visit | None = None,
    *,
    units: UnitSystem | None = None,
    reference: str | Conditions = "before",
    same_flow: bool = False,
    count: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    explanations: Sequence[Explanation] = (),
    visits: Sequence[Visit] = (),
    logs: Sequence[LoggedVisit | None] = (),
) -> Subject:
    """Compute what is not computed yet.

    Parameters
    ----------
    before : Visit, VisitResult or Change
        A `Change` holds both visits.
    after : Visit, optional
        With a `Visit` as ``before``.
    units : "IP" or "SI", optional
        Default those of the first visit. Sentences of results that are computed already keep theirs.
    reference, same_flow : as `airside.compare`
    count, seed : int
        Draws, where they are still to be made.
    explanations : sequence of Explanation
        Of each visit; computed where there are none.
    visits : sequence of Visit
        The visits as loaded or typed, where they differ from those of the result; default those of the result.
    logs : sequence of LoggedVisit or None
        Of each visit; by default they are read again where a visit came from logger files.

    Raises
    ------
    ComparisonError, VisitError, TableError
        As `airside.analyse`, `airside.explain` and `airside.compare`; or arguments that do not go together.
    """
    change: Change | None = None
    if isinstance(before, Visit) and after is not None:
        visits = visits or (before, after)
        shown = units or before.units
        change = compare(
            before.shown_in(shown), after.shown_in(shown), reference=reference, same_flow=same_flow, count=count, seed=seed
        )  # fmt: skip
    elif isinstance(before, Change):
        change = before
    if change is not None:
        if after is not None and isinstance(before, Change):
            raise ComparisonError("a change holds both visits already; leave the after visit out.")
        doubts: tuple[VisitUncertainty, ...] = (change.before, change.after)
        results: tuple[VisitResult, ...] = tuple(result_with(d) for d in doubts)
    else:
        if after is not None:
            raise ComparisonError(
                "an after visit goes with a before visit, not with a result; give both visits, or their change."
            )
        assert not isinstance(before, Change)
        result, doubt = _single(before, units, count, seed)
        doubts, results = (doubt,), (result,)
    found = tuple(explanations) or tuple(explain(d) for d in doubts)
    if len(found) != len(doubts) or (visits and len(visits) != len(doubts)):
        raise ComparisonError(
            f"{len(doubts)} visit{'s' * (len(doubts) > 1)}: expected as many explanations and visits."
        )
    own = tuple(visits) or tuple(d.visit for d in doubts)
    known = tuple(logs) or tuple(log_of(v) for v in own)
    if len(known) != len(own):
        raise ComparisonError(f"{len(own)} visit{'s' * (len(own) > 1)}: expected as many logs.")
    return Subject(own, results, doubts, found, change, units or doubts[0].visit.units, known)


def log_of(visit: Visit) -> LoggedVisit | None:
    """Read the log of a visit again; None where it was typed, or where its files now say something else."""
    from airside.visit.logs.logged_visit import load_logged

    if visit.stretch is None or visit.path is None:
        return None
    try:
        found = load_logged(visit.path)
        same = visit_identity(found.standing) == visit_identity(visit)
    except AirsideError:
        return None
    return found if same else None


def _single(
    before: Visit | VisitResult, units: UnitSystem | None, count: int, seed: int
) -> tuple[VisitResult, VisitUncertainty]:
    if isinstance(before, VisitResult):
        # A result without its doubt was asked for a picture that follows a slider; a report wants it.
        result = before if before.doubt is not None else analyse(before.visit, count=count, seed=seed)
    else:
        result = analyse(before.shown_in(units) if units else before, count=count, seed=seed)
    assert result.doubt is not None
    return result, result.doubt
