"""A small builder of HTML in which every text and every attribute is escaped.

A :class:`Markup` is text that is known to be markup; everything else is data.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from pegwright.publish.drawing import visible
from pegwright.publish.words import held_together

__all__ = ["Content", "Markup", "element", "text"]


class Markup(str):
    """Text that is markup already and is not escaped again."""

    __slots__ = ()


Content = str | Markup | Iterable["Content"] | None


def text(content: Content) -> Markup:
    """Content as markup: plain text escaped, markup as it is, many things one after another."""
    if content is None:
        return Markup("")
    if isinstance(content, Markup):
        return content
    if isinstance(content, str):
        return Markup(escape(held_together(visible(content)), quote=False))
    return Markup("".join(text(part) for part in content))


_EMPTY = frozenset({"input", "meta", "br", "hr"})


def element(name: str, /, *content: Content, **attributes: str | bool | None) -> Markup:
    """An element.  ``class_`` is the class, an underscore in a name is a hyphen.

    An attribute of True stands without a value; one of None or False is left out.
    """
    written = ""
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        label = key.rstrip("_").replace("_", "-")
        written += f" {label}" if value is True else f' {label}="{escape(visible(str(value)))}"'
    if name in _EMPTY:
        return Markup(f"<{name}{written}>")
    return Markup(f"<{name}{written}>{text(content)}</{name}>")
