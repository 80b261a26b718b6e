"""How the coil, the refrigerant side and the expectation moved between two visits, on shared draws."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from pair_of_visits import AFTER, HEATING, visit
from refrigerant_readings import CONDENSING, cycle

from airside.compare.change import compare
from airside.compare.moved import Moved, moved_rows
from airside.compare.result import Change
from airside.errors import VisitError
from airside.visit.load import load_visit

DATA = Path(__file__).parents[2] / "data"
COUNT = 20_000


def moved(change: Change) -> dict[str, Moved]:
    return {m.name: m for m in moved_rows(change)}


def demo(room: str) -> Change:
    before, after = (load_visit(DATA / room / f"{n}.toml") for n in ("before", "after"))
    return compare(before, after, count=COUNT, with_budget=False)


@pytest.mark.parametrize("room", ["reading_room", "bakery"])
def test_effective_surface_of_a_coil_stays(room: str) -> None:
    # The demo's coil is one and the same: its surface is the same, whatever air passes.
    found = moved(demo(room))["coil_effective_surface"]
    low, high = found.change.interval_95
    assert low < 0 < high
    assert found.change.standard_uncertainty < 0.15 * found.before


def test_library_moves_as_its_story_says() -> None:
    found = moved(demo("reading_room"))
    # Saturation falls from 51.2 to 42.8 °C, outdoor air from 91.4 to 88.2 °F, and the capacity comes back.
    assert found["refrigerant_saturated_liquid"].change.value == pytest.approx(42.8 - 51.2, abs=0.15)
    assert found["refrigerant_condensing_over_outdoor"].change.value == pytest.approx(-8.4 + 3.2 / 1.8, abs=0.15)
    for name in ("refrigerant_saturated_liquid", "refrigerant_condensing_over_outdoor", "refrigerant_discharge_line"):
        assert found[name].change.interval_95[1] < 0
    assert found["expected_ratio"].change.interval_95[0] > 0
    # Charge and valve were not touched.
    for name in ("refrigerant_superheat_at_coil", "refrigerant_subcooling"):
        low, high = found[name].change.interval_95
        assert low < 0 < high
    assert "refrigerant_glide_at_liquid_pressure" not in found


def test_bakery_moves_as_its_story_says() -> None:
    found = moved(demo("bakery"))
    # More air past one surface.
    assert found["coil_bypass_factor"].change.interval_95[0] > 0
    assert found["refrigerant_saturated_suction"].change.value == pytest.approx(7.9 - 6.0, abs=0.15)
    assert found["refrigerant_saturated_suction"].change.interval_95[0] > 0


def test_change_has_the_doubt_of_what_is_not_shared() -> None:
    before, after = visit(cycle()), visit(cycle(condensing=CONDENSING - 2.0), AFTER)
    change = compare(before, after, count=COUNT, with_budget=False)
    found = moved(change)["refrigerant_subcooling"]
    assert (found.before, found.after) == pytest.approx((5.0, 5.0), abs=0.01)
    # Of the clamp's and the gauge's variance a half and three quarters are shared.
    from airside.visit.refrigerant_side import refrigerant_side

    alone = [refrigerant_side(v)[0] for v in (change.before, change.after)]
    spreads = [float(np.std(s.draws("subcooling"))) for s in alone if s is not None]
    assert found.change.standard_uncertainty < 0.85 * math.hypot(*spreads)
    assert found.change.value == pytest.approx(found.after - found.before, abs=1e-12)


def test_figures_that_one_visit_lacks_are_left_out() -> None:
    change = compare(visit(), visit(cycle(), AFTER), count=2000, with_budget=False)
    assert set(moved(change)) == {
        "coil_apparatus_dew_point", "coil_bypass_factor", "coil_effective_surface", "expected_ratio"
    }  # fmt: skip
    bare = visit(AFTER, {"readings.outdoor": None})
    assert "expected_ratio" not in moved(compare(visit(), bare, count=2000, with_budget=False))


def test_heating_moves_too() -> None:
    readings = cycle(evaporating=0.0, condensing=45.0)
    plain = compare(visit(HEATING), visit(HEATING, AFTER), count=2000, with_budget=False)
    assert moved(plain) == {}
    both = moved(compare(visit(HEATING, readings), visit(HEATING, readings, AFTER), count=2000, with_budget=False))
    assert "refrigerant_subcooling" in both and not [n for n in both if n.startswith(("coil", "expected"))]


def test_bad_refrigerant_is_refused() -> None:
    change = compare(
        visit(cycle(), {"system.refrigerant": "R-999"}), visit(cycle(), AFTER), count=2000, with_budget=False
    )
    with pytest.raises(VisitError, match="R-999"):
        moved_rows(change)


def test_cells_and_json() -> None:
    change = demo("reading_room")
    rows = moved(change)
    cells = rows["refrigerant_saturated_liquid"].cells("IP")
    assert cells[0] == "Saturated liquid" and cells[1] == "124.2 °F"
    # A difference: without 32.
    assert cells[3] == "-15.0 °F" and cells[4].endswith("°F") and " to -" in cells[4]
    assert rows["refrigerant_saturated_liquid"].cells("SI")[3] == "-8.3 K"
    said = json.loads(json.dumps(change.to_dict(), allow_nan=False))["moved"]
    assert list(said) == [m.key for m in rows.values()]
    found = said["coil_effective_surface_kg_s"]
    assert found["change"]["value"] == pytest.approx(found["after"] - found["before"])
    assert found["change"]["standard_uncertainty"] > 0 and len(found["change"]["interval_95"]) == 2
    assert {"refrigerant_superheat_at_coil_K", "refrigerant_saturated_suction_C", "expected_ratio"} <= set(said)
