"""What two visits share, what they do not, and what is done where they contradict each other."""

import math

import numpy as np
import pytest
from pair_of_visits import AFTER, visit

import airside
from airside.airflow.defaults import METHODS
from airside.instruments import defaults

DRAWS = 20_000
STEADY_PLACE = {"readings.return.placement": 0, "readings.supply.placement": 0}
OTHER_PROBES = {
    "instruments.probe 3": {"dry_bulb": {"accuracy": 0.4}, "relative_humidity": {"accuracy": 2.0}},
    "instruments.probe 4": {"dry_bulb": {"accuracy": 0.4}, "relative_humidity": {"accuracy": 2.0}},
    "readings.return.instrument": "probe 3",
    "readings.supply.instrument": "probe 4",
}


def change(before=(), after=(), **more):
    return airside.compare(
        visit(*before), visit(AFTER, *after), **{"count": DRAWS, "with_budget": False, "seed": 1, **more}
    )


def u(found):
    return found.ratios["raw"].standard_uncertainty


def names(found):
    return {e.name for e in found.shared}


def test_visits_that_name_the_same_instruments_share_their_calibration():
    found = change()
    assert {"probe 1 dry bulb, calibration", "probe 2 relative humidity, calibration", "airflow as measured"} <= names(
        found
    )
    assert not [n for n in names(found) if "drift" in n or "this visit" in n or "repeatability" in n]
    assert u(found) < 0.8 * u(change(after=[OTHER_PROBES]))


def test_the_sentence_says_what_cancelled_and_what_it_saves():
    found = change()
    alone = [v.estimate("total") for v in (found.before, found.after)]
    # Of two unrelated visits, to first order: the ratio's own curve adds a little.
    without = math.hypot(*(e.standard_uncertainty / e.value for e in alone))
    assert "probe 1 dry bulb, calibration; " in found.cancelled
    assert f"good to {100 * u(found):.1f} %" in found.cancelled
    apart = float(found.cancelled.rsplit("with nothing in common it would be ", 1)[1].removesuffix(" %."))
    assert apart / 100 == pytest.approx(without, rel=0.06)
    assert apart / 100 > u(found)


def test_probes_exchanged_between_the_visits_add_up_and_that_is_said():
    poor = {f"instruments.{p}.dry_bulb": {"accuracy": 1.5, "new_each_visit": 0.0} for p in ("probe 1", "probe 2")}
    exchanged = {"readings.return.instrument": "probe 2", "readings.supply.instrument": "probe 1"}
    found = change([poor], [poor, exchanged])
    assert "does not cancel but adds up" in found.cancelled and "exchanged" in found.cancelled


def test_unnamed_instruments_share_nothing():
    nameless = {
        "readings.return.instrument": None, "readings.supply.instrument": None, "readings.outdoor.instrument": None,
        "readings.power.instrument": None, "airflow.instrument": None, "site.instrument": None,
    }  # fmt: skip
    found = change([nameless], [nameless])
    assert found.shared == ()
    assert found.cancelled == (
        "The two visits share no named error: nothing cancels. Name the same instruments in both."
    )
    assert u(found) > 1.2 * u(change())
    assert any("has no name, so nothing of its error is shared" in a for a in found.assumptions())


def test_one_draw_serves_both_visits():
    found = change()
    one, other = ({e.key: v.draws.of(e) for e in v.errors.errors} for v in (found.before, found.after))
    for error in found.shared:
        assert one[error.key] is other[error.key]


def test_with_all_error_shared_an_equal_change_cancels_but_for_the_flow():
    """Everything but calibration switched off: two equal visits differ by nothing."""
    shared = {
        f"instruments.{who}.{what}.new_each_visit": 0.0
        for who, what in (("probe 1", "dry_bulb"), ("probe 1", "relative_humidity"), ("probe 2", "dry_bulb"),
                          ("probe 2", "relative_humidity"), ("barometer", "barometric_pressure"), ("meter", "power"))
    }  # fmt: skip
    still = {
        f"readings.{p}.{q}": [v] * 6
        for p, q, v in (("return", "dry_bulb", 25.0), ("return", "relative_humidity", 50.0),
                        ("supply", "dry_bulb", 14.0), ("supply", "relative_humidity", 86.0))
    } | {"airflow.volume_flow": [520.0] * 4, "airflow.relative_uncertainty": 0.03}  # fmt: skip
    fine = {f"instruments.{p}.{q}.resolution": 0.0 for p in ("probe 1", "probe 2") for q in ("dry_bulb", "relative_humidity")}  # fmt: skip
    common = (shared, still, fine, STEADY_PLACE)
    found = change(common, common)
    # What is left is the part of the flow station that is new with each visit, twice.
    station = 0.03 * math.sqrt(defaults.METHOD_SHARES["measured"][0])
    assert u(found) == pytest.approx(station * math.sqrt(2), rel=0.03)


