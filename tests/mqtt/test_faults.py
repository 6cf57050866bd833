"""What goes wrong between ingle and its broker, and how both find together again."""

from __future__ import annotations

import asyncio
import json
import shutil
import subprocess
from dataclasses import replace
from typing import Any

import pytest

from harness import SMALL_HOUSE, Outside
from ingle.config.house import parse_house
from ingle.demo.broker import start_broker
from ingle.model.readings import Reading, Source
from ingle.mqtt import payloads
from ingle.mqtt.session import Message, Session
from ingle.store.readings import select

NORTH = Source("heater", "north-1")
READING = "ingle/heater/north-1/reading"


async def rows(rig: Any) -> list[Reading]:
    """Return what is stored of the north heater."""
    await rig.store.write(lambda _: None)
    found: list[Reading] = await rig.store.read(lambda conn: list(select(conn, sources=[NORTH])))
    return found


def causes(rig: Any) -> str:
    """Return what a person is told."""
    return " ".join(notice.cause for notice in rig.live.notices(rig.clock.now()))


def body(seq: int) -> dict[str, object]:
    """Return a numbered reading."""
    return {"boot": "b", "seq": seq, "temp_c": 18 + seq / 10}


async def test_a_broker_that_remembers_brings_what_was_missed(rig: Any, eventually: Any, broker: Any) -> None:
    """What was published while the broker and then ingle were away arrives: the broker kept our session."""
    broker.stop()
    broker.settings = f"persistence true\npersistence_location {broker.folder}/\nautosave_interval 1"
    broker.start()
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    await link.stop()
    outside = Outside(broker.port)
    await asyncio.to_thread(outside.publish, READING, body(1))
    outside.close()
    broker.stop()
    broker.start()
    link = rig.link()
    await link.start()
    await eventually(lambda: rig.intake.counts.get(NORTH), "the reading that was missed")
    assert "resumed session" in link.state
    assert [each.seq for each in await rows(rig)] == [1]
    await link.stop()


async def test_a_broker_that_forgets_is_told_everything_anew(rig: Any, eventually: Any, broker: Any) -> None:
    """After a power cut of a broker that keeps nothing, readings flow again over a new session."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    broker.stop(kill=True)
    await eventually(lambda: not link.up, "the loss is noticed")
    assert "broker cannot be used" in causes(rig)
    broker.start()
    await eventually(lambda: link.up, "up again")
    assert "new session" in link.state
    assert "broker" not in causes(rig)
    outside = Outside(broker.port)
    await asyncio.to_thread(outside.publish, READING, body(1))
    await eventually(lambda: rig.intake.counts.get(NORTH), "the next reading")
    await link.stop()
    outside.close()


async def test_a_clean_stop_leaves_nothing_to_be_sent_again(rig: Any, eventually: Any, broker: Any) -> None:
    """What came before a stop is committed and acknowledged: the next start gets none of it a second time."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    for seq in range(5):
        await asyncio.to_thread(outside.publish, READING, body(seq))
    await eventually(lambda: rig.intake.counts.get(NORTH) and rig.intake.counts[NORTH].accepted == 5, "all arrive")
    await link.stop()
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up again")
    await asyncio.to_thread(outside.publish, READING, body(5))
    await eventually(lambda: rig.intake.counts[NORTH].accepted >= 6, "the next one")
    assert len(await rows(rig)) == 6
    assert (rig.intake.counts[NORTH].accepted, rig.intake.counts[NORTH].duplicates) == (6, 0)
    await link.stop()
    outside.close()


