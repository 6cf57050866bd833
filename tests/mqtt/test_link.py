"""The link on a real mosquitto, with outside clients."""

from __future__ import annotations

import asyncio
import json
import queue
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from fakes import FakeClock
from harness import Outside
from ingle.model.commands import Override
from ingle.model.decisions import Wanted
from ingle.model.devices import Heater
from ingle.model.readings import Reading, Source
from ingle.mqtt.session import Session
from ingle.store.readings import select

NORTH = Source("heater", "north-1")


def order(setpoint_c: float, seconds: int = 1800) -> Wanted:
    """Return an order that is valid from now on."""
    return Wanted(
        setpoint_c=setpoint_c,
        limit_w=2000.0,
        locked=False,
        fallback_c=16.0,
        valid_for_s=seconds,
        valid_until=datetime.now(UTC) + timedelta(seconds=seconds),  # noqa: TID251 - the broker's clock is real
    )


async def rows(rig: Any) -> list[Reading]:
    """Return what is stored of the north heater."""
    found: list[Reading] = await rig.store.read(lambda c: list(select(c, sources=[NORTH], start_ms=0, end_ms=2**53)))
    return found


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_a_reading_is_acknowledged_only_after_commit(
    rig: Any, eventually: Any, broker: Any, protocol: str
) -> None:
    """With the store held up, the broker keeps the message for us; it comes again on the next connection, once."""
    rig.broker = replace(rig.broker, protocol=protocol)
    held: list[Any] = []

    class Slow:
        """A store that takes readings and never commits them."""

        def append(self, readings: Any, committed: Any = None) -> None:
            """Keep them."""
            held.append((readings, committed))

    keeper, rig.intake._store = rig.intake._store, Slow()
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    await asyncio.to_thread(
        outside.publish, "ingle/heater/north-1/reading", {"boot": "b", "seq": 1, "temp_c": 18.5, "t": 1768194000}
    )
    await eventually(lambda: held, "the reading arrives")
    await link.stop()
    assert await rows(rig) == []
    rig.intake._store = keeper
    link = rig.link()
    await link.start()
    await eventually(lambda: rig.intake.counts[NORTH].accepted == 2, "it comes again")
    await rig.store.write(lambda _: None)
    assert [(r.seq, r.temp_c) for r in await rows(rig)] == [(1, 18.5)]
    # The late acknowledgement of the first life goes nowhere: it must not disturb the second.
    for readings, committed in held:
        committed(["stored"] * len(readings))
    await asyncio.to_thread(outside.publish, "ingle/heater/north-1/reading", {"boot": "b", "seq": 2, "temp_c": 18.6})
    await eventually(lambda: rig.intake.counts[NORTH].accepted >= 3, "the next reading")
    await link.stop()
    outside.close()


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_hundreds_come_through_a_stock_broker(rig: Any, eventually: Any, broker: Any, protocol: str) -> None:
    """A burst beyond the broker's own window of 20 flows: the window is wider on 5, the batch closes early on 3.1.1."""
    rig.broker = replace(rig.broker, protocol=protocol)
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)

    def burst() -> None:
        for seq in range(300):
            body = {"boot": "b", "seq": seq, "t": 1768194000 + seq, "energy_wh": 100 + seq}
            outside._client.publish("ingle/heater/north-1/reading", json.dumps(body), qos=1)

    await asyncio.to_thread(burst)
    await eventually(lambda: rig.intake.counts.get(NORTH) and rig.intake.counts[NORTH].accepted == 300, "all arrive")
    await link.stop()
    await rig.store.write(lambda _: None)
    assert len(await rows(rig)) == 300
    outside.close()


