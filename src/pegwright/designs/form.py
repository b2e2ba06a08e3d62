"""The form of a design file: which tables and keys there are, and what each takes.

These models stand at the edge only: they check what a maker wrote and turn lengths and masses
into mm and g.  What fits together with what (yarns with their uses, sizes with the garment) is
checked in :mod:`pegwright.designs.build`, which makes the domain's own values.  The published
schema is generated from here too, so every description is written for the maker.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    WithJsonSchema,
)

from pegwright.errors import BadInput, PegwrightError
from pegwright.garments.base import Wearer
from pegwright.knitting.wraps import Cloth, FirstRow, Laid, Structure, Way
from pegwright.loom.board import MOST_PEGS, Arrangement
from pegwright.loom.wrap_test import LEAST_SLACK, MOST_SLACK
from pegwright.tongue.catalogues import tongue_of
from pegwright.units import UnitSystem, parse_length_mm, parse_mass_g

__all__ = [
    "FORMAT",
    "LEAST_MM",
    "MOST_ROWS",
    "CostTable",
    "DesignForm",
    "DesignTable",
    "LoomTable",
    "PassForm",
    "Refused",
    "SampleForm",
    "SizeForm",
    "StripeForm",
    "SwatchForm",
    "WrapForm",
    "YarnForm",
    "form_of",
]

FORMAT: Final = 1
"""The version of the format that is written and read."""

MOST_ROWS: Final = 20_000
"""Most rows of a piece or swatch: fifty metres of fine fabric."""

LEAST_MM: Final = 0.01
"""The shortest length that is taken for one; a shorter one is a slip of the keyboard."""

_LEAST_G: Final = 0.001


class Refused(ValueError):
    """Carries one of our own refusals through the checker."""

    def __init__(self, error: PegwrightError) -> None:
        super().__init__(error.what)
        self.error = error


def _carried(read: Callable[[Any], float]) -> Callable[[Any], float]:
    def validate(value: object) -> float:
        try:
            return read(value)
        except PegwrightError as error:
            raise Refused(error) from error

    return validate


def _length(value: Any) -> float:
    mm = parse_length_mm(value)
    if 0 < mm < LEAST_MM:
        raise BadInput("too short to be a length here", given=value, hint="measure it again")
    return mm


def _positive_length(value: Any) -> float:
    mm = _length(value)
    if mm == 0:
        raise BadInput("a length above zero is needed", given=value, hint="measure it again")
    return mm


def _positive_mass(value: Any) -> float:
    g = parse_mass_g(value)
    if g < _LEAST_G:
        raise BadInput("a mass above zero is needed", given=value, hint="weigh it again")
    return g


def _one_line(value: str) -> str:
    if not value.isprintable():
        raise Refused(
            BadInput(
                "a name is one line of plain text",
                given=value.encode("unicode_escape").decode(),
                hint="take out line breaks and invisible characters",
            )
        )
    if not value.strip():
        raise Refused(BadInput("a name cannot be empty", given=f"“{value}”"))
    return value


def _language(value: str) -> str:
    try:
        return tongue_of(value).language
    except PegwrightError as error:
        raise Refused(error) from error


def _version(value: str) -> str:
    if re.fullmatch(r"[0-9A-Za-z](?:[0-9A-Za-z.-]{0,18}[0-9A-Za-z])?", value) is None:
        raise Refused(
            BadInput(
                "a version is a short number or name",
                given=value,
                hint='write version = "1.1", with letters, digits, dots and hyphens',
            )
        )
    return value


def _plain_text(value: str) -> str:
    bad = sorted({c for c in value if not (c.isprintable() or c == "\n")})
    if bad:
        raise Refused(
            BadInput(
                "the text holds a character that cannot be printed",
                given=" ".join(f"U+{ord(c):04X}" for c in bad[:5]),
                hint="take it out, or write it in other words",
            )
        )
    return value


_LENGTH_WORDS = 'a length with its unit, such as "7/16 in", "1 1/4 in" or "2.5 cm"'
_MASS_WORDS = 'a mass with its unit, such as "100 g" or "3 1/2 oz"'


def _quantity_schema(words: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "minLength": 2, "maxLength": 64, "$comment": words})


Length = Annotated[float, BeforeValidator(_carried(_length)), _quantity_schema(_LENGTH_WORDS)]
PositiveLength = Annotated[
    float, BeforeValidator(_carried(_positive_length)), _quantity_schema(_LENGTH_WORDS)
]
Mass = Annotated[float, BeforeValidator(_carried(parse_mass_g)), _quantity_schema(_MASS_WORDS)]
PositiveMass = Annotated[
    float, BeforeValidator(_carried(_positive_mass)), _quantity_schema(_MASS_WORDS)
]
Name = Annotated[str, Field(min_length=1, max_length=120), AfterValidator(_one_line)]
Words = Annotated[str, Field(max_length=2000), AfterValidator(_plain_text)]
Version = Annotated[str, Field(max_length=20), AfterValidator(_version)]
Language = Annotated[str, Field(max_length=12), AfterValidator(_language)]
Number = Annotated[float, Field(allow_inf_nan=False)]
Stops = Annotated[str, Field(pattern="^(F|B|FB|BF)?$")]


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class DesignTable(_Form):
    """What the design is."""

    title: Name = Field(description="The pattern's title; file names are made from it.")
    summary: Words = Field(default="", description="One or two sentences on what it is.")
    version: Version | None = Field(
        default=None,
        description="The pattern's own version, as 1.1; it is printed, and errata name it.",
    )
    garment: str = Field(
        max_length=120, description="Which garment (see: pegwright list garments)."
    )
    wrap: str | None = Field(
        default=None,
        max_length=120,
        description="The body's wrap: one that comes with Pegwright (see: pegwright list wraps) "
        "or one of the file's own [[wraps]]. The garment's usual one where it is left out.",
    )
    language: Language = Field(
        default="en",
        description="What the pattern is written in: en, de or es; a territory may follow, as in "
        "en-US.",
    )
    units: UnitSystem | None = Field(
        default=None,
        strict=False,
        description="Which units come first in the pattern; both are always printed. Where it is "
        "left out, inches for English and centimetres for the other languages.",
    )
    margin: Number = Field(
        default=0.10, ge=0, le=1, description="Yarn to have beyond the need: 0.10 for a tenth more."
    )


class LoomTable(_Form):
    """The board or ring that it is knitted on."""

    name: Name = Field(default="board", description="What the maker calls it.")
    arrangement: Arrangement = Field(
        strict=False,
        description="opposed (two rows, each peg straight across from its partner), offset (the "
        "back row shifted by half a pitch), single (one row) or ring (one closed row).",
    )
    pegs: int = Field(
        ge=1, le=MOST_PEGS, description="Pegs in one row (in the whole ring for a ring)."
    )
    pitch: PositiveLength = Field(description="From peg to peg along the row, centre to centre.")
    gap: PositiveLength | None = Field(
        default=None, description="From row to row, centre to centre; only for two rows."
    )
    peg_diameter: PositiveLength = Field(description="Thickness of a peg where the yarn lies.")
    peg_height: PositiveLength = Field(
        default=25.0, description="Height of a peg above the board; 25 mm where it is left out."
    )
    slack: Number = Field(
        default=1.0,
        ge=LEAST_SLACK,
        le=MOST_SLACK,
        description="Yarn that your own hands draw, over yarn drawn taut: measured over predicted.",
    )
    slack_sd: Number = Field(
        default=0.05, ge=0, le=1, description="How far the slack varies (standard deviation)."
    )


class SampleForm(_Form):
    """A length of yarn that was measured and weighed."""

    length: PositiveLength = Field(description="The sample's length.")
    weight: PositiveMass = Field(description="What it weighs.")
    scale: PositiveMass = Field(
        default=1.0, description="The smallest weight that the scale shows; 1 g if left out."
    )


class YarnForm(_Form):
    """A yarn in one colour."""

    name: Name = Field(description="The name on the ball band; [use] calls the yarn by it.")
    category: int = Field(ge=0, le=7, description="Weight category, 0 (lace) to 7 (jumbo).")
    metres_per_100g: Number | None = Field(
        default=None, gt=0, le=100_000, description="Metres in 100 g, as on the ball band."
    )
    metres_per_100g_sd: Number | None = Field(
        default=None, ge=0, le=100_000, description="How far off it may be (standard deviation)."
    )
    sample: SampleForm | None = Field(
        default=None, description="Instead of metres_per_100g: a length measured and weighed."
    )
    ball: PositiveMass = Field(default=100.0, description="What one ball weighs.")
    wraps_per_inch: Number | None = Field(
        default=None, gt=0, le=200, description="Turns round a ruler, side by side, in an inch."
    )
    diameter: PositiveLength | None = Field(
        default=None, description="Thickness of the yarn as it lies; better than wraps_per_inch."
    )
    fibre: Words = Field(default="", description="What it is spun from.")
    colour: Words = Field(default="", description="The colour's name.")
    colour_hex: str = Field(
        default="#8c8c8c",
        pattern="^#[0-9a-fA-F]{6}$",
        description="The colour for figures: # and six hexadecimal digits.",
    )
    available: PositiveMass | None = Field(
        default=None, description="How much of it there is; the pattern says if it is too little."
    )
    colours: Words | None = Field(
        default=None,
        description="One repeat of a yarn that changes colour along its length: "
        '"rust 30 cm, cream #f2ead8 12 in".',
    )
    colour_offset: Length | None = Field(
        default=None, description="How far into that repeat the yarn begins; at its start if not."
    )
    colour_drift: Number | None = Field(
        default=None,
        ge=0,
        le=0.25,
        description="How much one repeat differs in length from the next, 0.05 for 5 %.",
    )
    price: Number | None = Field(
        default=None, ge=0, le=1e9, description="What one ball costs; 0 for yarn that you have."
    )
    invented: bool = Field(default=False, description="The yarn is made up, as in the examples.")


class CostTable(_Form):
    """What an hour of work is worth, and what is added; only `pegwright cost` asks for it."""

    rate: Number | None = Field(
        default=None, ge=0, le=1e9, description="What an hour of work is worth."
    )
    currency: Annotated[str, Field(max_length=8), AfterValidator(_plain_text)] = Field(
        default="", description="The sign that stands before every amount; none if left out."
    )
    margin: Number = Field(
        default=0.0, ge=0, le=100, description="Added to the cost: 0.2 for a fifth more."
    )
    pace: Number | None = Field(
        default=None,
        gt=0,
        le=10_000,
        description="Loops that you wrap and knit over in a minute; 25 if left out.",
    )
    others: dict[str, Annotated[Number, Field(ge=0, le=1e9)]] = Field(
        default_factory=dict,
        max_length=100,
        description="What else is bought, by name: buttons, a label.",
    )


class SwatchForm(_Form):
    """A swatch knitted on this loom with the body's yarn and wrap, and measured."""

    stitches: int = Field(ge=1, le=10_000, description="Stitches counted across one face.")
    width: PositiveLength = Field(description="How wide those stitches are.")
    rows: int = Field(ge=1, le=MOST_ROWS, description="Rows counted.")
    length: PositiveLength = Field(description="How long those rows are.")
    washed: bool = Field(
        default=True, description="It was washed and dried as the piece will be; false if not."
    )
    note: Words = Field(default="", description="Anything to remember.")
    width_sd: Length | None = Field(
        default=None,
        description="How far off the width may be (standard deviation); a common tape's where it "
        "is left out.",
    )
    length_sd: Length | None = Field(default=None, description="The same for the length.")


