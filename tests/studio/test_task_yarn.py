"""The yarn of a design in the studio: needs, stand-ins as the command ranks them, and trims."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright import making
from pegwright.cli.main import main
from pegwright.designs.files import read_any, shipped_text
from pegwright.designs.model import Design
from pegwright.designs.reader import read_text
from pegwright.designs.stash import read_stash_file
from pegwright.library.records import OwnYarn, Record
from pegwright.planning.trims import TRIMMING_MM
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.units import parse_mass_g
from pegwright.yarn.colour import parse_colour_run
from pegwright.yarn.yarn import DiameterSource, Yarn

Command = Callable[..., Any]

LEFT = "tern-point-leftovers"
GULL = Yarn("Gull worsted", 4, 180, wraps_per_inch=9.5, colour="fog", invented=True)
TWEED = Yarn("Thwart tweed", 3, 240, wraps_per_inch=13, colour="peat")


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Command:
    """What ``pegwright yarn`` says, as JSON."""

    def run(*words: str) -> Any:
        capsys.readouterr()
        main(["yarn", *words, "--json"])
        return json.loads(capsys.readouterr().out)

    return run


@pytest.fixture
def leftovers(studio: Studio) -> dict[str, str]:
    """The shipped stash in the library: the records by the yarn's label."""
    return {
        own.yarn.label: kept(studio, own.yarn, *(ball.value for ball in own.balls))
        for own in read_stash_file(Path(LEFT))
    }


def kept(studio: Studio, yarn: Yarn, *balls_g: float, **more: Any) -> str:
    """A yarn of the library, weighed where balls are given."""
    record = studio.library.put(OwnYarn(yarn, **more))
    if balls_g:
        studio.library.weigh(record.id, balls_g, "")
    return record.id


def asked(client: TestClient, design: Record, what: str, **body: Any) -> Any:
    answer = client.post(f"/api/design-yarn/{design.id}/{what}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def design_of(studio: Studio, record: Record) -> Design:
    """The design as its text reads now."""
    return read_text(studio.desk.design(record.id).text)


# --- what it needs -------------------------------------------------------------------------------


def test_the_needs_are_the_proved_ones_and_add_up(client: TestClient, hood: Record) -> None:
    found = client.get(f"/api/design-yarn/{hood.id}/needs", params={"size": "bow"}).json()
    assert (found["size"], found["margin"]) == ("bow", "10 %")
    (row,) = found["rows"]
    (need,) = making.size_alone(read_any("tern-point-hood"), "bow")[1].needs
    assert row["metres"] == "260 yd (238 m)"
    assert round(need.metres.value) == 238
    # To have: the upper bound with a tenth over it, in whole balls of 100 g.
    to_have_g = 1.1 * need.grams_interval[1]
    assert parse_mass_g(row["to_have"].partition("(")[2].rstrip(")")) == round(to_have_g)
    assert row["balls"] == f"{math.ceil(to_have_g / 100)} balls of 3.5 oz (100 g)"
    low, high = (round(bound) for bound in need.metres_interval)
    assert f"({low} m)" in row["between"]
    assert f"({high} m)" in row["between"]


def test_what_it_is_drawn_for_adds_up_to_the_whole(client: TestClient, hood: Record) -> None:
    found = client.get(f"/api/design-yarn/{hood.id}/needs").json()
    (table,) = found["parts"]
    rows = dict(table["rows"])
    parts = [name for name in rows if name not in ("in all", "weight", "9 in 10 draw")]
    metres = sum(float(rows[n].removesuffix(" m")) for n in parts if rows[n].endswith(" m"))
    assert f"({metres:.0f} m)" in rows["in all"]


def test_each_yarn_of_a_striped_piece_has_its_row(client: TestClient, studio: Studio) -> None:
    blanket = studio.library.put(text_body(shipped_text("tern-point-boat-blanket")))
    found = client.get(f"/api/design-yarn/{blanket.id}/needs").json()
    made = making.prove(read_any("tern-point-boat-blanket")).sizes[0]
    assert [row["name"] for row in found["rows"]] == [need.yarn.name for need in made.needs]
    assert [name for table in found["parts"] for name in table["header"][1:]] == [
        row["name"] for row in found["rows"]
    ]
    assert [yarn["name"] for yarn in found["yarns"] if yarn["body"]] == ["Slipway worsted"]


def test_a_size_that_is_not_there_is_refused(client: TestClient, hood: Record) -> None:
    answer = client.get(f"/api/design-yarn/{hood.id}/needs", params={"size": "stroke"})
    assert (answer.status_code, answer.json()["given"]) == (422, "stroke")


# --- stand-ins -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({}, []),
        ({"size": "coach", "together": False}, ["--size", "coach", "--single"]),
        ({"most": 20}, ["--most", "20"]),
        ({"yarn": "Slipway worsted"}, ["--yarn", "Slipway worsted"]),
    ],
)
def test_stand_ins_are_those_of_the_command(
    client: TestClient,
    hood: Record,
    leftovers: dict[str, str],
    command: Command,
    body: dict[str, Any],
    words: list[str],
) -> None:
    found = asked(client, hood, "stand-ins", **body)
    data = command("stand-ins", "tern-point-hood", "--stash", LEFT, *words)
    assert [one["label"] for one in found["changes"]] == [one["yarn"] for one in data["changes"]]
    assert [one["fit"] for one in found["changes"]] == [one["fit"] for one in data["changes"]]
    by_label = {label: {"own": None, "record": record} for label, record in leftovers.items()}
    assert [one["strands"] for one in found["changes"]] == [
        [by_label[strand] for strand in one["strands"]] for one in data["changes"]
    ]
    assert [one["enough"] for one in found["changes"]] == [
        one["chance"] >= 0.95 for one in data["changes"]
    ]
    assert len(found["unsuited"]) == len(data["unsuited"])