@pytest.mark.parametrize("password", ["harbour", "wrong"])
async def test_user_and_password(rig: Any, eventually: Any, broker: Any, password: str) -> None:
    """The right password opens; a wrong one is named as such, and is not tried again in a hurry."""
    broker.stop()
    passwords = broker.folder / "passwords"
    tool = shutil.which("mosquitto_passwd") or "/usr/bin/mosquitto_passwd"
    await asyncio.to_thread(subprocess.run, [tool, "-b", "-c", str(passwords), "ingle", "harbour"], check=True)
    passwords.chmod(0o644)
    broker.settings, broker.anonymous = f"password_file {passwords}", False
    broker.start()
    rig.broker = replace(rig.broker, username="ingle", password=lambda: password)
    link = rig.link()
    await link.start()
    if password == "harbour":
        await eventually(lambda: link.up, "up")
    else:
        await eventually(lambda: "refuses" in link.state, "the refusal")
        assert "not authorized" in link.state
        assert "not authorized" in causes(rig)
        progress = link.progress
        await eventually(lambda: link.progress > progress, "it waits, and lives")
        assert not link.up
    await link.stop()


async def test_the_embedded_broker_is_found_by_its_silence(rig: Any, eventually: Any) -> None:
    """A real broker of 3.1.1 alone gives MQTT 5 no answer; it is then spoken to in its own protocol."""
    embedded = await start_broker()
    rig.broker = replace(rig.broker, port=embedded.port, clean_session=True)
    link = rig.link(connack_s=0.5)
    await link.start()
    await eventually(lambda: link.up, "up")
    assert "MQTT 3.1.1" in link.state
    outside = await asyncio.to_thread(Outside, embedded.port)
    await asyncio.to_thread(outside.publish, READING, body(1))
    await eventually(lambda: rig.intake.counts.get(NORTH), "a reading comes through")
    await link.stop()
    await asyncio.to_thread(outside.close)
    await embedded.stop()


async def test_of_a_qos_0_flood_the_newest_counts(rig: Any, eventually: Any, broker: Any) -> None:
    """At QoS 0 what waits for the loop is one message a topic, the newest."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)

    def flood() -> None:
        for seq in range(2000):
            outside._client.publish(READING, json.dumps({"t": 1768194000 + seq, "energy_wh": seq}), qos=0)

    flood()  # on the loop's own thread: nothing is handed over meanwhile
    await eventually(lambda: rig.intake.counts.get(NORTH), "the first ones")
    await asyncio.to_thread(outside.publish, "ingle/heater/south-1/reading", {"temp_c": 18})
    await eventually(lambda: rig.intake.counts.get(Source("heater", "south-1")), "what came behind them")
    stored = await rows(rig)
    assert max(each.energy_wh or 0 for each in stored) == 1999
    assert len(stored) < 2000
    await link.stop()
    outside.close()


async def test_a_message_that_breaks_the_reader_is_set_aside(
    rig: Any, eventually: Any, broker: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error of ours on one message is counted; the message is acknowledged, and those behind it are taken."""
    reading = payloads.reading

    def fragile(source: Source, payload: bytes, arrived_ms: int, *, retained: bool) -> Reading:
        if b"16.5" in payload:
            raise ZeroDivisionError
        return reading(source, payload, arrived_ms, retained=retained)

    monkeypatch.setattr(payloads, "reading", fragile)
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    for temp_c in (16.5, 17.5):
        await asyncio.to_thread(outside.publish, READING, {"temp_c": temp_c})
    await eventually(lambda: rig.intake.counts.get(NORTH), "the second one")
    assert rig.intake.refusals["it broke the reader: ZeroDivisionError"] == 1
    await link.stop()
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up again")
    await asyncio.to_thread(outside.publish, READING, {"temp_c": 18.5})
    await eventually(lambda: rig.intake.counts[NORTH].accepted == 2, "only the new one")
    assert rig.intake.refusals["it broke the reader: ZeroDivisionError"] == 1
    await link.stop()
    outside.close()


