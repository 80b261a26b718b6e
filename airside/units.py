"""Units at the edge: text and bare numbers in, display out. Inside airside everything is SI.

`KINDS` is the one table of what a quantity's unit is: inside, for a bare number in a visit file
with ``units = "IP"`` or ``"SI"``, and on display. pint knows the factors; it is loaded on first use.

Heads of water and mercury are the conventional ones (1 inH2O = 249.089 Pa, 1 inHg = 3386.389 Pa;
NIST SP 811, appendix B.8). Btu is the international table's, a ton of refrigeration 12,000 of them
an hour.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from airside.errors import UnitError

UnitSystem = Literal["IP", "SI"]
SYSTEMS: tuple[UnitSystem, UnitSystem] = ("IP", "SI")


@dataclass(frozen=True)
class Display:
    """How a kind of quantity is shown in one unit system: pint's unit, its label, decimals."""

    unit: str
    label: str
    decimals: int
    # What the shown scale reads where the inside scale reads zero, in the shown unit.
    datum: float = 0.0


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its inside unit, its JSON suffix, its bare input units, its displays."""

    name: str
    inside: str
    suffix: str
    ip_input: str
    si_input: str
    ip: Display
    si: Display
    example: str

    def display(self, system: UnitSystem) -> Display:
        """Display in one unit system."""
        return self.ip if system == "IP" else self.si

    def input_datum(self, system: UnitSystem) -> float:
        """What the bare numbers' scale reads where the inside scale reads zero."""
        shown = self.display(system)
        return shown.datum if shown.unit == self.input_unit(system) else 0.0

    def input_unit(self, system: UnitSystem) -> str:
        """Unit of a bare number in a file of this unit system."""
        return self.ip_input if system == "IP" else self.si_input


# Enthalpy of dry air is zero at 0 °F in IP and at 0 °C in SI (ASHRAE Fundamentals 2017 ch. 1, Eq. 30
# in each edition); with the SI edition's 1006 J/(kg K) the step is 1006 * 32 / 1.8 / 2326 Btu/lb.
IP_ENTHALPY_DATUM = 1006.0 * 32.0 / 1.8 / 2326.0


def _kind(name: str, inside: str, suffix: str, inputs: tuple[str, str], ip: Display, si: Display, example: str) -> Kind:
    return Kind(name, inside, suffix, inputs[0], inputs[1], ip, si, example)


