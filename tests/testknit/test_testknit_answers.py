"""Answers are read, and what cannot be is refused with its file, line and the nearest key."""

from __future__ import annotations

import pytest

from pegwright.designs.problems import DesignRefused
from pegwright.errors import BadInput, PegwrightError
from pegwright.testknit.answers import Trouble, read_answers
from pegwright.testknit.basis import Basis
from tests.testknit.conftest import Fill

GOOD = {
    "tester": "stroke",
    "washed": "yes",
    "pegs": "44",
    "pitch": "7/16 in",
    "gap": "1 in",
    "drawn": "44 in",
    "depth": "10 5/8 in",
    "height": "34 cm",
    "before": "200 g",
    "after": "62 g",
    "knitting": "4 h 30 min",
    "making_up": "50 min",
    "step": "7",
    "words": "three loops slipped",
}


def test_a_filled_in_form_is_read(base: Basis, fill: Fill) -> None:
    answers = read_answers(fill("bow", **GOOD), base.sheets)
    assert (answers.tester, answers.size, answers.version) == ("stroke", "bow", "1.0")
    assert answers.washed is True
    assert answers.board.pegs == 44
    assert answers.board.gap_mm == pytest.approx(25.4)
    assert answers.wrap_test_mm == pytest.approx(44 * 25.4)
    assert answers.measure_mm("depth") == pytest.approx(10.625 * 25.4)
    assert answers.measure_mm("height") == 340
    assert answers.measure_mm("cord") is None
    assert answers.yarns[0].used_g == 138
    assert (answers.knitting_min, answers.making_up_min) == (270, 50)
    assert answers.troubles == (Trouble(7, "three loops slipped"),)


@pytest.mark.parametrize(
    ("given", "minutes"),
    [("4 h 30 min", 270), ("4h", 240), ("45 min", 45), ("90", 90), ("1.5 hours", 90)],
)
def test_times_as_makers_write_them(base: Basis, fill: Fill, given: str, minutes: float) -> None:
    assert read_answers(fill("bow", knitting=given), base.sheets).knitting_min == minutes


WRONG = [
    # What is answered, the key that is named, what is tried.
    ({"size": "bwo"}, "size", "bow"),
    ({"measures": "dpeth"}, "measures.dpeth", "depth"),
    ({"yarn": "Slipway worstd"}, "yarns[1].name", "Slipway worsted"),
    ({"piece": "strpi"}, "pieces[1].name", "strip"),
    ({"key": "gp"}, "board.gp", "gap"),
    ({"step": "14"}, "troubles[1].step", "1 to 13"),
    ({"step": "0"}, "troubles[1].step", "1 to 13"),
    ({"before": "-5 g", "after": "1 g"}, "yarns[1].before", ""),
    ({"before": "100 g", "after": "120 g"}, "yarns[1].after", "weigh"),
    ({"before": "100 g"}, "yarns[1]", "both"),
    ({"depth": "10 cm"}, "measures.depth", "10 5/8 in"),  # inches written as centimetres
    ({"depth": "27 in"}, "measures.depth", "10 5/8 in"),
    ({"depth": "0 cm"}, "measures.depth", "measure"),
    ({"depth": "27"}, "measures.depth", ""),  # no unit
    ({"knitting": "soon"}, "time.knitting", "4 h 30 min"),
    ({"washed": "perhaps"}, "washed", ""),
    ({"stitches": "20", "width": "18 cm"}, "swatch", "all four"),
    ({"words": "it was hard"}, "troubles[1]", "number"),
    ({"pitch": "wide"}, "board.pitch", ""),
    ({"pegs": "many"}, "board.pegs", ""),
]

SWAPS = {
    "size": 'size = "bow"',
    "yarn": 'name = "Slipway worsted"',
    "piece": 'name = "strip"',
    "measures": "depth",
    "key": "gap",
}


def slipped(fill: Fill, wrong: dict[str, str]) -> str:
    (name, value), *_ = wrong.items()
    old = SWAPS.get(name)
    if old is None:
        return fill("bow", **wrong)
    text = fill("bow", depth="27 cm", gap="1 in")
    new = f'{old.partition(" = ")[0]} = "{value}"' if " = " in old else value
    assert f"\n{old}" in text
    return text.replace(f"\n{old}", f"\n{new}", 1)


@pytest.mark.parametrize(("wrong", "field", "hint"), WRONG)
def test_a_bad_answer_is_named_with_its_line(
    base: Basis, fill: Fill, wrong: dict[str, str], field: str, hint: str
) -> None:
    text = slipped(fill, wrong)
    with pytest.raises(BadInput) as caught:
        read_answers(text, base.sheets, "stroke.toml")
    error = caught.value
    assert error.place is not None
    assert error.place.file == "stroke.toml"
    assert error.place.field == field
    line = text.splitlines()[(error.place.line or 0) - 1]
    last = field.rpartition(".")[2].partition("[")[0]
    assert last in line
    assert hint in (error.hint or "") + error.what
    assert not getattr(error, "others", ())


def test_several_bad_answers_are_told_in_one_go(base: Basis, fill: Fill) -> None:
    text = fill("bow", step="99", after="3 g", depth="3 cm")
    with pytest.raises(DesignRefused) as caught:
        read_answers(text, base.sheets)
    lines = [e.place.line for e in (caught.value, *caught.value.others) if e.place and e.place.line]
    assert len(lines) == 3
    assert lines == sorted(lines)


def test_answers_about_another_design_are_refused(base: Basis, fill: Fill) -> None:
    text = fill("bow").replace('design = "tern-point-hood"', 'design = "tern-point-cap"')
    with pytest.raises(BadInput, match="another design") as caught:
        read_answers(text, base.sheets)
    assert "tern-point-hood" in (caught.value.hint or "")


def test_a_wrap_test_over_other_pegs_is_refused(base: Basis, fill: Fill) -> None:
    text = fill("bow", drawn="30 in").replace("\npegs = 15", "\npegs = 10")
    with pytest.raises(BadInput, match="another number of pegs"):
        read_answers(text, base.sheets)


@pytest.mark.parametrize("text", ["", "size =", "[[size]]", "size = 3", 'size = "bow"\nsize = 1'])
def test_what_is_no_answer_at_all_is_refused(base: Basis, text: str) -> None:
    with pytest.raises(PegwrightError) as caught:
        read_answers(text, base.sheets, "x.toml")
    assert caught.value.place is not None
    assert caught.value.place.file == "x.toml"
