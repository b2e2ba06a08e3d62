"""Long work begun in a test: waited for, stopped, and its result taken."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from starlette.requests import Request
from starlette.testclient import TestClient

from pegwright.studio.jobs import Job, jobs_of

__all__ = ["begun", "ended"]

WAITS_S = 60.0


def begun(app: FastAPI, answer: Any) -> Job:
    """The job that a request began."""
    assert answer.status_code == 202, answer.text
    return jobs_of(Request({"type": "http", "app": app})).get(answer.json()["id"])


def ended(app: FastAPI, client: TestClient, answer: Any) -> Any:
    """What the job that a request began has made, or how it was refused."""
    job = begun(app, answer)
    job.wait(WAITS_S)
    view = client.get(f"/api/jobs/{job.id}").json()
    if view["state"] == "failed":
        return view["refused"]
    assert view["state"] == "done", view
    return client.get(f"/api/jobs/{job.id}/result").json()
