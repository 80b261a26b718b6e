"""Designations however typed, compositions, critical points."""

from __future__ import annotations

import pytest

from airside.errors import AirsideError
from airside.refrigerant.models import critical_point, state_of
from airside.refrigerant.names import REFRIGERANTS, Refrigerant, find_refrigerant, safety_caution
from airside.refrigerant.saturation import bubble_pressure


def spellings(name: str) -> list[str]:
    bare = name.removeprefix("R-")
    return [
        name, name.lower(), name.upper(), f"R{bare}", f"r{bare}", f"R {bare}", f"  r - {bare} ", bare, bare.lower(),
        bare.upper(), f"R_{bare}", f"R–{bare}", f"Refrigerant {bare}", f"HFC-{bare}", " ".join(f"R{bare}"),
    ]  # fmt: skip


def test_every_spelling(refrigerant: Refrigerant) -> None:
    for spelling in spellings(refrigerant.name):
        assert find_refrigerant(spelling) is refrigerant, spelling
    assert find_refrigerant(refrigerant) is refrigerant


def test_propane_by_its_name() -> None:
    assert find_refrigerant("Propane").name == "R-290"


@pytest.mark.parametrize(
    ("typed", "nearest"),
    [("R-410", "R-410A"), ("R410B", "R-410A"), ("R-454", "R-454B"), ("R134", "R-134a"), ("R-1234ze", "R-1234yf")],
)
def test_unknown_names_the_nearest(typed: str, nearest: str) -> None:
    with pytest.raises(AirsideError) as caught:
        find_refrigerant(typed)
    before, after = str(caught.value).split("Did you mean")
    assert typed in before
    assert nearest in after.split("?")[0]


@pytest.mark.parametrize("typed", ["", "   ", "water", "R", "?", None, 410])
def test_unknown_lists_all(typed: object) -> None:
    with pytest.raises(AirsideError, match=r"is not known\..*Known are R-22, .*R-1234yf\.$"):
        find_refrigerant(typed)  # type: ignore[arg-type]


def test_composition_is_that_of_coolprop(refrigerant: Refrigerant) -> None:
    """CoolProp knows the blends by their designation: a source apart from the memory that wrote ours."""
    if not refrigerant.mass_fractions:
        return
    from CoolProp.CoolProp import AbstractState

    theirs = AbstractState("HEOS", f"{refrigerant.name.replace('-', '')}.mix")
    ours = state_of(refrigerant)
    expected = dict(zip(theirs.fluid_names(), theirs.get_mole_fractions(), strict=True))
    found = dict(zip(ours.fluid_names(), ours.get_mole_fractions(), strict=True))
    assert found == pytest.approx(expected, abs=2e-4)
    assert sum(refrigerant.mass_fractions) == pytest.approx(1.0, abs=1e-12)


def test_critical_point_is_the_models(refrigerant: Refrigerant) -> None:
    if len(refrigerant.fluids) > 3:
        # The full search takes a quarter of a minute; the end of the saturation curve, going on straight, must do.
        celsius = refrigerant.critical_temperature - 5.0
        highest, before = (float(bubble_pressure(refrigerant, celsius - step)) for step in (0.0, 1.0))
        assert highest + 5.0 * (highest - before) == pytest.approx(refrigerant.critical_pressure, rel=0.01)
        return
    temperature, pressure = critical_point(refrigerant)
    assert refrigerant.critical_temperature == pytest.approx(temperature, abs=0.01)
    assert refrigerant.critical_pressure == pytest.approx(pressure, rel=1e-4)


def test_flammable_ones_carry_a_caution() -> None:
    flammable = {n for n in REFRIGERANTS if safety_caution(n)}
    # Safety groups A2L and A3, ASHRAE 34, from memory.
    assert flammable == {"R-32", "R-290", "R-452B", "R-454B", "R-454C", "R-1234yf"}
    assert "A3" in safety_caution("r290")
    assert safety_caution("R410A") == ""
