"""Yarn that changes colour along its length, and how well its colours can be told apart.

Words used here:

* a **stretch** is a length of yarn in one colour;
* a **colour run** is the order of stretches that recurs along a yarn, its **repeat**; a solid yarn
  is a run of one stretch, a long run stripes by itself, a short one speckles or pools;
* the **offset** is how far into the repeat the yarn's first end lies;
* **drift** is how much one repeat's length differs from the next, as a relative standard deviation.

Distances along a yarn are metres from its first end.  Inside they are whole nanometres, so that a
yarn without drift is found by whole-number arithmetic and its thousandth repeat starts where it
should.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.units import (
    UnitSystem,
    format_both,
    format_yarn_length,
    parse_length_mm,
    require_positive,
    require_zero_or_more,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "MOST_DRIFT",
    "MOST_REPEATS",
    "Colour",
    "ColourRun",
    "Stretch",
    "along_yarn",
    "parse_colour_run",
]

MOST_DRIFT = 0.25
"""Most drift taken; draws are cut at three standard deviations, so no repeat shrinks to nothing."""

MOST_REPEATS = 5_000_000
"""Most repeats of a drifting yarn that are laid out."""

_LEAST_STRETCH_M = 0.001
_MOST_M = 1e6
_MOST_STRETCHES = 1000
_NM = 1e9
_CUT = 3.0
_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_ENTRY = re.compile(r"(?P<name>[^#]*?)\s*(?P<hex>#\S+)?\s+(?P<length>[0-9.¼½¾⅛⅜⅝⅞].*)")


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour: its name in words, and ``#rrggbb`` for pictures (kept in lower case).

    :raises BadInput: naming the field, for no name or what is no such colour.
    """

    name: str
    hex: str

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput(
                "a colour needs a name",
                given=repr(self.name),
                hint="name it in a word, as rust",
                place=Place(field="name"),
            )
        if _HEX.fullmatch(self.hex) is None:
            raise BadInput(
                "not a colour",
                given=self.hex,
                hint="write # and six hexadecimal digits, as #1f4e79",
                place=Place(field="hex"),
            )
        object.__setattr__(self, "hex", self.hex.lower())


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of yarn in one colour, in metres, a millimetre or more.

    :raises BadInput: naming the field, for a length that cannot be.
    """

    colour: Colour
    length_m: float

    def __post_init__(self) -> None:
        require_positive(self.length_m, "length_m", hint="measure it along the yarn, as 0.3")
        if not _LEAST_STRETCH_M <= self.length_m <= _MOST_M:
            raise BadInput(
                "a stretch of colour is between a millimetre and 1000 km long",
                given=f"{self.length_m:g} m",
                place=Place(field="length_m"),
            )


@dataclass(frozen=True, slots=True)
class ColourRun:
    """The colours along one yarn.

    :param stretches: one repeat, in order from the offset 0.
    :param drift: see the module; 0 to :data:`MOST_DRIFT`.
    :param offset_m: where in the repeat the first end lies, metres, zero or more.
    :param seed: picks one yarn out of all that drift alike; the same on every machine.
    :raises BadInput: naming the field, for a value that cannot be.
    """

    stretches: tuple[Stretch, ...]
    drift: float = 0.0
    offset_m: float = 0.0
    seed: int = 0

    def __post_init__(self) -> None:
        if not 1 <= len(self.stretches) <= _MOST_STRETCHES:
            raise BadInput(
                f"a colour run has between 1 and {_MOST_STRETCHES} stretches",
                given=len(self.stretches),
                hint="give one repeat only, as: rust #a4482c 30 cm, cream #f2ead8 30 cm",
                place=Place(field="stretches"),
            )
        if self.repeat_m > _MOST_M:
            raise BadInput(
                "a repeat of colour is at most 1000 km long",
                given=f"{self.repeat_m:g} m",
                place=Place(field="stretches"),
            )
        require_zero_or_more(self.drift, "drift", hint="write 0.05 for repeats that vary by 5 %")
        if self.drift > MOST_DRIFT:
            raise BadInput(
                f"repeats that differ by more than {MOST_DRIFT:.0%} are no repeats",
                given=self.drift,
                hint="write 0.05 for repeats that vary by 5 %",
                place=Place(field="drift"),
            )
        require_zero_or_more(self.offset_m, "offset_m")
        if self.offset_m > _MOST_M:
            raise BadInput(
                "an offset is at most 1000 km", given=self.offset_m, place=Place(field="offset_m")
            )
        require_zero_or_more(self.seed, "seed", hint="a seed is a whole number, as 1")

    @classmethod
    def solid(cls, colour: Colour) -> ColourRun:
        """A yarn of one colour throughout."""
        return cls((Stretch(colour, 1.0),))

    @property
    def colours(self) -> tuple[Colour, ...]:
        """Every colour once, in the order in which it first comes."""
        return tuple(dict.fromkeys(s.colour for s in self.stretches))

    @property
    def repeat_m(self) -> float:
        """One repeat, in metres."""
        return sum(self.stretch_nm) / _NM

    @property
    def is_solid(self) -> bool:
        """Whether there is only one colour."""
        return len(self.colours) == 1

    @property
    def stretch_nm(self) -> tuple[int, ...]:
        """The stretches in whole nanometres."""
        return tuple(round(s.length_m * _NM) for s in self.stretches)

    @property
    def stretch_colours(self) -> tuple[int, ...]:
        """The index into :attr:`colours` of each stretch."""
        known = self.colours
        return tuple(known.index(s.colour) for s in self.stretches)

    def colours_at(self, distance_m: ArrayLike) -> NDArray[np.int16]:
        """The colour at distances along the yarn, as an index into :attr:`colours`.

        A change of colour belongs to the colour that begins there.

        :param distance_m: metres from the first end, zero or more, any shape.
        :raises BadInput: for distances that are not.
        :raises NotPossible: for a drifting yarn of more than :data:`MOST_REPEATS` repeats.
        """
        return self.stretches_at(distance_m)[0]

    def stretches_at(
        self, distance_m: ArrayLike
    ) -> tuple[NDArray[np.int16], NDArray[np.float64], NDArray[np.float64]]:
        """As :meth:`colours_at`, and how far the same colour reaches back and onward, in metres.

        Neighbouring stretches of one colour count as one, across the end of the repeat too.
        """
        import numpy as np

        nm = _checked_nm(distance_m)
        if self.is_solid:
            everywhere = np.full(nm.shape, np.inf)
            return np.zeros(nm.shape, np.int16), everywhere, everywhere
        nm += round(self.offset_m * _NM)
        lengths = np.array(self.stretch_nm, np.int64)
        ends = np.cumsum(lengths)
        if self.drift:
            within, scale = self._drifted(nm, int(ends[-1]))
        else:
            within, scale = nm % ends[-1], None
        at = np.searchsorted(ends, within, side="right")
        colour, back_nm, on_nm = self._reaches()
        into = within - (ends - lengths)[at]
        before = (back_nm[at] + into) / _NM
        after = (on_nm[at] + lengths[at] - into) / _NM
        if scale is not None:
            before, after = before * scale, after * scale
        return colour[at], before, after

    def _reaches(self) -> tuple[NDArray[np.int16], NDArray[np.int64], NDArray[np.int64]]:
        """Each stretch's colour, and how far that colour goes on in the stretches beside it, nm."""
        import numpy as np

        colours, lengths = self.stretch_colours, self.stretch_nm
        n = len(colours)
        reach = {-1: [0] * n, 1: [0] * n}
        for way, found in reach.items():
            for i in range(n):
                j = (i + way) % n
                while j != i and colours[j] == colours[i]:
                    found[i] += lengths[j]
                    j = (j + way) % n
        return (
            np.array(colours, np.int16),
            np.array(reach[-1], np.int64),
            np.array(reach[1], np.int64),
        )

    def _drifted(
        self, nm: NDArray[np.int64], repeat_nm: int
    ) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """Where each distance lies in an even repeat, and how much longer its own repeat is."""
        import numpy as np

        far = int(nm.max(initial=0))
        count = far / (repeat_nm * (1 - _CUT * self.drift)) + 2
        if count > MOST_REPEATS:
            raise NotPossible(
                "too many repeats of colour to lay out one by one",
                given=f"about {count:,.0f} repeats",
                hint="give the yarn no drift, or look at less of it",
            )
        factor = 1 + self.drift * np.clip(_normal(self.seed, int(count)), -_CUT, _CUT)
        length = np.maximum(np.rint(repeat_nm * factor), 1).astype(np.int64)
        ends = np.cumsum(length)
        at = np.searchsorted(ends, nm, side="right")
        scale = length[at] / repeat_nm
        within = np.floor((nm - (ends - length)[at]) / scale).astype(np.int64)
        return np.minimum(within, repeat_nm - 1), scale

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """The run in whole sentences."""
        if self.is_solid:
            return (f"The yarn is {self.colours[0].name} throughout.",)
        parts = ", ".join(
            f"{s.colour.name} {along_yarn(s.length_m, units)}" for s in self.stretches
        )
        lines = [f"One repeat of colour is {along_yarn(self.repeat_m, units)}: {parts}."]
        if self.offset_m:
            lines.append(f"The yarn begins {along_yarn(self.offset_m, units)} into the repeat.")
        if self.drift:
            lines.append(f"Repeats differ in length by about {self.drift * 100:.3g} %.")
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The run as plain data for JSON."""
        return {
            "stretches": [
                {"colour": s.colour.name, "hex": s.colour.hex, "length_m": s.length_m}
                for s in self.stretches
            ],
            "repeat_m": self.repeat_m,
            "drift": self.drift,
            "offset_m": self.offset_m,
            "seed": self.seed,
        }


def along_yarn(length_m: float, units: UnitSystem) -> str:
    """A length along a yarn in both systems: by the tape below two metres, in metres above."""
    if length_m < 2:
        return format_both(length_m * 1000, units)
    return format_yarn_length(length_m, units)


def parse_colour_run(
    text: str, *, offset_m: float = 0.0, drift: float = 0.0, seed: int = 0
) -> ColourRun:
    """Read a run as a maker writes it: ``rust #a4482c 30 cm, cream #f2ead8 12 in``.

    Stretches stand in order, parted by commas or semicolons, each a name, a colour and a length.
    The colour may be left out where the name is one that ball bands use
    (:mod:`pegwright.yarn.colour_names`) or one of the web's own (CSS Color 4), as ``red 1 m``.

    :raises BadInput: for what cannot be read; the field is ``colours``.
    """
    entries = [e.strip() for e in re.split(r"[;\n]|,(?=\s|$)", text) if e.strip()]
    if not entries:
        raise _unreadable(text, "no colours given")
    stretches = tuple(_stretch(entry) for entry in entries)
    return ColourRun(stretches, drift, offset_m, seed)


def _stretch(entry: str) -> Stretch:
    match = _ENTRY.fullmatch(entry)
    if match is None:
        raise _unreadable(entry, "not a stretch of colour")
    name, code = match["name"].strip(), match["hex"]
    try:
        length_m = parse_length_mm(match["length"]) / 1000
        if length_m == 0:
            raise _unreadable(entry, "a stretch of colour needs a length above zero")
        return Stretch(Colour(name or code or "", code or _named_colour(name)), length_m)
    except BadInput as problem:
        raise problem.at(Place(field="colours")) from None


def _named_colour(name: str) -> str:
    """The code of a colour's name: a ball band's first, then the web's."""
    from coloraide import Color

    from pegwright.yarn.colour_names import YARN_COLOURS

    if known := YARN_COLOURS.get(" ".join(name.casefold().split())):
        return known
    try:
        return str(Color(name.replace(" ", "")).convert("srgb").to_string(hex=True))[:7]
    except ValueError:
        raise _unreadable(name, "this colour's name is not known") from None


