"""Local sharing: off until the maker turns it on, and for one run of the studio only.

Turning it on starts a second listener (:mod:`pegwright.studio.phones.lan`) on one of this
computer's own addresses, never on all of them: plainly, or encrypted with a certificate that phones
are told to trust (:mod:`pegwright.studio.phones.trust`), which a third listener hands out.  The
paired phones and the certificate are remembered; sharing itself is not.
"""

from __future__ import annotations

import ipaddress
import socket
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import APIRouter, Depends, FastAPI
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import Response

from pegwright.errors import NotPossible
from pegwright.library.records import stamp, utc_now
from pegwright.studio.answers import file_answer
from pegwright.studio.follow.api import follower_of
from pegwright.studio.follow.keeping import Follower
from pegwright.studio.follow.shapes import DeviceId
from pegwright.studio.phones.lan import LanServer, lan_app
from pegwright.studio.phones.pairing import Devices, PairedDevice, Pairing
from pegwright.studio.phones.trust import (
    PRIVATE_NETWORKS,
    Issuer,
    fingerprint,
    kept_issuer,
    server_context,
)
from pegwright.studio.phones.trust_page import CERTIFICATE_NAME, CERTIFICATE_TYPE, trust_app
from pegwright.studio.refusals import ANSWERS, NotThere
from pegwright.studio.shapes import Asked
from pegwright.studio.state import Studio, studio_of

__all__ = ["DEFAULT_LAN_PORT", "Sharing", "addresses", "router", "sharing_of"]

DEFAULT_LAN_PORT = 8312
"""Kept the same from run to run: a browser keeps what it counted by address and port."""

_PRIVATE = tuple(ipaddress.ip_network(network) for network in PRIVATE_NETWORKS)


class DeviceView(BaseModel):
    """A paired phone; ``heard`` is when it last asked for something in this run."""

    id: str
    name: str
    paired: str
    heard: str | None


class TrustView(BaseModel):
    """How a phone comes to trust the studio: where it is told how, as a QR code too.

    :param fingerprint: SHA-256 of the certificate, to be compared on the phone.
    """

    url: str
    qr_svg: str
    fingerprint: str


class SharingView(BaseModel):
    """Whether phones are let in, and which are paired.

    :param encrypted: they are let in over https, and must trust the studio's certificate.
    :param trust: of that certificate, where sharing is on and encrypted.
    :param has_certificate: one was made, so that some phone may trust it.
    :param addresses: this computer's own addresses, the likeliest first.
    :param code_lasts_s: for how long the code that was shown last is valid still.
    """

    on: bool
    encrypted: bool
    trust: TrustView | None
    has_certificate: bool
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


class OnAsked(Asked):
    """At which of this computer's addresses phones are let in, and whether over https.

    Where it is, the next port tells phones how to trust the studio.
    """

    address: Annotated[str, Field(min_length=7, max_length=15)]
    port: Annotated[int, Field(ge=1024, le=65534)] = DEFAULT_LAN_PORT
    encrypted: bool = False


class Sharing:
    """Local sharing of one run of the studio."""

    def __init__(self, studio: Studio, follower: Follower) -> None:
        library = studio.settings.library
        self._studio = studio
        self._follower = follower
        self._lock = threading.Lock()
        self._server: LanServer | None = None
        self._telling: LanServer | None = None
        self._issuer: Issuer | None = None
        self._heard: dict[str, str] = {}
        self._certificate = library.with_name(f"{library.stem}-certificate.pem")
        self.devices = Devices(library.with_name(f"{library.stem}-devices.json"))
        self.pairing = Pairing(self.devices)

    @property
    def url(self) -> str | None:
        """Where phones are let in; None where they are not."""
        server = self._server
        scheme = "http" if self._issuer is None else "https"
        return None if server is None else f"{scheme}://{server.address}:{server.port}/"

    @property
    def certificate(self) -> bytes:
        """The certificate that phones are told to trust (DER); made where there is none."""
        return kept_issuer(self._certificate).root_der

    def on(self, address: str, port: int, *, encrypted: bool = False) -> None:
        """Let phones in at one of this computer's addresses.

        :raises NotThere: where the address is none of its own.
        :raises NotPossible: where a port is in use, or the certificate cannot be read.
        """
        if address not in addresses() and not _is_loopback(address):
            raise NotThere(
                "this computer has no such address",
                given=address,
                hint=f"one of: {', '.join(addresses()) or 'none was found'}",
            )
        with self._lock:
            self._stop()
            issuer = kept_issuer(self._certificate) if encrypted else None
            try:
                self._start(address, port, issuer)
            except BaseException:
                self._stop()
                raise

    def _start(self, address: str, port: int, issuer: Issuer | None) -> None:
        self._server = server = LanServer(address, port)
        app = lan_app(
            self._studio,
            self._follower,
            self.pairing,
            host=address,
            port=server.port,
            heard=self._note_heard,
            encrypted=issuer is not None,
        )
        self._issuer = issuer
        if issuer is None:
            server.start(app)
            return
        self._telling = telling = LanServer(address, server.port + 1)
        server.start(app, server_context(issuer, address, utc_now()))
        telling.start(
            trust_app(
                self._studio,
                issuer.root_der,
                host=address,
                port=telling.port,
                onward=f"{self.url}pair",
            )
        )

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
            encrypted=self._issuer is not None,
            trust=self._trust(),
            has_certificate=self._certificate.exists(),
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

    def _trust(self) -> TrustView | None:
        issuer, telling = self._issuer, self._telling
        if issuer is None or telling is None:
            return None
        url = f"http://{telling.address}:{telling.port}/"
        return TrustView(url=url, qr_svg=_qr_svg(url), fingerprint=fingerprint(issuer.root_der))

    def new_certificate(self) -> None:
        """Make a new certificate; no phone trusts it yet, and none is let in until then.

        :raises PegwrightError: where it cannot be kept.
        """
        with self._lock:
            self._stop()
            kept_issuer(self._certificate, anew=True)

    def _note_heard(self, device: PairedDevice) -> None:
        self._heard[device.id] = stamp(utc_now())

    def _stop(self) -> None:
        self.pairing.forget_code()
        for server in (self._server, self._telling):
            if server is not None:
                server.stop()
        self._server = self._telling = self._issuer = None


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
    sharing.on(asked.address, asked.port, encrypted=asked.encrypted)
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


@router.get("/certificate", response_class=Response)
def certificate(sharing: TheSharing) -> Response:
    """The certificate that phones are told to trust, to be carried there by other means."""
    return file_answer(sharing.certificate, CERTIFICATE_TYPE, CERTIFICATE_NAME)


@router.post("/certificate/new")
def new_certificate(sharing: TheSharing) -> SharingView:
    """Make a new certificate, which every phone must be told to trust anew; sharing is off then."""
    sharing.new_certificate()
    return sharing.view()


@router.delete("/devices/{device_id}")
def remove_device(device_id: DeviceId, sharing: TheSharing) -> SharingView:
    """Take a phone off the list; it can ask for nothing from then on."""
    sharing.devices.remove(device_id)
    return sharing.view()
