"""The same catalogue on a Dask cluster of two real processes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from pegwright.catalogue.catalogue import catalogue
from pegwright.catalogue.row import rows_json
from tests.catalogue.small_list import BOARDS, YARNS, small_design

if TYPE_CHECKING:
    from distributed import Client

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def client() -> Iterator[Client]:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as made,
    ):
        yield made


def test_the_cluster_has_two_processes_of_its_own(client: Client) -> None:
    import os

    pids = set(client.run(os.getpid).values())
    assert len(pids) == 2
    assert os.getpid() not in pids


def test_the_cluster_gives_the_same_bytes(client: Client, tmp_path: Path) -> None:
    path = tmp_path / "run.jsonl"
    here = catalogue(small_design(), BOARDS, YARNS)
    catalogue(small_design(), BOARDS[:1], YARNS, client=client, resume=path)
    told: list[tuple[str, int, int]] = []
    there = catalogue(
        small_design(),
        BOARDS,
        YARNS,
        client=client,
        resume=path,
        progress=lambda *each: told.append(each),
    )
    assert rows_json(there) == rows_json(here)
    assert [done for _, done, _ in told] == [2, 3, 4, 5, 6]
    assert len(path.read_text().splitlines()) == 6
