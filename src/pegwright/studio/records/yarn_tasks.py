"""What is done with a yarn of the library: its page, and the part of the API that it asks."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.studio.designs.api import RecordId
from pegwright.studio.records.tasks import record_task_page, yarn_record
from pegwright.studio.records.yarn_count import router
from pegwright.studio.state import TheStudio

__all__ = ["pages", "router"]

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)


@pages.get("/library/yarn/{yarn_id}/count")
def count(request: Request, yarn_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Counting a yarn, holding strands of it together, parting a ball of it."""
    record, _ = yarn_record(studio, yarn_id)
    return record_task_page(request, "yarn_count.html", record, "count")
