"""``ingle backup``, run as a person runs it."""

from __future__ import annotations

import asyncio
import sqlite3
import subprocess
import sys
from pathlib import Path

from ingle.store.db import Store
from ingle.store.lock import take_lock
from reading_makers import reading


def backup(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run the command and return how it ended."""
    return subprocess.run(
        [sys.executable, "-m", "ingle", "backup", *map(str, words)], capture_output=True, text=True, check=False
    )


async def test_a_backup_is_made_while_the_house_is_served(tmp_path: Path) -> None:
    """Beside a running writer that holds the lock the copy has all that was committed, and its path is printed."""
    database = tmp_path / "ingle.db"
    with take_lock(database):
        store = await Store.open(database)
        store.append([reading(at) for at in range(100)])
        await store.write(lambda _: None)
        done = await asyncio.to_thread(backup, "--to", tmp_path / "copies", "--db", database)
        await store.close()
    assert (done.returncode, done.stderr) == (0, "")
    copy = sqlite3.connect(done.stdout.strip())
    assert copy.execute("SELECT count(*) FROM reading").fetchone() == (100,)
    copy.close()


def test_what_cannot_be_copied_is_said(tmp_path: Path) -> None:
    """A missing database, and a folder that cannot be made, end with 3 and one line."""
    for words in (("--to", tmp_path, "--db", tmp_path / "none.db"), ("--to", "/dev/null/x", "--db", tmp_path / "n.db")):
        done = backup(*words)
        assert (done.returncode, done.stdout, done.stderr.count("\n")) == (3, "", 1)
