"""The same state by airside, psychrolib and a real-gas model; the envelope of the last is held here."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from airside import MoistAir
from airside.air.crosscheck import ENVELOPE, crosscheck, real_gas


@pytest.fixture(scope="module")
def result(reference: Any) -> Any:
    # `reference` has set psychrolib to SI already: setting it again would compile all anew.
    return crosscheck(MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0))


def test_three_routes_agree(result: Any) -> None:
    for name, ours in result.airside.items():
        within = 1e-3 if name in ("wet_bulb", "dew_point") else 1e-9 * abs(ours)
        assert abs(result.psychrolib[name] - ours) <= within, name
        assert abs(result.real_gas[name] - ours) <= ENVELOPE[15.0, 30.0][name], name


def test_shown(result: Any) -> None:
    text = str(result)
    assert "psychrolib" in text and "real gas" in text and "Wet bulb" in text
    assert "°F" in result.text("IP")
    assert result._repr_html_().startswith("<pre>")
    frame = result.to_frame()
    assert list(frame.columns)[-2:] == ["psychrolib - airside", "real_gas - airside"]
    assert set(result.to_dict()) == {"airside", "psychrolib", "real_gas"}


def test_units_of_psychrolib_are_left_alone(reference: Any) -> None:
    import psychrolib

    assert psychrolib.PSYCHROLIB_UNITS is psychrolib.SI
    crosscheck(MoistAir.from_relative_humidity(30.0, 0.4, 101_325.0))
    assert psychrolib.PSYCHROLIB_UNITS is psychrolib.SI


def test_one_state_only() -> None:
    with pytest.raises(ValueError, match="one state"):
        crosscheck(MoistAir.from_relative_humidity(np.array([20.0, 24.0]), 0.5, 101_325.0))


@pytest.mark.parametrize("limits", list(ENVELOPE))
def test_envelope_of_the_real_gas(limits: tuple[float, float]) -> None:
    largest = dict.fromkeys(ENVELOPE[limits], 0.0)
    other_wick = 0
    for t in np.linspace(*limits, 4 if limits[0] == 5.0 else 5):
        for rh in (0.1, 0.3, 0.5, 0.7, 0.95):
            for p in (75e3, 85e3, 102e3):
                air = MoistAir.from_relative_humidity(float(t), rh, p)
                theirs = real_gas(air.dry_bulb, air.humidity_ratio, air.pressure)
                for name in largest:
                    ours = getattr(air, name)
                    off = theirs[name] - ours
                    if name == "wet_bulb" and ours >= 0 > theirs[name]:
                        # The real-gas model took the wick as ice where airside takes water.
                        other_wick += 1
                        assert -0.7 < off < 0.0
                        continue
                    # The real gas has the lower figure, in all but enthalpy.
                    assert off < 0 or name == "enthalpy"
                    largest[name] = max(largest[name], abs(off))
    for name, most in ENVELOPE[limits].items():
        # The written figure is neither exceeded nor idle.
        assert 0.8 * most < largest[name] <= most, name
    assert other_wick <= 3
