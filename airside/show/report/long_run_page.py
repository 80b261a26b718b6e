"""The report on two long periods: one self-contained page, or a PDF of it."""

from __future__ import annotations

import hashlib
import shlex
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from airside import __version__
from airside.cautions import CAUTIONS, PRECEDENCE
from airside.compare.baseline import FIGURE_WORDS, WORDS, kind_of
from airside.compare.long_run_result import LongRun
from airside.compare.period_guards import WEIGHTY
from airside.compare.periods import Period
from airside.errors import FileError
from airside.results import Row
from airside.show.long_run import long_run_chart
from airside.show.report.blocks import Block, Facts, Grid, Picture, Section, section, sentences
from airside.show.report.customer import place_of
from airside.show.report.instruments import instruments_of
from airside.show.report.logged import aside_text
from airside.show.report.pdf import pdf_bytes
from airside.show.report.pictures import inline_svg, theme
from airside.show.report.render import _environment
from airside.show.report.time_stamp import stamp_text, time_stamp_of
from airside.units import UnitSystem, percent, show
from airside.visit.load import read_visit_data
from airside.visit.schema import Visit

# Days whose part in the change is listed, at most.
DAYS = 12


def long_run_report(
    found: LongRun, *, form: str = "html", units: UnitSystem | None = None, time_stamp: str = "now"
) -> bytes:
    """The report as the bytes of a file; the same result and time stamp give the same bytes.

    Parameters
    ----------
    found : LongRun
    form : "html" or "pdf"
        PDF needs the extra ``report``.
    units : "IP" or "SI", optional
        Default those of the before period.
    time_stamp : str
        "now", "none", or a time as in ISO 8601.

    Raises
    ------
    OutputError
        PDF is asked for and what it needs is not installed.
    AirsideError
        A time stamp that is none.
    """
    if form not in ("html", "pdf"):
        raise ValueError(f"form is {form!r}; expected 'html' or 'pdf'")
    stamp = time_stamp_of(time_stamp)
    system = units or found.before.units
    picture = _picture(found, system, "weather", "Total capacity against the weather, before and after")
    page: str = _environment().get_template("long_run.html.jinja").render(
        title=found.title, heading=f"Delivered {found.before.mode} before and after the work, logged",
        names=(found.before.name, found.after.name), stamp=None if stamp is None else stamp_text(stamp),
        verdict=found.verdict, further=found.further_sentences, reservations=found.weighty(), picture=picture,
        cautions=(CAUTIONS[0], CAUTIONS[1], PRECEDENCE), sections=_sections(found, system), version=__version__,
    )  # fmt: skip
    return page.encode() if form == "html" else pdf_bytes(page)


def _picture(found: LongRun, units: UnitSystem, part: Literal["weather", "running"], words: str) -> Picture:
    chart = long_run_chart(found, units=units, theme=theme(), with_verdict=False, parts=(part,))
    return Picture(inline_svg(chart, f"long-run-{part}", words), "")


def _sections(found: LongRun, units: UnitSystem) -> list[Section]:
    rows = list(found.rows())
    season = [r for r in rows if is_of_season(r)]
    running = _picture(found, units, "running", "The change as it came about over the after period")
    # The tables of fit and slopes say those sentences.
    rest = [s for s in found.basis_sentences(units) if not s.startswith(("Fit of", "Slope of", "Range of"))]
    told = {*found.basis_sentences(units), *found.season_sentences()}
    parts = [
        section(
            "The change",
            [figures_grid("", [r for r in rows if r not in season], units), running, budget_grid(found)],
            starts_page=True,
        ),
        section("The baseline", [fit_grid(found), slopes_grid(found, units), sentences("", rest)]),
    ]
    if season:
        parts.append(section("The season", [figures_grid("", season, units), sentences("", found.season_sentences())]))
    parts += [
        section("Days", [days_grid(found)]),
        section("The two periods", [_periods(found)]),
        section("Instruments", _instruments(found, units)),
        section("Warnings", [sentences("", [w.message for w in found.warnings if w.code not in WEIGHTY])]),
        section("Method and assumptions", [sentences("", [
            "After ASHRAE Guideline 14 and IPMVP Option B: the after period against what a model of the before period predicts at "
            "its own conditions, inside the range of the before period only.",
            *(s for s in found.assumptions(units) if s not in told),
        ])]),
        section("Safety", [sentences("", [*CAUTIONS, PRECEDENCE])], is_whole=True),
        section("Files", [_files(found), _again(found)]),
    ]  # fmt: skip
    return [p for p in parts if p.blocks]


def is_of_season(row: Row) -> bool:
    """Whether an output is one of the season."""
    return row.name.startswith(("heat_", "energy_", "hours_"))


def figures_grid(caption: str, rows: list[Row], units: UnitSystem) -> Grid:
    """Outputs with their intervals."""
    cells = tuple((r.title, r.text(units), r.interval_text(units)) for r in rows)
    return Grid(caption, ("", "value", "95 % interval"), cells)


def budget_grid(found: LongRun, most: int = 10) -> Grid:
    """Where the doubt comes from, the largest parts first."""
    rows = [r for r in found.budget() if r[1] > 1e-6]
    shown = [(n, percent(s)) for n, s in rows[:most] if s >= 0.005]
    if len(rows) > len(shown):
        left = sum(s for _, s in rows[len(shown) :])
        shown.append((f"{len(rows) - len(shown)} others", percent(left)))
    return Grid("Where the doubt of the change in total capacity comes from", ("", "share of the variance"), tuple(shown),
                widths=(74, 26))  # fmt: skip