class StripeForm(_Form):
    """Rows in one yarn."""

    yarn: Name = Field(description="The yarn's name.")
    rows: int = Field(ge=1, le=MOST_ROWS, description="So many rows; the cast-on is no row.")


class SizeForm(_Form):
    """A size: whom it is for, and the garment's measures (head, width …) as lengths."""

    model_config = ConfigDict(extra="allow", strict=True, frozen=True)

    name: Name = Field(description="What the size is called in the pattern.")
    wearer: Wearer | None = Field(
        default=None,
        strict=False,
        description="adult, child (below 14 years) or infant (below 3 years).",
    )
    age: str | None = Field(
        default=None, max_length=60, description='Instead of wearer: "8 years", "18 months".'
    )
    like: str | None = Field(
        default=None,
        max_length=120,
        description="The name of a size whose wearer and measures hold where this one gives none.",
    )


class PassForm(_Form):
    """One way of the yarn along the board."""

    way: Way = Field(strict=False, description="right or left, as the maker sees it.")
    columns: list[Stops] = Field(
        min_length=1,
        max_length=MOST_PEGS,
        description='The stops at each column in turn, repeated along the board: "F", "B", "FB", '
        '"BF", or "" for a column that is passed by.',
    )


class WrapForm(_Form):
    """A wrap of the maker's own."""

    name: Name = Field(description="Its name; [design] calls it by this.")
    boards: int = Field(ge=1, le=2, description="2 for two rows of pegs, 1 for one row or a ring.")
    structure: Structure = Field(strict=False, description="The kind of fabric that it gives.")
    courses: Annotated[
        list[Annotated[list[PassForm], Field(min_length=1, max_length=16)]],
        Field(min_length=1, max_length=64),
    ] = Field(description="The passes of each course; the courses are used in turn.")
    laid: Laid = Field(
        default=Laid.OUTSIDE,
        strict=False,
        description="outside (along the outside of the pegs), round (right round each peg) or "
        "inside (brought inside between pegs).",
    )
    first_row: FirstRow = Field(
        default=FirstRow.ANCHORED,
        strict=False,
        description="anchored (open loops, held by an anchor cord) or closed (loops that hold).",
    )
    cloth: Cloth = Field(
        default=Cloth.DOUBLE, strict=False, description="double, single, tube or cord."
    )
    purl: bool = Field(default=False, description="Loops are drawn through from below.")
    multiple: int = Field(
        default=1, ge=1, le=MOST_PEGS, description="It needs a multiple of so many columns …"
    )
    plus: int = Field(default=0, ge=0, le=MOST_PEGS, description="… plus so many.")
    least: int = Field(default=1, ge=1, le=MOST_PEGS, description="Fewest columns that it needs.")
    words: Words = Field(default="", description="How it is worked, for the maker.")


