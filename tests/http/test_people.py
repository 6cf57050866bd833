"""Who may ask what: every cell of the matrix over every route, the claim, sessions, tokens, and slowed guesses."""

from __future__ import annotations

import asyncio
import json
import sqlite3
from collections.abc import AsyncIterator
from datetime import timedelta
from functools import cache
from typing import Any, Final

import aiohttp
import pytest
import pytest_asyncio

from ingle.commands.secrets import hash_password
from ingle.http.route import Route
from ingle.http.table import ROUTES
from ingle.model.instants import to_ms
from ingle.model.people import MATRIX, ROLES, Person, Role
from ingle.store import people as stored
from served import Served

PASSWORD: Final = "ropes and tar on the quay"
GUARDED: Final = [route for route in ROUTES if route.act is not None]
#: What is asked of a zone is asked of this one, which is the occupant's own, and of that one, which is not.
OWN, OTHER = "loft", "hall"


@pytest_asyncio.fixture(name="tokens")
async def _tokens(served: Served) -> dict[Role, str]:
    """Give each role a person and a token."""
    people, now = served.parts.people, served.clock.now()

    def add(conn: sqlite3.Connection) -> None:
        for role in ROLES:
            zones = (OWN,) if role == "occupant" else ()
            person = Person(id=role, name=role.title(), role=role, zones=zones, since=now)
            stored.add(conn, person, kept(), to_ms(now))

    await served.parts.store.write(add)
    await people.start()
    return {role: (await people.make_token(role, "test", "test"))[1] for role in ROLES}


@cache
def kept() -> str:
    """Return what is kept of the password; hashing is slow by intent, so once."""
    return hash_password(PASSWORD)


