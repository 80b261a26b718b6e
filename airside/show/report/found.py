"""The sections on what was found: verdict, change, capacities, budget, coil and refrigerant, warnings, assumptions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from airside.compare.explanation import Explanation
from airside.compare.moved import moved_rows
from airside.compare.planning import change_of
from airside.compare.result import Change, figure_cells
from airside.errors import AirsideError
from airside.instruments.propagation import BudgetRow
from airside.refrigerant.causes import WORTH_SAYING
from airside.show.report.blocks import (
    Block,
    Grid,
    Paragraph,
    Picture,
    Section,
    Sentences,
    figures_table,
    section,
    sentences,
    told,
)
from airside.show.report.customer import WEIGHTY, warnings_of
from airside.show.report.measured import psychrometric_picture, told_before
from airside.show.report.pictures import inline_svg, new_figure, theme
from airside.show.report.sizes import error_text
from airside.show.report.subject import Subject
from airside.show.report.wording import gathered
from airside.units import UnitSystem, percent, show

# Lines of a budget beyond which the rest is one line.
MOST = 12
# How the visit says that an accuracy is assumed; the section on instruments says it of every quantity.
CLASS = "Default accuracy class for "
ELSEWHERE = (
    "What is assumed of the site's pressure, the airflow, the accuracy of instruments, the coil, the expected capacity and the "
    "refrigerant side stands in the sections on them."
)
_BLOCKS = {
    "refrigerant": "Refrigerant side", "coil": "Coil", "expected": "Expected capacity",
    "second_capacity": "Capacity by the refrigerant side", "findings": "What the readings say together",
}  # fmt: skip


def verdict_section(subject: Subject) -> Section:
    """The answer in one sentence, what it could not have shown, and the chart of the states."""
    change = subject.change
    chart = Picture(psychrometric_picture(subject), "")
    if change is None:
        return section(
            "Result", [Paragraph(_one_visit(subject), is_strong=True), _could_be_seen(subject), chart], starts_page=True
        )
    said = (
        f"Probability that total capacity rose: {percent(change.probability_of_increase, 1)}. Smallest change that this pair "
        f"could have shown (5 % level, 80 % power): {percent(change.smallest_detectable_ratio, 1)}."
    )
    weighty = [w.message for w in warnings_of(subject) if w.code in WEIGHTY]
    return section(
        "Verdict",
        [
            Paragraph(change.verdict, is_strong=True), Paragraph(said),
            sentences("What may undo it", weighty), chart, _densities(change, subject.units),
        ],
        starts_page=True,
    )  # fmt: skip


def _one_visit(subject: Subject) -> str:
    total = subject.doubts[0].estimate("total")
    text = f"Delivered total {subject.mode} capacity: {show(total.value, 'capacity', subject.units)}"
    if not np.isfinite(total.standard_uncertainty):
        return f"{text}."
    low, high = (show(v, "capacity", subject.units, unit=i == 1) for i, v in enumerate(total.interval_95))
    return f"{text}, 95 % interval {low} to {high}."


def _could_be_seen(subject: Subject) -> Block | None:
    try:
        seen = change_of(subject.doubts[0].visit).smallest_detectable_ratio
    except AirsideError:
        # Such as a visit that delivers nothing: no second one is held against it.
        return None
    return Paragraph(
        "Smallest change of total capacity that this visit and a second one like it could show (5 % level, 80 % power): "
        f"{percent(seen, 1)}."
    )


def found_sections(subject: Subject) -> list[Section]:
    """Change, capacities, doubt, coil and refrigerant, warnings, assumptions, cross-check."""
    found = []
    if subject.change is not None:
        found.append(section("Change, with its intervals", _change(subject.change, subject.units)))
    found += [
        section("Delivered capacities", [_capacities(subject)]),
        section("Where the doubt comes from", _doubt(subject)),
        section("Coil, expected capacity, refrigerant side and efficiency", _why(subject)),
        section("Warnings", _warnings(subject)),
        section("Assumptions", [Paragraph(ELSEWHERE), _assumptions(subject)]),
        section("Cross-check", _crosscheck(subject)),
    ]
    return found


def _change(change: Change, units: UnitSystem) -> list[Block | None]:
    heads = ("", "before", "after", "change (95 % interval)", "relative change (95 % interval)")
    blocks: list[Block | None] = [
        Grid(heading, heads, tuple(figure_cells(f, units) for f in figures))
        for heading, figures in change.groups(units)
    ]
    moved = tuple(row.cells(units) for row in moved_rows(change))
    if moved:
        blocks.append(
            Grid("How the coil, the refrigerant side and the expectation moved",
                 ("", "before", "after", "change", "95 % interval"), moved)
        )  # fmt: skip
    return blocks


def _densities(change: Change, units: UnitSystem) -> Picture | None:
    from airside.show.change import capacity_densities, change_density

    uncertainties = [change.ratios[change.basis].standard_uncertainty]
    uncertainties += [v.estimate("total").standard_uncertainty for v in (change.before, change.after)]
    if not all(np.isfinite(u) and u > 0 for u in uncertainties):
        return None
    figure = new_figure(2.0)
    capacity_densities(change, figure.add_axes((0.03, 0.22, 0.45, 0.76)), units, theme())
    change_density(change, figure.add_axes((0.53, 0.22, 0.45, 0.76)), theme())
    for axes in figure.axes:
        # Two pictures share the page's width.
        axes.xaxis.label.set_size(8.5)
    return Picture(
        inline_svg(figure, "change", "Densities of both capacities and of the relative change"),
        "Left: both capacities as measured. Right: their relative change. What is shaded is the 95 % interval. Errors common "
        "to both visits widen both curves on the left, and cancel on the right.",
    )


def _capacities(subject: Subject) -> Block | None:
    rows = [r.parts()[0][1] for r in subject.results]
    return figures_table(f"Delivered {subject.mode} capacity, as measured", rows, subject.units)


def _doubt(subject: Subject) -> list[Block | None]:
    change = subject.change
    if change is None:
        rows = subject.results[0].budget
        return [_budget(rows, "of total capacity", subject.units), _improve(subject.results[0].improve)]
    rows = change.budgets.get(change.basis, [])
    where = "at the same conditions" if change.basis == "reference" else "as measured"
    return [
        _budget(rows, f"of the relative change {where}", subject.units), _improve(change.improve),
        sentences("What cancels", [change.cancelled]),
    ]  # fmt: skip


def _improve(largest: Sequence[str]) -> Paragraph | None:
    return Paragraph(f"To be improved first: {'; '.join(largest)}.") if largest else None


def _budget(rows: Sequence[BudgetRow], what: str, units: UnitSystem) -> Grid | None:
    """The largest shares, and the rest in one line."""
    known = [r for r in rows if r.share > 1e-6]
    if not known:
        return None
    shown = known[:MOST]
    cells: list[tuple[str, ...]] = [
        (r.error.name, r.error.kind, error_text(r.error, units), percent(r.share, 1), _bar(r.share)) for r in shown
    ]
    if len(known) > MOST:
        # Of a sum of squares: the parts of independent errors add up to the whole.
        rest = sum(r.share for r in known[MOST:])
        cells.append((f"{len(known) - MOST} others", "", "", percent(rest, 1), _bar(rest)))
    return Grid(
        f"Named errors and their share of the variance {what}", ("Error", "kind", "standard uncertainty", "share", ""),
        tuple(cells), text_columns=(0, 1, 4), widths=(45, 13, 16, 9, 17),
    )  # fmt: skip


def _bar(share: float) -> str:
    """A bar of text, as on the terminal."""
    return "▪" * round(share * 24)


def _why(subject: Subject) -> list[Block | None]:
    """What `airside.explain` found of each visit, side by side."""
    units = subject.units
    blocks: list[Block | None] = []
    each = [{heading: (rows, said) for heading, rows, said in e.blocks()} for e in subject.explanations]
    for heading in dict.fromkeys(h for found in each for h in found):
        rows = [found.get(heading, ([], []))[0] for found in each]
        blocks += [figures_table(heading, rows, units), told("", [found.get(heading, ([], []))[1] for found in each])]
    blocks.append(told("What the readings say together", [_findings(e, units) for e in subject.explanations]))
    missing = [[f"{_BLOCKS[n]}: {why}" for n, why in e.reasons.items() if why] for e in subject.explanations]
    blocks.append(told("What is not there, and why", missing))
    return blocks


def _findings(explanation: Explanation, units: UnitSystem) -> list[str]:
    """What the readings say together; what the ranking rests on only where it says something."""
    said = explanation.finding_sentences(units)
    found = explanation.findings
    if found is None or not found.matches or any(m.fits and m.share >= WORTH_SAYING for m in found.matches):
        return said
    return ["No listed cause fits these readings."]


def _warnings(subject: Subject) -> list[Block | None]:
    """Those that do not stand with the verdict already."""
    found = warnings_of(subject)
    rest = [w.message for w in found if subject.change is None or w.code not in WEIGHTY]
    if not found:
        return [Paragraph("There are none.")]
    above = len(found) - len(rest)
    said = f"{'One warning stands' if above == 1 else f'{above} warnings stand'} with the verdict, in section 1."
    return [Paragraph(said) if above else None, sentences("", rest)]


def _assumptions(subject: Subject) -> Sentences | None:
    """Everything that was assumed, each sentence once."""
    # What stands with its figures is not said again.
    own = told("", [[a for a in r.assumptions if a not in told_before(r)] for r in subject.results])
    listed = list(own.items) if own is not None else []
    if subject.change is not None:
        listed = [*subject.change.assumptions(), *listed]
    else:
        listed.append(f"{subject.draws.count:,} draws, seed {subject.draws.seed}.")
    return sentences("", gathered([a for a in dict.fromkeys(listed) if CLASS not in a]))


def _crosscheck(subject: Subject) -> list[Block | None]:
    """Monte Carlo against linear propagation, and the sea-level factors beside the exact result."""
    blocks: list[Block | None] = [told("", [d.sentences() for d in subject.doubts])]
    rows = tuple(
        (f"{t.name.capitalize()} capacity{f', {name}' if name else ''}", f"{t.factor:g}",
         f"{t.factor_here:.2f}" if np.isfinite(t.factor_here) else "none", show(t.textbook, "capacity", subject.units),
         percent(t.error, 1, sign=True) if np.isfinite(t.error) else "none")
        for name, result in zip(subject.heads or ("",), subject.results, strict=True) for t in result.textbook
    )  # fmt: skip
    caption = "Sea-level factors of the textbooks (Btu/h per cfm and °F, gr/lb or Btu/lb), not used in this report"
    return [*blocks, Grid(caption, ("", "textbook", "right here", "would give", "error"), rows)]
