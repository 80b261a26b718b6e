"""Run an array kernel in blocks, so that its temporaries stay in the processor's cache.

Covers broadcasting, scalar in and scalar out, and threads for large arrays. numpy releases the
interpreter lock inside its loops, so plain threads are enough. ``AIRSIDE_THREADS`` limits them.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import wraps
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Number = float | Array

# 4,096 float64 values are 32 KiB: a dozen temporaries fit a second-level cache.
BLOCK_SIZE = 4096
# Below this many values a thread costs more than it saves.
THREADED_SIZE = 131_072


def thread_count() -> int:
    """Threads for large arrays: ``AIRSIDE_THREADS``, else the processors, at most 8."""
    text = os.environ.get("AIRSIDE_THREADS", "")
    if text.isdigit() and int(text) > 0:
        return int(text)
    return min(os.cpu_count() or 1, 8)


def blockwise(kernel: Callable[..., Any], *arguments: Any, outputs: int = 1) -> Any:
    """Apply ``kernel`` to broadcast arguments, block by block.

    Parameters
    ----------
    kernel : callable
        Takes flat float64 arrays of one length (or length 1), returns ``outputs`` arrays.
    *arguments : float or array
        Broadcast against each other.
    outputs : int
        Number of arrays that the kernel returns.

    Returns
    -------
    float or array, or a tuple of them
        Floats where every argument is a scalar.
    """
    arrays = [np.asarray(a, dtype=np.float64) for a in arguments]
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    size = int(np.prod(shape, dtype=np.int64))
    # Single values stay single: the kernel broadcasts them without a copy of full length.
    flat = [
        a.reshape(1) if a.size == 1 else np.ascontiguousarray(np.broadcast_to(a, shape)).reshape(-1)
        for a in arrays
    ]
    if size <= BLOCK_SIZE:
        with np.errstate(all="ignore"):
            got = kernel(*flat)
        parts = (got,) if outputs == 1 else tuple(got)
        results = [np.broadcast_to(p, (size,)).reshape(shape) if p.size != size else p.reshape(shape) for p in parts]
    else:
        results = [np.empty(size) for _ in range(outputs)]

        def run(start: int, stop: int) -> None:
            # The error state belongs to a thread, so each sets its own.
            with np.errstate(all="ignore"):
                for low in range(start, stop, BLOCK_SIZE):
                    high = min(low + BLOCK_SIZE, stop)
                    got = kernel(*(a if a.size == 1 else a[low:high] for a in flat))
                    for result, part in zip(results, (got,) if outputs == 1 else got, strict=True):
                        result[low:high] = part

        threads = thread_count() if size >= THREADED_SIZE else 1
        if threads == 1:
            run(0, size)
        else:
            edges = [size * i // threads for i in range(threads + 1)]
            with ThreadPoolExecutor(threads) as pool:
                list(pool.map(run, edges[:-1], edges[1:]))
        results = [r.reshape(shape) for r in results]
    if shape == ():
        results = [float(r) for r in results]  # type: ignore[misc]
    return results[0] if outputs == 1 else tuple(results)


def array_kernel(kernel: Callable[..., Any]) -> Callable[..., Any]:
    """Make a function of flat arrays take scalars and arrays of any shape."""

    @wraps(kernel)
    def broadcast(*arguments: Any) -> Any:
        return blockwise(kernel, *arguments)

    return broadcast
