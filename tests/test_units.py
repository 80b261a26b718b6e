"""Units at the edge: bare numbers, texts with a unit, display."""

from __future__ import annotations

import numpy as np
import pytest

from airside import units as units_module
from airside.air.properties import SPECIFIC_HEAT_DRY_AIR
from airside.errors import AirsideError, UnitError
from airside.units import (
    IP_ENTHALPY_DATUM,
    KINDS,
    SYSTEMS,
    as_inside,
    difference_from_inside,
    from_inside,
    parse,
    show,
    show_difference,
    to_input,
    to_inside,
)

# kind: a bare number in IP and in SI, and what each is inside.
# Factors: NIST SP 811 (2008), appendix B.8; 1 ton of refrigeration = 12,000 Btu(IT)/h.
BARE = {
    "temperature": ((75.2, 24.0), (24.0, 24.0)),
    "temperature_difference": ((18.0, 10.0), (10.0, 10.0)),
    "relative_humidity": ((46.0, 0.46), (46.0, 0.46)),
    "count": ((25.0, 25.0), (25.0, 25.0)),
    "fraction": ((0.05, 0.05), (0.05, 0.05)),
    "percentage": ((5.0, 0.05), (5.0, 0.05)),
    "barometric_pressure": ((24.9, 24.9 * 3386.389), (84.3, 84_300.0)),
    "duct_pressure": ((0.62, 0.62 * 249.0889), (155.0, 155.0)),
    "refrigerant_pressure": ((118.0, 118 * 6894.757), (814.0, 814_000.0)),
    "mass": ((7.5, 7.5 * 0.45359237), (3.4, 3.4)),
    "volume_flow": ((1600.0, 1600 * 0.3048**3 / 60), (760.0, 0.760)),
    "velocity": ((700.0, 700 * 0.3048 / 60), (3.6, 3.6)),
    "nominal_capacity": ((5.0, 5 * 12_000 * 1055.05585262 / 3600), (17.6, 17_600.0)),
    "power": ((0.55, 550.0), (0.55, 550.0)),
    "flow_per_capacity": ((400.0, 400 * 0.3048**3 / 60 / (12_000 * 1055.05585262 / 3600)), (54.0, 54e-6)),
    "elevation": ((5413.0, 1649.8824), (1650.0, 1650.0)),
    "duct_side": ((20.0, 0.508), (500.0, 0.5)),
    "voltage": ((240.0, 240.0), (240.0, 240.0)),
    "current": ((41.5, 41.5), (41.5, 41.5)),
    "capacity": ((48_000.0, 48_000 * 1055.05585262 / 3600), (14.0, 14_000.0)),
    "mass_flow": ((7200.0, 2 * 0.45359237), (0.9, 0.9)),
    "moisture_rate": ((12.0, 12 * 0.45359237), (5.4, 5.4)),
    "humidity_ratio": ((70.0, 0.01), (9.3, 0.0093)),
    "enthalpy_difference": ((8.2, 8.2 * 2326.0), (19.1, 19_100.0)),
    "enthalpy": ((28.1, 28.1 * 2326.0 - 1006 * 32 / 1.8), (47.7, 47_700.0)),  # zero at 0 °F in IP
    "efficiency": ((10.0, 10 * 1055.05585262 / 3600), (3.2, 3.2)),
    "specific_volume": ((13.7, 13.7 * 0.3048**3 / 0.45359237), (0.85, 0.85)),
    "density": ((0.0623, 0.0623 * 0.45359237 / 0.3048**3), (0.998, 0.998)),
    "vapour_pressure": ((0.2, 0.2 * 6894.757), (1400.0, 1400.0)),
    "area": ((2.2, 2.2 * 0.3048**2), (0.2, 0.2)),
    "time": ((15.0, 900.0), (15.0, 900.0)),
    "hours": ((2.0, 7200.0), (2.0, 7200.0)),
    # 1 Btu (international table) is 1055.05585262 J (NIST SP 811, appendix B.8).
    "heat": ((3.0, 3_165_167.55786), (2.0, 7.2e6)),
    "electric_energy": ((2.0, 7.2e6), (2.0, 7.2e6)),
}


