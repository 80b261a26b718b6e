"""Every result prints, shows in Jupyter and exports in the same way."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from airside import MoistAir
from airside.results import Result, Row, plain


@dataclass(frozen=True)
class Sample(Result):
    """A result for the tests."""

    dry_bulb: Any
    flow: Any = 0.76
    title = "Sample <of air>"

    def rows(self) -> Iterable[Row]:
        return [
            Row("dry_bulb", self.dry_bulb, "temperature"),
            Row("volume_flow", self.flow, "volume_flow", "airflow & more"),
            Row("sensible_heat_ratio", 0.75, "fraction"),
        ]

    def notes(self) -> Iterable[str]:
        return ("Taken from <nowhere>.",)


def test_text() -> None:
    assert str(Sample(24.0)).splitlines() == [
        "Sample <of air>",
        "  Dry bulb             24.0 °C",
        "  Airflow & more       760 L/s",
        "  Sensible heat ratio  0.750",
        "  Note: Taken from <nowhere>.",
    ]
    assert "75.2 °F" in Sample(24.0).text("IP") and "1,610 cfm" in Sample(24.0).text("IP")


def test_html_is_escaped() -> None:
    shown = Sample(24.0)._repr_html_()
    assert shown.startswith("<table>")
    assert "&lt;of air&gt;" in shown and "Airflow &amp; more" in shown and "&lt;nowhere&gt;" in shown
    assert "<of air>" not in shown and "<nowhere>" not in shown
    assert "75.2 °F" in Sample(24.0).html("IP")


def test_json() -> None:
    found = Sample(24.0).to_dict()
    assert found == {"dry_bulb_C": 24.0, "volume_flow_m3_s": 0.76, "sensible_heat_ratio": 0.75}
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_json_holds_no_nan() -> None:
    found = Sample(np.array([24.0, np.nan, np.inf])).to_dict()
    assert found["dry_bulb_C"] == [24.0, None, None]
    json.dumps(found, allow_nan=False)
    assert plain(float("nan")) is None
    assert plain(np.float32(0.5)) == 0.5 and type(plain(np.float64(0.5))) is float
    assert plain(np.arange(4).reshape(2, 2)) == [[0, 1], [2, 3]]
    assert plain("text") == "text"


def test_frame() -> None:
    frame = Sample(np.array([23.0, 24.0])).to_frame()
    assert list(frame.columns) == ["dry_bulb_C", "volume_flow_m3_s", "sensible_heat_ratio"]
    assert frame["dry_bulb_C"].tolist() == [23.0, 24.0]
    # Single values stand in every row.
    assert frame["volume_flow_m3_s"].tolist() == [0.76, 0.76]
    assert len(Sample(24.0).to_frame()) == 1
    assert len(Sample(np.zeros((2, 3))).to_frame()) == 6


def test_arrays_show_their_range() -> None:
    text = str(Sample(np.array([22.0, np.nan, 25.0])))
    assert "22.0 to 25.0 °C (3 values)" in text
    assert "2 values, none finite" in str(Sample(np.full(2, np.nan)))
    assert "no values" in str(Sample(np.array([])))
    assert "Dry bulb             none" in str(Sample(np.nan))


def test_result_without_rows_says_so() -> None:
    with pytest.raises(TypeError, match="Result lists no rows"):
        str(Result())


def test_real_result_exports_what_it_shows() -> None:
    state = MoistAir.from_relative_humidity(24.0, 0.5, 83_000.0)
    rows = list(state.rows())
    assert set(state.to_dict()) == {r.key for r in rows}
    for row in rows:
        assert row.title in str(state)
        assert getattr(state, row.name) == row.value