async def test_a_request_is_obeyed_and_answered_where_it_asks(rig: Any, eventually: Any, broker: Any) -> None:
    """On MQTT 5 the answer carries the correlation data to the response topic."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    answers: queue.SimpleQueue[mqtt.MQTTMessage] = queue.SimpleQueue()
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
    ready: queue.SimpleQueue[int] = queue.SimpleQueue()
    client.on_message = lambda _c, _d, message: answers.put(message)
    client.on_subscribe = lambda *_: ready.put(1)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    client.subscribe("elsewhere/answer", qos=1)
    await asyncio.to_thread(ready.get, timeout=10)
    properties = Properties(PacketTypes.PUBLISH)
    properties.ResponseTopic = "elsewhere/answer"
    properties.CorrelationData = b"42"
    body = json.dumps({"do": "override", "temp_c": 21, "for": "PT90M"})
    client.publish("ingle/zone/north/request", body, qos=1, properties=properties)
    answer = await asyncio.to_thread(answers.get, timeout=10)
    assert json.loads(answer.payload) == {"ok": True, "now": {"id": "north"}}
    assert answer.properties.CorrelationData == b"42"
    zone, request, origin = rig.commands.asked[0]
    assert (zone, request, origin.via) == ("north", Override(temp_c=21.0, duration="PT90M"), "mqtt")
    client.publish("ingle/zone/north/request", '{"do": "dance"}', qos=1, properties=properties)
    answer = await asyncio.to_thread(answers.get, timeout=10)
    assert json.loads(answer.payload)["ok"] is False
    client.disconnect()
    client.loop_stop()
    await link.stop()


@pytest.mark.parametrize("protocol", ["5", "3.1.1"])
async def test_a_kept_request_is_refused_and_named(rig: Any, eventually: Any, broker: Any, protocol: str) -> None:
    """A retained request met at the subscription is not obeyed; a notice names its topic."""
    outside = Outside(broker.port)
    body = {"do": "override", "temp_c": 25}
    await asyncio.to_thread(outside.publish, "ingle/zone/north/request", body, retain=True)
    rig.broker = replace(rig.broker, protocol=protocol)
    link = rig.link()
    await link.start()
    await eventually(
        lambda: any("ingle/zone/north/request" in n.cause for n in rig.live.notices(rig.clock.now())), "the notice"
    )
    assert rig.commands.asked == []
    await asyncio.to_thread(outside.publish, "ingle/zone/north/request", b"", retain=True)
    await eventually(lambda: "retained" not in str(rig.live.notices(rig.clock.now())), "with it the notice goes")
    await link.stop()
    outside.close()


async def test_an_answer_without_a_response_topic_goes_beside_the_request(
    rig: Any, eventually: Any, broker: Any
) -> None:
    """On 3.1.1, or without a response topic, the answer stands on .../response; a fault names field and allowed."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    answers = outside.heard
    await asyncio.to_thread(outside.publish, "ingle/limit/request", {"do": "cap", "cap_a": 32})
    await eventually(lambda: answers.get("ingle/limit/response"), "the answer")
    assert answers["ingle/limit/response"]["ok"] is True
    await asyncio.to_thread(outside.publish, "ingle/zone/north/request", {"do": "override", "temp_c": 99})
    await eventually(lambda: answers.get("ingle/zone/north/response"), "the refusal")
    assert answers["ingle/zone/north/response"]["ok"] is False
    (fault,) = answers["ingle/zone/north/response"]["faults"]
    assert fault == {"pointer": "/temp_c", "value": "99", "allowed": "a number from 1 to 35"}
    await link.stop()
    outside.close()


