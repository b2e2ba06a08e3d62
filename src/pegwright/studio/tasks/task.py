"""What can be done with one design beside changing it, each on a page of its own.

A part of the studio that has such a page names it ``TASK``; every page of a design then leads to
it.  Such a page works with the design as it lies on the desk, so with what was typed a moment ago.
"""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.designs.model import Design
from pegwright.errors import NotPossible
from pegwright.making import Made
from pegwright.studio.designs.api import entry
from pegwright.studio.pages import page
from pegwright.studio.state import DesignTask, Studio

__all__ = ["design_on_desk", "made_on_desk", "task_page"]


def design_on_desk(studio: Studio, design_id: str) -> Design:
    """A design as it reads now.

    :raises NotThere: where there is none of that id.
    :raises NotPossible: where its text does not read, with the first thing that is wrong.
    """
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design, problems = on_desk.design, on_desk.problems
    if design is None or problems:
        raise NotPossible(
            "the design cannot be worked with as it stands",
            given=str(problems[0]["error"]) if problems else None,
            hint="mend it first",
        )
    return design


def made_on_desk(studio: Studio, design_id: str) -> Made:
    """A design as it reads now, worked out; it may have faults.

    :raises NotThere: where there is none of that id.
    :raises NotPossible: where its text does not read, or nothing can be made of it.
    """
    design_on_desk(studio, design_id)
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        made = on_desk.made
    if made is None:
        raise NotPossible("the design was not worked out yet", hint="mend what is wrong with it")
    return made


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
