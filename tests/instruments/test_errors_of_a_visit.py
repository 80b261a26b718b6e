"""What a visit makes of its readings: which errors, how large, and what is said where something is missing."""

import math

import numpy as np
import pytest
from pair_of_visits import HEATING, PROBE, visit

import airside
from airside.instruments import defaults
from airside.visit.uncertainty import visit_uncertainty

CHECK = {
    "instruments": ["probe 1", "probe 2"],
    "dry_bulb": [[25.0, 25.1, 25.0, 25.1], [25.6, 25.7, 25.6, 25.7]],
    "relative_humidity": [[50.0, 50.1, 50.2, 50.1], [48.0, 48.1, 48.2, 48.1]],
}


def doubt(*changes, count=2000):
    return visit_uncertainty(visit(*changes), count=count)


def by_name(found):
    return {e.name: e for e in found.errors.errors}


def codes(found):
    return [w.code for w in found.warnings()]


# -- accuracy -------------------------------------------------------------------------------------


def test_an_accuracy_statement_is_split_into_what_stays_and_what_is_new():
    found = by_name(doubt({"instruments.probe 1.dry_bulb": {"accuracy": 0.6, "new_each_visit": 0.36}}))
    u = 0.6 / math.sqrt(3)
    assert found["probe 1 dry bulb, calibration"].standard_uncertainty == pytest.approx(0.8 * u)
    assert found["probe 1 dry bulb, new at this visit"].standard_uncertainty == pytest.approx(0.6 * u)
    assert found["probe 1 dry bulb, calibration"].shape == "rectangular"
    normal = by_name(
        doubt({"instruments.probe 1.dry_bulb": {"accuracy": 0.6, "coverage": "95 %", "new_each_visit": 0.0}})
    )
    assert normal["probe 1 dry bulb, calibration"].standard_uncertainty == pytest.approx(0.6 / 1.96, rel=1e-4)
    assert "probe 1 dry bulb, new at this visit" not in normal


def test_the_default_split_is_said_and_a_stated_one_is_not():
    said = " ".join(doubt().errors.assumptions)
    assert "Of the variance of dry bulb accuracy, 10 % comes anew with each visit" in said
    stated = {f"instruments.{p}.dry_bulb": {"accuracy": 0.4, "new_each_visit": 0.2} for p in ("probe 1", "probe 2")}
    said = " ".join(doubt(stated, {"instruments.thermometer.dry_bulb.new_each_visit": 0.2}).errors.assumptions)
    assert "dry bulb accuracy" not in said


def test_an_instrument_without_accuracy_gets_a_default_class_and_one_warning():
    found = doubt({"instruments.probe 1.relative_humidity": None})
    warnings = [w.message for w in found.warnings() if w.code == "default_accuracy"]
    assert warnings == [
        'Instrument "probe 1" has no accuracy for relative humidity; a default class is taken (± 3.0 % as a limit). '
        "State the data sheet's accuracy."
    ]
    u = by_name(found)["probe 1 relative humidity, calibration"].standard_uncertainty
    kind, new = defaults.ACCURACY_CLASSES["relative_humidity"], defaults.NEW_EACH_VISIT["relative_humidity"]
    assert u == pytest.approx(kind.accuracy / math.sqrt(3) * math.sqrt(1 - new.share))
    assert any(a.startswith("Default accuracy class for relative humidity") for a in found.errors.assumptions)


def test_a_warning_stands_once_even_where_one_probe_serves_twice_and_is_checked():
    both = {"readings.supply.instrument": "probe 1", "instruments.probe 1": {}}
    messages = [w.message for w in doubt(both).warnings()]
    assert len(messages) == len(set(messages))
    checked = [w.message for w in doubt({"side_by_side": CHECK, "instruments.probe 2": {}}).warnings()]
    assert len(checked) == len(set(checked))
    assert sum('"probe 2" has no accuracy for dry bulb' in m for m in checked) == 1


def test_an_unnamed_instrument_gets_a_class_and_asks_for_a_name():
    found = doubt({"readings.supply.instrument": None})
    (message,) = [w.message for w in found.warnings() if "Supply dry bulb" in w.message]
    assert "names no instrument" in message and "Name the instrument" in message
    assert "± 0.50 K" in message or "± 0.5" in message


