"""The coil of a visit: figures at the readings, doubt through the draws, the fan's heat, what is said."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import numpy as np
import pytest
from valid_visit import VALID

from airside import MoistAir
from airside.air.coil import coil_performance
from airside.air.coil_status import CoilStatus
from airside.instruments.propagation import estimate
from airside.visit.coil_block import VisitCoil, coil_of_visit
from airside.visit.load import visit_from_data
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

COUNT = 20_000


def doubt_of(*changes: tuple[str, str]) -> VisitUncertainty:
    """The valid visit with words replaced."""
    text = VALID
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return visit_uncertainty(visit_from_data(tomllib.loads(text)), count=COUNT)


def coil(doubt: VisitUncertainty, *arguments: Any, **options: Any) -> VisitCoil:
    found, reason = coil_of_visit(doubt, *arguments, **options)
    assert found is not None and reason == ""
    return found


def rows(found: VisitCoil) -> dict[str, Any]:
    return {r.name: r for r in found.rows()}


SUPPLY = "relative_humidity = [88.0, 88.3, 88.1]"
FAN = ("[readings.return]", '[fan]\npower = 0.4\nposition = "between probes"\n\n[readings.return]')


def test_figures_are_those_of_the_readings_with_doubt() -> None:
    doubt = doubt_of()
    found = coil(doubt)
    at = doubt.at_readings
    by_hand = coil_performance(at.return_air, at.supply_air, at.airflow)
    listed = rows(found)
    for row in by_hand.rows():
        assert listed[row.name].value == row.value
        assert listed[row.name].uncertainty > 0
        low, high = listed[row.name].interval
        assert low < row.value < high
    # The same draws through the same physics.
    m = doubt.measured
    drawn = coil_performance(m.return_air, m.supply_air, m.airflow)
    kept = np.asarray(drawn.bypass_factor)[doubt.is_possible]
    assert listed["bypass_factor"].interval == estimate(by_hand.bypass_factor, kept).interval_95
    # Two probes of which little is known: five draws of a hundred are dry.
    assert 0.9 < found.probability_wet < 1
    assert sum(found.counts.values()) == np.count_nonzero(doubt.is_possible)


def test_surface_temperature_with_and_without_doubt() -> None:
    doubt = doubt_of()
    without = rows(coil(doubt, 6.0))
    assert without["surface_temperature"].uncertainty is None
    draws = 6.0 + np.random.default_rng(1).standard_normal(COUNT)
    with_doubt = rows(coil(doubt, 6.0, draws))
    assert with_doubt["surface_temperature"].uncertainty == pytest.approx(1.0, rel=0.03)
    assert with_doubt["enthalpy_effectiveness"].uncertainty > without["enthalpy_effectiveness"].uncertainty
    assert with_doubt["enthalpy_effectiveness"].value == without["enthalpy_effectiveness"].value
    assert "enthalpy_effectiveness" not in rows(coil(doubt))


def test_fan_heat_is_said_or_taken_out() -> None:
    doubt = doubt_of(FAN)
    at = doubt.at_readings
    flow = float(at.airflow.dry_air_mass_flow)
    as_read = coil(doubt)
    assert any("not taken out" in n for n in as_read.notes())
    after = coil(doubt, fan="after coil")
    w = float(at.supply_air.humidity_ratio)
    by_hand = float(at.supply_air.dry_bulb) - 400 / (flow * (1006 + 1860 * w))
    assert after.performance.supply_air.dry_bulb == pytest.approx(by_hand, rel=1e-12)
    assert after.performance.supply_air.humidity_ratio == pytest.approx(w, rel=1e-12)
    before = coil(doubt, fan="before coil")
    assert before.performance.return_air.dry_bulb > at.return_air.dry_bulb
    bypass = [c.performance.bypass_factor for c in (after, as_read, before)]
    assert bypass[0] < bypass[1]
    assert any("after the coil" in n for n in after.notes())
    # Probes that span the coil alone have no fan between them.
    outside = coil(doubt_of((FAN[0], FAN[1].replace("between", "outside"))), fan="after coil")
    assert outside.performance.supply_air.dry_bulb == pytest.approx(float(at.supply_air.dry_bulb))
    assert not any("fan" in n for n in outside.notes())


def test_draws_without_an_apparatus_dew_point_are_counted() -> None:
    # So dry a supply that many draws miss saturation.
    found = coil(doubt_of((SUPPLY, "relative_humidity = [70.0, 70.3, 70.1]")))
    without = sum(n for status, n in found.counts.items() if status is not CoilStatus.WET)
    assert without > 50
    if found.performance.status is CoilStatus.WET:
        assert any(f"{without:,} of" in n for n in found.notes())


def test_line_that_misses_saturation_is_said() -> None:
    found = coil(doubt_of((SUPPLY, "relative_humidity = [40.0, 40.3, 40.1]")))
    assert found.performance.status is CoilStatus.NO_MEETING
    assert rows(found)["bypass_factor"].interval is None
    assert any("does not meet saturation" in n for n in found.notes())
    assert json.loads(json.dumps(found.to_dict()))["apparatus_dew_point_C"] is None
    assert found.probability_wet > 0.9


def test_dry_coil_is_said() -> None:
    dry = MoistAir.from_relative_humidity(24.0, 0.30, elevation=198.0)
    supply = MoistAir.from_humidity_ratio(13.6, dry.humidity_ratio, dry.pressure)
    found = coil(doubt_of(
        ("relative_humidity = [50.2, 50.0, 50.3]", "relative_humidity = [30.0, 30.0, 30.0]"),
        (SUPPLY, "relative_humidity = [{0}, {0}, {0}]".format(round(100 * float(supply.relative_humidity) + 1.0, 2))),
    ))  # fmt: skip
    assert found.performance.status is CoilStatus.DRY
    assert 0 < found.probability_wet < 0.7
    assert "dry" in str(found)


def test_heating_has_no_cooling_coil() -> None:
    warm = ("dry_bulb = [56.4, 56.3, 56.5]", "dry_bulb = [104.0, 104.2, 104.1]")
    dry = (SUPPLY, "relative_humidity = [20.0, 20.1, 20.0]")
    found, reason = coil_of_visit(doubt_of(('mode = "cooling"', 'mode = "heating"'), warm, dry))
    assert found is None and "heating" in reason


def test_prints_and_exports() -> None:
    found = coil(doubt_of(FAN), 6.0)
    assert "Apparatus dew point" in str(found)
    exported = json.loads(json.dumps(found.to_dict()))
    assert exported["status"] == "wet"
    for key in ("probability_wet", "apparatus_dew_point_C", "apparatus_dew_point_C_u", "apparatus_dew_point_C_95",
                "bypass_factor", "effective_surface_kg_s", "enthalpy_effectiveness_95", "notes"):  # fmt: skip
        assert exported[key] is not None, key
