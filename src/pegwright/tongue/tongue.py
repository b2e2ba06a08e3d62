"""A tongue: the catalogue of one language, its numbers and lists, and which way it is read.

English is what the rooms write, so it needs no catalogue and loads nothing.  For the others the
marks of numbers, the joining of lists and the direction come from the Unicode common locale data
(CLDR, through Babel), which is loaded when such a tongue is first asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from gettext import NullTranslations

from pegwright.tongue.said import Fact, Said, Speaks, say

__all__ = ["ENGLISH", "ENGLISH_FORMS", "Forms", "Tongue", "territory_of"]

_ISOLATE, _END = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"

LETTER_TERRITORIES = frozenset(
    {"us", "ca", "mx", "cl", "co", "cr", "gt", "ni", "pa", "ph", "pr", "sv", "ve"}
)
"""Territories that print on US Letter (Unicode CLDR, paper size; from memory)."""

INCH_TERRITORIES = frozenset({"us", "pr"})
"""Territories that measure in inches (Unicode CLDR, measurement system; from memory)."""


@dataclass(frozen=True, slots=True)
class Forms:
    """How a language writes numbers and lists.

    :param least_grouped: the fewest digits before the first group mark that are still parted from
        it: 1 writes ``1.234``, 2 writes ``1234`` and ``12.345``.
    :param pair: a list's last two; ``middle`` is what parts those before.
    :param rtl: it is read from right to left.
    """

    decimal: str = "."
    group: str = ","
    least_grouped: int = 1
    pair: str = "{0} and {1}"
    last: str = "{0} and {1}"
    middle: str = "{0}, {1}"
    rtl: bool = False


ENGLISH_FORMS = Forms()


def territory_of(language: str) -> str:
    """The territory of a BCP 47 tag in lower case, or nothing where the tag names none."""
    parts = [p for p in language.lower().split("-")[1:] if len(p) == 2 and p.isalpha()]
    return parts[0] if parts else ""


@dataclass(frozen=True, slots=True)
class Tongue:
    """Says things in one language.

    :param language: its BCP 47 tag, such as ``en``, ``de`` or ``es-MX``.
    :param translations: its catalogue; none for English.
    """

    language: str = "en"
    translations: NullTranslations | None = field(default=None, compare=False)
    forms: Forms = ENGLISH_FORMS

    @property
    def direction(self) -> str:
        """``ltr`` or ``rtl``."""
        return "rtl" if self.forms.rtl else "ltr"

    @property
    def measures_in_inches(self) -> bool:
        """Whether inches come first where nobody says otherwise."""
        territory = territory_of(self.language)
        return territory in INCH_TERRITORIES if territory else self.translations is None

    @property
    def prints_on_letter(self) -> bool:
        """Whether US Letter is the usual sheet there; A4 otherwise."""
        return territory_of(self.language) in LETTER_TERRITORIES

    def say(self, template: str, /, **facts: Fact) -> str:
        """A sentence in this tongue, its fields filled in."""
        return self.speak(say(template, **facts))

    def speak(self, text: str) -> str:
        """A text in this tongue; plain text as it is."""
        if not isinstance(text, Said):
            return text
        return str(text) if self.translations is None else text.spoken(self)

    def fact(self, value: Fact, spec: str = "") -> str:
        """A fact as it stands in a sentence, kept together where the tongue runs the other way."""
        if isinstance(value, Speaks):
            text = value.spoken(self, spec)
        else:
            text = self.digits(format(value, spec)) if _is_number(value) else format(value, spec)
        if not self.forms.rtl or not text:
            return text
        return f"{_ISOLATE}{text}{_END}"

    def message(self, one: str, context: str = "", many: str = "", count: float = 1) -> str:
        """The catalogue's template for an English one, or the English one where it has none.

        A count that is not whole takes the plural.
        """
        if self.translations is None:
            return many if many and count != 1 else one
        number = int(count) if float(count).is_integer() else 2
        if many:
            return self.translations.ngettext(one, many, number)
        if context:
            return self.translations.pgettext(context, one)
        return self.translations.gettext(one)

    def digits(self, english: str) -> str:
        """A number in English digits with this tongue's marks: ``1,234.5`` as ``1.234,5``."""
        forms = self.forms
        if forms == ENGLISH_FORMS:
            return english
        whole, point, rest = english.partition(".")
        parts = whole.split(",")
        short = len(parts) == 2 and len(parts[0].lstrip("-−+")) < forms.least_grouped
        grouped = ("" if short else forms.group).join(parts)
        return grouped + (forms.decimal + rest if point else "")

    def listed(self, parts: Sequence[str]) -> str:
        """Texts in a list, as this tongue joins them."""
        if len(parts) < 2:
            return "".join(parts)
        if len(parts) == 2:
            return self.forms.pair.format(*parts)
        head = parts[0]
        for part in parts[1:-1]:
            head = self.forms.middle.format(head, part)
        return self.forms.last.format(head, parts[-1])


def _is_number(value: Fact) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


ENGLISH = Tongue()
"""What every room writes."""
