"""Errata: every change that a reader can see is told, and nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.pattern.model import Pattern, Section, StepBlock
from pegwright.testknit.errata import Errata, Topic, errata
from pegwright.testknit.errata_print import errata_html, errata_json, errata_text

HOOD = shipped_text("tern-point-hood")
MARK = "xyzzy"


def pattern(text: str) -> Pattern:
    _, made = making.make(read_text(text))
    assert made is not None
    return made


@pytest.fixture(scope="module")
def old() -> Pattern:
    return pattern(HOOD)


@pytest.fixture(scope="module")
def longer(old: Pattern) -> Errata:
    """The second size was for 57 cm and is for 59 cm now."""
    new = pattern(HOOD.replace('head = "57 cm"', 'head = "59 cm"'))
    return errata(old, new, old_version="1.0", new_version="1.1")


def sentences(found: Errata) -> list[str]:
    return [change.sentence for change in found.changes]


def test_nothing_changed_is_nothing_told(old: Pattern) -> None:
    found = errata(old, old)
    assert found.changes == ()
    assert "Nothing changed" in errata_text(found)
    assert "Nothing changed" in errata_html(found)


def test_a_size_that_grew_is_told_for_that_size_alone(longer: Errata) -> None:
    said = sentences(longer)
    assert "Sizes, bow, pegs a side: for “29” read “30”." in said
    assert "Sizes, bow, rows: for “104” read “106”." in said
    assert "Sizes, bow, to fit: head: for “22 1/2 in (57 cm)” read “23 1/4 in (59 cm)”." in said
    assert not [s for s in said if s.startswith(("Sizes, cox", "Sizes, coach"))]
    yarn = [c for c in longer.changes if c.topic is Topic.YARN]
    assert yarn
    assert all(", bow, " in c.place for c in yarn)


def test_steps_are_compared_one_by_one(longer: Errata) -> None:
    steps = [c for c in longer.changes if c.topic is Topic.STEPS]
    assert any(c.place == "Step 1, Cast on" and "28 (29, 30)" in (c.before or "") for c in steps)
    numbers = [int(m[1]) for c in steps if (m := re.match(r"Step (\d+)", c.place))]
    assert numbers == sorted(numbers)
    assert {1, 3, 7, 8, 11} <= set(numbers)
    assert not {2, 4, 10} & set(numbers)  # no number of theirs changed


def test_the_counts_that_are_told_are_those_that_were_knitted(longer: Errata) -> None:
    made = making.prove(read_text(HOOD.replace('head = "57 cm"', 'head = "59 cm"')))
    strip = made.sizes[1].plan.piece("strip")
    (pegs,) = [c for c in longer.changes if c.place == "Sizes, bow, pegs a side"]
    assert (pegs.topic, pegs.after) == (Topic.COUNTS, str(strip.columns))


def test_a_size_that_is_new_is_told_whole(old: Pattern) -> None:
    more = '\n[[sizes]]\nname = "cook"\nwearer = "adult"\nhead = "61 cm"\n'
    said = sentences(errata(old, pattern(HOOD + more)))
    assert "Sizes: for “cox, bow, coach” read “cox, bow, coach, cook”." in said
    (column,) = [s for s in said if s.startswith("Sizes: add “cook: ")]
    assert "pegs a side 31" in column
    gone = sentences(errata(pattern(HOOD + more), old))
    assert any(s.startswith("Sizes: leave out “cook: ") for s in gone)


def test_another_yarn_and_other_words(old: Pattern) -> None:
    text = HOOD.replace("Slipway worsted", "Gull worsted").replace("cold mornings", "wet mornings")
    found = errata(old, pattern(text))
    assert any(c.topic is Topic.YARN and "Gull worsted" in (c.after or "") for c in found.changes)
    (summary,) = [c for c in found.changes if c.place == "Summary"]
    assert "wet mornings" in (summary.after or "")


def test_the_version_is_told_in_the_heading_alone(old: Pattern) -> None:
    new = pattern(HOOD.replace("[loom]", 'version = "1.1"\n\n[loom]', 1))
    assert new.subtitle.endswith("; version 1.1")
    found = errata(old, new, new_version="1.1")
    assert found.changes == ()
    assert found.heading == "Tern Point hood: changes in version 1.1"
    assert errata(new, new, old_version="1.0", new_version="1.1").heading.endswith(
        "changes from version 1.0 to 1.1"
    )


# --- steps that come and go ----------------------------------------------------------------------


def with_steps(one: Pattern, titles: list[str]) -> Pattern:
    """The pattern with only these of its steps, numbered anew."""
    (block,) = [b for b in one.blocks() if isinstance(b, StepBlock)]
    kept = [s for s in block.steps if s.title in titles]
    steps = StepBlock(tuple(replace(s, number=i) for i, s in enumerate(kept, 1)))
    sections = tuple(
        replace(s, blocks=tuple(steps if b is block else b for b in s.blocks)) for s in one.sections
    )
    return replace(one, sections=sections)


def test_a_step_left_out_renumbers_those_behind_it(old: Pattern) -> None:
    titles = [step.title for step in old.steps()]
    short = with_steps(old, [t for t in titles if t != "Fold"])
    said = sentences(errata(old, short))
    assert said[0] == "Steps: for “steps 9 to 13” read “steps 8 to 12”."
    assert said[1].startswith("Step 8, Fold: leave out “Fold. Lay the strip flat")
    assert len(said) == 2
    back = sentences(errata(short, old))
    assert back[0] == "Steps: for “steps 8 to 12” read “steps 9 to 13”."
    assert back[1].startswith("Step 8, Fold: add “")


# --- nothing that a reader sees is passed by -----------------------------------------------------

_UNSEEN = {"key", "proof", "drawing", "language", "minutes", "number", "tongue"}


def marked(node: Any) -> Iterator[Any]:
    """The node with each text of it in turn changed at its end."""
    if isinstance(node, str):
        yield f"{node} {MARK}"
    elif isinstance(node, tuple):
        for i, part in enumerate(node):
            for other in marked(part):
                yield (*node[:i], other, *node[i + 1 :])
    elif is_dataclass(node) and not isinstance(node, type):
        for field in fields(node):
            if field.name not in _UNSEEN:
                for other in marked(getattr(node, field.name)):
                    yield replace(node, **{field.name: other})


def difference(one: Any, other: Any) -> str:
    """Where two nodes differ first."""
    if is_dataclass(one) and not isinstance(one, type):
        pairs = [(f.name, getattr(one, f.name), getattr(other, f.name)) for f in fields(one)]
    elif isinstance(one, tuple) and isinstance(other, tuple):
        pairs = [(str(i), a, b) for i, (a, b) in enumerate(zip(one, other, strict=True))]
    else:
        return f": {one!r}, {other!r}"
    return next((f".{n}{difference(a, b)}" for n, a, b in pairs if a != b), "")


@pytest.mark.parametrize("name", ["tern-point-hood", "tern-point-boat-blanket"])
def test_no_change_of_a_text_is_passed_by(name: str) -> None:
    one = pattern(shipped_text(name))
    small = replace(one, sections=tuple(_thinned(s) for s in one.sections))
    seen = 0
    for other in marked(small):
        seen += 1
        there, back = errata(small, other), errata(other, small)
        assert any(MARK in (c.after or "") + c.place for c in there.changes), difference(
            small, other
        )
        assert any(MARK in (c.before or "") + c.place for c in back.changes)
        assert len(there.changes) <= 40
    assert seen > 100


def _thinned(section: Section) -> Section:
    """A section with its longest step list cut, so that the test stays quick."""
    blocks = tuple(
        replace(b, steps=b.steps[:6]) if isinstance(b, StepBlock) else b for b in section.blocks
    )
    return replace(section, blocks=blocks)


def test_a_figure_that_is_drawn_otherwise_is_told_of(old: Pattern) -> None:
    figure = old.figures()[0]
    other = replace(figure, drawing=old.figures()[1].drawing)
    sections = tuple(
        replace(s, blocks=tuple(other if b is figure else b for b in s.blocks))
        for s in old.sections
    )
    (change,) = errata(old, replace(old, sections=sections)).changes
    assert change.topic is Topic.FIGURES


# --- in print ------------------------------------------------------------------------------------


def test_errata_are_printed_in_a_stable_order(longer: Errata) -> None:
    text = errata_text(longer)
    assert text == errata_text(replace(longer))
    heads = [line for line in text.splitlines() if line and not line.startswith(("- ", "  "))]
    assert heads[0] == "Tern Point hood: changes from version 1.0 to 1.1"
    order = ["Sizes", "Pegs and rows", "Board", "Yarn and tools", "Steps", "Figures"]
    assert [h for h in heads if h in order] == [h for h in order if h in heads]
    assert max(map(len, text.splitlines())) <= 80
    for change in longer.changes:
        assert " ".join(change.sentence.split()) in " ".join(text.split())


def test_errata_as_html_escape_what_they_say(old: Pattern) -> None:
    hostile = replace(old, summary='<script>alert("1")</script> & more')
    html = errata_html(errata(old, hostile))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
    assert html.startswith('<section class="errata" aria-labelledby="errata">')
    assert html.count("<li>") == 1


def test_errata_as_data_name_both_versions(longer: Errata) -> None:
    data = json.loads(errata_json(longer))
    assert (data["old_version"], data["new_version"]) == ("1.0", "1.1")
    assert data["old_digest"] != data["new_digest"]
    assert [c["sentence"] for c in data["changes"]] == sentences(longer)
    assert {c["topic"] for c in data["changes"]} <= {str(t) for t in Topic}
