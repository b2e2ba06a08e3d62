"""A maker's own words and colours for her lessons: what a template says, with what is usual.

The file itself is read in :mod:`pegwright.lesson.template_file`.  Words may name the pattern and
the channel with ``{title}`` and ``{channel}``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from string import Formatter

from pegwright.errors import BadInput, Finding
from pegwright.planning.pace import LOOPS_PER_MINUTE
from pegwright.publish.drawing import SvgStyle

__all__ = [
    "FILLED_IN",
    "USUAL",
    "Colours",
    "Speed",
    "Template",
    "Words",
    "blanks_in",
    "names_of",
]

FILLED_IN = ("title", "channel")
"""What words may have filled in, between braces."""


@dataclass(frozen=True, slots=True)
class Words:
    """What is said and written in every lesson alike.

    ``channel`` is the name of her channel, plain text; the other fields but the last four are
    headings of cards.
    """

    channel: str = ""
    materials: str = "You will need"
    yarn: str = "How much yarn"
    board: str = "Set up the board"
    wrap_test: str = "Wrap test"
    pieces: str = "Finished pieces"
    wrap: str = "The wrap"
    knit_over: str = "Knit over"
    make_up: str = "Make it up"
    cautions: str = "Take care"
    opening: str = "Welcome. This is what we are going to make: {title}."
    closing: str = "And there it is: {title}. Thank you for knitting along."
    end: str = "Thank you"
    end_line: str = "{title}"

    def fill(self, words: str, title: str) -> str:
        """Words with the title and the channel filled in."""
        return words.format(title=title, channel=self.channel).strip()


@dataclass(frozen=True, slots=True)
class Colours:
    """The colours by role, each as ``#rrggbb``.

    ``accent`` draws headings and the first pass of the yarn, ``second`` the second pass, ``soft``
    the wood of the board, ``quiet`` small words.
    """

    paper: str = "#ffffff"
    ink: str = "#1c2530"
    quiet: str = "#4d5a66"
    soft: str = "#e6e9ea"
    accent: str = "#0b4f6c"
    second: str = "#a33b1f"

    def style(self) -> SvgStyle:
        """The same as the colours of drawings."""
        return SvgStyle(
            ink=self.ink,
            paper=self.paper,
            soft=self.soft,
            quiet=self.quiet,
            yarn_first=self.accent,
            yarn_second=self.second,
            font="'Atkinson Hyperlegible', Verdana, sans-serif",
        )


@dataclass(frozen=True, slots=True)
class Speed:
    """How fast she knits and speaks.

    :param loops_per_minute: loops wrapped and knitted over in a minute.
    :param words_per_minute: words said in a minute; 130 is an unhurried voice (an assumption, no
        source).
    """

    loops_per_minute: float = LOOPS_PER_MINUTE
    words_per_minute: float = 130.0


@dataclass(frozen=True, slots=True)
class Template:
    """A template.  ``findings`` are notes about colours that were mended."""

    words: Words = Words()
    colours: Colours = Colours()
    speed: Speed = Speed()
    findings: tuple[Finding, ...] = field(default=())


USUAL = Template()
"""The template where a maker has none of her own."""


def blanks_in(words: str) -> tuple[str, ...]:
    """The names between braces.

    :raises BadInput: for braces that do not pair.
    """
    try:
        parts = list(Formatter().parse(words))
    except ValueError:
        raise BadInput(
            "a brace has no partner here",
            given=words,
            hint="write {title} or {channel}; a plain brace is written twice: {{",
        ) from None
    for _, name, form, turned in parts:
        if name is not None and (form or turned):
            raise BadInput(
                "only a name stands between braces", given=words, hint="as {title} or {channel}"
            )
    return tuple(name for _, name, _, _ in parts if name is not None)


def names_of(kind: type[Words] | type[Colours] | type[Speed]) -> tuple[str, ...]:
    """The keys of a part of the template."""
    return tuple(f.name for f in fields(kind))
