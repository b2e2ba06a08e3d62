"""The stash: odds and ends of yarn, weighed ball by ball, and how many metres they are.

Words used here:

* a **stash** is the yarn that a maker has; each **ball** of it (or skein, or remnant) is weighed;
* the **scale** shows whole steps, 1 g or 2 g; each weighing is off by up to half of one, apart from
  all others (:func:`pegwright.measured.resolution_sd`).  A scale that is off altogether is not
  looked for: weigh something known;
* **moisture**: a ball's mass holds water, up to the fibre's commercial regain in trade and less in
  a dry room.  The band's metres per 100 g are taken to hold at the full regain; a drier ball holds
  more metres than it weighs for.  That is shown as bounds and never put into the interval, which
  therefore errs towards too little yarn.  A yarn whose metres per 100 g were weighed in the same
  room has the same moisture in both, and it drops out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured, resolution_sd, total
from pegwright.units import UnitSystem, format_mass, format_yarn_length, require_positive
from pegwright.yarn.category import category
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.count import REGAINS, dry_mass_bounds_g, mass_at_regain_g
from pegwright.yarn.telling import counted, measured_data
from pegwright.yarn.yarn import Yarn

__all__ = ["MOST_BALLS", "StashYarn", "Stock", "named_apart", "take_stock", "weighed"]

MOST_BALLS = 1000
"""Most balls of one yarn: a shop's shelf, and low enough to keep a typing slip cheap."""


@dataclass(frozen=True, slots=True)
class StashYarn:
    """One yarn of the stash, in one colour.

    :param balls: grams of each ball, with the uncertainty of its weighing; see :func:`weighed`.
    :param scale_g: the smallest difference that the scale shows, in grams.
    :param sampled: the yarn's metres per 100 g were measured and weighed in the same room.
    :param colour_run: its colours, where they change along the yarn.
    :raises BadInput: naming the field, for no balls, or a ball that does not weigh more than zero.
    """

    yarn: Yarn
    balls: tuple[Measured, ...]
    scale_g: float = 1.0
    sampled: bool = False
    colour_run: ColourRun | None = None

    def __post_init__(self) -> None:
        require_positive(self.scale_g, "scale_g", hint="see what the scale shows, as 1 g")
        if not 1 <= len(self.balls) <= MOST_BALLS:
            raise BadInput(
                f"a yarn of the stash has 1 to {MOST_BALLS} balls",
                given=f"{len(self.balls)} balls",
                hint="weigh each ball, or leave the yarn out",
                place=Place(field="balls"),
            )
        for number, ball in enumerate(self.balls, 1):
            require_positive(
                ball.value, f"balls[{number}]", hint="weigh the ball again, without its band"
            )

    @property
    def grams(self) -> Measured:
        """All balls together, in grams; each weighing is off on its own."""
        return total(self.balls)

    @property
    def metres(self) -> Measured:
        """All balls together, in metres, with the yarn's own uncertainty shared by all."""
        return self.yarn.length(self.grams)

    @property
    def ball_metres(self) -> tuple[Measured, ...]:
        """The metres of each ball: what can be knitted without a join."""
        return tuple(self.yarn.length(ball) for ball in self.balls)

    @property
    def moisture_metres(self) -> tuple[float, float] | None:
        """Least and most metres as the balls may be moist or dry (see the module).

        None where moisture drops out, or the fibre has no regain of its own.
        """
        fibre = " ".join(self.yarn.fibre.casefold().split())
        if self.sampled or fibre not in {known.fibre for known in REGAINS}:
            return None
        least_dry, most_dry = dry_mass_bounds_g(self.grams.value, fibre)
        low, high = (mass_at_regain_g(dry, fibre) for dry in (least_dry, most_dry))
        return self.yarn.length_m(low), self.yarn.length_m(high)

    def metres_interval(self, coverage: float = 0.9) -> tuple[float, float]:
        """Between how many metres it lies with this probability; never below zero."""
        low, high = self.metres.interval(coverage)
        return max(low, 0.0), high


def weighed(
    yarn: Yarn,
    balls_g: Sequence[float],
    scale_g: float = 1.0,
    *,
    sampled: bool = False,
    colour_run: ColourRun | None = None,
) -> StashYarn:
    """A yarn of the stash from what a kitchen scale showed.

    :param balls_g: grams of each ball as shown.
    :param scale_g: the smallest difference that the scale shows.
    """
    require_positive(scale_g, "scale_g", hint="see what the scale shows, as 1 g")
    for number, ball_g in enumerate(balls_g, 1):
        require_positive(ball_g, f"balls[{number}]", hint="weigh the ball again, without its band")
    sd = resolution_sd(scale_g)
    return StashYarn(yarn, tuple(Measured(g, sd) for g in balls_g), scale_g, sampled, colour_run)


