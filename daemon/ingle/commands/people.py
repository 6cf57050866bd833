"""People: the first owner's claim, accounts, sessions and tokens, and who is asking.

**The claim.** There is no account to begin with, and no password that everybody knows. A start without an owner makes
a claim code, which only who reads the console sees; whoever types it within a quarter of an hour becomes the owner.
**Who asks.** Sessions and tokens that are good are held in memory by their digests, so that a request costs one look
in a dict, also with a full disk. Every change is an event with who did it; no event holds a secret.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from datetime import timedelta
from typing import Any, Final, NamedTuple

import msgspec

from ingle.clock import Clock
from ingle.commands import secrets
from ingle.commands.journal import Row
from ingle.commands.throttle import Throttle
from ingle.errors import BadInput, Fault, Refused, Unknown, Unreachable
from ingle.model.instants import from_ms, to_ms
from ingle.model.people import LOCAL, Asker, Person, Role
from ingle.store import people as stored
from ingle.store.db import Store

#: How long a claim code is good [s].
CLAIM_S: Final = 900.0
#: How long a session lasts without being used, and a token unless it says otherwise.
SESSION: Final = timedelta(days=30)
TOKEN: Final = timedelta(days=365)
#: Sessions and tokens of one person at once.
MOST: Final = 50
_DAY_MS: Final = 86_400_000


class Denied(Refused):
    """Who asks is not known, or may not; with how long to wait before the next try [s]."""

    def __init__(self, sentence: str, wait_s: float = 0.0) -> None:
        super().__init__(sentence)
        self.wait_s = wait_s


class Known(NamedTuple):
    """Who asks, and by which session or token; number 0 for whoever is at the machine."""

    asker: Asker
    number: int


class People:
    """Accounts, and what proves them. Lives on the loop thread."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock
        self._throttle = Throttle()
        self._claim: tuple[str, float] | None = None
        self._proofs: dict[str, stored.Proof] = {}
        self._used: dict[int, int] = {}
        self._owned = False
        self._hashing = asyncio.Semaphore(1)  # 32 MiB each: a flood of tries must not fill the memory

    async def start(self) -> None:
        """Read who is known. A database that cannot be read lets nobody in but whoever is at the machine."""
        await self._read_back()

    @property
    def owned(self) -> bool:
        """Whether an owner has an account; until then whoever is at this machine is taken for one."""
        return self._owned

    # Who asks.

    def known(self, secret: str) -> Known | None:
        """Return who shows a session's or token's secret, None where it is not good."""
        proof = self._proofs.get(secrets.digest(secret))
        now_ms = to_ms(self._clock.now())
        if proof is None or proof.until_ms <= now_ms:
            return None
        self._used[proof.number] = now_ms
        person = proof.person
        return Known(Asker(who=person.id, role=person.role, zones=person.zones), proof.number)

    # The claim.

    def new_claim(self) -> str:
        """Return a fresh claim code; the one before is good no more."""
        code = secrets.new_claim()
        self._claim = (secrets.digest(secrets.plain_claim(code)), self._clock.monotonic() + CLAIM_S)
        return code

    async def claim(self, code: str, person_id: str, name: str, password: str, address: str) -> str:
        """Make whoever knows the claim code the first owner, and return their session's secret.

        Raises
        ------
        Denied
            Where the code is not good, or too many were tried.
        Refused
            Where the house has an owner already.
        BadInput
            Where the password is too short.
        """
        if self._owned:
            raise Refused("this house has an owner already; an owner adds people")
        self._check_password(password, person_id)
        names = ("the claim", f"from {address}")
        self._throttled(names)
        good, until = self._claim or ("", 0.0)
        if secrets.digest(secrets.plain_claim(code)) != good or self._clock.monotonic() > until:
            self._throttle.failed(names, self._clock.monotonic())
            raise Denied("the claim code is not good: it lasts 15 minutes; `ingle user add` or a restart makes another")
        self._throttle.succeeded(names)
        self._claim = None
        person = Person(id=person_id, name=name, role="owner", since=self._clock.now())
        await self.add(person, password, LOCAL.who)
        return await self._open_session(person_id)

    # Sessions.

    async def sign_in(self, person_id: str, password: str, address: str) -> str:
        """Return the secret of a new session.

        Raises
        ------
        Denied
            Where name and password do not belong together, which is all that is said; or too soon after failures.
        """
        names = (f"account {person_id}", f"from {address}")
        self._throttled(names)
        kept = await self._store.read(lambda conn: stored.password_of(conn, person_id))
        async with self._hashing:
            good = await asyncio.to_thread(secrets.is_password, password, kept)
        if not good:
            self._throttle.failed(names, self._clock.monotonic())
            raise Denied("that name and password do not belong together", self._throttle.wait_s(names, self._now()))
        self._throttle.succeeded(names)
        return await self._open_session(person_id)

    async def sign_out(self, known: Known) -> None:
        """End the session by which somebody asks."""
        t_ms = to_ms(self._clock.now())
        await self._write(
            lambda conn: stored.end(conn, known.number, t_ms), "signed-out", known.asker.who, {"who": known.asker.who}
        )

    async def _open_session(self, person_id: str) -> str:
        return (await self._prove(person_id, "session", "", SESSION, person_id))[1]

    # Tokens.

    async def make_token(
        self, person_id: str, label: str, who: str, lasts: timedelta = TOKEN
    ) -> tuple[stored.Proof, str]:
        """Return a new token of a person, and its secret, which is shown this once.

        Raises
        ------
        Unknown
            Where nobody of that id has an account.
        Refused
            Where the person has too many already.
        """
        number, secret = await self._prove(person_id, "token", label, lasts, who)
        return next(proof for proof in self._proofs.values() if proof.number == number), secret

    def proofs(self, person_id: str | None = None) -> list[stored.Proof]:
        """Return the sessions and tokens that are good, of one person or of all."""
        return [proof for proof in self._proofs.values() if person_id in {None, proof.person.id}]

    async def end_proof(self, number: int, who: str, *, of: str | None = None) -> None:
        """End a session or token, ``of`` one person only where that is all that the asker may.

        Raises
        ------
        Unknown
            Where there is none of that number.
        """
        proof = next((proof for proof in self.proofs(of) if proof.number == number), None)
        if proof is None:
            raise Unknown(f"there is no session or token {number}")
        t_ms = to_ms(self._clock.now())
        data = {"who": who, "kind": proof.kind, "label": proof.label, "number": number}
        await self._write(lambda conn: stored.end(conn, number, t_ms), "proof-ended", proof.person.id, data)

    async def _prove(self, person_id: str, kind: str, label: str, lasts: timedelta, who: str) -> tuple[int, str]:
        if len(self.proofs(person_id)) >= MOST:
            raise Refused(f"{person_id!r} has {MOST} sessions and tokens; end some first")
        secret = secrets.new_secret("ingle_" if kind == "token" else "")
        now = self._clock.now()
        t_ms, until_ms = to_ms(now), to_ms(now + lasts)

        def write(conn: sqlite3.Connection) -> int:
            proof = stored.Proof(0, stored.find(conn, person_id), kind, label, t_ms, until_ms, t_ms)
            return stored.prove(conn, proof, secrets.digest(secret))

        data = {"who": who, "label": label, "until": from_ms(until_ms)}
        number = await self._write(write, "signed-in" if kind == "session" else "token-made", person_id, data)
        return number, secret

    # Accounts.

    async def everybody(self) -> list[Person]:
        """Return every account, closed ones too."""
        return await self._store.read(stored.everybody)

    async def add(self, person: Person, password: str, who: str) -> None:
        """Open an account.

        Raises
        ------
        BadInput
            Where the password is too short, or an occupant has no zone.
        Refused
            Where the id was given before.
        """
        self._check_password(password, person.id)
        _check_zones(person)
        async with self._hashing:
            kept = await asyncio.to_thread(secrets.hash_password, password)
        t_ms = to_ms(person.since)
        data = {"who": who, **_told(person)}
        await self._write(lambda conn: stored.add(conn, person, kept, t_ms), "person-added", person.id, data)

    async def change(self, person_id: str, role: Role, zones: tuple[str, ...], name: str, who: str) -> Person:
        """Give a person another role, zones or name; what they are signed in with goes by it at once.

        Raises
        ------
        Unknown
            Where nobody of that id has an account.
        Refused
            Where the house would be left without an owner.
        """

        def write(conn: sqlite3.Connection) -> tuple[Person, Person]:
            before = stored.find(conn, person_id)
            after = msgspec.structs.replace(before, role=role, zones=zones, name=name)
            _check_zones(after)
            if before.role == "owner" and role != "owner" and stored.owners(conn) == 1:
                raise Refused("this is the house's only owner; make another one first")
            stored.change(conn, after)
            told = {"who": who, "old": _told(before), "new": _told(after)}
            Row(to_ms(self._clock.now()), "person-changed", person_id, told).write(conn)
            return before, after

        _, after = await self._store.write(write)
        await self._read_back()
        return after

    async def close(self, person_id: str, who: str) -> None:
        """Close an account and end all its sessions and tokens.

        Raises
        ------
        Unknown
            Where nobody of that id has one.
        Refused
            Where it is the only owner's.
        """
        t_ms = to_ms(self._clock.now())

        def write(conn: sqlite3.Connection) -> None:
            person = stored.find(conn, person_id)
            if person.role == "owner" and stored.owners(conn) == 1:
                raise Refused("this is the house's only owner; make another one first")
            stored.close(conn, person_id, t_ms)

        await self._write(write, "person-closed", person_id, {"who": who})

    async def set_password(self, person_id: str, password: str, who: str, *, keep: int = 0) -> None:
        """Give a person another password, and end all that they were signed in with but ``keep``.

        Raises
        ------
        Unknown
            Where nobody of that id has an account.
        BadInput
            Where it is too short.
        """
        self._check_password(password, person_id)
        async with self._hashing:
            kept = await asyncio.to_thread(secrets.hash_password, password)
        t_ms = to_ms(self._clock.now())

        def write(conn: sqlite3.Connection) -> None:
            stored.find(conn, person_id)
            stored.set_password(conn, person_id, kept)
            stored.end_all(conn, person_id, t_ms, but=keep)

        await self._write(write, "password-changed", person_id, {"who": who})

    async def is_own(self, person_id: str, password: str, address: str) -> None:
        """Check that somebody who is signed in knows their password still.

        Raises
        ------
        Denied
            Where not, or too soon after failures.
        """
        names = (f"account {person_id}", f"from {address}")
        self._throttled(names)
        kept = await self._store.read(lambda conn: stored.password_of(conn, person_id))
        async with self._hashing:
            good = await asyncio.to_thread(secrets.is_password, password, kept)
        if not good:
            self._throttle.failed(names, self._clock.monotonic())
            raise Denied("the present password is another one", self._throttle.wait_s(names, self._now()))

    async def settle(self) -> None:
        """Write when sessions and tokens were last used. For the house-keeping, once in a while."""
        numbers, self._used = self._used, {}
        if numbers:
            try:
                await self._store.write(lambda conn: stored.used(conn, numbers))
            except Unreachable:
                self._used = numbers | self._used

    # Below.

    async def _write(
        self, write: Callable[[sqlite3.Connection], int | bool | None], kind: str, subject: str, data: dict[str, Any]
    ) -> int:
        """Write a change with its event, in one transaction, and take it into memory."""

        def both(conn: sqlite3.Connection) -> int:
            answer = write(conn)
            Row(to_ms(self._clock.now()), kind, subject, data).write(conn)
            return int(answer or 0)

        answer = await self._store.write(both)
        await self._read_back()
        return answer

    async def _read_back(self) -> None:
        now_ms = to_ms(self._clock.now())
        try:
            self._proofs, self._owned = await self._store.read(
                lambda conn: (stored.proofs(conn, now_ms), stored.owners(conn) > 0)
            )
        except Unreachable:
            # Nothing is known of anybody: take it that there is an owner, so that no door stands open.
            self._proofs, self._owned = self._proofs, True

    def _throttled(self, names: tuple[str, ...]) -> None:
        wait_s = self._throttle.wait_s(names, self._now())
        if wait_s > 0:
            raise Denied(f"too many tries: wait {wait_s:.0f} s", wait_s)

    def _now(self) -> float:
        return self._clock.monotonic()

    @staticmethod
    def _check_password(password: str, person_id: str) -> None:
        if not secrets.SHORTEST <= len(password) <= secrets.LONGEST or password.lower() == person_id:
            allowed = f"{secrets.SHORTEST} to {secrets.LONGEST} characters, a sentence is best, and not the name"
            raise BadInput([Fault(("password",), "(not shown)", allowed)])


def _check_zones(person: Person) -> None:
    if (person.role == "occupant") != bool(person.zones):
        allowed = "an occupant's own zones, at least one; for any other role none"
        raise BadInput([Fault(("zones",), list(person.zones), allowed)])


def _told(person: Person) -> dict[str, Any]:
    return {"name": person.name, "role": person.role, "zones": person.zones}
