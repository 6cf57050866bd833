"""The tick: programmes become orders on time, whatever the clock does, and nothing is said twice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from fakes import FakeClock
from houses import every_day, make_house, make_zone
from ingle.control.programme import due
from ingle.live.trust import Trust
from ingle.model.commands import Override
from ingle.model.devices import Heater
from ingle.model.house import House
from ingle.store.db import Store
from running import HOUSE, WENNA, Running

YEAR_S = 365.0 * 86_400


async def test_a_programme_edge_changes_the_order_within_one_tick(running: Running) -> None:
    """Right before 06:30 setback is ordered, at the first tick after it the occupied level is."""
    running.pass_until(datetime(2026, 1, 12, 6, 29, 58, tzinfo=UTC))
    assert running.ledger.newest("loft-1").setpoint_c == 16.0
    running.ledger.drain()
    running.pass_time(2)
    assert [(name, order.setpoint_c) for name, order in running.ledger.drain()] == [("loft-1", 20.0)]


async def test_an_order_is_complete_and_expires(running: Running) -> None:
    """Every order is absolute: setpoint, plate, fall-back, and half an hour to live."""
    order = running.ledger.newest("loft-1")
    assert (order.setpoint_c, order.limit_w, order.locked, order.fallback_c) == (16.0, 1500.0, False, 16.0)
    assert order.valid_for_s == 1800
    assert order.valid_until - timedelta(seconds=1800) <= running.clock.now()


async def test_orders_are_renewed_every_ten_minutes_and_not_more(running: Running) -> None:
    """In a quiet hour each heater is ordered the same six times, so that no order runs out."""
    running.pass_until(datetime(2026, 1, 12, 10, 0, tzinfo=UTC))
    running.ledger.drain()
    running.pass_time(3600)
    orders = running.ledger.drain()
    assert [sum(name == heater for name, _ in orders) for heater in ("loft-1", "hall-1")] == [6, 6]
    assert {order.setpoint_c for _, order in orders} == {16.0}


async def test_states_are_told_only_when_they_change(running: Running) -> None:
    """In a quiet hour nothing is told of zones and heaters, but for the silence of the heaters."""
    running.pass_time(600)
    running.ledger.zones.clear()
    running.pass_until(datetime(2026, 1, 12, 6, 29, tzinfo=UTC))
    assert running.ledger.zones == []
    running.pass_time(120)
    assert [zone.level for zone in running.ledger.zones] == ["occupied"]


async def test_decisions_that_change_are_recorded_with_their_reason(running: Running) -> None:
    """Each change of what rules is an event with its rule, its sentence and its end; a standing one is not repeated."""
    running.pass_until(datetime(2026, 1, 12, 9, 30, tzinfo=UTC))
    of_loft = [event.data for event in await running.events("decision") if event.subject == "loft"]
    assert [(data["rule"], data["wanted_c"]) for data in of_loft] == [
        ("programme", 16.0),
        ("programme", 20.0),
        ("programme", 16.0),
    ]
    assert of_loft[1]["reason"].startswith("The programme wants 20 °C (occupied) until 09:00")
    assert of_loft[1]["until"] == "2026-01-12T09:00:00Z"


async def test_a_decision_that_stands_is_recorded_once_a_day(running: Running) -> None:
    """In three days without a change a zone's decision is recorded four times, so that a start finds it."""
    running.pass_time(3 * 86_400, every_s=60)
    of_hall = [event.data["rule"] for event in await running.events("decision") if event.subject == "hall"]
    assert of_hall == ["no-programme"] * 4


@pytest.mark.parametrize("eve", [datetime(2026, 3, 28, 0, 0, tzinfo=UTC), datetime(2026, 10, 24, 0, 0, tzinfo=UTC)])
async def test_two_days_around_a_clock_change(store: Store, eve: datetime) -> None:
    """Through the nights on which the clocks change, each tick's order is what is due at its instant."""
    periods = (("00:30", "01:20", 19.0), ("01:40", "02:30", "occupied"), ("06:30", "09:00", "occupied"))
    house = make_house(make_zone("loft"), programmes=(every_day("loft", *periods),))
    clock = FakeClock(eve)
    running = Running(store, clock)
    await running.start(house)
    days = set()
    for _ in range(48 * 60 * 2):
        running.pass_time(30, every_s=30)
        wanted_c = due(house, house.zones[0], clock.now()).wanted_c
        assert running.ledger.newest("loft-1").setpoint_c == wanted_c
        days.add(clock.now().astimezone(ZoneInfo("Europe/London")).utcoffset())
    assert len(days) == 2
    changes = [order.setpoint_c for _, order in running.ledger.orders]
    edges = sum(before != after for before, after in pairwise(changes))
    recorded = [event.data["wanted_c"] for event in await running.events("decision")]
    assert edges == sum(before != after for before, after in pairwise(recorded)) > 8


