"""Questions of lesson 3 about static pressure and the fan tables that turn it into a flow."""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.airflow import STANDARD_DENSITY, Airflow
from airside.teach.kinds.stated_air import air_of_density
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

FANS = "ASHRAE Handbook—HVAC Systems and Equipment, ch. Fans, fan laws (from memory)"
PRACTICE = "common practice, no source"

STATICS = (
    Parameter("supply_static", "duct_pressure", 50.0, 110.0, (0.01, 1.0)),
    Parameter("return_static", "duct_pressure", -80.0, -25.0, (0.01, 1.0)),
)


def _external_static(values: Values) -> Solution:
    external = values["supply_static"] - values["return_static"]
    return Solution(external, (
        Step("Supply side, above the room", values["supply_static"], "duct_pressure"),
        Step("Return side, below the room; its size without the minus sign", -values["return_static"], "duct_pressure"),
        Step("External static pressure: both sizes together", external, "duct_pressure", written="{-2} + {-1}"),
    ))  # fmt: skip


def _static_without_filter(values: Values) -> Solution:
    return Solution(values["supply_static"] - values["after_filter"], (
        Step("Supply less return duct: what the ducts take", values["supply_static"] - values["return_static"],
             "duct_pressure", written="{supply_static} − {return_static}"),
        Step("Return duct less the reading after the filter: what the filter takes",
             values["return_static"] - values["after_filter"], "duct_pressure", written="{return_static} − {after_filter}"),
        Step("Ducts and filter together, because the table knows no filter", values["supply_static"] - values["after_filter"],
             "duct_pressure", written="{-2} + {-1}"),
    ))  # fmt: skip


# Printed rows are round numbers: 0.50 and 0.70 inH2O, 125 and 175 Pa.
ROWS = (
    Parameter("upper_static", "duct_pressure", 124.5, 125.0, (0.01, 1.0), exact=True),
    Parameter("lower_static", "duct_pressure", 174.3, 175.0, (0.01, 1.0), exact=True),
    Parameter("upper_flow", "volume_flow", 0.61, 0.70, (10.0, 5.0)),
    Parameter("lower_flow", "volume_flow", 0.49, 0.57, (10.0, 5.0)),
)


def _table(values: Values, static: float, density: float, speed: str = "") -> Any:
    """The library's reading of the two rows; half a step beyond an end is still read."""
    return Airflow.fan_table(
        (values["upper_static"], values["lower_static"]),
        (values[f"upper_{speed}flow"], values[f"lower_{speed}flow"]),
        static, at=air_of_density(density), outside="extend",
    )  # fmt: skip


def _share(values: Values, static: float) -> float:
    share: float = (static - values["upper_static"]) / (values["lower_static"] - values["upper_static"])
    return share


def _read(values: Values, static: float, density: float = STANDARD_DENSITY, speed: str = "") -> float:
    return float(_table(values, static, density, speed).volume_flow)


def _from_the_wrong_row(values: Values, static: float) -> float:
    # Linear: what one counts from the wrong row mirrors the reading.
    return _read(values, values["upper_static"] + values["lower_static"] - static)


def _fan_table_flow(values: Values) -> Solution:
    share, flow = _share(values, values["static"]), _read(values, values["static"])
    return Solution(flow, (
        Step("From the first row's static to the reading", values["static"] - values["upper_static"], "duct_pressure",
             written="{static} − {upper_static}"),
        Step("From the first row's static to the second's", values["lower_static"] - values["upper_static"], "duct_pressure",
             written="{lower_static} − {upper_static}"),
        Step("The one over the other: the share of the way", share, "fraction", written="{-2} ÷ {-1}"),
        Step("Difference of the two flows at that speed", values["upper_flow"] - values["lower_flow"], "volume_flow",
             written="{upper_flow} − {lower_flow}"),
        Step("That share of the difference", values["upper_flow"] - flow, "volume_flow", written="{-2} × {-1}"),
        Step("First row's flow less that", flow, "volume_flow", written="{upper_flow} − {-1}"),
    ))  # fmt: skip


def _entered(values: Values) -> float:
    """Static at the table's density, by the library [Pa]."""
    flow = Airflow.fan_table(
        (0.0, 2 * values["static"]),
        (1.0, 0.5),
        values["static"],
        at=air_of_density(values["density"]),
        outside="extend",
    )
    return float(next(r.value for r in flow.evidence if r.name == "table_static_pressure"))


def _static_for_table(values: Values) -> Solution:
    return Solution(_entered(values), (
        Step("Density of the table's air, which is standard air", STANDARD_DENSITY, "density"),
        Step("That density over the density here", STANDARD_DENSITY / values["density"], "fraction", written="{-1} ÷ {density}"),
        Step("Static as read, times that ratio", _entered(values), "duct_pressure", written="{static} × {-1}"),
    ))  # fmt: skip


