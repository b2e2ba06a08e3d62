"""Writes a design as the text of a design file, which reads back as an equal design.

Lengths are written as a tape shows them where that is exact, else in millimetres with all their
digits.  Only what differs from the form's own defaults is written, so that files stay short.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from pegwright.designs.form import FORMAT
from pegwright.designs.model import (
    DEFAULT_MARGIN,
    MONTHS_IN_YEAR,
    Costing,
    Design,
    SizeRequest,
)
from pegwright.garments.base import OptionKind, OptionValue
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.knitting.wraps import SHIPPED, Pass, Wrap
from pegwright.units import UnitSystem, format_cm, format_inches, parse_length_mm
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.yarn import BAND_RELATIVE_SD, DiameterSource, Yarn

__all__ = [
    "colours_text",
    "digits",
    "length_text",
    "table_text",
    "toml_value",
    "wrap_values",
    "write_text",
    "yarn_values",
]

Value = str | bool | int | float | list["Value"] | dict[str, "Value"]

_TAPES = (8, 16, 32, 64)
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def write_text(design: Design) -> str:
    """The text of a design file; ``read_text(write_text(design)) == design``.

    :raises BadInput: for a garment that is not there.
    """
    blocks = [table_text("", {"pegwright": FORMAT}), *_tables(design)]
    return "\n".join(blocks)


def _tables(design: Design) -> Iterator[str]:
    units = design.units
    yield table_text("[design]", _design(design))
    yield table_text("[loom]", _loom(design))
    for yarn in design.yarns.values():
        yield table_text("[[yarns]]", _design_yarn(design, yarn))
    yield table_text("[use]", dict(design.use))
    for swatch in design.swatches:
        yield table_text("[[swatches]]", _swatch(swatch, units))
    if design.options:
        yield table_text("[garment]", _options(design))
    for stripe in design.stripes:
        yield table_text("[[stripes]]", {"yarn": stripe.yarn, "rows": stripe.rows})
    for size in design.sizes:
        yield table_text("[[sizes]]", _size(size, units))
    if design.wrap not in SHIPPED:
        yield table_text("[[wraps]]", wrap_values(design.wrap))
    if design.costing is not None:
        yield table_text("[cost]", _cost(design.costing))


# --- the tables ----------------------------------------------------------------------------------


def _design(design: Design) -> dict[str, Value]:
    values: dict[str, Value] = {
        "title": design.title,
        "summary": design.summary,
        "version": design.version,
        "garment": design.garment,
        "wrap": design.wrap.name,
        "language": design.language,
        "units": str(design.units),
        "margin": design.margin,
    }
    return _without(values, summary="", version="", language="en", margin=DEFAULT_MARGIN)


def _loom(design: Design) -> dict[str, Value]:
    loom, units = design.loom, design.units
    values: dict[str, Value] = {
        "name": loom.name,
        "arrangement": str(loom.arrangement),
        "pegs": loom.pegs,
        "pitch": length_text(loom.pitch_mm, units),
    }
    if loom.is_double:
        values["gap"] = length_text(loom.gap_mm, units)
    values |= {
        "peg_diameter": length_text(loom.peg_diameter_mm, units),
        "peg_height": length_text(loom.peg_height_mm, units),
        "slack": design.slack.value,
        "slack_sd": design.slack.sd,
    }
    return values


def _design_yarn(design: Design, yarn: Yarn) -> dict[str, Value]:
    """A yarn with what the design says of it besides."""
    values = yarn_values(yarn, design.units, design.colour_runs.get(yarn.name))
    if (available_g := design.available_g.get(yarn.name)) is not None:
        values["available"] = f"{digits(available_g)} g"
    if (price := design.prices.get(yarn.name)) is not None:
        values["price"] = price
    return values


def yarn_values(
    yarn: Yarn, units: UnitSystem, colour_run: ColourRun | None = None
) -> dict[str, Value]:
    """A yarn's own keys.

    :param colour_run: the colours along it, where they change; its seed has no key.
    """
    values: dict[str, Value] = {
        "name": yarn.name,
        "category": yarn.category,
        "metres_per_100g": yarn.metres_per_100g,
    }
    if yarn.metres_per_100g_sd != BAND_RELATIVE_SD * yarn.metres_per_100g:
        values["metres_per_100g_sd"] = yarn.metres_per_100g_sd
    values["ball"] = f"{digits(yarn.ball_g)} g"
    if yarn.wraps_per_inch is not None:
        values["wraps_per_inch"] = yarn.wraps_per_inch
    if yarn.diameter_source is DiameterSource.GIVEN:
        values["diameter"] = length_text(yarn.wrapped_diameter_mm, units)
    values |= {"fibre": yarn.fibre, "colour": yarn.colour, "colour_hex": yarn.colour_hex}
    if colour_run is not None:
        values["colours"] = colours_text(colour_run)
        if colour_run.offset_m:
            values["colour_offset"] = f"{digits(colour_run.offset_m)} m"
        if colour_run.drift:
            values["colour_drift"] = colour_run.drift
    values["invented"] = yarn.invented
    return _without(values, fibre="", colour="", invented=False)


def colours_text(run: ColourRun) -> str:
    """The stretches of a colour run as they are read: ``rust #a4482c 0.3 m, …``."""
    return ", ".join(
        f"{s.colour.name} {s.colour.hex} {digits(s.length_m)} m" for s in run.stretches
    )