KINDS: dict[str, Kind] = {
    k.name: k
    for k in (
        _kind("temperature", "degC", "C", ("degF", "degC"), Display("degF", "°F", 1), Display("degC", "°C", 1),
              '"75.2 degF" or "24 degC"'),
        _kind("temperature_difference", "delta_degC", "K", ("delta_degF", "delta_degC"),
              Display("delta_degF", "°F", 1), Display("delta_degC", "K", 1), '"20 degF" or "11 K"'),
        _kind("relative_humidity", "", "", ("percent", "percent"), Display("percent", "%", 1),
              Display("percent", "%", 1), '"46 %"'),
        _kind("count", "", "", ("", ""), Display("", "", 0), Display("", "", 0), "25"),
        _kind("fraction", "", "", ("", ""), Display("", "", 3), Display("", "", 3), "0.05"),
        _kind("percentage", "", "", ("percent", "percent"), Display("percent", "%", 1), Display("percent", "%", 1),
              '"5 %"'),
        _kind("barometric_pressure", "Pa", "Pa", ("inHg", "kPa"), Display("inHg", "inHg", 2),
              Display("kPa", "kPa", 2), '"24.9 inHg" or "84.3 kPa"'),
        _kind("duct_pressure", "Pa", "Pa", ("inH2O", "Pa"), Display("inH2O", "inH2O", 3), Display("Pa", "Pa", 0),
              '"0.62 inH2O" or "155 Pa"'),
        _kind("refrigerant_pressure", "Pa", "Pa_gauge", ("psi", "kPa"), Display("psi", "psi gauge", 1),
              Display("kPa", "kPa gauge", 0), '"118 psig" or "814 kPa gauge"'),
        _kind("mass", "kg", "kg", ("lb", "kg"), Display("lb", "lb", 2), Display("kg", "kg", 2), '"7.5 lb" or "3.4 kg"'),
        _kind("volume_flow", "m**3/s", "m3_s", ("cfm", "L/s"), Display("cfm", "cfm", 0), Display("L/s", "L/s", 0),
              '"1600 cfm" or "760 L/s"'),
        _kind("velocity", "m/s", "m_s", ("ft/min", "m/s"), Display("ft/min", "ft/min", 0),
              Display("m/s", "m/s", 2), '"700 ft/min" or "3.6 m/s"'),
        _kind("nominal_capacity", "W", "W", ("refrigeration_ton", "kW"), Display("refrigeration_ton", "ton", 1),
              Display("kW", "kW", 1), '"5 ton" or "17.6 kW"'),
        _kind("power", "W", "W", ("kW", "kW"), Display("kW", "kW", 2), Display("kW", "kW", 2), '"0.55 kW"'),
        _kind("flow_per_capacity", "m**3/s/W", "m3_s_W", ("cfm/refrigeration_ton", "L/s/kW"),
              Display("cfm/refrigeration_ton", "cfm/ton", 0), Display("L/s/kW", "L/s per kW", 1), '"400 cfm/ton"'),
        _kind("elevation", "m", "m", ("ft", "m"), Display("ft", "ft", 0), Display("m", "m", 0),
              '"5413 ft" or "1650 m"'),
        _kind("duct_side", "m", "m", ("inch", "mm"), Display("inch", "in", 1), Display("mm", "mm", 0),
              '"20 in" or "500 mm"'),
        _kind("voltage", "V", "V", ("V", "V"), Display("V", "V", 0), Display("V", "V", 0), '"240 V"'),
        _kind("current", "A", "A", ("A", "A"), Display("A", "A", 1), Display("A", "A", 1), '"41.5 A"'),
        _kind("capacity", "W", "W", ("Btu_it/h", "kW"), Display("Btu_it/h", "Btu/h", 0), Display("kW", "kW", 2),
              '"48000 Btu/h" or "14 kW"'),
        _kind("efficiency", "", "", ("Btu_it/h/W", ""), Display("Btu_it/h/W", "Btu/Wh", 1), Display("", "W/W", 2),
              '"10.5 Btu/Wh" or "3.1 W/W"'),
        _kind("mass_flow", "kg/s", "kg_s", ("lb/h", "kg/s"), Display("lb/h", "lb/h", 0), Display("kg/s", "kg/s", 4),
              '"7200 lb/h" or "0.9 kg/s"'),
        _kind("moisture_rate", "kg/h", "kg_h", ("lb/h", "kg/h"), Display("lb/h", "lb/h", 2),
              Display("kg/h", "kg/h", 2), '"12 lb/h" or "5.4 kg/h"'),
        _kind("humidity_ratio", "", "", ("grain/lb", "g/kg"), Display("grain/lb", "gr/lb", 1),
              Display("g/kg", "g/kg", 2), '"65 gr/lb" or "9.3 g/kg"'),
        _kind("enthalpy", "J/kg", "J_kg", ("Btu_it/lb", "kJ/kg"),
              Display("Btu_it/lb", "Btu/lb", 2, IP_ENTHALPY_DATUM), Display("kJ/kg", "kJ/kg", 2),
              '"28.1 Btu/lb" or "47.7 kJ/kg"'),
        _kind("enthalpy_difference", "J/kg", "J_kg", ("Btu_it/lb", "kJ/kg"), Display("Btu_it/lb", "Btu/lb", 2),
              Display("kJ/kg", "kJ/kg", 2), '"8.2 Btu/lb" or "19 kJ/kg"'),
        _kind("specific_volume", "m**3/kg", "m3_kg", ("ft**3/lb", "m**3/kg"), Display("ft**3/lb", "ft³/lb", 2),
              Display("m**3/kg", "m³/kg", 4), '"13.7 ft³/lb"'),
        _kind("density", "kg/m**3", "kg_m3", ("lb/ft**3", "kg/m**3"), Display("lb/ft**3", "lb/ft³", 4),
              Display("kg/m**3", "kg/m³", 4), '"0.0623 lb/ft³"'),
        _kind("vapour_pressure", "Pa", "Pa", ("psi", "Pa"), Display("psi", "psi", 4), Display("Pa", "Pa", 1),
              '"1400 Pa"'),
        _kind("area", "m**2", "m2", ("ft**2", "m**2"), Display("ft**2", "ft²", 2), Display("m**2", "m²", 3),
              '"2.2 ft²"'),
        _kind("time", "s", "s", ("min", "min"), Display("min", "min", 1), Display("min", "min", 1), '"15 min"'),
        _kind("hours", "s", "s", ("h", "h"), Display("h", "h", 0), Display("h", "h", 0), '"1200 h"'),
        _kind("heat", "J", "J", ("kBtu_it", "kWh"), Display("kBtu_it", "kBtu", 0), Display("kWh", "kWh", 0), '"900 kWh"'),
        _kind("electric_energy", "J", "J", ("kWh", "kWh"), Display("kWh", "kWh", 0), Display("kWh", "kWh", 0), '"900 kWh"'),
    )
}  # fmt: skip