async def test_what_cannot_be_read_is_counted_by_its_heater(rig: Any, eventually: Any, broker: Any) -> None:
    """Garbage is acknowledged, counted with its reason and never stored; the last good value stays."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    await asyncio.to_thread(outside.publish, READING, {"temp_c": 18.5})
    for junk in (b"", b"\xff", b'{"temp_c": NaN}', b"[" * 4000, b"x" * 100_000, b'{"temp_c": true}'):
        await asyncio.to_thread(outside.publish, READING, junk)
    await eventually(lambda: rig.intake.counts.get(NORTH) and rig.intake.counts[NORTH].refused == 6, "all refused")
    assert [each.temp_c for each in await rows(rig)] == [18.5]
    assert rig.live.zone_now("north", rig.clock.now()).temp_c == 18.5
    await eventually(lambda: link._session.pending == 0, "all acknowledged")
    await link.stop()
    outside.close()


async def test_links_of_heaters_and_gateways(rig: Any, eventually: Any, broker: Any) -> None:
    """A heater whose link goes down is unreachable, and is back when it comes up; other words are refused."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)

    def state() -> str:
        return str(next(h.state for h in rig.live.heaters_now(rig.clock.now()) if h.id == "north-1"))

    await asyncio.to_thread(outside.publish, READING, {"temp_c": 18.5, "power_w": 0})
    await eventually(lambda: rig.intake.counts.get(NORTH), "it is heard")
    await asyncio.to_thread(outside.publish, "ingle/heater/north-1/link", b"down", retain=True)
    await eventually(lambda: state() == "unreachable", "it is down")
    await asyncio.to_thread(outside.publish, "ingle/heater/north-1/link", b"up", retain=True)
    await eventually(lambda: state() != "unreachable", "it is back")
    await asyncio.to_thread(outside.publish, "ingle/heater/north-1/link", b"maybe")
    await eventually(lambda: any("no link state" in why for why in rig.intake.refusals), "another word")
    await link.stop()
    outside.close()


async def test_a_broker_that_lets_us_not_listen_is_named(rig: Any, eventually: Any) -> None:
    """Failure codes in the answer to SUBSCRIBE are told, not passed over."""

    async def deaf(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.read(1024)
        writer.write(b"\x20\x02\x00\x00")  # CONNACK of 3.1.1: accepted
        subscribe = await reader.read(4096)
        start = subscribe.index(b"\x82")
        codes = b"\x80" * 8
        writer.write(b"\x90" + bytes([2 + len(codes)]) + subscribe[start + 3 : start + 5] + codes)
        await reader.read()
        writer.close()

    server = await asyncio.start_server(deaf, "127.0.0.1", 0)
    rig.broker = replace(rig.broker, port=server.sockets[0].getsockname()[1], protocol="3.1.1")
    link = rig.link()
    await link.start()
    await eventually(lambda: "refuses 8 of the topics" in causes(rig), "the refusal is told")
    await link.stop()
    server.close()


async def test_a_firmware_that_nobody_described_is_named(rig: Any, eventually: Any, broker: Any) -> None:
    """A heater of an unknown profile is told of, until a house without it comes."""
    strange = SMALL_HOUSE.replace("rated_w = 2000", 'rated_w = 2000\nprofile = "lighthouse"')
    rig.live.set_house(parse_house(strange, "strange.toml"))
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    assert "north-1 is of profile 'lighthouse'" in causes(rig)
    rig.live.set_house(parse_house(SMALL_HOUSE, "small.toml"))
    await eventually(lambda: "lighthouse" not in causes(rig), "it is taken back")
    await link.stop()
    del broker


async def test_an_acknowledgement_of_an_ended_connection_goes_nowhere(rig: Any, eventually: Any, broker: Any) -> None:
    """Packet ids start anew with each session: one that is late must not touch the next session's messages."""
    link = rig.link()
    await link.start()
    await eventually(lambda: link.up, "up")
    session: Session = link._session
    broker.stop()
    await eventually(lambda: not link.up, "the loss is noticed")
    before = session.pending
    session.ack([1, 2, 3])
    assert session.pending == before
    await link.stop()


def test_a_message_is_a_plain_value() -> None:
    """A message that is not acknowledged has no number, so that nobody acknowledges it by mistake."""
    message = Message("t", b"", retained=False, mid=0, response_topic=None, correlation=None, size=0)
    assert not message.mid
