"""What a design file says comes out as meant, or is refused at its own line, with its mend."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from pegwright.designs.build import _SAMPLE_READ_TO_M
from pegwright.designs.files import shipped_text
from pegwright.designs.model import Design
from pegwright.designs.problems import DesignRefused
from pegwright.designs.reader import read_bytes, read_text
from pegwright.errors import BadInput
from pegwright.garments.base import Wearer
from pegwright.knitting.wraps import Way
from pegwright.loom.board import Arrangement
from pegwright.units import UnitSystem
from pegwright.yarn.yarn import DiameterSource

HOOD = """\
pegwright = 1
[design]
title = "Tern Point hood"
garment = "folded-strip-hood"
[loom]
arrangement = "opposed"
pegs = 40
pitch = "7/16 in"
gap = "1 in"
peg_diameter = "3/16 in"
[[yarns]]
name = "Slipway"
category = 4
metres_per_100g = 175
wraps_per_inch = 10
[garment]
closing = "cord"
[[sizes]]
name = "cox"
wearer = "adult"
head = "55 cm"
[[sizes]]
name = "bow"
like = "cox"
head = "57 cm"
"""


def changed(*pairs: tuple[str, str]) -> str:
    text = HOOD
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def refusal(text: str) -> BadInput:
    with pytest.raises(BadInput) as caught:
        read_text(text, "hood.toml")
    return caught.value


# --- what is read --------------------------------------------------------------------------------


def test_the_small_hood() -> None:
    design = read_text(HOOD)
    assert design.loom.arrangement is Arrangement.OPPOSED
    assert design.loom.pitch_mm == pytest.approx(11.1125)  # 7/16 of 25.4, by hand
    assert design.loom.gap_mm == 25.4
    assert design.units is UnitSystem.INCHES
    assert design.wrap.name == "double-board stockinette"  # the garment's usual one
    assert dict(design.use) == {"body": "Slipway"}
    assert design.options == {"closing": "cord"}
    assert [(s.name, s.wearer, dict(s.measures)) for s in design.sizes] == [
        ("cox", Wearer.ADULT, {"head": 550.0}),
        ("bow", Wearer.ADULT, {"head": 570.0}),  # like the cox but for its own head
    ]
    assert design.source == HOOD


@pytest.mark.parametrize(
    ("age", "wearer", "months"),
    [
        ("2 years 11 months", Wearer.INFANT, 35),
        ("35 months", Wearer.INFANT, 35),
        ("3 years", Wearer.CHILD, 36),  # an infant is below three
        ("13 years, 11 months", Wearer.CHILD, 167),
        ("14 years", Wearer.ADULT, 168),  # a child is below fourteen
        ("6 weeks", Wearer.INFANT, 42 / 30.4375),  # days in a month: 365.25 / 12
        ("1 year and 6 months", Wearer.INFANT, 18),
    ],
)
def test_an_age_says_who_wears_it(age: str, wearer: Wearer, months: float) -> None:
    design = read_text(changed((WEARER, f'age = "{age}"')))
    assert design.sizes[0].wearer is wearer
    assert design.sizes[0].age_months == pytest.approx(months)
    assert design.sizes[1].wearer is wearer  # like the first


def test_a_weighed_sample_stands_for_the_ball_band() -> None:
    sample = 'sample = { length = "15 m", weight = "9.6 g", scale = "0.1 g" }'
    yarn = read_text(changed(("metres_per_100g = 175", sample))).body_yarn
    assert yarn.metres_per_100g == pytest.approx(156.25)  # 15 / 9.6 * 100, by hand
    # a step of 0.1 g in 9.6 g and of 1 cm in 15 m, both over the root of 12
    relative = math.hypot(0.1 / 9.6, _SAMPLE_READ_TO_M / 15) / math.sqrt(12)
    assert yarn.metres_per_100g_sd == pytest.approx(156.25 * relative)


def test_a_measured_diameter_comes_before_wraps() -> None:
    design = read_text(changed(("wraps_per_inch = 10", 'wraps_per_inch = 10\ndiameter = "2.4 mm"')))
    assert design.body_yarn.wrapped_diameter_mm == pytest.approx(2.4)
    assert design.body_yarn.diameter_source is DiameterSource.GIVEN


def test_swatches_slack_margin_and_yarn_at_hand() -> None:
    text = changed(
        ('garment = "folded', 'margin = 0.2\ngarment = "folded'),
        ("[[yarns]]", "slack = 1.05\nslack_sd = 0.02\n[[yarns]]"),
        ("category = 4", 'category = 4\navailable = "250 g"'),
        (
            "[garment]",
            '[[swatches]]\nstitches = 20\nwidth = "6 1/4 in"\n'
            'rows = 24\nlength = "4 in"\n[garment]',
        ),
    )
    design = read_text(text)
    assert design.margin == 0.2
    assert (design.slack.value, design.slack.sd) == (1.05, 0.02)
    assert dict(design.available_g) == {"Slipway": 250.0}
    assert design.swatches[0].width.value == pytest.approx(158.75)
    assert design.swatches[0].washed


WRAP = """
[[wraps]]
name = "harbour rib"
boards = 2
structure = "rib"
courses = [ [ { way = "right", columns = ["FB"] } ], [ { way = "left", columns = ["FB", ""] } ] ]
"""


def test_a_wrap_of_ones_own() -> None:
    text = changed(('garment = "folded', 'wrap = "harbour rib"\ngarment = "folded')) + WRAP
    wrap = read_text(text).wrap
    assert wrap.name == "harbour rib"
    assert [(p.way, p.columns) for p in wrap.passes()] == [
        (Way.RIGHT, ("FB",)),
        (Way.LEFT, ("FB", "")),
    ]


@pytest.mark.parametrize(
    "make",
    [
        lambda text: b"\xef\xbb\xbf" + text.encode(),  # a byte order mark, as some editors write
        lambda text: text.replace("\n", "\r\n").encode(),  # line ends of another system
        lambda text: text.encode() + b"\n\n# the end",
    ],
)
def test_harmless_differences_of_editors(make: Callable[[str], bytes]) -> None:
    assert read_bytes(make(HOOD)) == read_text(HOOD)


# --- what is refused -----------------------------------------------------------------------------

GAP, YARN, SIZE, WEARER = 'gap = "1 in"', "category = 4", 'head = "55 cm"', 'wearer = "adult"'
SAMPLE = 'sample = { length = "1 m", weight = "1 g" }'
USE = "[use]\n{}\n[garment]"


@pytest.mark.parametrize(
    ("old", "new", "line", "field", "what", "hint"),
    [
        # numbers that are none, or cannot be
        ("pegs = 40", "pegs = 0", 7, "loom.pegs", "1 or more", ""),
        ("pegs = 40", "pegs = 4_000_000", 7, "loom.pegs", "at most 2000", ""),
        ("pegs = 40", "pegs = 40.0", 7, "loom.pegs", "whole number", ""),
        ("pegs = 40", "pegs = true", 7, "loom.pegs", "whole number", ""),
        ("pegs = 40", "pegs = " + "9" * 4000, 7, "loom.pegs", "at most 2000", ""),
        ("= 175", "= nan", 14, "yarns[1].metres_per_100g", "finite", ""),
        ("= 175", "= inf", 14, "yarns[1].metres_per_100g", "finite", ""),
        ("= 175", "= -1", 14, "yarns[1].metres_per_100g", "more than 0", ""),
        ("= 175", '= "175"', 14, "yarns[1].metres_per_100g", "a number", ""),
        # lengths
        (GAP, 'gap = "-1 in"', 9, "loom.gap", "below zero", ""),
        (GAP, 'gap = "1/8 in"', 9, "loom.gap", "touch", "spacers"),
        (GAP, 'gap = "0 in"', 9, "loom.gap", "above zero", ""),
        (GAP, "gap = 25.4", 9, "loom.gap", "needs its unit", "8 1/2 in"),
        (GAP, 'gap = "1 inhc"', 9, "loom.gap", "no such unit", "inch"),
        (GAP, 'gap = "1/4 in"', 15, "yarns[1].wraps_per_inch", "thicker", "thinner"),
        ('pitch = "7/16 in"', 'pitch = "1/8 in"', 8, "loom.pitch", "touch", "centre"),
        # words that are nearly right
        (GAP, 'gapp = "1 in"', 9, "loom.gapp", "“gapp”", "“gap”"),
        ('"opposed"', '"oposed"', 6, "loom.arrangement", "not one of", "“opposed”"),
        ('"folded-strip-hood"', '"folded-hood"', 4, "design.garment", "no such garment", "folded"),
        ("closing", "clsing", 17, "garment.clsing", "no option", "“closing”"),
        ('"cord"', '"chord"', 17, "garment.closing", "no such choice", "“cord”"),
        (SIZE, 'haed = "55 cm"', 21, "sizes[1].haed", "no measure", "“head”"),
        ('like = "cox"', 'like = "cx"', 24, "sizes[2].like", "no size", "“cox”"),
        ("[garment]", USE.format('body = "Slpway"'), 17, "use.body", "no yarn", "“Slipway”"),
        ("[garment]", USE.format('bdy = "Slipway"'), 17, "use.bdy", "no part", "“body”"),
        # what does not go together
        (GAP, "", 5, "loom", "“gap” is missing", "row to row"),
        ('"opposed"', '"single"', 9, "loom.gap", "no gap", "leave it out"),
        ('title = ', 'wrap = "e-wrap"\ntitle = ', 3, "design.wrap", "one row", ""),
        ('name = "bow"', 'name = "Cox"', 23, "sizes[2].name", "same name", "apart"),
        (WEARER, f'age = "9 years"\n{WEARER}', 21, "sizes[1].wearer", "agree", "child"),
        (WEARER, "", 18, "sizes[1].wearer", "who will wear", "infant"),
        (WEARER, 'age = "soon"', 20, "sizes[1].age", "as an age", "8 years"),
        (WEARER, 'age = "999 years"', 20, "sizes[1].age", "as an age", ""),
        (SIZE, "", 18, "sizes[1].head", "missing", "round the head"),
        (SIZE, 'head = "5 cm"', 21, "sizes[1].head", "between", "round the head"),
        (SIZE, "head = 55", 21, "sizes[1].head", "in quotes", ""),
        ('"cord"', '"cord"\nrows = 1_000_000', 18, "garment.rows", "to 20000", ""),
        ('"cord"', '"cord"\nease = "90 in"', 18, "garment.ease", "a length from", ""),
        ('"cord"', "[1]", 17, "garment.closing", "no such choice", ""),
        (YARN, f'{YARN}\n{SAMPLE}', 11, "yarns[1]", "not both", ""),
        (YARN, f'{YARN}\ncolour_hex = "red"', 14, "yarns[1].colour_hex", "read here", "#1f4e79"),
        # texts
        ('"Tern Point hood"', '"Tern\\nPoint"', 3, "design.title", "one line", ""),
        ('"Tern Point hood"', '"  "', 3, "design.title", "empty", ""),
        ('"Tern Point hood"', '"\\u202E"', 3, "design.title", "one line", ""),
        # the version
        ("pegwright = 1", "pegwright = 2", 1, "pegwright", "version", "newer"),
        ("pegwright = 1", "pegwright = true", 1, "pegwright", "version", ""),
        ("pegwright = 1", "", None, "pegwright", "does not say", "pegwright = 1"),
    ],
)  # fmt: skip
def test_refusals(old: str, new: str, line: int | None, field: str, what: str, hint: str) -> None:
    error = refusal(changed((old, new)))
    assert what in error.what
    assert hint in (error.hint or "")
    assert error.place is not None
    assert (error.place.file, error.place.line, error.place.field) == ("hood.toml", line, field)


def test_all_that_is_wrong_is_told_at_once() -> None:
    error = refusal(changed(("pegs = 40", "pegs = 0"), (GAP, "gap = 1"), (SIZE, "head = 55")))
    assert isinstance(error, DesignRefused)
    assert "and 1 more" in str(error)  # the head belongs to the garment: checked after the form
    data = error.as_data()
    assert (data["line"], data["field"]) == (7, "loom.pegs")
    assert isinstance(data["more"], list)
    assert [other["field"] for other in data["more"]] == ["loom.gap"]
    assert set(data) - {"more"} == set(data["more"][0])


def test_problems_are_told_in_the_order_of_the_file() -> None:
    error = refusal(changed((SIZE, 'head = "5 cm"'), ("closing", "clsing"), (GAP, 'gap = "3 mm"')))
    assert isinstance(error, DesignRefused)
    lines = [e.place.line for e in (error, *error.others) if e.place]
    assert lines == [9, 17, 21]


@pytest.mark.parametrize(
    ("likes", "ring"),
    [
        (("a",), "a → a"),  # like itself
        (("b", "a"), "a → b → a"),
        (("b", "c", "a"), "a → b → c → a"),
        (("b", "c", "b"), "b → c → b"),  # the ring does not hold the first
    ],
)
def test_a_ring_of_sizes_is_named_once(likes: tuple[str, ...], ring: str) -> None:
    head = HOOD[: HOOD.index("[[sizes]]")]
    sizes = "".join(
        f'[[sizes]]\nname = "{name}"\nwearer = "adult"\nlike = "{like}"\nhead = "55 cm"\n'
        for name, like in zip("abc", likes, strict=False)
    )
    error = refusal(head + sizes)
    assert isinstance(error, DesignRefused)
    assert "round in a ring" in error.what
    assert error.given == ring
    assert not error.others


def test_a_wrap_may_not_take_the_name_of_a_shipped_one() -> None:
    error = refusal(HOOD + WRAP.replace("harbour rib", "e-wrap"))
    assert "comes with Pegwright" in error.what


def test_a_wrap_with_letters_that_are_no_boards() -> None:
    error = refusal(HOOD + WRAP.replace('["FB"]', '["FX"]'))
    assert error.place is not None
    assert error.place.field == "wraps[1].courses[1][1].columns[1]"
    assert '"BF"' in (error.hint or "")


@pytest.mark.parametrize(
    ("data", "what", "line"),
    [
        (b"pegwright = 1\ntitle = \xff", "UTF-8", 2),
        (HOOD.encode("utf-16"), "UTF-8", 1),
        (b"pegwright = 1\n\x00", "character", 2),
        (b"pegwright = 1\nloom = ", "cannot be read", 2),
        (b"pegwright = 1\n[loom\n", "cannot be read", 2),
        (b"pegwright = 1\npegwright = 1\n", "cannot be read", 2),
        (b'pegwright = 1\ntitle = "open', "cannot be read", 2),
        (b"x = " + b"9" * 5000, "too large to be read", None),
        (b"#" * 1_000_001, "too large to be a design", None),
        (b"", "does not say that it is a design", None),
    ],
)
def test_files_that_are_no_designs(data: bytes, what: str, line: int | None) -> None:
    with pytest.raises(BadInput) as caught:
        read_bytes(data, "hood.toml")
    assert what in caught.value.what
    assert caught.value.place is not None
    assert (caught.value.place.file, caught.value.place.line) == ("hood.toml", line)


def test_the_scarf_reads_its_own_units() -> None:
    scarf: Design = read_text(shipped_text("tern-point-scarf"))
    assert scarf.units is UnitSystem.CENTIMETRES
    assert [dict(size.measures) for size in scarf.sizes] == [
        {"width": 180.0, "length": 1400.0},
        {"width": 180.0, "length": 1800.0},
    ]
