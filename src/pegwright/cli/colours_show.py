"""``pegwright colours show``: how colours fall on each face of a piece."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.one_size import add_size, prove_size
from pegwright.cli.reading import add_design, add_units, read_design

if TYPE_CHECKING:
    from pegwright.pattern.fabric_view import FabricView
    from pegwright.planning.colour import StitchColours
    from pegwright.yarn.sight import SightCheck

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "show"
WORDS = "draw every face of a size stitch by stitch, and check its colours for colour-blind eyes"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    add_size(parser)
    parser.add_argument("--piece", metavar="NAME", help="only this piece (default: all)")
    parser.add_argument(
        "--anew",
        action="store_true",
        help="a yarn that is joined again begins anew in its colours, not where it was cut",
    )
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)"
    )
    parser.add_argument("--png", action="store_true", help="painted pictures beside the drawn ones")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Draw them."""
    from pegwright.cli.writing import write_pack
    from pegwright.making import source_of
    from pegwright.pattern.look import size_colours, size_views
    from pegwright.planning.colour import Joining
    from pegwright.yarn.sight import check_sight

    design = read_design(options)
    made, size = prove_size(design, options.size)
    source = source_of(made)
    joining = Joining.ANEW if options.anew else Joining.CARRY_ON
    colours = size_colours(source, size, joining)
    piece = _piece(options, colours)
    views = tuple(size_views(size, colours, only=piece))
    sight = check_sight(colours.colours)
    pack = _pictures(design.key, size.name, views, png=options.png)
    written = write_pack(options.out, pack)
    if options.json:
        screen.say_json(_data(colours, views, sight, [str(path) for path in written]))
    else:
        lines = [*colours.words(design.units), *sight.words(design.units), ""]
        lines += [f"Written: {path}" for path in written]
        screen.say("\n".join(lines))
    return 0


def _piece(options: argparse.Namespace, colours: StitchColours) -> str | None:
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse

    if options.piece is not None and options.piece not in colours.pieces:
        hint = nearest(options.piece, colours.pieces)
        raise BadUse("--piece: no such piece", given=options.piece, hint=hint)
    return None if options.piece is None else str(options.piece)


def _pictures(key: str, size: str, views: tuple[FabricView, ...], *, png: bool) -> dict[str, bytes]:
    from pegwright.designs.model import slug
    from pegwright.publish.fabric_picture import fabric_picture
    from pegwright.publish.fabric_raster import fabric_png

    pack: dict[str, bytes] = {}
    for view in views:
        name = f"{key}-{slug(size)}-{view.key.removeprefix('look-')}"
        pack[f"{name}.svg"] = fabric_picture(view)
        if png:
            pack[f"{name}.png"] = fabric_png(view)
    return pack


def _data(
    colours: StitchColours, views: tuple[FabricView, ...], sight: SightCheck, files: list[str]
) -> dict[str, object]:
    return {
        **colours.as_data(),
        "views": [view.as_data() for view in views],
        "sight": sight.as_data(),
        "files": files,
    }
