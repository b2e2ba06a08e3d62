"""Long work: begun with one request, watched with others, stopped when the maker says so.

A **job** runs in a thread of its own.  It tells how far it has come (``tell``), and asks whether it
should stop (``stopping``); work that only tells is stopped at its next telling.  Its result is kept
until it is asked for and for some time after, a few results at most.  What a job does is none of
this module's business.
"""

from __future__ import annotations

import logging
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Depends, FastAPI, Path
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from pegwright.errors import NotPossible, PegwrightError
from pegwright.studio.answers import NOTHING_ELSE, file_answer
from pegwright.studio.refusals import ANSWERS, ErrorShape, NotThere

__all__ = ["FileResult", "Job", "JobId", "JobView", "Jobs", "TheJobs", "jobs_of", "router"]

MOST_RUNNING = 3
MOST_KEPT = 12
_STOP_WAITS_S = 5.0


class JobState(StrEnum):
    """How a job stands."""

    RUNNING = "running"
    STOPPED = "stopped"
    FAILED = "failed"
    DONE = "done"


class JobView(BaseModel):
    """How far a job has come.

    :param what: what is being done, ``done`` of ``of`` parts; ``of`` is 0 where nobody can say.
    :param seconds: since it began.
    :param refused: why it failed, in the one shape of errors.
    """

    id: str
    state: JobState
    what: str
    done: int
    of: int
    seconds: float
    refused: ErrorShape | None = None


@dataclass(frozen=True, slots=True)
class FileResult:
    """A result that is a file to take away."""

    data: bytes = field(repr=False)
    media_type: str
    name: str


Result = BaseModel | dict[str, Any] | FileResult
"""What a job makes."""


class _Stopped(Exception):
    """The maker asked for an end."""


class Job:
    """One piece of long work; what it is given to tell with."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.id = secrets.token_hex(8)
        self._clock = clock
        self._began = clock()
        self._ended: float | None = None
        self._stop = threading.Event()
        self._state = JobState.RUNNING
        self._told = ("", 0, 0)
        self._refused: dict[str, Any] | None = None
        self._thread: threading.Thread | None = None
        self.result: Result | None = None

    # --- for the work ----------------------------------------------------------------------------

    def tell(self, what: str, done: int = 0, of: int = 0) -> None:
        """Say how far the work is; this ends it where the maker asked for an end."""
        self._told = (what, done, of)
        if self._stop.is_set():
            raise _Stopped

    def say(self, what: str, done: int = 0, of: int = 0) -> None:
        """Say how far the work is, without ending it: for work that asks ``stopping`` itself."""
        self._told = (what, done, of)

    def stopping(self) -> bool:
        """Whether the maker asked for an end; a search then gives the best that it has."""
        return self._stop.is_set()

    # --- for the studio --------------------------------------------------------------------------

    @property
    def state(self) -> JobState:
        """How it stands."""
        return self._state

    def start(self, work: Callable[[Job], Result]) -> None:
        """Begin."""
        self._thread = threading.Thread(target=self._run, args=(work,), name="job", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ask for an end."""
        self._stop.set()

    def wait(self, seconds: float) -> None:
        """Until it has ended, or for so long."""
        if self._thread is not None:
            self._thread.join(seconds)

    def view(self) -> JobView:
        """How far it has come."""
        what, done, of = self._told
        seconds = (self._clock() if self._ended is None else self._ended) - self._began
        refused = None if self._refused is None else ErrorShape.model_validate(self._refused)
        return JobView(
            id=self.id, state=self._state, what=what, done=done, of=of, seconds=round(seconds, 1),
            refused=refused,
        )  # fmt: skip

    def _run(self, work: Callable[[Job], Result]) -> None:
        state = JobState.FAILED
        self._refused = PegwrightError(
            "the work broke off", hint="try it again; what you have kept is as it was"
        ).as_data()
        try:
            self.result = work(self)
            state, self._refused = JobState.DONE, None
        except _Stopped:
            state, self._refused = JobState.STOPPED, None
        except PegwrightError as refused:
            self._refused = refused.as_data()
        except Exception:  # told on the page as broken off, in full on the terminal
            logging.getLogger(__name__).exception("long work broke off")
        finally:
            self._ended = self._clock()
            self._state = state


class Jobs:
    """The jobs of one run of the studio."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._jobs: OrderedDict[str, Job] = OrderedDict()

    def start(self, work: Callable[[Job], Result]) -> JobView:
        """Begin a job.

        :raises NotPossible: where as many are running as can.
        """
        with self._lock:
            running = [job for job in self._jobs.values() if job.state is JobState.RUNNING]
            if len(running) >= MOST_RUNNING:
                raise NotPossible(
                    "other long work is still going on",
                    given=f"{len(running)} pieces of it",
                    hint="wait for it, or stop it where it was begun",
                )
            job = Job()
            self._jobs[job.id] = job
            for old in [j for j in self._jobs.values() if j.state is not JobState.RUNNING]:
                if len(self._jobs) > MOST_KEPT:
                    del self._jobs[old.id]
            job.start(work)
        return job.view()

    def get(self, job_id: str) -> Job:
        """A job.

        :raises NotThere: where it is not known, or not any more.
        """
        with self._lock:
            job = self._jobs.get(job_id)
        if job is None:
            raise NotThere("this work is not known any more", given=job_id, hint="begin it again")
        return job

    def close(self) -> None:
        """Ask all of them to end, and wait a little."""
        with self._lock:
            jobs = list(self._jobs.values())
        for job in jobs:
            job.stop()
        until = time.monotonic() + _STOP_WAITS_S
        for job in jobs:
            job.wait(max(0.0, until - time.monotonic()))


def jobs_of(request: Request) -> Jobs:
    """The jobs of the run of the studio that answers a request."""
    state = request.app.state
    if not hasattr(state, "jobs"):
        state.jobs = Jobs()
    jobs: Jobs = state.jobs
    return jobs


TheJobs = Annotated[Jobs, Depends(jobs_of)]
JobId = Annotated[str, Path(pattern="^[0-9a-f]{16}$")]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """No work outlives the studio."""
    yield
    if hasattr(app.state, "jobs"):
        app.state.jobs.close()


router = APIRouter(prefix="/api/jobs", tags=["jobs"], responses=ANSWERS, lifespan=_lifespan)


@router.get("/{job_id}")
def how_far(job_id: JobId, jobs: TheJobs) -> JobView:
    """How far a job has come."""
    return jobs.get(job_id).view()


@router.post("/{job_id}/stop")
def stop(job_id: JobId, jobs: TheJobs) -> JobView:
    """Ask a job to end; a search then gives the best that it has found."""
    job = jobs.get(job_id)
    job.stop()
    job.wait(0.2)
    return job.view()


@router.get("/{job_id}/result", response_class=Response)
def result(job_id: JobId, jobs: TheJobs) -> Response:
    """What a job has made: data, or a file to take away."""
    found = jobs.get(job_id).result
    match found:
        case None:
            raise NotThere("there is no result", hint="wait until it is done")
        case FileResult():
            return file_answer(found.data, found.media_type, found.name, policy=NOTHING_ELSE)
        case BaseModel():
            return JSONResponse(found.model_dump(mode="json", by_alias=True))
    return JSONResponse(found)
