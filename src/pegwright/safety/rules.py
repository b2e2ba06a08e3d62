"""The safety rules: whom each is for, what it applies to, where it is written, what follows.

A rule either **refuses** (the pattern is not made so) or **cautions** (the pattern says so).  Its
source is told with its exact scope: several published rules are narrower than the care they are
taken as a reason for here, and then the rule is Pegwright's own and says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.garments.base import Wearer
from pegwright.safety.features import Feature
from pegwright.tongue.said import say

__all__ = [
    "CORD_SOURCE",
    "NOT_STATED",
    "PLACE_NOTE",
    "RULES",
    "SOURCES",
    "Action",
    "Rule",
    "Scope",
    "Source",
    "rule",
    "rules_data",
    "rules_for",
]

NOT_STATED = "not stated"
"""The date of a source whose edition was not recorded."""

PLACE_NOTE = say(
    "Rules differ from place to place, and they change. Before you sell or give away what you "
    "made, ask the trading-standards office or the consumer-product authority where you live."
)

CORD_SOURCE = say(
    "Pegwright's own rule, after ASTM F1816-18 and 16 CFR 1120 (drawstrings of children's upper "
    "outerwear, United States sizes 2T to 12) and EN 14682 (children's clothing to 14 years; "
    "head-wear itself lies outside its scope). Rules vary by place: ask your local authority."
)


class Action(StrEnum):
    """What follows where a rule applies, the gravest first."""

    REFUSE = "refuse"  # not made so
    CAUTION = "caution"  # made, and the pattern says so


@dataclass(frozen=True, slots=True)
class Source:
    """Something published, and what it covers.

    :param covers: its scope, in whole sentences.
    :param date: its edition, or :data:`NOT_STATED`.
    :param known: how it is known here: read, read in summary, from memory.
    """

    name: str
    covers: str
    date: str = NOT_STATED
    known: str = "read"

    def as_data(self) -> dict[str, str]:
        """The source as plain data."""
        return {"name": self.name, "covers": self.covers, "date": self.date, "known": self.known}


ASTM_F1816 = Source(
    "ASTM F1816-18",
    "Children's upper outerwear of any material, in United States sizes. Sizes 2T to 12: no "
    "drawstring at hood or neck, of no length. Sizes 2T to 16: at waist and bottom no more than "
    "75 mm (3 in) beyond the channel at full width, no toggles or knots at free ends, and one "
    "continuous string is tacked at the back centre. Fully retractable cords are exempt.",
    "2018",
    "scope page read",
)
CFR_1120 = Source(
    "16 CFR 1120",
    "Children's upper outerwear with drawstrings in the United States, as in ASTM F1816; explained "
    "in the drawstring questions and answers of the Consumer Product Safety Commission.",
    known="the commission's answers read",
)
EN_14682 = Source(
    "EN 14682",
    "Children's clothing in the European Union. To 7 years (height to 134 cm): no cord at hood or "
    "neck. From 7 to 14 years: no free ends there. Gloves, hats, bonnets and scarves lie outside "
    "its scope; a draft of 2023 asks for its zones as a risk assessment.",
    known="summaries read",
)
CFR_1501 = Source(
    "16 CFR 1501",
    "Small parts of toys and other articles for children under 3 in the United States. Children's "
    "clothing is exempt (1501.3(d)); loose yarn and fuzz are not tested.",
)
SAFE_SLEEP = Source(
    "paediatric safe-sleep advice",
    "Infants: they sleep with the head uncovered, and nothing loose lies beside them.",
    known="from memory",
)
PRACTICE = Source("common practice", "No published source.", known="no source")

SOURCES: tuple[Source, ...] = (ASTM_F1816, CFR_1120, EN_14682, CFR_1501, SAFE_SLEEP, PRACTICE)
"""Every source that a rule names."""


@dataclass(frozen=True, slots=True)
class Scope:
    """Whom a rule is for: the wearers, and the same in words of age or size."""

    wearers: frozenset[Wearer]
    words: str


_ALL = Scope(frozenset(Wearer), "everyone")
_ADULTS = Scope(frozenset({Wearer.ADULT}), "grown people")
_CHILDREN = Scope(frozenset({Wearer.CHILD, Wearer.INFANT}), "children under 14 years")
_INFANTS = Scope(frozenset({Wearer.INFANT}), "children under 3 years")


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule.

    :param name: stable, lower case and hyphens.
    :param title: the caution's heading.
    :param applies_to: features that must all be there; none for every piece.
    :param source: where it is written with its scope, in the words that are printed.
    :param sources: what the source's words rest on.
    :param unless: features of which none may be there.
    """

    name: str
    title: str
    scope: Scope
    applies_to: frozenset[Feature]
    text: str
    source: str
    sources: tuple[Source, ...]
    action: Action = Action.CAUTION
    unless: frozenset[Feature] = frozenset()

    @property
    def source_date(self) -> str:
        """The edition of each dated source, or :data:`NOT_STATED`."""
        dated = [f"{s.name}: {s.date}" for s in self.sources if s.date != NOT_STATED]
        return "; ".join(dated) or NOT_STATED

    def applies(self, wearer: Wearer, features: frozenset[Feature]) -> bool:
        """Whether it is for this wearer and such a piece."""
        return (
            wearer in self.scope.wearers
            and self.applies_to <= features
            and not self.unless & features
        )

    def as_data(self) -> dict[str, object]:
        """The rule as plain data for JSON."""
        return {
            "name": self.name,
            "title": self.title,
            "scope": {
                "wearers": [str(w) for w in Wearer if w in self.scope.wearers],
                "words": self.scope.words,
            },
            "applies_to": sorted(str(f) for f in self.applies_to),
            "unless": sorted(str(f) for f in self.unless),
            "source": self.source,
            "sources": [source.as_data() for source in self.sources],
            "source_date": self.source_date,
            "text": self.text,
            "action": str(self.action),
        }


