"""Bodies of records as plain data for JSON, and back; ``body_from(kind, body_data(b)) == b``.

Every field is written out under its own name, in the units of its name; nothing is left to be
worked out anew, so that a record reads the same after the defaults of a later Pegwright change.
"""

from __future__ import annotations

from pegwright.gauge.fabric_gauge import Swatch
from pegwright.library.fields import Fields
from pegwright.library.records import (
    Body,
    DesignText,
    Kind,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    Record,
    Stage,
    Weighing,
)
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import DiameterSource, Yarn

__all__ = [
    "body_data",
    "body_from",
    "record_data",
    "record_from",
    "weighing_data",
    "weighing_from",
]

Data = dict[str, object]


def body_data(body: Body) -> Data:
    """A body as plain data."""
    match body:
        case OwnBoard():
            return {
                "loom": _loom_data(body.loom),
                "slack": None if body.slack is None else _measured_data(body.slack),
                "bare_gap_mm": body.bare_gap_mm,
                "spacers_mm": list(body.spacers_mm),
            }
        case OwnYarn():
            run = body.colour_run
            return {
                "yarn": _yarn_data(body.yarn),
                "scale_g": body.scale_g,
                "sampled": body.sampled,
                "colour_run": None if run is None else _run_data(run),
            }
        case OwnSwatch():
            return {
                "swatch": _swatch_data(body.swatch),
                "board": body.board,
                "yarn": body.yarn,
                "wrap": body.wrap,
            }
        case OwnPerson():
            return {
                "person": _person_data(body.person),
                "born": body.born,
                "measured": body.measured,
            }
        case DesignText():
            return {"title": body.title, "garment": body.garment, "toml": body.toml}
        case Making():
            return {
                "design": body.design,
                "version": body.version,
                "size": body.size,
                "yarns": list(body.yarns),
                "stage": str(body.stage),
            }


def body_from(kind: Kind, data: Fields) -> Body:
    """A body from plain data.

    :raises BadInput: naming the field, for what is missing or cannot be.
    """
    match kind:
        case Kind.BOARD:
            return OwnBoard(
                _loom_from(data.under("loom")),
                data.under_or_none("slack", _measured_from),
                data.number_or_none("bare_gap_mm"),
                data.numbers("spacers_mm"),
            )
        case Kind.YARN:
            return OwnYarn(
                _yarn_from(data.under("yarn")),
                data.number("scale_g"),
                data.flag("sampled"),
                data.under_or_none("colour_run", _run_from),
            )
        case Kind.SWATCH:
            return OwnSwatch(
                _swatch_from(data.under("swatch")),
                data.text_or_none("board"),
                data.text_or_none("yarn"),
                data.text("wrap"),
            )
        case Kind.PERSON:
            return OwnPerson(
                _person_from(data.under("person")),
                data.text_or_none("born"),
                data.text_or_none("measured"),
            )
        case Kind.DESIGN:
            return DesignText(data.text("title"), data.text("garment"), data.text("toml"))
        case Kind.MAKING:
            return Making(
                data.text("design"),
                data.whole("version"),
                data.text("size"),
                data.texts("yarns"),
                data.choice("stage", Stage),
            )


def record_data(record: Record) -> Data:
    """A whole record as plain data."""
    return {
        "id": record.id,
        "kind": str(record.kind),
        "name": record.name,
        "body": body_data(record.body),
        "notes": record.notes,
        "created": record.created,
        "changed": record.changed,
        "revision": record.revision,
        "deleted": record.deleted,
    }


def record_from(data: Fields) -> Record:
    """A whole record from plain data; see :func:`body_from`."""
    kind = data.choice("kind", Kind)
    return Record(
        data.text("id"),
        kind,
        data.text("name"),
        body_from(kind, data.under("body")),
        data.text("notes"),
        data.text("created"),
        data.text("changed"),
        data.whole("revision"),
        data.flag("deleted"),
    )


def weighing_data(weighing: Weighing) -> Data:
    """A weighing as plain data."""
    return {
        "id": weighing.id,
        "at": weighing.at,
        "balls_g": list(weighing.balls_g),
        "note": weighing.note,
        "making": weighing.making,
    }


