"""Offset of two clocks: simulated loggers with known offset and lagging sensors."""

import numpy as np
import pytest
from scipy.signal import lfilter

from airside.errors import OutOfRangeError
from airside.visit.logs.clock import ClockOffset, clock_offset, compare_clocks
from airside.visit.logs.log import ChannelRecord, Log


def cycles(seed):
    """A day of starts and stops, each second, seen by a sensor with a time constant of 40 s."""
    random = np.random.default_rng(seed)
    on, place, state = np.zeros(86400), 0, 0.0
    while place < len(on):
        span = int(random.uniform(600, 2400))
        on[place : place + span] = state
        state, place = 1 - state, place + span
    share = 1 / 41
    return random, np.arange(86400.0), lfilter([share], [1, share - 1], on)


@pytest.mark.parametrize("every", [30, 60])
def test_offset_lies_within_its_certainty(every):
    errors, doubts = [], []
    for seed in range(12):
        random, time, level = cycles(seed)
        true = random.uniform(-400, 400)
        supply = 24 - 10 * level + random.normal(size=len(time)) * 0.05
        power = 2000 * level + random.normal(size=len(time)) * 10
        first, second = np.arange(0, 86400, 60), np.arange(7, 86400, every)
        found = clock_offset(time[first], supply[first], time[second] - true, power[second])
        assert found.count > 20 and found.correlation > 0.6
        errors.append(found.seconds - true)
        doubts.append(found.standard_uncertainty)
    z = np.array(errors) / np.array(doubts)
    # Of 12, all within three standard uncertainties, and most within two.
    assert np.abs(z).max() < 3
    assert (np.abs(z) < 2).mean() > 0.8
    assert max(doubts) < 8


def test_no_transients_in_common():
    random = np.random.default_rng(3)
    time = np.arange(0, 86400, 60.0)
    found = clock_offset(time, random.normal(size=len(time)), time, random.normal(size=len(time)))
    assert not found.found
    assert "cannot be compared: they show no starts or stops in common" in found.sentence("a.csv", "b.csv")
    flat = clock_offset(time, np.ones(len(time)), time, np.ones(len(time)))
    assert flat.count == 0 and not flat.found


def test_one_transient_has_no_certainty():
    time = np.arange(0, 7200, 60.0)
    found = clock_offset(time, (time > 3000) * 1.0, time + 120, (time > 3000) * -5.0)
    assert found.seconds == pytest.approx(-120)
    assert found.count == 1 and np.isnan(found.standard_uncertainty)
    assert "one transient alone: no certainty" in found.sentence("a.csv", "b.csv")


def test_sentence_says_how_to_apply_it():
    said = ClockOffset(83.4, 2.1, 0.94, 31).sentence("a.csv", "b.csv")
    assert said == (
        "The clock of b.csv is 83 s ± 4 s (95 %) behind that of a.csv, by 31 starts and stops (correlation 94 %). It is not "
        'applied; to apply it, write clock_offset = 83 in [log.files."b.csv"].'
    )


def test_too_few_values():
    with pytest.raises(OutOfRangeError, match="at least ten values"):
        clock_offset(np.arange(5.0), np.ones(5), np.arange(5.0), np.ones(5))
    with pytest.raises(OutOfRangeError, match="expected equal lengths"):
        clock_offset(np.arange(20.0), np.ones(5), np.arange(5.0), np.ones(5))


def test_files_of_a_log_are_compared_by_what_moves_together():
    random, time, level = cycles(5)
    rows = np.arange(0, 86400, 60)
    channels = {
        "readings.return.dry_bulb": 24 + random.normal(size=len(rows)) * 0.05,
        "readings.power.total": 2000 * level[rows],
        "readings.supply.dry_bulb": 15 - 10 * np.roll(level, 180)[rows],
    }
    files = {"readings.return.dry_bulb": "a.csv", "readings.power.total": "a.csv", "readings.supply.dry_bulb": "b.csv"}
    records = tuple(ChannelRecord(c, f, "x", "", 0, 1, 60, 9, (), 0, 1) for c, f in files.items())
    (compared,) = compare_clocks(Log(time[rows], channels, 60.0, None, records))
    assert (compared.first_channel, compared.second_channel) == ("readings.power.total", "readings.supply.dry_bulb")
    assert compared.offset.seconds == pytest.approx(-180, abs=15)
    assert "ahead of that of a.csv" in compared.sentence()
    assert compared.sentence().endswith(
        "Seen in power total and supply dry bulb; up to 120 s of it may be that one follows the other late."
    )
    channels["readings.supply.dry_bulb"] = 15 - 10 * np.roll(level, 60)[rows]
    (compared,) = compare_clocks(Log(time[rows], channels, 60.0, None, records))
    assert "no more than sensors may follow late. The clocks may agree." in compared.sentence()


def test_loggers_that_read_in_turn():
    # Steps of one fall on either side of the other's, so that half of the starts give one lag and half the next.
    for seed in range(8):
        random = np.random.default_rng(seed)
        time = np.arange(0, 3 * 86400.0)
        lengths = random.integers(900, 3000, 400)
        on = np.repeat(np.arange(400) % 2, lengths)[: len(time)].astype(float)
        first, second = np.arange(0, len(time), 120), np.arange(60, len(time), 120)
        flow = on[first] * 500 + random.normal(size=len(first)) * 3
        power = on[second] * 2800 + random.normal(size=len(second)) * 10
        found = clock_offset(time[first], flow, time[second] - 420, power)
        assert abs(found.seconds - 420) < 3 * found.standard_uncertainty < 60
