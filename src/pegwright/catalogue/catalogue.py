"""The catalogue run: every size on every board with every yarn, resumed where it was broken off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.catalogue.job import Job, key_of, portable
from pegwright.catalogue.journal import Journal
from pegwright.catalogue.row import Row
from pegwright.catalogue.workers import Done, in_this_process, on_cluster, on_processes
from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import BadInput, BadUse
from pegwright.loom.board import Loom
from pegwright.making import Progress
from pegwright.yarn.yarn import Yarn

if TYPE_CHECKING:
    from distributed import Client

__all__ = ["MOST_WORKERS", "catalogue"]

MOST_WORKERS = 256


def catalogue(
    design: Design,
    boards: Sequence[Loom],
    yarns: Sequence[Yarn],
    sizes: Sequence[SizeRequest] | None = None,
    *,
    workers: int = 1,
    client: Client | None = None,
    progress: Progress | None = None,
    resume: Path | None = None,
) -> tuple[Row, ...]:
    """A design in every size on every board with every yarn.

    Rows come in the order of boards, then yarns, then sizes, whoever worked them out; the same
    input gives the same rows.  What does not fit is a row too, with its reason.

    :param sizes: the design's own where it is None.
    :param workers: processes to share the work among; 1 does it in this one.
    :param client: a Dask client, whose cluster does the work instead.
    :param progress: told of every job that is done.
    :param resume: a journal: jobs that it holds are not worked out again, and every job done is
        added to it.
    :raises BadInput: for boards or yarns of the same name, or a file that is no journal.
    :raises BadUse: for a number of workers that cannot be.
    :raises WorkersLost: where a worker ended before its work was done.
    """
    if not 1 <= workers <= MOST_WORKERS:
        raise BadUse(f"the work is done by 1 to {MOST_WORKERS} workers", given=workers)
    _refuse_twice([board.name for board in boards], "boards")
    _refuse_twice([yarn.label for yarn in yarns], "yarns")
    wanted = portable(design if sizes is None else replace(design, sizes=tuple(sizes)))
    jobs = [Job(wanted, board, yarn) for board in boards for yarn in yarns]
    keys = [key_of(job) for job in jobs]
    with Journal(resume) as journal:
        todo = [i for i, key in enumerate(keys) if journal.done(key) is None]
        done = len(jobs) - len(todo)
        if progress is not None:
            progress("combinations", done, len(jobs))
        for index, rows in _ways([jobs[i] for i in todo], workers, client):
            journal.add(keys[todo[index]], rows)
            done += 1
            if progress is not None:
                progress("combinations", done, len(jobs))
        return tuple(row for key in keys for row in journal.done(key) or ())


def _ways(jobs: Sequence[Job], workers: int, client: Client | None) -> Done:
    if not jobs:
        return iter(())
    if client is not None:
        return on_cluster(jobs, client)
    if workers == 1 or len(jobs) == 1:
        return in_this_process(jobs)
    return on_processes(jobs, min(workers, len(jobs)))


def _refuse_twice(names: Sequence[str], what: str) -> None:
    for i, name in enumerate(names):
        if name in names[:i]:
            raise BadInput(
                f"two of the {what} have the same name", given=name, hint="name them apart"
            )
