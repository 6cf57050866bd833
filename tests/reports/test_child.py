"""Verdicts come from a child process: one at a time, within a limit, remembered, and never in the way of stopping."""

from __future__ import annotations

import asyncio
import json
import os
import sys
import time
from pathlib import Path

import pytest

from fakes import FakeClock
from ingle.errors import Unreachable
from ingle.reports.child import KEPT_S, Verdicts

SAID = {
    "from": "2026-01-01",
    "to": "2026-01-12",
    "design_version": "d",
    "method": "en12831",
    "method_version": 2,
    "zones": [],
}


def child(folder: Path, script: str) -> tuple[str, ...]:
    """Return a command that notes its flags and its process, and then does what a script says."""
    note = f"""
import json, os, sys, time
with open({str(folder / "runs")!r}, "a") as notes:
    notes.write(json.dumps([os.getpid(), *sys.argv[1:]]) + "\\n")
"""
    return (sys.executable, "-c", note + script)


def runs(folder: Path) -> list[list[str | int]]:
    """Return the flags of every run so far."""
    file = folder / "runs"
    return [json.loads(line) for line in file.read_text().splitlines()] if file.exists() else []


ANSWER = f"print({json.dumps(json.dumps(SAID))})"


async def test_an_answer_is_remembered_while_it_is_fresh(tmp_path: Path) -> None:
    """The second question gets the first answer with its age; after a quarter of an hour it is worked out anew."""
    clock = FakeClock()
    verdicts = Verdicts(tmp_path / "ingle.db", clock, command=child(tmp_path, ANSWER))
    assert (await verdicts.assess("v1")).age_s == 0
    clock.jump(60)
    kept = await verdicts.assess("v1")
    assert (kept.age_s, kept.assessment.design_version) == (60, "d")
    assert len(runs(tmp_path)) == 1
    clock.jump(KEPT_S)
    assert (await verdicts.assess("v1")).age_s == 0
    assert len(runs(tmp_path)) == 2


async def test_another_question_is_another_run(tmp_path: Path) -> None:
    """Span and house are part of the question, and reach the child as flags; anew means anew."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=child(tmp_path, ANSWER))
    await verdicts.assess("v1")
    await verdicts.assess("v2")
    await verdicts.assess("v1", "2026-01-01", "2026-01-08")
    await verdicts.assess("v1", anew=True)
    flags = [run[1:] for run in runs(tmp_path)]
    assert len(flags) == 4
    assert flags[0] == ["--json", "--db", str(tmp_path / "ingle.db")]
    assert flags[2][3:] == ["--from", "2026-01-01", "--to", "2026-01-08"]


async def test_many_askers_share_one_run(tmp_path: Path) -> None:
    """Pages that ask at the same time wait for the same child."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=child(tmp_path, ANSWER))
    answers = await asyncio.gather(*(verdicts.assess("v1") for _ in range(5)))
    assert len({answer.assessment for answer in answers}) == 1
    assert len(runs(tmp_path)) == 1


async def test_a_finding_is_an_answer(tmp_path: Path) -> None:
    """Exit code 1 says that there is a finding, not that it failed."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=child(tmp_path, f"{ANSWER}; sys.exit(1)"))
    assert (await verdicts.assess("v1")).assessment.zones == ()


@pytest.mark.parametrize(
    ("script", "words"),
    [
        ("sys.exit('no house is loaded')", "no house is loaded"),
        ("sys.exit(3)", "exit code 3"),
        ("print('nonsense')", "cannot be read"),
        ("print('{}')", "cannot be read"),
        ("os.kill(os.getpid(), 9)", "exit code -9"),
        ("pass", "exit code 0"),
    ],
)
async def test_a_child_that_fails_is_told_and_not_remembered(tmp_path: Path, script: str, words: str) -> None:
    """The reason that the child gave comes back, and the next question tries again."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=child(tmp_path, script))
    for _ in range(2):
        with pytest.raises(Unreachable, match=words):
            await verdicts.assess("v1")
    assert len(runs(tmp_path)) == 2


async def test_a_program_that_is_not_there(tmp_path: Path) -> None:
    """That nothing can be started is an error in words."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=(str(tmp_path / "nothing"),))
    with pytest.raises(Unreachable, match="cannot be worked out"):
        await verdicts.assess("v1")


async def test_a_child_that_takes_too_long_is_ended(tmp_path: Path) -> None:
    """After the limit the child is gone and the asker is told."""
    command = child(tmp_path, "time.sleep(60)")
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=command, limit_s=0.5)
    with pytest.raises(Unreachable, match="took longer"):
        await verdicts.assess("v1")
    assert all(gone(run[0]) for run in runs(tmp_path))


async def test_stopping_does_not_wait_for_a_child(tmp_path: Path) -> None:
    """close() ends the child at once; who waited is told, and nothing new is begun."""
    verdicts = Verdicts(tmp_path / "ingle.db", FakeClock(), command=child(tmp_path, "time.sleep(60)"))
    asked = asyncio.ensure_future(verdicts.assess("v1"))
    async with asyncio.timeout(20):
        while not runs(tmp_path):
            await asyncio.wait({asked}, timeout=0.01)
    began = time.monotonic()
    await verdicts.close()
    with pytest.raises(Unreachable):
        await asked
    assert time.monotonic() - began < 5
    assert gone(runs(tmp_path)[0][0])
    with pytest.raises(Unreachable, match="stopping"):
        await verdicts.assess("v1")


def gone(pid: str | int) -> bool:
    """Whether a process has ended."""
    try:
        os.kill(int(pid), 0)
    except ProcessLookupError:
        return True
    return False