@pytest_asyncio.fixture(name="browser")
async def _browser(served: Served) -> AsyncIterator[Browser]:
    """Return a client that keeps cookies, also those of a numeric address."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as client:
        yield Browser(served, client)


class Browser:
    """Somebody with a cookie jar."""

    def __init__(self, served: Served, client: aiohttp.ClientSession) -> None:
        self._served, self._client = served, client

    async def ask(self, method: str, path: str, body: object = None, status: int = 200) -> Any:
        """Return the JSON that comes back with a status."""
        async with self._client.request(method, self._served.url(path), json=body) as answer:
            assert answer.status == status, await answer.text()
            return await answer.json(content_type=None)


async def status(served: Served, route: Route, token: str | None, zone: str) -> int:
    """Return how a route answers to a token, without a body: who may is asked before what is wanted."""
    path = route.path.replace("{id}", zone if "/zones/" in route.path else "nobody").replace("{number}", "999")
    query = f"?zone={zone}" if route.path == "/api/readings" else ""
    headers = {} if token is None else {"Authorization": f"Bearer {token}"}
    async with served.client.request(route.method, served.url(path + query), headers=headers) as answer:
        return answer.status


@pytest.mark.parametrize("route", GUARDED, ids=lambda route: route.name)
async def test_every_cell_of_the_matrix(served: Served, tokens: dict[Role, str], route: Route) -> None:
    """A role gets through to a route exactly where its cell says so, an occupant in own zones; nobody else does."""
    assert route.act is not None
    assert await status(served, route, None, OWN) == 401
    assert await status(served, route, "ingle_nonsense", OWN) == 401
    of_zone = "/zones/{id}" in route.path or route.path == "/api/readings"
    for role, token in tokens.items():
        right = MATRIX[route.act].get(role)
        assert (await status(served, route, token, OWN) != 403) == (right is not None), role
        if of_zone:
            assert (await status(served, route, token, OTHER) != 403) == (right is True), role


def test_the_matrix_is_whole() -> None:
    """An owner may everything; nobody may what the owner may not; every act is asked for by some route."""
    assert all(row.get("owner") is True for row in MATRIX.values())
    used = {route.act for route in ROUTES} | {"lock-buttons"}  # which is asked for inside a zone's request
    assert used - {None} == set(MATRIX)


async def test_without_an_owner_whoever_is_here_is_one(served: Served) -> None:
    """A house without accounts on loopback answers as before."""
    me = await served.get("/api/me")
    assert (me["id"], me["role"], me["owned"], me["signed_in"]) == ("local user", "owner", False, False)


async def test_only_an_owner_or_installer_locks_buttons(served: Served, tokens: dict[Role, str]) -> None:
    """Locking the heaters' buttons goes by its own row of the matrix, inside the zone's request."""
    for role, wanted in (("installer", 200), ("occupant", 403)):
        headers = {"Authorization": f"Bearer {tokens[role]}"}  # type: ignore[index]  # both are roles
        url = served.url(f"/api/zones/{OWN}/overrides")
        async with served.client.post(url, json={"do": "lock-local"}, headers=headers) as answer:
            assert answer.status == wanted


async def test_an_occupant_sees_their_own_zones_alone(served: Served, tokens: dict[Role, str]) -> None:
    """Zones, notices and the stream of events hold nothing of other rooms."""
    headers = {"Authorization": f"Bearer {tokens['occupant']}"}
    assert [zone["id"] for zone in (await served.get("/api/zones", headers=headers))["zones"]] == [OWN]
    seen: dict[str, Any] = {}
    async with served.client.get(served.url("/api/events"), headers=headers) as stream:
        served.parts.commands.tick()
        async with asyncio.timeout(5):
            kind = ""
            async for line in stream.content:
                if line.startswith(b"event: "):
                    kind = line[7:].decode().strip()
                elif line.startswith(b"data: "):
                    seen[kind] = json.loads(line[6:])
                    assert kind != "zone" or seen["zone"]["id"] == OWN
                if {"zone", "house", "notices"} <= seen.keys():
                    break
    assert (seen["house"]["power_w"], seen["house"]["plate_w"]) == (None, 0.0)
    assert {notice["zone"] for notice in seen["notices"]["notices"]} <= {OWN}


async def test_the_claim(served: Served) -> None:
    """Whoever reads the code on the console becomes the owner, once, signed in by a cookie that scripts cannot read."""
    code = served.parts.people.new_claim()
    claim = {"code": "WRONG", "id": "wenna", "name": "Wenna Trask", "password": PASSWORD}
    assert "not good" in (await served.post("/api/claim", claim, 401))["detail"]
    short = await served.post("/api/claim", {**claim, "password": "short"}, 422)
    assert short["errors"][0]["pointer"] == "/password"
    assert "short" not in json.dumps(short["errors"][0]["value"])
    async with served.client.post(served.url("/api/claim"), json={**claim, "code": code.lower()}) as answer:
        assert answer.status == 200
        cookie = answer.headers["Set-Cookie"]
        assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(cookie.split("; "))
    secret = cookie.partition("=")[2].partition(";")[0]
    me = await served.get("/api/me", headers={"Cookie": f"ingle={secret}"})
    assert (me["id"], me["role"], me["owned"], me["signed_in"]) == ("wenna", "owner", True, True)
    async with aiohttp.ClientSession() as another, another.get(served.url("/api/zones")) as answer:
        assert answer.status == 401
    assert "owner already" in (await served.post("/api/claim", {**claim, "code": code}, 409))["detail"]


async def test_a_claim_code_grows_old(served: Served) -> None:
    """After a quarter of an hour the code is good no more."""
    code = served.parts.people.new_claim()
    served.clock.jump(901)
    claim = {"code": code, "id": "wenna", "name": "Wenna Trask", "password": PASSWORD}
    await served.post("/api/claim", claim, 401)


async def test_signing_in_and_out(tokens: dict[Role, str], browser: Browser) -> None:
    """A session opens with name and password, and is over when it is ended; what was wrong is never said."""
    del tokens
    for person, password in (("reader", "not the password"), ("nobody", PASSWORD)):
        problem = await browser.ask("POST", "/api/session", {"id": person, "password": password}, 401)
        assert problem["detail"] == "that name and password do not belong together"
    await browser.ask("POST", "/api/session", {"id": "reader", "password": PASSWORD})
    assert (await browser.ask("GET", "/api/me"))["id"] == "reader"
    await browser.ask("POST", "/api/session/end")
    await browser.ask("GET", "/api/me", status=401)


async def test_guessing_is_slow(served: Served, tokens: dict[Role, str]) -> None:
    """After a few failures each try waits twice as long; the right password waits too, and is then taken."""
    del tokens
    for _ in range(4):
        await served.post("/api/session", {"id": "owner", "password": "a guess or two"}, 401)
    async with served.client.post(served.url("/api/session"), json={"id": "owner", "password": PASSWORD}) as answer:
        assert (answer.status, answer.headers["Retry-After"]) == (429, "2")
    served.clock.jump(2)
    await served.post("/api/session", {"id": "owner", "password": PASSWORD})


async def test_a_new_password_ends_what_went_before(served: Served, tokens: dict[Role, str], browser: Browser) -> None:
    """Setting a password asks for the present one, and ends the person's other sessions and tokens."""
    headers = {"Authorization": f"Bearer {tokens['reader']}"}
    url, new = served.url("/api/people/reader/password"), "another sentence altogether"
    async with served.client.post(url, json={"password": new, "present": "a guess"}, headers=headers) as answer:
        assert answer.status == 403
    await browser.ask("POST", "/api/session", {"id": "reader", "password": PASSWORD})
    await browser.ask("POST", "/api/people/reader/password", {"password": new, "present": PASSWORD})
    assert (await browser.ask("GET", "/api/me"))["id"] == "reader"
    async with aiohttp.ClientSession() as script, script.get(served.url("/api/zones"), headers=headers) as answer:
        assert answer.status == 401


