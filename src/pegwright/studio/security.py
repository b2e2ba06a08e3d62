"""The guard at the door: who may ask, what may be sent, and what a browser may do with the answer.

The studio listens on the loopback address, yet any page that a maker has open can send requests
there.  Three checks keep them out:

* **Host**: only the studio's own names are answered, so a foreign name that was pointed at the
  loopback address (DNS rebinding) is refused;
* **Origin** and ``Sec-Fetch-Site``: a request that changes something must come from the studio's
  own pages; another page may lead here, but not fetch or embed anything;
* a **token**: such a request carries, in the header ``X-Pegwright-Token``, a secret that stands in
  the studio's own pages and that no other page can read.

Bodies above the limits are refused while they arrive.  Every answer carries a strict content policy
without inline script or style.
"""

from __future__ import annotations

import hmac
import json
import secrets
from http import HTTPStatus
from typing import Any

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pegwright.errors import PegwrightError
from pegwright.studio.refusals import NotAllowed, TooLarge, status_of
from pegwright.studio.settings import Settings

__all__ = ["POLICY", "TOKEN_HEADER", "Guard", "new_token"]

TOKEN_HEADER = "X-Pegwright-Token"

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "object-src 'self'",
        "frame-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'self'",
    )
)
"""What a page of the studio may load and do: its own files, and nothing inline."""

_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=()",
}

_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_OWN_SITES = frozenset({"same-origin", "none"})


def new_token() -> str:
    """A fresh secret for the pages of one run of the studio."""
    return secrets.token_urlsafe(32)


class Guard:
    """Wraps the whole app; see the module."""

    def __init__(self, app: ASGIApp, *, settings: Settings, token: str) -> None:
        self._app = app
        self._settings = settings
        self._token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer or refuse one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        guarded = _with_headers(send)
        try:
            headers = _headers(scope)
            self._check_sender(scope, headers)
            limit = self._limit(headers)
            self._check_length(headers, limit)
        except PegwrightError as error:
            await _refuse(error, guarded)
            return
        await self._app(scope, _counted(receive, limit), guarded)

    def _check_sender(self, scope: Scope, headers: dict[str, str]) -> None:
        host = headers.get("host", "").lower()
        if host not in self._settings.hosts:
            raise NotAllowed(
                "the studio does not answer to this name",
                given=host or "no Host",
                hint=f"open {self._settings.address}",
            )
        site = headers.get("sec-fetch-site", "same-origin")
        if scope["method"] in _SAFE:
            if site not in _OWN_SITES and headers.get("sec-fetch-mode") != "navigate":
                raise NotAllowed("the request comes from another page")
            return
        origin = headers.get("origin")
        if origin is not None and origin.lower() != f"{scope.get('scheme', 'http')}://{host}":
            raise NotAllowed("the request comes from another page", given=origin)
        if site not in _OWN_SITES:
            raise NotAllowed("the request comes from another page")
        sent = headers.get(TOKEN_HEADER.lower(), "")
        if not hmac.compare_digest(sent.encode(), self._token.encode()):
            raise NotAllowed(
                "the request does not carry this run's token",
                hint="reload the page: the studio was started anew",
            )

    def _limit(self, headers: dict[str, str]) -> int:
        kind = headers.get("content-type", "").partition(";")[0].strip().lower()
        if kind in ("", "application/json", "application/x-www-form-urlencoded"):
            return self._settings.most_json_bytes
        return self._settings.most_upload_bytes

    def _check_length(self, headers: dict[str, str], limit: int) -> None:
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit():
            raise NotAllowed("the length of the request cannot be read", given=length)
        if int(length) > limit:
            raise _too_large(limit)


def _too_large(limit: int) -> TooLarge:
    return TooLarge(
        "this is more than the studio takes at a time",
        given=f"more than {limit / 1_000_000:g} MB",
        hint="send a smaller file",
    )


def _headers(scope: Scope) -> dict[str, str]:
    """The headers by their names in lower case; of several of one name the last."""
    return {name.decode("latin-1").lower(): v.decode("latin-1") for name, v in scope["headers"]}


def _counted(receive: Receive, limit: int) -> Receive:
    """The body, refused as soon as it grows past the limit."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > limit:
            # Of its kind alone it passes unchanged through whatever reads the body.
            raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        return message

    return counted


def _with_headers(send: Send) -> Send:
    """Every answer with the guard's headers, where it brings none of its own."""

    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            present = {name.lower() for name, _ in message["headers"]}
            added = [
                (name.encode(), value.encode())
                for name, value in _HEADERS.items()
                if name.encode() not in present
            ]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return guarded


async def _refuse(error: PegwrightError, send: Send) -> None:
    body = json.dumps(error.as_data()).encode()
    headers: list[tuple[bytes, Any]] = [
        (b"content-type", b"application/json"),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
    ]
    await send({"type": "http.response.start", "status": status_of(error), "headers": headers})
    await send({"type": "http.response.body", "body": body})
