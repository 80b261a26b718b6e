"""First-order lag of a probe, against numbers worked by hand."""

import math

import pytest

from airside.errors import OutOfRangeError
from airside.instruments.response import part_of_step, shown_after, time_to_show


def test_the_parts_that_everybody_knows():
    # 1 - 1/e, 1 - 1/e², 1 - 1/e³.
    assert part_of_step(60, 60) == pytest.approx(0.632, abs=5e-4)
    assert part_of_step(120, 60) == pytest.approx(0.865, abs=5e-4)
    assert part_of_step(180, 60) == pytest.approx(0.950, abs=5e-4)
    assert part_of_step(0, 60) == 0


def test_time_to_95_percent_is_three_time_constants():
    # ln 20 = 2.9957
    assert time_to_show(0.95, 40) == pytest.approx(40 * 2.9957, rel=1e-4)
    assert time_to_show(0.5, 40) == pytest.approx(40 * math.log(2), rel=1e-12)
    assert time_to_show(0, 40) == 0


def test_a_probe_from_the_room_into_the_supply():
    # 24 °C to 13 °C, one time constant: 24 - 11 * 0.63212 = 17.05
    assert shown_after(90, 90, 24.0, 13.0) == pytest.approx(17.05, abs=0.005)


@pytest.mark.parametrize("part", [0.1, 0.63, 0.99, 0.999])
def test_there_and_back(part):
    assert part_of_step(time_to_show(part, 75), 75) == pytest.approx(part, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: part_of_step(-1, 60), "before the step"),
        (lambda: part_of_step(float("nan"), 60), "before the step"),
        (lambda: part_of_step(1, 0), "expected a number above 0"),
        (lambda: time_to_show(1.0, 60), "never reached"),
        (lambda: time_to_show(-0.1, 60), "never reached"),
        (lambda: time_to_show(0.9, -5), "expected a number above 0"),
        (lambda: time_to_show(0.9, float("inf")), "expected a number above 0"),
    ],
)
def test_what_cannot_be_is_said(call, words):
    with pytest.raises(OutOfRangeError, match=words):
        call()
