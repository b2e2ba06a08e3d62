"""The plan of a board as files: a tagged PDF with its template sheets, SVG, and the cut list.

The PDF keeps to PDF/UA-1 (ISO 14289-1), like the pattern's.  The template sheets are at true scale;
every sheet carries the square that proves it.
"""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from pegwright.errors import NotPossible
from pegwright.pattern.board_plan import BoardDocument
from pegwright.pattern.board_words import workshop
from pegwright.pattern.model import Block, Figure
from pegwright.publish.board_end_view import draw_end_view
from pegwright.publish.board_template import (
    IN_BLACK,
    UNITS_PER_MM,
    draw_map,
    draw_square,
    draw_tile,
    draw_whole,
)
from pegwright.publish.board_tiles import (
    FOOT_MM,
    HEAD_MM,
    MARGIN_MM,
    SQUARE_MM,
    Layout,
    Tile,
    lay_out,
)
from pegwright.publish.drawing import Drawing, svg
from pegwright.publish.figures import draw
from pegwright.publish.pdf import Paper, _block, _explained, _fonts, _printable

__all__ = ["board_pdf", "board_svgs", "cut_list_json"]

_MAP_MOST_MM = 80.0


def board_pdf(document: BoardDocument, paper: Paper = Paper.A4) -> bytes:
    """The whole plan as a tagged PDF; the same plan gives the same bytes.

    :raises BadInput: where its words hold letters that no font at hand can show.
    :raises NotPossible: where the typesetter refuses for any other reason.
    """
    import typst

    text = json.dumps(_printable(_data(document, paper)), ensure_ascii=False, sort_keys=True)
    template = files("pegwright.publish").joinpath("board.typ").read_bytes()
    try:
        compiler = typst.Compiler(input=template, font_paths=_fonts(), sys_inputs={"board": text})
        made = compiler.compile(format="pdf", pdf_standards="ua-1")
    except typst.TypstError as refused:
        raise _explained(refused) from refused
    if not isinstance(made, bytes):
        raise NotPossible("the typesetter gave no PDF", hint="print the SVG files instead")
    return made


def board_svgs(document: BoardDocument, paper: Paper = Paper.A4) -> dict[str, bytes]:
    """The template as SVG at true scale, by file name: whole, and one file a sheet."""
    template = document.plan.template
    layout = lay_out(template, paper)
    made = {f"{document.key}-template.svg": _svg(
        draw_whole(layout, template), "template", _title(document), _whole_words(document)
    )}  # fmt: skip
    for tile in layout.tiles:
        title = f"{_title(document)}, sheet {tile.number} of {len(layout.tiles)}"
        made[f"{document.key}-template-sheet-{tile.number}.svg"] = _svg(
            draw_tile(layout, template, tile),
            f"sheet-{tile.number}",
            title,
            _tile_words(document, layout, tile),
        )
    return made


def cut_list_json(document: BoardDocument) -> bytes:
    """Parts, stock, spacers and places of the holes as JSON; lengths are mm."""
    plan = document.plan
    data = {
        "board": plan.spec.name,
        "parts": [
            {
                "part": part.name,
                "count": part.count,
                "of": part.stuff,
                "length_mm": _round(part.length_mm),
                "width_mm": _round(part.width_mm),
                "thickness_mm": _round(part.thickness_mm),
                "diameter_mm": _round(part.diameter_mm),
                "note": part.note or None,
            }
            for part in plan.parts
        ],
        "wood": {
            "lengths": plan.wood.lengths,
            "length_mm": plan.spec.wood.length_mm,
            "least_length_mm": _round(plan.wood.shortest_mm),
            "kerf_mm": plan.spec.wood.kerf_mm,
            "cuts": [[_round(cut) for cut in lane] for lane in plan.wood.lanes],
        },
        "rods": None if plan.rods is None else plan.rods.lengths,
        "spacers": [
            {
                "gap_wanted_mm": _round(each.wanted_mm),
                "gap_mm": _round(each.gap_mm),
                "each_end_mm": list(each.stack.pieces),
            }
            for each in plan.stacks
        ],
        "holes": [
            {
                "board": board.name,
                "peg": hole.address,
                "from_left_end_mm": _round(hole.x_mm),
                "from_near_side_mm" if plan.spec.is_ring else "from_inner_edge_mm": _round(
                    hole.y_mm
                ),
                "diameter_mm": _round(hole.diameter_mm),
                "depth_mm": _round(hole.depth_mm),
            }
            for board in plan.boards
            for hole in board.holes
        ],
    }
    return (json.dumps(data, indent=2) + "\n").encode()


def _round(mm: float | None) -> float | None:
    return None if mm is None else round(mm, 4)


def _svg(drawing: Drawing, key: str, title: str, desc: str) -> bytes:
    return svg(drawing, key=key, title=title, desc=desc, style=IN_BLACK)


# --- the plan as data ----------------------------------------------------------------------------


def _data(document: BoardDocument, paper: Paper) -> dict[str, Any]:
    lang, _, region = document.language.partition("-")
    sections: list[dict[str, Any]] = [
        {"title": s.title, "blocks": [part for b in s.blocks for part in _part(b)]}
        for s in document.sections
    ]
    view = document.end_view
    if view is not None:
        drawing = draw_end_view(view, document.plan)
        sections[0]["blocks"].insert(1, _picture(drawing, "end", view.caption, view.words))
    return {
        "paper": paper.value,
        "title": document.title,
        "subtitle": document.subtitle,
        "summary": document.summary,
        "lang": lang.lower(),
        "region": region.lower() or None,
        "sections": sections,
        "sheets": _sheets(document, lay_out(document.plan.template, paper)),
    }