def _unreadable(given: str, what: str) -> BadInput:
    return BadInput(
        what,
        given=given,
        hint="write name, colour and length, as: rust #a4482c 30 cm, cream #f2ead8 30 cm",
        place=Place(field="colours"),
    )


def _checked_nm(distance_m: ArrayLike) -> NDArray[np.int64]:
    import numpy as np

    distance = np.asarray(distance_m, np.float64)
    if not bool(np.all((distance >= 0) & (distance <= _MOST_M))):
        raise BadInput(
            "a distance along a yarn is zero or more, and at most 1000 km",
            place=Place(field="distance_m"),
        )
    return np.asarray(np.rint(distance * _NM), np.int64)


def _normal(seed: int, count: int) -> NDArray[np.float64]:
    """Standard normal draws, the same in every version of every library.

    Each is made from its own number by mixing its bits (SplitMix64, Steele, Lea and Flood 2014)
    and the Box–Muller transform (1958), both from memory.
    """
    import numpy as np

    base = np.uint64(int(seed) * 0x9E3779B97F4A7C15 % 2**64)
    n = np.arange(1, 2 * count + 1, dtype=np.uint64)
    with np.errstate(over="ignore"):
        z = base + n * np.uint64(0x9E3779B97F4A7C15)
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        z = z ^ (z >> np.uint64(31))
    even = (np.asarray(z >> np.uint64(11), np.float64) + 0.5) / 2.0**53
    one, two = even[0::2], even[1::2]
    return np.asarray(np.sqrt(-2 * np.log(one)) * np.cos(2 * np.pi * two), np.float64)
