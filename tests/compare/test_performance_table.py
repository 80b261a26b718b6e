"""The manufacturer's performance table: what it reads, what it refuses, how comparing uses it. Invented numbers."""

import itertools

import numpy as np
import pytest
from pair_of_visits import AFTER, HEATING, supply, visit

import airside
from airside.compare.performance_table import SLOPE_DOUBT, read_performance_table
from airside.errors import ComparisonError, TableError

HEAD = "return wet bulb [degC],outdoor dry bulb [degC],flow [L/s],total [kW],sensible [kW],power [kW]"
WET_BULBS, OUTDOORS, FLOWS = (15.0, 18.0, 21.0), (25.0, 35.0, 45.0), (400.0, 520.0, 640.0)


def total(wet_bulb, outdoor, flow):
    """Linear in each variable, so that a table of corners is exact."""
    return 9.0 + 0.3 * (wet_bulb - 18) - 0.08 * (outdoor - 35) + 0.004 * (flow - 520)


def power(wet_bulb, outdoor, flow):
    return 2.8 + 0.02 * (wet_bulb - 18) + 0.05 * (outdoor - 35) + 0.0005 * (flow - 520)


def lines(flows=FLOWS, values=("total", "sensible", "power")):
    rows = []
    for w, o, f in itertools.product(WET_BULBS, OUTDOORS, flows):
        cells = {"total": total(w, o, f), "sensible": 0.7 * total(w, o, f), "power": power(w, o, f)}
        rows.append(",".join(f"{v:g}" for v in (w, o, f, *(cells[n] for n in values))))
    return rows


def write(folder, rows=None, head=HEAD):
    file = folder / "table.csv"
    file.write_text("\n".join([head, *(lines() if rows is None else rows)]) + "\n", encoding="utf-8")
    return file


# -- reading --------------------------------------------------------------------------------------


def test_a_full_grid_reads_in_any_order_with_comments(tmp_path):
    rows = lines()
    np.random.default_rng(1).shuffle(rows)
    found = read_performance_table(write(tmp_path, ["# invented", *rows, ""]), "SI")
    assert [a.tolist() for a in found.axes] == [list(WET_BULBS), list(OUTDOORS), pytest.approx([0.4, 0.52, 0.64])]
    for point in itertools.product((16.0, 20.1), (27.0, 40.0), (450.0, 630.0)):
        at = (point[0], point[1], point[2] / 1000)
        assert found.read("total", *at) == pytest.approx(1000 * total(*point))
        assert found.read("sensible", *at) == pytest.approx(700 * total(*point))
        assert found.read("power", *at) == pytest.approx(1000 * power(*point))
    assert isinstance(found.read("total", 18.0, 35.0, 0.5), float)
    several = found.read("total", np.array([16.0, 18.0]), 35.0, 0.52)
    assert several == pytest.approx([1000 * total(w, 35, 520) for w in (16, 18)])


def test_units_stand_in_the_head_or_are_those_of_the_visit(tmp_path):
    rows = ["63,85,1000,36000", "63,105,1000,33000", "67,85,1000,38000", "67,105,1000,35000"]
    head = "Return Wet Bulb,outdoor_dry_bulb,flow,total"
    bare = read_performance_table(write(tmp_path, rows, head), "IP")
    named = read_performance_table(
        write(tmp_path, rows, "return wet bulb [degF],outdoor dry bulb [degF],flow [cfm],total [Btu/h]"), "SI"
    )
    assert bare.axes[0] == pytest.approx([(63 - 32) / 1.8, (67 - 32) / 1.8])
    assert bare.read("total", bare.axes[0][0], bare.axes[1][0], bare.axes[2][0]) == pytest.approx(36000 * 0.29307107)
    for one, other in zip(bare.axes, named.axes, strict=True):
        assert one == pytest.approx(other)
    assert "power" not in bare.values


def test_beyond_the_table_is_nothing_or_its_end_carried_on(tmp_path):
    found = read_performance_table(write(tmp_path), "SI")
    assert np.isnan(found.read("total", 25.0, 35.0, 0.52))
    assert found.read("total", 22.0, 35.0, 0.52, outside="extend") == pytest.approx(1000 * total(22, 35, 520))
    indoor, outdoor, flow = found.limits()
    assert (indoor.low, indoor.high, outdoor.low, outdoor.high) == (15.0, 21.0, 25.0, 45.0)
    assert (flow.low, flow.high) == pytest.approx((0.4, 0.64))


