"""Verdicts for the serving process, worked out in a child.

The estimator's algebra needs numpy, which would cost the daemon a third of its memory for a question asked once a day.
So ``ingle assess --json`` runs as a process of its own, one at a time, with a time limit; its last answers are kept.
"""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple, TypeVar

import msgspec

from ingle.clock import Clock
from ingle.errors import Unreachable
from ingle.model.heating_tests import HeatingTestResult
from ingle.model.verdicts import Assessment

T = TypeVar("T")

#: How long an answer is given again [s], how long the child may take [s], and how many spans are remembered.
KEPT_S: Final = 900.0
LIMIT_S: Final = 120.0
REMEMBERED: Final = 8
#: ``assess`` ends with 1 where it has a finding: an answer all the same.
_ANSWERED: Final = (0, 1)


class Assessed(NamedTuple):
    """Verdicts, and how long ago they were worked out [s]."""

    assessment: Assessment
    age_s: float


class _Kept(NamedTuple):
    assessment: Assessment
    at: float


class Verdicts:
    """Runs and remembers assessments of one database.

    Parameters
    ----------
    database
        The file.
    clock
        Says how old an answer is.
    command
        What to run, without flags.
    limit_s
        How long it may take [s].
    """

    def __init__(
        self,
        database: Path,
        clock: Clock,
        *,
        command: Sequence[str] = (sys.executable, "-m", "ingle", "assess", "--nice", "10"),
        limit_s: float = LIMIT_S,
    ) -> None:
        self._database = database
        self._clock = clock
        self._command = tuple(command)
        self._limit_s = limit_s
        self._kept: dict[tuple[str, ...], _Kept] = {}
        self._one_at_a_time = asyncio.Lock()
        self._child: asyncio.subprocess.Process | None = None
        self._closed = False

    async def assess(
        self,
        version: str,
        start: str | None = None,
        end: str | None = None,
        *,
        anew: bool = False,
        zone: str | None = None,
    ) -> Assessed:
        """Return the verdicts of a span, from memory while they are fresh.

        Parameters
        ----------
        version
            What the verdicts are compared with, such as the house's digest: another one makes them anew.
        start, end
            As the verb takes them; None for its own choice.
        anew
            Whether to work them out even though fresh ones are remembered.
        zone
            Only this one, with the days that its figure rests on.

        Raises
        ------
        Unreachable
            With the reason, where the child gives no answer.
        """
        key = (version, start or "", end or "", *([] if zone is None else [zone]))
        asked = self._clock.monotonic()
        async with self._one_at_a_time:
            kept = self._kept.get(key)
            # Who waited for another's answer to the same question takes that one, also where it must be new.
            if kept is None or kept.at <= (asked if anew else asked - KEPT_S):
                flags = (("--from", start), ("--to", end), ("--zone", zone))
                words = [word for flag, at in flags if at for word in (flag, at)] + ["--fit"] * (zone is not None)
                kept = _Kept(await self._run(words, Assessment), self._clock.monotonic())
                self._remember(key, kept)
        return Assessed(kept.assessment, self._clock.monotonic() - kept.at)

    def newest(self, version: str) -> Assessed | None:
        """Return the verdicts of the usual span that were worked out last, however old; None where none were."""
        kept = self._kept.get((version, "", ""))
        return None if kept is None else Assessed(kept.assessment, self._clock.monotonic() - kept.at)

    async def heating_test(self, number: int) -> HeatingTestResult:
        """Return what a heating test's record tells so far, worked out anew.

        Raises
        ------
        Unreachable
            With the reason, where the child gives no answer.
        """
        async with self._one_at_a_time:
            return await self._run(("--test", str(number)), HeatingTestResult)

    async def close(self) -> None:
        """End a running child; whoever waits for it is told."""
        self._closed = True
        self._kill()

    def _remember(self, key: tuple[str, ...], kept: _Kept) -> None:
        self._kept.pop(key, None)
        self._kept[key] = kept
        while len(self._kept) > REMEMBERED:
            del self._kept[next(iter(self._kept))]

    async def _run(self, words: Sequence[str], kind: type[T]) -> T:
        if self._closed:
            raise Unreachable("verdicts are not worked out any more: ingle is stopping")
        try:
            child = self._child = await asyncio.create_subprocess_exec(
                *self._command,
                "--json",
                "--db",
                str(self._database),
                *words,
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.PIPE,
                stderr=asyncio.subprocess.PIPE,
                # One thread: more make a small regression slower, and the house comes first.
                env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
            )
        except OSError as error:
            raise Unreachable(f"verdicts cannot be worked out: {error.strerror or error}") from error
        try:
            async with asyncio.timeout(self._limit_s):
                out, err = await child.communicate()
        except TimeoutError:
            raise Unreachable(f"verdicts took longer than {self._limit_s:.0f} s; a shorter span may do") from None
        finally:
            self._kill()
            await child.wait()
            self._child = None
        return _read(child.returncode, out, err, kind)

    def _kill(self) -> None:
        if self._child is not None and self._child.returncode is None:
            with suppress(ProcessLookupError):
                self._child.kill()


def _read(code: int | None, out: bytes, err: bytes, kind: type[T]) -> T:
    if code not in _ANSWERED or not out.strip():
        lines = err.decode(errors="replace").strip().splitlines()
        raise Unreachable("verdicts cannot be worked out: " + (lines[-1][:300] if lines else f"exit code {code}"))
    try:
        return msgspec.json.decode(out, type=kind)
    except msgspec.DecodeError as error:
        raise Unreachable(f"verdicts cannot be read: {error}") from error
