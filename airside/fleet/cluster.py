"""The same work on workers of dask.distributed: a scheduler elsewhere, or processes of this machine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from airside import __version__
from airside.errors import AirsideError
from airside.fleet.parts import Part, part_of
from airside.fleet.sources import System

# How often a system is given to another worker after one has died or failed with it.
RETRIES = 3
# Seconds to wait for a scheduler, and for a worker where there is none.
PATIENCE = 30.0
# Systems that are handed out for each thread: enough that no worker waits, few enough that results do not pile up.
AHEAD = 3


def _distributed() -> Any:
    try:
        import distributed
    except ImportError:
        raise AirsideError('work on several processes needs dask.distributed: pip install "airside[fleet]".') from None
    return distributed


@contextmanager
def client_of(scheduler: str | None, workers: int | None) -> Iterator[Any]:
    """A client of a scheduler, or of worker processes of this machine, one thread each.

    Parameters
    ----------
    scheduler : str or None
        Address, such as ``tcp://10.0.0.5:8786``.
    workers : int or None
        Worker processes, where no scheduler is named.

    Raises
    ------
    AirsideError
        dask.distributed is not installed, no scheduler answers, or it has no workers.
    """
    distributed = _distributed()
    if scheduler is None:
        with (
            distributed.LocalCluster(
                n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
            ) as cluster,
            distributed.Client(cluster) as client,
        ):
            yield client
        return
    try:
        client = distributed.Client(scheduler, timeout=PATIENCE)
    except (OSError, TimeoutError, ValueError) as error:
        raise AirsideError(
            f'no scheduler answers at "{scheduler}" ({type(error).__name__}). Start one with: dask scheduler; it prints its '
            "address."
        ) from None
    with client:
        try:
            client.wait_for_workers(1, timeout=PATIENCE)
        except TimeoutError:
            raise AirsideError(
                f"the scheduler at {scheduler} has no workers. Start some with: dask worker {scheduler} --nthreads 1"
            ) from None
        yield client


def results_of(client: Any, systems: Sequence[System]) -> Iterator[tuple[int, Part]]:
    """Results as they come, each with the system's place in `systems`.

    A system whose worker dies is given to another one.

    Parameters
    ----------
    client : distributed.Client
    systems : sequence of System

    Raises
    ------
    AirsideError
        No worker is left, or a worker has another version of airside.
    """
    wait = _distributed().wait
    places: dict[Any, int] = {}
    waiting = iter(range(len(systems)))

    def hand_out(count: int) -> None:
        for _ in range(count):
            place = next(waiting, None)
            if place is None:
                return
            future = client.submit(part_of, systems[place], pure=False, retries=RETRIES)
            places[future] = place

    try:
        hand_out(max(AHEAD * sum(client.nthreads().values()), 1))
        while places:
            try:
                done = wait(list(places), timeout=PATIENCE, return_when="FIRST_COMPLETED").done
            except TimeoutError:
                if not client.nthreads():
                    raise AirsideError(
                        "no worker is left. What is done is kept: start workers and run the same again."
                    ) from None
                continue
            for future in done:
                place = places.pop(future)
                result = _result(future, systems[place])
                future.release()
                yield place, result
            hand_out(len(done))
    finally:
        client.cancel(list(places))


def _result(future: Any, system: System) -> Part:
    error = future.exception()
    if error is None:
        result: Part = future.result()
        if result.version != __version__:
            raise AirsideError(
                f"a worker has airside {result.version}, this is {__version__}. Install one version on all machines."
            )
        return result
    what = f"{type(error).__name__}: {error}"
    said = f"{system.name}: its workers died or failed again and again ({' '.join(what.split())}). Run again, with more memory."
    return Part(b"", {"system": system.name, "problem": said}, False, __version__)
