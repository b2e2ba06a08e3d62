"""What one run of the studio holds: its settings, its library, and the designs on its desk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Self

from fastapi import Depends
from starlette.requests import Request

from pegwright.library.backups import back_up_if_due
from pegwright.library.store import Library
from pegwright.studio.designs.desk import Desk
from pegwright.studio.settings import Settings

__all__ = ["DesignTask", "Studio", "StudioPlace", "TheStudio", "studio_of"]


@dataclass(frozen=True, slots=True)
class StudioPlace:
    """One of the main places.

    :param key: its stable name: ``designs``, ``loom``, ``library``, ``follow`` or ``publish``.
    :param title: what it is called on screen.
    """

    key: str
    title: str
    href: str


@dataclass(frozen=True, slots=True)
class DesignTask:
    """What can be done with one design on a page of its own (:mod:`pegwright.studio.tasks.task`).

    :param key: its stable name, also the end of its address: ``/designs/…/stripes``.
    :param title: what it is called on screen; ``words`` say in a sentence what it does.
    """

    key: str
    title: str
    words: str

    def href(self, design_id: str) -> str:
        """The page for a design."""
        return f"/designs/{design_id}/{self.key}"


@dataclass(frozen=True, slots=True)
class Studio:
    """One run of the studio."""

    settings: Settings
    token: str
    library: Library
    desk: Desk
    places: tuple[StudioPlace, ...]
    tasks: tuple[DesignTask, ...] = ()

    @classmethod
    def opened(
        cls,
        settings: Settings,
        *,
        token: str,
        places: tuple[StudioPlace, ...],
        tasks: tuple[DesignTask, ...] = (),
    ) -> Self:
        """The studio with its library open.

        :raises PegwrightError: where the library cannot be opened.
        """
        library = Library.open(settings.library)
        return cls(settings, token, library, Desk(library), places, tasks)

    def back_up_if_due(self) -> None:
        """Make today's backup, where there is none yet."""
        back_up_if_due(self.library, self.settings.backups)

    def close(self) -> None:
        """Close the library."""
        self.library.close()


def studio_of(request: Request) -> Studio:
    """The studio that answers a request."""
    studio: Studio = request.app.state.studio
    return studio


TheStudio = Annotated[Studio, Depends(studio_of)]
"""The studio, as a parameter of an endpoint."""
