"""The form shows all that a design file can say, and changes nothing that it is not told to."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import BaseModel
from starlette.testclient import TestClient

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.form import (
    CostTable,
    DesignTable,
    LoomTable,
    PassForm,
    SampleForm,
    SizeForm,
    StripeForm,
    SwatchForm,
    WrapForm,
    YarnForm,
)
from pegwright.designs.reader import read_text
from pegwright.errors import BadInput
from pegwright.knitting.wraps import SHIPPED
from pegwright.library.records import Record
from pegwright.studio.designs.asking import ChangeAsked, changes_of
from pegwright.studio.designs.edits import changed
from pegwright.studio.designs.sheet import SheetField, all_fields, sheet
from pegwright.studio.designs.sheet_wraps import stops_of, stops_text
from tests.studio.test_edits import difference
from tests.studio.test_studio_designs import do, patch, view_of

HOOD = shipped_text("tern-point-hood")

RICH = """\
# The winter-kit circle's own hood; all of it is invented.
pegwright = 1

[design]
title = "Launch hood"
summary = '''Two lines,
written by hand.'''
version = "1.2"
garment = "folded-strip-hood"
wrap = "harbour rib"
language = "de-AT"   # with a territory
units = "centimetres"
margin = 0.10

[loom]
name = "boathouse board"
arrangement = "opposed"
pegs = 44
pitch = "7/16 in"
gap = '1 in'         # in other quotes
peg_diameter = "3/16 in"
peg_height = "25 mm"
slack = 1.00
slack_sd = 5e-2

[[yarns]]
name = "Slipway worsted"
category = 4
sample = { length = "15 m", weight = "9.6 g", scale = "0.1 g" }
ball = "100 g"
wraps_per_inch = 10
fibre = "wool"
colour = "rust"
colour_hex = "#A33B1F"
available = "400 g"
colours = "rust 30 cm, cream 12 in, harbour blue #2f5d7c 40 cm"
colour_offset = "10 cm"
colour_drift = 0.050
price = 7.50
invented = true

[[yarns]]
name = "Quayside aran"
category = 4
metres_per_100g = 160.0
metres_per_100g_sd = 4.80
diameter = "3 mm"

[use]
cord = "Quayside aran"

[garment]
closing = "cord"

[[swatches]]
stitches = 20
width = "6 in"
rows = 24
length = "4 in"
washed = false
note = "by the stove"
width_sd = "2 mm"
length_sd = "2 mm"

[[stripes]]
yarn = "Slipway worsted"
rows = 80

[[sizes]]
name = "cox"
age = "30 years"
head = "55 cm"

[[sizes]]
name = "bow"
wearer = "adult"
like = "cox"
head = "57 cm"

[[wraps]]
name = "harbour rib"
boards = 2
structure = "rib"
courses = [
  [ { way = "right", columns = ["FB"] } ],   # out
  [ { columns = ["FB", "BF"], way = "left" }, { way = "right", columns = ["", "F"] } ],
]
laid = "outside"
first_row = "anchored"
cloth = "double"
purl = false
multiple = 1
plus = 0
least = 2
words = "Every peg in one pass."

