"""Run an array kernel in blocks, so that its temporaries stay in the processor's cache.

Covers broadcasting, scalar in and scalar out, and threads for large arrays. numpy releases the
interpreter lock inside its loops, so plain threads are enough. ``AIRSIDE_THREADS`` limits them.
"""

from __future__ import annotations

import inspect
import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache, wraps
from typing import Any, ParamSpec, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Number = float | Array

Parameters = ParamSpec("Parameters")

# 24,576 float64 values are 192 KiB: the few temporaries in use at a time fit a second-level cache.
BLOCK_SIZE = 24_576
# Between two numpy calls only one thread runs: with threads, longer calls weigh more than the cache.
THREADED_BLOCK_SIZE = 131_072
# Below this many values threads cost more than they save.
THREADED_SIZE = 524_288


def thread_count() -> int:
    """Threads for large arrays: ``AIRSIDE_THREADS``, else the processors, at most 8."""
    text = os.environ.get("AIRSIDE_THREADS", "")
    if text.isdigit() and int(text) > 0:
        return int(text)
    return min(os.cpu_count() or 1, 8)


@lru_cache(maxsize=1)
def _pool(threads: int) -> ThreadPoolExecutor:
    """Threads beside the caller's own, kept from call to call."""
    return ThreadPoolExecutor(threads - 1, thread_name_prefix="airside")


if hasattr(os, "register_at_fork"):
    # A child process has none of its parent's threads.
    os.register_at_fork(after_in_child=_pool.cache_clear)


@overload
def blockwise(kernel: Callable[..., Any], *arguments: ArrayLike) -> Number: ...
@overload
def blockwise(kernel: Callable[..., Any], *arguments: ArrayLike, outputs: int) -> tuple[Number, ...]: ...
def blockwise(kernel: Callable[..., Any], *arguments: ArrayLike, outputs: int = 1) -> Number | tuple[Number, ...]:
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
        a.reshape(1) if a.size == 1 else np.ascontiguousarray(np.broadcast_to(a, shape)).reshape(-1) for a in arrays
    ]
    results = [np.empty(size) for _ in range(outputs)]
    threads = thread_count() if size >= THREADED_SIZE else 1

    def run(start: int, stop: int, block: int) -> None:
        # The error state belongs to a thread, so each sets its own.
        with np.errstate(all="ignore"):
            for low in range(start, stop, block):
                high = min(low + block, stop)
                got = kernel(*(a if a.size == 1 else a[low:high] for a in flat))
                for result, part in zip(results, (got,) if outputs == 1 else got, strict=True):
                    result[low:high] = part

    if threads == 1:
        run(0, size, BLOCK_SIZE)
    else:
        share = math.ceil(size / threads)
        block = math.ceil(share / math.ceil(share / THREADED_BLOCK_SIZE))
        waiting = [_pool(threads).submit(run, low, min(low + share, size), block) for low in range(share, size, share)]
        run(0, share, block)
        for part in waiting:
            part.result()
    shaped: list[Number] = [float(r[0]) for r in results] if shape == () else [r.reshape(shape) for r in results]
    return shaped[0] if outputs == 1 else tuple(shaped)


def array_kernel(kernel: Callable[Parameters, Number]) -> Callable[Parameters, Number]:
    """Make a function of flat arrays take scalars and arrays of any shape."""
    signature = inspect.signature(kernel)

    @wraps(kernel)
    def broadcast(*arguments: Parameters.args, **named: Parameters.kwargs) -> Number:
        return blockwise(kernel, *signature.bind(*arguments, **named).args)

    return broadcast


def any_outside(values: ArrayLike, low: float, high: float) -> bool:
    """Whether any value lies outside ``low`` to ``high``; NaN does not."""
    array = np.asarray(values)
    if not array.size or (array.min() >= low and array.max() <= high):
        return False
    # Only NaN or a value outside comes here: tell them apart.
    return bool(((array < low) | (array > high)).any())
