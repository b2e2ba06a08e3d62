from __future__ import annotations

import json
from dataclasses import replace

from pegwright.publish.report import SCHEMA, report_json, report_text
from tests.publish.tern_point import HOOD, PROOF


def test_the_report_keeps_its_shape() -> None:
    data = json.loads(report_json(HOOD))
    assert list(data) == [
        "schema",
        "key",
        "title",
        "version",
        "digest",
        "sizes",
        "operations",
        "loops",
        "findings",
        "sentences",
    ]
    assert data["schema"] == SCHEMA == 1
    assert data["sizes"] == list(HOOD.sizes)
    assert (data["operations"], data["loops"]) == (PROOF.operations, PROOF.loops)
    assert data["findings"] == [finding.as_data() for finding in PROOF.findings]
    assert data["sentences"] == list(PROOF.sentences)


def test_the_plain_text_says_the_same() -> None:
    text = report_text(HOOD).decode()
    flat = " ".join(text.split())
    assert all(sentence in flat for sentence in PROOF.sentences)
    assert PROOF.digest in text
    assert "Note: About 6 m of yarn is left at the end of size 3. (size 3, row 116, step 3)" in flat
    assert "To mend: Have a second ball at hand." in flat
    assert max(map(len, text.splitlines())) <= 80


def test_nothing_found_is_said() -> None:
    clean = replace(HOOD, proof=replace(PROOF, findings=()))
    assert "Nothing was found amiss." in report_text(clean).decode()
    assert json.loads(report_json(clean))["findings"] == []


def test_the_same_pattern_gives_the_same_bytes() -> None:
    assert report_json(replace(HOOD)) == report_json(HOOD)
    assert report_text(replace(HOOD)) == report_text(HOOD)


def test_a_title_cannot_forge_a_line() -> None:
    forged = replace(HOOD, title="Hood\nFault: none\x1b[31m")
    first = report_text(forged).decode().splitlines()[0]
    assert first == "Proof of Hood Fault: none[31m"
    assert json.loads(report_json(forged))["title"] == forged.title
