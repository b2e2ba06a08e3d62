"""How a piece of several colours looks: its faces, and a hood from all sides, stitch by stitch."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pegwright.pattern.model import FabricDrawing, Figure, Paragraph, Section
from pegwright.pattern.source import ProvedSize, Source
from pegwright.planning.colour import colours_of, stitch_colours
from pegwright.tongue.said import Said, joined, say
from pegwright.yarn.sight import check_sight

if TYPE_CHECKING:
    from pegwright.pattern.fabric_view import FabricView
    from pegwright.planning.colour import Joining, StitchColours
    from pegwright.planning.colour_views import ColourGrid
    from pegwright.yarn.colour import ColourRun

__all__ = ["MOST_VIEWS", "look_section", "size_colours", "size_views"]

MOST_VIEWS = 8
"""Most pictures in one pattern: both faces, four sides of a hood, and room for a second piece."""

_MOST_LOOPS = 400_000  # more are not written out one by one for a picture on paper


def look_section(source: Source) -> Section | None:
    """The pictures of the first size; None where each of its pieces is of one colour.

    Nor is there any where there are more colours than a picture shows, or too many loops.
    """
    size = source.sizes[0]
    views = _shown(source, size)
    if not views:
        return None
    colours = colours_of(_strands(size), source.yarns, source.colour_runs)
    figures = (
        Figure(view.key, view.title, joined(view.words(source.units)), FabricDrawing(view))
        for view in views
    )
    told = Paragraph(_where_from(source, size))
    seen = Paragraph(joined(check_sight(colours).words(source.units)))
    return Section("look", say("How it looks"), (told, seen, *figures))


def size_colours(source: Source, size: ProvedSize, joining: Joining | None = None) -> StitchColours:
    """The colour of every loop of a size.

    :param joining: where a yarn that is joined again goes on; where its ball was cut if not given.
    """
    from pegwright.planning.colour import Joining

    strands = _strands(size)
    runs: dict[str, ColourRun] = {n: r for n, r in source.colour_runs.items() if n in strands}
    how = Joining.CARRY_ON if joining is None else joining
    return stitch_colours(size.run, source.yarns, runs, slack=source.slack, joining=how)


def size_views(
    size: ProvedSize,
    colours: StitchColours,
    *,
    plain: bool = True,
    only: str | None = None,
) -> Iterator[FabricView]:
    """Every view of a size's pieces, to their own gauge; a folded strip is a hood.

    :param plain: pieces of one colour too.
    :param only: the views of this piece alone.
    :raises BadInput: for more colours than a picture shows.
    """
    from pegwright.pattern.fabric_view import fabric_view
    from pegwright.planning.colour_views import all_grids

    planned = {piece.name: piece for piece in size.plan.pieces}
    hood = "fold_row" in size.plan.facts
    for grid in all_grids(size.run, colours, wrap=size.plan.wrap, hood=hood):
        piece = planned.get(grid.piece)
        if piece is None or only not in (None, grid.piece):
            continue
        if not (plain or len(colours.shares(grid.piece)) > 1):
            continue
        yield fabric_view(
            grid,
            wale_mm=piece.width.value / piece.columns,
            course_mm=piece.length.value / piece.rows,
            key=f"look-{_key(grid)}",
        )


def _shown(source: Source, size: ProvedSize) -> tuple[FabricView, ...]:
    from itertools import islice

    from pegwright.pattern.fabric_view import MOST_COLOURS

    colours = colours_of(_strands(size), source.yarns, source.colour_runs)
    if not 1 < len(colours) <= MOST_COLOURS or size.run.fabric.loops > _MOST_LOOPS:
        return ()
    views = size_views(size, size_colours(source, size), plain=False)
    return tuple(islice(views, MOST_VIEWS))


def _strands(size: ProvedSize) -> tuple[str, ...]:
    """The names of the yarns that loops are made of."""
    return tuple(dict.fromkeys(size.run.fabric.strands))


def _key(grid: ColourGrid) -> str:
    letters = (c if c.isascii() and c.isalnum() else " " for c in grid.name.lower())
    return "-".join("".join(letters).split()) or "fabric"


def _where_from(source: Source, size: ProvedSize) -> Said:
    every = (
        say("Every stitch in the colour that the yarn had where the run drew it.")
        if len(source.sizes) == 1
        else say(
            "Every stitch in the size {size} in the colour that the yarn had where the run drew "
            "it.",
            size=size.name,
        )
    )
    faces = say(
        "The front face is the one towards you on the loom; the back face is seen with the piece "
        "turned over."
    )
    words = [every, faces]
    if any(not run.is_solid for run in source.colour_runs.values()):
        words.append(
            say(
                "A yarn that changes colour is shown as this design says that it begins; yours may "
                "begin elsewhere in its colours, and then they fall on other stitches."
            )
        )
    return joined(words)
