"""Templates: read with line and key, refused with the nearest key, colours that can be read."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.designs.problems import DesignRefused
from pegwright.errors import BadInput
from pegwright.lesson.contrast import PAIRS, contrast, mended, too_close
from pegwright.lesson.template import USUAL, Colours, Template, Words
from pegwright.lesson.template_file import (
    MOST_LETTERS,
    read_template,
    template_said,
    template_text,
    written_text,
)


def test_nothing_written_is_the_usual_template() -> None:
    assert read_template("") == USUAL


def test_the_usual_template_written_out_is_itself() -> None:
    assert read_template(template_text(USUAL)) == USUAL


@given(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"]), max_size=60))
def test_any_channel_survives_being_written_and_read(channel: str) -> None:
    template = Template(Words(channel=channel.replace("{", "").replace("}", "")))
    text = template_text(template)
    assert tomllib.loads(text)["words"]["channel"] == template.words.channel
    assert read_template(text) == template


def test_what_a_template_says_is_given_as_it_stands_there() -> None:
    text = (
        '[words]\nclosing = ""\n[colours]\naccent = "#FFE08A"\nmend = true\n'
        "[speed]\nloops_per_minute = 27.123456789\n"
    )
    said = template_said(text)
    assert said["words"] == {"closing": ""}  # emptied, not left out
    assert said["colours"] == {"accent": "#ffe08a", "mend": True}  # not yet mended
    assert template_said(written_text(said)) == {**said}
    assert read_template(written_text(said)) == read_template(text)
    with pytest.raises(DesignRefused):
        template_said("[words]\nchanel = 3\n")


REFUSED = [
    ('[words]\nchanel = "x"', 2, "words.chanel", "channel", "a slip in a key"),
    ("[color]\n", 1, "color", "colours", "a slip in a table"),
    ('[words]\nopening = "{titel}"', 2, "words.opening", "title", "nothing of that name"),
    ('[words]\nopening = "{title"', 2, "words.opening", "{{", "a brace without partner"),
    ('[words]\nend = "{title!r}"', 2, "words.end", "{title}", "more than a name"),
    ('[words]\nend = "a\\nb"', 2, "words.end", None, "two lines"),
    ("[words]\nend = 3", 2, "words.end", None, "no text"),
    ('[colours]\nink = "red"', 2, "colours.ink", "#0b4f6c", "no colour"),
    ('[colours]\nink = "#1234"', 2, "colours.ink", "#0b4f6c", "a short colour"),
    ("[speed]\nwords_per_minute = 0", 2, "speed.words_per_minute", None, "nothing is said"),
    (f'[words]\nend = "{"a" * (MOST_LETTERS + 1)}"', 2, "words.end", None, "too long for a card"),
]


@pytest.mark.parametrize(("text", "line", "field", "hint", "why"), REFUSED)
def test_a_slip_is_refused_with_its_place(
    text: str, line: int, field: str, hint: str | None, why: str
) -> None:
    with pytest.raises(DesignRefused) as refused:
        read_template(text, "words.toml")
    place = refused.value.place
    assert place is not None
    assert (place.file, place.line, place.field) == ("words.toml", line, field), why
    if hint is not None:
        assert hint in (refused.value.hint or ""), why


def test_several_slips_are_told_together() -> None:
    with pytest.raises(DesignRefused) as refused:
        read_template('[words]\nchanel = "x"\n[colours]\nink = "red"\n')
    assert len(refused.value.others) == 1


# --- contrast ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),  # WCAG 2.1, definition of contrast ratio: its largest value
        ("#ffffff", "#ffffff", 1.0),  # and its smallest
        ("#777777", "#ffffff", 4.48),  # reckoned by hand with the formula of WCAG 2.1
    ],
)
def test_the_contrast_ratio_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)
    assert contrast(other, one) == pytest.approx(contrast(one, other))


def by_hand(one: str, other: str) -> float:
    """The ratio by the formula of WCAG 2.1 (relative luminance of sRGB)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


_COLOURS = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")


@given(_COLOURS, _COLOURS)
def test_the_ratio_agrees_with_the_formula(one: str, other: str) -> None:
    assert contrast(one, other) == pytest.approx(by_hand(one, other), rel=2e-3)


def test_the_usual_colours_can_be_read() -> None:
    assert list(too_close(USUAL.colours)) == []


def test_a_colour_that_cannot_be_read_is_refused_with_one_that_can() -> None:
    with pytest.raises(DesignRefused) as refused:
        read_template('[colours]\naccent = "#ffe08a"\n')
    hint = refused.value.hint or ""
    named = hint.partition('"')[2].partition('"')[0]
    assert read_template(f'[colours]\naccent = "{named}"\n').colours.accent == named


def test_a_colour_is_mended_where_that_is_asked_for() -> None:
    template = read_template('[colours]\naccent = "#ffe08a"\nquiet = "#aaaaaa"\nmend = true\n')
    assert [f.name for f in template.findings] == ["colour-mended", "colour-mended"]
    assert template.colours.ink == USUAL.colours.ink
    for pair in PAIRS:
        one, other = (getattr(template.colours, r) for r in (pair.role, pair.ground))
        assert by_hand(one, other) >= pair.least - 0.01


def test_a_dark_template_is_as_good() -> None:
    dark = (
        '[colours]\npaper = "#10161c"\nink = "#f2f4f5"\nquiet = "#b3bec8"\nsoft = "#2b343d"\n'
        'accent = "#7cc4e4"\nsecond = "#f0a080"\n'
    )
    assert read_template(dark).colours.paper == "#10161c"


def test_grounds_that_no_colour_suits_are_refused() -> None:
    with pytest.raises(BadInput, match="no colour can be read"):
        mended(Colours(paper="#f0f0f0", soft="#101010"))
