"""A browser for pages whose work takes as long as the machine needs."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, expect

from tests.studio.browser import browser

__all__ = ["PATIENT_MS", "patient_browser"]

PATIENT_MS = 60_000
_USUAL_MS = 5_000


@contextmanager
def patient_browser() -> Iterator[Browser]:
    """A browser in which what is expected may take a minute to come."""
    expect.set_options(timeout=PATIENT_MS)
    try:
        with browser() as started:
            yield started
    finally:
        expect.set_options(timeout=_USUAL_MS)
