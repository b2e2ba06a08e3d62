from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from typing import Any

import pytest

from pegwright.errors import BadInput
from pegwright.pattern.model import (
    Caution,
    CautionBlock,
    Facts,
    Item,
    MaterialBlock,
    Paragraph,
    Pattern,
    PatternStep,
    Section,
    StepBlock,
    TableBlock,
)
from pegwright.publish.html import Markup, element, text
from pegwright.publish.page import how_to, pattern_page
from pegwright.publish.words import iso_duration, sizes_words, time_words
from tests.publish.tern_point import HOOD, WRAP

EMPTY = {"meta", "input", "br", "hr", "link", "img"}
HOSTILE = "</script><script>alert(1)</script> \" onload='x' & <!-- ]]> #eval \x00"


class Page(HTMLParser):
    """The page's elements in order, and a check that every one is closed."""

    def __init__(self, made: bytes) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.scripts: list[str] = []
        self.feed(made.decode("utf-8"))
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "script":
            self.scripts.append(data)
        elif self.open and self.open[-1] != "style":
            self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]

    def spoken(self) -> str:
        return " ".join("".join(self.words).replace("\u00a0", " ").split())


@pytest.fixture(scope="module")
def made() -> bytes:
    return pattern_page(HOOD)


@pytest.fixture(scope="module")
def page(made: bytes) -> Page:
    return Page(made)


def test_one_first_heading_and_no_level_skipped(page: Page) -> None:
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))


def test_landmarks_and_a_way_past_them(page: Page) -> None:
    for landmark in ("header", "nav", "main", "footer"):
        assert len(page.all(landmark)) == 1
    assert page.all("nav")[0]["aria-label"]
    skip = page.all("a")[0]
    assert skip["href"] == f"#{page.all('main')[0]['id']}"


def test_every_link_and_label_leads_somewhere(page: Page) -> None:
    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert len(ids) == len(set(ids))
    for _, attributes in page.elements:
        for key in ("href", "for", "aria-labelledby"):
            for target in (attributes.get(key) or "").split():
                assert target.removeprefix("#") in ids


def test_every_drawing_has_a_name(page: Page) -> None:
    assert len(page.all("svg")) == len(HOOD.figures())
    assert page.all("img") == []
    for drawing in page.all("svg"):
        assert drawing["role"] == "img"
        assert drawing["aria-labelledby"]
    assert all(figure.alt in page.spoken() for figure in HOOD.figures())


def test_tables_have_headers_that_say_what_they_head(page: Page) -> None:
    scopes = [a.get("scope") for a in page.all("th")]
    assert scopes.count("col") == 4 + 3 + 3
    assert scopes.count("row") == 3 + 2 + 3
    assert len(page.all("caption")) == len(page.all("table")) == 3


def test_every_step_has_a_labelled_box(page: Page) -> None:
    boxes = [a["id"] for a in page.all("input") if a["type"] == "checkbox"]
    labels = [a["for"] for a in page.all("label")]
    assert boxes == labels == [f"done-{step.number}" for step in HOOD.steps()]


def test_the_how_to_has_every_step(page: Page) -> None:
    (script,) = page.scripts
    data = json.loads(script)
    assert data == json.loads(json.dumps(how_to(HOOD)))
    # The names of the fields: schema.org/HowTo.
    assert (data["@context"], data["@type"]) == ("https://schema.org", "HowTo")
    assert len(data["step"]) == len(HOOD.steps())
    assert [s["position"] for s in data["step"]] == [1, 2, 3, 4, 5, 6]
    assert [s["@type"] for s in data["supply"] + data["tool"]] == ["HowToSupply"] * 2 + [
        "HowToTool"
    ] * 3
    assert data["totalTime"] == "PT6H50M"


def test_it_fetches_nothing_and_stays_small(made: bytes, page: Page) -> None:
    assert len(made) < 400_000
    for _, attributes in page.elements:
        assert "src" not in attributes
        assert (attributes.get("href") or "#").startswith("#")
    css = made.decode().split("<style>")[1].split("</style>")[0]
    assert all(u.startswith('"data:font/woff2;base64,') for u in re.findall(r"url\((.*?)\)", css))
    assert "@import" not in css


