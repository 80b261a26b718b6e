"""The usual cautions of the trade, shown wherever a result may send somebody to the equipment."""

from __future__ import annotations

CAUTIONS = (
    "Live voltage: lock out and verify before a panel is opened. Capacitors stay charged.",
    "Moving blowers and belts: keep hands, hoses and sleeves away; they can start by themselves.",
    "Refrigerant under pressure: eye protection and gloves; only licensed people connect, recover or charge.",
    "Hot and sharp surfaces: discharge lines, heaters, brazed joints, coil fins and sheet metal.",
    "Flammable refrigerants, brazing, roofs and ladders each have rules of their own.",
)
PRECEDENCE = "Local codes, the manufacturer's instructions and licensed practice come first."
# One line for command output and pictures' captions.
SHORT = "Safety: live voltage, moving blowers, refrigerant under pressure and hot surfaces can hurt. " + PRECEDENCE
