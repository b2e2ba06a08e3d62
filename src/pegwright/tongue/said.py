"""Sentences that remember how they were made, so that they can be said in another tongue.

Every room writes English.  It writes it with :func:`say`, which fills named fields into a sentence
and gives a :class:`Said`: the finished English text, a ``str`` like any other, that also keeps its
template and its facts.  Rooms that know nothing of languages pass it on as the text that it is; at
the end a :class:`~pegwright.tongue.tongue.Tongue` says the whole document anew.

Words used here:

* a **template** is an English sentence with named fields, ``Cut {length} of yarn.``; it is also the
  message's name in the catalogues;
* a **fact** is what fills a field: another :class:`Said`, a number, or plain text (a peg's address,
  what a maker called a yarn), which no tongue changes;
* a **context** tells words apart that are spelt alike (``edge`` of a cloth or ``edge`` as a
  measure).

What is made of said things by hand (``+``, ``f""``, ``" ".join``) is plain text and stays English:
use :func:`say`, :func:`joined`, :func:`listed` and :func:`capital`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from string import Formatter
from typing import TYPE_CHECKING, Protocol, runtime_checkable

if TYPE_CHECKING:
    from pegwright.tongue.tongue import Tongue

__all__ = [
    "Fact",
    "Numeral",
    "Said",
    "Speaks",
    "capital",
    "fields_of",
    "joined",
    "listed",
    "messages_of",
    "numeral",
    "say",
    "say_count",
    "separator_of",
    "word",
]


@runtime_checkable
class Speaks(Protocol):
    """A fact that knows how to say itself, such as a number for each size."""

    def spoken(self, tongue: Tongue, spec: str = "") -> str:
        """Itself in a tongue; ``spec`` is what follows the colon in ``{length:length}``."""
        ...


Fact = object
"""What fills a field; see the module."""


class Said(str):
    """English text that can be said in another tongue; equal to the plain text."""

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        """Itself in a tongue."""
        return str(self)


class _Message(Said):
    """One message of the catalogue with its facts.

    ``many`` is the template of the plural, ``amount`` picks between the two.
    """

    template: str
    facts: Mapping[str, Fact]
    context: str
    many: str
    amount: float

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        template = tongue.message(self.template, self.context, self.many, self.amount)
        return _filled(template, self.facts, tongue)


class _Joined(Said):
    """Several texts one after another; ``separator`` parts them."""

    parts: tuple[str, ...]
    separator: str

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        return self.separator.join(tongue.speak(part) for part in self.parts)


class _Listed(Said):
    """Several texts as a list whose last two are joined by *and*."""

    parts: tuple[str, ...]

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        return tongue.listed([tongue.fact(part) for part in self.parts])


class _Capital(Said):
    """A text with a capital letter at its beginning."""

    text: str

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        return _raised(tongue.speak(self.text))


class Numeral(Said):
    """A number in English digits: ``1,234``, ``21.5``, ``8 1/2``."""

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        """Itself with the marks of a tongue."""
        return tongue.digits(str(self))


# --- making them ---------------------------------------------------------------------------------


def say(template: str, /, **facts: Fact) -> Said:
    """A sentence with its fields filled in.

    :raises KeyError: where a field has no fact.
    """
    return _message(template, facts)


def say_count(one: str, many: str, count: float, /, **facts: Fact) -> Said:
    """A sentence that is one for a single thing and another for several.

    ``{count}`` is the number itself, where no fact of that name is given.
    """
    return _message(one, {"count": numeral(count), **facts}, many=many, count=count)


def word(context: str, text: str, /) -> Said:
    """A word or name that needs its context to be understood."""
    return _message(text, {}, context=context)


def joined(parts: Iterable[str], separator: str = " ") -> Said:
    """Texts one after another, parted by marks that every tongue has."""
    kept = tuple(part for part in parts if part)
    made = _Joined(separator.join(kept))
    made.parts, made.separator = kept, separator
    return made


def listed(parts: Iterable[str]) -> Said:
    """Texts as a list: ``F1``, ``F1 and B1``, ``F1, B1 and F2``."""
    kept = tuple(parts)
    head, last = ", ".join(kept[:-1]), kept[-1] if kept else ""
    made = _Listed(f"{head} and {last}" if head else last)
    made.parts = kept
    return made


def capital(text: str) -> Said:
    """The text with a capital at its beginning."""
    made = _Capital(_raised(text))
    made.text = text
    return made


def numeral(value: float | str) -> Numeral:
    """A number, or its English digits: give those of what is to be rounded or parted."""
    whole = not isinstance(value, str) and float(value).is_integer()
    return Numeral(int(value) if whole else value)


def _message(
    template: str,
    facts: Mapping[str, Fact],
    *,
    context: str = "",
    many: str = "",
    count: float = 1,
) -> Said:
    chosen = many if many and count != 1 else template
    made = _Message(_filled(chosen, facts, None))
    made.template, made.facts, made.context = template, facts, context
    made.many, made.amount = many, count
    return made


def _raised(text: str) -> str:
    return text[:1].upper() + text[1:]


# --- filling in ----------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _parsed(template: str) -> tuple[tuple[str, str | None, str], ...]:
    """The template's parts: text, and after it a field's name (None at the end) and its form."""
    return tuple((text, name, spec or "") for text, name, spec, _ in Formatter().parse(template))


def fields_of(template: str) -> frozenset[str]:
    """The fields of a template with their forms, such as ``length:length``."""
    return frozenset(
        f"{name}:{spec}" if spec else name
        for _, name, spec in _parsed(template)
        if name is not None
    )


def _filled(template: str, facts: Mapping[str, Fact], tongue: Tongue | None) -> str:
    """The template with its facts, in a tongue or (None) in English."""
    whole = ""
    for text, name, spec in _parsed(template):
        whole += text
        if name is not None:
            value = facts[name]
            whole += format(value, spec) if tongue is None else tongue.fact(value, spec)
    return whole


def separator_of(items: Iterable[str]) -> str:
    """What parts several numbers: a semicolon where one of them holds a decimal comma."""
    return "; " if any("," in item for item in items) else ", "


def messages_of(text: str) -> Iterator[tuple[str, str]]:
    """Every message within a said text, as its context and its template."""
    match text:
        case _Message():
            yield text.context, text.template
            for fact in text.facts.values():
                if isinstance(fact, str):
                    yield from messages_of(fact)
        case _Joined() | _Listed():
            for part in text.parts:
                yield from messages_of(part)
        case _Capital():
            yield from messages_of(text.text)
