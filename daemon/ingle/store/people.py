"""People, the digests of what they prove themselves with, and their sessions and tokens.

No secret lies in the database: a password as a salted scrypt hash, sessions, tokens and the claim code as SHA-256 of
256 random bits, which nobody can try out. Nothing is deleted when an account ends; it is closed, with the time.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from ingle.errors import Refused, Unknown, Unreachable
from ingle.model.instants import from_ms
from ingle.model.people import Person
from ingle.store.connect import open_readonly


class Proof(NamedTuple):
    """Something that a person may show: a session's cookie or a token."""

    number: int
    person: Person
    kind: str
    label: str
    made_ms: int
    until_ms: int
    used_ms: int


def everybody(conn: sqlite3.Connection) -> list[Person]:
    """Return every account, closed ones too, oldest first."""
    return [
        _person(row)
        for row in conn.execute("SELECT id, name, role, zones, since, ended FROM person ORDER BY since, id")
    ]


def find(conn: sqlite3.Connection, person_id: str) -> Person:
    """Return an open account.

    Raises
    ------
    Unknown
        Where nobody of that id has one.
    """
    row = conn.execute(
        "SELECT id, name, role, zones, since, ended FROM person WHERE id = ? AND ended IS NULL", (person_id,)
    ).fetchone()
    if row is None:
        raise Unknown(f"nobody called {person_id!r} has an account")
    return _person(row)


def password_of(conn: sqlite3.Connection, person_id: str) -> str | None:
    """Return the hash of a person's password, None for an account that is not there or is closed."""
    row = conn.execute("SELECT password FROM person WHERE id = ? AND ended IS NULL", (person_id,)).fetchone()
    return None if row is None else str(row[0])


def add(conn: sqlite3.Connection, person: Person, password: str, t_ms: int) -> None:
    """Open an account.

    Raises
    ------
    Refused
        Where the id was given before: whose acts the log tells of must stay clear.
    """
    if conn.execute("SELECT 1 FROM person WHERE id = ?", (person.id,)).fetchone():
        raise Refused(f"{person.id!r} is or was somebody's id; take another, so that the log stays clear")
    conn.execute(
        "INSERT INTO person (id, name, role, zones, since, password) VALUES (?, ?, ?, ?, ?, ?)",
        (person.id, person.name, person.role, msgspec.json.encode(person.zones).decode(), t_ms, password),
    )


def change(conn: sqlite3.Connection, person: Person) -> None:
    """Write a person's name, role and zones."""
    conn.execute(
        "UPDATE person SET name = ?, role = ?, zones = ? WHERE id = ?",
        (person.name, person.role, msgspec.json.encode(person.zones).decode(), person.id),
    )


def set_password(conn: sqlite3.Connection, person_id: str, password: str) -> None:
    """Write the hash of a new password."""
    conn.execute("UPDATE person SET password = ? WHERE id = ?", (password, person_id))


def close(conn: sqlite3.Connection, person_id: str, t_ms: int) -> None:
    """Close an account and end all that it could be proved with."""
    conn.execute("UPDATE person SET ended = ? WHERE id = ?", (t_ms, person_id))
    end_all(conn, person_id, t_ms)


def owners(conn: sqlite3.Connection) -> int:
    """Return how many open accounts an owner has."""
    return int(conn.execute("SELECT count(*) FROM person WHERE role = 'owner' AND ended IS NULL").fetchone()[0])


def is_owned(path: Path) -> bool:
    """Return whether a database has an owner; one that is missing or cannot be read has none that could be asked."""
    try:
        conn = open_readonly(path)
    except Unreachable:
        return False
    try:
        return owners(conn) > 0
    except sqlite3.Error:  # of a version that had no people yet
        return False
    finally:
        conn.close()


def prove(conn: sqlite3.Connection, proof: Proof, digest: str) -> int:
    """Keep a session or token with the digest of its secret, and return the number that it gets."""
    cursor = conn.execute(
        "INSERT INTO proof (person, kind, label, digest, made, until, used) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (proof.person.id, proof.kind, proof.label, digest, proof.made_ms, proof.until_ms, proof.used_ms),
    )
    return int(cursor.lastrowid or 0)


def proofs(conn: sqlite3.Connection, t_ms: int) -> dict[str, Proof]:
    """Return all that is good at an instant, by digest."""
    rows = conn.execute(
        "SELECT p.digest, p.number, p.kind, p.label, p.made, p.until, p.used, "
        "q.id, q.name, q.role, q.zones, q.since, q.ended FROM proof p JOIN person q ON q.id = p.person "
        "WHERE p.ended IS NULL AND p.until > ? AND q.ended IS NULL ORDER BY p.number",
        (t_ms,),
    )
    return {
        digest: Proof(number, _person(rest), kind, label, made, until, used)
        for digest, number, kind, label, made, until, used, *rest in rows
    }


def end(conn: sqlite3.Connection, number: int, t_ms: int) -> bool:
    """End a session or token; return whether it was still good."""
    ended = conn.execute("UPDATE proof SET ended = ? WHERE number = ? AND ended IS NULL", (t_ms, number))
    return ended.rowcount > 0


def end_all(conn: sqlite3.Connection, person_id: str, t_ms: int, *, but: int = 0) -> None:
    """End every session and token of a person, ``but`` one."""
    conn.execute(
        "UPDATE proof SET ended = ? WHERE person = ? AND ended IS NULL AND number != ?", (t_ms, person_id, but)
    )


def used(conn: sqlite3.Connection, numbers: dict[int, int]) -> None:
    """Write when sessions and tokens were last used [ms]."""
    conn.executemany("UPDATE proof SET used = ? WHERE number = ?", [(t, number) for number, t in numbers.items()])


def _person(row: Sequence[Any]) -> Person:
    person_id, name, role, zones, since, ended = row
    return Person(
        id=person_id,
        name=name,
        role=role,
        zones=tuple(msgspec.json.decode(zones)),
        since=from_ms(since),
        ended=None if ended is None else from_ms(ended),
    )
