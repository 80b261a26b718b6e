"""Questions of lesson 3 about the pressure drop over a coil, wet or dry."""

from __future__ import annotations

import numpy as np

from airside.airflow import STANDARD_DENSITY, Airflow
from airside.teach.kinds.airflow_tables import PRACTICE
from airside.teach.kinds.stated_air import air_of_density
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

COIL = (
    Parameter("rated_flow", "volume_flow", 0.60, 0.85, (10.0, 5.0)),
    Parameter("wet_drop", "duct_pressure", 66.0, 95.0, (0.005, 1.0)),
)


def _by_drop(values: Values, column: str, drop: float) -> float:
    """The library's reading of a coil table with one printed row; no drop means no flow."""
    flow = Airflow.coil_pressure_drop(
        (0.0, values["rated_flow"]), (0.0, values[column]), drop, at=air_of_density(STANDARD_DENSITY), outside="extend"
    )
    return float(flow.volume_flow)


def _coil_drop_flow(values: Values) -> Solution:
    ratio, flow = values["drop"] / values["wet_drop"], _by_drop(values, "wet_drop", values["drop"])
    return Solution(flow, (
        Step("Drop read over the wet coil's drop in the table", ratio, "fraction", written="{drop} ÷ {wet_drop}"),
        Step("Root of that ratio, because the drop goes with the square of the flow", float(np.sqrt(ratio)), "fraction", written="√{-1}"),
        Step("Flow of the table, times that root", flow, "volume_flow", written="{rated_flow} × {-1}"),
    ))  # fmt: skip


def _table_over_traverse(values: Values) -> float:
    return _by_drop(values, "wet_drop", values["drop"]) / float(values["traverse_flow"])


def _coil_as_table(values: Values) -> Solution:
    ratio = _table_over_traverse(values)
    answer = 0 if ratio > 1.08 else 2 if ratio < 0.92 else 1
    return Solution(answer, (
        Step("Flow that the coil's table gives for this drop", _by_drop(values, "wet_drop", values["drop"]), "volume_flow",
             written="{rated_flow} × √({drop} ÷ {wet_drop})"),
        Step("Flow by the traverse", values["traverse_flow"], "volume_flow"),
        Step("First over second", ratio, "fraction", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _is_clear(values: Values) -> bool:
    ratio = _table_over_traverse(values)
    return 0.75 < ratio < 0.86 or 0.97 < ratio < 1.03 or 1.14 < ratio < 1.4


AIRFLOW_COIL_DROP = (
    QuestionKind(
        name="flow_from_coil_pressure_drop",
        lesson=3,
        title="Flow from the pressure drop over a wet coil",
        ask="The table of a clean coil gives, at {rated_flow}, a drop of {dry_drop} dry and {wet_drop} wet. On a humid day, with "
        "water running off the coil, you read a drop of {drop}. The air has the table's density, and the coil is clean. What is "
        "the airflow?",
        kind="volume_flow",
        parameters=(
            *COIL,
            Parameter("dry_drop", "duct_pressure", 44.0, 60.0, (0.005, 1.0)),
            Parameter("drop", "duct_pressure", 40.0, 85.0, (0.005, 1.0)),
        ),
        solve=_coil_drop_flow,
        limits=(0.3, 1.1),
        hints=(
            "Wet or dry? Water on the fins narrows the way, so the table has two columns.",
            "Twice the flow makes four times the drop.",
            "Flow is the table's flow, times the root of drop read over drop printed.",
        ),
        slips=(
            Slip("dry column for a wet coil", lambda v, u: _by_drop(v, "dry_drop", v["drop"]),
                 "That was read against the dry drop. Water runs off this coil: take the wet column."),
            Slip("no root", lambda v, u: v["rated_flow"] * v["drop"] / v["wet_drop"],
                 "That is a straight proportion. The drop goes with the square of the flow, so the ratio of drops needs a root."),
            Slip("ratio upside down", lambda v, u: _by_drop({**v, "wet_drop": v["drop"]}, "wet_drop", v["wet_drop"]),
                 "The ratio is upside down. Less drop than printed means less flow than printed."),
        ),
        source=PRACTICE,
        possible=lambda v: 1.2 < v["wet_drop"] / v["dry_drop"] < 1.8 and abs(v["drop"] / v["wet_drop"] - 1) > 0.08,
    ),
    QuestionKind(
        name="is_the_coil_as_its_table",
        lesson=3,
        title="Is the coil still the one of its table?",
        ask="A bakery's clean wet coil has a drop of {wet_drop} at {rated_flow}, says its table. Today the coil is wet and reads "
        "{drop}, in air of the table's density. A careful traverse, good to 5 %, finds {traverse_flow}. What do the two together say?",
        kind="count",
        parameters=(
            *COIL,
            Parameter("drop", "duct_pressure", 50.0, 110.0, (0.005, 1.0)),
            Parameter("traverse_flow", "volume_flow", 0.5, 0.9, (10.0, 5.0)),
        ),
        solve=_coil_as_table,
        limits=(0, 2),
        hints=(
            "Which flow would the table give for today's drop? Take the root of the drops' ratio.",
            "Compare that flow with the traverse.",
        ),
        source=PRACTICE,
        options=(
            "The coil drops more than a clean one would at this flow: look for dirt",
            "The coil drops what a clean one would: the two agree",
            "The coil drops less than it should at this flow: look for air that passes beside the coil",
        ),
        because=(
            "If the table's flow is well above the traverse's, the coil holds the air back more than a clean one would.",
            "If the table's flow and the traverse's are within the traverse's 5 %, nothing speaks against a clean coil.",
            "If the table's flow is well below the traverse's, some air does not go through the fins, or a tap is not tight.",
        ),
        possible=_is_clear,
    ),
)  # fmt: skip
