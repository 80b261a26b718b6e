"""Capacity of every stretch at once, against the visit of each stretch by itself."""

import copy

import numpy as np
import pytest
from logged_made import cycles, made_data, made_log

import airside
from airside.air.process import delivered_capacity
from airside.visit.logs.logged_visit import logged_visit
from airside.visit.logs.stretch_capacity import WIDE_95

ON = cycles(20, 50, 15, 90, 25)
FIGURES = ("total", "sensible", "latent", "coefficient_of_performance")
FAN_TABLE = "static pressure [Pa],low [L/s]\n50,700\n150,550\n250,350\n"


def made(change=None, **channels):
    data = made_data()
    if change is not None:
        change(data)
    drift = np.linspace(0, 1.2, ON.size)
    base = {
        "readings.outdoor.dry_bulb": 33 + drift,
        "readings.return.dry_bulb": 24 + drift + 0.05 * np.sin(np.arange(ON.size)),
    }
    return logged_visit(data, made_log(ON, **{**base, **channels}), "library.toml")  # fmt: skip


def by_relative_humidity(data):
    data["readings"]["supply"]["columns"] = {"dry_bulb": "t2", "relative_humidity": "h2"}
    data["instruments"]["probe_2"]["relative_humidity"] = {"accuracy": 2.0, "resolution": 0.1}


def with_fan(data):
    data["fan"] = {"power": 0.4, "position": "outside probes", "instrument": "meter"}
    data["readings"]["power"]["columns"] = {"outdoor_unit": "p"}


def checked(data):
    data["side_by_side"] = {
        "instruments": ["probe_1", "probe_2"],
        "dry_bulb": [[20.0, 20.1, 20.0, 20.1, 20.0], [20.4, 20.5, 20.5, 20.4, 20.4]],
    }


