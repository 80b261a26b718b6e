"""Candidate causes: each pattern ranks its own cause first; doubt takes it back."""

from __future__ import annotations

import json

import numpy as np
import pytest

from airside.errors import EvidenceError
from airside.refrigerant.cause_rules import CAUSES, READINGS, THRESHOLDS, expected_direction
from airside.refrigerant.causes import moved, what_readings_say

DEVICES = ("fixed orifice", "thermostatic valve")
SIZE = {"up": 3.0, "down": -3.0}


def pattern(cause: str, device: str) -> dict[str, tuple[float, float]]:
    """Every reading moved three thresholds where it must move, not at all elsewhere, known to a third of one."""
    return {
        r: (SIZE.get(expected_direction(cause, r, device), 0.0) * THRESHOLDS[r], THRESHOLDS[r] / 3) for r in READINGS
    }


@pytest.mark.parametrize("device", DEVICES)
@pytest.mark.parametrize("cause", [c.name for c in CAUSES])
def test_own_pattern_ranks_first(cause: str, device: str) -> None:
    findings = what_readings_say(pattern(cause, device), device)
    assert findings.matches[0].cause.name == cause
    assert findings.matches[0].match > 0.85
    assert findings.matches[0].fits
    assert findings.matches[0].against == ()
    assert sum(m.share for m in findings.matches) == pytest.approx(1.0)
    assert [m.share for m in findings.matches] == sorted((m.share for m in findings.matches), reverse=True)


@pytest.mark.parametrize("device", DEVICES)
def test_great_doubt_tells_nothing(device: str) -> None:
    vague = {r: (v, 1000.0) for r, (v, _) in pattern("undercharge", device).items()}
    findings = what_readings_say(vague, device)
    for match in findings.matches:
        assert not match.fits
        assert match.fitting == match.against == ()
        assert match.share == pytest.approx(1 / len(CAUSES), abs=0.01)
    assert findings.sentences()[0].startswith("No cause fits well")
    certain = what_readings_say(pattern("undercharge", device), device)
    assert certain.matches[0].share > 3 / len(CAUSES)


def test_a_visit_with_low_charge_by_hand() -> None:
    """Superheat 6 K up, subcooling 3 K down, both known to 0.5 K: the chances are near 1, so match (0.9 + 0.1/3)."""
    findings = what_readings_say({"superheat": (6.0, 0.5), "subcooling": (-3.5, 0.5)}, "fixed orifice")
    best = findings.matches[0]
    assert best.cause.name == "undercharge"
    assert best.match == pytest.approx(0.9 + 0.1 / 3, abs=1e-3)
    assert best.fitting == ("superheat", "subcooling")
    said = findings.sentence(best, "IP")
    assert said.startswith(
        "Undercharge (93 % match): what fits is superheat 10.8 °F above expectation, subcooling 6.3 °F"
    )
    assert "Worth a look next: signs of a leak" in said
    assert any("from memory" in n for n in findings.notes())


def test_the_published_rules_of_the_fixed_orifice() -> None:
    """Rossi and Braun (1997): the pair of superheat and subcooling that tells charge, restriction and airflow apart."""
    pairs = {
        c.name: tuple(expected_direction(c.name, r, "fixed orifice") for r in ("superheat", "subcooling"))
        for c in CAUSES
    }
    assert pairs["undercharge"] == ("up", "down")
    assert pairs["liquid_line_restriction"] == ("up", "up")
    assert pairs["overcharge"] == ("down", "up")
    assert pairs["fouled_outdoor_coil"] == ("down", "down")
    # Only low airflow makes the air's temperature drop larger.
    drops = {c.name for c in CAUSES if expected_direction(c.name, "temperature_drop", "fixed orifice") == "up"}
    assert drops == {"low_airflow"}


def test_draws_and_pairs_agree() -> None:
    draws = np.random.default_rng(5).normal(4.0, 2.0, 200_000)
    by_draws, by_pair = moved("superheat", draws), moved("superheat", (4.0, 2.0))
    assert by_draws is not None and by_pair is not None
    # By hand, threshold h = 2.778: up (Phi(9.889/2) - Phi(-1.222/2)) / (4 h) = 0.7294 / 11.11 = 0.06565;
    # unchanged (Phi(-1.222/2) - Phi(-6.778/2)) / (2 h) = 0.2702 / 5.556 = 0.04864; down 0.00035 / 11.11 = 0.00003.
    assert by_pair.up == pytest.approx(0.06565 / 0.11432, abs=1e-3)
    assert by_pair.unchanged == pytest.approx(0.04864 / 0.11432, abs=1e-3)
    assert by_draws.up == pytest.approx(by_pair.up, abs=5e-3)
    assert by_draws.down == pytest.approx(by_pair.down, abs=5e-3)
    assert by_pair.up + by_pair.down + by_pair.unchanged == pytest.approx(1.0)


def test_no_doubt_at_all() -> None:
    for value, direction in ((20.0, "up"), (-20.0, "down"), (0.0, "unchanged"), (2.0, "unchanged")):
        found = moved("superheat", (value, 0.0))
        assert found is not None
        assert found.direction == direction
        assert getattr(found, direction) == pytest.approx(1.0)


def test_missing_readings() -> None:
    few = what_readings_say(
        {"superheat": (6.0, 1.0), "subcooling": None, "temperature_drop": (np.nan, 1.0)}, DEVICES[0]
    )
    assert few.matches == ()
    assert next(iter(few.notes())) == "Fewer than 2 readings have an expected value; nothing is ranked."
    some = what_readings_say(
        {"superheat": np.array([6.0, np.nan, 6.5]), "subcooling": np.array([-3.0, -4.0])}, DEVICES[0]
    )
    assert len(some.moved) == 2
    assert moved("superheat", np.array([np.nan])) is None


def test_alike_causes_are_said_to_be_alike() -> None:
    given = {"superheat": (0.0, 0.5), "subcooling": (5.0, 0.5), "condensing_over_outdoor": (6.0, 0.5)}
    findings = what_readings_say(given, "thermostatic valve")
    assert {m.cause.name for m in findings.matches[:2]} == {"overcharge", "non_condensable_gas"}
    assert any("do not tell" in s for s in findings.sentences())


def test_no_sentence_orders_work() -> None:
    for cause in CAUSES:
        for verb in ("add ", "remove ", "replace", "recover", "clean the", "charge the"):
            assert verb not in cause.next_look.casefold()


def test_exports() -> None:
    findings = what_readings_say(pattern("undercharge", DEVICES[0]), DEVICES[0])
    kept = json.loads(json.dumps(findings.to_dict()))
    assert kept["causes"][0]["cause"] == "undercharge"
    assert kept["deviations"][0]["reading"] == "superheat"
    assert "Undercharge, match" in str(findings)
    assert "<table>" in findings._repr_html_()


def test_bad_names() -> None:
    with pytest.raises(EvidenceError, match='"superheet" is no reading'):
        what_readings_say({"superheet": (1.0, 1.0)}, DEVICES[0])
    with pytest.raises(EvidenceError, match='metering device "piston"'):
        what_readings_say({}, "piston")
