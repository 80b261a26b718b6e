"""Rating curves against the published coefficients.

Source: Cutler, Winkler, Kruis, Christensen, Brandemuehl (2013), Improved Modeling of Residential Air
Conditioners and Heat Pumps for Energy Calculations, NREL/TP-5500-56354.
Recall: table (the report's coefficients as carried by public building-energy code), reference/rating_curves.csv.
"""

import numpy as np
import pytest

from airside.compare.curves import rating_curve

# equipment and mode, curve, coefficients a to f over temperatures in °F, or a to c over the flow ratio
ROWS = """\
air conditioner,cooling,capacity,3.670270705,-0.098652414,0.000955906,0.006552414,-0.0000156,-0.000131877
air conditioner,cooling,energy_input_ratio,-3.302695861,0.137871531,-0.001056996,-0.012573945,0.000214638,-0.000145054
air conditioner,cooling,capacity_flow,0.718605468,0.410099989,-0.128705457
air conditioner,cooling,energy_input_ratio_flow,1.32299905,-0.477711207,0.154712157
heat pump,cooling,capacity,3.68637657,-0.098352478,0.000956357,0.005838141,-0.0000127,-0.000131702
heat pump,cooling,energy_input_ratio,-3.437356399,0.136656369,-0.001049231,-0.0079378,0.000185435,-0.0001441
heat pump,cooling,capacity_flow,0.718664047,0.41797409,-0.136638137
heat pump,cooling,energy_input_ratio_flow,1.143487507,-0.13943972,-0.004047787
heat pump,heating,capacity,0.566333415,-0.000744164,-0.0000103,0.009414634,0.0000506,-0.00000675
heat pump,heating,energy_input_ratio,0.718398423,0.003498178,0.000142202,-0.005724331,0.00014085,-0.000215321
heat pump,heating,capacity_flow,0.694045465,0.474207981,-0.168253446
heat pump,heating,energy_input_ratio_flow,2.185418751,-1.942827919,0.757409168
"""
TABLE = {
    tuple(cells[:3]): tuple(float(c) for c in cells[3:]) for cells in (row.split(",") for row in ROWS.splitlines())
}


def celsius(fahrenheit):
    return (np.asarray(fahrenheit) - 32) / 1.8


def by_hand(coefficients, indoor, outdoor):
    """a + b*EWB + c*EWB^2 + d*ODB + e*ODB^2 + f*EWB*ODB in °F, as the source writes it."""
    a, b, c, d, e, f = coefficients
    return a + b * indoor + c * indoor**2 + d * outdoor + e * outdoor**2 + f * indoor * outdoor


@pytest.mark.parametrize(("equipment", "mode", "curve"), TABLE)
def test_each_row_stands_in_the_library(equipment, mode, curve):
    assert getattr(rating_curve(equipment, mode), curve) == TABLE[equipment, mode, curve]


@pytest.mark.parametrize(("equipment", "mode"), sorted({(e, m) for e, m, _ in TABLE}))
def test_the_curves_are_evaluated_as_the_source_writes_them(equipment, mode):
    indoor, outdoor = (60.0, 67.0, 74.0), (70.0, 95.0, 120.0)
    if mode == "heating":
        indoor, outdoor = (62.0, 70.0, 78.0), (-5.0, 17.0, 47.0)
    found = rating_curve(equipment, mode)
    for flow in (0.7, 1.0, 1.3):
        powers = np.array([1, flow, flow**2])
        flows = {n: powers @ TABLE[equipment, mode, n] for n in ("capacity_flow", "energy_input_ratio_flow")}
        for x in indoor:
            for y in outdoor:
                capacity = by_hand(TABLE[equipment, mode, "capacity"], x, y) * flows["capacity_flow"]
                ratio = by_hand(TABLE[equipment, mode, "energy_input_ratio"], x, y) * flows["energy_input_ratio_flow"]
                assert found.capacity_ratio(celsius(x), celsius(y), flow) == pytest.approx(capacity, rel=1e-12)
                assert found.power_ratio(celsius(x), celsius(y), flow) == pytest.approx(ratio * capacity, rel=1e-12)


def test_the_air_conditioner_is_near_1_at_rating_condition_a():
    """0.9939 and 1.0092 at 67/95 °F, as the reference file says."""
    found = rating_curve("air conditioner", "cooling")
    capacity = found.capacity_ratio(celsius(67), celsius(95))
    assert capacity / (0.718605468 + 0.410099989 - 0.128705457) == pytest.approx(0.9939, abs=5e-5)
    ratio = found.power_ratio(celsius(67), celsius(95)) / capacity
    assert ratio / (1.32299905 - 0.477711207 + 0.154712157) == pytest.approx(1.0092, abs=5e-5)


def test_every_curve_is_near_1_at_its_rating_condition_and_goes_the_right_way():
    for equipment in ("air conditioner", "heat pump"):
        found = rating_curve(equipment, "cooling")
        assert found.capacity_ratio(celsius(67), celsius(95)) == pytest.approx(1, abs=0.03)
        # Wetter return air and more flow bring more capacity, a hotter day less, for more power.
        assert found.capacity_ratio(celsius(72), celsius(95)) > found.capacity_ratio(celsius(62), celsius(95))
        assert found.capacity_ratio(celsius(67), celsius(115)) < found.capacity_ratio(celsius(67), celsius(75))
        assert found.power_ratio(celsius(67), celsius(115)) > found.power_ratio(celsius(67), celsius(75))
        assert found.capacity_ratio(celsius(67), celsius(95), 1.2) > found.capacity_ratio(celsius(67), celsius(95), 0.8)
    heating = rating_curve("heat pump", "heating")
    assert heating.capacity_ratio(celsius(70), celsius(47)) == pytest.approx(1, abs=0.03)
    assert heating.capacity_ratio(celsius(70), celsius(17)) < 0.75


def test_arrays_and_scalars_agree_and_an_air_conditioner_does_not_heat():
    found = rating_curve("air conditioner", "cooling")
    both = found.capacity_ratio(celsius([60, 67]), celsius([80, 95]), np.array([0.9, 1.0]))
    assert both[1] == found.capacity_ratio(celsius(67), celsius(95), 1.0)
    assert isinstance(found.capacity_ratio(19.0, 35.0), float)
    assert rating_curve("air conditioner", "heating") is None
