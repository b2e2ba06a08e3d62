"""What the tests of the garments share: boards, gauges, and measurements drawn for each garment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hypothesis import strategies as st

from pegwright.garments.base import Brief, Garment, OptionValue, Plan, Wearer
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap, shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.yarn.yarn import Yarn

LONG = Loom(Arrangement.OPPOSED, 120, 11.1125, 25.4, 4.7625)
OFFSET = Loom(Arrangement.OFFSET, 120, 11.1125, 25.4, 4.7625)
ROW = Loom(Arrangement.SINGLE, 120, 11.1125, peg_diameter_mm=4.7625)
RING = Loom(Arrangement.RING, 120, 11.1125, peg_diameter_mm=4.7625)
SHORT = Loom(Arrangement.OPPOSED, 12, 11.1125, 25.4, 4.7625)
YARN = Yarn("Slipway worsted", 4, 175.0, invented=True)
GAUGE = Gauge(Measured(9.0, 0.3), Measured(6.5, 0.2), GaugeSource.SWATCH)

WRAPS = tuple(w for w in SHIPPED if w.cloth is not Cloth.CORD)
DOUBLE = tuple(w for w in WRAPS if w.boards == 2)

USUAL: Mapping[str, Mapping[str, float]] = {
    "folded-strip-hood": {"head": 570.0},
    "ribbed-scarf": {"width": 180.0, "length": 400.0},
    "cowl": {"neck": 380.0, "height": 250.0},
    "headband": {"head": 560.0},
    "mitt": {"hand": 190.0, "length": 200.0},
    "pouch": {"width": 150.0, "height": 180.0},
    "slipper": {"length": 245.0, "round": 230.0},
}
"""Measurements of a grown person (or a thing) for each garment, mm."""

NEW = tuple(n for n in USUAL if n != "folded-strip-hood")


@dataclass(frozen=True, slots=True)
class Case:
    """A garment to be planned: what it is planned from."""

    garment: Garment
    brief: Brief

    def plan(self) -> Plan:
        """The plan."""
        return self.garment.plan(self.brief)


def brief(
    name: str,
    wrap: Wrap | str = "double-board stockinette",
    loom: Loom = LONG,
    measures: Mapping[str, float] | None = None,
    wearer: Wearer = Wearer.ADULT,
    gauge: Gauge = GAUGE,
    **options: OptionValue | None,
) -> Brief:
    """A brief with every option at its default, but for those given."""
    given = {o.name: o.default for o in garment(name).options} | options
    return Brief(
        "bow",
        wearer,
        USUAL[name] if measures is None else measures,
        given,
        loom,
        shipped(wrap) if isinstance(wrap, str) else wrap,
        gauge,
        {"body": YARN},
    )


def plan(name: str, wrap: Wrap | str = "double-board stockinette", **more: object) -> Plan:
    """The plan of a garment."""
    return garment(name).plan(brief(name, wrap, **more))  # type: ignore[arg-type]


def choices(name: str) -> st.SearchStrategy[dict[str, OptionValue | None]]:
    """Any choice of a garment's choice options."""
    kinds = [o for o in garment(name).options if o.choices]
    return st.fixed_dictionaries({o.name: st.sampled_from(o.choices) for o in kinds})


@st.composite
def cases(draw: st.DrawFn, name: str) -> Case:
    """Any measurements within the garment's own bounds, any choice, any gauge that hands make."""
    maker = garment(name)
    measures: dict[str, float] = {}
    for measure in maker.measures:
        if measure.required or draw(st.booleans()):
            measures[measure.name] = draw(st.floats(measure.least_mm, min(measure.most_mm, 1200.0)))
    gauge = Gauge(
        Measured(draw(st.floats(3.0, 20.0)), 0.1),
        Measured(draw(st.floats(2.5, 15.0)), 0.1),
        GaugeSource.SWATCH,
    )
    options = draw(choices(name))
    double = name == "folded-strip-hood" or options.get("closing") == "cord"
    wrap = draw(st.sampled_from(DOUBLE if double else WRAPS))
    loom = draw(st.sampled_from((LONG, OFFSET) if wrap.boards == 2 else (ROW, RING)))
    wearer = draw(st.sampled_from(Wearer))
    return Case(maker, brief(name, wrap, loom, measures, wearer, gauge, **options))