def fit_grid(found: LongRun) -> Grid:
    """How well the baseline fits each figure."""
    rows = tuple(
        (FIGURE_WORDS[f].capitalize(), f"{b.count:,}", f"{b.r_squared:.3f}", percent(b.cv_rmse, 1), percent(b.nmbe, 1),
         f"{b.autocorrelation:.2f}") for f, b in found.baselines.items()
    )  # fmt: skip
    return Grid("Fit of the model", ("", "stretches", "R²", "CV(RMSE)", "NMBE", "autocorrelation"), rows)


def slopes_grid(found: LongRun, units: UnitSystem) -> Grid | None:
    """Range of each condition, and the baseline's slope on it."""
    terms = found.baselines["total"].terms
    if not terms.ranges:
        return None
    rows = []
    for term, (low, high) in terms.ranges.items():
        kind = kind_of(term)
        ends = f"{show(low, kind, units, unit=False)} to {show(high, kind, units)}"
        used = term in terms.used
        rows.append((WORDS[term].capitalize(), ends, *(b.slope_text(term, units) if used else "not used" for b in found.baselines.values())))  # fmt: skip
    heads = ("", "range", *(f"slope of {FIGURE_WORDS[f]}" for f in found.baselines))
    return Grid("Conditions of the baseline", heads, tuple(rows), text_columns=tuple(range(len(heads))))


def days_grid(found: LongRun) -> Grid | None:
    """The days that move the change most when they are left out."""
    value = found.change.value
    known = sorted((d for d in found.days if d.without == d.without), key=lambda d: -abs(d.without - value))[:DAYS]
    if not known:
        return None
    rows = tuple((d.day, d.period, percent(d.without, 1, sign=True)) for d in known)
    caption = f"The change in total capacity without one day (with all days {percent(value, 1, sign=True)}); the days that move it most"
    return Grid(caption, ("day", "period", "change without it"), rows, text_columns=(0, 1), widths=(50, 20, 30))


def _periods(found: LongRun) -> Facts | None:
    """Who measured what, how, and which rows of the logs count."""
    both = (found.before, found.after)
    if not all(p.visits for p in both):
        return None
    rows = (
        ("Customer", _each(both, lambda v: v.customer)),
        ("Place", _each(both, place_of)),
        ("System", _each(both, lambda v: v.system.name or v.name)),
        ("Work", _each(both, lambda v: v.work)),
        ("Measured by", _each(both, lambda v: v.measured_by)),
        ("Airflow by", _each(both, lambda v: v.airflow.method)),
        ("Steady stretches", tuple(f"{len(p):,} on {len(p.days)} days" for p in both)),
        ("Logged from the first to the last row", _each(both, lambda v: f"{v.stretch.rows:,} {v.stretch.unit}" if v.stretch is not None else None)),
        ("In no stretch, by reason", _each(both, lambda v: aside_text(v.stretch) if v.stretch is not None else None)),
        ("How the log was read", _each(both, lambda v: " ".join(v.stretch.notes) if v.stretch is not None else None)),
    )  # fmt: skip
    # What nobody has said of these is a line to fill in by hand.
    by_hand = ("Customer", "Place", "Measured by")
    return Facts(tuple((name, texts) for name, texts in rows if any(texts) or name in by_hand), ("before", "after"))


def _each(periods: Sequence[Period], what: Callable[[Visit], str | None]) -> tuple[str | None, ...]:
    """What the files of each period say, each text once."""
    found = []
    for period in periods:
        texts = dict.fromkeys(t for t in map(what, period.visits) if t)
        found.append("\n".join(texts) or None)
    return tuple(found)


def _instruments(found: LongRun, units: UnitSystem) -> list[Grid]:
    """Those of the first file of each period."""
    visits = [p.visits[0] for p in (found.before, found.after) if p.visits]
    return instruments_of(visits, units, ("before", "after"), "periods") if len(visits) == 2 else []


def _again(found: LongRun) -> Block | None:
    """Version and command that make the figures again."""
    paths = [
        {v.path if len(p.visits) == 1 else v.path and v.path.parent for v in p.visits}
        for p in (found.before, found.after)
    ]
    if any(len(p) != 1 or None in p for p in paths):
        return sentences("", [f"Made with airside {__version__}."])
    names = [str(next(iter(p))) for p in paths]
    left = [o for t in found.baselines["total"].terms.without for o in ("--without", t)]
    return sentences("", [
        f"Made with airside {__version__}; the figures come again by: airside longrun {shlex.join([*names, *left])}"
        + (" with the season's --bins and --price." if found.season is not None else ".")
    ])  # fmt: skip


def _files(found: LongRun) -> Grid | None:
    rows = [*_files_of(found.before, "before"), *_files_of(found.after, "after")]
    if not rows:
        return None
    return Grid("Files that the figures come from", ("period", "file", "SHA-256"), tuple(rows), text_columns=(0, 1, 2),
                file_columns=(1, 2), widths=(10, 34, 56))  # fmt: skip


def _files_of(period: Period, name: str) -> list[tuple[str, str, str]]:
    rows = []
    for visit in period.visits:
        if visit.path is None:
            continue
        try:
            logs = sorted(_named_logs(read_visit_data(visit.path)))
        except FileError:
            # It has gone or was changed since it was read.
            logs = []
        for file in (visit.path, *(visit.path.parent / log for log in logs)):
            try:
                digest = hashlib.sha256(Path(file).read_bytes()).hexdigest()
            except OSError:
                digest = "no longer there"
            rows.append((name, file.name, digest))
    return rows


def _named_logs(data: Mapping[str, Any]) -> set[str]:
    """Logger files that a visit file names."""
    found = set()
    for key, value in data.items():
        if isinstance(value, Mapping):
            found |= _named_logs(value)
        elif key == "log" and isinstance(value, str):
            found.add(value)
    return found
