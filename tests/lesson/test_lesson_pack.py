"""The whole pack and its command: every file, whole or not at all, and the same bytes."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from pegwright.cli.main import STOPPED, main
from pegwright.designs.files import shipped_text
from pegwright.errors import BadInput, ExitCode, NotPossible
from pegwright.lesson import film, pack, scene_frames
from pegwright.lesson.hand_out import hand_out_pdf
from pegwright.lesson.pack import LessonPack, lesson_pack
from pegwright.lesson.template import USUAL, Template, Words
from pegwright.pattern.model import Pattern, PatternStep, StepBlock
from pegwright.publish.pdf import Paper
from tests.lesson.conftest import Proved, proved

KEY = "tern-point-hood"


@pytest.fixture(scope="module")
def still_pack(hood: Proved) -> LessonPack:
    return lesson_pack(hood.source, hood.pattern, films=False)


def test_every_kind_of_file_is_there(still_pack: LessonPack) -> None:
    wanted = {
        f"{KEY}-{name}"
        for name in (
            "cue-sheet.json",
            "cue-sheet.csv",
            "cue-sheet.html",
            "captions.vtt",
            "chapters.vtt",
            "description.txt",
            "how-to.json",
            "hand-out.pdf",
            "lesson-template.toml",
            "wrap-moving.svg",
            "wrap-still.png",
            "knit-over-moving.svg",
            "knit-over-still.png",
            "card-wide-01-title.svg",
            "card-square-01-title.png",
            "card-tall-01-title.png",
        )
    }
    assert wanted <= set(still_pack.files)
    assert not [name for name in still_pack.files if name.endswith((".mp4", ".gif"))]
    assert all(still_pack.files.values())


def test_every_card_is_there_as_svg_and_as_png(still_pack: LessonPack) -> None:
    cards = {name for name in still_pack.files if "-card-" in name}
    stems = {name.rpartition(".")[0] for name in cards}
    assert cards == {f"{stem}.{form}" for stem in stems for form in ("svg", "png")}
    for shape in ("wide", "square", "tall"):
        numbers = sorted(
            int(s.split("-card-")[1].split("-")[1]) for s in stems if f"-{shape}-" in s
        )
        assert numbers == list(range(1, len(numbers) + 1))


def test_the_lesson_may_be_on_another_size(hood: Proved, still_pack: LessonPack) -> None:
    coach = hood.source.sizes[2]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pack, "_cards", lambda *_: ())
        made = lesson_pack(hood.source, hood.pattern, size="coach", films=False)
        with pytest.raises(BadInput, match="no such size"):
            lesson_pack(hood.source, hood.pattern, size="stroke", films=False)
    assert made.sheet.size == "coach"
    last = max(cue.rows_after or 0 for cue in made.sheet.cues if cue.piece == "strip")
    assert last == coach.plan.pieces[0].rows
    assert still_pack.sheet.size == "cox"


def test_the_same_input_gives_the_same_bytes(hood: Proved) -> None:
    def made() -> dict[str, bytes]:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(pack, "_cards", lambda *_: ())  # shown for cards in test_cards
            return dict(lesson_pack(hood.source, hood.pattern, films=False).files)

    assert made() == made()


@pytest.mark.slow
def test_the_films_of_a_pack_have_the_length_of_their_scenes(headband: Proved) -> None:
    import av

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pack, "_cards", lambda *_: ())
        patch.setattr(pack, "FILM", pack.FilmSize(320, 180, 20))
        made = lesson_pack(headband.source, headband.pattern)
    for scene in pack.scenes_of(headband.one):
        for form, fps in (("mp4", 20), ("gif", 10)):
            data = made.files[f"tern-point-headband-{scene.key}-moving.{form}"]
            with av.open(io.BytesIO(data), "r") as box:
                assert len(list(box.decode(video=0))) == round(scene.seconds * fps)
                assert box.duration == round(scene.seconds * 1_000_000)


# --- the hand-out --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    [(Paper.A4, 210, 297), (Paper.LETTER, 215.9, 279.4)],  # ISO 216; ANSI/ASME Y14.1
)
@pytest.mark.parametrize("name", [KEY, "tern-point-boat-blanket", "tern-point-panel-blanket"])
def test_the_hand_out_is_one_page(
    name: str, paper: Paper, width_mm: float, height_mm: float
) -> None:
    design = proved(name)
    made = hand_out_pdf(design.source, design.pattern, USUAL, paper)
    pages = pypdf.PdfReader(io.BytesIO(made)).pages
    assert len(pages) == 1
    box = pages[0].mediabox
    assert float(box.width) == pytest.approx(width_mm * 72 / 25.4, abs=1)
    assert float(box.height) == pytest.approx(height_mm * 72 / 25.4, abs=1)


def test_the_hand_out_says_what_a_learner_needs(hood: Proved) -> None:
    template = Template(Words(channel="The boathouse bench", materials="Kit list"))
    made = hand_out_pdf(hood.source, hood.pattern, template)
    text = " ".join(pypdf.PdfReader(io.BytesIO(made)).pages[0].extract_text().split())
    for words in ("Tern Point hood", "Kit list", "Slipway worsted", "The boathouse bench"):
        assert words in text
    for step in hood.pattern.steps():
        assert step.title in text
    assert "Cord at the neck: adults only" in text
    assert "wrap test" in text
    assert made == hand_out_pdf(hood.source, hood.pattern, template)


# --- the command ---------------------------------------------------------------------------------


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """One card and small films: what the command does with them is the same."""
    monkeypatch.setattr(pack, "_cards", lambda *_: [("a-card.svg", b"x")])
    monkeypatch.setattr(pack, "FILM", pack.FilmSize(160, 90, 5))
    monkeypatch.setattr(pack, "GIF", pack.FilmSize(160, 90, 5))


def test_the_command_writes_the_pack(
    quick: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = tmp_path / "words.toml"
    words.write_text('[words]\nchannel = "The boathouse bench"\n', encoding="utf-8")
    out = tmp_path / "lesson"
    arguments = ["lesson", KEY, "--out", str(out), "--template", str(words), "--size", "bow"]
    assert main([*arguments, "--json"]) == ExitCode.OK
    said, aside = capsys.readouterr()
    data = json.loads(said)
    assert {p.name: p.stat().st_size for p in out.iterdir()} == data["files"]
    assert data["sheet"]["size"] == "bow"
    assert data["sheet"]["channel"] == "The boathouse bench"
    assert "frames of wrap.mp4" in aside
    assert (out / f"{KEY}-wrap-moving.mp4").read_bytes()[4:8] == b"ftyp"  # ISO/IEC 14496-12
    assert main(arguments) == ExitCode.OK
    assert "size bow" in capsys.readouterr().out


def test_a_stop_leaves_no_file(
    quick: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = scene_frames.frames

    def stopped(*args: object, **more: object) -> object:
        for i, dots in enumerate(whole(*args, **more)):  # type: ignore[arg-type]
            if i == 7:
                raise KeyboardInterrupt
            yield dots

    monkeypatch.setattr(pack, "frames", stopped)
    out = tmp_path / "lesson"
    assert main(["lesson", KEY, "--out", str(out)]) == STOPPED
    assert not out.exists()
    assert "stopped" in capsys.readouterr().err
    assert film.codec_at_hand()  # the library is still of use


def test_a_design_with_faults_has_no_lesson(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    design = tmp_path / "short.toml"
    text = shipped_text(KEY).replace('ball = "100 g"', 'ball = "100 g"\navailable = "40 g"')
    design.write_text(text, encoding="utf-8")
    out = tmp_path / "lesson"
    assert main(["lesson", str(design), "--out", str(out)]) == ExitCode.FAULTS
    assert "mend the faults first" in capsys.readouterr().out
    assert main(["lesson", str(design), "--out", str(out), "--json"]) == ExitCode.FAULTS
    data = json.loads(capsys.readouterr().out)
    assert data["proved"] is False
    assert data["findings"]
    assert not out.exists()


@pytest.mark.parametrize(
    ("words", "code", "hint"),
    [
        (["--size", "coxx"], ExitCode.USAGE, "cox"),
        (["--paper", "a3"], ExitCode.USAGE, "a4"),
        (["--template", "nothing.toml"], ExitCode.BAD_INPUT, ""),
    ],
)
def test_a_slip_is_told_before_anything_is_made(
    words: list[str], code: ExitCode, hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["lesson", KEY, *words]) == code
    err = capsys.readouterr().err
    assert hint in err
    assert "frames" not in err


def test_a_template_that_cannot_be_read_is_told_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = tmp_path / "words.toml"
    words.write_text('[words]\nchanel = "x"\n', encoding="utf-8")
    assert main(["lesson", KEY, "--template", str(words)]) == ExitCode.BAD_INPUT
    err = capsys.readouterr().err
    assert "line 2" in err
    assert "channel" in err


def with_steps(design: Proved, count: int) -> Pattern:
    """The pattern with so many steps."""
    steps = tuple(
        PatternStep(i, f"Step {i} of many that are much alike", (), "One loop on every peg.")
        for i in range(1, count + 1)
    )
    sections = tuple(
        replace(s, blocks=(StepBlock(steps),)) if s.key == "steps" else s
        for s in design.pattern.sections
    )
    return replace(design.pattern, sections=sections)


def test_a_long_pattern_still_has_one_page(hood: Proved) -> None:
    made = hand_out_pdf(hood.source, with_steps(hood, 140), USUAL)
    (page,) = pypdf.PdfReader(io.BytesIO(made)).pages
    text = " ".join(page.extract_text().split())
    assert "Step 24 of many" in text
    assert "Steps 25 to 140 are in the pattern." in text


def test_a_summary_longer_than_a_page_is_refused(hood: Proved) -> None:
    long = replace(hood.pattern, summary="A hood that is told of at length. " * 400)
    with pytest.raises(NotPossible, match="does not fit"):
        hand_out_pdf(hood.source, long, USUAL)