class DesignForm(_Form):
    """A design: one garment, one loom, its yarns, and the sizes that it is made in."""

    pegwright: Annotated[int, WithJsonSchema({"const": FORMAT})] = Field(
        description="The version of this format."
    )
    design: DesignTable
    loom: LoomTable
    yarns: list[YarnForm] = Field(
        min_length=1, max_length=100, description="Every yarn; the first is the body's."
    )
    use: dict[str, str] = Field(
        default_factory=dict,
        max_length=20,
        description="Which yarn each part of the garment is knitted with, by the yarn's name.",
    )
    swatches: list[SwatchForm] = Field(
        default_factory=list,
        max_length=100,
        description="Swatches; without any, the gauge is predicted from the loom and the yarn.",
    )
    garment: dict[str, Any] = Field(
        default_factory=dict, max_length=100, description="The garment's own options."
    )
    stripes: list[StripeForm] = Field(
        default_factory=list,
        max_length=2_000,
        description="Stripes from the cast-on, for a garment made of a strip; their rows together "
        "are the strip's. Without any it is all of the body's yarn.",
    )
    sizes: list[SizeForm] = Field(
        min_length=1, max_length=100, description="The sizes, in the order of the pattern."
    )
    wraps: list[WrapForm] = Field(
        default_factory=list, max_length=50, description="Wraps of the maker's own."
    )
    cost: CostTable | None = Field(
        default=None, description="What work is worth and what is added, for `pegwright cost`."
    )


_FORMS: dict[tuple[str, ...], type[_Form]] = {
    (): DesignForm,
    ("design",): DesignTable,
    ("loom",): LoomTable,
    ("yarns",): YarnForm,
    ("yarns", "sample"): SampleForm,
    ("cost",): CostTable,
    ("swatches",): SwatchForm,
    ("stripes",): StripeForm,
    ("sizes",): SizeForm,
    ("wraps",): WrapForm,
    ("wraps", "courses"): PassForm,
}


def form_of(path: tuple[str | int, ...]) -> type[BaseModel] | None:
    """The form of the table at a path, or None where there is none of its own."""
    return _FORMS.get(tuple(part for part in path if isinstance(part, str)))