def test_one_probe_at_both_places_has_one_calibration():
    one = by_name(doubt({"readings.supply.instrument": "probe 1"}))
    assert [n for n in one if n.endswith("dry bulb, calibration")] == [
        "probe 1 dry bulb, calibration",
        "thermometer dry bulb, calibration",
    ]
    # What is common to both places falls out of sensible capacity.
    u = [doubt(c, count=20_000).estimate("sensible").standard_uncertainty for c in ({}, {"readings.supply.instrument": "probe 1"})]  # fmt: skip
    assert u[1] < u[0]


# -- readings -------------------------------------------------------------------------------------


def test_a_single_reading_takes_the_usual_scatter_and_says_so():
    single = {
        f"readings.{place}.{quantity}": [value]
        for place, quantity, value in (
            ("return", "dry_bulb", 25.0), ("return", "relative_humidity", 50.0), ("supply", "dry_bulb", 14.0),
            ("supply", "relative_humidity", 86.0),
        )
    }  # fmt: skip
    found = doubt(single, {"readings.power.total": [3.0], "airflow.volume_flow": [520.0]})
    errors, said = by_name(found), found.errors.assumptions
    assert errors["return dry bulb, repeatability"].standard_uncertainty == defaults.SCATTER["dry_bulb"]
    assert errors["supply relative humidity, repeatability"].standard_uncertainty == 0.01
    assert errors["power, repeatability"].standard_uncertainty == pytest.approx(defaults.SCATTER["power"] / 3000)
    assert (
        "Return dry bulb: a single reading has no scatter to go by; a usual scatter is taken in its place, 0.2 K "
        "(common practice, no source)."
    ) in said
    assert any(a.startswith("Power: a single reading has no scatter") for a in said)
    assert any(a.startswith("Airflow volume flow: a single reading has no scatter") for a in said)


def test_a_few_readings_never_count_for_less_than_usual():
    found = by_name(doubt({"readings.return.dry_bulb": [25.0] * 3, "readings.return.relative_humidity": [50.0] * 3}))
    error = found["return dry bulb, repeatability"]
    assert error.standard_uncertainty == pytest.approx(defaults.SCATTER["dry_bulb"] / math.sqrt(3))
    wide = by_name(
        doubt({"readings.return.dry_bulb": [24.0, 25.0, 26.0], "readings.return.relative_humidity": [50.0] * 3})
    )
    assert wide["return dry bulb, repeatability"].standard_uncertainty == pytest.approx(1 / math.sqrt(3))


def test_enough_readings_count_by_their_own_scatter():
    values = visit().readings.return_air.dry_bulb
    error = by_name(doubt())["return dry bulb, repeatability"]
    assert error.standard_uncertainty == pytest.approx(np.std(values, ddof=1) / math.sqrt(6))
    assert (error.shape, error.degrees_of_freedom) == ("student", 5)


def test_readings_that_stand_still_keep_the_doubt_of_the_step():
    steady = {"readings.return.dry_bulb": [25.0] * 6}
    found = by_name(doubt(steady))
    assert "return dry bulb, repeatability" not in found
    assert found["return dry bulb, resolution"].standard_uncertainty == pytest.approx(0.1 / math.sqrt(12))


def test_the_fan_of_an_indoor_unit_has_the_doubt_of_its_meter():
    parts = {"readings.power": {"instrument": "meter", "outdoor_unit": [2.6] * 4, "indoor_unit": [0.4] * 4}}
    found = doubt(parts)
    assert {"power", "fan.power"} <= set(found.errors.uses)
    gross = np.asarray(found.measured.capacity.gross) - np.asarray(found.measured.capacity.total)
    assert gross.std() / gross.mean() == pytest.approx(0.015 / math.sqrt(3), rel=0.05)


def test_weather_stands_in_for_a_barometer():
    found = doubt({"site": {"elevation": 250.0}})
    (error,) = [e for e in found.errors.errors if e.kind == "pressure"]
    assert error.name == "barometric pressure, weather"
    pressures = np.asarray(found.measured.return_air.pressure)
    assert pressures.std() / pressures.mean() == pytest.approx(defaults.WEATHER_PRESSURE, rel=0.05)
    assert not [e for e in doubt().errors.errors if e.kind == "pressure"]


# -- side-by-side check ---------------------------------------------------------------------------


