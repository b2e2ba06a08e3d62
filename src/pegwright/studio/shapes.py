"""What every request's body has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Asked"]


class Asked(BaseModel):
    """What is asked for: nothing but the fields that are named, each in its own type."""

    model_config = ConfigDict(extra="forbid", strict=True)
