"""Readings that are possible but unlikely give a warning with its reason, and a result all the same."""

import pytest
from valid_visit import PLAUSIBILITY, changed, unlikely

from airside import analyse
from airside.visit.load import parse_visit

DRY, RH = "[75.2, 75.3, 75.1]", "[50.2, 50.0, 50.3]"
SUPPLY, SUPPLY_RH = "[56.4, 56.3, 56.5]", "[88.0, 88.3, 88.1]"

CASES = [
    ("supply slightly warmer", "supply_against_mode", [(SUPPLY, "[76.4, 76.3, 76.5]"), (SUPPLY_RH, "[45, 45, 45]")],
     ["1.2 °F warmer", "cooling", "swapped"]),
    ("supply wetter", "supply_wetter", [(SUPPLY, "[70.4, 70.3, 70.5]")], ["more water", "below zero"]),
    ("pressure against elevation", "pressure_against_elevation",
     [("elevation = 650", "elevation = 650\nbarometric_pressure = 28.1")],
     ["28.10 inHg", "3.8 % below", "650 ft", "29.23 inHg", "sea level"]),
    ("little air", "flow_per_capacity", [("[1180]", "[740]")], ["247 cfm/ton", "250 cfm/ton to 550 cfm/ton"]),
    ("much air", "flow_per_capacity", [("[1180]", "[1660]")], ["553 cfm/ton"]),
    ("few readings", "few_readings", [(DRY, "[75.2, 75.3]"), (RH, "[50.2, 50.0]")],
     ["readings.return: 2 readings", "at least 3"]),
    ("one reading", "few_readings", [(SUPPLY, "56.4"), (SUPPLY_RH, "88.0")], ["readings.supply: 1 reading;"]),
    ("unequal lengths", "unequal_lengths", [(DRY, "[75.2, 75.3, 75.1, 75.2]"), (RH, "[50, 50, 50, 50]")],
     ["4 at return, 3 at supply", "different times"]),
    ("little capacity", "capacity_against_nominal", [("nominal_capacity = 3", "nominal_capacity = 12")],
     ["% of nominal"]),
    ("other units", "return_temperature", [(DRY, "[24.1, 24.0, 24.1]"), (SUPPLY, "[13.5, 13.4, 13.5]")],
     ["24.1 °F", "°C", "`units`"]),
    (
        "readings far apart",
        "wide_readings",
        [(DRY, "[75.2, 94.3, 75.1]"), (RH, "[50.2, 50.0, 50.3]")],
        ["readings.return.dry_bulb", "75.1 °F to 94.3 °F", "decimal comma"],
    ),
    ("traverse of few points", "airflow_evidence",
     [('method = "measured"\nvolume_flow = [1180]\nbasis = "actual"',
       'method = "traverse"\nshape = "round"\ndiameter = 18\nvelocity = [650, 690, 640]')], ["3 points", "6, 8 or 10"]),
]  # fmt: skip


@pytest.mark.parametrize(("code", "changes", "fragments"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_every_unlikely_visit_has_its_warning(code, changes, fragments):
    result = analyse(parse_visit(changed(*changes)))
    messages = [w.message for w in result.warnings if w.code == code]
    assert len(messages) == 1
    for words in fragments:
        assert words in messages[0]
    assert {"code": code, "message": messages[0]} in result.to_dict()["warnings"]
    assert messages[0] in str(result)


@pytest.mark.parametrize(
    "changes",
    [
        [],
        [("elevation = 650", "elevation = 650\nbarometric_pressure = 28.5")],
        [("[1180]", "[760]")],
        [("[1180]", "[1640]")],
    ],
    ids=["as it is", "pressure within 3 %", "just enough air", "just not too much air"],
)
def test_a_likely_visit_has_none(changes):
    assert unlikely(analyse(parse_visit(changed(*changes)))) == []


def test_heating_is_judged_by_its_own_sign():
    warm = changed(('"cooling"', '"heating"'), (SUPPLY, "[101.4, 101.3, 101.5]"), (SUPPLY_RH, "[21.3, 21.3, 21.3]"))
    result = analyse(parse_visit(warm))
    assert result.capacity.total > 0
    assert unlikely(result) == []
    cool = changed(('"cooling"', '"heating"'), (SUPPLY, "[74.4, 74.3, 74.5]"), (SUPPLY_RH, "[51, 51, 51]"))
    result = analyse(parse_visit(cool))
    assert unlikely(result) == ["supply_against_mode", "capacity_against_nominal"]


def test_every_code_has_a_case():
    assert {c[1] for c in CASES} == PLAUSIBILITY
