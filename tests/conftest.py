"""What every test shares: how Hypothesis works here, and where this folder is."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# No deadlines: a slow machine is no fault of the code.  Where CI=true the examples are the same in
# every run, so that a red run can be repeated.
settings.register_profile("desk", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "ci", parent=settings.get_profile("desk"), derandomize=True, database=None, print_blob=True
)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "desk")


@pytest.fixture(scope="session")
def repo() -> Path:
    """The folder that holds ``src``, ``tests`` and ``docs``."""
    return Path(__file__).resolve().parent.parent
