"""What the command line hands to a running daemon, over the socket beside the database."""

from __future__ import annotations

import asyncio
import socket
import stat
from contextlib import closing
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from ingle.cli import desk
from ingle.config.house import dump_house, parse_house
from ingle.errors import BadInput, Fault, IngleError, Unreachable
from ingle.http.unix import bind, socket_path
from ingle.store.db import open_readonly
from ingle.store.houses import history
from served import HOUSE, serving

TOML = "application/toml"
BAD_HOUSE = """
[house]
name = "Tern House"
outdoor_design_c = nan
timezone = "Haverlock"
[[zone]]
id = "Loft Room"
name = "Loft"
floor_area_m2 = -3
height_m = 2.4
elements = 1
"""


async def post(database: Path, path: str, body: bytes, media: str = TOML) -> Any:
    """Post from a thread, as the command line is another process."""
    return await asyncio.to_thread(desk.post, database, path, body, media)


async def error_of(database: Path, path: str, body: bytes, media: str = TOML) -> IngleError:
    """Post what must be refused, and return the error."""
    with pytest.raises(IngleError) as refused:
        await post(database, path, body, media)
    return refused.value


async def test_a_house_is_loaded_and_runs_at_once(tmp_path: Path) -> None:
    """POST /desk/house makes a revision with who and why, and the served house is the new one."""
    async with serving(tmp_path) as served:
        database = served.parts.store.path
        text = dump_house(HOUSE).replace('name = "Loft"', 'name = "Net Loft"').encode()
        answer = await post(database, "/desk/house?who=Wenna&why=new+name&file=tern.toml", text)
        assert (answer["revision"], answer["who"], answer["why"]) == (2, "Wenna", "new name")
        assert (await served.get("/api/zones/loft"))["name"] == "Net Loft"
        with closing(open_readonly(database)) as connection:
            assert [entry.who for entry in history(connection)] == ["test", "Wenna"]


async def test_faults_arrive_as_they_were_found(tmp_path: Path) -> None:
    """Every fault of a bad file comes back with file, place, value and what is allowed, as without a daemon."""
    with pytest.raises(BadInput) as alone:
        parse_house(BAD_HOUSE, "bad.toml")
    async with serving(tmp_path) as served:
        refused = await error_of(
            served.parts.store.path, "/desk/house?who=me&file=/somewhere/bad.toml", BAD_HOUSE.encode()
        )
        assert served.parts.live.house == HOUSE
    assert isinstance(refused, BadInput)
    assert len(refused.faults) >= 4
    assert [fault.place for fault in refused.faults] == [fault.place for fault in alone.value.faults]
    assert [fault.allowed for fault in refused.faults] == [fault.allowed for fault in alone.value.faults]
    assert {fault.source for fault in refused.faults} == {"bad.toml"}
    assert Fault(("zone", 0, "floor_area_m2"), -3, "a number above 0 and at most 5000", "bad.toml") in refused.faults


@pytest.mark.parametrize(
    ("path", "body", "media", "words"),
    [
        ("/desk/house?who=me", b"= nonsense", TOML, "TOML"),
        ("/desk/house?who=me", b"\xff", TOML, "UTF-8"),
        ("/desk/house", b"", TOML, "who"),
        ("/desk/house?who=me&when=now", b"", TOML, "when"),
        ("/desk/house?who=me", b"{}", "application/json", "application/toml"),
        ("/desk/nothing", b"", TOML, "nothing"),
        ("/api/zones", b"", TOML, "nothing"),
        ("/desk/readings", b"time,colour\n", "text/csv", "colour"),
    ],
)
async def test_what_cannot_be_done_says_why(tmp_path: Path, path: str, body: bytes, media: str, words: str) -> None:
    """Each refusal arrives as one of our errors, in words."""
    async with serving(tmp_path) as served:
        assert words in str(await error_of(served.parts.store.path, path, body, media))


async def test_readings_are_stored_by_the_daemon(tmp_path: Path) -> None:
    """A chunk of rows is stored once; bad rows come back with their line."""
    rows = b"time,zone,heater,temp_c\n2026-01-11T10:00:00Z,hall,hall-1,17.5\nyesterday,hall,hall-1,18\n"
    async with serving(tmp_path) as served:
        database = served.parts.store.path
        first = await post(database, "/desk/readings?first_line=7", rows, "text/csv")
        again = await post(database, "/desk/readings?first_line=7", rows, "text/csv")
        shown = await served.get("/api/readings?heater=hall-1&from=2026-01-11&to=2026-01-12")
    assert (first["stored"], first["rejected"], first["rejects"][0]["line"]) == (1, 1, 8)
    assert (again["stored"], again["known"]) == (0, 1)
    assert [reading["temp_c"] for reading in shown["readings"]] == [17.5]


async def test_the_socket_is_its_owners_alone_and_goes_with_the_daemon(tmp_path: Path) -> None:
    """Mode 0600 while served; gone afterwards, and then nobody answers."""
    async with serving(tmp_path) as served:
        database = served.parts.store.path
        assert stat.S_IMODE(socket_path(database).stat().st_mode) == 0o600
        assert await asyncio.to_thread(desk.running, database)
    assert not socket_path(database).exists()
    assert not desk.running(database)
    assert isinstance(await error_of(database, "/desk/house?who=me", b""), Unreachable)


async def test_the_desk_has_no_door_to_the_network(tmp_path: Path) -> None:
    """Over TCP the desk's paths are not there."""
    async with serving(tmp_path) as served, aiohttp.ClientSession() as client:
        for path in ("/desk/health", "/desk/house"):
            async with client.get(served.url(path)) as answer:
                assert answer.status == 404


async def test_a_socket_left_by_a_crash_is_replaced(tmp_path: Path) -> None:
    """A dead socket file is no daemon, and does not keep the next one from listening."""
    database = tmp_path / "ingle.db"
    bind(socket_path(database)).close()
    assert socket_path(database).exists()
    assert not desk.running(database)
    async with serving(tmp_path):
        assert await asyncio.to_thread(desk.running, database)


async def test_a_path_longer_than_a_sockets_may_be(tmp_path: Path) -> None:
    """A database deep in folders has its desk all the same."""
    deep = tmp_path / ("a" * 100) / ("b" * 100)
    deep.mkdir(parents=True)
    async with serving(deep) as served:
        assert await asyncio.to_thread(desk.running, served.parts.store.path)
        refused = await error_of(served.parts.store.path, "/desk/house?who=me", b"")
        assert isinstance(refused, BadInput)


def test_an_answer_of_another_kind_is_unreachable(tmp_path: Path) -> None:
    """Somebody else's words on the socket are an error in ours, not a traceback."""
    database = tmp_path / "ingle.db"
    listening = bind(socket_path(database))
    listening.listen()
    with listening:
        import threading

        def babble() -> None:
            connection, _ = listening.accept()
            with connection:
                connection.recv(65536)
                connection.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\nhello")
                connection.shutdown(socket.SHUT_WR)

        thread = threading.Thread(target=babble)
        thread.start()
        with pytest.raises(Unreachable, match="another version"):
            desk.post(database, "/desk/house", b"", TOML)
        thread.join(10)
