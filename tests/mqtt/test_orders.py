"""Orders: the newest of each heater is kept, goes out again when it must, and is never sent once it has lapsed."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import msgspec
import pytest

from fakes import FakeClock
from ingle.config.profile import load_profiles
from ingle.live import Live
from ingle.model.decisions import Notice, Wanted
from ingle.mqtt.orders import ECHO_WAITS_S, Orders
from ingle.mqtt.topics import Topics
from small_house import HOUSE

SHIPPED = Path(__file__).parents[2] / "config" / "profiles"
LOFT = HOUSE.zones[0]
HEATER = LOFT.heaters[0]
WANTED = "ingle/heater/loft-1/wanted"


class Wire:
    """Keeps what went out."""

    def __init__(self) -> None:
        self.clock = FakeClock()
        self.sent: list[tuple[str, bytes, int | None, bool]] = []
        self.orders = Orders(Topics("ingle"), load_profiles([SHIPPED]), self.clock, self._send)

    def _send(self, topic: str, payload: bytes, *, expiry_s: int | None = None, retain: bool = True) -> None:
        self.sent.append((topic, payload, expiry_s, retain))

    def order(self, setpoint_c: float, *, limit_w: float = 1500.0) -> Wanted:
        """Hand an order over and return it."""
        order = Wanted(
            setpoint_c=setpoint_c,
            limit_w=limit_w,
            locked=False,
            fallback_c=16.0,
            valid_for_s=1800,
            valid_until=self.clock.now() + timedelta(seconds=1800),
        )
        self.orders.wanted(HEATER, LOFT, order)
        return order

    def count(self, topic: str = WANTED) -> int:
        """Return how often something went out on a topic."""
        return sum(1 for sent in self.sent if sent[0] == topic)


@pytest.fixture(name="wire")
def _wire() -> Wire:
    return Wire()


def test_an_order_is_whole_retained_and_expires(wire: Wire) -> None:
    """The message has every field of the topic table, setpoint always a number, and lives as long as the order."""
    order = wire.order(20.5)
    ((topic, payload, expiry_s, retain),) = wire.sent
    assert (topic, expiry_s, retain) == (WANTED, 1800, True)
    assert msgspec.json.decode(payload, type=Wanted) == order
    assert set(json.loads(payload)) == {"setpoint_c", "limit_w", "locked", "fallback_c", "valid_for_s", "valid_until"}
    assert wire.orders.standing("loft-1") == order
    assert wire.orders.standing("loft-2") is None


def test_a_new_connection_gets_the_newest_with_what_is_left_of_its_life(wire: Wire) -> None:
    """Only the newest order of a heater is sent again, and it expires no later than before."""
    for setpoint_c in (18.0, 19.0, 20.0):
        wire.order(setpoint_c)
    wire.sent.clear()
    wire.clock.jump(600)
    wire.orders.connected()
    ((topic, payload, expiry_s, _),) = wire.sent
    assert (topic, json.loads(payload)["setpoint_c"], expiry_s) == (WANTED, 20.0, 1200)


def test_an_order_that_has_lapsed_is_not_sent(wire: Wire) -> None:
    """After hours without a broker an old order is not handed to a heater that holds its fall-back by now."""
    wire.order(20.0)
    wire.sent.clear()
    wire.clock.jump(1800)
    wire.orders.connected()
    assert wire.sent == []


def test_an_order_taken_back_is_cleared_at_the_broker(wire: Wire) -> None:
    """A withdrawn order's retained copy is emptied, and no connection brings it back."""
    wire.order(20.0)
    wire.sent.clear()
    wire.orders.withdraw("loft-1")
    wire.orders.withdraw("loft-1")
    assert wire.sent == [(WANTED, b"", None, True)]
    wire.orders.connected()
    assert {sent[:2] for sent in wire.sent} == {(WANTED, b"")}


def test_what_was_taken_back_without_a_connection_is_cleared_on_the_next(wire: Wire) -> None:
    """A broker that kept an order while we were away, or from our earlier life, forgets it; once."""
    wire.orders.withdraw("loft-1")
    wire.sent.clear()
    wire.orders.connected()
    assert wire.sent == [(WANTED, b"", None, True)]
    wire.order(20.0)
    wire.sent.clear()
    wire.orders.connected()
    assert [sent[1] == b"" for sent in wire.sent] == [False]


