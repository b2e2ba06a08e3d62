"""What holds for every command: help, documents, completion, errors, exit codes, a quick start."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from pegwright import __version__
from pegwright.cli import check
from pegwright.cli import main as main_module
from pegwright.cli.completion import SHELLS, completion, parts
from pegwright.cli.main import BUG, COMMANDS, PIPE_CLOSED, STOPPED, main, parser
from pegwright.cli.parser import every_parser, option_strings
from pegwright.designs.files import shipped_text
from pegwright.errors import BadInput, ExitCode, NotPossible, PegwrightError

NAMES = [command.NAME for command in COMMANDS]
SHAPE = {"error", "given", "try", "file", "line", "field"}
PARSERS = every_parser(parser())
"""Every command and what is under it: ``yarn`` and ``yarn split``."""


# --- help, documents, completion -----------------------------------------------------------------


@pytest.mark.parametrize("name", PARSERS)
def test_every_command_explains_itself(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*name.split(), "--help"]) == 0
    out = capsys.readouterr().out
    assert out.startswith(f"usage: pegwright {name}")
    for action in PARSERS[name]._actions:
        if action.dest == "part":
            continue  # its commands explain themselves
        assert action.help, f"{name}: {action.dest} has no help"
    for option in option_strings(PARSERS[name]):
        assert option in out


def test_the_whole_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    whole = capsys.readouterr().out
    assert all(f"    {name}" in whole for name in NAMES)
    assert main([]) == ExitCode.USAGE  # nothing typed: the same help
    assert capsys.readouterr().out == whole
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"pegwright {__version__}\n"


@pytest.mark.parametrize("name", PARSERS)
def test_every_command_and_option_is_documented(name: str, repo: Path) -> None:
    page = (repo / "docs" / "commands.md").read_text(encoding="utf-8")
    group, _, part = name.partition(" ")
    match = re.search(rf"^## `pegwright {group}\b.*?(?=^## |\Z)", page, re.MULTILINE | re.DOTALL)
    if match and part:  # what holds for all of a group stands at its head
        head, *under = re.split(r"^(?=### )", match.group(), flags=re.MULTILINE)
        own = [text for text in under if text.startswith(f"### `{name} ")]
        assert len(own) == 1, f"docs/commands.md has no part for {name}"
        match = re.match(r".*", head.partition("```")[0] + own[0], re.DOTALL)
    assert match, f"docs/commands.md has no section for {name}"
    missing = [o for o in option_strings(PARSERS[name]) if o != "--help" and o not in match.group()]
    assert not missing, missing


def test_no_command_is_documented_that_is_not_there(repo: Path) -> None:
    page = (repo / "docs" / "commands.md").read_text(encoding="utf-8")
    assert set(re.findall(r"^## `pegwright ([a-z-]+)", page, re.MULTILINE)) == set(NAMES)
    under = {name for name in PARSERS if " " in name}
    assert set(re.findall(r"^### `([a-z-]+ [a-z-]+)", page, re.MULTILINE)) == under
    for option in set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", page)) - {"--help", "--version"}:
        assert any(option in option_strings(sub) for sub in PARSERS.values()), option


@pytest.mark.parametrize("shell", SHELLS)
def test_completion_knows_every_command_and_option(shell: str) -> None:
    text = completion(shell, parts(parser()))
    for name in PARSERS:
        last = name.split()[-1]
        assert re.search(rf"(?<![\w-]){last}(?![\w-])", text), name
        for option in option_strings(PARSERS[name]):
            word = f"-l {option[2:]}" if shell == "fish" else option
            assert word in text, (name, option)
    for word in ("tern-point-hood", "plain-strip", "yarn-weights", "letter"):
        assert word in text


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        (("pegwright", "sch"), {"schema"}),
        (("pegwright", "make", "--pap"), {"--paper"}),
        (("pegwright", "make", "x.toml", "--paper", ""), {"a4", "letter"}),
        (("pegwright", "list", "yarn"), {"yarn-weights"}),
        (("pegwright", "check", "tern-point-s"), {"tern-point-scarf"}),
        (("pegwright", "yarn", "st"), {"stash", "strands", "stand-ins"}),
        (("pegwright", "yarn", "split", "--in"), {"--into"}),
        (("pegwright", "colours", "search", "x.toml", "--effect", "st"), {"stripes", "stacked"}),
    ],
)
def test_completion_in_bash(typed: tuple[str, ...], offered: set[str], tmp_path: Path) -> None:
    words = " ".join(f"'{word}'" for word in typed)
    script = (
        completion("bash", parts(parser()))
        + f"\nCOMP_WORDS=({words}); COMP_CWORD={len(typed) - 1}; _pegwright\n"
        + 'printf "%s\\n" "${COMPREPLY[@]}"\n'
    )
    shell = subprocess.run(
        ["bash", "--norc"], input=script, capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert set(shell.stdout.split()) == offered
    assert shell.stderr == ""


# --- errors --------------------------------------------------------------------------------------

WRONG = [
    ([], None),  # help, and no JSON
    (["mke"], "make"),  # a slip in the command
    (["make"], "--help"),
    (["make", "tern-point-hod"], "tern-point-hood"),
    (["make", "x", "--papr", "a4"], "--paper"),
    (["make", "x", "--paper", "a5"], "a4"),
    (["check", "nothing.toml"], "pegwright new"),
    (["check", "x", "y"], "--help"),
    (["list", "wrap"], "wraps"),
    (["new", "folded-hood"], "folded-strip-hood"),
    (["wrap-test", "--categry", "4"], "--category"),
    (["gauge", "18 sts"], "tern-point-hood"),
    (["completion", "fsh"], "fish"),
    (["yarn", "stsh"], "stash"),
    (["yarn", "wraps", "10", "--ovr", "1 in"], "--over"),
    (["colours", "show", "tern-point-hod"], "tern-point-hood"),
]


@pytest.mark.parametrize(("words", "hint"), WRONG[1:])
def test_an_error_says_what_to_try(
    words: list[str], hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code = main(words)
    out, err = capsys.readouterr()
    assert code in (ExitCode.USAGE, ExitCode.BAD_INPUT)
    assert out == ""
    assert err.startswith("pegwright: ")
    assert hint in err.partition("try:")[2]
    assert "Traceback" not in err


@pytest.mark.parametrize("words", [words for words, _ in WRONG[1:] if words[0] != "completion"])
def test_errors_have_one_shape_in_json(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    plain = main(words)
    capsys.readouterr()
    assert main([*words, "--json"]) == plain
    out, err = capsys.readouterr()
    assert set(json.loads(out)) == SHAPE
    assert err == ""


def test_a_design_with_several_problems_tells_them_all(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text("pegwright = 1\n[loom]\npegs = 0\n", encoding="utf-8")
    assert main(["check", str(path), "--json"]) == ExitCode.BAD_INPUT
    data = json.loads(capsys.readouterr().out)
    more = data.pop("more")
    assert more
    assert all(set(one) == SHAPE for one in (data, *more))


def test_a_file_cannot_steer_the_screen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bad.toml"
    text = shipped_text("tern-point-hood")
    path.write_text('"\\u001b[2J\\u202e" = 1\n' + text, encoding="utf-8")
    assert main(["check", str(path)]) == ExitCode.BAD_INPUT
    err = capsys.readouterr().err
    assert err.replace("\n", "").isprintable()
    assert r"\x1b[2J\u202e" in err


class Weird(Exception):
    pass


@pytest.mark.parametrize(
    ("raised", "code"),
    [
        (BadInput("no"), 3),
        (NotPossible("no"), 4),
        (PegwrightError("no"), 3),
        (KeyboardInterrupt(), STOPPED),
        (BrokenPipeError(), PIPE_CLOSED),
        (Weird("half a\nthing"), BUG),
        (RecursionError("deep"), BUG),
        (MemoryError(), BUG),
    ],
)
def test_every_ending_has_its_exit_code(
    raised: BaseException,
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def broken(options: object) -> int:
        raise raised

    monkeypatch.setattr(check, "run", broken)
    monkeypatch.setattr(main_module, "_let_go_of_output", lambda: None)
    assert main(["check", "x"]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    if code == BUG:
        assert "bug in Pegwright" in err
        assert type(raised).__name__ in err
        assert err.count("\n") == 1


def test_a_trace_is_shown_where_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(options: object) -> int:
        raise Weird("half a thing")

    monkeypatch.setattr(check, "run", broken)
    monkeypatch.setenv("PEGWRIGHT_TRACEBACK", "1")
    assert main(["check", "x"]) == BUG
    assert "in broken" in capsys.readouterr().err


def test_exit_codes_are_pinned() -> None:
    assert {code.name: int(code) for code in ExitCode} == {
        "OK": 0,
        "FAULTS": 1,
        "USAGE": 2,
        "BAD_INPUT": 3,
        "NOT_POSSIBLE": 4,
    }
    assert (BUG, STOPPED, PIPE_CLOSED) == (70, 130, 141)


# --- as a process of its own ---------------------------------------------------------------------


@pytest.fixture
def process(repo: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    def run(*words: str, **more: str) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [sys.executable, "-m", "pegwright", *words],
            capture_output=True,
            check=False,
            env={**os.environ, "PYTHONPATH": str(repo / "src"), **more},
        )

    return run


def test_a_screen_without_our_letters_is_no_trouble(
    process: Callable[..., subprocess.CompletedProcess[bytes]],
) -> None:
    ran = process("list", "yarn-weights", PYTHONIOENCODING="ascii")
    assert (ran.returncode, ran.stderr) == (0, b"")
    wrong = process("list", "wrap", PYTHONIOENCODING="ascii")
    assert wrong.returncode == 2
    assert b"wraps" in wrong.stderr


@pytest.mark.parametrize("words", [["schema"], ["check", "nothing.toml", "--json"]])
def test_a_reader_that_goes_away_is_no_trouble(repo: Path, words: list[str]) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "pegwright", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(repo / "src")},
    ) as ran:
        assert ran.stdout is not None
        assert ran.stderr is not None
        ran.stdout.close()
        assert ran.wait() == PIPE_CLOSED
        assert ran.stderr.read() == b""