# The trade's ways to write a unit, on the left, as pint reads them, on the right.
_SPELLINGS = {
    "f": "degF", "°f": "degF", "degf": "degF", "deg f": "degF", "c": "degC", "°c": "degC", "degc": "degC",
    "deg c": "degC", "k": "K", "%": "percent", "% rh": "percent", "rh": "percent", "cfm": "cfm", "ft3/min": "cfm",
    "ft³/min": "cfm", "l/s": "L/s", "m3/s": "m**3/s", "m³/s": "m**3/s", "m3/h": "m**3/h", "m³/h": "m**3/h",
    "fpm": "ft/min", "in wc": "inH2O", "in. wc": "inH2O", "in w.c.": "inH2O", "in. w.c.": "inH2O", "inwc": "inH2O",
    "in h2o": "inH2O", "in. h2o": "inH2O", "inh2o": "inH2O", "inhg": "inHg", "in hg": "inHg", "in. hg": "inHg",
    "ton": "refrigeration_ton", "tons": "refrigeration_ton", "btu/h": "Btu_it/h", "btu/hr": "Btu_it/h",
    "btuh": "Btu_it/h", "kbtu/h": "kBtu_it/h", "kbtu/hr": "kBtu_it/h", "mbh": "kBtu_it/h", "kw": "kW", "w": "W",
    "gr/lb": "grain/lb", "btu/lb": "Btu_it/lb", "cfm/ton": "cfm/refrigeration_ton", "kpa": "kPa", "pa": "Pa",
    "cfm per ton": "cfm/refrigeration_ton", "l/s per kw": "L/s/kW", "l/s/kw": "L/s/kW", "in": "inch", "in.": "inch",
    "ft³/lb": "ft**3/lb", "ft3/lb": "ft**3/lb", "m³/kg": "m**3/kg", "m3/kg": "m**3/kg", "ft2": "ft**2",
    "ft²": "ft**2", "m²": "m**2", "m2": "m**2", "hpa": "hPa", "mbar": "mbar", "psig": "psi", "psi gauge": "psi", "kpa gauge": "kPa", "kpag": "kPa", "bar gauge": "bar",
    "barg": "bar", "m3/hr": "m**3/h", "m³/hr": "m**3/h", "degrees f": "degF", "degrees c": "degC", "deg. f": "degF",
    "deg. c": "degC", "in wg": "inH2O", "in. wg": "inH2O", "in w.g.": "inH2O", "in. w.g.": "inH2O", "inwg": "inH2O",
    "kbtuh": "kBtu_it/h", "btu per hour": "Btu_it/h", "m/sec": "m/s", "l/sec": "L/s", "lb/hr": "lb/h", "kg/hr": "kg/h",
    "lbs/h": "lb/h", "lbs/hr": "lb/h", "grains/lb": "grain/lb", "lb/ft3": "lb/ft**3", "lb/ft³": "lb/ft**3",
    "kg/m3": "kg/m**3", "kg/m³": "kg/m**3", "° f": "degF", "° c": "degC", "feet": "ft", "mins": "min", "minutes": "min", "lbs": "lb", "btu/wh": "Btu_it/W/h", "w/w": "W/W", "v": "V",
    "iwc": "inH2O", "i.w.c.": "inH2O", "iwg": "inH2O", "inch wc": "inH2O", "inches wc": "inH2O", "inches w.c.": "inH2O", "inches of water": "inH2O",
    "inch of water": "inH2O", "in of water": "inH2O", "in. of water": "inH2O", "inches of water column": "inH2O", "inches water": "inH2O", "inches of mercury": "inHg",
    "grains per pound": "grain/lb", "gr per lb": "grain/lb", "gpp": "grain/lb", "feet per minute": "ft/min", "btu per pound": "Btu_it/lb",
    "btus/h": "Btu_it/h", "btus per hour": "Btu_it/h", "pounds per hour": "lb/h", "degree f": "degF", "degree c": "degC", "degrees fahrenheit": "degF", "degrees celsius": "degC", "a": "A", "psi": "psi",
}  # fmt: skip
# Factor and offset of the units that files and displays use, as pint gives them: to read one visit needs no half second
# for pint's own list of units. A test holds them to pint.
_KNOWN_SCALES: dict[tuple[str, str], tuple[float, float]] = {
    ("degF", "degC"): (0.5555555555555429, -17.777777777777743),
    ("delta_degF", "delta_degC"): (0.5555555555555556, 0.0), ("percent", ""): (0.01, 0.0),
    ("inHg", "Pa"): (3386.3886403409997, 0.0), ("kPa", "Pa"): (1000.0, 0.0),
    ("inH2O", "Pa"): (249.08890999999997, 0.0), ("psi", "Pa"): (6894.7572931683635, 0.0),
    ("lb", "kg"): (0.4535923700000001, 0.0), ("cfm", "m**3/s"): (0.0004719474431999999, 0.0),
    ("L/s", "m**3/s"): (0.0010000000000000002, 0.0), ("ft/min", "m/s"): (0.0050799999999999994, 0.0),
    ("refrigeration_ton", "W"): (3516.8528420666676, 0.0), ("kW", "W"): (1000.0, 0.0),
    ("cfm/refrigeration_ton", "m**3/s/W"): (1.34195959965917e-07, 0.0),
    ("L/s/kW", "m**3/s/W"): (1.0000000000000002e-06, 0.0), ("ft", "m"): (0.30479999999999996, 0.0),
    ("inch", "m"): (0.0254, 0.0), ("mm", "m"): (0.001, 0.0), ("Btu_it/h", "W"): (0.2930710701722223, 0.0),
    ("Btu_it/h/W", ""): (0.2930710701722223, 0.0), ("lb/h", "kg/s"): (0.0001259978805555556, 0.0),
    ("lb/h", "kg/h"): (0.4535923700000001, 0.0), ("grain/lb", ""): (0.00014285714285714287, 0.0),
    ("g/kg", ""): (0.001, 0.0), ("Btu_it/lb", "J/kg"): (2326.0, 0.0), ("kJ/kg", "J/kg"): (1000.0, 0.0),
    ("ft**3/lb", "m**3/kg"): (0.0624279605761446, 0.0), ("lb/ft**3", "kg/m**3"): (16.01846337396015, 0.0),
    ("ft**2", "m**2"): (0.09290303999999999, 0.0), ("min", "s"): (60.0, 0.0), ("kWh", "J"): (3600000.0, 0.0),
    ("kBtu_it", "J"): (1055055.85262, 0.0), ("h", "s"): (3600.0, 0.0),
}  # fmt: skip
_NUMBER_AND_UNIT = re.compile(r"^\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*((?:[^\s\d.,].*?)?)\s*$")


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True, cache_folder=None)
    registry.define("cfm = foot**3 / minute")
    # pint's own is of another Btu.
    registry.define("refrigeration_ton = 12e3 * Btu_it / hour")
    return registry