def named_apart(stash: Sequence[StashYarn], others: Iterable[str] = ()) -> tuple[StashYarn, ...]:
    """The same yarns, each with a name that no other has.

    A name that several have gets the colour after it, and a number where that is not enough.

    :param others: names of further yarns, which stay theirs.
    """
    names = [own.yarn.name for own in stash]
    taken = set(others)
    apart: list[StashYarn] = []
    for own in stash:
        name = own.yarn.name
        if names.count(name) > 1 or name in taken:
            name = own.yarn.label
        number, tried = 1, name
        while tried in taken:
            number += 1
            tried = f"{name} ({number})"
        taken.add(tried)
        apart.append(replace(own, yarn=replace(own.yarn, name=tried)))
    return tuple(apart)


@dataclass(frozen=True, slots=True)
class Stock:
    """What there is of every yarn.

    :param yarns: in the order given.
    :param coverage: probability that each figure lies inside its interval.
    """

    yarns: tuple[StashYarn, ...]
    coverage: float = 0.9

    @property
    def grams(self) -> Measured:
        """All yarns together, in grams."""
        return total(y.grams for y in self.yarns)

    @property
    def metres(self) -> Measured:
        """All yarns together, in metres; every yarn's own figure is off on its own."""
        return total(y.metres for y in self.yarns)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """A sentence or two for each yarn, and one for all of them."""
        lines = [line for y in self.yarns for line in _yarn_words(y, units, self.coverage)]
        if len(self.yarns) > 1:
            lines.append(
                f"In all: {format_yarn_length(self.metres.value, units)},"
                f" {format_mass(self.grams.value, units)},"
                f" of {len(self.yarns)} yarns."
            )
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The same as plain data; masses in grams, lengths in metres."""
        return {
            "yarns": [_yarn_data(y, self.coverage) for y in self.yarns],
            "grams": measured_data(self.grams, self.coverage),
            "metres": measured_data(self.metres, self.coverage),
            "coverage": self.coverage,
        }


def take_stock(yarns: Sequence[StashYarn], coverage: float = 0.9) -> Stock:
    """What there is of every yarn, with intervals.

    :raises BadInput: for no yarns, or a coverage that is not between 0 and 1.
    """
    if not yarns:
        raise BadInput("there is no yarn in the stash", hint="add a [[yarns]] table for each yarn")
    Measured(0.0).interval(coverage)  # refuses a coverage that cannot be
    return Stock(tuple(yarns), coverage)


def _yarn_words(own: StashYarn, units: UnitSystem, coverage: float) -> list[str]:
    low, high = (format_yarn_length(m, units) for m in own.metres_interval(coverage))
    made_up = " (an invented make)" if own.yarn.invented else ""
    often = "nine times in ten" if coverage == 0.9 else f"{100 * coverage:g} times in 100"
    lines = [
        f"{own.yarn.label}{made_up}, {category(own.yarn.category).name} weight:"
        f" {counted(len(own.balls), 'ball')}, {format_mass(own.grams.value, units)} in all,"
        f" about {format_yarn_length(own.metres.value, units)}; {often} between {low} and {high}."
    ]
    if bounds := own.moisture_metres:
        lines.append(
            f"If the band's figure holds at the moisture of trade and the balls are bone dry,"
            f" they hold up to {format_yarn_length(bounds[1], units)}."
        )
    if own.colour_run is not None and not own.colour_run.is_solid:
        lines.extend(own.colour_run.words(units))
    return lines


def _yarn_data(own: StashYarn, coverage: float) -> dict[str, object]:
    bounds = own.moisture_metres
    return {
        "name": own.yarn.name,
        "colour": own.yarn.colour,
        "category": own.yarn.category,
        "invented": own.yarn.invented,
        "balls_g": [ball.value for ball in own.balls],
        "scale_g": own.scale_g,
        "grams": measured_data(own.grams, coverage),
        "metres": measured_data(own.metres, coverage),
        "ball_metres": [metres.value for metres in own.ball_metres],
        "moisture_metres": None if bounds is None else list(bounds),
        "colour_run": None if own.colour_run is None else own.colour_run.as_data(),
    }