def test_semicolons_and_a_byte_order_mark_are_welcome(tmp_path):
    file = tmp_path / "table.csv"
    file.write_text("\ufeff" + "\n".join([HEAD, *lines()]).replace(",", ";"), encoding="utf-8")
    assert read_performance_table(file, "SI").read("total", 18.0, 35.0, 0.52) == pytest.approx(9000)


def test_a_table_of_one_flow_does_not_say_how_capacity_goes_with_flow(tmp_path):
    found = read_performance_table(write(tmp_path, lines(flows=(520.0,))), "SI")
    assert found.read("total", 18.0, 35.0, 0.52) == pytest.approx(9000)
    assert np.isnan(found.read("total", 18.0, 35.0, 0.6))
    assert found.read("total", 18.0, 35.0, 0.6, outside="extend") == pytest.approx(9000)


def cells(row, column, value):
    """The row with one cell changed."""
    found = row.split(",")
    found[column] = value
    return ",".join(found)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda r: r[:-1], ["the point return wet bulb 21.0 °C", "is missing", "3 x 3 x 3"]),
        (lambda r: [*r, r[4]], ["stands twice", "each once"]),
        (lambda r: [cells(r[0], 3, ""), *r[1:]], ['line 2: column "total" holds ""']),
        (lambda r: [r[0], cells(r[1], 3, "nine"), *r[2:]], ['line 3: column "total" holds "nine"', "expected a number"]),
        (lambda r: [cells(r[0], 3, "nan"), *r[1:]], ['holds "nan"']),
        (lambda r: [cells(r[0], 5, "inf"), *r[1:]], ['column "power" holds "inf"']),
        (lambda r: [cells(r[0], 3, "-9"), *r[1:]], ['holds "-9"; expected a number above zero']),
        (lambda r: [cells(r[0], 2, "0"), *r[1:]], ['column "flow" holds "0"']),
        (lambda r: ["1,2", *r[1:]], ["line 2: found 2 cells; expected 6"]),
        (lambda r: [], ["holds no table"]),
    ],
)  # fmt: skip
def test_bad_rows_are_named(tmp_path, change, words):
    file = write(tmp_path, change(lines()))
    with pytest.raises(TableError) as error:
        read_performance_table(file, "SI")
    for word in (str(file), *words):
        assert word in str(error.value)


def test_every_bad_cell_is_named_at_once(tmp_path):
    rows = lines()
    with pytest.raises(TableError) as error:
        read_performance_table(write(tmp_path, [cells(rows[0], 3, "x"), cells(rows[1], 4, "y"), *rows[2:]]), "SI")
    assert len(error.value.problems) == 2


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (HEAD.replace("outdoor dry bulb [degC]", "power [kW]"), ['missing "outdoor dry bulb"']),
        (HEAD.replace("total [kW]", "sensible [kW]"), ['missing "total"']),
        (HEAD.replace("sensible [kW]", "total [kW]"), ["a column twice"]),
        (HEAD.replace("sensible", "colour"), ['unknown column "colour [kW]"', '"return wet bulb"']),
        (HEAD.replace("[L/s]", "[kW]"), ['column "flow [kW]"']),
        (HEAD.replace("[L/s]", "[furlong]"), ['column "flow [furlong]"']),
    ],
)
def test_bad_columns_are_named(tmp_path, head, words):
    with pytest.raises(TableError) as error:
        read_performance_table(write(tmp_path, head=head), "SI")
    assert "line 1" in str(error.value)
    for word in words:
        assert word in str(error.value)


def test_files_that_are_no_table(tmp_path):
    with pytest.raises(TableError, match="no such file"):
        read_performance_table(tmp_path / "none.csv", "SI")
    with pytest.raises(TableError, match="cannot be read"):
        read_performance_table(tmp_path, "SI")
    (tmp_path / "photo.csv").write_bytes(b"\xff\xd8\xff\xe0" * 50)
    with pytest.raises(TableError, match="UTF-8"):
        read_performance_table(tmp_path / "photo.csv", "SI")
    (tmp_path / "long.csv").write_text(HEAD + "\n" + "9" * 200_000 + "\n")
    with pytest.raises(TableError, match="cannot be read as CSV"):
        read_performance_table(tmp_path / "long.csv", "SI")