def test_what_the_house_no_longer_has_is_cleared_at_the_broker(wire: Wire) -> None:
    """States of a heater and a zone that are gone are emptied, and not sent again on the next connection."""
    zone = Live(wire.clock, HOUSE).zones_now(wire.clock.now())[0]
    wire.orders.zone_now(zone)
    wire.orders.heater_now(zone.heaters[0])
    wire.orders.closed(["loft-1"], [zone.id])
    wire.sent.clear()
    wire.orders.connected()
    topics = {"ingle/heater/loft-1/now", f"ingle/zone/{zone.id}/now"}
    assert {sent[:2] for sent in wire.sent} == {(topic, b"") for topic in topics}
    wire.orders.zone_now(zone)
    wire.sent.clear()
    wire.orders.connected()
    assert wire.count(f"ingle/zone/{zone.id}/now") == 1
    assert all(payload for topic, payload, _, _ in wire.sent if topic.startswith("ingle/zone"))


def test_a_silent_or_obedient_heater_is_left_alone(wire: Wire) -> None:
    """A report without a setpoint says nothing; one that agrees within rounding ends the matter."""
    wire.order(20.0)
    wire.clock.jump(100)
    wire.orders.reported("loft-1", None)
    wire.orders.reported("loft-1", 20.2)
    wire.clock.jump(100)
    wire.orders.reported("loft-1", 16.0)
    wire.orders.reported("never-ordered", 16.0)
    assert wire.count() == 1


def test_an_order_is_repeated_ever_more_slowly(wire: Wire) -> None:
    """Three tries, each after a longer wait, then no more; a new setpoint starts anew."""
    wire.order(20.0)
    for tries, wait_s in enumerate(ECHO_WAITS_S, 1):
        wire.clock.jump(wait_s - 0.5)
        wire.orders.reported("loft-1", 16.0)
        assert wire.count() == tries
        wire.clock.jump(0.5)
        wire.orders.reported("loft-1", 16.0)
        assert wire.count() == tries + 1
    for _ in range(20):
        wire.clock.jump(60)
        wire.orders.reported("loft-1", 16.0)
    assert wire.count() == 1 + len(ECHO_WAITS_S)
    wire.order(21.0)
    wire.clock.jump(ECHO_WAITS_S[0])
    wire.orders.reported("loft-1", 16.0)
    assert wire.count() == 3 + len(ECHO_WAITS_S)


def test_a_renewal_does_not_start_the_tries_anew(wire: Wire) -> None:
    """The same order handed over again, as every ten minutes, does not make a heater that does not obey hear more."""
    for _ in range(9):
        wire.order(20.0)
        wire.clock.jump(100)
        wire.orders.reported("loft-1", 16.0)
    assert wire.count() == 9 + len(ECHO_WAITS_S)


def test_a_heater_that_is_only_limited_need_not_echo(wire: Wire) -> None:
    """Where the setpoint is its own thermostat's, a report of another one is no disobedience."""
    order = wire.order(20.0)
    wire.orders.wanted(msgspec.structs.replace(HEATER, id="loft-3", drives=("limit",)), LOFT, order)
    for _ in range(5):
        wire.clock.jump(100)
        wire.orders.reported("loft-3", 16.0)
    assert wire.count("ingle/heater/loft-3/wanted") == 1


def test_states_are_sent_again_too(wire: Wire) -> None:
    """What ingle says of the house is retained, and said again to a broker that may have forgotten it."""
    notice = Notice(key="k", severity="urgent", zone=None, cause="c", effect="e", next_step="n", since=wire.clock.now())
    wire.orders.notices((notice,))
    wire.orders.connected()
    assert wire.count("ingle/house/notices") == 2
    body: dict[str, Any] = json.loads(wire.sent[0][1])
    assert body["notices"][0]["next_step"] == "n"


def test_another_firmware_gets_its_own_messages(wire: Wire) -> None:
    """A heater of a described firmware gets its parts on its topics, and all of them are cleared when taken back."""
    panel = msgspec.structs.replace(HEATER, profile="harbour-scalar")
    order = wire.order(20.0)
    wire.sent.clear()
    wire.orders.wanted(panel, LOFT, order)
    topics = {sent[0] for sent in wire.sent}
    assert topics == {f"panels/loft-1/set/{part}" for part in ("target", "most", "buttons", "silence")}
    wire.sent.clear()
    wire.orders.withdraw("loft-1")
    assert {(sent[0], sent[1]) for sent in wire.sent} == {(topic, b"") for topic in topics}