@pytest.mark.parametrize("kind", list(BARE))
@pytest.mark.parametrize("system", SYSTEMS)
def test_bare_number(kind: str, system: str) -> None:
    number, inside = BARE[kind][SYSTEMS.index(system)]
    found = to_inside(number, kind, system)
    assert type(found) is float
    assert found == pytest.approx(inside, rel=1e-6)
    assert to_input(found, kind, system) == pytest.approx(number, rel=1e-12)
    both = to_inside(np.array([number, np.nan]), kind, system)
    assert both[0] == found and np.isnan(both[1])


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("system", SYSTEMS)
def test_example_of_every_kind_can_be_read(kind: str, system: str) -> None:
    for quoted in KINDS[kind].example.split(" or "):
        assert np.isfinite(parse(quoted.strip('"'), kind))
    assert np.isfinite(from_inside(1.0, kind, system))
    assert KINDS[kind].display(system).label in show(1.0, kind, system)
    assert KINDS[kind].input_unit(system) == (KINDS[kind].ip_input if system == "IP" else KINDS[kind].si_input)


TEXTS = [
    ("76 degF", "temperature", 24.4444444),
    ("76 °F", "temperature", 24.4444444),
    ("76F", "temperature", 24.4444444),
    ("-4 deg F", "temperature", -20.0),
    ("  24.0 °C  ", "temperature", 24.0),
    ("297.15 K", "temperature", 24.0),
    ("18 °F", "temperature_difference", 10.0),
    ("18 degF", "temperature_difference", 10.0),
    ("10 K", "temperature_difference", 10.0),
    ("10 °C", "temperature_difference", 10.0),
    ("46 %", "relative_humidity", 0.46),
    ("46% RH", "relative_humidity", 0.46),
    ("46 rh", "relative_humidity", 0.46),
    ("0.46", "fraction", 0.46),
    ("5 %", "fraction", 0.05),
    ("0.42 inH2O", "duct_pressure", 104.6173),
    ("0.42 in wc", "duct_pressure", 104.6173),
    ("0.42 in. w.c.", "duct_pressure", 104.6173),
    ("0.42 IN. W.C.", "duct_pressure", 104.6173),
    (".42 inWC", "duct_pressure", 104.6173),
    ("1.05e2 Pa", "duct_pressure", 105.0),
    ("24.9 in. Hg", "barometric_pressure", 84_321.1),
    ("24.9 inHg", "barometric_pressure", 84_321.1),
    ("843 mbar", "barometric_pressure", 84_300.0),
    ("843 hPa", "barometric_pressure", 84_300.0),
    ("14.696 psi", "barometric_pressure", 101_325.4),
    ("1600 cfm", "volume_flow", 0.7551159),
    ("1600 CFM", "volume_flow", 0.7551159),
    ("1600 ft3/min", "volume_flow", 0.7551159),
    ("1600 ft³/min", "volume_flow", 0.7551159),
    ("760 L/s", "volume_flow", 0.760),
    ("760 l/s", "volume_flow", 0.760),
    ("2736 m³/h", "volume_flow", 0.760),
    ("0.76 m3/s", "volume_flow", 0.760),
    ("700 fpm", "velocity", 3.556),
    ("5 ton", "nominal_capacity", 17_584.27),
    ("5 tons", "nominal_capacity", 17_584.27),
    ("60 MBH", "nominal_capacity", 17_584.27),
    ("60 kBtu/h", "nominal_capacity", 17_584.27),
    ("60000 Btuh", "nominal_capacity", 17_584.27),
    ("48000 Btu/hr", "capacity", 14_067.41),
    ("400 cfm/ton", "flow_per_capacity", 5.367838e-5),
    ("400 cfm per ton", "flow_per_capacity", 5.367838e-5),
    ("54 L/s per kW", "flow_per_capacity", 5.4e-5),
    ("550 W", "power", 550.0),
    ("20 in", "duct_side", 0.508),
    ("20 in.", "duct_side", 0.508),
    ("5413 ft", "elevation", 1649.882),
    ("65 gr/lb", "humidity_ratio", 0.009285714),
    ("13.7 ft³/lb", "specific_volume", 0.8552630),
    ("41.5 A", "current", 41.5),
]


@pytest.mark.parametrize(("text", "kind", "inside"), TEXTS)
def test_text(text: str, kind: str, inside: float) -> None:
    assert parse(text, kind) == pytest.approx(inside, rel=1e-6)
    assert as_inside(text, kind) == parse(text, kind)


