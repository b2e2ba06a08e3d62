"""A design with planned stripes: their yarns come along, and nothing else changes."""

from __future__ import annotations

from dataclasses import replace

from pegwright.designs.files import read_any
from pegwright.designs.reader import read_text
from pegwright.designs.striping import with_stripes
from pegwright.designs.writer import write_text
from pegwright.knitting.stripes import Stripe
from pegwright.yarn.colour import parse_colour_run
from pegwright.yarn.stash import weighed
from pegwright.yarn.yarn import Yarn

RUN = parse_colour_run("rust 30 cm, cream 12 in")


def test_yarns_come_with_their_grams_and_colours() -> None:
    scarf = read_any("tern-point-scarf")
    gull = weighed(Yarn("Gull", 4, 190, colour="white"), [40.0, 12.0])
    ferry = weighed(Yarn("Ferry", 4, 170), [60.0], colour_run=RUN)
    stripes = (Stripe("Gull", 4), Stripe("Ferry", 6))
    made = with_stripes(scarf, stripes, (gull, ferry))
    assert made.stripes == stripes
    assert list(made.yarns) == [*scarf.yarns, "Gull", "Ferry"]
    assert (made.available_g["Gull"], made.available_g["Ferry"]) == (52.0, 60.0)
    assert made.colour_runs == {"Ferry": RUN}
    assert read_text(write_text(made)) == made
    assert made.sizes == scarf.sizes


def test_a_stash_takes_the_place_of_a_yarn_of_the_same_name() -> None:
    scarf = read_any("tern-point-scarf")
    name = scarf.body_yarn.name
    coloured = replace(scarf, colour_runs={name: RUN})
    plain = weighed(replace(scarf.body_yarn, colour="ink"), [70.0])
    made = with_stripes(coloured, (Stripe(name, 8),), (plain,))
    assert made.yarns[name].colour == "ink"
    assert made.available_g[name] == 70.0
    assert made.colour_runs == {}


def test_the_stripes_say_how_many_rows_there_are() -> None:
    scarf = replace(read_any("tern-point-scarf"), options={"rows": 90, "pegs": 20})
    name = scarf.body_yarn.name
    assert with_stripes(scarf, (Stripe(name, 8),)).options == {"pegs": 20}