def weighing_from(data: Fields) -> Weighing:
    """A weighing from plain data; see :func:`body_from`."""
    return Weighing(
        data.text("id"),
        data.text("at"),
        data.numbers("balls_g"),
        data.text("note"),
        data.text_or_none("making"),
    )


# --- the domain's own types ----------------------------------------------------------------------


def _measured_data(value: Measured) -> Data:
    return {"value": value.value, "sd": value.sd}


def _measured_from(data: Fields) -> Measured:
    return Measured(data.number("value"), data.number("sd"))


def _loom_data(loom: Loom) -> Data:
    return {
        "arrangement": str(loom.arrangement),
        "pegs": loom.pegs,
        "pitch_mm": loom.pitch_mm,
        "gap_mm": loom.gap_mm,
        "peg_diameter_mm": loom.peg_diameter_mm,
        "peg_height_mm": loom.peg_height_mm,
        "name": loom.name,
    }


def _loom_from(data: Fields) -> Loom:
    return Loom(
        data.choice("arrangement", Arrangement),
        data.whole("pegs"),
        data.number("pitch_mm"),
        data.number("gap_mm"),
        data.number("peg_diameter_mm"),
        data.number("peg_height_mm"),
        data.text("name"),
    )


def _yarn_data(yarn: Yarn) -> Data:
    return {
        "name": yarn.name,
        "category": yarn.category,
        "metres_per_100g": yarn.metres_per_100g,
        "metres_per_100g_sd": yarn.metres_per_100g_sd,
        "ball_g": yarn.ball_g,
        "wrapped_diameter_mm": yarn.wrapped_diameter_mm,
        "diameter_source": str(yarn.diameter_source),
        "wraps_per_inch": yarn.wraps_per_inch,
        "fibre": yarn.fibre,
        "colour": yarn.colour,
        "colour_hex": yarn.colour_hex,
        "invented": yarn.invented,
    }


def _yarn_from(data: Fields) -> Yarn:
    return Yarn(
        name=data.text("name"),
        category=data.whole("category"),
        metres_per_100g=data.number("metres_per_100g"),
        metres_per_100g_sd=data.number("metres_per_100g_sd"),
        ball_g=data.number("ball_g"),
        wrapped_diameter_mm=data.number("wrapped_diameter_mm"),
        diameter_source=data.choice("diameter_source", DiameterSource),
        wraps_per_inch=data.number_or_none("wraps_per_inch"),
        fibre=data.text("fibre"),
        colour=data.text("colour"),
        colour_hex=data.text("colour_hex"),
        invented=data.flag("invented"),
    )


def _run_data(run: ColourRun) -> Data:
    return {
        "stretches": [
            {"colour": s.colour.name, "hex": s.colour.hex, "length_m": s.length_m}
            for s in run.stretches
        ],
        "drift": run.drift,
        "offset_m": run.offset_m,
        "seed": run.seed,
    }


def _run_from(data: Fields) -> ColourRun:
    stretches = tuple(
        Stretch(Colour(one.text("colour"), one.text("hex")), one.number("length_m"))
        for one in data.each("stretches")
    )
    return ColourRun(stretches, data.number("drift"), data.number("offset_m"), data.whole("seed"))


def _swatch_data(swatch: Swatch) -> Data:
    return {
        "stitches": swatch.stitches,
        "width": _measured_data(swatch.width),
        "rows": swatch.rows,
        "length": _measured_data(swatch.length),
        "washed": swatch.washed,
        "note": swatch.note,
    }


def _swatch_from(data: Fields) -> Swatch:
    return Swatch(
        data.whole("stitches"),
        _measured_from(data.under("width")),
        data.whole("rows"),
        _measured_from(data.under("length")),
        data.flag("washed"),
        data.text("note"),
    )


def _person_data(person: Person) -> Data:
    return {
        "name": person.name,
        "wearer": person.wearer,
        "measures_mm": dict(person.measures),
        "note": person.note,
    }


def _person_from(data: Fields) -> Person:
    measures = data.under("measures_mm")
    return Person(
        data.text("name"),
        data.text("wearer"),
        {name: measures.number(name) for name in measures.data},
        data.text("note"),
    )
