"""Plans for the safety tests: the shipped hood, and garments that a plug-in might bring."""

from __future__ import annotations

from dataclasses import replace

from pegwright.garments.base import Brief, OptionValue, Plan, Wearer
from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
from pegwright.garments.plain_strip import PLAIN_STRIP
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.knitting.operations import FastenOff, Operation, Part, Repeat
from pegwright.knitting.script import PieceSpec, Script, Step
from pegwright.knitting.wraps import Cloth, shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.yarn.yarn import Yarn

BOARD = Loom(Arrangement.OPPOSED, 50, 11.1125, 25.4, 4.7625)
YARN = Yarn("Slipway worsted", 4, 175.0, invented=True)
GAUGE = Gauge(Measured(9.0, 0.3), Measured(6.5, 0.2), GaugeSource.SWATCH)


def brief(wearer: Wearer, measures: dict[str, float], **options: OptionValue | None) -> Brief:
    return Brief(
        "cox",
        wearer,
        measures,
        options,
        BOARD,
        shipped("double-board stockinette"),
        GAUGE,
        {"body": YARN},
    )


def hood(wearer: Wearer, closing: str) -> Plan:
    return FOLDED_STRIP_HOOD.plan(brief(wearer, {"head": 520.0}, closing=closing))


def strip(wearer: Wearer) -> Plan:
    return PLAIN_STRIP.plan(brief(wearer, {"width": 150.0, "length": 900.0}))


def named(plan: Plan, garment: str) -> Plan:
    """The same plan under the name of another garment, with nothing at the neck."""
    finished = {name: size for name, size in plan.finished.items() if name != "neck"}
    return replace(plan, garment=garment, finished=finished)


def with_step(plan: Plan, key: str, *work: Operation | Repeat, piece: str = "strip") -> Plan:
    """The plan with one more step at the end."""
    step = Step(len(plan.script.steps) + 1, key, piece, Part.TRIM, tuple(work))
    return replace(plan, script=replace(plan.script, steps=(*plan.script.steps, step)))


def with_cords(plan: Plan, *names: str) -> Plan:
    """The plan with more pieces of cord, each made by a step of its own."""
    script = plan.script
    pieces = (*script.pieces, *(PieceSpec(name, Cloth.CORD) for name in names))
    made: Plan = replace(plan, script=Script(script.loom, pieces, script.steps, script.size))
    for name in names:
        made = with_step(made, f"make-{name}", piece=name)
    return made


def fastened(plan: Plan, carrier: str) -> Plan:
    return with_step(plan, "fasten", FastenOff(carrier))
