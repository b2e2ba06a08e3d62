"""The catalogues that come with Pegwright, and the tongue of a language tag."""

from __future__ import annotations

import re
from functools import lru_cache
from gettext import GNUTranslations
from importlib.resources import files

from pegwright.errors import BadInput, Place
from pegwright.tongue.tongue import Forms, Tongue

__all__ = ["LANGUAGES", "tongue_of"]

LANGUAGES = {"en": "English", "de": "Deutsch", "es": "español"}
"""The languages that patterns are written in, each in its own name; a territory may follow."""

_PARTED_FROM_FIVE = frozenset({"es"})
"""Languages that part thousands from five digits on (Unicode CLDR; from memory)."""

_TAG = re.compile(r"([a-z]{2,3})(?:-([a-z]{2}))?", re.IGNORECASE)


@lru_cache(maxsize=32)
def tongue_of(language: str) -> Tongue:
    """The tongue of a BCP 47 tag: ``de``, ``es-MX``, ``en-US``.

    :raises BadInput: for what is no such tag, or a language without a catalogue.
    """
    match = _TAG.fullmatch(language.strip())
    lang, territory = (match[1].lower(), (match[2] or "").upper()) if match else ("", "")
    if lang not in LANGUAGES:
        known = ", ".join(f"{tag} ({name})" for tag, name in LANGUAGES.items())
        raise BadInput(
            "no patterns are written in this language",
            given=language,
            hint=f"use one of {known}; a territory may follow, as in en-US",
            place=Place(field="language"),
        )
    tag = f"{lang}-{territory}" if territory else lang
    if lang == "en":
        return Tongue(tag)
    return Tongue(tag, _catalogue(lang), _forms(lang, territory))


def _catalogue(lang: str) -> GNUTranslations:
    source = files("pegwright.tongue").joinpath("locale", lang, "LC_MESSAGES", "pegwright.mo")
    with source.open("rb") as compiled:
        return GNUTranslations(compiled)


def _forms(lang: str, territory: str) -> Forms:
    """Marks of numbers, lists and direction, from the Unicode common locale data."""
    from babel import Locale, UnknownLocaleError
    from babel.numbers import get_decimal_symbol, get_group_symbol

    try:
        locale = Locale.parse(f"{lang}_{territory}" if territory else lang)
    except UnknownLocaleError:
        locale = Locale.parse(lang)
    group = get_group_symbol(locale)
    lists = locale.list_patterns["standard"]
    return Forms(
        decimal=get_decimal_symbol(locale),
        group=group,
        least_grouped=2 if lang in _PARTED_FROM_FIVE and group == "." else 1,
        pair=lists["2"],
        last=lists["end"],
        middle=lists["middle"],
        rtl=locale.text_direction == "rtl",
    )