CASES = {
    "as it is": (None, {}),
    "relative humidity": (by_relative_humidity, {
        "readings.supply.dew_point": None,
        "readings.supply.relative_humidity": np.where(ON, 0.80, 0.55) + 0.004 * np.sin(np.arange(ON.size) * 1.7)}),
    "typed fan": (with_fan, {"readings.power.total": None,
                             "readings.power.outdoor_unit": np.where(ON, 2200.0, 40.0) + np.sin(np.arange(ON.size))}),
    "side by side": (checked, {}),
    "barometer": (None, {"site.barometric_pressure": 90_000 + 20.0 * np.arange(ON.size)}),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_each_stretch_is_as_its_own_visit(case):
    change, channels = CASES[case]
    logged = made(change, **channels)
    found = logged.capacities()
    for number in (1, 4, 7):
        doubt = airside.analyse(logged.visit(number), count=60_000).doubt
        for name in FIGURES:
            figure, drawn = found.figures[name], doubt.estimate(name)
            assert figure.value[number - 1] == pytest.approx(drawn.value, rel=1e-9)
            # JCGM 100's linear propagation against JCGM 101's draws, within a few percent; against the visit's own
            # linear propagation nearly exactly, as the sizes are those of the standing stretch.
            u = figure.standard_uncertainty[number - 1]
            assert u == pytest.approx(drawn.standard_uncertainty, rel=0.04)
            assert u == pytest.approx(doubt.linear(name).standard_uncertainty, rel=0.005)
            low, high = (end[number - 1] for end in figure.interval_95)
            assert (low, high) == pytest.approx(drawn.interval_95, abs=0.15 * u)
        split = found.figures["split"].value[number - 1]
        at = doubt.at_readings
        assert split == pytest.approx(at.return_air.dry_bulb - at.supply_air.dry_bulb)
        assert found.figures["volume_flow"].value[number - 1] == pytest.approx(at.airflow.volume_flow)
        assert found.figures["power"].value[number - 1] == pytest.approx(at.power)
        assert found.conditions["return_wet_bulb"][number - 1] == pytest.approx(at.return_air.wet_bulb)
        assert found.conditions["outdoor_dry_bulb"][number - 1] == pytest.approx(at.outdoor_dry_bulb)


def test_parts_of_the_doubt():
    found = made().capacities()
    for figure in found.figures.values():
        assert figure.standard_uncertainty == pytest.approx(np.sqrt(figure.own**2 + figure.shared**2))
        assert (figure.effects**2).sum(axis=0) == pytest.approx(figure.shared**2)
        low, high = figure.interval_95
        assert high - low == pytest.approx(2 * WIDE_95 * figure.standard_uncertainty)
    kinds = {e.kind for e in found.errors}
    assert "calibration" in kinds
    assert "repeatability" not in kinds
    assert found.figures["total"].effects.shape == (len(found.errors), len(found))


def test_what_is_shared_stays_in_the_mean_of_stretches():
    # Simulated days: the same unknown calibration in all stretches, scatter new in each. The mean of the stretches has
    # the shared part whole and the own part over root m (JCGM 100, F.1.2.3).
    logged = made()
    total = logged.capacities().figures["total"]
    weight = np.full(len(logged), 1 / len(logged))
    shared = np.sqrt((((total.effects * weight).sum(axis=1)) ** 2).sum())
    alone = np.sqrt(((total.own * weight) ** 2).sum())
    assert shared == pytest.approx(total.shared.mean(), rel=0.01)
    assert alone < 0.5 * total.own.mean()


def test_own_doubt_is_the_scatter_between_stretches_of_one_state():
    # Fifty hours of one state with noise of known size: the capacities of the stretches scatter as their own part says.
    on = np.ones(3000, bool)
    data = made_data()
    for probe in ("probe_1", "probe_2"):
        data["instruments"][probe] = {k: {"accuracy": v["accuracy"]} for k, v in data["instruments"][probe].items()}
    logged = logged_visit(data, made_log(on, noise=0.05))
    found = logged.capacities()
    assert len(found) > 150
    freedom = logged.stretches.channels["readings.return.dry_bulb"].degrees_of_freedom
    # The standard deviation of a Student error of few degrees of freedom (JCGM 101, 6.4.9) is a little wider.
    wider = np.sqrt(freedom / (freedom - 2))
    for name in ("total", "sensible", "split"):
        figure = found.figures[name]
        assert figure.value.std(ddof=1) == pytest.approx(np.sqrt((figure.own**2).mean()) / wider, rel=0.15)


def test_heating_has_its_split_the_other_way():
    data = made_data()
    data["mode"] = "heating"
    log = made_log(
        ON,
        **{"readings.supply.dry_bulb": np.where(ON, 40.0, 24.0), "readings.supply.dew_point": np.full(ON.size, 13.0)},
    )
    figures = logged_visit(data, log).capacities().figures
    assert (figures["split"].value > 15).all()
    assert (figures["total"].value > 5000).all()


def test_fan_table_and_what_lies_outside_it(tmp_path):
    (tmp_path / "fan.csv").write_text(FAN_TABLE, encoding="utf-8")
    data = made_data(stretch=1)
    data["airflow"] = {"method": "fan table", "table": "fan.csv", "speed": "low", "log": "x.csv",
                       "columns": {"external_static_pressure": "p"}}  # fmt: skip
    static = np.where(np.arange(ON.size) < 100, 150.0, 300.0)
    log = made_log(ON, **{"airflow.volume_flow": None, "airflow.external_static_pressure": np.where(ON, static, 5.0)})
    logged = logged_visit(data, log, path=tmp_path / "visit.toml")
    found = logged.capacities()
    flow = found.figures["volume_flow"].value
    assert flow[0] == pytest.approx(airside.analyse(logged.visit(1), count=2000).airflow.volume_flow)
    assert np.isnan(flow[-1])
    assert np.isnan(found.figures["total"].value[-1])


def test_one_stretch_against_the_formula_by_hand():
    # Of a noiseless log: total by delivered_capacity, and the part of a dry-bulb error by its own slope.
    logged = logged_visit(made_data(), made_log(ON, noise=0.0))
    found = logged.capacities()
    air = [airside.MoistAir.from_dew_point(t, d, found_pressure(logged)) for t, d in ((24.0, 13.0), (13.0, 11.0))]
    flow = airside.Airflow.measured(0.55, at=air[0])
    assert found.figures["total"].value == pytest.approx(delivered_capacity(*air, flow).total)
    split = found.figures["split"]
    # Accuracies of 0.4 K as limits are 0.4/sqrt(3) each (JCGM 100, 4.3.7); placement 0.1 K and 0.3 K as by default.
    assert split.shared == pytest.approx(np.sqrt(2 * 0.16 / 3 + 0.1**2 + 0.3**2))
    assert split.own == pytest.approx(np.sqrt(2) * 0.1 / np.sqrt(12))


def found_pressure(logged):
    return airside.analyse(logged.standing, count=2000).return_air.pressure


def test_exports():
    logged = made(**{"readings.status.stage": ON * 2.0})
    found = logged.capacities()
    frame, content = found.to_frame(), found.to_dict()
    assert list(frame["number"]) == content["number"] == list(range(1, len(found) + 1))
    assert frame["total_W"].to_numpy() == pytest.approx(np.array(content["total_W"]))
    assert str(frame["begin"][0]) == logged.log.wall_time(found.begin[0])
    assert (frame["stage"] == 2).all()
    assert {"total_W_u", "total_W_u_own", "total_W_u_shared", "total_W_95_low", "split_K", "volume_flow_m3_s"} <= set(
        frame
    )
    zoned = logged_visit(made_data(), made_log(ON, zone="America/Denver")).capacities().to_frame()
    assert str(zoned["begin"].dt.tz) == "America/Denver"


def test_nothing_is_changed_by_asking():
    logged = made()
    before = copy.deepcopy(dict(logged.data))
    logged.capacities()
    logged.standing  # noqa: B018
    assert before == dict(logged.data)
