"""Everything that a plan of a board is written out as, by file name."""

from __future__ import annotations

from pegwright.errors import NotPossible
from pegwright.loom.reading import loom_toml
from pegwright.pattern.board_plan import BoardDocument
from pegwright.publish.pdf import Paper

__all__ = ["board_files"]


def board_files(
    document: BoardDocument, paper: Paper = Paper.A4
) -> tuple[dict[str, bytes], list[str]]:
    """The PDF, the template as SVG and DXF, the cut list and the table for a design file.

    :returns: the files by name, and in words what could not be made.
    """
    from pegwright.publish.board_dxf import board_dxf
    from pegwright.publish.board_plan import board_pdf, board_svgs, cut_list_json

    files = {f"{document.key}.pdf": board_pdf(document, paper), **board_svgs(document, paper)}
    files[f"{document.key}-cut-list.json"] = cut_list_json(document)
    files[f"{document.key}-loom.toml"] = loom_toml(document.plan.loom).encode()
    try:
        files[f"{document.key}.dxf"] = board_dxf(document.plan)
    except NotPossible as error:
        return files, [f"No DXF: {error.what}. To have it: {error.hint}"]
    return files, []
