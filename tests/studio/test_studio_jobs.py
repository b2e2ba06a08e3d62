"""Long work in the studio: told of, stopped, refused, and its result."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.requests import Request
from starlette.testclient import TestClient

from pegwright.errors import BadInput, NotPossible
from pegwright.studio.jobs import MOST_KEPT, MOST_RUNNING, FileResult, Job, Jobs, JobState, jobs_of
from pegwright.studio.refusals import NotThere


def ended(job: Job) -> Job:
    job.wait(10)
    assert job.state is not JobState.RUNNING
    return job


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


def test_work_tells_how_far_it_is_and_gives_its_result(jobs: Jobs) -> None:
    go_on = threading.Event()
    told = threading.Event()

    def work(job: Job) -> dict[str, int]:
        job.tell("rows", 3, 8)
        told.set()
        go_on.wait(10)
        return {"rows": 8}

    begun = jobs.start(work)
    assert told.wait(10)
    view = jobs.get(begun.id).view()
    assert (view.state, view.what, view.done, view.of) == ("running", "rows", 3, 8)
    go_on.set()
    assert ended(jobs.get(begun.id)).result == {"rows": 8}
    assert jobs.get(begun.id).view().state == "done"


def test_work_that_only_tells_is_stopped_at_its_next_telling(jobs: Jobs) -> None:
    reached: list[int] = []

    def work(job: Job) -> dict[str, int]:
        for number in range(1, 1_000_000):
            reached.append(number)
            job.tell("cards", number, 1_000_000)
            time.sleep(0.001)
        return {}

    job = jobs.get(jobs.start(work).id)
    while not reached:
        time.sleep(0.001)
    job.stop()
    assert ended(job).state is JobState.STOPPED
    assert job.result is None
    assert len(reached) < 100_000


def test_a_search_that_asks_gives_its_best_when_stopped(jobs: Jobs) -> None:
    def work(job: Job) -> dict[str, int]:
        best = 0
        while not job.stopping():
            best += 1
            job.say(f"{best} rows so far")
            time.sleep(0.001)
        return {"best": best}

    job = jobs.get(jobs.start(work).id)
    while not job.view().what:
        time.sleep(0.001)
    job.stop()
    assert ended(job).state is JobState.DONE
    assert isinstance(job.result, dict)
    assert job.result["best"] > 0


def test_a_refusal_is_told_in_the_one_shape(jobs: Jobs) -> None:
    def work(_: Job) -> dict[str, int]:
        raise BadInput("no row fits", given=0, hint="weigh more yarn")

    view = ended(jobs.get(jobs.start(work).id)).view()
    assert view.state == "failed"
    assert view.refused is not None
    assert (view.refused.error, view.refused.try_) == ("no row fits", "weigh more yarn")


def test_work_that_breaks_off_says_so_and_is_told_on_the_terminal(
    jobs: Jobs, caplog: pytest.LogCaptureFixture
) -> None:
    def work(_: Job) -> dict[str, int]:
        raise ZeroDivisionError

    view = ended(jobs.get(jobs.start(work).id)).view()
    assert view.state == "failed"
    assert view.refused is not None
    assert "broke off" in view.refused.error
    assert "ZeroDivisionError" in caplog.text


def test_only_so_many_run_at_once_and_only_so_many_are_kept(jobs: Jobs) -> None:
    go_on = threading.Event()

    def waits(_: Job) -> dict[str, int]:
        go_on.wait(10)
        return {}

    running = [jobs.start(waits).id for _ in range(MOST_RUNNING)]
    with pytest.raises(NotPossible, match="still going on"):
        jobs.start(waits)
    go_on.set()
    for job_id in running:
        ended(jobs.get(job_id))
    for _ in range(MOST_KEPT):
        ended(jobs.get(jobs.start(lambda _: {}).id))
    with pytest.raises(NotThere):
        jobs.get(running[0])


def test_the_api_watches_stops_and_gives_results(app: FastAPI, client: TestClient) -> None:
    def makes_file(_: Job) -> FileResult:
        return FileResult(b"a card", "image/svg+xml", "card.svg")

    def for_ever(job: Job) -> dict[str, int]:
        while True:
            job.tell("cards", 1, 2)
            time.sleep(0.001)

    jobs = jobs_of(Request({"type": "http", "app": app}))
    file_id = jobs.start(makes_file).id
    ended(jobs.get(file_id))
    answer = client.get(f"/api/jobs/{file_id}/result")
    assert answer.content == b"a card"
    assert answer.headers["content-disposition"] == 'attachment; filename="card.svg"'
    assert answer.headers["content-security-policy"] == "default-src 'none'"
    long_id = jobs.start(for_ever).id
    assert client.get(f"/api/jobs/{long_id}").json()["state"] == "running"
    assert client.get(f"/api/jobs/{long_id}/result").status_code == 404
    client.post(f"/api/jobs/{long_id}/stop")
    ended(jobs.get(long_id))
    assert client.get(f"/api/jobs/{long_id}").json()["state"] == "stopped"
    assert client.get("/api/jobs/0123456789abcdef").status_code == 404
    assert client.get("/api/jobs/not-an-id").status_code == 422


def test_no_work_outlives_the_studio(jobs: Jobs) -> None:
    def for_ever(job: Job) -> dict[str, int]:
        while True:
            job.tell("cards", 1, 2)
            time.sleep(0.001)

    job = jobs.get(jobs.start(for_ever).id)
    jobs.close()
    assert job.state is JobState.STOPPED