def test_numbers_pass_as_they_are() -> None:
    assert as_inside(24.0, "temperature") == 24.0


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("76", "temperature", "has no unit"),
        ("46", "relative_humidity", "has no unit"),
        ("degF", "temperature", "is not a number with a unit"),
        ("", "temperature", "is not a number with a unit"),
        ("nan degC", "temperature", "is not a number with a unit"),
        ("24 psi", "temperature", "is not a temperature"),
        ("24 degF", "duct_pressure", "is not a duct pressure"),
        ("0.62 m", "duct_pressure", "is not a duct pressure"),
        ("24 smoots", "temperature", 'unknown unit "smoots"'),
        ("5 ft/", "velocity", 'unknown unit "ft/"'),
        ("75,2 degF", "temperature", "decimal point, not a comma"),
        ("1,600 cfm", "volume_flow", "nothing between thousands"),
        ("1.2.3 degF", "temperature", "is not a number with a unit"),
        ("75 2 degF", "temperature", "is not a number with a unit"),
    ],
)
def test_text_that_cannot_be_read(text: str, kind: str, says: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    message = str(caught.value)
    # It says what stood there, what is wrong with it, and what would be right.
    assert f'"{text}"' in message and says in message and KINDS[kind].example in message
    assert isinstance(caught.value, AirsideError)


def test_enthalpy_has_different_zeros() -> None:
    # Dry air at 0 °F has none in IP, dry air at 0 °C none in SI (ASHRAE Fundamentals 2017 ch. 1, Eq. 30).
    assert pytest.approx(SPECIFIC_HEAT_DRY_AIR * 32 / 1.8 / 2326, rel=1e-12) == IP_ENTHALPY_DATUM
    zero_fahrenheit = SPECIFIC_HEAT_DRY_AIR * (0 - 32) / 1.8
    assert from_inside(zero_fahrenheit, "enthalpy", "IP") == pytest.approx(0.0, abs=1e-12)
    assert from_inside(0.0, "enthalpy", "SI") == 0.0
    # A difference knows no zero.
    assert difference_from_inside(2326.0, "enthalpy", "IP") == pytest.approx(1.0)


def test_differences() -> None:
    assert difference_from_inside(10.0, "temperature", "IP") == pytest.approx(18.0)
    assert show_difference(0.5, "temperature", "IP") == "0.9 °F"
    assert show_difference(0.02, "relative_humidity", "SI", decimals=2) == "2.00 %"


@pytest.mark.parametrize(
    ("value", "kind", "ip", "si"),
    [
        (24.0, "temperature", "75.2 °F", "24.0 °C"),
        (0.46, "relative_humidity", "46.0 %", "46.0 %"),
        (0.7551159, "volume_flow", "1,600 cfm", "755 L/s"),
        (14_067.4, "capacity", "48,000 Btu/h", "14.07 kW"),
        (84_300.0, "barometric_pressure", "24.89 inHg", "84.30 kPa"),
        (0.731, "fraction", "0.731", "0.731"),
        (5.4e-5, "flow_per_capacity", "402 cfm/ton", "54.0 L/s per kW"),
        (-1e-9, "capacity", "0 Btu/h", "0.00 kW"),
        (float("nan"), "temperature", "none", "none"),
    ],
)
def test_shown(value: float, kind: str, ip: str, si: str) -> None:
    assert show(value, kind, "IP") == ip
    assert show(value, kind, "SI") == si


def test_shown_otherwise() -> None:
    assert show(24.0, "temperature", "IP", decimals=3) == "75.200 °F"
    assert show(24.0, "temperature", "IP", unit=False) == "75.2"


def test_every_kind_is_tested() -> None:
    assert set(BARE) == set(KINDS), "a new kind belongs into BARE above, with a value worked by hand"


def test_known_scales_are_those_of_pint() -> None:
    # To the last digit, so that no figure depends on whether pint was asked.
    for (unit, inside), scale in units_module._KNOWN_SCALES.items():
        assert units_module._scale_by_pint(unit, inside) == scale, (unit, inside)


def test_no_unit_of_a_file_or_a_display_needs_pint() -> None:
    for kind in units_module.KINDS.values():
        for unit in (kind.ip_input, kind.si_input, kind.ip.unit, kind.si.unit):
            assert unit == kind.inside or (unit, kind.inside) in units_module._KNOWN_SCALES, (unit, kind.inside)
