"""The sheet as a text file to fill in: TOML, with a remark on every line.

Whatever is left empty counts as not answered, so a tester fills in what she has and no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pegwright.designs.form import FORMAT
from pegwright.designs.writer import table_text, toml_value
from pegwright.testknit.sheet import AskedPiece, TesterSheet
from pegwright.units import UnitSystem

__all__ = ["sheet_toml"]

_BLANK = '""'
_TROUBLES = 3

Line = tuple[str, str, str]
"""A key, what stands for its value, and the remark behind it."""


def sheet_toml(sheet: TesterSheet) -> str:
    """The file; the same sheet gives the same text."""
    return "\n".join(("\n".join(lines) + "\n") for lines in _tables(sheet))


def _tables(sheet: TesterSheet) -> Iterator[Iterable[str]]:
    length = '"26 cm"' if sheet.units is UnitSystem.CENTIMETRES else '"10 1/4 in"'
    yield (
        f"# Test knit: {sheet.heading}.",
        "# Write your answers between the quotes; what you leave empty counts as not answered.",
        f'# A length carries its unit, as {length}; so does a weight, as "96 g".',
        "# The first five lines tell which pattern it was: leave them as they are.",
    )
    yield _table("", _head(sheet))
    yield _table("[board]", _board(sheet), "your board; every distance centre to centre")
    if sheet.wrap_test_pegs is not None:
        lines: list[Line] = [
            ("pegs", str(sheet.wrap_test_pegs), "pegs on each board"),
            ("drawn", _BLANK, "the yarn that it took"),
        ]
        yield _table("[wrap_test]", lines, sheet.wrap_test_words)
    yield _table("[swatch]", _swatch(), "if you knitted one: count across one face, between pins")
    names = [(m.name, _BLANK, "") for m in sheet.measures]
    yield _table("[measures]", names, "the finished piece, relaxed and flat")
    for piece in sheet.pieces:
        yield _table("[[pieces]]", _piece(piece), "flat, off the loom, before you make it up")
    for name in sheet.yarns:
        yield _table("[[yarns]]", _yarn(name), "all of this yarn on the scale, without its band")
    yield _table("[time]", _time(), 'as "4 h 30 min"')
    yield (
        "# Trouble with a step? Its number, and what it was.  The steps are:",
        *(f"#   {number:>2}  {title}" for number, title in sheet.steps),
    )
    for _ in range(_TROUBLES):
        yield _table("[[troubles]]", [("step", _BLANK, ""), ("words", _BLANK, "")])
    yield ("[remarks]", "# anything else: between the triple quotes", 'words = """', '"""')


def _head(sheet: TesterSheet) -> list[Line]:
    return [
        ("pegwright", str(FORMAT), ""),
        ("design", toml_value(sheet.key), ""),
        ("version", toml_value(sheet.version), ""),
        ("pattern", toml_value(sheet.digest), ""),
        ("size", toml_value(sheet.size), ""),
        ("tester", _BLANK, "a name or a letter, as you like it told"),
        ("scale", '"1 g"', "the smallest weight that your scale shows"),
        ("washed", _BLANK, 'was the piece washed and dried before you measured it? "yes" or "no"'),
    ]


def _board(sheet: TesterSheet) -> list[Line]:
    gap: list[Line] = [("gap", _BLANK, "from row to row")] if sheet.double else []
    return [
        ("pegs", _BLANK, "pegs in one row"),
        ("pitch", _BLANK, "from peg to peg along the row"),
        *gap,
        ("peg_diameter", _BLANK, "thickness of a peg where the yarn lies"),
    ]


def _swatch() -> list[Line]:
    return [
        ("stitches", _BLANK, "so many stitches"),
        ("width", _BLANK, "are so wide"),
        ("rows", _BLANK, "so many rows"),
        ("length", _BLANK, "are so long"),
        ("washed", _BLANK, '"yes" or "no"'),
    ]


def _piece(piece: AskedPiece) -> list[Line]:
    lines: list[Line] = [("name", toml_value(piece.name), "")]
    if piece.width is not None:
        lines.append(("width", _BLANK, "across the rows' stitches"))
    if piece.length is not None:
        lines.append(("length", _BLANK, "from the cast-on to the last row"))
    return lines


def _yarn(name: str) -> list[Line]:
    return [
        ("name", toml_value(name), ""),
        ("before", _BLANK, "what it weighed before you began"),
        ("after", _BLANK, "what was left when all was done"),
        ("instead", _BLANK, "another yarn in its place? its name"),
        ("metres_per_100g", _BLANK, "and how many metres of that one are in 100 g"),
    ]


def _time() -> list[Line]:
    return [("knitting", _BLANK, "at the loom"), ("making_up", _BLANK, "seams, cords and tails")]


def _table(header: str, lines: Iterable[Line], words: str = "") -> Iterator[str]:
    """A table with its remark, the remarks of its lines one below the other."""
    if words:
        yield f"# {words[0].upper()}{words[1:]}"
    if header:
        yield header
    rows = [(_written(key, value), remark) for key, value, remark in lines]
    wide = max((len(text) for text, remark in rows if remark), default=0)
    for text, remark in rows:
        yield f"{text.ljust(wide)}  # {remark}" if remark else text


def _written(key: str, value: str) -> str:
    """One line, its key in quotes where TOML wants them."""
    name = table_text("", {key: 0}).partition(" = ")[0]
    return f"{name} = {value}"