_CORD_SOURCES = (ASTM_F1816, CFR_1120, EN_14682)
_NO_SOURCE = say("Common practice, no source.")
_TOOL_SOURCE = say(
    "Common practice, no source; follow the tool maker's instructions and local rules."
)

RULES: tuple[Rule, ...] = (
    Rule(
        "cord-child",
        say("No cord with free ends for a child"),
        _CHILDREN,
        frozenset({Feature.FREE_CORD}),
        say(
            "A cord with free ends can catch and strangle. It is refused on a child's or infant's "
            "piece: close it with yarn that is fastened off."
        ),
        CORD_SOURCE,
        _CORD_SOURCES,
        Action.REFUSE,
    ),
    Rule(
        "small-part-toy",
        say("Nothing small on a toy for a child under three"),
        _INFANTS,
        frozenset({Feature.TOY, Feature.SMALL_PART}),
        say("A button, bead or pompom that comes off a toy can choke. Embroider eyes and noses."),
        say("16 CFR 1501 (small parts of toys and other articles for children under 3)."),
        (CFR_1501,),
        Action.REFUSE,
    ),
    Rule(
        "cord-adult",
        say("Cord at the neck: adults only"),
        _ADULTS,
        frozenset({Feature.FREE_CORD, Feature.NECK}),
        say(
            "The neck closes with a cord that has free ends. Do not make or hand this on for a "
            "child: a cord at the neck can catch and strangle. Choose the drawn closing for "
            "children. Adults too should tuck the ends in near moving machinery, oars and winches."
        ),
        CORD_SOURCE,
        _CORD_SOURCES,
    ),
    Rule(
        "cord-loose",
        say("Keep the cord from small children"),
        _ADULTS,
        frozenset({Feature.FREE_CORD}),
        say(
            "It closes with a cord that has free ends. A loop of cord can go over a small child's "
            "head: do not hang it in a cot or round a neck, and put it away where children play."
        ),
        _NO_SOURCE,
        (PRACTICE,),
        unless=frozenset({Feature.NECK}),
    ),
    Rule(
        "no-cord",
        say("No cord for children"),
        _CHILDREN,
        frozenset({Feature.NECK, Feature.GATHERED}),
        say(
            "These sizes are for children, so the neck has no cord. It is gathered by yarn that is "
            "fastened off. Do not add a cord, ribbon or toggle at the neck."
        ),
        CORD_SOURCE,
        _CORD_SOURCES,
        unless=frozenset({Feature.FREE_CORD}),
    ),
    Rule(
        "sleep",
        say("Not for sleep"),
        _INFANTS,
        frozenset(),
        say(
            "Take it off before an infant sleeps or is left alone: infants sleep with the head "
            "uncovered."
        ),
        say("Paediatric safe-sleep advice, from memory; ask your health visitor or doctor."),
        (SAFE_SLEEP,),
        unless=frozenset({Feature.BLANKET, Feature.TOY}),
    ),
    Rule(
        "blanket",
        say("A blanket is not for the cot"),
        _INFANTS,
        frozenset({Feature.BLANKET}),
        say(
            "Use it while someone who is awake is beside the infant, and keep it away from the "
            "face. Infants sleep with nothing loose beside them and with the head uncovered."
        ),
        say("Paediatric safe-sleep advice, from memory; ask your health visitor or doctor."),
        (SAFE_SLEEP,),
    ),
    Rule(
        "pompom",
        say("Leave the pompom off for a child under three"),
        _INFANTS,
        frozenset({Feature.POMPOM}),
        say(
            "Its threads come out when they are pulled and go into mouths. Where it must be there, "
            "tie it twice, trim it short, and look at it before each wearing."
        ),
        say(
            "16 CFR 1501 (small parts; children's clothing as such is exempt under 1501.3(d), and "
            "loose yarn and fuzz are not tested): taken here as a caution. Rules vary by place."
        ),
        (CFR_1501,),
        unless=frozenset({Feature.TOY}),
    ),
    Rule(
        "small-parts",
        say("Nothing small that can come off"),
        _INFANTS,
        frozenset(),
        say("Sew no buttons, beads or pompoms on for a child under three."),
        say(
            "16 CFR 1501 (small parts; children's clothing as such is exempt under 1501.3(d)): "
            "taken here as a caution. Rules vary by place."
        ),
        (CFR_1501,),
    ),
    Rule(
        "fringe",
        say("Fringes and tassels"),
        _CHILDREN,
        frozenset({Feature.FRINGE}),
        say(
            "Long threads wind round small fingers and toes, and catch on swings and climbing "
            "frames. Leave them off for an infant; for an older child keep them shorter than a "
            "finger, and knot each fast."
        ),
        _NO_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "scarf",
        say("Nothing that hangs, at play"),
        _CHILDREN,
        frozenset({Feature.SCARF}),
        say(
            "Long ends round the neck catch on slides, swings and bicycles. Tuck them in, or take "
            "the piece off before playing; a ring that pulls over the head has no ends."
        ),
        say("Common practice, no source; scarves lie outside the scope of EN 14682."),
        (PRACTICE, EN_14682),
    ),
    Rule(
        "soles",
        say("Slippery soles"),
        _ALL,
        frozenset({Feature.FOOT}),
        say(
            "A knitted sole slides on smooth floors and stairs. Sew leather or felt underneath, or "
            "draw lines of sole latex on it, before anyone walks in it."
        ),
        _NO_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "place",
        say("Before you sell it or give it away"),
        _CHILDREN,
        frozenset(),
        PLACE_NOTE,
        _NO_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-building",
        say("Building the board"),
        _ALL,
        frozenset({Feature.BOARD}),
        say(
            "Work rested and in good light, with the wood clamped to a bench. Work that you have "
            "not been shown leave to someone who has learned it, and leave to licensed people what "
            "the law keeps for them. Children help only with an adult at their side."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-saw",
        say("Sawing"),
        _ALL,
        frozenset({Feature.SAW}),
        say(
            "Clamp the wood, keep both hands out of the line of the cut, and let a blade stand "
            "still before you reach near it. Leave a machine's guards on, and pull its plug before "
            "you change a blade."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-drill",
        say("Drilling"),
        _ALL,
        frozenset({Feature.DRILL}),
        say(
            "Clamp the wood, with waste wood under it, and keep both hands behind the bit. Tie "
            "back hair, sleeves and cords, and wear no gloves near anything that turns: they wind "
            "up."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-eyes",
        say("Eyes and ears"),
        _ALL,
        frozenset({Feature.DRILL}),
        say(
            "Wear safety glasses whenever wood or metal is sawn, drilled, hammered or sanded, and "
            "ear protection beside machines. Whoever looks on needs them as well."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-dust",
        say("Dust"),
        _ALL,
        frozenset({Feature.FINISH}),
        say(
            "Wood dust harms lungs, and that of some woods and boards does so badly. Work outdoors "
            "or with the dust drawn off at the tool, wear a dust mask that fits, and wipe up wet "
            "instead of sweeping."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-finish",
        say("Oil, varnish and glue"),
        _ALL,
        frozenset({Feature.FINISH}),
        say(
            "Read the tin: air the room, keep flames away, and let it dry out before wool or hands "
            "are on the board for long. Rags wet with drying oil can catch fire by themselves: "
            "spread them out flat outdoors, or keep them under water in a closed metal tin."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-nails",
        say("Nails"),
        _ALL,
        frozenset({Feature.NAILS}),
        say(
            "Hold a nail with pliers while you start it. File every head and burr smooth, and see "
            "that no point comes out below."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "board-small-parts",
        say("Small parts and small children"),
        _ALL,
        frozenset({Feature.BOARD}),
        say(
            "Pegs, nails, nuts and washers choke, and a board of pegs hurts whoever falls on it. "
            "Keep parts and board from children under three, and look for loose pegs before each "
            "use."
        ),
        _TOOL_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "tools",
        say("Hook, needle and board"),
        _ALL,
        frozenset(),
        say(
            "Work with a blunt-ended hook and needle, keep them from small children, and check the "
            "board for splinters and loose pegs before the yarn goes on. Rest your hands often."
        ),
        _NO_SOURCE,
        (PRACTICE,),
    ),
    Rule(
        "washing",
        say("Washing"),
        _ALL,
        frozenset(),
        say(
            "Wash as the ball band says. Keep hot water and wet wool out of reach of children, and "
            "dry flat: a wet piece is heavy."
        ),
        _NO_SOURCE,
        (PRACTICE,),
    ),
)
"""Every rule, the gravest first."""


def rules_for(wearer: Wearer, features: Iterable[Feature]) -> tuple[Rule, ...]:
    """The rules that apply to a piece for a wearer, the gravest first."""
    there = frozenset(features)
    return tuple(each for each in RULES if each.applies(wearer, there))


def rule(name: str) -> Rule:
    """The rule of that name.

    :raises BadInput: where there is none.
    """
    for each in RULES:
        if each.name == name:
            return each
    raise BadInput(
        "no such safety rule",
        given=name,
        hint=f"use one of {', '.join(each.name for each in RULES)}",
        place=Place(field="rule"),
    )


def rules_data() -> list[dict[str, object]]:
    """The whole table as plain data for JSON."""
    return [each.as_data() for each in RULES]