def test_light_dark_and_print_are_all_there(made: bytes) -> None:
    css = made.decode().split("<style>")[1].split("</style>")[0]
    assert "prefers-color-scheme:dark" in css
    assert "@media print" in css


def luminance(colour: str) -> float:
    """Relative luminance, W3C WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", [0, 1])
@pytest.mark.parametrize("ground", ["paper", "soft", "tint"])
@pytest.mark.parametrize("name", ["ink", "quiet", "yarn-first", "yarn-second"])
def test_contrast(made: bytes, scheme: int, ground: str, name: str) -> None:
    css = made.decode()
    colour = re.findall(rf"--{name}:(#[0-9a-f]{{6}})", css)[scheme]
    behind = re.findall(rf"--{ground}:(#[0-9a-f]{{6}})", css)[scheme]
    a, b = sorted((luminance(colour), luminance(behind)))
    assert (b + 0.05) / (a + 0.05) >= 4.5  # WCAG 2.2, 1.4.3, level AA


def test_the_words_are_all_there(page: Page) -> None:
    spoken = page.spoken()
    for step in HOOD.steps():
        assert step.title in spoken
        assert all(words in spoken for words in step.text)
        assert step.tally in spoken
    assert HOOD.proof.digest in spoken
    assert "Sizes 1 · 2 · 3" in spoken


def test_language_and_same_bytes(made: bytes, page: Page) -> None:
    assert page.all("html")[0]["lang"] == "en-GB"
    assert pattern_page(replace(HOOD)) == made


def hostile_pattern() -> Pattern:
    h = HOSTILE
    blocks = (
        Paragraph(h),
        Facts(((h, h),)),
        TableBlock(h, (h, h), ((h, h),)),
        MaterialBlock((Item(h, h, h),), (Item(h, h, h),)),
        CautionBlock((Caution(h, h, h),)),
        StepBlock((PatternStep(1, h, (h,), h),)),
        replace(WRAP, key=h, caption=h, alt=h),
    )
    return replace(
        HOOD,
        title=h,
        subtitle=h,
        summary=h,
        sizes=(h,),
        notes=(h,),
        language=h,
        sections=(Section(h, h, blocks),),
        proof=replace(HOOD.proof, digest=h, version=h, sentences=(h,)),
    )


def test_hostile_words_stay_words() -> None:
    page = Page(pattern_page(hostile_pattern()))
    assert [a.get("type") for a in page.all("script")] == ["application/ld+json"]
    assert json.loads(page.scripts[0])["name"] == HOSTILE
    assert not [key for _, a in page.elements for key in a if key.startswith("on")]
    assert page.spoken().count("<script>alert(1)</script>") > 20


def test_a_figure_without_words_is_refused() -> None:
    bare = replace(HOOD, sections=(Section("s", "S", (replace(WRAP, alt=""),)),))
    with pytest.raises(BadInput, match="cannot see it"):
        pattern_page(bare)


@pytest.mark.parametrize(
    ("minutes", "words", "iso"),
    [
        (0, "about 0 min", "PT0M"),
        (45, "about 45 min", "PT45M"),
        (60, "about 1 h", "PT1H"),
        (410, "about 6 h 50 min", "PT6H50M"),
    ],
)
def test_spans_of_time(minutes: int, words: str, iso: str) -> None:
    assert time_words(minutes) == words
    assert iso_duration(minutes) == iso  # ISO 8601-1:2019, 5.5.2


def test_time_and_sizes_may_be_missing() -> None:
    assert time_words(None) == sizes_words(()) == ""
    assert "totalTime" not in how_to(replace(HOOD, minutes=None))
    plain = Page(pattern_page(replace(HOOD, minutes=None, sizes=())))
    assert "Time:" not in plain.spoken()


def test_the_builder_escapes_all_but_markup() -> None:
    content: list[Any] = ["<b>", Markup("<i></i>"), None, ["&"]]
    assert element("p", content, class_='"x"', hidden=True, id=None) == (
        '<p class="&quot;x&quot;" hidden>&lt;b&gt;<i></i>&amp;</p>'
    )
    assert element("input", type="checkbox") == '<input type="checkbox">'
    assert text(None) == ""