def _part(block: Block) -> list[dict[str, Any]]:
    if isinstance(block, Figure):
        return [_picture(draw(block), block.key, block.caption, block.alt)]
    return _block(block, {})


def _picture(drawing: Drawing, key: str, caption: str, alt: str) -> dict[str, Any]:
    return {
        "kind": "figure",
        "caption": caption,
        "alt": alt,
        "svg": _svg(drawing, key, caption, alt).decode(),
        "ratio": drawing.height / drawing.width,
    }


def _sheets(document: BoardDocument, layout: Layout) -> dict[str, Any]:
    square = draw_square()
    words = f"A square, {SQUARE_MM:g} mm each side, to measure on the print."
    return {
        "landscape": layout.landscape,
        "margin": MARGIN_MM,
        "head": HEAD_MM,
        "room": layout.sheet_mm[0] - 2 * MARGIN_MM,
        "square": _svg(square, "square", f"{SQUARE_MM:g} mm square", words).decode(),
        "square_alt": words,
        "square_side": square.width / UNITS_PER_MM,
        "list": [_sheet(document, layout, tile) for tile in layout.tiles],
    }


def _sheet(document: BoardDocument, layout: Layout, tile: Tile) -> dict[str, Any]:
    template, count = document.plan.template, len(layout.tiles)
    sheet_map = draw_map(layout, template, tile)
    room_mm = layout.sheet_mm[0] - 2 * MARGIN_MM
    room_up_mm = layout.sheet_mm[1] - 2 * MARGIN_MM - HEAD_MM - FOOT_MM
    map_mm = min(_MAP_MOST_MM if layout.landscape else 50.0, sheet_map.width / UNITS_PER_MM)
    map_mm = min(map_mm, 42.0 * sheet_map.width / sheet_map.height)
    key, title = f"sheet-{tile.number}", f"{_title(document)}, sheet {tile.number} of {count}"
    map_words = f"Map of {count} sheets; this is sheet {tile.number}."
    if count == 1:
        map_words = "Map: one sheet holds the whole template."
    return {
        "title": f"Drilling template, sheet {tile.number} of {count}",
        "words": _heading_words(document),
        "dx": (room_mm - tile.width_mm) / 2,
        "dy": HEAD_MM + (room_up_mm - tile.height_mm) / 2,
        "width": tile.width_mm,
        "height": tile.height_mm,
        "alt": _tile_words(document, layout, tile),
        "svg": _svg(draw_tile(layout, template, tile), key, title, title).decode(),
        "map": _svg(sheet_map, f"map-{tile.number}", map_words, map_words).decode(),
        "map_alt": map_words,
        "map_width": map_mm,
        "notes": _notes(document, layout, tile),
    }


# --- words ---------------------------------------------------------------------------------------


def _title(document: BoardDocument) -> str:
    return f"Drilling template of the {document.plan.spec.name}"


def _heading_words(document: BoardDocument) -> str:
    plan = document.plan
    boards = " and ".join(plan.template.boards)
    drill = workshop(plan.spec.peg.drill_mm, document.units)
    depth = workshop(plan.spec.depth_mm, document.units)
    return f"For {boards}. Drill {drill}, depth {depth}. Print at 100 %."


def _notes(document: BoardDocument, layout: Layout, tile: Tile) -> list[str]:
    notes = []
    if tile.cuts:
        notes.append(
            "Cut along the dotted line marked cut here. Lay this sheet on its neighbour so that "
            "the circles and crosses close, and tape it down."
        )
    if tile.joins:
        notes.append("The next sheet lies on this one as far as the dotted line.")
    template = document.plan.template
    if template.row_y_mm is not None:
        notes.append(
            "Number above each hole; below it, its distance from the left end in mm. Check a few "
            "with a steel rule before you drill."
        )
        if len(template.holes) > 1 and len(layout.tiles) > 1:
            run = workshop(template.holes[-1].x_mm - template.holes[0].x_mm, document.units)
            notes.append(f"All sheets joined: hole 1 to hole {len(template.holes)} is {run}.")
    if len(template.boards) == 2:
        notes.append("Back board: the same template, its inner edge to the inner edge.")
    return notes


def _tile_words(document: BoardDocument, layout: Layout, tile: Tile) -> str:
    template = document.plan.template
    shown = [h.number for h in template.holes if tile.holds(h.x_mm, h.y_mm, h.diameter_mm / 2)]
    words = f"Drilling template at true scale, sheet {tile.number} of {len(layout.tiles)}."
    if not shown:
        return f"{words} No hole lies on it."
    if template.row_y_mm is None:
        return f"{words} {len(shown)} of {len(template.holes)} holes lie on it."
    first, last = template.holes[shown[0] - 1], template.holes[shown[-1] - 1]
    words += f" Holes {first.number} to {last.number} of {len(template.holes)}:"
    return f"{words} {first.x_mm:.1f} to {last.x_mm:.1f} mm from the left end."


def _whole_words(document: BoardDocument) -> str:
    template = document.plan.template
    size = f"{template.length_mm:.1f} by {template.width_mm:.1f} mm"
    return f"The whole template at true scale, {size}, with {len(template.holes)} holes."
