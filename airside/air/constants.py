"""Constants that several formulas of ASHRAE Handbook—Fundamentals (2017) ch. 1 share, SI edition."""

from __future__ import annotations

# ASHRAE Fundamentals (2017) ch. 1, section "Thermodynamic temperature scale".
ZERO_CELSIUS = 273.15
# Ratio of the molar masses of water and dry air, ASHRAE Fundamentals (2017) ch. 1 Eq. 20.
MASS_RATIO = 0.621945
# Enthalpy of dry air, of vapour and of liquid water [J/(kg K)], and heat of evaporation at 0 °C [J/kg]:
# ASHRAE Fundamentals (2017) ch. 1 Eq. 30 and Eq. 33 (where 2.326 = 4.186 - 1.86).
SPECIFIC_HEAT_DRY_AIR = 1006.0
SPECIFIC_HEAT_VAPOUR = 1860.0
SPECIFIC_HEAT_WATER = 4186.0
EVAPORATION_HEAT = 2_501_000.0
# The same over ice, ASHRAE Fundamentals (2017) ch. 1 Eq. 35 (where 0.24 = 2.1 - 1.86).
SPECIFIC_HEAT_ICE = 2100.0
SUBLIMATION_HEAT = 2_830_000.0
