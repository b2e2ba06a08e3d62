"""Every Python sample of the docs runs, and every TOML sample is TOML."""

from __future__ import annotations

import importlib
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from pegwright.catalogue.job import Job
from pegwright.catalogue.listing import read_listing
from pegwright.catalogue.workers import Done, in_this_process
from pegwright.designs.files import read_any
from tests.docs.docs_pages import DOCS, blocks

PAGES = sorted(file.name for file in DOCS.glob("*.md"))
WITH_PYTHON = [page for page in PAGES if any(b.language == "python" for b in blocks(page))]
TOML = [(page, b.text) for page in PAGES for b in blocks(page) if b.language == "toml"]


@pytest.fixture
def dask_client(monkeypatch: pytest.MonkeyPatch) -> object:
    """A client whose work is done here; real clusters have tests of their own."""
    client = object()

    def here(jobs: Sequence[Job], given: object) -> Done:
        assert given is client
        return in_this_process(jobs)

    module = importlib.import_module("pegwright.catalogue.catalogue")
    monkeypatch.setattr(module, "on_cluster", here)
    return client


def test_there_are_samples() -> None:
    assert {"catalogue.md", "garments.md"} <= set(WITH_PYTHON)
    assert len(TOML) > 10


@pytest.mark.parametrize("page", WITH_PYTHON)
def test_the_samples_of_a_page_run(page: str, tmp_path: Path, dask_client: object) -> None:
    (first, *_) = [block.text for block in blocks("catalogue.md") if block.language == "toml"]
    listing = read_listing(first.encode())
    names: dict[str, Any] = {
        "__name__": "sample",
        "design": listing.of(read_any(listing.design)),
        "boards": listing.boards,
        "yarns": listing.yarns,
        "journal_path": tmp_path / "journal",
        "dask_client": dask_client,
    }
    for block in blocks(page):
        if block.language == "python":
            exec(compile(block.text, page, "exec", dont_inherit=True), names)
    if page == "catalogue.md":
        assert [row.size for row in names["rows"]] == ["cox", "coach"] * 2


@pytest.mark.parametrize(("page", "text"), TOML, ids=[f"{p}-{i}" for i, (p, _) in enumerate(TOML)])
def test_a_toml_sample_is_toml(page: str, text: str) -> None:
    assert tomllib.loads(text), page