def test_each_stand_in_says_what_the_command_says(
    client: TestClient, hood: Record, leftovers: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    found = asked(client, hood, "stand-ins")
    capsys.readouterr()
    main(["yarn", "stand-ins", "tern-point-hood", "--stash", LEFT])
    first, *lines = capsys.readouterr().out.splitlines()
    assert found["wanted"] == first
    for number, (one, line) in enumerate(zip(found["changes"], lines, strict=False), 1):
        words = one["words"]
        told = f"{number}. {one['label']}, {one['fit']}: {words[0].lower()}{words[1:]}"
        assert told == line


def test_yarns_that_nobody_weighed_are_named(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    tweed = kept(studio, TWEED)
    answer = client.post(f"/api/design-yarn/{hood.id}/stand-ins", json={})
    assert answer.status_code == 422
    assert "weigh your yarns" in answer.json()["try"]
    kept(studio, GULL, 100, 100)
    found = asked(client, hood, "stand-ins")
    assert found["unweighed"] == [{"record": tweed, "label": "Thwart tweed, peat"}]
    assert found["changes"][0]["label"] == "Gull worsted, fog"


def test_what_the_design_draws_itself_is_not_at_hand(client: TestClient, studio: Studio) -> None:
    blanket = studio.library.put(text_body(shipped_text("tern-point-boat-blanket")))
    found = asked(client, blanket, "stand-ins", together=False, most=50)
    design = read_any("tern-point-boat-blanket")
    made = making.prove(design).sizes[0]
    drawn = {need.yarn.label: need.grams.value for need in made.needs}
    labels = {yarn.label: name for name, yarn in design.yarns.items()}
    assert "Slipway worsted, slate" not in [one["label"] for one in found["changes"]]
    for one in found["changes"]:
        name = labels[one["label"]]
        left_g = design.available_g[name] - drawn[one["label"]]
        metres = round(left_g / 100 * design.yarns[name].metres_per_100g)
        assert f"you have {metres} m" in one["words"]
        assert one["strands"] == [{"own": name, "record": None}]


def test_a_size_or_a_yarn_that_is_not_there_is_told(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    kept(studio, GULL, 100)
    for body, field in (({"size": "cocks"}, "size"), ({"yarn": "Slip"}, "name")):
        answer = client.post(f"/api/design-yarn/{hood.id}/stand-ins", json=body)
        assert (answer.status_code, answer.json()["field"]) == (422, field)


# --- taken ---------------------------------------------------------------------------------------


def take(client: TestClient, design: Record, revision: int, *strands: dict[str, str]) -> Any:
    body = {"revision": revision, "yarn": "Slipway worsted", "strands": list(strands)}
    return client.post(f"/api/design-yarn/{design.id}/take", json=body)


def test_a_yarn_is_taken_and_given_back(client: TestClient, studio: Studio, hood: Record) -> None:
    record = kept(studio, GULL, 100, 100)
    found = asked(client, hood, "stand-ins")
    taken = take(client, hood, found["revision"], {"record": record}).json()
    assert taken["proved"]
    design = design_of(studio, hood)
    assert design.yarns == {"Gull worsted": GULL}
    assert dict(design.use) == {"body": "Gull worsted", "cord": "Gull worsted"}
    assert "# The Tern Point hood" in studio.desk.design(hood.id).text  # remarks stay
    versions = client.get(f"/api/designs/{hood.id}/versions").json()
    assert "Gull worsted, fog in place of Slipway worsted" in [v["name"] for v in versions]
    client.post(f"/api/designs/{hood.id}/undo", json={"revision": taken["revision"]})
    assert studio.desk.design(hood.id).text == shipped_text("tern-point-hood")


def test_two_strands_lie_as_thick_as_both(client: TestClient, studio: Studio, hood: Record) -> None:
    record = kept(studio, TWEED, 100, 100, 100, 100)
    revision = asked(client, hood, "stand-ins")["revision"]
    assert take(client, hood, revision, {"record": record}, {"record": record}).status_code == 200
    (yarn,) = design_of(studio, hood).yarns.values()
    assert "held together" in yarn.name
    assert yarn.metres_per_100g == pytest.approx(120)  # half of 240: tex adds
    assert yarn.wrapped_diameter_mm == pytest.approx(math.sqrt(2) * 25.4 / 13, rel=1e-3)
    assert yarn.diameter_source is DiameterSource.GIVEN


def striped(studio: Studio) -> Record:
    """A blanket whose yarns have grams, a price and colours along them."""
    text = shipped_text("tern-point-boat-blanket")
    mark = 'name = "Slipway worsted"\n'
    more = 'price = 6.5\ncolours = "slate 2 m, rust 1 m"\n'
    return studio.library.put(text_body(text.replace(mark, mark + more)))


def test_what_was_said_of_the_old_yarn_goes_with_it(client: TestClient, studio: Studio) -> None:
    blanket = striped(studio)
    run = parse_colour_run("grey 30 cm, cream 12 in")
    record = kept(studio, GULL, 100, 46.5, colour_run=run)
    revision = client.get(f"/api/designs/{blanket.id}").json()["revision"]
    # The blanket has a Gull worsted of its own, so the new one is called by its colour too.
    assert take(client, blanket, revision, {"record": record}).status_code == 200
    design = design_of(studio, blanket)
    assert design.use["body"] == "Gull worsted, fog"
    assert design.available_g["Gull worsted, fog"] == 146.5
    assert "Gull worsted, fog" not in design.prices
    assert design.colour_runs["Gull worsted, fog"].stretches == run.stretches
    assert "Slipway worsted" not in {stripe.yarn for stripe in design.stripes}


def test_another_yarn_of_the_design_takes_its_part(client: TestClient, studio: Studio) -> None:
    blanket = studio.library.put(text_body(shipped_text("tern-point-boat-blanket")))
    before = design_of(studio, blanket)
    revision = client.get(f"/api/designs/{blanket.id}").json()["revision"]
    assert take(client, blanket, revision, {"own": "Oakum aran"}).status_code == 200
    after = design_of(studio, blanket)
    assert after.use["body"] == "Oakum aran"
    assert after.yarns == before.yarns
    # Row for row as before, but for the yarn; stripes that now lie side by side are one.
    swapped = {"Slipway worsted": "Oakum aran"}
    rows = [swapped.get(s.yarn, s.yarn) for s in before.stripes for _ in range(s.rows)]
    assert [s.yarn for s in after.stripes for _ in range(s.rows)] == rows
    assert len(after.stripes) < len(before.stripes)


def test_a_design_that_was_changed_since_is_left_alone(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    record = kept(studio, GULL, 100)
    revision = asked(client, hood, "stand-ins")["revision"]
    body = {"revision": revision, "changes": [{"path": "design.title", "value": "Launch hood"}]}
    client.patch(f"/api/designs/{hood.id}/fields", json=body)
    assert take(client, hood, revision, {"record": record}).status_code == 409
    assert "Gull" not in studio.desk.design(hood.id).text


@pytest.mark.parametrize(
    "strand", [{}, {"own": "Slip"}, {"own": "Slipway worsted", "record": "x"}, {"record": "x"}]
)
def test_a_yarn_that_is_nowhere_is_refused(
    client: TestClient, hood: Record, strand: dict[str, str]
) -> None:
    assert take(client, hood, 1, strand).status_code in (404, 422)


# --- trims ---------------------------------------------------------------------------------------


def test_a_pompom_takes_what_its_winds_take(client: TestClient, hood: Record) -> None:
    values = {"kind": "pompom", "number": "2", "across": "6 cm", "winds": "120"}
    found = asked(client, hood, "trims", yarn={"own": "Slipway worsted"}, values=values)
    # A ring of 60 mm with a hole of 20: 120 winds of pi x 20 mm, the tie of twice pi x 20 mm and
    # two tails of 150 mm: 7.54 + 0.126 + 0.3 m; two of them are 15.9 m, at 175 m in 100 g 9.1 g.
    assert "(16 m)" in found["metres"]
    assert "(9.1 g)" in found["grams"]
    assert found["yarn"] == "Slipway worsted, slate"
    assert [one["title"] for one in found["cautions"]] == [
        "Leave the pompom off for a child under three"
    ]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"kind": "tassel", "length": "10 cm", "strands": "20"},
         ["tassel", "--length", "10 cm", "--strands", "20"]),
        ({"kind": "pompom", "across": "6 cm", "winds": "100", "hole": "1 in"},
         ["pompom", "--across", "6 cm", "--winds", "100", "--hole", "1 in"]),
        ({"kind": "fringe", "length": "4 in", "strands": "3", "number": "30"},
         ["fringe", "--length", "4 in", "--strands", "3", "--number", "30"]),
        ({"kind": "seam", "chains": "50", "row": "6 mm"},
         ["seam", "--chains", "50", "--row", "6 mm"]),
        ({"kind": "tails", "number": "4"}, ["tails", "--number", "4"]),
        ({"kind": "joins", "number": "4"}, ["joins", "--number", "4"]),
    ],
)  # fmt: skip
def test_a_trim_is_what_the_command_says(
    client: TestClient,
    hood: Record,
    capsys: pytest.CaptureFixture[str],
    values: dict[str, str],
    words: list[str],
) -> None:
    found = asked(client, hood, "trims", yarn={"own": "Slipway worsted"}, values=values)
    capsys.readouterr()
    main(["yarn", "trims", *words, "--design", "tern-point-hood"])
    assert capsys.readouterr().out.splitlines() == [
        *found["words"],
        f"That is {found['grams']} of {found['yarn']}.",
    ]


