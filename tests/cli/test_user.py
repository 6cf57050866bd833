"""`ingle user`: accounts and tokens from the machine itself, with a daemon and without."""

from __future__ import annotations

import json
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from harness import SMALL_HOUSE, Daemon, ingle

PASSWORD = "ropes and tar on the quay"


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    """Return a database that holds the small house."""
    db, house = tmp_path / "ingle.db", tmp_path / "house.toml"
    house.write_text(SMALL_HOUSE)
    loaded = ingle("house", "load", str(house), "--db", str(db))
    assert loaded.returncode == 0, loaded.stderr
    return db


def add(db: Path, *words: str, password: str = PASSWORD) -> subprocess.CompletedProcess[str]:
    """Run ``ingle user add`` with a password on stdin."""
    return subprocess.run(
        [sys.executable, "-m", "ingle", "user", "add", *words, "--password-file", "-", "--db", str(db)],
        input=f"{password}\n",
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def everybody(db: Path) -> dict[str, str]:
    """Return who has an account, and their role."""
    told = json.loads(ingle("user", "list", "--json", "--db", str(db)).stdout)
    return {person["id"]: person["role"] for person in told["people"] if person["ended"] is None}


def test_people_without_a_daemon(tmp_path: Path) -> None:
    """Accounts are opened and closed, tokens made and ended, on a database that nothing serves."""
    db = tmp_path / "house.db"
    assert add(db, "wenna", "--role", "owner").returncode == 0
    added = add(db, "guest", "--role", "occupant", "--zone", "room-3")
    assert added.stdout == "guest: occupant of room-3\n"
    assert everybody(db) == {"wenna": "owner", "guest": "occupant"}
    token = ingle("user", "token", "guest", "--label", "door", "--db", str(db)).stdout.strip()
    assert token.startswith("ingle_")
    told = json.loads(ingle("user", "list", "--json", "--db", str(db)).stdout)
    assert [(proof["person"], proof["label"]) for proof in told["proofs"]] == [("guest", "door")]
    assert token not in json.dumps(told)
    number = str(told["proofs"][0]["number"])
    assert ingle("user", "revoke", "--number", number, "--db", str(db)).returncode == 0
    assert ingle("user", "revoke", "guest", "--db", str(db)).returncode == 0
    assert everybody(db) == {"wenna": "owner"}


@pytest.mark.parametrize(
    ("words", "password", "why"),
    [
        (("x", "--role", "owner"), "short", "10 to 200 characters"),
        (("Bad Id", "--role", "reader"), PASSWORD, "id: 'Bad Id' is not allowed"),
        (("guest", "--role", "occupant"), PASSWORD, "at least one"),
        (("guest", "--role", "reader", "--zone", "room-3"), PASSWORD, "for any other role none"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, words: tuple[str, ...], password: str, why: str) -> None:
    """A bad id, password or zone is refused with 2 and a sentence, which never holds the password."""
    done = add(tmp_path / "house.db", *words, password=password)
    assert done.returncode == 2
    assert why in done.stderr
    assert password not in done.stderr
    assert "Traceback" not in done.stderr


def test_the_last_owner_stays(tmp_path: Path) -> None:
    """A house is not left without an owner, and nobody else's account can be closed twice."""
    db = tmp_path / "house.db"
    add(db, "wenna", "--role", "owner")
    refused = ingle("user", "revoke", "wenna", "--db", str(db))
    assert (refused.returncode, "only owner" in refused.stderr) == (2, True)
    assert ingle("user", "revoke", "nobody", "--db", str(db)).returncode == 2


def test_people_beside_a_running_daemon(db: Path) -> None:
    """The daemon takes a new owner at once: from then on a request needs a token, and one just made is good."""
    with Daemon(db) as daemon:
        daemon.ready()
        assert add(db, "wenna", "--role", "owner").returncode == 0
        with pytest.raises(urllib.error.HTTPError, match="401") as refused:
            urllib.request.urlopen(f"{daemon.page}/api/zones")
        refused.value.close()
        token = ingle("user", "token", "wenna", "--label", "curl", "--db", str(db)).stdout.strip()
        asked = urllib.request.Request(f"{daemon.page}/api/zones", headers={"Authorization": f"Bearer {token}"})
        with urllib.request.urlopen(asked) as answer:
            assert answer.status == 200
        assert everybody(db) == {"wenna": "owner"}