def _cost(costing: Costing) -> dict[str, Value]:
    values: dict[str, Value] = {"currency": costing.currency, "margin": costing.margin}
    if costing.rate is not None:
        values["rate"] = costing.rate
    if costing.loops_per_minute is not None:
        values["pace"] = costing.loops_per_minute
    if costing.others:
        values["others"] = dict(costing.others)
    return _without(values, currency="", margin=0.0)


def _swatch(swatch: Swatch, units: UnitSystem) -> dict[str, Value]:
    values: dict[str, Value] = {
        "stitches": swatch.stitches,
        "width": length_text(swatch.width.value, units),
        "rows": swatch.rows,
        "length": length_text(swatch.length.value, units),
        "washed": swatch.washed,
        "note": swatch.note,
    }
    if swatch.width.sd:
        values["width_sd"] = length_text(swatch.width.sd, units)
    if swatch.length.sd:
        values["length_sd"] = length_text(swatch.length.sd, units)
    return _without(values, note="")


def _options(design: Design) -> dict[str, Value]:
    kinds = {spec.name: spec.kind for spec in garment(design.garment).options}

    def value(name: str, given: OptionValue) -> Value:
        if kinds.get(name) is OptionKind.LENGTH:
            return length_text(float(given), design.units)
        return given

    return {name: value(name, given) for name, given in design.options.items()}


def _size(size: SizeRequest, units: UnitSystem) -> dict[str, Value]:
    values: dict[str, Value] = {"name": size.name, "wearer": str(size.wearer)}
    if size.age_months is not None:
        values["age"] = _age_text(size.age_months)
    return values | {name: length_text(mm, units) for name, mm in size.measures.items()}


def wrap_values(wrap: Wrap) -> dict[str, Value]:
    """A wrap's keys."""
    values: dict[str, Value] = {
        "name": wrap.name,
        "boards": wrap.boards,
        "structure": str(wrap.structure),
        "courses": [[_pass(one) for one in course] for course in wrap.courses],
        "laid": str(wrap.laid),
        "first_row": str(wrap.first_row),
        "cloth": str(wrap.cloth),
        "purl": wrap.purl,
        "multiple": wrap.multiple,
        "plus": wrap.plus,
        "least": wrap.least,
        "words": wrap.words,
    }
    return _without(values, words="", purl=False)


def _pass(one: Pass) -> Value:
    return {"way": str(one.way), "columns": list(one.columns)}


def _without(values: dict[str, Value], **defaults: Value) -> dict[str, Value]:
    """The values but those that say no more than the defaults."""
    return {k: v for k, v in values.items() if k not in defaults or v != defaults[k]}


# --- quantities ----------------------------------------------------------------------------------


def length_text(mm: float, units: UnitSystem) -> str:
    """A length that reads back as exactly this number of mm: ``7/16 in``, ``55 cm``, ``1.27 mm``.

    The maker's own units are tried first, then the other's.
    """
    for system in (units, units.other):
        if system is UnitSystem.INCHES:
            texts = [format_inches(mm, tape) for tape in _TAPES]
        else:
            texts = [format_cm(mm, 2)]
        for text in texts:
            if parse_length_mm(text, allow_negative=True) == mm:
                return text
    return f"{digits(mm)} mm"


def _age_text(months: float) -> str:
    if months % MONTHS_IN_YEAR == 0:
        return f"{digits(months / MONTHS_IN_YEAR)} years"
    return f"{digits(months)} months"


def digits(value: float) -> str:
    """All digits of a number and no exponent, so that it reads back the same."""
    text = format(Decimal(repr(float(value))), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


# --- TOML ----------------------------------------------------------------------------------------


def table_text(header: str, values: Mapping[str, Value]) -> str:
    """A table with its header, one line a key."""
    lines = [header] if header else []
    lines += [f"{_key(name)} = {toml_value(value)}" for name, value in values.items()]
    return "\n".join(lines) + "\n"


def toml_value(value: Value) -> str:
    """A value as TOML writes it, on one line."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return f'"{"".join(map(_escaped, value))}"'
        case int():
            return str(value)
        case float():
            return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        case list():
            return f"[{', '.join(map(toml_value, value))}]"
        case dict():
            return "{ " + ", ".join(f"{_key(k)} = {toml_value(v)}" for k, v in value.items()) + " }"


def _escaped(character: str) -> str:
    if character in _ESCAPES:
        return _ESCAPES[character]
    if ord(character) < 0x20 or character == "\x7f":
        return f"\\u{ord(character):04x}"
    return character


def _key(name: str) -> str:
    plain = name.isascii() and name.replace("_", "").replace("-", "").isalnum()
    return name if plain else toml_value(name)
