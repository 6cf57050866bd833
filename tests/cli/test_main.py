"""How every verb ends: exit codes and one line an error, whatever happens to its output."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from harness import ingle
from ingle import cli
from ingle.cli import VERBS, main

ROOT = Path(__file__).parents[2]
DESIGN = [sys.executable, "-m", "ingle", "design", str(ROOT / "config" / "tern-house.toml")]


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_help(verb: str) -> None:
    """`--help` of each verb is a page of words and ends with 0."""
    done = ingle(verb, "--help")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Usage: ingle ")


@pytest.mark.parametrize("words", [("no-such-verb",), ("design", "--no-such-flag")])
def test_wrong_words_are_bad_input(words: tuple[str, ...]) -> None:
    """A verb or flag that is not there: exit 2, said on stderr."""
    done = ingle(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert words[-1] in done.stderr


def test_a_reader_that_goes_away_is_no_error() -> None:
    """`ingle design ... | head` ends with 0 and says nothing."""
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as gone:
        done = subprocess.run(DESIGN, stdout=gone, stderr=subprocess.PIPE, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_full_disk_behind_a_redirection_is_said() -> None:
    """Output that cannot be written is a line and exit 3, not a traceback."""
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(DESIGN, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 3
    assert done.stderr.decode().splitlines() == ["output: No space left on device"]


def test_a_fault_of_ours_is_a_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Even what nobody thought of reaches a user as one line; developers may ask for the traceback."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(cli.ingle, "invoke", broken)
    monkeypatch.setattr(sys, "argv", ["ingle", "design"])
    with pytest.raises(SystemExit) as end:
        main()
    assert end.value.code == 3
    assert capsys.readouterr().err.startswith("ingle itself failed: ZeroDivisionError: by nothing")
    monkeypatch.setenv(cli.TRACE_VARIABLE, "1")
    with pytest.raises(ZeroDivisionError):
        main()