# -- in a comparison ------------------------------------------------------------------------------

HOTTER = {"readings.outdoor.dry_bulb": [38.0, 38.1, 37.9, 38.0]}


def change(folder, before=(), after=(), **more):
    given = {"system.performance_table": "table.csv"}
    path = folder / "visit.toml"
    return airside.compare(
        visit(given, *before, path=path), visit(given, AFTER, *after, path=path),
        **{"count": 5000, "with_budget": False, **more},
    )  # fmt: skip


def test_the_table_takes_the_place_of_the_curve(tmp_path):
    write(tmp_path)
    found = change(tmp_path, after=[HOTTER])
    assert found.correction.name == "manufacturer's performance table table.csv"
    assert found.correction.doubt == SLOPE_DOUBT
    wet_bulb = float(np.asarray(found.before.at_readings.return_air.wet_bulb))
    flow = 1000 * float(np.asarray(found.before.at_readings.airflow.standard_volume_flow))
    expected = total(wet_bulb, 32, flow) / total(wet_bulb, 38, flow)
    assert 1 + found.ratios["reference"].value == pytest.approx(expected, rel=1e-6)
    expected /= power(wet_bulb, 32, flow) / power(wet_bulb, 38, flow)
    assert 1 + found.at_reference["coefficient_of_performance"].ratio.value == pytest.approx(expected, rel=1e-6)
    assert any("manufacturer's performance table table.csv" in a for a in found.assumptions())
    assert "25 %" in " ".join(found.assumptions())


def test_a_table_without_power_corrects_capacity_alone(tmp_path):
    write(tmp_path, lines(values=("total",)), "return wet bulb [degC],outdoor dry bulb [degC],flow [L/s],total [kW]")
    found = change(tmp_path, after=[HOTTER])
    assert list(found.at_reference) == ["total"]
    assert "coefficient_of_performance" in found.figures


def test_the_table_corrects_flow_when_asked(tmp_path):
    write(tmp_path)
    more_air = {"airflow.volume_flow": [580.0, 582.0, 578.0, 581.0]}
    as_found, same = (change(tmp_path, after=[more_air], same_flow=s) for s in (False, True))
    assert same.ratios["reference"].value < as_found.ratios["reference"].value - 0.01
    assert not any("400 cfm" in a for a in same.assumptions())


def test_a_table_of_one_flow_serves_other_flows_as_long_as_flow_is_not_corrected(tmp_path):
    write(tmp_path, lines(flows=(500.0,)))
    assert change(tmp_path, after=[HOTTER]).basis == "reference"
    found = change(tmp_path, after=[HOTTER], same_flow=True)
    assert found.basis == "raw" and "has one airflow alone" in found.reason


@pytest.mark.parametrize(
    ("after", "words"),
    [
        ({"readings.outdoor.dry_bulb": [46.0] * 4}, "the outdoor dry bulb of 46.0 °C is outside"),
        ({"airflow.volume_flow": [900.0] * 4}, "the flow of"),
    ],
)
def test_conditions_outside_the_table_leave_the_raw_change(tmp_path, after, words):
    write(tmp_path)
    found = change(tmp_path, after=[after])
    assert found.basis == "raw" and words in found.reason and "table.csv" in found.reason


def test_a_reference_outside_the_table_is_refused(tmp_path):
    write(tmp_path, [r for r in lines() if not r.startswith("21")])
    with pytest.raises(ComparisonError, match=r"the reference: the return wet bulb of 19.4 °C is outside"):
        change(tmp_path, reference="A")


def test_in_heating_the_curve_is_used_and_that_is_said(tmp_path):
    write(tmp_path)
    found = change(tmp_path, [HEATING], [HEATING])
    assert found.correction.name.startswith("rating curve")
    assert any("for cooling: a rating curve is used" in a for a in found.assumptions())


def test_a_bad_table_is_a_sentence(tmp_path):
    with pytest.raises(TableError, match="no such file"):
        change(tmp_path)
    write(tmp_path, lines()[:-1])
    with pytest.raises(TableError, match="is missing"):
        change(tmp_path)


def test_a_change_on_top_of_the_table(tmp_path):
    write(tmp_path)
    found = change(tmp_path, after=[supply(11.0)])
    assert found.is_change_supported and found.ratios["raw"].value == pytest.approx(found.ratios["reference"].value)
