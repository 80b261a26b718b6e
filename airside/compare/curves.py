"""Rating curves of unitary equipment: how capacity and power go with conditions and flow.

The curves are of a population of units, not of the one at hand. So each correction carries a doubt
that grows with its size: `SLOPE_DOUBT` times the logarithm of the correction along each axis.

Sources
-------
Cutler, Winkler, Kruis, Christensen, Brandemuehl (2013), Improved Modeling of Residential Air
Conditioners and Heat Pumps for Energy Calculations, NREL/TP-5500-56354.
"""

from __future__ import annotations

from dataclasses import dataclass

from airside.air.blocks import Array, Number, blockwise

Coefficients = tuple[float, ...]


@dataclass(frozen=True)
class Axis:
    """One variable of a curve: name, kind of quantity, and the range in which the curve may be used [SI]."""

    name: str
    kind: str
    low: float
    high: float


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# Ranges, from memory of how building-energy code limits these curves: 57 to 75 °F wet bulb, 65 to 125 °F outdoors in
# cooling; 60 to 80 °F indoors, -10 to 75 °F outdoors in heating; the flow range is what manufacturers' data span.
WET_BULB = Axis("return_wet_bulb", "temperature", _celsius(57), _celsius(75))
OUTDOOR_COOLING = Axis("outdoor_dry_bulb", "temperature", _celsius(65), _celsius(125))
RETURN_DRY_BULB = Axis("return_dry_bulb", "temperature", _celsius(60), _celsius(80))
OUTDOOR_HEATING = Axis("outdoor_dry_bulb", "temperature", _celsius(-10), _celsius(75))
FLOW = Axis("flow_ratio", "fraction", 0.6, 1.4)

# Doubt of a curve's slope: standard uncertainty as a part of the logarithm of the correction, along each axis. Found
# on one-minute readings of an unchanged laboratory heat pump (NIST facility, US DOE EE-0009153): the curve's slopes
# with outdoor dry bulb and return wet bulb were off by about half.
SLOPE_DOUBT = 0.5


@dataclass(frozen=True)
class RatingCurve:
    """Capacity and energy input ratio of one kind of equipment in one mode.

    Attributes
    ----------
    equipment, mode : str
    indoor, outdoor : Axis
    capacity, energy_input_ratio : tuple of 6 floats
        a + b*x + c*x² + d*y + e*y² + f*x*y, x indoor and y outdoor temperature in °F.
    capacity_flow, energy_input_ratio_flow : tuple of 3 floats
        a + b*F + c*F², F flow over rated flow.
    """

    equipment: str
    mode: str
    indoor: Axis
    outdoor: Axis
    capacity: Coefficients
    energy_input_ratio: Coefficients
    capacity_flow: Coefficients
    energy_input_ratio_flow: Coefficients

    def capacity_ratio(self, indoor: Number, outdoor: Number, flow_ratio: Number = 1.0) -> Number:
        """Capacity over rated capacity.

        Parameters
        ----------
        indoor, outdoor : float or array [°C]
            Return wet bulb (cooling) or return dry bulb (heating), and outdoor dry bulb.
        flow_ratio : float or array [fraction]
            Flow over rated flow.
        """
        return _biquadratic(self.capacity, indoor, outdoor) * _quadratic(self.capacity_flow, flow_ratio)

    def power_ratio(self, indoor: Number, outdoor: Number, flow_ratio: Number = 1.0) -> Number:
        """Power over rated power: energy input ratio times capacity. Parameters as `capacity_ratio`."""
        ratio = _biquadratic(self.energy_input_ratio, indoor, outdoor)
        ratio = ratio * _quadratic(self.energy_input_ratio_flow, flow_ratio)
        return ratio * self.capacity_ratio(indoor, outdoor, flow_ratio)


def _biquadratic(c: Coefficients, indoor: Number, outdoor: Number) -> Number:
    return blockwise(lambda x, y: _in_fahrenheit(c, x * 1.8 + 32, y * 1.8 + 32), indoor, outdoor)


def _in_fahrenheit(c: Coefficients, x: Array, y: Array) -> Array:
    return c[0] + x * (c[1] + c[2] * x + c[5] * y) + y * (c[3] + c[4] * y)


def _quadratic(c: Coefficients, flow_ratio: Number) -> Number:
    return c[0] + flow_ratio * (c[1] + c[2] * flow_ratio)


# NREL/TP-5500-56354 (2013): coefficients as carried by public building-energy code.
AIR_CONDITIONER = RatingCurve(
    "air conditioner", "cooling", WET_BULB, OUTDOOR_COOLING,
    (3.670270705, -0.098652414, 0.000955906, 0.006552414, -0.0000156, -0.000131877),
    (-3.302695861, 0.137871531, -0.001056996, -0.012573945, 0.000214638, -0.000145054),
    (0.718605468, 0.410099989, -0.128705457),
    (1.32299905, -0.477711207, 0.154712157),
)  # fmt: skip
HEAT_PUMP_COOLING = RatingCurve(
    "heat pump", "cooling", WET_BULB, OUTDOOR_COOLING,
    (3.68637657, -0.098352478, 0.000956357, 0.005838141, -0.0000127, -0.000131702),
    (-3.437356399, 0.136656369, -0.001049231, -0.0079378, 0.000185435, -0.0001441),
    (0.718664047, 0.41797409, -0.136638137),
    (1.143487507, -0.13943972, -0.004047787),
)  # fmt: skip
HEAT_PUMP_HEATING = RatingCurve(
    "heat pump", "heating", RETURN_DRY_BULB, OUTDOOR_HEATING,
    (0.566333415, -0.000744164, -0.0000103, 0.009414634, 0.0000506, -0.00000675),
    (0.718398423, 0.003498178, 0.000142202, -0.005724331, 0.00014085, -0.000215321),
    (0.694045465, 0.474207981, -0.168253446),
    (2.185418751, -1.942827919, 0.757409168),
)  # fmt: skip


def rating_curve(equipment: str, mode: str) -> RatingCurve | None:
    """The curve for a kind of equipment in a mode; None where there is none (an air conditioner's heating)."""
    for curve in (AIR_CONDITIONER, HEAT_PUMP_COOLING, HEAT_PUMP_HEATING):
        if (curve.equipment, curve.mode) == (equipment, mode):
            return curve
    return None
