"""What each kind of airflow evidence is worth when the user states nothing: one table.

The figures are relative standard uncertainties (one standard deviation). None of them is measured
on the system at hand, so what the user states stands above them.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MethodDefault:
    """Default of one method: relative standard uncertainty [fraction], its source, the place of the flow."""

    relative_standard_uncertainty: float
    source: str
    at: str


METHODS: dict[str, MethodDefault] = {
    "fan table": MethodDefault(
        0.07, "default 7 %: field installation against a laboratory fan table; common practice, no source", "supply"
    ),
    "measured": MethodDefault(
        0.04, "default 4 %: flow hood, grid or station in the field; common practice, no source", "return"
    ),
    # ASHRAE Fundamentals ch. 37 and ASHRAE Standard 111: a careful field traverse is within 5 to 10 %; from memory.
    "traverse": MethodDefault(
        0.05, "default 5 %: a careful field traverse is within 10 % (ASHRAE Standard 111; from memory)", "supply"
    ),
    "temperature rise": MethodDefault(
        0.07, "default 7 %: heat input, unmixed supply and radiation to the probe; common practice, no source", "return"
    ),
    "pressure match": MethodDefault(
        0.05, "default 5 %: calibrated plate or fan in place of the filter; common practice, no source", "return"
    ),
    "coil pressure drop": MethodDefault(
        0.10, "default 10 %: a clean coil's table against the coil as it is; common practice, no source", "return"
    ),
    "rule of thumb": MethodDefault(
        0.15, "default 15 %: nothing about the airflow was measured; common practice, no source", "return"
    ),
}

# Nothing was measured, so no statement can make a rule of thumb better than this.
RULE_OF_THUMB_LEAST = 0.15
# Flow that is customary for the nominal capacity [m³/s per W]: 350 to 450 cfm per ton; common practice, no source.
CUSTOMARY_FLOW_PER_CAPACITY = (350 * 0.3048**3 / 60 / 3516.8528420667, 450 * 0.3048**3 / 60 / 3516.8528420667)
