"""What can be done with one design beside changing it, each on a page of its own.

A part of the studio that has such a page names it ``TASK``; every page of a design then leads to
it.  Such a page works with the design as it lies on the desk, so with what was typed a moment ago.
"""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.studio.designs.api import entry
from pegwright.studio.pages import page
from pegwright.studio.state import DesignTask, Studio

__all__ = ["task_page"]


def task_page(
    request: Request,
    studio: Studio,
    template: str,
    task: DesignTask,
    design_id: str,
    /,
    **values: Any,
) -> HTMLResponse:
    """The page of a task.  Its template extends ``design_task.html`` and fills the block ``task``.

    It is given ``record``, ``task``, ``sizes`` (names), ``units`` and ``trouble``: in words why
    the design cannot be worked with, empty where it can.  With trouble the block is not shown.
    """
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        record, design, problems = on_desk.record, on_desk.design, on_desk.problems
    trouble = f"{problems[0]['error']}." if problems else ""
    return page(
        request,
        template,
        here="designs",
        title=f"{task.title}: {record.name}",
        record=entry(record),
        task=task,
        sizes=[size.name for size in design.sizes] if design else [],
        units=str(design.units) if design else "inches",
        trouble=trouble[:1].upper() + trouble[1:],
        **values,
    )