def test_a_fringe_by_hand_of_a_yarn_of_the_library(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    record = kept(studio, GULL)
    values = {"kind": "fringe", "number": "40", "strands": "1", "length": "100 mm"}
    found = asked(client, hood, "trims", yarn={"record": record}, values=values)
    # Two ends of 100 mm and a trimming, and once round a bundle of two strands and one yarn.
    thick_mm = 25.4 / 9.5
    bundle_mm = thick_mm * math.sqrt(2 / (math.pi / math.sqrt(12)))
    metres = 40 * (2 * (100 + TRIMMING_MM) + math.pi * (bundle_mm + thick_mm)) / 1000
    assert f"({metres:.1f} m)" in found["metres"] or f"({metres:.0f} m)" in found["metres"]
    assert found["cautions"][0]["title"] == "Fringes and tassels"


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"kind": "bobble"}, "kind", "no such trim"),
        ({"kind": "pompom", "winds": "100"}, "across", "missing"),
        ({"kind": "pompom", "across": "6", "winds": "100"}, "across", "unit"),
        ({"kind": "pompom", "across": "6 cm", "winds": "0"}, "winds", "this must be a whole"),
        ({"kind": "pompom", "across": "6 cm", "winds": "9", "hole": "7 cm"}, "hole", "smaller"),
        ({"kind": "tails", "number": "0"}, "number", "this must be a whole"),
        ({"kind": "seam", "chains": "9", "row": "0 mm"}, "row", "this must be a number above"),
    ],
)
def test_a_slip_in_a_trim_is_told_at_its_field(
    client: TestClient, hood: Record, values: dict[str, str], field: str, words: str
) -> None:
    body = {"yarn": {"own": "Slipway worsted"}, "values": values}
    answer = client.post(f"/api/design-yarn/{hood.id}/trims", json=body)
    assert (answer.status_code, answer.json()["field"]) == (422, field)
    assert words in answer.json()["error"]


def test_each_kind_has_its_own_form(client: TestClient) -> None:
    def paths(kind: str) -> list[str]:
        (group,) = client.get(f"/api/design-yarn/trims/{kind}").json()
        return [field["path"] for field in group["fields"]]

    assert paths("pompom") == ["kind", "number", "across", "winds", "hole"]
    assert paths("tails") == ["kind", "number"]
    assert client.get("/api/design-yarn/trims/bobble").status_code == 422


def test_the_page_offers_the_yarns_of_both(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    record = kept(studio, GULL)
    page = client.get(f"/designs/{hood.id}/yarn", headers={"Accept": "text/html"}).text
    assert '<option value="Slipway worsted" selected>Slipway worsted, slate</option>' in page
    assert f'<option value="{record}">Gull worsted, fog, of your library</option>' in page
