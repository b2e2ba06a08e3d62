"""The fuzz target of the design reader, run on mutated designs and on noise."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.model import Design
from pegwright.errors import PegwrightError


def _load() -> ModuleType:
    path = Path(__file__).with_name("fuzz_design_reader.py")
    spec = importlib.util.spec_from_file_location("fuzz_design_reader", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


TARGET = _load()
TEXTS = [shipped_text(name) for name in shipped_designs()]

# Pieces that have broken readers before: limits, marks, odd letters, odd numbers.
PIECES = st.sampled_from(
    [
        "nan", "inf", "-inf", "1e400", "-1", "0", "0.0", "9" * 400, "0x" + "f" * 400, "true",
        '""', '"\\u0000"', '"1/0 in"', '"-1 in"', '"1e9 in"', '"²"', '"٣ in"', "''", '"""', "'''",
        "[", "]", "[[", "]]", "{", "}", "[]", "{}", "[[[[]]]]", "=", ".", ",", "#", "\n", "\r",
        "\x00", "\x07", "\ufeff", "\u2028", "\u202e", "é", "…", "1979-05-27", "07:32:00",
        "[sizes]", "[[sizes]]", "[loom]", "[[loom]]", "[garment]", "pegwright = 1\n",
        'like = "cox"',
        "a.b.c.d.e = 1\n", "sizes = 1\n", "loom = {}\n", "__class__ = 1\n", '"" = 1\n',
    ]
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> str:
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 30)))
        text = text[:start] + draw(PIECES | st.text(max_size=8)) + text[end:]
    return text


@st.composite
def changed_values(draw: st.DrawFn) -> str:
    """A shipped design with the values of some lines replaced: mostly TOML, mostly no design."""
    lines = draw(st.sampled_from(TEXTS)).split("\n")
    places = [i for i, line in enumerate(lines) if " = " in line]
    for place in draw(st.lists(st.sampled_from(places), min_size=1, max_size=4)):
        key = lines[place].partition(" = ")[0]
        value = draw(PIECES | st.integers().map(str) | st.floats().map(str))
        lines[place] = f"{key} = {value}"
    return "\n".join(lines)


def encoded(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@given(mutated())
@settings(max_examples=150)
def test_mutated_designs(text: str) -> None:
    TARGET.read_or_refuse(encoded(text))


@given(changed_values())
@settings(max_examples=150)
def test_designs_with_other_values(text: str) -> None:
    TARGET.read_or_refuse(encoded(text))


@given(st.binary(max_size=300))
@settings(max_examples=60)
def test_noise(data: bytes) -> None:
    assert isinstance(TARGET.read_or_refuse(data), PegwrightError)


@given(st.text(max_size=200).map(lambda text: "pegwright = 1\n" + text))
@settings(max_examples=60)
def test_text(text: str) -> None:
    assert isinstance(TARGET.read_or_refuse(encoded(text)), PegwrightError)


LONG = 990_000
HOSTILE = {
    "deep lists": "a = " + "[" * LONG,
    "deep lists, closed": "a = " + "[" * 400_000 + "]" * 400_000,
    "deep tables": "a = " + "{a=" * 300_000,
    "a key of half a million parts": ".".join("a" * 400_000) + " = 1",
    "a header of half a million parts": "[" + ".".join("a" * 400_000) + "]",
    "many keys": "".join(f"k{i} = 1\n" for i in range(80_000)),
    "many tables": "".join(f"[t{i}]\n" for i in range(80_000)),
    "many sizes": "pegwright = 1\n" + "[[sizes]]\n" * 90_000,
    "a list of many": "a = [" + "1," * 490_000 + "]",
    "a long whole number": "pegwright = " + "9" * LONG,
    "a long hexadecimal number": "pegwright = 0x" + "f" * LONG,
    "a long fraction": "pegwright = 1." + "9" * LONG,
    "a long text": 'pegwright = 1\na = "' + "x" * LONG + '"',
    "a long text that does not end": 'pegwright = 1\na = "' + "x" * LONG,
    "a long block that does not end": 'pegwright = 1\na = """' + 'x"' * (LONG // 2),
    "backslashes": 'pegwright = 1\na = "' + "\\" * LONG,
    "a long remark": "#" * LONG,
    "blank lines": "\n" * LONG,
    "carriage returns": "\r" * LONG,
    "spaces": "pegwright" + " " * LONG,
    "quotes": '"' * LONG,
    "equals signs": "=" * LONG,
    "brackets": "[]" * (LONG // 2),
    "a table of inline tables": "a = [" + "{b=1}," * 160_000 + "]",
    "more than a megabyte": "#" * 1_000_001,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_are_refused_in_time(name: str) -> None:
    assert isinstance(TARGET.read_or_refuse(HOSTILE[name].encode()), PegwrightError)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_stretches_after_a_good_design(name: str) -> None:
    text = (TEXTS[0] + "\n[extra]\n" + HOSTILE[name])[:1_000_000]
    TARGET.read_or_refuse(text.encode())


@pytest.mark.parametrize("text", TEXTS)
def test_the_target_sees_a_good_design(text: str) -> None:
    assert isinstance(TARGET.read_or_refuse(text.encode()), Design)


def test_the_target_notices_another_error(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(data: bytes, name: str) -> Design:
        raise KeyError("a bug")

    monkeypatch.setattr(TARGET, "read_bytes", broken)
    with pytest.raises(KeyError):
        TARGET.read_or_refuse(b"")
