"""Writing into a design what one of its task pages has found: one change, as a named version.

What does not read back as a design is not written.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel

from pegwright.designs.reader import read_text
from pegwright.library.records import MOST_NAME
from pegwright.studio.designs.desk import DeskDesign
from pegwright.studio.designs.edits import Change, changed
from pegwright.studio.state import Studio

__all__ = ["Written", "write_changes"]


class Written(BaseModel):
    """What came of it.

    :param revision: the design's revision now; it can be undone from there.
    :param proved: whether every size is knitted without a fault; ``summary`` says it in a sentence.
    """

    revision: int
    proved: bool
    summary: str


def write_changes(
    studio: Studio, design_id: str, changes: Sequence[Change], revision: int, version: str
) -> Written:
    """Make changes to a design on the desk, and name the version that it is then.

    :param revision: the design's revision that the changes were thought out for.
    :raises StaleRevision: where it was changed since.
    :raises PegwrightError: where the changed text is no design; it stays as it was then.
    """

    def deed(design: DeskDesign) -> None:
        read_text(changed(design.text, changes), "design")
        design.change(changes, revision)

    view = studio.desk.work(design_id, deed)
    number = studio.library.versions(design_id)[-1].number
    studio.library.name_version(design_id, number, version[:MOST_NAME])
    return Written(
        revision=view.revision,
        proved=view.result is not None and view.result.proved,
        summary=view.result.summary if view.result else "",
    )
