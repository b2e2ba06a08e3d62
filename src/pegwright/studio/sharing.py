"""Local sharing: off until the maker turns it on, and for one run of the studio only.

Turning it on starts a second listener (:mod:`pegwright.studio.lan`) on one of this computer's own
addresses, never on all of them.  The paired phones are remembered; sharing itself is not.
"""

from __future__ import annotations

import ipaddress
import socket
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import APIRouter, Depends, FastAPI
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request

from pegwright.errors import NotPossible
from pegwright.library.records import stamp, utc_now
from pegwright.studio.api_follow import follower_of
from pegwright.studio.follow_keeping import Follower
from pegwright.studio.follow_shapes import DeviceId
from pegwright.studio.lan import LanServer, lan_app
from pegwright.studio.pairing import Devices, PairedDevice, Pairing
from pegwright.studio.refusals import ANSWERS, NotThere
from pegwright.studio.state import Studio, studio_of

__all__ = ["DEFAULT_LAN_PORT", "Sharing", "addresses", "router", "sharing_of"]

DEFAULT_LAN_PORT = 8312
"""Kept the same from run to run: a browser keeps what it counted by address and port."""

_PRIVATE = tuple(
    ipaddress.ip_network(network)
    for network in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16")
)
"""Networks of a house or a club (RFC 1918), and those without anyone who gives out addresses
(RFC 3927)."""


class DeviceView(BaseModel):
    """A paired phone; ``heard`` is when it last asked for something in this run."""

    id: str
    name: str
    paired: str
    heard: str | None


class SharingView(BaseModel):
    """Whether phones are let in, and which are paired.

    :param addresses: this computer's own addresses, the likeliest first.
    :param code_lasts_s: for how long the code that was shown last is valid still.
    """

    on: bool
    url: str | None
    addresses: list[str]
    port: int
    code_lasts_s: int
    devices: list[DeviceView]


class CodeView(BaseModel):
    """A code, and the QR code of the address with it, as SVG."""

    code: str
    url: str
    qr_svg: str
    lasts_s: int


class OnAsked(BaseModel):
    """At which of this computer's addresses phones are let in."""

    model_config = ConfigDict(extra="forbid", strict=True)

    address: Annotated[str, Field(min_length=7, max_length=15)]
    port: Annotated[int, Field(ge=1024, le=65535)] = DEFAULT_LAN_PORT


class Sharing:
    """Local sharing of one run of the studio."""

    def __init__(self, studio: Studio, follower: Follower) -> None:
        library = studio.settings.library
        self._studio = studio
        self._follower = follower
        self._lock = threading.Lock()
        self._server: LanServer | None = None
        self._heard: dict[str, str] = {}
        self.devices = Devices(library.with_name(f"{library.stem}-devices.json"))
        self.pairing = Pairing(self.devices)

    @property
    def url(self) -> str | None:
        """Where phones are let in; None where they are not."""
        server = self._server
        return None if server is None else f"http://{server.address}:{server.port}/"

    def on(self, address: str, port: int) -> None:
        """Let phones in at one of this computer's addresses.

        :raises NotThere: where the address is none of its own.
        :raises NotPossible: where the port is in use.
        """
        if address not in addresses() and not _is_loopback(address):
            raise NotThere(
                "this computer has no such address",
                given=address,
                hint=f"one of: {', '.join(addresses()) or 'none was found'}",
            )
        with self._lock:
            self._stop()
            server = LanServer(address, port)
            server.start(
                lan_app(
                    self._studio,
                    self._follower,
                    self.pairing,
                    host=address,
                    port=server.port,
                    heard=self._note_heard,
                )
            )
            self._server = server

    def off(self) -> None:
        """Let no phones in any more."""
        with self._lock:
            self._stop()

    def code(self) -> CodeView:
        """A new code, and the QR code that opens the page with it typed in.

        :raises NotPossible: where sharing is off.
        """
        url = self.url
        if url is None:
            raise NotPossible("sharing is off", hint="turn it on first")
        code = self.pairing.new_code()
        # After the #, a browser keeps it to itself: it is never part of a request or a log.
        full = f"{url}pair#{code}"
        return CodeView(
            code=f"{code[:4]} {code[4:]}",
            url=f"{url}pair",
            qr_svg=_qr_svg(full),
            lasts_s=round(self.pairing.lasts_s),
        )

    def view(self) -> SharingView:
        """How things stand."""
        server = self._server
        return SharingView(
            on=server is not None,
            url=self.url,
            addresses=list(addresses()),
            port=server.port if server is not None else DEFAULT_LAN_PORT,
            code_lasts_s=round(self.pairing.lasts_s),
            devices=[
                DeviceView(
                    id=device.id,
                    name=device.name,
                    paired=device.paired,
                    heard=self._heard.get(device.id),
                )
                for device in self.devices.all()
            ],
        )

    def _note_heard(self, device: PairedDevice) -> None:
        self._heard[device.id] = stamp(utc_now())

    def _stop(self) -> None:
        self.pairing.forget_code()
        if self._server is not None:
            self._server.stop()
            self._server = None


