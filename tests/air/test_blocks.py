"""Kernels run in blocks and threads: the answer must not depend on either."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from airside.air import blocks, properties
from airside.air.blocks import any_outside, array_kernel, blockwise


def states(n: int) -> tuple[Any, Any, Any]:
    random = np.random.default_rng(6)
    t, p = random.uniform(-40.0, 60.0, n), random.uniform(60e3, 110e3, n)
    return t, properties.humidity_ratio_from_relative_humidity(t, random.uniform(0.01, 1.0, n), p), p


def test_blocks_and_threads_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    t, w, p = states(5_000)
    whole = properties.wet_bulb(t, w, p)
    for size, threads in ((1, "1"), (7, "1"), (999, "1"), (999, "2"), (5_000, "3")):
        n = 50 if size == 1 else len(t)
        monkeypatch.setattr(blocks, "BLOCK_SIZE", size)
        monkeypatch.setattr(blocks, "THREADED_BLOCK_SIZE", size)
        monkeypatch.setattr(blocks, "THREADED_SIZE", 100)
        monkeypatch.setenv("AIRSIDE_THREADS", threads)
        # First guesses are made for the phase that most of a block is in, hence not to the last bit.
        np.testing.assert_allclose(properties.wet_bulb(t[:n], w[:n], p[:n]), whole[:n], rtol=0, atol=2e-10)
        np.testing.assert_allclose(
            properties.dew_point(w[:n], p[:n]), properties.dew_point(w, p)[:n], rtol=0, atol=2e-10
        )


def test_errors_come_out_of_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "THREADED_SIZE", 10)
    monkeypatch.setenv("AIRSIDE_THREADS", "2")

    def kernel(x: Any) -> Any:
        if x.max() > 90:
            raise ArithmeticError("in a thread")
        return x

    with pytest.raises(ArithmeticError, match="in a thread"):
        blockwise(kernel, np.arange(100.0))


def test_large_arrays_raise_with_the_first_index(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "THREADED_SIZE", 10)
    rh = np.full(100_000, 0.5)
    rh[[70_000, 80_000]] = 1.5
    with pytest.raises(properties.ImpossibleStateError) as caught:
        properties.humidity_ratio_from_relative_humidity(20.0, rh, 90e3)
    assert (caught.value.count, caught.value.first_index) == (2, (70_000,))


def test_several_outputs() -> None:
    total, difference = blockwise(lambda a, b: (a + b, a - b), np.arange(3.0), 1.0, outputs=2)
    assert total.tolist() == [1.0, 2.0, 3.0]
    assert difference.tolist() == [-1.0, 0.0, 1.0]
    assert blockwise(lambda a, b: (a + b, a - b), 2.0, 1.0, outputs=2) == (3.0, 1.0)


def test_inputs_are_left_alone() -> None:
    t, w, p = states(1_000)
    before = [a.copy() for a in (t, w, p)]
    for array in (t, w, p):
        array.flags.writeable = False
    properties.wet_bulb(t, w, p)
    properties.dew_point(w, p)
    properties.saturation_pressure(t)
    for array, copy in zip((t, w, p), before, strict=True):
        assert (array == copy).all()


def test_strided_and_integer_arrays() -> None:
    t = np.arange(0, 40, dtype=np.int64).reshape(5, 8)[:, ::2]
    assert properties.saturation_pressure(t).shape == (5, 4)
    assert properties.saturation_pressure(t)[3, 2] == properties.saturation_pressure(float(t[3, 2]))


def test_named_arguments() -> None:
    @array_kernel
    def less(a: Any, b: Any) -> Any:
        """Difference."""
        return a - b

    assert less(b=1.0, a=3.0) == 2.0
    assert less.__doc__ == "Difference."


def test_any_outside() -> None:
    assert not any_outside([], 0, 1)
    assert not any_outside([0.0, 1.0, np.nan], 0, 1)
    assert any_outside([np.nan, 2.0], 0, 1)
    assert any_outside(-1.0, 0, 1)


@pytest.mark.parametrize(("text", "count"), [("3", 3), ("1", 1)])
def test_thread_count(monkeypatch: pytest.MonkeyPatch, text: str, count: int) -> None:
    monkeypatch.setenv("AIRSIDE_THREADS", text)
    assert blocks.thread_count() == count


@pytest.mark.parametrize("text", ["", "0", "many", "-2"])
def test_thread_count_by_default(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("AIRSIDE_THREADS", text)
    assert 1 <= blocks.thread_count() <= 8