def test_a_check_brings_both_probes_halfway():
    plain, checked = doubt(), doubt({"side_by_side": CHECK})
    assert checked.inputs.air["return"][0] == pytest.approx(plain.inputs.air["return"][0] + 0.3)
    assert checked.inputs.air["supply"][0] == pytest.approx(plain.inputs.air["supply"][0] - 0.3)
    assert checked.inputs.air["return"][1] == pytest.approx(plain.inputs.air["return"][1] - 0.01)
    assert checked.inputs.air["supply"][1] == pytest.approx(plain.inputs.air["supply"][1] + 0.01)
    # Outdoor thermometer and a probe that was not checked stay as they are.
    assert checked.inputs.outdoor_dry_bulb == plain.inputs.outdoor_dry_bulb


def test_a_check_that_is_not_applied_changes_nothing():
    plain, noted = doubt(), doubt({"side_by_side": {**CHECK, "apply": False}})
    assert noted.inputs.air == plain.inputs.air
    assert noted.estimate("total") != doubt({"side_by_side": CHECK}).estimate("total")
    assert "not applied" in " ".join(airside.analyse(noted.visit, count=1000).assumptions)


def test_the_common_error_of_both_probes_stays_and_their_difference_goes():
    found = doubt({"side_by_side": CHECK, "readings.return.placement": 0, "readings.supply.placement": 0}, count=20_000)
    drawn = {e.key: found.draws.of(e) for e in found.errors.errors if e.kind in ("calibration", "drift")}
    from airside.visit.perturbation import perturbed, shifts_of

    moved = perturbed(found.inputs, shifts_of(found.errors, drawn))
    first, second = (np.asarray(moved.air[p][0]) - found.inputs.air[p][0] for p in ("return", "supply"))
    u = 0.4 / math.sqrt(3)
    # The mean of two errors of equal size, and what the check leaves of each probe's own.
    remains = defaults.SIDE_BY_SIDE_REMAINS * u
    assert np.std((first + second) / 2) == pytest.approx(math.hypot(u, remains) / math.sqrt(2), rel=0.02)
    assert np.std(first - second) == pytest.approx(remains * math.sqrt(2), rel=0.03)


def test_what_remains_is_stated_or_assumed():
    assumed = doubt({"side_by_side": CHECK})
    assert any(a.startswith("After the side-by-side check 25 %") for a in assumed.errors.assumptions)
    stated = doubt({"side_by_side": {**CHECK, "remains": 0.5}})
    assert not any(a.startswith("After the side-by-side check") for a in stated.errors.assumptions)
    name = "probe 1 dry bulb, beyond the side-by-side check"
    assert by_name(stated)[name].standard_uncertainty == pytest.approx(2 * by_name(assumed)[name].standard_uncertainty)


def test_a_check_narrows_the_interval_of_capacity():
    plain, checked = doubt(count=20_000), doubt({"side_by_side": CHECK}, count=20_000)
    assert checked.estimate("total").standard_uncertainty < 0.9 * plain.estimate("total").standard_uncertainty


# -- steadiness -----------------------------------------------------------------------------------


def test_a_steady_visit_has_no_warning():
    assert codes(doubt()) == []


def test_a_wide_range_is_named_with_its_tolerance():
    wide = {"readings.return.dry_bulb": [24.2, 25.9, 25.0, 24.9, 25.1, 24.9]}
    (warning,) = [w for w in doubt(wide).warnings() if w.code == "unsteady"]
    assert "return dry bulb ranged over 1.7" in warning.message and "field tolerance is 1.5" in warning.message


def test_the_strict_set_is_held_to_when_asked():
    reading = {"readings.return.dry_bulb": [24.4, 25.6, 25.0, 24.9, 25.1, 24.9]}
    assert "unsteady" not in codes(doubt(reading))
    (warning,) = [w for w in doubt(reading, {"readings.tolerances": "strict"}).warnings() if w.code == "unsteady"]
    assert "strict tolerance is 1.1" in warning.message


def test_a_drifting_visit_says_how_far_the_capacity_moved():
    still = {f"readings.{p}.{q}": [v] * 6 for p, q, v in (("return", "dry_bulb", 25.0), ("return", "relative_humidity", 50.0), ("supply", "relative_humidity", 86.0))}  # fmt: skip
    falling = [15.0, 14.75, 14.5, 14.25, 14.0, 13.75]
    found = doubt(still, {"readings.supply.dry_bulb": falling})
    (warning,) = [w for w in found.warnings() if w.code == "drifting"]
    # The change along the trend, worked out from the first and last readings.
    ends = [float(np.asarray(doubt(still, {"readings.supply.dry_bulb": [t] * 6}).at_readings.capacity.total)) for t in (15.0, 13.75)]  # fmt: skip
    moved = (ends[1] - ends[0]) / float(np.asarray(found.at_readings.capacity.total))
    said = float(warning.message.split(":")[1].split("%")[0])
    assert said / 100 == pytest.approx(moved, rel=0.05)
    assert "Let the system run longer" in warning.message


