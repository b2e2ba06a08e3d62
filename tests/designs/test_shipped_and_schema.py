"""The shipped designs can be made, the schema is current, and a new design is ready to go."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pegwright import making
from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.reader import read_text
from pegwright.designs.schema import design_schema, schema_text
from pegwright.designs.starter import starter_text
from pegwright.errors import PegwrightError
from pegwright.garments.registry import garments
from pegwright.units import UnitSystem


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    schema = design_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("name", shipped_designs())
def test_every_shipped_design_is_proved(name: str) -> None:
    made = making.prove(read_text(shipped_text(name), name))
    assert made.proved, [str(finding) for finding in made.findings]


def test_the_club_has_its_designs() -> None:
    assert set(shipped_designs()) >= {
        "tern-point-boat-blanket",
        "tern-point-hood",
        "tern-point-junior-hood",
        "tern-point-scarf",
    }


def test_the_junior_hood_asks_for_a_cord_and_is_refused_one() -> None:
    made = making.prove(read_text(shipped_text("tern-point-junior-hood")))
    refused = [f.spot.size for f in made.findings if f.name == "cord-refused"]
    assert refused == ["junior 8", "junior 12"]
    assert {size.plan.group for size in made.sizes} == {"drawn"}


@pytest.mark.parametrize("name", shipped_designs())
def test_all_that_is_shipped_is_marked_invented(name: str) -> None:
    assert all(yarn.invented for yarn in read_text(shipped_text(name)).yarns.values())


# --- the schema ----------------------------------------------------------------------------------


def test_the_published_schema_is_current(repo: Path) -> None:
    published = (repo / "docs" / "design.schema.json").read_text(encoding="utf-8")
    assert published == schema_text(), "run: pegwright schema > docs/design.schema.json"


@pytest.mark.parametrize("name", shipped_designs())
def test_shipped_designs_keep_to_the_schema(
    name: str, validator: jsonschema.Draft202012Validator
) -> None:
    validator.validate(tomllib.loads(shipped_text(name)))


def put(data: dict[str, Any], path: str, value: object) -> dict[str, Any]:
    """The data with one value changed; the path's numbers are places in lists."""
    changed = copy.deepcopy(data)
    *way, last = path.split(".")
    node: Any = changed
    for step in way:
        node = node[int(step) if isinstance(node, list) else step]
    node[last] = value
    return changed


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("pegwright", 2),  # another version
        ("extra", 1),
        ("loom.extra", 1),
        ("loom.pegs", 0),
        ("loom.pegs", "40"),
        ("loom.arrangement", "oval"),
        ("loom.gap", 25.4),  # a length is a text with its unit
        ("yarns.0.category", 8),
        ("yarns.0.colour_hex", "red"),
        ("yarns", []),
        ("garment.closing", "zip"),
        ("garment.clsing", "cord"),  # the garment's own options are known
        ("garment.rows", 1_000_000),
        ("sizes.0.haed", "55 cm"),  # and its measures
        ("sizes.0.head", 55),
        ("sizes.0.wearer", "giant"),
        ("use.sleeve", "Slipway worsted"),
    ],
)
def test_schema_and_reader_refuse_the_same(
    path: str, value: object, validator: jsonschema.Draft202012Validator
) -> None:
    from pegwright.designs.writer import toml_value

    data = tomllib.loads(shipped_text("tern-point-hood"))
    assert validator.is_valid(data)
    changed = put(data, path, value)
    assert not validator.is_valid(changed)
    text = "".join(f"{key} = {toml_value(part)}\n" for key, part in changed.items())
    with pytest.raises(PegwrightError):
        read_text(text)


def test_every_garment_is_in_the_schema() -> None:
    text = json.dumps(design_schema())
    for kind in garments().values():
        assert f'"const": "{kind.name}"' in text
        for name in [m.name for m in kind.measures] + [o.name for o in kind.options]:
            assert f'"{name}"' in text


# --- a new design --------------------------------------------------------------------------------


@pytest.mark.parametrize("units", UnitSystem)
@pytest.mark.parametrize("name", sorted(garments()))
def test_a_new_design_can_be_made_as_it_stands(name: str, units: UnitSystem) -> None:
    design = read_text(starter_text(name, units))
    assert design.units is units
    assert making.prove(design).proved


@pytest.mark.parametrize("name", sorted(garments()))
def test_every_remark_can_be_taken_away(
    name: str, validator: jsonschema.Draft202012Validator
) -> None:
    text = starter_text(name)
    whole = re.sub(r"^# (?=\w+ = |\[)", "", text, flags=re.MULTILINE)
    assert whole != text
    design = read_text(whole)
    kind = garments()[name]
    assert set(design.options) == {spec.name for spec in kind.options}
    assert set(design.sizes[0].measures) == {measure.name for measure in kind.measures}
    assert design.swatches
    assert design.available_g
    validator.validate(tomllib.loads(whole))
