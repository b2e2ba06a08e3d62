"""Stripes in design files: read, refused with their line, written, and in the schema."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import jsonschema
import pytest

from pegwright.designs.files import shipped_text
from pegwright.designs.problems import DesignRefused
from pegwright.designs.reader import read_text
from pegwright.designs.schema import design_schema
from pegwright.designs.writer import write_text
from pegwright.garments.registry import garments, takes_stripes
from pegwright.knitting.stripes import Stripe

SECOND = '\n[[yarns]]\nname = "Quayside"\ncategory = 4\nmetres_per_100g = 170\ninvented = true\n'
WHOLE = shipped_text("tern-point-scarf") + SECOND


def stripe(yarn: str, rows: object) -> str:
    return f'\n[[stripes]]\nyarn = "{yarn}"\nrows = {rows}\n'


GOOD = WHOLE + stripe("Quayside", 8) + stripe("Quayside aran", 3) + stripe("Quayside", 1)


def refusals(text: str) -> list[tuple[str, int | None, str | None, str]]:
    with pytest.raises(DesignRefused) as caught:
        read_text(text)
    errors = (caught.value, *caught.value.others)
    return [
        (e.what, e.place.line, e.place.field, e.hint or "") for e in errors if e.place is not None
    ]


def line_of(text: str, part: str, nth: int = 1) -> int:
    at = -1
    for _ in range(nth):
        at = text.index(part, at + 1)
    return text.count("\n", 0, at) + 1


def test_stripes_are_read_in_order() -> None:
    design = read_text(GOOD)
    assert design.stripes == (
        Stripe("Quayside", 8),
        Stripe("Quayside aran", 3),
        Stripe("Quayside", 1),
    )


def test_stripes_are_written_and_read_back() -> None:
    design = read_text(GOOD)
    again = read_text(write_text(design))
    assert again == design
    assert again != replace(design, stripes=())


@pytest.mark.parametrize(
    ("text", "part", "field", "what", "hint"),
    [
        (WHOLE + stripe("Quayside arn", 8), 'yarn = "Quayside arn"', "stripes[1].yarn",
         "no yarn of this name", "Quayside aran"),
        (GOOD + stripe("Quayside", 4), 'yarn = "Quayside"\nrows = 4', "stripes[4].yarn",
         "the stripe before is of the same yarn", "add its rows"),
        (WHOLE + stripe("Quayside", 0), "rows = 0", "stripes[1].rows", "1 or more", ""),
        (WHOLE + stripe("Quayside", -3), "rows = -3", "stripes[1].rows", "1 or more", ""),
        (WHOLE + stripe("Quayside", 8.5), "rows = 8.5", "stripes[1].rows", "whole number", ""),
        (WHOLE + stripe("Quayside", '"8"'), 'rows = "8"', "stripes[1].rows", "whole number", ""),
        (WHOLE + '\n[[stripes]]\nyarn = "Quayside"\n', "[[stripes]]", "stripes[1].rows",
         "“rows” is missing", "so many rows"),
        (GOOD + "width = 3\n", "width = 3", "stripes[3].width", "not known here", ""),
        (GOOD.replace('bind_off = "over"', "rows = 13"), "rows = 13", "garment.rows",
         "do not add up", "leave the rows out"),
    ],
)  # fmt: skip
def test_a_slip_is_refused_with_its_line(
    text: str, part: str, field: str, what: str, hint: str
) -> None:
    found = refusals(text)
    assert len(found) == 1
    told, line, at, advice = found[0]
    assert what in told
    assert (line, at) == (line_of(text, part), field)
    assert hint.lower() in advice.lower()


def test_rows_that_agree_with_the_stripes_are_taken() -> None:
    text = GOOD.replace('bind_off = "over"', "rows = 12")
    assert read_text(text).options["rows"] == 12


def test_only_garments_that_are_a_strip_take_stripes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pegwright.designs.build.takes_stripes", lambda _: False)
    ((what, line, field, hint),) = refusals(GOOD)
    assert what == "the garment “plain-strip” takes no stripes"
    assert (line, field) == (line_of(GOOD, "[[stripes]]"), "stripes[1]")
    assert "leave them out" in hint


def test_the_schema_knows_stripes() -> None:
    validator = jsonschema.Draft202012Validator(design_schema())
    validator.validate(tomllib.loads(GOOD))
    for wrong in (stripe("Quayside", 0), stripe("Quayside", 8) + "colour = 3\n"):
        assert not validator.is_valid(tomllib.loads(WHOLE + wrong))
    for name, kind in garments().items():
        stripes = [{"yarn": "Quayside", "rows": 2}]
        data = {"design": {"garment": name}, "stripes": stripes}
        told = {".".join(map(str, e.path)) for e in validator.iter_errors(data)}
        assert ("stripes" in told) != takes_stripes(kind)
