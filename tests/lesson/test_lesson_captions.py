"""WebVTT that a general library reads back; the description and the HowTo beside it."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import webvtt

from pegwright.lesson.captions import LINE, captions_vtt, chapters_vtt, stamp
from pegwright.lesson.describe import description, lesson_how_to, lesson_how_to_json
from pegwright.lesson.template import USUAL, Template, Words
from tests.lesson.conftest import Proved


def read_back(vtt: bytes) -> list[Any]:
    """The captions as webvtt-py reads them."""
    return list(webvtt.from_buffer(io.StringIO(vtt.decode("utf-8"))).captions)


def test_captions_are_read_back_in_order(any_design: Proved) -> None:
    found = read_back(captions_vtt(any_design.sheet))
    said = " ".join(" ".join(c.narration) for c in any_design.sheet.cues)
    text = " ".join(caption.text for caption in found)
    assert text.split() == said.split()
    for a, b in pairwise(found):
        assert a.start_in_seconds < a.end_in_seconds <= b.start_in_seconds + 1e-9
    assert found[-1].end_in_seconds <= any_design.sheet.seconds


def test_a_caption_stays_within_its_shot(any_design: Proved) -> None:
    found = read_back(captions_vtt(any_design.sheet))
    ends = [cue.start_s for cue in any_design.sheet.cues] + [any_design.sheet.seconds]
    for caption in found:
        shot = max(s for s in ends if s <= caption.start_in_seconds)
        following = min(s for s in ends if s > shot)
        assert caption.end_in_seconds <= following


def test_a_caption_can_be_read(any_design: Proved) -> None:
    for caption in read_back(captions_vtt(any_design.sheet)):
        lines = caption.text.split("\n")
        assert len(lines) <= 2
        assert all(len(line) <= LINE for line in lines), lines
        shown = caption.end_in_seconds - caption.start_in_seconds
        assert len(caption.text) / shown <= 25, caption  # letters a second; common practice


def test_markup_in_words_is_shown_as_it_is(hood: Proved) -> None:
    cue = replace(hood.sheet.cues[0], narration=("Wrap F1 --> B2 & <b>hold</b>.",))
    made = captions_vtt(replace(hood.sheet, cues=(cue,)))
    assert b"&lt;b&gt;hold&lt;/b&gt;" in made
    assert made.count(b"-->") == len(read_back(made))


def test_a_word_longer_than_a_line_is_parted(hood: Proved) -> None:
    cue = replace(hood.sheet.cues[0], narration=("a" * 100,))
    found = read_back(captions_vtt(replace(hood.sheet, cues=(cue,))))
    assert "".join(c.text.replace("\n", "") for c in found) == "a" * 100


def test_chapters_cover_the_lesson(any_design: Proved) -> None:
    found = read_back(chapters_vtt(any_design.sheet))
    assert found[0].start_in_seconds == 0
    assert found[-1].end_in_seconds == any_design.sheet.seconds
    assert [c.text for c in found] == [title for _, title in any_design.sheet.chapters()]
    for a, b in pairwise(found):
        assert a.end_in_seconds == b.start_in_seconds
        assert a.text != b.text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "00:00:00.000"),
        (59.9996, "00:01:00.000"),  # rounding carries over
        (3661.25, "01:01:01.250"),
    ],
)
def test_times_are_written_as_webvtt_has_them(seconds: float, text: str) -> None:
    assert stamp(seconds) == text


# --- the description -----------------------------------------------------------------------------


def test_the_description_has_materials_chapters_and_cautions(hood: Proved) -> None:
    template = Template(Words(channel="The boathouse bench"))
    text = description(hood.pattern, hood.sheet, template).decode("utf-8")
    assert "- Slipway worsted, slate, 2 × 100 g" in text
    assert "Cord at the neck: adults only" in text
    assert text.rstrip().endswith("The boathouse bench")
    times = re.findall(r"^(\d+):(\d\d) (.+)$", text, re.MULTILINE)
    starts = [(int(m) * 60 + int(s), title) for m, s, title in times]
    assert tuple(starts) == hood.sheet.chapters()
    assert starts[0][0] == 0


# --- schema.org ----------------------------------------------------------------------------------

PLAIN = {"Text": str, "URL": str, "Integer": int, "Number": int, "Duration": str}


def faults(value: dict[str, Any], words: dict[str, Any]) -> list[str]:
    """What in some data is not in the vocabulary: types, their properties, what these take."""

    def kinds(name: str) -> set[str]:
        found = {name}
        for parent in words["parents"].get(name, []):
            found |= kinds(parent)
        return found

    kind = value.get("@type")
    if kind not in words["types"]:
        return [f"no such type: {kind}"]
    found = []
    for key, held in value.items():
        if key.startswith("@"):
            continue
        if key not in words["types"][kind]:
            found.append(f"{kind} has no {key}")
            continue
        takes = set(words["takes"][key])
        for one in held if isinstance(held, list) else [held]:
            if isinstance(one, dict):
                if not kinds(one["@type"]) & takes:
                    found.append(f"{kind}.{key} takes no {one['@type']}")
                found += faults(one, words)
            elif not any(isinstance(one, PLAIN[t]) for t in takes & set(PLAIN)):
                found.append(f"{kind}.{key} takes no {type(one).__name__}")
    return found


@pytest.fixture(scope="module")
def vocabulary(repo: Path) -> dict[str, Any]:
    """Six types of schema.org, release 12.0; the file names its source."""
    file = repo / "tests" / "lesson" / "schema_org_excerpt.json"
    words: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return words


def test_the_how_to_is_in_the_vocabulary(any_design: Proved, vocabulary: dict[str, Any]) -> None:
    template = Template(Words(channel="The boathouse bench"))
    made = lesson_how_to(any_design.pattern, any_design.sheet, template)
    assert made["@context"] == "https://schema.org"
    assert faults(made, vocabulary) == []


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("supplies", []),  # the property is called supply
        ("step", {"@type": "HowToTool", "name": "hook"}),
        ("totalTime", 30),
        ("video", {"@type": "Film", "name": "x"}),
    ],
)
def test_the_check_of_the_vocabulary_finds_slips(
    key: str, value: object, hood: Proved, vocabulary: dict[str, Any]
) -> None:
    made = lesson_how_to(hood.pattern, hood.sheet, USUAL)
    assert faults({**made, key: value}, vocabulary)


def test_the_clips_are_the_chapters(hood: Proved) -> None:
    made = json.loads(lesson_how_to_json(hood.pattern, hood.sheet, USUAL))
    clips = made["video"]["hasPart"]
    assert tuple((c["startOffset"], c["name"]) for c in clips) == hood.sheet.chapters()
    assert clips[-1]["endOffset"] == hood.sheet.seconds
    minutes, seconds = divmod(hood.sheet.seconds, 60)
    assert made["video"]["duration"] == f"PT{minutes}M{seconds}S"  # ISO 8601
    assert made["totalTime"] == "PT5H10M"
