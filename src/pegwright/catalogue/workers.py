"""Who does the jobs: this process, processes beside it, or a Dask cluster.

Each way takes jobs and gives ``(index, rows)`` as they are done, in any order.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import connection, get_context, parent_process
from typing import TYPE_CHECKING, Any

from pegwright.catalogue.job import Job, work
from pegwright.errors import BadUse, PegwrightError

if TYPE_CHECKING:
    from distributed import Client

__all__ = ["WorkersLost", "in_this_process", "joined", "on_cluster", "on_processes"]

Done = Iterator[tuple[int, list[dict[str, Any]]]]

_ANSWER_S = 10
"""How long a cluster has to answer, in seconds."""

_AHEAD = 4
"""Jobs that are handed out for each worker, so that none waits and none hoards."""


class WorkersLost(PegwrightError):
    """The workers ended before their work was done."""


def in_this_process(jobs: Sequence[Job]) -> Done:
    """One job after the other."""
    for index, job in enumerate(jobs):
        yield index, work(job)


def on_processes(jobs: Sequence[Job], workers: int) -> Done:
    """Several jobs at once, each in a process that was started afresh.

    A program that calls this must be safe to be imported by its own workers (its start guarded by
    ``if __name__ == "__main__"``).

    :raises WorkersLost: where a worker ended before its work was done.
    """
    pool = ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_end_with_parent
    )
    try:
        yield from _handed_out(pool, jobs, _AHEAD * workers)
    except BrokenProcessPool:
        raise WorkersLost(
            "a worker ended before its work was done",
            hint="run it again; with a journal, what is done is kept",
        ) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _handed_out(pool: ProcessPoolExecutor, jobs: Sequence[Job], ahead: int) -> Done:
    waiting = iter(enumerate(jobs))
    running: dict[Future[list[dict[str, Any]]], int] = {}
    while True:
        while len(running) < ahead and (following := next(waiting, None)) is not None:
            running[pool.submit(work, following[1])] = following[0]
        if not running:
            return
        ready, _ = wait(running, return_when=FIRST_COMPLETED)
        for future in ready:
            yield running.pop(future), future.result()


def _end_with_parent() -> None:
    """See to it that this worker ends when the process that started it is killed."""
    parent = parent_process()
    if parent is None:
        return

    def watch() -> None:
        connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, name="pegwright-parent-watch", daemon=True).start()


@contextmanager
def joined(address: str | None) -> Iterator[Client | None]:
    """A client of the cluster whose scheduler has this address, such as ``tcp://host:8786``.

    :param address: None for no cluster, which gives no client.
    :raises BadUse: where Dask is not installed, or no scheduler answers.
    """
    if address is None:
        yield None
        return
    distributed = _dask()
    try:
        client = distributed.Client(address, timeout=_ANSWER_S)
    except (OSError, ValueError, TimeoutError) as wrong:
        raise BadUse(
            "no cluster answers at this address",
            given=address,
            hint=f"start one (dask scheduler, dask worker) and name its scheduler ({wrong})",
        ) from None
    try:
        yield client
    finally:
        client.close()


def _dask() -> Any:
    """The part of Dask that speaks with clusters.

    :raises BadUse: where it is not installed.
    """
    try:
        import distributed
    except ImportError:
        raise BadUse(
            "a cluster needs Dask, which is not installed",
            hint='install "pegwright[cluster]", or give a number of workers instead',
        ) from None
    return distributed


def on_cluster(jobs: Sequence[Job], client: Client) -> Done:
    """Several jobs at once on a Dask cluster, whose workers must have the same Pegwright.

    A job whose worker is lost is given to another by the scheduler, as often as that allows.
    """
    workers = max(1, sum(client.nthreads().values()))  # type: ignore[no-untyped-call]
    waiting = iter(enumerate(jobs))
    running: dict[Any, int] = {}

    def hand_out() -> Any:
        following = next(waiting, None)
        if following is None:
            return None
        future = client.submit(work, following[1], pure=False)
        running[future] = following[0]
        return future

    first = [f for _ in range(_AHEAD * workers) if (f := hand_out()) is not None]
    ready = _dask().as_completed(first)
    try:
        for future in ready:
            index, rows = running.pop(future), future.result()
            following = hand_out()
            if following is not None:
                ready.add(following)
            yield index, rows
    finally:
        client.cancel(list(running))  # type: ignore[no-untyped-call]
