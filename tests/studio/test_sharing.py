from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.studio.phones.pairing import (
    CODE_LASTS_S,
    MOST_TRIES,
    MOST_WRONG,
    Devices,
    Pairing,
    TooManyTries,
)
from pegwright.studio.refusals import NotAllowed, NotThere


class Clock:
    """Seconds that are moved by hand."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def pairing(tmp_path: Path, clock: Clock) -> Pairing:
    return Pairing(Devices(tmp_path / "devices.json"), clock)


def wrong(code: str) -> str:
    return f"{(int(code) + 1) % 10**8:08d}"


def test_a_code_pairs_one_phone_once(pairing: Pairing) -> None:
    code = pairing.new_code()
    device, token = pairing.pair(f"{code[:4]} {code[4:]}", "the cox's phone")
    assert pairing.devices.find(token) == device
    with pytest.raises(NotAllowed, match="does not pair"):
        pairing.pair(code, "another")
    assert [d.name for d in pairing.devices.all()] == ["the cox's phone"]


def test_a_code_is_good_for_five_minutes(pairing: Pairing, clock: Clock) -> None:
    code = pairing.new_code()
    clock.now += CODE_LASTS_S - 1
    assert pairing.lasts_s == pytest.approx(1)
    clock.now += 2
    assert pairing.lasts_s == 0
    with pytest.raises(NotAllowed):
        pairing.pair(code, "late")


def test_without_a_code_nothing_pairs(pairing: Pairing) -> None:
    for typed in ("", "00000000", "none"):
        with pytest.raises(NotAllowed):
            pairing.pair(typed, "phone")
    pairing.new_code()
    pairing.forget_code()
    with pytest.raises(NotAllowed):
        pairing.pair("", "phone")


def test_five_wrong_codes_make_the_right_one_void(pairing: Pairing) -> None:
    code = pairing.new_code()
    for _ in range(MOST_WRONG - 1):
        with pytest.raises(NotAllowed):
            pairing.pair(wrong(code), "guesser")
    with pytest.raises(NotAllowed):
        pairing.pair(wrong(code), "guesser")
    with pytest.raises(NotAllowed):
        pairing.pair(code, "maker")


def test_four_wrong_codes_do_not(pairing: Pairing) -> None:
    code = pairing.new_code()
    for _ in range(MOST_WRONG - 1):
        with pytest.raises(NotAllowed):
            pairing.pair(wrong(code), "slip of the thumb")
    pairing.pair(code, "maker")


def test_tries_are_limited_within_a_minute(pairing: Pairing, clock: Clock) -> None:
    for _ in range(MOST_TRIES):
        with pytest.raises(NotAllowed):
            pairing.pair(wrong(pairing.new_code()), "guesser")
        clock.now += 1
    code = pairing.new_code()
    with pytest.raises(TooManyTries):
        pairing.pair(code, "maker")
    clock.now += 60
    pairing.pair(code, "maker")


def test_a_device_that_is_taken_off_is_known_no_more(pairing: Pairing) -> None:
    device, token = pairing.pair(pairing.new_code(), "old phone")
    pairing.devices.remove(device.id)
    assert pairing.devices.find(token) is None
    with pytest.raises(NotThere):
        pairing.devices.remove(device.id)


def test_tokens_are_kept_as_digests_in_a_file_of_the_owners(tmp_path: Path) -> None:
    path = tmp_path / "devices.json"
    devices = Devices(path)
    device, token = devices.add("phone")
    assert token not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    again = Devices(path)
    assert again.find(token) == device
    assert again.find(token + "x") is None
    assert again.find(device.token_sha256) is None  # the digest itself opens nothing


@pytest.mark.parametrize("text", ["", "{", "[]", '{"devices": 7}', '{"devices": [{"id": "x"}]}'])
def test_a_list_that_cannot_be_read_pairs_nobody(tmp_path: Path, text: str) -> None:
    path = tmp_path / "devices.json"
    path.write_text(text)
    devices = Devices(path)
    assert devices.all() == ()
    devices.add("phone")
    assert len(json.loads(path.read_text())["devices"]) == 1


@given(st.text(max_size=30))
def test_nothing_but_the_code_pairs(typed: str) -> None:
    pairing = Pairing(Devices(Path("/nonexistent/devices.json")))
    code = pairing.new_code()
    digits = "".join(letter for letter in typed if letter in "0123456789")
    if digits != code:
        with pytest.raises(NotAllowed):
            pairing.pair(typed, "phone")