@pytest.mark.parametrize("step_s", [-3600.0, 3600.0, 2 * YEAR_S, -2 * YEAR_S, 35.0])
async def test_a_clock_that_is_set_gives_the_right_order_in_one_tick_and_no_burst(
    running: Running, step_s: float
) -> None:
    """Set by minutes or by years, the next tick wants what is due then; each heater gets one order, with a new end."""
    running.pass_until(datetime(2026, 1, 12, 6, 40, tzinfo=UTC))
    running.ledger.drain()
    running.clock.step(step_s)
    running.pass_time(2)
    wanted_c = due(HOUSE, HOUSE.zones[0], running.clock.now()).wanted_c
    assert running.ledger.newest("loft-1").setpoint_c == wanted_c
    running.pass_time(20)
    orders = running.ledger.drain()
    assert sorted(name for name, _ in orders) == ["hall-1", "loft-1"]
    assert all(abs(order.valid_until - running.clock.now()) < timedelta(minutes=31) for _, order in orders)
    steps = [event.data["seconds"] for event in await running.events("clock-stepped")]
    assert steps == [pytest.approx(step_s)]


async def test_a_late_tick_decides_for_the_present(running: Running) -> None:
    """After a stop of three hours the next tick orders what is due now, and nothing of what was missed."""
    running.pass_until(datetime(2026, 1, 12, 6, 20, tzinfo=UTC))
    running.ledger.drain()
    running.clock.jump(3 * 3600)
    running.commands.tick()
    assert [(name, order.setpoint_c) for name, order in running.ledger.drain()] == [("loft-1", 16.0), ("hall-1", 16.0)]


async def test_no_programme_runs_on_an_untrusted_clock(store: Store, clock: FakeClock) -> None:
    """Until somebody vouches for the time setback is kept; then the programme runs at the next tick."""
    trust = Trust(clock, synchronised=lambda: False)
    running = Running(store, clock, trust=trust)
    await running.start()
    running.pass_until(datetime(2026, 1, 12, 6, 35, tzinfo=UTC) - timedelta(minutes=26))
    assert running.live.house_now(clock.now()).clock == "untrusted"
    clock.step(26 * 60)
    running.pass_time(2)
    assert running.ledger.newest("loft-1").setpoint_c == 16.0
    house = await running.commands.confirm_clock(WENNA)
    assert house.clock == "stepped"
    assert running.ledger.newest("loft-1").setpoint_c == 20.0


async def test_the_last_decision_outlives_a_restart_on_an_untrusted_clock(store: Store, clock: FakeClock) -> None:
    """A restart whose clock nobody vouches for goes on with what the programme wanted last."""
    first = Running(store, clock)
    await first.start()
    first.pass_until(datetime(2026, 1, 12, 6, 31, tzinfo=UTC))
    await first.commands.flush()
    clock.step(-3 * 3600)
    second = Running(store, clock, trust=Trust(clock, synchronised=lambda: False))
    await second.start()
    zone = second.live.zone_now("loft", clock.now())
    assert zone is not None
    assert (zone.rule, zone.wanted_c) == ("clock-untrusted", 20.0)


async def test_frost_and_overrides_work_on_an_untrusted_clock(store: Store, clock: FakeClock) -> None:
    """What a person asks for, and the frost floor, do not wait for the time."""
    running = Running(store, clock, trust=Trust(clock, synchronised=lambda: False))
    await running.start()
    await running.commands.zone_request("loft", Override(temp_c=21.0, duration="PT1H"), WENNA)
    assert running.ledger.newest("loft-1").setpoint_c == 21.0
    running.hear("hall-1", temp_c=4.0)
    running.pass_time(2)
    zone = running.live.zone_now("hall", clock.now())
    assert zone is not None
    assert zone.rule == "frost-floor"