@pytest.mark.parametrize("size", [5_000, 100_000])
async def test_a_request_that_is_too_large_is_answered(rig: Any, eventually: Any, broker: Any, size: int) -> None:
    """Whatever its size, a request is answered: one that is far too large is not taken for an empty one."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    await asyncio.to_thread(outside.publish, "ingle/zone/north/request", b"[" * size)
    await eventually(lambda: outside.heard.get("ingle/zone/north/response"), "the refusal")
    assert f"{size} bytes" in outside.heard["ingle/zone/north/response"]["title"]
    assert "4096" in outside.heard["ingle/zone/north/response"]["title"]
    assert rig.commands.asked == []
    await link.stop()
    outside.close()


async def test_a_request_that_breaks_is_answered_and_not_repeated(rig: Any, eventually: Any, broker: Any) -> None:
    """An error of ours while carrying out a request is answered; the request does not come again."""

    async def broken(*_: object) -> None:
        raise ZeroDivisionError

    link = rig.link()
    rig.commands.zone_request = broken
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    await asyncio.to_thread(outside.publish, "ingle/zone/north/request", {"do": "release"})
    await eventually(lambda: outside.heard.get("ingle/zone/north/response"), "the answer")
    assert outside.heard["ingle/zone/north/response"]["title"] == "ingle could not do it; its log says why"
    await eventually(lambda: link._session.pending == 0, "acknowledged")
    await link.stop()
    outside.close()


async def test_orders_go_out_on_every_connection(rig: Any, eventually: Any, broker: Any) -> None:
    """An order given while there was no broker arrives when there is one, retained and with its expiry."""
    link = rig.link()
    zone = rig.live.house.zones[0]
    link.orders.wanted(zone.heaters[0], zone, order(20.5))
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    await eventually(lambda: outside.wanted("north-1"), "the order")
    assert outside.wanted("north-1")["setpoint_c"] == 20.5
    broker.stop(kill=True)
    await eventually(lambda: not link.up, "the loss is noticed")
    broker.start()
    await eventually(lambda: link.up, "up again")
    fresh = Outside(broker.port)
    await eventually(lambda: fresh.wanted("north-1"), "the order is there again, though the broker forgot it")
    link.orders.withdraw("north-1")
    await eventually(lambda: not fresh.wanted("north-1"), "taken back")
    await link.stop()
    await eventually(lambda: fresh.heard.get("ingle/supervisor/link") == "down", "goodbye")
    outside.close()
    fresh.close()


async def test_a_silent_broker_is_spoken_to_in_the_older_protocol(rig: Any, eventually: Any) -> None:
    """A listener that never answers MQTT 5 gets 3.1.1 next, and then 5 again."""
    spoken: list[int] = []

    async def mute(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        packet = await reader.read(64)
        spoken.append(packet[8])  # the protocol level of a CONNECT
        await reader.read()
        writer.close()

    server = await asyncio.start_server(mute, "127.0.0.1", 0)
    rig.broker = replace(rig.broker, port=server.sockets[0].getsockname()[1])
    link = rig.link(connack_s=0.2)
    await link.start()
    await eventually(lambda: len(spoken) >= 3, "three attempts")
    await link.stop()
    server.close()
    assert spoken[:3] == [5, 4, 5]


async def test_refused_credentials_are_said(rig: Any, eventually: Any, broker: Any) -> None:
    """A broker that wants a password is reported as that, not as a lost connection."""
    broker.stop()
    passwords = broker.folder / "passwords"
    passwords.write_text("")
    broker.settings = f"password_file {passwords}"
    broker.anonymous = False
    broker.start()
    link = rig.link()
    await link.start()
    await eventually(lambda: "refuses" in link.state, "the refusal")
    assert "not authori" in link.state
    assert any("not authori" in n.cause.lower() for n in rig.live.notices(rig.clock.now()))
    await link.stop()


async def test_nothing_leaves_a_callback(
    rig: Any, eventually: Any, broker: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error inside the network thread's callback is logged and the thread goes on."""
    carry = Session._carry
    seen: list[str] = []

    def fragile(self: Session, message: mqtt.MQTTMessage) -> None:
        seen.append(message.topic)
        if len(seen) == 1:
            raise RuntimeError("no such thing")
        carry(self, message)

    monkeypatch.setattr(Session, "_carry", fragile)
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    for _ in range(2):
        await asyncio.to_thread(outside.publish, "ingle/heater/north-1/reading", {"temp_c": 18.5})
    await eventually(lambda: rig.intake.counts.get(NORTH), "the second one is taken")
    await link.stop()
    outside.close()


async def test_an_unechoed_order_is_sent_again(rig: Any, eventually: Any) -> None:
    """A heater that reports another setpoint gets its order three more times; after an echo it is left in peace."""
    clock = FakeClock(rig.clock.now())
    link = rig.link()
    link.orders._clock = clock
    await link.start()
    await eventually(lambda: link.up, "up")
    sent: list[str] = []
    carry = link.orders._send
    link.orders._send = lambda topic, payload, **more: (sent.append(topic), carry(topic, payload, **more))[1]
    zone = rig.live.house.zones[0]
    heater: Heater = zone.heaters[0]
    link.orders.wanted(heater, zone, order(20.0))
    for _ in range(5):
        clock.jump(100)
        link.orders.reported("north-1", 16.0)
    assert sent.count("ingle/heater/north-1/wanted") == 4
    link.orders.wanted(heater, zone, order(21.0))
    link.orders.reported("north-1", 21.0)
    clock.jump(100)
    link.orders.reported("north-1", 16.0)
    assert sent.count("ingle/heater/north-1/wanted") == 5
    await link.stop()
