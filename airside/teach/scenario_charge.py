"""What a wrong refrigerant charge does to capacity and power, by published factors.

ratio = 1 + (a1 + a2 t_indoor + a3 t_outdoor + a4 F) F, temperatures in °C, F = (charge - right charge) / right charge;
one set of coefficients below the right charge and one above it.

Sources
-------
Domanski, Henderson, Payne (2014), Sensitivity Analysis of Installation Faults on Heat Pump Performance, NIST Technical
Note 1848; coefficients for cooling as carried by public building-energy code.
"""

from __future__ import annotations

from typing import Literal

from airside.air.blocks import Number
from airside.errors import OutOfRangeError
from airside.units import percent

Quantity = Literal["capacity", "power"]

# NIST Technical Note 1848 (2014), cooling: a1, a2, a3, a4, below (F < 0) and above the right charge.
COOLING: dict[tuple[Quantity, str], tuple[float, float, float, float]] = {
    ("capacity", "under"): (-9.46e-1, 4.93e-2, -1.18e-3, -1.15),
    ("capacity", "over"): (-1.63e-1, 1.14e-2, -2.10e-4, -1.40e-1),
    ("power", "under"): (-3.13e-1, 1.15e-2, 2.66e-3, -1.16e-1),
    ("power", "over"): (2.19e-1, -5.01e-3, 9.89e-4, 2.84e-1),
}
# Charges that were tested, from memory: 30 % below to 30 % above.
FARTHEST = 0.30


def charge_ratio(quantity: Quantity, fault: float, indoor: Number, outdoor: Number) -> Number:
    """Capacity or power with a wrong charge over that with the right one, in cooling.

    Parameters
    ----------
    quantity : "capacity" or "power"
    fault : float [fraction]
        Charge less the right one, over the right one: -0.2 is a fifth too little.
    indoor, outdoor : float or array [°C]
        Return and outdoor dry bulb.

    Raises
    ------
    OutOfRangeError
        A fault beyond what was tested.
    """
    if not abs(fault) <= FARTHEST:
        raise OutOfRangeError(
            f"a charge fault of {percent(fault, sign=True)} was not tested; expected {percent(-FARTHEST)} to "
            f"{percent(FARTHEST, sign=True)}."
        )
    a1, a2, a3, a4 = COOLING[quantity, "under" if fault < 0 else "over"]
    ratio: Number = 1 + (a1 + a2 * indoor + a3 * outdoor + a4 * fault) * fault
    return ratio
