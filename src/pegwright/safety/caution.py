"""A caution: what could hurt someone, what to do, and where that is written down."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Caution"]


@dataclass(frozen=True, slots=True)
class Caution:
    """Something that could hurt someone, and what to do about it.

    ``source`` names the rule or advice with its scope, or says ``common practice, no source``.
    """

    title: str
    text: str
    source: str
