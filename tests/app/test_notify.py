"""Service notification over a real datagram socket."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from ingle.app.notify import Notifier, Watchdog


@pytest.fixture(name="manager")
def _manager(tmp_path: Path) -> Iterator[tuple[str, socket.socket]]:
    path = str(tmp_path / "notify")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as receiver:
        receiver.bind(path)
        receiver.settimeout(0)
        yield path, receiver


def received(receiver: socket.socket) -> list[bytes]:
    """Return the datagrams that have arrived."""
    found = []
    while True:
        try:
            found.append(receiver.recv(4096))
        except BlockingIOError:
            return found


def test_states_reach_the_manager(manager: tuple[str, socket.socket]) -> None:
    """States arrive as one datagram, a line each."""
    path, receiver = manager
    Notifier({"NOTIFY_SOCKET": path}, 1).send("READY=1", "STATUS=up")
    assert received(receiver) == [b"READY=1\nSTATUS=up"]


def test_abstract_sockets_are_understood() -> None:
    """A name that starts with @ is in the abstract name space."""
    name = "ingle-notify-test"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as receiver:
        receiver.bind("\0" + name)
        receiver.settimeout(0)
        Notifier({"NOTIFY_SOCKET": "@" + name}, 1).send("STOPPING=1")
        assert received(receiver) == [b"STOPPING=1"]


def test_nobody_listening_is_no_error(tmp_path: Path) -> None:
    """Without a manager, or with one that has gone, sending does nothing."""
    Notifier({}, 1).send("READY=1")
    Notifier({"NOTIFY_SOCKET": str(tmp_path / "gone")}, 1).send("READY=1")


@pytest.mark.parametrize(
    ("environ", "seconds"),
    [
        ({}, 0.0),
        ({"WATCHDOG_USEC": "30000000"}, 30.0),
        ({"WATCHDOG_USEC": "30000000", "WATCHDOG_PID": "7"}, 30.0),
        ({"WATCHDOG_USEC": "30000000", "WATCHDOG_PID": "8"}, 0.0),
        ({"WATCHDOG_USEC": "soon"}, 0.0),
    ],
)
def test_watchdog_period_is_ours_only_if_meant_for_us(environ: dict[str, str], seconds: float) -> None:
    """The period counts only when the manager means this process and gives a number."""
    assert Notifier(environ, 7).watchdog_s == seconds


def test_watchdog_is_fed_only_when_every_part_moved(manager: tuple[str, socket.socket]) -> None:
    """One part that stands still starves the watchdog, and is named."""
    path, receiver = manager
    counts = {"tick": 1, "writer": 1}
    watchdog = Watchdog(
        Notifier({"NOTIFY_SOCKET": path}, 1), {"tick": lambda: counts["tick"], "writer": lambda: counts["writer"]}
    )
    assert watchdog.feed() == ()
    counts["tick"] += 1
    assert watchdog.feed() == ("writer",)
    counts["writer"] += 1
    assert watchdog.feed() == ()
    assert received(receiver) == [b"WATCHDOG=1", b"WATCHDOG=1"]