def test_unequal_counts_have_no_trend_of_capacity():
    shorter = {"readings.supply.dry_bulb": [15.0, 14.0, 13.0], "readings.supply.relative_humidity": [86.0] * 3}
    assert "drifting" not in codes(doubt(shorter))


# -- impossible states ----------------------------------------------------------------------------


def test_draws_beyond_saturation_are_counted_and_their_shift_is_shown():
    near = {"readings.supply.relative_humidity": [99.2, 99.3, 99.1, 99.2, 99.2, 99.2]}
    result = airside.analyse(visit(near), count=20_000)
    found = result.doubt
    assert 0.2 < found.set_aside / 20_000 < 0.5
    (said,) = [s for s in found.sentences() if "set aside" in s]
    total = found.estimate("total")
    shift = total.mean / total.value - 1
    assert shift > 0
    assert f"{found.set_aside:,} of 20,000 draws" in said
    assert f"{shift * 100:+.1f} % from the figure at the readings" in said
    content = result.to_dict()
    assert content["draws_set_aside"] == found.set_aside and content["draws"] == 20_000
    assert np.isfinite(content["capacity"]["total_W_u"])
    assert all(np.isfinite(v) for v in content["capacity"]["total_W_95"])


def test_the_draws_that_are_kept_are_those_of_air_that_can_be():
    near = {"readings.supply.relative_humidity": [98.0] * 6}
    found = doubt(near, count=20_000)
    humidity = np.asarray(found.measured.supply_air.relative_humidity)[found.is_possible]
    assert humidity.max() <= 1 + 1e-9
    total = np.asarray(found.measured.capacity.total)[found.is_possible]
    assert found.estimate("total").mean == pytest.approx(total.mean())


def test_far_from_saturation_nothing_is_set_aside():
    found = doubt({"readings.supply.relative_humidity": [70.0] * 6})
    assert found.set_aside == 0
    assert not [s for s in found.sentences() if "set aside" in s]


def test_the_budget_and_the_linear_check_work_near_saturation():
    near = {"readings.supply.relative_humidity": [99.2, 99.3, 99.1, 99.2, 99.2, 99.2]}
    found = doubt(near, count=5000)
    rows = found.budget()
    assert all(np.isfinite(r.share) for r in rows) and rows[0].share > 0.1
    assert np.isfinite(found.linear().standard_uncertainty)


# -- in all ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("changes", [(), (HEATING,), ({"side_by_side": CHECK},)])
def test_monte_carlo_and_linear_agree_away_from_saturation(changes):
    found = doubt(*changes, count=50_000)
    assert found.linear().standard_uncertainty == pytest.approx(found.estimate("total").standard_uncertainty, rel=0.05)
    assert "agree" in found.sentences()[0]
    assert sum(r.share for r in found.budget()) == pytest.approx(1, abs=0.05)


def test_the_same_visit_and_seed_give_the_same_figures():
    one, two = (airside.analyse(visit(), count=5000, seed=3).to_dict() for _ in range(2))
    assert one == two
    assert one != airside.analyse(visit(), count=5000, seed=4).to_dict()


def test_json_of_a_visit_has_uncertainty_and_interval_under_its_keys():
    content = airside.analyse(visit(), count=5000).to_dict()
    for part, keys in {
        "capacity": ("total_W", "sensible_W", "latent_W", "sensible_heat_ratio", "moisture_removal_kg_h"),
        "airflow": ("volume_flow_m3_s", "dry_air_mass_flow_kg_s"),
        "return_air": ("dry_bulb_C", "enthalpy_J_kg"),
    }.items():
        for key in keys:
            assert key in content[part], sorted(content[part])
            low, high = content[part][f"{key}_95"]
            assert content[part][f"{key}_u"] > 0 and low < content[part][key] < high
    assert PROBE and content["budget"][0]["share"] >= content["budget"][-1]["share"]
