"""The ten-term polynomial against values worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from airside.errors import EvidenceError
from airside.refrigerant.compressor import compressor_flow, compressor_power, corrected_flow, ten_term

# An invented compressor's mass flow in lb/h.
FLOW = (200.0, 4.0, -0.5, 0.03, 0.002, -0.001, 1e-4, -2e-5, 1e-5, -3e-6)
# By hand at S = 45 °F, D = 120 °F:
# 200 + 4*45 - 0.5*120 + 0.03*45² + 0.002*45*120 - 0.001*120² + 1e-4*45³ - 2e-5*120*45² + 1e-5*45*120² - 3e-6*120³
# = 200 + 180 - 60 + 60.75 + 10.8 - 14.4 + 9.1125 - 4.86 + 6.48 - 5.184 = 382.6985
AT_45_120 = 382.6985


def test_by_hand() -> None:
    assert ten_term(FLOW, 45.0, 120.0) == pytest.approx(AT_45_120, abs=1e-9)


@pytest.mark.parametrize("place", range(10))
def test_each_term(place: int) -> None:
    s, d = 3.0, 7.0
    terms = [1, s, d, s**2, s * d, d**2, s**3, d * s**2, s * d**2, d**3]
    unit = np.zeros(10)
    unit[place] = 2.0
    assert ten_term(unit, s, d) == pytest.approx(2.0 * terms[place])


def test_units() -> None:
    suction, discharge = (45 - 32) / 1.8, (120 - 32) / 1.8
    assert compressor_flow(FLOW, suction, discharge) == pytest.approx(AT_45_120 * 0.45359237 / 3600, rel=1e-12)
    assert compressor_power(FLOW, suction, discharge) == pytest.approx(AT_45_120, rel=1e-12)
    in_celsius = compressor_flow(FLOW, 45.0, 120.0, temperature_unit="degC", flow_unit="kg/h")
    assert in_celsius == pytest.approx(AT_45_120 / 3600, rel=1e-12)
    for unit, expected in (("g/s", AT_45_120 / 1000), ("kg/s", AT_45_120)):
        found = compressor_flow(FLOW, 45.0, 120.0, temperature_unit="degC", flow_unit=unit)  # type: ignore[arg-type]
        assert found == pytest.approx(expected)


def test_arrays_and_nan() -> None:
    found = ten_term(FLOW, np.array([45.0, np.nan]), 120.0)
    assert found[0] == pytest.approx(AT_45_120)
    assert np.isnan(found[1])


def test_bad_coefficients() -> None:
    with pytest.raises(EvidenceError, match="found 9 coefficients; expected the ten"):
        ten_term(FLOW[:9], 45.0, 120.0)
    with pytest.raises(EvidenceError, match="coefficient C3 is missing"):
        ten_term([*FLOW[:2], np.nan, *FLOW[3:]], 45.0, 120.0)
    with pytest.raises(EvidenceError, match='temperatures in "K"'):
        compressor_power(FLOW, 45.0, 120.0, temperature_unit="K")  # type: ignore[arg-type]
    with pytest.raises(EvidenceError, match='flow in "cfm"'):
        compressor_flow(FLOW, 45.0, 120.0, flow_unit="cfm")  # type: ignore[arg-type]


def test_correction_for_superheat() -> None:
    assert corrected_flow(0.1, 30.0, 30.0) == 0.1
    # Gas a tenth lighter: three quarters of a tenth less flow.
    assert corrected_flow(0.1, 30.0, 27.0) == pytest.approx(0.0925)