def _fan_table_at_altitude(values: Values) -> Solution:
    entered, flow = _entered(values), _read(values, values["static"], values["density"])
    return Solution(flow, (
        Step("Density of the table's air (standard air; in SI its 1.2 is 1.201 to one place more) over density here", STANDARD_DENSITY / values["density"], "fraction",
             written=("0.075 lb/ft³ ÷ {density}", "1.201 kg/m³ ÷ {density}")),
        Step("Static to enter the table with: the static read, times that ratio", entered, "duct_pressure", (3, 1),
             written="{static} × {-1}"),
        Step("How far it lies from the first row towards the second, as a share of the way", _share(values, entered),
             "fraction", written="({-1} − {upper_static}) ÷ ({lower_static} − {upper_static})"),
        Step("That share of the difference of the two flows", values["upper_flow"] - flow, "volume_flow",
             written="{-1} × ({upper_flow} − {lower_flow})"),
        Step("First row's flow less that; the volume needs no correction", flow, "volume_flow", written="{upper_flow} − {-1}"),
    ))  # fmt: skip


def _is_between_rows(values: Values) -> bool:
    return _share(values, values["static"]) > 0.1 and _share(values, _entered(values)) < 0.95


AIRFLOW_TABLES = (
    QuestionKind(
        name="external_static_from_readings",
        lesson=3,
        title="External static pressure from two readings",
        ask="At a school a manometer is open to the room on one side. Behind the unit, in the supply plenum, it reads "
        "{supply_static}. In the return duct before the unit it reads {return_static}. What is the external static pressure?",
        kind="duct_pressure",
        parameters=STATICS,
        solve=_external_static,
        limits=(60.0, 200.0),
        hints=(
            "The fan lifts the air from the pressure before the unit to the pressure behind it.",
            "External static is supply less return. The return reading is below zero.",
            "Taking off a negative number adds its size.",
        ),
        slips=(
            Slip("the return's minus sign dropped", lambda v, u: v["supply_static"] + v["return_static"],
                 "The return reading lies below the room's pressure. From below zero up to the supply reading is the sum of "
                 "both sizes, not their difference."),
            Slip("supply side alone", lambda v, u: v["supply_static"],
                 "That is the supply side alone. The fan also pulls the air through the return duct: count both sides."),
            Slip("return side alone", lambda v, u: -v["return_static"],
                 "That is the return side alone. The fan also pushes the air through the supply duct: count both sides."),
            Slip("mean of the two sizes", lambda v, u: (v["supply_static"] - v["return_static"]) / 2,
                 "That is the mean of the two sizes. The fan has to make both, so they are added."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="external_static_without_filter",
        lesson=3,
        title="The static that goes with the table: a filter that the table leaves out",
        ask="The fan table of a laundry's unit says: printed without a filter. Readings against the room: supply plenum "
        "{supply_static}, return duct before the filter {return_static}, between filter and coil {after_filter}. "
        "Which static belongs in this table?",
        kind="duct_pressure",
        parameters=(*STATICS, Parameter("after_filter", "duct_pressure", -130.0, -60.0, (0.01, 1.0))),
        solve=_static_without_filter,
        limits=(90.0, 240.0),
        hints=(
            "Read the small print of the table first: what stood inside the unit when it was tested?",
            "A filter that was not there in the test counts as part of the duct.",
            "So take the reading between filter and coil as the return side.",
        ),
        slips=(
            Slip("filter left out", lambda v, u: v["supply_static"] - v["return_static"],
                 "That leaves the filter's drop out. This table was printed without a filter, so the fan must also be "
                 "credited with what the filter takes: use the reading between filter and coil."),
            Slip("minus sign dropped", lambda v, u: v["supply_static"] + v["after_filter"],
                 "The reading before the coil lies below the room. Supply less a negative number adds its size."),
            Slip("filter's drop taken off", lambda v, u: v["supply_static"] - 2 * v["return_static"] + v["after_filter"],
                 "The filter's drop was taken off; it has to be added, because the fan makes it and the table does not know it."),
        ),
        source=PRACTICE,
        possible=lambda v: 15.0 <= v["return_static"] - v["after_filter"] <= 60.0,
    ),
    QuestionKind(
        name="fan_table_flow",
        lesson=3,
        title="Flow from a fan table, between two rows",
        ask="A school's fan table says for high speed {upper_flow} at {upper_static} and {lower_flow} at {lower_static}; for "
        "medium speed {upper_medium_flow} and {lower_medium_flow}. The blower runs on high. The external static is {static}, "
        "and the air has the density for which the table is printed. What is the airflow?",
        kind="volume_flow",
        parameters=(
            *ROWS,
            Parameter("upper_medium_flow", "volume_flow", 0.53, 0.60, (10.0, 5.0)),
            Parameter("lower_medium_flow", "volume_flow", 0.40, 0.47, (10.0, 5.0)),
            Parameter("static", "duct_pressure", 132.0, 168.0, (0.01, 1.0)),
        ),
        solve=_fan_table_flow,
        limits=(0.4, 0.8),
        hints=(
            "Stay in one column: the speed at which the blower runs.",
            "The reading lies between two rows. What share of the way has it gone from the first to the second?",
            "Take the same share of the difference of the two flows off the first row's flow.",
        ),
        slips=(
            Slip("first row alone", lambda v, u: v["upper_flow"],
                 "That is the first row's flow. The reading lies between the rows: go the same share of the way in the flow."),
            Slip("second row alone", lambda v, u: v["lower_flow"],
                 "That is the second row's flow. The reading lies between the rows: go the same share of the way in the flow."),
            Slip("counted from the wrong row", lambda v, u: _from_the_wrong_row(v, v["static"]),
                 "The share of the way is right, but it was counted from the other row. More static, less flow: start at the "
                 "row with the lower static."),
            Slip("the other speed's column", lambda v, u: _read(v, v["static"], speed="medium_"),
                 "That was read in the column for medium speed. The blower runs on high: check the tap, then the column."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="static_for_the_fan_table",
        lesson=3,
        title="The static that a fan table wants to see, at altitude",
        ask="A clinic in the hills: the air there weighs {density}. The external static reads {static}. The fan table is printed "
        "for standard air of 0.075 lb/ft³ (1.2 kg/m³). With which static do you enter the table?",
        kind="duct_pressure",
        parameters=(
            Parameter("density", "density", 0.93, 1.10, (0.0005, 0.005)),
            Parameter("static", "duct_pressure", 90.0, 180.0, (0.01, 1.0)),
        ),
        solve=_static_for_table,
        limits=(90.0, 260.0),
        hints=(
            "In thin air the same fan at the same speed moves the same volume, but makes less pressure.",
            "Pressure goes with density: a proportion.",
            "In the table's denser air the fan would make more static. So the figure goes up.",
        ),
        slips=(
            Slip("no correction for thin air", lambda v, u: v["static"],
                 "That is the static as read. The table's fan ran in denser air and made more pressure at the same flow: "
                 "multiply by the table's density over the density here."),
            Slip("density ratio upside down", lambda v, u: v["static"] ** 2 / _entered(v),
                 "The ratio is upside down. The table's air is the denser one, so the static must come out larger."),
            Slip("root of the density ratio", lambda v, u: float(np.sqrt(v["static"] * _entered(v))),
                 "No root here: pressure goes straight with density. The root belongs to velocity."),
        ),
        source=FANS,
    ),
    QuestionKind(
        name="fan_table_flow_at_altitude",
        lesson=3,
        title="Flow from a fan table in thin air",
        ask="A museum high up: the air weighs {density}. The external static is {static}. The fan table, printed for standard air "
        "of 0.075 lb/ft³ (1.2 kg/m³), says {upper_flow} at {upper_static} and {lower_flow} at {lower_static}. What volume does "
        "the fan move?",
        kind="volume_flow",
        parameters=(
            *ROWS,
            Parameter("density", "density", 0.93, 1.07, (0.0005, 0.005)),
            Parameter("static", "duct_pressure", 130.0, 152.0, (0.01, 1.0)),
        ),
        solve=_fan_table_at_altitude,
        limits=(0.4, 0.8),
        hints=(
            "First bring the static to the table's density. Thin air makes less of it than the table's air would.",
            "Multiply the reading by the table's density over the density here, then read between the rows.",
            "The volume from the table needs no correction: a fan moves the same volume of thin and of thick air.",
        ),
        slips=(
            Slip("static not brought to the table's density", lambda v, u: _read(v, v["static"]),
                 "The table was entered with the static as read. In thin air the fan makes less static at the same flow: "
                 "bring it to the table's density first."),
            Slip("static right, but the flow scaled too",
                 lambda v, u: _read(v, v["static"], v["density"]) * v["density"] / STANDARD_DENSITY,
                 "The static was corrected, and then the flow once more. The fan moves the same volume in thin air; only the "
                 "mass of it is less."),
            Slip("first row alone", lambda v, u: v["upper_flow"],
                 "That is the first row's flow. The corrected static lies between the rows."),
        ),
        source=FANS,
        possible=_is_between_rows,
    ),
    QuestionKind(
        name="what_a_fan_table_cannot_see",
        lesson=3,
        title="What a fan table cannot see",
        ask="A fan table takes the static pressure, and the speed, and says a flow. Which of these makes it say too much, although "
        "the static was read well and brought to the table's density?",
        kind="count",
        parameters=(),
        solve=lambda v: Solution(2),
        limits=(0, 3),
        hints=(
            "The table knows the fan as it was in the laboratory.",
            "Duct, damper and grille all act through the static pressure. What does not?",
        ),
        source=PRACTICE,
        options=(
            "A damper that stands half closed in the supply duct",
            "A supply grille that somebody covered with paper",
            "Dirt on the blades of the blower wheel",
            "A duct that is smaller than the drawing says",
        ),
        because=(
            "The damper raises the static pressure, and the table answers with less flow. It sees the damper.",
            "The paper raises the static pressure, and the table answers with less flow. It sees the paper.",
            "Dirt on the blades makes it a weaker fan than the one in the laboratory. The table does not know that.",
            "The small duct raises the static pressure, and the table answers with less flow. It sees the duct.",
        ),
    ),
)  # fmt: skip
