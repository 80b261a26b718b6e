"""The method in short, and the sources that its modules name: read from their docstrings, so that they stand once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib import import_module
from inspect import cleandoc

from airside.compare.curves import RatingCurve
from airside.show.report.blocks import Block, Grid, Paragraph, Section, section
from airside.show.report.subject import Subject

_AIRFLOW = {
    "fan table": "airside.airflow.fan_table",
    "traverse": "airside.airflow.traverse",
    "temperature rise": "airside.airflow.temperature_rise",
}
_OVERVIEW = (
    "Readings are averaged; where a side-by-side check is applied, both probes are first brought to one scale. The states of "
    "return and supply air follow from dry bulb, humidity and barometric pressure, and the dry air from the airflow's evidence. "
    "Delivered capacity is the dry air times the change of enthalpy between return and supply (air-enthalpy method); fan heat "
    "is dealt with as the assumptions say. Every source of doubt is a named error with a distribution; all are drawn at once and "
    "carried through the same equations (Monte Carlo), and linear propagation is the cross-check.",
    "Two visits run on one set of draws: an error that both share, such as the calibration of an instrument that both name, has "
    "one draw in both and cancels as far as it acts alike. Where the outdoor air is known, both capacities are brought to the "
    "same conditions by a rating curve or the manufacturer's table, whose own doubt is part of the interval.",
)


# A sentence that names a module of the library.
_MODULE = re.compile(r"[^.]*\bairside\.[\w.]*\w\.?")


def method_section(subject: Subject) -> Section:
    """How the figures come about, with the sources as the library's modules name them."""
    rows = tuple((what, text) for what, module in _modules(subject) for text in [sources_of(module)] if text)
    blocks: list[Block | None] = [
        Paragraph(text) for text in (_OVERVIEW if subject.change is not None else _OVERVIEW[:1])
    ]
    blocks.append(Grid("Sources", ("For", "document and place"), rows, text_columns=(0, 1), widths=(25, 75)))
    blocks.append(
        Paragraph("“From memory” means that the document was not at hand when the figure was written into the library.")
    )
    return section("Method and sources", blocks)


def sources_of(module: str) -> str:
    """What stands under Sources in a module's docstring, on one line; empty where nothing does."""
    text = cleandoc(import_module(module).__doc__ or "")
    _, _, listed = text.partition("Sources\n-------\n")
    # The chapter of sources ends the docstring, or another heading follows after an empty line.
    text = " ".join(listed.split("\n\n")[0].split()).replace("`", "")
    # A reader of the report has no modules.
    return _MODULE.sub("", text).strip()


def _modules(subject: Subject) -> Iterable[tuple[str, str]]:
    yield "moist air", "airside.air.properties"
    if any(v.site.barometric_pressure is None for v in subject.visits):
        yield "pressure from elevation", "airside.air.atmosphere"
    yield "delivered capacity", "airside.air.process"
    yield "standard air", "airside.airflow.result"
    for method in dict.fromkeys(v.airflow.method for v in subject.visits):
        if method in _AIRFLOW:
            yield "airflow as measured" if method == "measured" else f"airflow by {method}", _AIRFLOW[method]
    yield "accuracy statements", "airside.instruments.accuracy"
    yield "distributions of errors", "airside.instruments.named_error"
    yield "propagation and budget", "airside.instruments.propagation"
    yield "steadiness of readings", "airside.instruments.steadiness"
    if subject.change is not None:
        yield "change and smallest detectable change", "airside.compare.change"
        if subject.change.correction is not None:
            if isinstance(subject.change.correction.source, RatingCurve):
                yield "rating curve", "airside.compare.curves"
            yield "rating conditions", "airside.compare.reference"
    explanations = subject.explanations
    if any(e.coil is not None for e in explanations):
        yield "coil", "airside.air.coil"
    if any(e.expected is not None for e in explanations):
        if subject.change is None:
            yield "rating curve", "airside.compare.curves"
        yield "expected capacity", "airside.compare.rating"
        yield "probability of being below a limit", "airside.compare.expected"
    if any(e.refrigerant is not None for e in explanations):
        yield "refrigerant properties", "airside.refrigerant.models"
        yield "refrigerants and their safety groups", "airside.refrigerant.names"
        yield "targets of superheat and subcooling", "airside.refrigerant.targets"
    if any(e.second is not None for e in explanations):
        yield "capacity by the refrigerant side", "airside.compare.second_capacity"
    if any(e.findings is not None for e in explanations):
        yield "what the readings say together", "airside.refrigerant.cause_rules"
