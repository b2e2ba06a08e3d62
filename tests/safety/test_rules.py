"""The table of safety rules: who, what, and the scope of each source told truthfully."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import chain, combinations

import pytest

from pegwright.errors import BadInput
from pegwright.garments.base import Plan, Wearer
from pegwright.knitting.operations import Part
from pegwright.safety.cautions import caution_of, cautions_for
from pegwright.safety.features import Feature, features_of
from pegwright.safety.rules import (
    CORD_SOURCE,
    NOT_STATED,
    PLACE_NOTE,
    RULES,
    SOURCES,
    Action,
    rule,
    rules_data,
    rules_for,
)
from tests.safety.plans import hood, named, strip, with_step

EVERY_PIECE = {"tools", "washing"}


def names(wearer: Wearer, *features: Feature) -> set[str]:
    return {each.name for each in rules_for(wearer, features)}


# --- the table -----------------------------------------------------------------------------------


def test_the_table_is_whole() -> None:
    assert len({each.name for each in RULES}) == len(RULES)
    assert len({each.title for each in RULES}) == len(RULES)
    for each in RULES:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", each.name)
        assert each.scope.wearers
        assert each.scope.words
        assert each.text.endswith(".")
        assert each.source.endswith(".")
        assert each.sources
        assert set(each.sources) <= set(SOURCES)
        assert not each.applies_to & each.unless
    assert {s for each in RULES for s in each.sources} == set(SOURCES), "no source without a rule"


def test_what_is_refused_comes_first() -> None:
    actions = [each.action for each in RULES]
    assert actions == sorted(actions, key=list(Action).index)
    assert {each.name for each in RULES if each.action is Action.REFUSE} == {
        "cord-child",
        "small-part-toy",
    }


@pytest.mark.parametrize(
    ("wearer", "features", "expected"),
    [
        (Wearer.ADULT, (), set()),
        (Wearer.ADULT, (Feature.FREE_CORD, Feature.NECK), {"cord-adult"}),
        (Wearer.ADULT, (Feature.FREE_CORD,), {"cord-loose"}),  # a bag's cord: at nobody's neck
        (Wearer.ADULT, (Feature.POMPOM, Feature.FRINGE, Feature.SCARF), set()),
        (Wearer.ADULT, (Feature.BOARD,), {"board-building", "board-small-parts"}),
        (Wearer.ADULT, (Feature.FOOT,), {"soles"}),
        (Wearer.CHILD, (Feature.FOOT,), {"place", "soles"}),
        (Wearer.CHILD, (), {"place"}),
        (Wearer.CHILD, (Feature.FREE_CORD, Feature.NECK), {"place", "cord-child"}),
        (Wearer.CHILD, (Feature.FREE_CORD,), {"place", "cord-child"}),
        (Wearer.CHILD, (Feature.GATHERED, Feature.NECK), {"place", "no-cord"}),
        (Wearer.CHILD, (Feature.NECK,), {"place"}),  # a cowl has nothing that is gathered
        (Wearer.CHILD, (Feature.FRINGE, Feature.SCARF), {"place", "fringe", "scarf"}),
        (Wearer.CHILD, (Feature.POMPOM, Feature.SMALL_PART), {"place"}),
        (Wearer.CHILD, (Feature.TOY, Feature.SMALL_PART), {"place"}),  # from three years on
        (Wearer.INFANT, (), {"place", "sleep", "small-parts"}),
        (
            Wearer.INFANT,
            (Feature.POMPOM, Feature.SMALL_PART),
            {"place", "sleep", "small-parts", "pompom"},
        ),
        (Wearer.INFANT, (Feature.BLANKET,), {"place", "blanket", "small-parts"}),
        (
            Wearer.INFANT,
            (Feature.TOY, Feature.POMPOM, Feature.SMALL_PART),
            {"place", "small-part-toy", "small-parts"},
        ),
    ],
)
def test_who_is_told_what(
    wearer: Wearer, features: tuple[Feature, ...], expected: set[str]
) -> None:
    assert names(wearer, *features) == expected | EVERY_PIECE


def test_no_child_ever_has_a_free_cord_unrefused() -> None:
    others = [f for f in Feature if f is not Feature.FREE_CORD]
    sets = chain.from_iterable(combinations(others, n) for n in range(len(others) + 1))
    for features in sets:
        for wearer in (Wearer.CHILD, Wearer.INFANT):
            assert "cord-child" in names(wearer, Feature.FREE_CORD, *features)
        assert "cord-child" not in names(Wearer.ADULT, Feature.FREE_CORD, *features)


def test_rules_are_found_by_name() -> None:
    assert rule("sleep").title == "Not for sleep"
    with pytest.raises(BadInput) as caught:
        rule("slep")
    assert "sleep" in (caught.value.hint or "")


def test_data_is_plain() -> None:
    data = json.loads(json.dumps(rules_data()))
    assert [each["name"] for each in data] == [each.name for each in RULES]
    cord = data[0]
    assert cord["action"] == "refuse"
    assert cord["scope"] == {"wearers": ["child", "infant"], "words": "children under 14 years"}
    assert cord["applies_to"] == ["cord with free ends"]
    assert cord["source_date"] == "ASTM F1816-18: 2018"
    assert cord["source"] == CORD_SOURCE
    assert {s["name"] for s in cord["sources"]} == {"ASTM F1816-18", "16 CFR 1120", "EN 14682"}
    assert all(set(each) == set(cord) for each in data)


# --- scope of the sources, told truthfully -------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "phrases"),
    [
        # Scope pages of ASTM F1816-18 and the answers of the CPSC on 16 CFR 1120.
        (
            "ASTM F1816-18",
            [
                "upper outerwear",
                "any material",
                "Sizes 2T to 12: no drawstring at hood or neck",
                "of no length",
                "Sizes 2T to 16",
                "75 mm (3 in) beyond the channel at full width",
                "no toggles or knots at free ends",
                "tacked at the back centre",
                "Fully retractable cords are exempt",
            ],
        ),
        ("16 CFR 1120", ["upper outerwear", "United States"]),
        # Summaries of EN 14682.
        (
            "EN 14682",
            [
                "European Union",
                "To 7 years (height to 134 cm): no cord at hood or neck",
                "From 7 to 14 years: no free ends",
                "Gloves, hats, bonnets and scarves lie outside its scope",
                "a draft of 2023 asks",
            ],
        ),
        # 16 CFR 1501, with 1501.3(d).
        (
            "16 CFR 1501",
            [
                "children under 3",
                "Children's clothing is exempt (1501.3(d))",
                "loose yarn and fuzz are not tested",
            ],
        ),
        ("paediatric safe-sleep advice", ["head uncovered"]),
        ("common practice", ["No published source"]),
    ],
)
def test_each_source_is_told_with_its_scope(source: str, phrases: list[str]) -> None:
    (found,) = (each for each in SOURCES if each.name == source)
    for phrase in phrases:
        assert phrase in found.covers


def test_how_well_each_source_is_known_is_told() -> None:
    known = {each.name: each.known for each in SOURCES}
    assert known["paediatric safe-sleep advice"] == "from memory"
    assert known["EN 14682"] == "summaries read"
    assert known["common practice"] == "no source"
    assert {each.date for each in SOURCES} == {"2018", NOT_STATED}


def test_the_cord_rule_says_that_it_is_its_own() -> None:
    for phrase in (
        "Pegwright's own rule",
        "upper outerwear",
        "sizes 2T to 12",
        "to 14 years",
        "head-wear itself lies outside its scope",
        "Rules vary by place",
    ):
        assert phrase in CORD_SOURCE
    for name in ("cord-child", "cord-adult", "no-cord"):
        assert rule(name).source == CORD_SOURCE


def test_a_pompom_on_clothing_is_no_breach_of_the_small_parts_rule() -> None:
    for name in ("pompom", "small-parts"):
        assert rule(name).action is Action.CAUTION
        assert "exempt under 1501.3(d)" in rule(name).source
        assert "taken here as a caution" in rule(name).source
    assert "exempt" not in rule("small-part-toy").source


def test_what_has_no_source_says_so() -> None:
    for name in ("fringe", "scarf", "place", "board-building", "tools", "washing"):
        assert rule(name).source.startswith("Common practice, no source")
        assert rule(name).source_date == NOT_STATED
    assert "from memory" in rule("sleep").source
    assert "from memory" in rule("blanket").source


def test_whom_to_ask_is_said_without_naming_anyone() -> None:
    assert "trading-standards office" in PLACE_NOTE
    assert "consumer-product authority" in PLACE_NOTE
    assert rule("place").text == PLACE_NOTE


# --- features of a plan --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("plan", "expected"),
    [
        (
            hood(Wearer.ADULT, "cord"),
            {Feature.HEAD, Feature.NECK, Feature.FREE_CORD},
        ),
        (hood(Wearer.CHILD, "drawn"), {Feature.HEAD, Feature.NECK, Feature.GATHERED}),
        (strip(Wearer.CHILD), {Feature.SCARF}),
        (named(strip(Wearer.CHILD), "boat-blanket"), {Feature.BLANKET}),
        (named(strip(Wearer.CHILD), "cat-toy"), {Feature.TOY}),
        (named(strip(Wearer.CHILD), "dish-square"), set()),
        (
            with_step(named(strip(Wearer.CHILD), "cap"), "sew-on-pompom"),
            {Feature.HEAD, Feature.POMPOM, Feature.SMALL_PART},
        ),
        (
            with_step(named(strip(Wearer.CHILD), "mitten"), "buttons"),
            {Feature.BUTTON, Feature.SMALL_PART},
        ),
        (with_step(strip(Wearer.CHILD), "knot-fringe"), {Feature.SCARF, Feature.FRINGE}),
        (
            replace(named(strip(Wearer.CHILD), "mitten"), parts=(Part.BODY, Part.TRIM)),
            {Feature.SMALL_PART},  # a trim of which no more is known
        ),
    ],
    ids=lambda value: value.garment if isinstance(value, Plan) else "",
)
def test_features_are_read_from_the_plan(plan: Plan, expected: set[Feature]) -> None:
    assert features_of(plan) == expected


def test_words_are_whole_words() -> None:
    assert Feature.HEAD not in features_of(named(strip(Wearer.ADULT), "chatelaine"))  # no hat
    assert Feature.HEAD not in features_of(named(strip(Wearer.ADULT), "cape"))  # no cap


# --- cautions ------------------------------------------------------------------------------------


def test_cautions_stand_in_the_tables_order_each_once() -> None:
    plans = [
        strip(Wearer.ADULT),
        hood(Wearer.INFANT, "drawn"),
        hood(Wearer.CHILD, "drawn"),
        hood(Wearer.ADULT, "cord"),
    ]
    titles = [c.title for c in cautions_for(plans)]
    assert titles == [
        "Cord at the neck: adults only",
        "No cord for children",
        "Not for sleep",
        "Nothing small that can come off",
        "Before you sell it or give it away",
        "Hook, needle and board",
        "Washing",
    ]
    assert cautions_for(iter(plans)) == cautions_for(reversed(plans))


def test_one_wearers_cautions_do_not_depend_on_another() -> None:
    """A child's gathered neck must not be told of for the adult's corded one alone."""
    titles = {c.title for c in cautions_for([hood(Wearer.ADULT, "cord")])}
    assert titles == {
        "Cord at the neck: adults only",
        "Hook, needle and board",
        "Washing",
    }
    drawn = {c.title for c in cautions_for([hood(Wearer.ADULT, "drawn")])}
    assert drawn == {"Hook, needle and board", "Washing"}


def test_what_holds_for_every_piece_is_said_without_any() -> None:
    assert [c.title for c in cautions_for([])] == ["Hook, needle and board", "Washing"]


def test_a_caution_is_its_rule() -> None:
    for each in RULES:
        caution = caution_of(each)
        assert (caution.title, caution.text, caution.source) == (each.title, each.text, each.source)
