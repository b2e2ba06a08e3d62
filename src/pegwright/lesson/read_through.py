"""The lesson to be read through before its pack is made: the cue sheet beside its cards.

Nothing is drawn in dots here, so it is there in a moment, and needs none of the libraries that the
pack needs.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pegwright.lesson.card_layout import Page, Shape
from pegwright.lesson.cue_sheet import Cue, CueSheet
from pegwright.lesson.pack import lesson_sheet, numbered_cards
from pegwright.lesson.template import USUAL, Template
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import Source

__all__ = ["NamedCard", "ReadThrough", "cards_at", "read_through"]


@dataclass(frozen=True, slots=True)
class NamedCard:
    """A card, and the stem of its files' names in the pack."""

    name: str
    page: Page


@dataclass(frozen=True, slots=True)
class ReadThrough:
    """The cue sheet, and every card in one shape."""

    sheet: CueSheet
    cards: tuple[NamedCard, ...]


def read_through(
    source: Source,
    pattern: Pattern,
    template: Template = USUAL,
    *,
    size: str | None = None,
    shape: Shape = Shape.WIDE,
) -> ReadThrough:
    """What :func:`pegwright.lesson.pack.lesson_pack` will hold, in words and cards.

    :raises BadInput: where there is no such size.
    """
    _, sheet = lesson_sheet(source, template, size)
    cards = numbered_cards(source, pattern, template, shape)
    return ReadThrough(sheet, tuple(NamedCard(name, page) for name, page in cards))


def cards_at(cue: Cue, cards: tuple[NamedCard, ...]) -> tuple[NamedCard, ...]:
    """The cards that may be laid over a shot; a card that goes on is several."""
    if not cue.card:
        return ()
    own = re.compile(rf"{re.escape(cue.card)}(-\d+)*")
    return tuple(card for card in cards if own.fullmatch(card.page.key))