async def test_heaters_start_in_turn(store: Store, clock: FakeClock) -> None:
    """After a start the first orders that give heat go out one a tick."""
    house = make_house(*(make_zone(f"room-{i}") for i in range(6)))
    running = Running(store, clock)
    await running.commands.start(house)
    counts = [len(running.ledger.drain())]
    for _ in range(6):
        running.pass_time(2)
        counts.append(len(running.ledger.drain()))
    assert counts == [1, 1, 1, 1, 1, 1, 0]


async def test_heaters_that_come_back_together_start_in_turn(store: Store, clock: FakeClock) -> None:
    """Cut off they are ordered no heat; back, each gets its heat one tick after the one before it."""
    house = make_house(*(make_zone(f"room-{i}") for i in range(4)))
    running = Running(store, clock)
    await running.start(house)
    names = [f"room-{i}-1" for i in range(4)]
    for name in names:
        running.live.link("heater", name, up=False)
    running.pass_time(120)
    assert [running.ledger.newest(name).limit_w for name in names] == [0.0] * 4
    for name in names:
        running.live.link("heater", name, up=True)
    started = []
    for _ in range(5):
        running.pass_time(2)
        started.append(sum(running.ledger.newest(name).limit_w > 0 for name in names))
    assert started == [1, 2, 3, 4, 4]


async def test_a_heater_with_a_fault_loses_its_order(running: Running) -> None:
    """What ingle no longer drives is taken back, once; when the fault is gone it is ordered again."""
    running.hear("loft-1", fault="E4")
    running.pass_time(10)
    assert running.ledger.withdrawn == ["loft-1"]
    running.hear("loft-1", fault="")
    running.ledger.drain()
    running.pass_time(2)
    assert [name for name, _ in running.ledger.drain()] == ["loft-1"]


async def test_notices_are_told_and_recorded_when_they_begin_and_end(running: Running) -> None:
    """A fault is told to the publisher and recorded once as begun and once as over."""
    running.hear("loft-1", fault="E4")
    running.pass_time(4)
    assert [notice.key for notice in running.ledger.told[-1]] == ["fault:loft-1", "not-driven:loft"]
    running.hear("loft-1", fault="")
    running.pass_time(4)
    assert running.ledger.told[-1] == ()
    kinds = [event.kind for event in await running.events() if event.subject == "fault:loft-1"]
    assert kinds == ["notice", "notice-ended"]


async def test_a_house_with_nothing_still_ticks(store: Store, clock: FakeClock) -> None:
    """No house at all, or one without zones, is no trouble."""
    running = Running(store, clock)
    await running.start(None)
    await running.start(make_house())
    assert running.ledger.orders == []


def capped(cap_a: float) -> House:
    """Return a house with ten equal rooms under a cap."""
    rooms = (make_zone(f"room-{i}", Heater(id=f"room-{i}-1", rated_w=2000.0)) for i in range(10))
    return make_house(*rooms, site={"supply_cap_a": cap_a})


async def test_a_day_under_a_cap(store: Store, clock: FakeClock) -> None:
    """Ten cold rooms share a third of their plates: never over the cap, nobody more than a quarter of an hour without.

    The rooms obey at once and cool or warm by a kelvin in ten minutes; the cap holds for what they really draw.
    """
    running = Running(store, clock)
    await running.start(capped(45.0))
    temps = {f"room-{i}": 10.0 + i / 2 for i in range(10)}
    heated: dict[str, datetime] = {}
    orders: dict[str, float] = {}
    for _ in range(6 * 360):
        for name, temp_c in temps.items():
            limit_w: Any = orders.get(f"{name}-1", 0.0)
            heating = limit_w > 0 and temp_c < 16.0
            temps[name] += 10 / 600 if heating else -5 / 600
            running.hear(f"{name}-1", temp_c=temp_c, power_w=limit_w if heating else 0.0, voltage_v=230.0)
            if heating or temp_c >= 15.5:
                heated[name] = clock.now()
        running.pass_time(10, every_s=10)
        orders |= {name: order.limit_w for name, order in running.ledger.drain()}
        assert sum(orders.values()) / 230.0 <= 45.0
    assert min(heated.values()) > clock.now() - timedelta(minutes=20)