@pytest.mark.parametrize(
    ("changed", "shares_settings"),
    [({}, True), ({"speed": "high"}, False), ({"coil": "new"}, False), ({"filter": "MERV 13"}, False)],
)
def test_a_change_of_speed_coil_or_filter_unshares_the_settings_part(tmp_path, changed, shares_settings):
    (tmp_path / "fan.csv").write_text("static pressure [Pa],low [L/s],high [L/s]\n50,450,700\n200,350,560\n")
    fan = {
        "airflow": {"method": "fan table", "table": "fan.csv", "speed": "low",
                    "external_static_pressure": [120, 121, 119, 120], "instrument": "manometer"},
        "instruments.manometer": {"duct_pressure": {"accuracy": 2}},
        "system.coil": "old", "system.filter": "MERV 8",
    }  # fmt: skip
    other = {f"{'airflow' if k == 'speed' else 'system'}.{k}": v for k, v in changed.items()}
    path = tmp_path / "visit.toml"
    found = airside.compare(visit(fan, path=path), visit(fan, AFTER, other, path=path), count=DRAWS, with_budget=False)
    assert "airflow by fan table" in names(found)
    assert ("airflow by fan table, at these settings" in names(found)) == shares_settings
    # Between the factors of both flows: new each visit always, the settings' part where it is not shared.
    new, settings = defaults.METHOD_SHARES["fan table"]
    apart = math.sqrt(2 * (new + (0.0 if shares_settings else settings)))
    flows = [np.log(np.asarray(v._shifted.flow_factor)) for v in (found.before, found.after)]
    whole = METHODS["fan table"].relative_standard_uncertainty
    assert np.std(flows[1] - flows[0]) == pytest.approx(whole * apart, rel=0.03)
    assert np.std(flows[0]) == pytest.approx(whole, rel=0.03)


def test_another_method_shares_no_method_error():
    thumb = {"airflow": {"method": "rule of thumb", "flow_per_capacity": 54}}
    assert not [n for n in names(change(after=[thumb])) if n.startswith("airflow")]


def test_another_system_name_or_table_shares_no_method_error(tmp_path):
    assert "airflow as measured" not in names(change([{"system.name": None}]))


def test_an_error_of_reading_is_one_draw_of_two_sizes():
    """Power of 3 and of 6 kW by one meter of 1.5 %: each visit has its own size, the ratio has none of it."""
    own = {"instruments.meter.power": {"accuracy_of_reading": 1.5, "new_each_visit": 0.0}}
    found = change(
        [own, {"readings.power.total": [3.0] * 4}],
        [own, {"readings.power.total": [6.0] * 4, "readings.supply.dry_bulb": [14.0] * 6}],
    )
    for v in (found.before, found.after):
        power = np.asarray(v.measured.power)
        assert power.std() / power.mean() == pytest.approx(0.015 / math.sqrt(3), rel=0.03)
    ratio = np.asarray(found.after.measured.power) / np.asarray(found.before.measured.power)
    assert ratio.std() / ratio.mean() < 1e-9


def test_an_absolute_error_counts_for_more_at_the_smaller_reading():
    own = {"instruments.meter.power": {"accuracy": 0.1, "new_each_visit": 0.0}}
    found = change([own, {"readings.power.total": [2.0] * 4}], [own, {"readings.power.total": [4.0] * 4}])
    for v, kilowatts in ((found.before, 2.0), (found.after, 4.0)):
        assert np.asarray(v.measured.power).std() == pytest.approx(100 / math.sqrt(3), rel=0.03), kilowatts
    # One error in both: they move together.
    assert np.corrcoef(*(np.asarray(v.measured.power) for v in (found.before, found.after)))[0, 1] > 0.999


# -- two statements for one name ------------------------------------------------------------------


def warning(found):
    return [w.message for w in found.all_warnings() if w.code == "different_accuracy"]


def test_of_two_statements_for_one_instrument_the_larger_counts_for_both():
    wide = {"instruments.probe 1.dry_bulb": {"accuracy": 0.9, "resolution": 0.1}}
    found, both = change(after=[wide]), change([wide], [wide])
    (said,) = warning(found)
    assert said.startswith('Instrument "probe 1" has different accuracies before and after; the larger counts for both (dry bulb).')  # fmt: skip
    assert warning(both) == []
    sizes = [{e.key: e.standard_uncertainty for e in v.errors.errors} for v in (found.before, found.after)]
    key = "instrument/probe 1/dry_bulb"
    assert sizes[0][key] == sizes[1][key] == pytest.approx(0.9 / math.sqrt(3) * math.sqrt(0.9))
    assert u(found) == pytest.approx(u(both), rel=0.03)


def test_it_does_not_matter_which_visit_has_the_larger_one():
    wide = {"instruments.probe 1.dry_bulb": {"accuracy": 0.9, "resolution": 0.1}}
    assert u(change([wide])) == pytest.approx(u(change(after=[wide])), rel=0.03)


def test_the_larger_of_different_kinds_is_as_wide_as_both():
    one = {"accuracy": 0.3, "accuracy_of_reading": 2.0, "coverage": "95 %", "combination": "larger"}
    found = change(after=[{"instruments.probe 1.dry_bulb": one}])
    assert len(warning(found)) == 1
    merged = found.after.visit.instruments["probe 1"].dry_bulb
    assert (merged.accuracy, merged.accuracy_of_reading, merged.combination, merged.coverage) == (
        0.4, 0.02, "sum", "limit",
    )  # fmt: skip


def test_an_accuracy_that_one_visit_leaves_out_is_taken_from_the_other():
    found = change(after=[{"instruments.probe 1": {}}])
    (said,) = warning(found)
    assert "one that stands in one visit alone counts for both (dry bulb, relative humidity)" in said
    assert not [w for w in found.all_warnings() if w.code == "default_accuracy"]
    assert u(found) == pytest.approx(u(change()), rel=0.03)


def test_another_description_is_no_contradiction():
    assert warning(change(after=[{"instruments.probe 1.description": "the old one"}])) == []


def test_what_capacity_has_nothing_of_is_not_said_to_cancel_in_it():
    apart = {"readings.return.instrument": None, "readings.supply.instrument": None, "airflow.instrument": None,
             "site.instrument": None}  # fmt: skip
    found = change([apart], [apart])
    assert "meter power, calibration" in names(found)
    assert found.cancelled.startswith("The two visits share no named error")
    assert "meter power" not in change().cancelled
