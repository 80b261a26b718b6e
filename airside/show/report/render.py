"""The report as HTML or PDF: content from the other modules, put into the template with every text escaped."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from importlib.resources import files
from typing import Any

from airside import __version__
from airside.cautions import CAUTIONS, PRECEDENCE
from airside.compare.explanation import Explanation
from airside.compare.reference import Conditions
from airside.compare.result import Change
from airside.instruments.named_error import DEFAULT_DRAWS, DEFAULT_SEED
from airside.show.printable import printable
from airside.show.report.blocks import Section, section, sentences
from airside.show.report.customer import customer_page
from airside.show.report.found import found_sections, verdict_section
from airside.show.report.logged import logged_section
from airside.show.report.measured import measured_sections, readings_appendix
from airside.show.report.method import method_section
from airside.show.report.pdf import pdf_bytes
from airside.show.report.repeat import appendix, repeat_section
from airside.show.report.subject import Subject, subject_of
from airside.show.report.time_stamp import stamp_text, time_stamp_of
from airside.show.report.wording import with_minus
from airside.units import UnitSystem
from airside.visit.analysis import VisitResult
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.schema import Visit

# A number and its unit stay on one line.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|°[CF]|K|Btu/h|Btu/Wh|kW|cfm|L/s|W/W)(?![\w/]))")


def report_html(
    before: Visit | VisitResult | Change,
    after: Visit | None = None,
    *,
    units: UnitSystem | None = None,
    reference: str | Conditions = "before",
    same_flow: bool = False,
    count: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    time_stamp: datetime | str = "now",
    explanations: Sequence[Explanation] = (),
    visits: Sequence[Visit] = (),
    logs: Sequence[LoggedVisit | None] = (),
) -> str:
    """The report of one visit or two as one self-contained HTML page.

    Parameters
    ----------
    before : Visit, VisitResult or Change
        What is computed already is not computed again; a `Change` holds both visits.
    after : Visit, optional
        With a `Visit` as ``before``.
    units : "IP" or "SI", optional
        Default those of the first visit. Sentences of results that are computed already keep theirs.
    reference : str or Conditions
        As `airside.compare`; for two visits.
    same_flow : bool
        As `airside.compare`.
    count, seed : int
        Draws, where they are still to be made.
    time_stamp : datetime or str
        "now" (SOURCE_DATE_EPOCH where that is set), "none", or a time as in ISO 8601.
    explanations : sequence of Explanation
        Of each visit, from `airside.explain`; computed where there are none.
    visits : sequence of Visit
        The visits as loaded or typed, where they differ from those of the result. One that is not in a
        file is put at the end of the report as text.
    logs : sequence of LoggedVisit or None
        Of each visit whose readings are from logger files; by default these are read again.

    Returns
    -------
    str

    Raises
    ------
    ComparisonError, VisitError, TableError
        As `airside.analyse`, `airside.explain` and `airside.compare`; or arguments that do not go together.
    AirsideError
        A time stamp that is none.
    """
    stamp = time_stamp if isinstance(time_stamp, datetime) else time_stamp_of(time_stamp)
    subject = subject_of(
        before, after, units=units, reference=reference, same_flow=same_flow, count=count, seed=seed,
        explanations=explanations, visits=visits, logs=logs,
    )  # fmt: skip
    return _page(subject, stamp)


def report_bytes(
    before: Visit | VisitResult | Change, after: Visit | None = None, *, form: str = "html", **options: Any
) -> bytes:
    """The report as the bytes of a file.

    Parameters
    ----------
    before, after, **options : as `report_html`
    form : "html" or "pdf"
        PDF needs the extra ``report``.

    Raises
    ------
    OutputError
        PDF is asked for and what it needs is not installed.
    ComparisonError, VisitError, TableError, AirsideError
        As `report_html`.
    """
    if form not in ("html", "pdf"):
        raise ValueError(f"form is {form!r}; expected 'html' or 'pdf'")
    page = report_html(before, after, **options)
    return page.encode() if form == "html" else pdf_bytes(page)


def _page(subject: Subject, stamp: datetime | None) -> str:
    names = [v.name for v in subject.visits]
    page: str = _environment().get_template("report.html.jinja").render(
        title=" → ".join(names),
        names=names,
        customer=customer_page(subject),
        stamp=None if stamp is None else stamp_text(stamp),
        sections=_sections(subject, stamp is not None),
        readings=readings_appendix(subject),
        appendix=appendix(subject),
        version=__version__,
    )  # fmt: skip
    return page


def _sections(subject: Subject, has_stamp: bool) -> list[Section]:
    logged = logged_section(subject)
    return [
        verdict_section(subject),
        *measured_sections(subject),
        *([logged] if logged is not None else []),
        *found_sections(subject),
        method_section(subject),
        section("Safety", [sentences("", [*CAUTIONS, PRECEDENCE])], is_whole=True),
        repeat_section(subject, has_stamp),
    ]


@lru_cache(maxsize=1)
def _environment() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("airside.show.report", ""), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True, finalize=_printable,
    )  # fmt: skip
    # The template's own parts; nothing of a file goes through either.
    environment.globals["style"] = (files("airside.show.report") / "report.css").read_text(encoding="utf-8")
    environment.filters["unbroken"] = _unbroken
    environment.filters["said"] = lambda text: _unbroken(with_minus(text))
    return environment


def _unbroken(text: str) -> str:
    return _UNIT.sub("\N{NO-BREAK SPACE}", text)


def _printable(value: Any) -> Any:
    """Text without what a page cannot show; what is no text, or markup of the template's own, stays as it is."""
    return printable(value) if type(value) is str else value