@lru_cache(maxsize=512)
def _scale(unit: str, inside: str) -> tuple[float, float]:
    """Factor and offset that bring a number in ``unit`` to ``inside``."""
    if unit == inside:
        return 1.0, 0.0
    known = _KNOWN_SCALES.get((unit, inside))
    if known is not None:
        return known
    return _scale_by_pint(unit, inside)


def _scale_by_pint(unit: str, inside: str) -> tuple[float, float]:
    registry = _registry()
    zero, one = (float(registry.Quantity(v, unit).to(inside).magnitude) for v in (0.0, 1.0))
    return one - zero, zero


def to_inside(value: Any, kind: str, system: UnitSystem) -> Any:
    """Bare numbers of a unit system, as SI inside.

    Parameters
    ----------
    value : float or array [the kind's input unit of ``system``]
    kind : str
        A name in `KINDS`.
    system : "IP" or "SI"

    Returns
    -------
    float or array [the kind's inside unit]
    """
    k = KINDS[kind]
    factor, offset = _scale(k.input_unit(system), k.inside)
    bare = float(value) if isinstance(value, (int, float)) else np.asarray(value, dtype=np.float64)
    return (bare - k.input_datum(system)) * factor + offset


def from_inside(value: Any, kind: str, system: UnitSystem) -> Any:
    """SI inside, as shown in a unit system: the inverse of `to_inside` for the display unit."""
    k = KINDS[kind]
    shown = k.display(system)
    factor, offset = _scale(shown.unit, k.inside)
    return (value - offset) / factor + shown.datum


