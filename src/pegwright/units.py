"""Lengths and masses: reading what a maker types, and writing what she reads.

Inside, a length is a plain number of **millimetres**, a mass of **grams** and a time of
**minutes**, each with its unit in the name (``gap_mm``, ``left_g``, ``work_minutes``); yarn lengths
are metres (``drawn_m``).  Only this module knows about inches, yards, ounces and tape fractions.

Words used here:

* a **tape mark** is the finest division that is read from a tape, an eighth of an inch unless
  another is asked for;
* a **compound** length is written in parts, the largest first, as ``3 ft 6 in`` or ``1 m 20 cm``.

Reading is exact: numbers are kept as ratios until the end, so ``8 1/2 in`` is 215.9 mm and nothing
else.  Writing rounds **half up** (a length exactly between two marks goes to the longer one, and a
negative one away from zero).  The half-to-even rule that Python's ``round`` follows is not used:
on a tape it would send 1/16 in to nothing and 3/16 in to 1/4 in.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from numbers import Real
from types import MappingProxyType
from typing import Final

from pegwright.errors import BadInput, Place
from pegwright.tongue.said import Numeral, Said, say

__all__ = [
    "GRAMS_PER_OUNCE",
    "GRAMS_PER_POUND",
    "METRES_PER_YARD",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "MM_PER_YARD",
    "UnitSystem",
    "centimetres",
    "format_both",
    "format_cm",
    "format_feet_and_inches",
    "format_inches",
    "format_length",
    "format_mass",
    "format_number",
    "format_yarn_length",
    "inches_on_tape",
    "parse_length_mm",
    "parse_mass_g",
    "require_finite",
    "require_positive",
    "require_zero_or_more",
    "tape_inches",
]

MM_PER_INCH: Final = 25.4
"""The international inch, exact since the yard and pound agreement of 1959."""
MM_PER_FOOT: Final = 304.8
"""Twelve inches, exact."""
MM_PER_YARD: Final = 914.4
"""Three feet, exact."""
METRES_PER_YARD: Final = 0.9144
"""The international yard, exact (1959)."""
GRAMS_PER_POUND: Final = 453.59237
"""The international avoirdupois pound, exact (1959)."""
GRAMS_PER_OUNCE: Final = 28.349523125
"""A sixteenth of the pound, exact."""

_MOST_CHARACTERS = 64
_TAPE_DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)


class UnitSystem(StrEnum):
    """Which units a maker reads first; both are printed."""

    INCHES = "inches"  # inches, yards, ounces
    CENTIMETRES = "centimetres"  # centimetres, metres, grams

    @property
    def other(self) -> UnitSystem:
        """The system that comes second."""
        return UnitSystem.CENTIMETRES if self is UnitSystem.INCHES else UnitSystem.INCHES


# --- checking numbers ----------------------------------------------------------------------------


def require_finite(value: float, field: str) -> None:
    """Refuse NaN, infinity and what is no number; see :func:`require_positive`."""
    if _finite(value) is None:
        raise BadInput(
            f"{field} must be a finite number",
            given=_shown(value),
            hint="write it as a plain number",
            place=Place(field=field),
        )


def require_positive(value: float, field: str, *, hint: str | None = None) -> None:
    """Refuse anything but a finite number above zero.

    :param field: the field's name, which the error carries as its place.
    :raises BadInput: for zero, less than zero, NaN, infinity or what is no number at all.
    """
    number = _finite(value)
    if number is None or number <= 0:
        raise BadInput(
            f"{field} must be a number above zero",
            given=_shown(value),
            hint=hint or "measure or count it again, and write it as a plain number",
            place=Place(field=field),
        )


def require_zero_or_more(value: float, field: str, *, hint: str | None = None) -> None:
    """Refuse anything but a finite number of zero or more; see :func:`require_positive`."""
    number = _finite(value)
    if number is None or number < 0:
        raise BadInput(
            f"{field} must be zero or a number above it",
            given=_shown(value),
            hint=hint or "measure or count it again, and write it as a plain number",
            place=Place(field=field),
        )


def _finite(value: object) -> float | None:
    """The value as a float, or None where it is no finite number."""
    if isinstance(value, bool) or not isinstance(value, Real):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


# --- reading -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Quantity:
    """What the reader needs to know of lengths or of masses.

    ``factors`` holds the size of each unit in the inner one; ``families`` are units that may stand
    together in a compound; ``most`` is the largest value taken, in the inner unit.
    """

    name: str
    spellings: Mapping[str, str]
    factors: Mapping[str, Fraction]
    families: tuple[frozenset[str], ...]
    most: int
    most_words: str
    examples: str


def _spellings(table: Mapping[str, str]) -> Mapping[str, str]:
    pairs = ((word, unit) for unit, words in table.items() for word in words.split())
    return MappingProxyType(dict(pairs))


_LENGTH: Final = _Quantity(
    name="length",
    spellings=_spellings(
        {
            "mm": "mm millimetre millimetres millimeter millimeters",
            "cm": "cm cms centimetre centimetres centimeter centimeters",
            "m": "m metre metres meter meters",
            "in": 'in ins inch inches "',
            "ft": "ft foot feet '",
            "yd": "yd yds yard yards",
        }
    ),
    factors=MappingProxyType(
        {
            "mm": Fraction(1),
            "cm": Fraction(10),
            "m": Fraction(1000),
            "in": Fraction("25.4"),
            "ft": Fraction("304.8"),
            "yd": Fraction("914.4"),
        }
    ),
    families=(frozenset({"mm", "cm", "m"}), frozenset({"in", "ft", "yd"})),
    most=100_000_000,
    most_words="100 km",
    examples="8 1/2 in, 21.5 cm or 3 ft 6 in",
)

_MASS: Final = _Quantity(
    name="mass",
    spellings=_spellings(
        {
            "g": "g gram grams gramme grammes",
            "kg": "kg kilo kilos kilogram kilograms kilogramme kilogrammes",
            "oz": "oz ounce ounces",
            "lb": "lb lbs pound pounds",
        }
    ),
    factors=MappingProxyType(
        {
            "g": Fraction(1),
            "kg": Fraction(1000),
            "oz": Fraction("28.349523125"),
            "lb": Fraction("453.59237"),
        }
    ),
    families=(frozenset({"g", "kg"}), frozenset({"oz", "lb"})),
    most=10_000_000,
    most_words="10 000 kg",
    examples="50 g, 1.2 kg or 3 1/2 oz",
)

_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))
_QUOTES = str.maketrans(
    dict.fromkeys("″”“‟„", '"') | dict.fromkeys("′’‘‛´", "'") | dict.fromkeys("⁄∕", "/")
)
_VULGAR = re.compile("[¼½¾⅐-⅞↉]|([⁰¹²³⁴-⁹]+)[⁄∕/]([₀-₉]+)|⅟([₀-₉]+|[0-9]+)")
_TERM = re.compile(r"([0-9.,/\s-]*)([^\W\d_]+|[\"'])?\.?")
_DECIMAL = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_RATIO = re.compile(r"(?:([0-9]+)(?:\s+|-))?([0-9]+)\s*/\s*([0-9]+)")
_RANGE = re.compile(r"[0-9.,/\s]*[0-9]\s*-\s*[0-9][0-9.,/\s]*")


def parse_length_mm(
    given: str | float, *, default_unit: str | None = None, allow_negative: bool = False
) -> float:
    """Read a length as a maker writes it, in millimetres.

    Understood are decimals, tape fractions (``7/16 in``, ``1-1/4 in``, ``8 1/2"``, ``1¼ in``),
    compound lengths (``3' 6"``, ``3 ft 6 in``, ``1 m 20 cm``) and a decimal comma where it cannot
    be a thousands comma (``46,5 cm``; ``1,250 m`` is refused).

    :param given: text, or a bare number, which needs ``default_unit``.
    :param default_unit: the unit of a number that carries none, such as ``cm``.
    :param allow_negative: take lengths below zero, as for ease; otherwise they are refused.
    :raises BadInput: for all else: nothing, no number, not finite, no or unknown unit, a fraction
        over zero, too long.
    """
    return _parse(given, _LENGTH, default_unit, allow_negative=allow_negative)


def parse_mass_g(given: str | float, *, default_unit: str | None = None) -> float:
    """Read a mass as a maker writes it, in grams: ``50 g``, ``1.2 kg``, ``3 1/2 oz``.

    :param given: text, or a bare number, which needs ``default_unit``.
    :raises BadInput: as :func:`parse_length_mm`; a mass below zero is always refused.
    """
    return _parse(given, _MASS, default_unit, allow_negative=False)


def _parse(
    given: object, quantity: _Quantity, default_unit: str | None, *, allow_negative: bool
) -> float:
    fallback = None if default_unit is None else _unit(default_unit, quantity, default_unit)
    if isinstance(given, str):
        value = _value_of_text(given, quantity, fallback)
    elif (number := _finite(given)) is not None:
        if fallback is None:
            raise _no_unit(given, quantity)
        value = _exact(number) * quantity.factors[fallback]
    else:
        raise _refusal(f"not a {quantity.name}", given, quantity)
    if value < 0 and not allow_negative:
        raise _refusal(f"a {quantity.name} cannot be below zero here", given, quantity)
    if abs(value) > quantity.most:
        raise _refusal(f"larger than {quantity.most_words}", given, quantity)
    return float(value)


def _value_of_text(given: str, quantity: _Quantity, fallback: str | None) -> Fraction:
    if len(given) > _MOST_CHARACTERS:
        raise _refusal(f"too long to be a {quantity.name}", given, quantity)
    text = _plain(given)
    if not text:
        raise _refusal(f"no {quantity.name} given", given, quantity)
    sign = -1 if text.startswith("-") else 1
    text = text[1:].lstrip() if text[0] in "+-" else text
    if not text:
        raise _refusal(f"no {quantity.name} given", given, quantity)
    terms = _terms(text, given, quantity)
    if len(terms) == 1 and terms[0][1] is None:
        if fallback is None:
            raise _no_unit(given, quantity)
        return sign * terms[0][0] * quantity.factors[fallback]
    _check_compound([unit for _, unit in terms], given, quantity)
    return sign * sum(
        (number * quantity.factors[unit] for number, unit in terms if unit), Fraction(0)
    )


def _plain(given: str) -> str:
    """The text in lower case with ASCII digits, quotes and fractions.

    Raised, lowered and circled digits outside a fraction stay as they are, so that the ``²`` of an
    area is never taken for a length's last digit.
    """
    text = _VULGAR.sub(_spaced, given.translate(_DASHES)).translate(_QUOTES)
    plain = "".join(
        c if unicodedata.category(c) == "No" else unicodedata.normalize("NFKC", c) for c in text
    )
    return plain.translate(_QUOTES).replace("''", '"').casefold().strip()


def _spaced(match: re.Match[str]) -> str:
    """A vulgar or stacked fraction as ``n/d``, parted from digits beside it, not from a hyphen."""
    before = "" if match.string[: match.start()].endswith("-") else " "
    return before + unicodedata.normalize("NFKC", match.group()).replace("⁄", "/") + " "


def _terms(text: str, given: str, quantity: _Quantity) -> list[tuple[Fraction, str | None]]:
    """Split into numbers with their units; a unit is None where none stands there."""
    terms: list[tuple[Fraction, str | None]] = []
    position = 0
    while position < len(text):
        match = _TERM.match(text, position)
        if match is None or match.end() == position:
            raise _refusal(f"not a {quantity.name}", given, quantity)
        number = match.group(1).strip()
        if terms:  # "3 ft, 6 in"
            number = number.removeprefix(",").strip()
        word = match.group(2)
        if not number and word:
            raise _refusal(f"a number is missing before {word!r}", given, quantity)
        terms.append((_number(number, given, quantity), word and _unit(word, quantity, given)))
        position = match.end()
    return terms


def _number(text: str, given: str, quantity: _Quantity) -> Fraction:
    if _DECIMAL.fullmatch(text):
        return Fraction(text)
    if match := _COMMA.fullmatch(text):
        whole, part = match.groups()
        if len(part) == 3 and whole.strip("0"):
            raise _refusal(
                "the comma may part thousands or decimals",
                given,
                quantity,
                hint=f"write {whole}.{part} or {whole}{part}",
            )
        return Fraction(f"{whole}.{part}")
    if match := _RATIO.fullmatch(text):
        whole, top, bottom = int(match.group(1) or 0), int(match.group(2)), int(match.group(3))
        if bottom == 0:
            raise _refusal("a fraction cannot have 0 below the line", given, quantity)
        if match.group(1) and top >= bottom:
            raise _refusal(f"{top}/{bottom} after a whole number is not below one", given, quantity)
        return whole + Fraction(top, bottom)
    if _RANGE.fullmatch(text):
        raise _refusal(f"this is a range, not one {quantity.name}", given, quantity)
    raise _refusal(f"not a {quantity.name}: the number cannot be read", given, quantity)


def _unit(word: str, quantity: _Quantity, given: str) -> str:
    plain = _plain(word).rstrip(".")
    unit = quantity.spellings.get(plain)
    if unit is not None:
        return unit
    for other in (_LENGTH, _MASS):
        if other is not quantity and plain in other.spellings:
            raise _refusal(f"{word!r} is a unit of {other.name}", given, quantity)
    near = get_close_matches(plain, quantity.spellings, n=1, cutoff=0.5)
    meant = f"did you mean {near[0]}? " if near else f"use {', '.join(quantity.factors)}; "
    raise _refusal(
        f"no such unit of {quantity.name}: {word!r}",
        given,
        quantity,
        hint=f"{meant}for example {quantity.examples}",
    )


def _check_compound(units: list[str | None], given: str, quantity: _Quantity) -> None:
    if None in units:
        raise _refusal("a number stands without its unit", given, quantity)
    known = [unit for unit in units if unit is not None]
    sizes = [quantity.factors[unit] for unit in known]
    one_family = any(family.issuperset(known) for family in quantity.families)
    if not one_family or any(a <= b for a, b in pairwise(sizes)):
        raise _refusal("the units do not go together, largest first", given, quantity)


def _no_unit(given: object, quantity: _Quantity) -> BadInput:
    return _refusal(f"a {quantity.name} needs its unit", given, quantity)


def _refusal(what: str, given: object, quantity: _Quantity, *, hint: str | None = None) -> BadInput:
    return BadInput(what, given=_shown(given), hint=hint or f"write it as {quantity.examples}")


def _shown(given: object) -> str:
    try:
        return str(given)
    except ValueError:  # a whole number with thousands of digits
        return "a number of thousands of digits"


# --- writing -------------------------------------------------------------------------------------


def format_number(value: float, places: int = 0) -> Numeral:
    """A number with at most ``places`` decimals, rounded half up, trailing zeros dropped.

    Halves are judged on the decimal digits that Python shows for the number: 0.125 to two places is
    ``0.13`` and 2.675 is ``2.68``.  Never ``-0``, never an exponent.

    :raises BadInput: where the value is not finite.
    """
    scaled = _half_up(abs(_exact(value)) * 10**places)
    whole, part = divmod(scaled, 10**places)
    decimals = f"{part:0{places}d}".rstrip("0") if places else ""
    sign = "-" if value < 0 and scaled else ""
    return Numeral(f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}")


def tape_inches(mm: float, denominator: int = 8) -> tuple[int, int, int]:
    """The nearest tape mark: whole inches, and the rest as a reduced fraction.

    Rounds half up, so 1/16 in read in eighths is (0, 1, 8).  No rest is given as (n, 0, 1).

    :param mm: a length of zero or more.
    :param denominator: marks to the inch: 1, 2, 4, 8, 16, 32 or 64.
    :raises BadInput: for a length below zero or not finite, or a tape that does not exist.
    """
    if denominator not in _TAPE_DENOMINATORS:
        raise BadInput(
            "no tape is marked so",
            given=f"{denominator} marks to the inch",
            hint="use 1, 2, 4, 8, 16, 32 or 64 marks to the inch",
        )
    if mm < 0:
        raise BadInput("a tape has no marks below zero", given=f"{mm} mm", hint="measure from 0")
    marks = _half_up(_exact(mm) / _LENGTH.factors["in"] * denominator)
    whole, rest = divmod(marks, denominator)
    part = Fraction(rest, denominator)
    return whole, part.numerator, part.denominator


def inches_on_tape(mm: float, denominator: int = 8) -> Numeral:
    """The inches of a length without their unit, such as ``8 1/2``; see :func:`tape_inches`."""
    whole, top, bottom = tape_inches(abs(mm), denominator)
    sign = "-" if mm < 0 and (whole or top) else ""
    return Numeral(f"{sign}{_mixed(whole, top, bottom)}")


def format_inches(mm: float, denominator: int = 8) -> Said:
    """A length as a tape shows it, such as ``8 1/2 in``; see :func:`tape_inches` for rounding."""
    # NOTE: inches, as short as they are written beside a number
    return say("{number} in", number=inches_on_tape(mm, denominator))


def format_feet_and_inches(mm: float, denominator: int = 8) -> str:
    """A long length in feet and inches, such as ``3 ft 6 in``; below one foot inches alone."""
    whole, top, bottom = tape_inches(abs(mm), denominator)
    feet, inches = divmod(whole, 12)
    sign = "-" if mm < 0 and (whole or top) else ""
    if not feet:
        return f"{sign}{_mixed(inches, top, bottom)} in"
    return f"{sign}{feet} ft" + (f" {_mixed(inches, top, bottom)} in" if inches or top else "")


def centimetres(mm: float, places: int = 1) -> Numeral:
    """The centimetres of a length without their unit, such as ``21.5``."""
    return format_number(float(_exact(mm) / 10), places)


def format_cm(mm: float, places: int = 1) -> Said:
    """A length in centimetres, such as ``21.5 cm``, rounded half up; a trailing .0 is dropped."""
    return say("{number} cm", number=centimetres(mm, places))


def format_length(mm: float, system: UnitSystem, *, denominator: int = 8) -> Said:
    """A length in one system: ``8 1/2 in`` or ``21.5 cm``."""
    if system is UnitSystem.INCHES:
        return format_inches(mm, denominator)
    return format_cm(mm)


def format_both(mm: float, first: UnitSystem, *, denominator: int = 8) -> Said:
    """A length in both systems, such as ``8 1/2 in (21.5 cm)``.

    Each is rounded from the length itself, never one from the other.
    """
    # NOTE: one length in two units, such as 8 1/2 in (21.5 cm)
    return say(
        "{first} ({second})",
        first=format_length(mm, first, denominator=denominator),
        second=format_length(mm, first.other, denominator=denominator),
    )


def format_yarn_length(m: float, first: UnitSystem) -> Said:
    """A yarn length in both systems, such as ``210 m (230 yd)``.

    Whole metres and yards from ten up, one decimal below; rounded half up.  Rounding does not round
    a requirement up to what must be bought: that is the business of its margin.
    """
    metres = say("{number} m", number=_coarse(m))
    yards = say("{number} yd", number=_coarse(m / METRES_PER_YARD))
    one, other = (yards, metres) if first is UnitSystem.INCHES else (metres, yards)
    return say("{first} ({second})", first=one, second=other)


def format_mass(g: float, first: UnitSystem) -> Said:
    """A mass in both systems, such as ``100 g (3.5 oz)``.

    Whole grams from ten up, one decimal below; ounces with one decimal from one up, two below;
    rounded half up.
    """
    ounces_value = g / GRAMS_PER_OUNCE
    grams = say("{number} g", number=_coarse(g))
    places = 1 if abs(ounces_value) >= 1 else 2
    ounces = say("{number} oz", number=format_number(ounces_value, places))
    one, other = (ounces, grams) if first is UnitSystem.INCHES else (grams, ounces)
    return say("{first} ({second})", first=one, second=other)


def _coarse(value: float) -> Numeral:
    return format_number(value, 0 if abs(value) >= 10 else 1)


def _mixed(whole: int, top: int, bottom: int) -> str:
    if not top:
        return str(whole)
    return f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"


def _exact(value: float) -> Fraction:
    """The number as its shortest decimal digits read, which is what a maker wrote."""
    number = _finite(value)
    if number is None:
        raise BadInput(
            "not a finite number", given=_shown(value), hint="give a plain number, as 21.5"
        )
    return Fraction(repr(number))


def _half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))