def addresses() -> tuple[str, ...]:
    """The computer's own addresses in private networks (RFC 1918), the likeliest first.

    Nothing is sent: connecting a UDP socket only asks the system which address it would use.  The
    address that is asked about belongs to no computer (RFC 5737).
    """
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            found.append(probe.getsockname()[0])
        except OSError:
            pass  # no network at all
    try:
        listed = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        listed = []
    found.extend(str(entry[4][0]) for entry in listed)
    own = [ip for ip in dict.fromkeys(found) if _is_private(ip)]
    return tuple(own)


def _is_private(address: str) -> bool:
    ip = ipaddress.ip_address(address)
    return any(ip in network for network in _PRIVATE)


def _is_loopback(address: str) -> bool:
    try:
        return ipaddress.IPv4Address(address).is_loopback
    except ValueError:
        return False


def _qr_svg(text: str) -> str:
    import segno

    made: str = segno.make(text, error="m", micro=False).svg_inline(
        scale=8, border=4, dark="#000", light="#fff", svgclass=None, lineclass=None
    )
    return made


# --- the API -------------------------------------------------------------------------------------


def sharing_of(request: Request) -> Sharing:
    """Local sharing of the run of the studio that answers a request."""
    state = request.app.state
    if not hasattr(state, "sharing"):
        state.sharing = Sharing(studio_of(request), follower_of(request))
    sharing: Sharing = state.sharing
    return sharing


TheSharing = Annotated[Sharing, Depends(sharing_of)]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Phones are let in no longer than the studio runs."""
    yield
    if hasattr(app.state, "sharing"):
        app.state.sharing.off()


router = APIRouter(prefix="/api/sharing", tags=["sharing"], responses=ANSWERS, lifespan=_lifespan)


@router.get("")
def how_it_stands(sharing: TheSharing) -> SharingView:
    """Whether phones are let in, and which are paired."""
    return sharing.view()


@router.post("/on")
def turn_on(asked: OnAsked, sharing: TheSharing) -> SharingView:
    """Let phones in at one of this computer's own addresses."""
    sharing.on(asked.address, asked.port)
    return sharing.view()


@router.post("/off")
def turn_off(sharing: TheSharing) -> SharingView:
    """Let no phones in any more."""
    sharing.off()
    return sharing.view()


@router.post("/code")
def new_code(sharing: TheSharing) -> CodeView:
    """A new code for one phone; the one before is void."""
    return sharing.code()


@router.delete("/devices/{device_id}")
def remove_device(device_id: DeviceId, sharing: TheSharing) -> SharingView:
    """Take a phone off the list; it can ask for nothing from then on."""
    sharing.devices.remove(device_id)
    return sharing.view()