def difference_from_inside(value: Any, kind: str, system: UnitSystem) -> Any:
    """A difference or an uncertainty of a kind, in its display unit: the factor without the offset."""
    k = KINDS[kind]
    return value / _scale(k.display(system).unit, k.inside)[0]


def to_input(value: Any, kind: str, system: UnitSystem) -> Any:
    """SI inside, as the bare number that a file of this unit system holds."""
    k = KINDS[kind]
    factor, offset = _scale(k.input_unit(system), k.inside)
    return (value - offset) / factor + k.input_datum(system)


def parse(text: str, kind: str) -> float:
    """Read a text with a unit, such as ``"76 degF"`` or ``"0.42 inH2O"``.

    Parameters
    ----------
    text : str
    kind : str
        A name in `KINDS`.

    Returns
    -------
    float [the kind's inside unit]

    Raises
    ------
    UnitError
        No number, no unit, an unknown unit, or a unit of another kind.
    """
    k = KINDS[kind]
    name = kind.replace("_", " ")
    name = f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
    found = _NUMBER_AND_UNIT.match(text)
    if not found:
        comma = re.match(r"^\s*[+-]?\d+,\d", text)
        hint = " Write a decimal point, not a comma, and nothing between thousands." if comma else ""
        raise UnitError(f'"{text}" is not a number with a unit. Expected {name} such as {k.example}.{hint}')
    number, unit = float(found[1]), found[2]
    if not unit and k.ip_input:
        raise UnitError(f'"{text}" has no unit. Expected {name} such as {k.example}, or a number without quotes.')
    spelt = _SPELLINGS.get(unit.casefold(), unit)
    if kind == "temperature_difference":
        spelt = {"degF": "delta_degF", "degC": "delta_degC"}.get(spelt, spelt)
    try:
        factor, offset = _scale(spelt, k.inside)
    except Exception as error:  # pint raises several unrelated kinds
        known = type(error).__name__ == "DimensionalityError"
        reason = f"is not {name}" if known else f'has an unknown unit "{unit}"'
        raise UnitError(f'"{text}" {reason}. Expected for example {k.example}.') from None
    # Enthalpy alone has a zero of its own in each unit system.
    datum = k.ip.datum if spelt == k.ip.unit else 0.0
    return (number - datum) * factor + offset


def as_inside(value: Any, kind: str) -> Any:
    """SI numbers as they are, text by `parse`: for arguments that a person may type."""
    return parse(value, kind) if isinstance(value, str) else value


def show(value: float, kind: str, system: UnitSystem, *, decimals: int | None = None, unit: bool = True) -> str:
    """A value with its unit as text: ``"75.2 °F"``; thousands are set apart."""
    shown = KINDS[kind].display(system)
    number = float(from_inside(value, kind, system))
    return _with_unit(number, shown, shown.decimals if decimals is None else decimals, unit)


def show_difference(value: float, kind: str, system: UnitSystem, *, decimals: int | None = None) -> str:
    """A difference or uncertainty of a kind with its unit as text."""
    # A step of temperature is in K where the temperature is in °C.
    kind = "temperature_difference" if kind == "temperature" else kind
    shown = KINDS[kind].display(system)
    number = float(difference_from_inside(value, kind, system))
    return _with_unit(number, shown, shown.decimals if decimals is None else decimals, True)


def _with_unit(number: float, shown: Display, decimals: int, unit: bool) -> str:
    if not np.isfinite(number):
        return "none"
    text = f"{number:,.{decimals}f}"
    # A minus before a row of zeros says nothing.
    if float(text.replace(",", "")) == 0:
        text = text.replace("-", "")
    return f"{text} {shown.label}" if unit and shown.label else text


def percent(fraction: float, decimals: int = 0, *, sign: bool = False) -> str:
    """A fraction as text in percent: ``"12.5 %"``; with a sign if asked for."""
    text = f"{fraction * 100:{'+' if sign else ''}.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("+-")
    return f"{text} %"


def probability(fraction: float) -> str:
    """A probability as text in percent with one decimal; near the ends it is not rounded to certainty."""
    if fraction > 0.999:
        return "over 99.9 %"
    return "under 0.1 %" if fraction < 0.001 else percent(fraction, 1)