async def test_an_owner_runs_the_people(served: Served, tokens: dict[Role, str]) -> None:
    """Adding, changing and closing accounts is told in the log without a secret; the last owner stays."""
    headers = {"Authorization": f"Bearer {tokens['owner']}"}

    async def ask(path: str, body: object, wanted: int) -> Any:
        async with served.client.post(served.url(path), json=body, headers=headers) as answer:
            assert answer.status == wanted, await answer.text()
            return await answer.json(content_type=None)

    guest = {"id": "guest", "name": "Guest", "role": "occupant", "password": PASSWORD}
    assert (await ask("/api/people", guest, 422))["errors"][0]["pointer"] == "/zones"
    await ask("/api/people", {**guest, "zones": ["hall"]}, 201)
    await ask("/api/people", {**guest, "zones": ["hall"]}, 409)
    made = await ask("/api/people/guest/tokens", {"label": "door"}, 201)
    await ask("/api/people/guest", {"name": "Guest", "role": "reader"}, 200)
    theirs = {"Authorization": f"Bearer {made['token']}"}
    assert (await served.get("/api/me", headers=theirs))["role"] == "reader"
    await ask("/api/people/guest/close", None, 200)
    async with served.client.get(served.url("/api/me"), headers=theirs) as answer:
        assert answer.status == 401
    assert "only owner" in (await ask("/api/people/owner/close", None, 409))["detail"]
    assert "only owner" in (await ask("/api/people/owner", {"name": "X", "role": "reader"}, 409))["detail"]
    told = await served.parts.store.read(
        lambda conn: conn.execute("SELECT kind, data FROM event WHERE subject = 'guest' ORDER BY id").fetchall()
    )
    assert [kind for kind, _ in told] == ["person-added", "token-made", "person-changed", "person-closed"]
    assert not any(PASSWORD in data or made["token"] in data or "scrypt" in data for _, data in told)


async def test_no_secret_lies_in_the_database(served: Served, tokens: dict[Role, str]) -> None:
    """Neither a password nor a token stands in any byte of the file."""
    served.parts.store.close_batch()
    await served.parts.store.write(lambda conn: conn.execute("SELECT 1").fetchone())
    files = [path.read_bytes() for path in served.parts.store.path.parent.glob("ingle.db*") if path.is_file()]
    for secret in (PASSWORD, *tokens.values()):
        assert not any(secret.encode() in raw for raw in files)


async def test_a_token_ends_with_its_time(served: Served, tokens: dict[Role, str]) -> None:
    """A token is good for as long as it was made for."""
    del tokens
    _, secret = await served.parts.people.make_token("reader", "short", "test", timedelta(days=2))
    headers = {"Authorization": f"Bearer {secret}"}
    assert (await served.get("/api/me", headers=headers))["id"] == "reader"
    served.clock.jump(3 * 86400)
    async with served.client.get(served.url("/api/me"), headers=headers) as answer:
        assert answer.status == 401
