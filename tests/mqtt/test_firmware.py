"""A heater of another firmware on a real broker: its readings come in, its orders go out."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from harness import SMALL_HOUSE, Outside
from ingle.config.house import parse_house
from ingle.config.profile import load_profiles
from ingle.model.decisions import Wanted
from ingle.model.readings import Source
from ingle.store.readings import select

SHIPPED = Path(__file__).parents[2] / "config" / "profiles"
NORTH = Source("heater", "north-1")
PANELS = SMALL_HOUSE.replace("rated_w = 2000", 'rated_w = 2000\nprofile = "harbour-scalar"')


def everything(outside: Outside) -> None:
    """Hear other people's topics too."""
    outside._client.subscribe("panels/#", qos=1)


async def test_readings_come_in_and_orders_go_out(rig: Any, eventually: Any, broker: Any) -> None:
    """One topic a value, in its own units and words: stored as ours, ordered as theirs, down when it says so."""
    rig.live.set_house(parse_house(PANELS, "panels.toml"))
    link = rig.link(profiles=load_profiles([SHIPPED]))
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    everything(outside)
    for name, payload in (("power", b"8125"), ("counter", b"1.2345"), ("room", b"1865"), ("target", b"2000")):
        await asyncio.to_thread(outside.publish, f"panels/north-1/{name}", payload)
    await asyncio.to_thread(outside.publish, "panels/north-1/room", b"warm")
    await eventually(lambda: rig.intake.counts.get(NORTH) and rig.intake.counts[NORTH].refused, "the last one")
    assert "'warm' is no number" in rig.intake.counts[NORTH].last_refusal

    def stored(conn: Any) -> dict[str, float]:
        names = ("power_w", "energy_wh", "temp_c", "setpoint_c")
        found = select(conn, sources=[NORTH])
        return {name: value for each in found for name in names if (value := getattr(each, name)) is not None}

    await rig.store.write(lambda _: None)
    assert await rig.store.read(stored) == {"power_w": 812.5, "energy_wh": 1234.5, "temp_c": 18.65, "setpoint_c": 20.0}
    zone = rig.live.house.zones[0]
    now = datetime.now(UTC)  # noqa: TID251 - the broker's clock is real
    order = Wanted(
        setpoint_c=20.5,
        limit_w=1500.0,
        locked=True,
        fallback_c=16.0,
        valid_for_s=1800,
        valid_until=now + timedelta(seconds=1800),
    )
    link.orders.wanted(zone.heaters[0], zone, order)
    await eventually(lambda: outside.heard.get("panels/north-1/set/target") == 2050, "the setpoint in theirs")
    await eventually(lambda: outside.heard.get("panels/north-1/set/most") == 1500, "the limit")
    await eventually(lambda: outside.heard.get("panels/north-1/set/buttons") == "off", "the lock")
    await eventually(
        lambda: outside.heard.get("panels/north-1/set/silence") == {"hold": 1600, "after": 1800}, "silence"
    )
    await asyncio.to_thread(outside.publish, "panels/north-1/alive", b"no")
    await eventually(lambda: rig.live.heaters_now(rig.clock.now())[0].state == "unreachable", "its goodbye")
    await link.stop()
    outside.close()


async def test_a_house_loaded_later_is_followed(rig: Any, eventually: Any, broker: Any) -> None:
    """A heater that a new house puts under another firmware is heard without a new connection."""
    link = rig.link(profiles=load_profiles([SHIPPED]))
    await link.start()
    await eventually(lambda: link.up, "up")
    outside = Outside(broker.port)
    rig.live.set_house(parse_house(PANELS, "panels.toml"))
    await eventually(lambda: "panels/north-1/room" in link._foreign, "the new house is seen")
    # Retained, as the subscription may still be on its way.
    await asyncio.to_thread(outside.publish, "panels/north-1/room", b"1865", retain=True)
    await eventually(lambda: rig.live.zone_now("north", rig.clock.now()).temp_c == 18.65, "it is heard")
    await link.stop()
    outside.close()
