"""Pairing: how a phone becomes one of the maker's own devices.

The studio shows a **code**; whoever types it on a phone within five minutes pairs that phone, once.
A wrong code is counted: after five of them the code is void and a new one must be asked for, and no
more than ten tries a minute are looked at in all.  A paired phone is given a random **token**; only
its SHA-256 is kept, beside the library, with the phone's name.  Taking a device off the list makes
its token worthless at once.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from pegwright.errors import PegwrightError
from pegwright.library.records import Clock, stamp, utc_now
from pegwright.studio.phones.private_file import write_private
from pegwright.studio.refusals import NotAllowed, NotThere

__all__ = [
    "CODE_DIGITS",
    "CODE_LASTS_S",
    "MOST_DEVICES",
    "MOST_WRONG",
    "Devices",
    "PairedDevice",
    "Pairing",
    "TooManyTries",
]

CODE_DIGITS = 8
CODE_LASTS_S = 300.0
MOST_WRONG = 5
"""Wrong tries that make a code void: of 100 million codes, five are tried at most."""

MOST_TRIES = 10
_TRIES_WITHIN_S = 60.0
MOST_DEVICES = 50


class TooManyTries(NotAllowed):
    """Codes were tried too often in too short a time."""


@dataclass(frozen=True, slots=True)
class PairedDevice:
    """A phone that was paired.

    :param token_sha256: of its token, in hexadecimal.  The token is 256 random bits, so a plain
        digest cannot be turned back by guessing.
    """

    id: str
    name: str
    paired: str
    token_sha256: str


class Devices:
    """The list of paired devices, kept in a file that only its owner may read."""

    def __init__(self, path: Path, clock: Clock = utc_now) -> None:
        self._path = path
        self._clock = clock
        self._lock = threading.Lock()
        self._known = self._read()

    def all(self) -> tuple[PairedDevice, ...]:
        """Every paired device, the first that was paired first."""
        return tuple(self._known.values())

    def add(self, name: str) -> tuple[PairedDevice, str]:
        """Pair a device; gives it and its token, which is told this once only."""
        token = secrets.token_urlsafe(32)
        device = PairedDevice(
            secrets.token_hex(8), _one_line(name), stamp(self._clock()), _sha256(token)
        )
        with self._lock:
            if len(self._known) >= MOST_DEVICES:
                raise NotAllowed(
                    "as many devices are paired as can be",
                    given=len(self._known),
                    hint="take one off the list that is not used any more",
                )
            self._write({**self._known, device.id: device})
        return device, token

    def find(self, token: str) -> PairedDevice | None:
        """The device that a token belongs to, or None."""
        digest = _sha256(token)
        found = None
        for device in self._known.values():  # all are looked at, so time tells nothing
            if hmac.compare_digest(device.token_sha256, digest):
                found = device
        return found

    def remove(self, device_id: str) -> None:
        """Take a device off the list.

        :raises NotThere: where none of that id is on it.
        """
        with self._lock:
            if device_id not in self._known:
                raise NotThere("no such device is paired", given=device_id)
            self._write({k: d for k, d in self._known.items() if k != device_id})

    def _read(self) -> dict[str, PairedDevice]:
        """The file's devices; one that cannot be read pairs nobody."""
        try:
            listed = json.loads(self._path.read_text(encoding="utf-8"))["devices"]
            found = [PairedDevice(**{k: str(v) for k, v in one.items()}) for one in listed]
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return {}
        return {device.id: device for device in found[:MOST_DEVICES]}

    def _write(self, known: dict[str, PairedDevice]) -> None:
        text = json.dumps({"devices": [asdict(device) for device in known.values()]}, indent=1)
        try:
            write_private(self._path, text.encode("utf-8"))
        except OSError as problem:
            raise PegwrightError(
                "the list of devices cannot be written", given=problem.strerror
            ) from None
        self._known = known


@dataclass(frozen=True, slots=True)
class _Code:
    text: str
    until: float
    wrong: int = 0


class Pairing:
    """The code that is valid now, if any, and the tries that were made.

    :param clock: seconds that only ever grow.
    """

    def __init__(self, devices: Devices, clock: Callable[[], float] = time.monotonic) -> None:
        self.devices = devices
        self._clock = clock
        self._lock = threading.Lock()
        self._code: _Code | None = None
        self._tries: deque[float] = deque(maxlen=MOST_TRIES)

    def new_code(self) -> str:
        """A fresh code; the one before is void."""
        text = f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"
        with self._lock:
            self._code = _Code(text, self._clock() + CODE_LASTS_S)
        return text

    def forget_code(self) -> None:
        """Make the code void."""
        with self._lock:
            self._code = None

    @property
    def lasts_s(self) -> float:
        """For how long the code is valid still; 0 where there is none."""
        code = self._code
        return 0.0 if code is None else max(code.until - self._clock(), 0.0)

    def pair(self, typed: str, name: str) -> tuple[PairedDevice, str]:
        """Pair a device by the code that was typed on it; gives it and its token.

        :raises TooManyTries: where too many codes were tried within a minute.
        :raises NotAllowed: for a wrong code, one that was used, or one that is too old.
        """
        with self._lock:
            self._count_try()
            code, self._code = self._code, None
            given = "".join(letter for letter in typed if letter in "0123456789")
            valid = code is not None and self._clock() < code.until
            right = hmac.compare_digest(_sha256(code.text if code else ""), _sha256(given))
            if not (valid and right):
                if code is not None and valid and code.wrong + 1 < MOST_WRONG:
                    self._code = replace(code, wrong=code.wrong + 1)
                raise NotAllowed(
                    "this code does not pair this phone",
                    hint="type the code that the studio shows; ask it for a new one if this one is "
                    "older than five minutes or was used",
                )
            try:
                return self.devices.add(name)
            except PegwrightError:
                self._code = code
                raise

    def _count_try(self) -> None:
        now = self._clock()
        if len(self._tries) == MOST_TRIES and now - self._tries[0] < _TRIES_WITHIN_S:
            raise TooManyTries(
                "too many codes were tried", hint="wait a minute, then ask for a new code"
            )
        self._tries.append(now)


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def _one_line(name: str) -> str:
    shown = "".join(letter if letter.isprintable() else " " for letter in name)
    return " ".join(shown.split())[:60] or "a phone"
