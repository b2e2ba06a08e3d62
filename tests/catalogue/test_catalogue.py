"""A catalogue: every combination once, in order, the same whoever works it out."""

from __future__ import annotations

import csv
import io
import json
import pickle
from dataclasses import replace

import pytest

from pegwright.catalogue.catalogue import catalogue
from pegwright.catalogue.job import Job, key_of, portable
from pegwright.catalogue.row import Row, row_of, rows_csv, rows_json
from pegwright.designs.files import read_any, shipped_designs
from pegwright.errors import BadInput, BadUse
from pegwright.loom.board import Loom
from pegwright.making import prove
from pegwright.yarn.yarn import Yarn
from tests.catalogue.small_list import BOARDS, YARNS, small_design


@pytest.fixture(scope="module")
def rows() -> tuple[Row, ...]:
    return catalogue(small_design(), BOARDS, YARNS)


def test_every_combination_stands_there_once_and_in_order(rows: tuple[Row, ...]) -> None:
    sizes = [s.name for s in small_design().sizes]
    expected = [(b.name, y.label, s) for b in BOARDS for y in YARNS for s in sizes]
    assert [(r.board, r.yarn, r.size) for r in rows] == expected


def test_a_row_says_what_the_proof_of_that_design_says(rows: tuple[Row, ...]) -> None:
    name = YARNS[0].name
    design = replace(
        small_design(),
        loom=BOARDS[1],
        yarns={name: YARNS[0]},
        use=dict.fromkeys(("body", "cord"), name),
    )
    made = prove(design)
    for size in made.sizes:
        row = next(r for r in rows if (r.board, r.yarn) == ("long", YARNS[0].label)
                   and r.size == size.name)  # fmt: skip
        assert row.fits
        assert row.pegs == tuple(p.columns for p in size.plan.pieces)
        assert row.rows == tuple(p.rows for p in size.plan.pieces)
        assert row.finished_mm == {n: m.value for n, m in size.plan.finished.items()}
        assert row.metres == size.needs[0].metres.value
        assert row.balls == size.needs[0].balls
        assert made.wrap_test is not None
        assert row.wrap_test_mm == made.wrap_test.reading.length_mm


def test_what_does_not_fit_has_a_reason_and_an_offer(rows: tuple[Row, ...]) -> None:
    row = next(r for r in rows if (r.board, r.size) == ("short", "coach") and not r.metres)
    assert not row.fits
    assert "there is room for 20" in row.reason
    assert not row.reason.startswith("size coach")
    assert "panels of" in row.offer
    assert row.finished_mm is None


def test_a_yarn_that_does_not_pass_is_a_row_and_no_error() -> None:
    rope = Yarn("Hawser rope", 7, 20.0, wraps_per_inch=2.0)
    found = catalogue(small_design(), BOARDS[:1], [YARNS[0], rope])
    thick = [r for r in found if r.yarn == rope.label]
    assert len(thick) == 3
    assert all("thicker than the clear space" in r.reason for r in thick)


def test_two_workers_give_the_same_bytes(rows: tuple[Row, ...]) -> None:
    told: list[tuple[str, int, int]] = []
    shared = catalogue(
        small_design(),
        BOARDS,
        YARNS,
        workers=2,
        progress=lambda *each: told.append(each),
    )
    assert rows_json(shared) == rows_json(rows)
    assert rows_csv(shared) == rows_csv(rows)
    assert told == [("combinations", i, 6) for i in range(7)]


def test_sizes_of_their_own_take_the_place_of_the_designs() -> None:
    design = small_design()
    found = catalogue(design, BOARDS[:1], YARNS[:1], design.sizes[1:2])
    assert [r.size for r in found] == ["bear"]


@pytest.mark.parametrize(
    ("boards", "yarns"), [((*BOARDS, BOARDS[0]), YARNS), (BOARDS, (*YARNS, YARNS[1]))]
)
def test_names_that_stand_twice_are_refused(
    boards: tuple[Loom, ...], yarns: tuple[Yarn, ...]
) -> None:
    with pytest.raises(BadInput, match="have the same name"):
        catalogue(small_design(), boards, yarns)


@pytest.mark.parametrize("workers", [0, -1, 100_000])
def test_a_number_of_workers_that_cannot_be_is_refused(workers: int) -> None:
    with pytest.raises(BadUse, match="workers"):
        catalogue(small_design(), BOARDS, YARNS, workers=workers)


# --- jobs ----------------------------------------------------------------------------------------


def test_a_job_can_be_sent_and_keeps_its_key() -> None:
    job = Job(portable(small_design()), BOARDS[0], YARNS[0])
    assert key_of(pickle.loads(pickle.dumps(job))) == key_of(job)


def test_the_key_follows_all_that_matters_and_nothing_else() -> None:
    design = portable(small_design())
    key = key_of(Job(design, BOARDS[0], YARNS[0]))
    others = (
        Job(design, BOARDS[1], YARNS[0]),
        Job(design, BOARDS[0], YARNS[1]),
        Job(replace(design, sizes=design.sizes[:1]), BOARDS[0], YARNS[0]),
        Job(replace(design, options={**design.options, "ease": 12.0}), BOARDS[0], YARNS[0]),
        Job(replace(design, margin=0.2), BOARDS[0], YARNS[0]),
        Job(design, replace(BOARDS[0], gap_mm=25.400000001), YARNS[0]),
    )
    assert len({key, *map(key_of, others)}) == 1 + len(others)
    turned = dict(reversed(list(design.options.items())))
    same = Job(replace(design, options=turned, source="other words"), BOARDS[0], YARNS[0])
    assert key_of(same) == key


# --- rows on paper -------------------------------------------------------------------------------


def test_json_gives_the_rows_back(rows: tuple[Row, ...]) -> None:
    read = json.loads(rows_json(rows))
    assert tuple(row_of(data) for data in read) == rows
    assert rows_json(()) == b"[]\n"


def test_csv_has_a_column_for_every_figure(rows: tuple[Row, ...]) -> None:
    read = list(csv.DictReader(io.StringIO(rows_csv(rows).decode(), newline="")))
    assert len(read) == len(rows)
    for line, row in zip(read, rows, strict=True):
        assert line["fits"] == ("yes" if row.fits else "no")
        assert line["reason"] == row.reason
        if row.finished_mm is not None:
            assert float(line["finished depth mm"]) == pytest.approx(
                row.finished_mm["depth"], abs=0.05
            )


def test_no_cell_is_taken_for_a_formula() -> None:
    row = Row("=cmd()", "+1", "@x", False, reason="-2", offer="fine")
    cells = rows_csv([row]).decode().splitlines()[1].split(",")
    assert cells[:3] == ["'=cmd()", "'+1", "'@x"]
    assert cells[-2:] == ["'-2", "fine"]


@pytest.mark.parametrize("name", shipped_designs())
def test_every_shipped_design_can_be_sent(name: str) -> None:
    design = portable(read_any(name))
    assert pickle.loads(pickle.dumps(design)) == design
    assert design == read_any(name)
    assert portable(design) == design