[cost]
currency = "CHF "
rate = 12.50         # an hour
margin = 0.20
pace = 22
others = { label = 0.40, "wooden buttons" = 2 }
"""

SECTION = RICH.replace(
    'others = { label = 0.40, "wooden buttons" = 2 }\n',
    '\n[cost.others]\nlabel = 0.40   # woven\n"wooden buttons" = 2\n',
)
DOTTED = RICH.replace(
    'others = { label = 0.40, "wooden buttons" = 2 }\n',
    'others.label = 0.40   # woven\nothers."wooden buttons" = 2\n',
)
WRITINGS = {"inline": RICH, "section": SECTION, "dotted": DOTTED}


def fields_in(text: str) -> list[SheetField]:
    return list(all_fields(sheet(tomllib.loads(text))))


def asked(text: str, *changes: dict[str, Any]) -> str:
    """The text after changes as the page asks for them."""
    given = [ChangeAsked.model_validate(change) for change in changes]
    return changed(text, changes_of(tomllib.loads(text), given))


TEXTS = {name: shipped_text(name) for name in shipped_designs()} | WRITINGS


@pytest.mark.parametrize("name", TEXTS)
def test_every_field_put_to_what_it_says_changes_no_letter(name: str) -> None:
    text = TEXTS[name]
    fields = fields_in(text)
    values = {f.path: f.value == "true" if f.kind == "flag" else f.value for f in fields}
    changes = [{"path": path, "value": value} for path, value in values.items() if value != ""]
    flags = {f.path for f in fields if f.kind == "flag" and f.value == ""}
    changes = [change for change in changes if change["path"] not in flags]
    assert len(changes) > 15
    assert asked(text, *changes) == text


FORMS: list[tuple[str, type[BaseModel]]] = [
    ("design", DesignTable),
    ("loom", LoomTable),
    ("yarns[1]", YarnForm),
    ("yarns[1].sample", SampleForm),
    ("swatches[1]", SwatchForm),
    ("stripes[1]", StripeForm),
    ("sizes[1]", SizeForm),
    ("wraps[1]", WrapForm),
    ("wraps[1].courses[2][1]", PassForm),
    ("cost", CostTable),
]
INSIDE = {"yarns[1].sample", "wraps[1].courses", "cost.others"}  # tables with fields of their own


@pytest.mark.parametrize(("table", "form"), FORMS, ids=[table for table, _ in FORMS])
def test_the_form_has_a_field_for_every_key(table: str, form: type[BaseModel]) -> None:
    shown = {field.path for field in fields_in(RICH)}
    keys = {f"{table}.{name}" for name in form.model_fields} - INSIDE
    assert keys <= shown, f"only the text can say {keys - shown}"
    assert all(any(path.startswith(inside) for path in shown) for inside in INSIDE)


@pytest.mark.parametrize("name", WRITINGS)
def test_a_design_from_the_text_opens_in_the_form_without_loss(
    client: TestClient, hood: Record, name: str
) -> None:
    view = view_of(client, hood)
    path = f"/api/designs/{hood.id}/text"
    body = {"revision": view["revision"], "text": WRITINGS[name]}
    view = client.put(path, json=body).json()
    assert view["problems"] == []
    assert view["text"] == WRITINGS[name]
    keys = [group["key"] for group in view["sheet"]]
    assert keys[-2:] == ["wraps", "cost"]
    others = view["sheet"][-1]["lists"][0]["rows"]
    assert [row["title"] for row in others] == ["label", "wooden buttons"]
    after = patch(client, view, {"path": "cost.rate", "value": "13"})
    assert difference(WRITINGS[name], after["text"]) == (
        ["rate = 12.50         # an hour"],
        ["rate = 13         # an hour"],
    )
    assert do(client, after, "undo")["text"] == WRITINGS[name]


# --- what else is bought -------------------------------------------------------------------------


@pytest.mark.parametrize("name", WRITINGS)
def test_what_else_is_bought_is_named_anew_priced_added_and_removed(name: str) -> None:
    text = WRITINGS[name]
    before = dict(read_text(text).costing.others)  # type: ignore[union-attr]
    assert before == {"label": 0.40, "wooden buttons": 2}

    def others(made: str) -> dict[str, float]:
        costing = read_text(made).costing
        assert costing is not None
        return dict(costing.others)

    named = asked(text, {"path": "cost.others[1].name", "value": " 3.5 cm  label "})
    assert list(others(named).items()) == [("3.5 cm label", 0.40), ("wooden buttons", 2)]
    assert named.replace('"3.5 cm label"', "label") == text, "only the name is written anew"
    priced = asked(text, {"path": "cost.others[2].amount", "value": "2,40"})
    assert others(priced) == {"label": 0.40, "wooden buttons": 2.4}
    row = {"name": "ribbon", "amount": "0.9"}
    added = asked(text, {"do": "add", "path": "cost.others", "row": row})
    assert others(added) == {**before, "ribbon": 0.9}
    gone, _ = difference(text, added)
    assert len(gone) <= 1, "at most the line of an inline table is written anew"
    fewer = asked(text, {"do": "remove", "path": "cost.others[1]"})
    assert others(fewer) == {"wooden buttons": 2}
    none = asked(fewer, {"do": "remove", "path": "cost.others[1]"})
    assert "others" not in none
    assert "rate = 12.50" in none


def test_a_price_that_was_put_in_and_emptied_leaves_no_trace() -> None:
    row = {"name": "label", "amount": "0.40"}
    text = asked(
        HOOD, {"path": "cost.rate", "value": "12"}, {"do": "add", "path": "cost.others", "row": row}
    )
    assert difference(HOOD, text) == (
        [],
        ["", "[cost]", "rate = 12", "others = { label = 0.4 }"],
    )
    emptied = asked(
        text, {"do": "remove", "path": "cost.others[1]"}, {"path": "cost.rate", "value": ""}
    )
    assert emptied == HOOD


def test_a_group_with_a_remark_of_the_maker_s_stays() -> None:
    text = HOOD + "\n[cost]\n# asked in spring\nrate = 12\n"
    assert asked(text, {"path": "cost.rate", "value": ""}) == text.replace("rate = 12\n", "")


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"path": "cost.others[1].name", "value": "wooden buttons"}, "bought already"),
        ({"path": "cost.others[1].name", "value": "  "}, "say what it is"),
        ({"do": "add", "path": "cost.others", "row": {"name": "label"}}, "bought already"),
        ({"path": "cost.others[3].name", "value": "x"}, "no such place"),
        ({"path": "cost.others[1].colour", "value": "x"}, "no such place"),
        ({"do": "remove", "path": "cost.others[9]"}, "no such place"),
        ({"do": "move", "path": "cost.others[1]", "to": 2}, "no such place"),
    ],
)
@pytest.mark.parametrize("name", WRITINGS)
def test_what_cannot_be_bought_is_refused_at_its_field(
    name: str, change: dict[str, Any], what: str
) -> None:
    with pytest.raises(BadInput, match=what) as refused:
        asked(WRITINGS[name], change)
    assert refused.value.place is not None
    assert (refused.value.place.field or "").startswith("cost.others")


def test_an_amount_that_is_none_stays_and_is_refused_by_its_name(
    client: TestClient, hood: Record
) -> None:
    row = {"name": "wooden buttons", "amount": "2"}
    view = patch(client, view_of(client, hood), {"do": "add", "path": "cost.others", "row": row})
    for typed in ("two", ""):
        view = patch(client, view, {"path": "cost.others[1].amount", "value": typed})
        (problem,) = view["problems"]
        (row_shown,) = view["sheet"][-1]["lists"][0]["rows"]
        amount = row_shown["fields"][1]
        assert amount["value"] == typed
        assert problem["field"] == amount["also"]


# --- wraps of the maker's own --------------------------------------------------------------------


def test_a_new_wrap_is_a_copy_of_the_one_in_use() -> None:
    for garment, usual in (("tern-point-hood", SHIPPED[0]), ("tern-point-ribbed-scarf", None)):
        text = shipped_text(garment)
        design = read_text(text)
        made = asked(text, {"do": "add", "path": "wraps", "row": {"name": "harbour wrap"}},
                     {"path": "design.wrap", "value": "harbour wrap"})  # fmt: skip
        own = read_text(made).wrap
        assert own.name == "harbour wrap"
        assert own.courses == design.wrap.courses
        assert (own.structure, own.laid, own.least, own.multiple, own.plus) == (
            design.wrap.structure,
            design.wrap.laid,
            design.wrap.least,
            design.wrap.multiple,
            design.wrap.plus,
        )
        assert usual is None or design.wrap == usual
    again = asked(RICH, {"do": "add", "path": "wraps", "row": {"name": "second"}})
    assert read_text(again) == read_text(RICH)
    first, second = tomllib.loads(again)["wraps"]
    assert {**second, "name": "harbour rib"} == first


def test_courses_and_passes_are_laid_down_in_the_form() -> None:
    made = asked(
        RICH,
        {"path": "wraps[1].courses[1][1].columns", "value": "b, f -"},
        {"path": "wraps[1].courses[2][1].way", "value": "right"},
        {"do": "remove", "path": "wraps[1].courses[2][2]"},
    )
    gone, come = difference(RICH, made)
    assert [line.split("#")[0].strip() for line in come] == [
        '[ { way = "right", columns = ["B", "F", ""] } ],',
        '[ { columns = ["FB", "BF"], way = "right" } ],',
    ]
    assert len(gone) == 2
    assert "# out" in made
    row = {"way": "left", "columns": "FB"}
    made = asked(
        made,
        {"do": "add", "path": "wraps[1].courses", "row": row},
        {"do": "add", "path": "wraps[1].courses[3]", "row": {**row, "way": "right"}},
        {"do": "move", "path": "wraps[1].courses[3]", "to": 1},
    )
    courses = tomllib.loads(made)["wraps"][0]["courses"]
    assert courses[0] == [
        {"way": "left", "columns": ["FB"]},
        {"way": "right", "columns": ["FB"]},
    ]
    assert len(courses) == 3
    for _ in range(2):  # the last pass of a course takes the course along
        made = asked(made, {"do": "remove", "path": "wraps[1].courses[1][1]"})
    assert len(tomllib.loads(made)["wraps"][0]["courses"]) == 2
    for _ in range(2):
        made = asked(made, {"do": "remove", "path": "wraps[1].courses[1]"})
    assert "courses" not in tomllib.loads(made)["wraps"][0]
    made = asked(made, {"do": "add", "path": "wraps[1].courses", "row": row})
    assert tomllib.loads(made)["wraps"][0]["courses"] == [[{"way": "left", "columns": ["FB"]}]]


@pytest.mark.parametrize("stops", [["F"], ["B", "F"], ["FB", ""], ["", "BF", ""]])
def test_stops_are_read_as_they_are_shown(stops: list[str]) -> None:
    assert stops_of(stops_text(stops)) == stops


# --- names, languages, first rows ----------------------------------------------------------------


def test_a_name_is_followed_where_it_is_used() -> None:
    made = asked(
        RICH,
        {"path": "yarns[2].name", "value": "Pier aran"},
        {"path": "yarns[1].name", "value": "Keel worsted"},
        {"path": "sizes[1].name", "value": "stroke"},
        {"path": "wraps[1].name", "value": "pier rib"},
    )
    before, after = read_text(RICH), read_text(made)
    assert after.use == {"body": "Keel worsted", "cord": "Pier aran"}
    assert [stripe.yarn for stripe in after.stripes] == ["Keel worsted"]
    assert [size.measures for size in after.sizes] == [size.measures for size in before.sizes]
    assert after.wrap.name == "pier rib"
    taken = asked(RICH, {"path": "yarns[2].name", "value": "Slipway worsted"})
    assert tomllib.loads(taken)["use"] == {"cord": "Quayside aran"}, "a name of two says nothing"


def test_a_name_typed_letter_by_letter_is_undone_at_once(client: TestClient, hood: Record) -> None:
    view = view_of(client, hood)
    view = patch(client, view, {"path": "use.cord", "value": "Slipway worsted"})
    first = view
    for name in ("S", "St", "Sternsheets"):
        view = patch(client, view, {"path": "yarns[1].name", "value": name}, typing=True)
        assert view["problems"] == []
    assert set(tomllib.loads(view["text"])["use"].values()) == {"Sternsheets"}
    assert do(client, view, "undo")["text"] == first["text"]


def test_languages_are_chosen_by_their_own_names() -> None:
    def choices(text: str) -> list[tuple[str, str, str]]:
        field = next(f for f in fields_in(text) if f.path == "design.language")
        assert field.kind == "choice"
        return [(c.value, c.label, c.lang) for c in field.choices]

    known = [("en", "English", "en"), ("de", "Deutsch", "de"), ("es", "español", "es")]
    assert choices(HOOD) == known
    assert choices(RICH) == [*known, ("de-AT", "Deutsch (AT)", "de-AT")]
    assert choices(RICH.replace("de-AT", "xx"))[-1] == ("xx", "xx (not known)", "")


def test_the_first_row_of_a_list_has_the_types_of_its_keys(
    client: TestClient, hood: Record
) -> None:
    swatch = {"stitches": "20", "width": "6 in", "rows": "24", "length": "4 in"}
    stripe = {"yarn": "Slipway worsted", "rows": "80"}
    view = patch(
        client,
        view_of(client, hood),
        {"do": "add", "path": "swatches", "row": swatch},
        {"do": "add", "path": "stripes", "row": stripe},
    )
    assert view["problems"] == []


def test_what_is_not_known_is_shown_and_can_be_taken_out() -> None:
    text = HOOD.replace("pegs = 44", 'pegs = 44\ngapp = "1 in"')
    field = next(f for f in fields_in(text) if f.path == "loom.gapp")
    assert field.value == "1 in"
    assert "not known" in field.label
    assert asked(text, {"path": "loom.gapp", "value": ""}) == HOOD


def test_a_wrap_that_cannot_be_knitted_is_told_of(client: TestClient, hood: Record) -> None:
    view = patch(
        client,
        view_of(client, hood),
        {"do": "add", "path": "wraps", "row": {"name": "half"}},
        {"path": "wraps[1].courses[1][1].columns", "value": "F"},
        {"do": "remove", "path": "wraps[1].courses[1][2]"},
        {"do": "add", "path": "wraps[1].courses", "row": {"way": "left", "columns": "B"}},
        {"path": "design.wrap", "value": "half"},
        {"path": "garment.pegs", "value": "20"},
    )
    assert view["problems"] == []
    assert "does not come to the peg with the slip loop" in view["result"]["refused"][0]["error"]
