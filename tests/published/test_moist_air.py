"""Moist air against printed values of ASHRAE Handbook—Fundamentals (2017), inch-pound edition, ch. 1.

Each row has its source beside it. `recall` says how the value came here: "table" was copied from a
printed or coded table; "memory" was written from memory and confirmed only by computing it again.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import airside
from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.units import from_inside, parse, to_inside

TABLE_1 = "ASHRAE Fundamentals 2017 ch. 1 Table 1"
TABLE_2 = "ASHRAE Fundamentals 2017 ch. 1 Table 2"
TABLE_3 = "ASHRAE Fundamentals 2017 ch. 1 Table 3"
EXAMPLE_1 = "ASHRAE Fundamentals 2017 ch. 1 Example 1 (read off a chart)"
WORKED = "ASHRAE Fundamentals ch. 1, worked example"

SEA_LEVEL = parse("14.696 psi", "barometric_pressure")


def celsius(fahrenheit: float) -> float:
    return to_inside(fahrenheit, "temperature", "IP")


def saturation_pressure(dry_bulb: float) -> float:
    return from_inside(properties.saturation_pressure(celsius(dry_bulb)), "vapour_pressure", "IP")


def saturation_humidity_ratio(dry_bulb: float) -> float:
    return properties.saturation_humidity_ratio(celsius(dry_bulb), SEA_LEVEL)


def saturated_enthalpy(dry_bulb: float) -> float:
    saturated = airside.MoistAir.from_relative_humidity(celsius(dry_bulb), 1.0, SEA_LEVEL)
    # Zero of IP enthalpies is dry air at 0 °F: the kind "enthalpy" knows.
    return from_inside(saturated.enthalpy, "enthalpy", "IP")


def dry_air(dry_bulb: float) -> airside.MoistAir:
    return airside.MoistAir.from_humidity_ratio(celsius(dry_bulb), 0.0, SEA_LEVEL)


def dry_air_enthalpy(dry_bulb: float) -> float:
    return from_inside(dry_air(dry_bulb).enthalpy, "enthalpy", "IP")


def dry_air_specific_volume(dry_bulb: float) -> float:
    return from_inside(dry_air(dry_bulb).specific_volume, "specific_volume", "IP")


def standard_atmosphere(elevation: float) -> float:
    pressure = standard_atmosphere_pressure(to_inside(elevation, "elevation", "IP"))
    return from_inside(pressure, "vapour_pressure", "IP")


def example_1(quantity: str) -> Callable[[float, float], float]:
    def compute(dry_bulb: float, wet_bulb: float) -> float:
        air = airside.MoistAir.from_wet_bulb(celsius(dry_bulb), celsius(wet_bulb), SEA_LEVEL)
        if quantity == "humidity_ratio":
            return air.humidity_ratio
        kind = "temperature" if quantity == "dew_point" else quantity
        return from_inside(getattr(air, quantity), kind, "IP")

    return compute


PPM, PERCENT, ABSOLUTE = 1e-6, 1e-2, None

# computed by, inputs, printed value, unit, tolerance, its scale, recall, source
ROWS: list[tuple[Any, ...]] = [
    # over ice
    (saturation_pressure, (-4,), 0.014974, "psi", 300, PPM, "table", TABLE_3),
    (saturation_pressure, (23,), 0.058268, "psi", 300, PPM, "table", TABLE_3),
    # over water
    (saturation_pressure, (41,), 0.12656, "psi", 300, PPM, "table", TABLE_3),
    (saturation_pressure, (77,), 0.45973, "psi", 300, PPM, "table", TABLE_3),
    (saturation_pressure, (122,), 1.79140, "psi", 300, PPM, "table", TABLE_3),
    # The table is of real gas, hence the wider tolerances here.
    (saturation_humidity_ratio, (-4,), 0.0006373, "lb/lb", 1, PERCENT, "table", TABLE_2),
    (saturation_humidity_ratio, (23,), 0.0024863, "lb/lb", 0.5, PERCENT, "table", TABLE_2),
    (saturation_humidity_ratio, (41,), 0.005425, "lb/lb", 0.5, PERCENT, "table", TABLE_2),
    (saturation_humidity_ratio, (77,), 0.020173, "lb/lb", 0.5, PERCENT, "table", TABLE_2),
    (saturation_humidity_ratio, (122,), 0.086863, "lb/lb", 1, PERCENT, "table", TABLE_2),
    (saturated_enthalpy, (41,), 15.699, "Btu/lb", 1, PERCENT, "table", TABLE_2),
    (saturated_enthalpy, (77,), 40.576, "Btu/lb", 1, PERCENT, "table", TABLE_2),
    (saturated_enthalpy, (122,), 126.066, "Btu/lb", 1, PERCENT, "table", TABLE_2),
    (dry_air_enthalpy, (77,), 18.498, "Btu/lb", 0.1, PERCENT, "table", TABLE_2),
    (dry_air_specific_volume, (77,), 13.5251, "ft3/lb", 0.1, PERCENT, "table", TABLE_2),
    (standard_atmosphere, (-1000,), 15.236, "psi", 0.1, PERCENT, "table", TABLE_1),
    (standard_atmosphere, (1000,), 14.175, "psi", 0.1, PERCENT, "table", TABLE_1),
    (standard_atmosphere, (3000,), 13.173, "psi", 0.1, PERCENT, "table", TABLE_1),
    (standard_atmosphere, (10000,), 10.108, "psi", 0.1, PERCENT, "table", TABLE_1),
    (example_1("humidity_ratio"), (100, 65), 0.00523, "lb/lb", 1, PERCENT, "table", EXAMPLE_1),
    (example_1("enthalpy"), (100, 65), 29.80, "Btu/lb", 0.1, ABSOLUTE, "table", EXAMPLE_1),
    (example_1("specific_volume"), (100, 65), 14.22, "ft3/lb", 1, PERCENT, "table", EXAMPLE_1),
    (example_1("dew_point"), (100, 65), 40, "degF", 1, ABSOLUTE, "table", EXAMPLE_1),
    (example_1("relative_humidity"), (100, 65), 13, "percent", 1, ABSOLUTE, "table", EXAMPLE_1),
]


@pytest.mark.parametrize(("compute", "inputs", "printed", "unit", "tolerance", "scale", "recall", "source"), ROWS)
def test_printed_value(
    compute: Any,
    inputs: tuple[float, ...],
    printed: float,
    unit: str,
    tolerance: float,
    scale: float | None,
    recall: str,
    source: str,
) -> None:
    allowed = tolerance if scale is None else tolerance * scale * printed
    found = compute(*inputs)
    assert abs(found - printed) <= allowed, f"{found} {unit}, printed {printed} ({source}, from {recall})"


def dry_air_flow(cfm: float, air: airside.MoistAir) -> float:
    return to_inside(cfm, "volume_flow", "IP") / air.specific_volume


def test_sensible_heating() -> None:
    # 20,000 cfm of saturated air at 35 °F, heated to 100 °F: 1,507,000 Btu/h within 0.5 %.
    # recall: memory. Source: WORKED, moist air sensible heating.
    cold = airside.MoistAir.from_relative_humidity(celsius(35), 1.0, SEA_LEVEL)
    warm = airside.MoistAir.from_humidity_ratio(celsius(100), cold.humidity_ratio, SEA_LEVEL)
    found = airside.delivered_capacity(cold, warm, dry_air_flow(20_000, cold), mode="heating")
    assert from_inside(found.total, "capacity", "IP") == pytest.approx(1_507_000, rel=0.005)
    assert found.latent == 0.0
    assert found.sensible_heat_ratio == 1.0


def test_cooling_and_dehumidification() -> None:
    # 10,000 cfm at 85 °F and 50 % RH, cooled to saturation at 50 °F; condensate leaves at 50 °F
    # (18.11 Btu/lb): 609,500 Btu/h within 0.5 %.
    # recall: memory. Source: WORKED, moist air cooling and dehumidification.
    entering = airside.MoistAir.from_relative_humidity(celsius(85), 0.5, SEA_LEVEL)
    leaving = airside.MoistAir.from_relative_humidity(celsius(50), 1.0, SEA_LEVEL)
    flow = dry_air_flow(10_000, entering)
    found = airside.delivered_capacity(entering, leaving, flow, condensate_temperature=celsius(50))
    balance = from_inside(found.total - found.condensate_heat, "capacity", "IP")
    assert balance == pytest.approx(609_500, rel=0.005)
    # The condensate's own heat, apart: 18.11 Btu/lb of water.
    water = from_inside(found.moisture_removal, "moisture_rate", "IP")
    assert from_inside(found.condensate_heat, "capacity", "IP") / water == pytest.approx(18.11, rel=0.01)


def test_adiabatic_mixing() -> None:
    # 2,000 cfm at 40 °F dry bulb and 35 °F wet bulb with 6,250 cfm at 75 °F and 50 % RH: 65.9 °F
    # within 0.3 °F. recall: memory. Source: WORKED, adiabatic mixing (graphical).
    outdoor = airside.MoistAir.from_wet_bulb(celsius(40), celsius(35), SEA_LEVEL)
    indoor = airside.MoistAir.from_relative_humidity(celsius(75), 0.5, SEA_LEVEL)
    mixed = airside.mix(outdoor, dry_air_flow(2_000, outdoor), indoor, dry_air_flow(6_250, indoor))
    assert from_inside(mixed.dry_bulb, "temperature", "IP") == pytest.approx(65.9, abs=0.3)
    assert outdoor.humidity_ratio < mixed.humidity_ratio < indoor.humidity_ratio


def test_sea_level_of_the_tables() -> None:
    # 14.696 psi is the standard atmosphere to the table's digits.
    assert np.isclose(SEA_LEVEL, SEA_LEVEL_PRESSURE, rtol=1e-5)
