"""Requests: what a person or a script asks takes effect at once, ends exactly, survives a restart, or is refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from fakes import FakeClock
from houses import every_day, make_house, make_zone
from ingle.commands import house_etag
from ingle.commands.outbox import Outbox
from ingle.commands.spans import ends, span
from ingle.errors import BadInput, Refused, Unknown, Unreachable
from ingle.model.commands import Cap, LockLocal, Override, Release, SetLevel, UnlockLocal, ZoneRequest
from ingle.model.devices import Heater
from ingle.model.instants import to_ms
from ingle.store import houses
from ingle.store.db import Store
from running import HOUSE, WENNA, Running


async def test_an_override_is_ordered_before_it_is_answered(running: Running) -> None:
    """The answer shows it in force, the order is out, and the audit trail has who asked what until when."""
    running.ledger.drain()
    zone = await running.commands.zone_request("loft", Override(temp_c=22.0, duration="PT90M", why="bath"), WENNA)
    assert (zone.wanted_c, zone.rule, zone.held) == (22.0, "override", True)
    assert zone.reason.endswith("bath")
    assert [(name, order.setpoint_c) for name, order in running.ledger.drain()] == [("loft-1", 22.0)]
    request = (await running.events("request"))[-1]
    assert request.subject == "loft"
    assert {
        "do": "override",
        "temp_c": 22.0,
        "for": "PT90M",
        "who": "Wenna",
        "via": "http",
    }.items() <= request.data.items()


async def test_a_person_does_not_wait_for_a_turn(store: Store, clock: FakeClock) -> None:
    """Right after a start, when heaters start in turn, an override goes out at once."""
    running = Running(store, clock)
    await running.commands.start(make_house(*(make_zone(f"room-{i}") for i in range(9))))
    running.ledger.drain()
    await running.commands.zone_request("room-8", Override(temp_c=22.0), WENNA)
    assert ("room-8-1", 22.0) in [(name, order.setpoint_c) for name, order in running.ledger.drain()]


@pytest.mark.parametrize(
    "request_",
    [Override(temp_c=22.0, duration="PT90M"), SetLevel(level="vacant", duration="PT90M")],
    ids=["override", "level"],
)
async def test_a_request_ends_exactly_and_all_is_as_before(running: Running, request_: ZoneRequest) -> None:
    """For 90 minutes it holds, a tick later nothing of it is left: the state after is the state before."""
    running.pass_until(datetime(2026, 1, 12, 12, 0, tzinfo=UTC))
    before = running.live.zone_now("loft", running.clock.now())
    asked = running.clock.now()
    await running.commands.zone_request("loft", request_, WENNA)
    running.pass_until(asked + timedelta(minutes=90, seconds=-2))
    zone = running.live.zone_now("loft", running.clock.now())
    assert zone is not None
    assert zone.held
    running.pass_time(2)
    assert running.live.zone_now("loft", running.clock.now()) == before
    assert [(event.subject, event.data["by"]) for event in await running.events("hold-ended")] == [("loft", "time")]


async def test_release_ends_a_request_now(running: Running) -> None:
    """After a release the programme rules again; releasing nothing is no fault."""
    await running.commands.zone_request("loft", Override(temp_c=22.0), WENNA)
    zone = await running.commands.zone_request("loft", Release(), WENNA)
    assert (zone.rule, zone.held) == ("programme", False)
    assert not (await running.commands.zone_request("loft", Release(), WENNA)).held


async def test_without_an_end_a_request_holds_to_the_next_transition(running: Running) -> None:
    """An override at 06:01 ends when the programme changes at 06:30; without a programme after twelve hours."""
    zone = await running.commands.zone_request("loft", Override(temp_c=22.0), WENNA)
    assert zone.until == datetime(2026, 1, 12, 6, 30, tzinfo=UTC)
    zone = await running.commands.zone_request("hall", Override(temp_c=22.0), WENNA)
    assert zone.until == running.clock.now() + timedelta(hours=12)


async def test_requests_outlive_a_restart(running: Running, store: Store, clock: FakeClock) -> None:
    """An override, a lowered cap and a lock are in force again after a restart, and end at their instants."""
    await running.commands.zone_request("loft", Override(temp_c=22.0, duration="PT90M"), WENNA)
    await running.commands.zone_request("hall", LockLocal(), WENNA)
    await running.commands.limit_request(Cap(cap_a=10.0, duration="PT30M"), WENNA)
    await running.commands.flush()
    again = Running(store, clock)
    await again.start()
    zone = again.live.zone_now("loft", clock.now())
    assert zone is not None
    assert zone.wanted_c == 22.0
    assert again.ledger.newest("hall-1").locked
    assert again.live.house_now(clock.now()).cap_w == 2300.0
    again.pass_time(30 * 60)
    assert again.live.house_now(clock.now()).cap_w is None
    again.pass_time(60 * 60)
    zone = again.live.zone_now("loft", clock.now())
    assert zone is not None
    assert not zone.held


async def test_a_request_for_a_while_moves_with_a_clock_that_is_set(running: Running) -> None:
    """Ninety minutes stay ninety minutes when the clock is set by two years in between; an instant stays an instant."""
    await running.commands.zone_request("loft", Override(temp_c=22.0, duration="PT90M"), WENNA)
    await running.commands.zone_request(
        "hall", Override(temp_c=22.0, until=running.clock.now() + timedelta(hours=1)), WENNA
    )
    running.pass_time(1800)
    running.clock.step(2 * 365 * 86_400.0)
    running.pass_time(2)
    loft, hall = running.live.zones_now(running.clock.now())
    assert (loft.held, hall.held) == (True, False)
    running.pass_time(3598 - 4)
    assert running.live.zones_now(running.clock.now())[0].held
    running.pass_time(6)
    assert not running.live.zones_now(running.clock.now())[0].held


async def test_an_ended_request_stays_ended_when_the_clock_is_set_back(
    running: Running, store: Store, clock: FakeClock
) -> None:
    """What ran out does not come back to life at the next start on an earlier clock."""
    await running.commands.zone_request("loft", Override(temp_c=22.0, until=clock.now() + timedelta(minutes=10)), WENNA)
    running.pass_time(602)
    await running.commands.flush()
    clock.step(-1800)
    again = Running(store, clock)
    await again.start()
    zone = again.live.zone_now("loft", clock.now())
    assert zone is not None
    assert not zone.held


async def test_locking_a_zone_locks_its_heaters(running: Running) -> None:
    """The order carries the lock, and an unlock takes it away."""
    await running.commands.zone_request("loft", LockLocal(), WENNA)
    assert running.ledger.newest("loft-1").locked
    await running.commands.zone_request("loft", UnlockLocal(), WENNA)
    assert not running.ledger.newest("loft-1").locked


async def test_a_lower_cap_sheds_at_once_and_lapses(running: Running) -> None:
    """A cap asked for takes effect before it is answered, and ends by itself; a release ends it sooner."""
    house = await running.commands.limit_request(Cap(cap_a=8.0, duration="PT10M"), WENNA)
    assert house.cap_w == 8.0 * 230.0
    assert sorted(running.ledger.newest(name).limit_w for name in ("loft-1", "hall-1")) == [0.0, 1500.0]
    assert (await running.commands.limit_request(Release(), WENNA)).cap_w is None


@pytest.mark.parametrize(
    ("request_", "pointer", "allowed"),
    [
        (Override(temp_c=5.0), "/temp_c", "7 °C (the floor of Loft) to 35 °C"),
        (Override(temp_c=99.0), "/temp_c", "35 °C"),
        (Override(temp_c=float("nan")), "/temp_c", "35 °C"),
        (Override(temp_c=21.0, duration="PT0S"), "/for", "above zero"),
        (Override(temp_c=21.0, duration="P8D"), "/for", "at most 7 days"),
        (Override(temp_c=21.0, duration="P99999999999999999W"), "/for", "at most 7 days"),
        (Override(temp_c=21.0, until=datetime(2026, 1, 12, 6, 0, tzinfo=UTC)), "/until", "after now"),
        (Override(temp_c=21.0, until=datetime(2026, 2, 12, 6, 0, tzinfo=UTC)), "/until", "7 days ahead"),
        (
            SetLevel(level="vacant", duration="PT1H", until=datetime(2026, 1, 12, 9, 0, tzinfo=UTC)),
            "/until",
            "one of for and until",
        ),
    ],
)
async def test_a_request_that_cannot_be_is_refused_and_changes_nothing(
    running: Running, request_: ZoneRequest, pointer: str, allowed: str
) -> None:
    """The fault points at the field and says what is allowed; nothing is ordered, held or recorded."""
    running.ledger.drain()
    with pytest.raises(BadInput) as caught:
        await running.commands.zone_request("loft", request_, WENNA)
    assert [fault.pointer for fault in caught.value.faults] == [pointer]
    assert allowed in caught.value.faults[0].allowed
    assert running.ledger.drain() == []
    assert running.live.holds == ()
    assert await running.events("request") == []


async def test_an_unknown_zone_is_named(running: Running) -> None:
    """A zone that the house does not have is an error of its own."""
    with pytest.raises(Unknown, match="'attic' is not in this house"):
        await running.commands.zone_request("attic", Override(temp_c=21.0), WENNA)


@pytest.mark.parametrize("cap_a", [-1.0, float("nan")])
async def test_a_cap_is_a_current(running: Running, cap_a: float) -> None:
    """A cap below nothing, or no number, is refused."""
    with pytest.raises(BadInput, match="cap_a"):
        await running.commands.limit_request(Cap(cap_a=cap_a), WENNA)


async def test_a_portable_heater_is_not_started_from_afar(store: Store, clock: FakeClock) -> None:
    """Where no heater may be driven a request for heat is refused, with the reason."""
    running = Running(store, clock)
    await running.start(make_house(make_zone("loft", Heater(id="p1", rated_w=2000.0, portable=True))))
    with pytest.raises(Refused, match="heater p1 is not driven: it is portable"):
        await running.commands.zone_request("loft", Override(temp_c=21.0), WENNA)


async def test_an_explanation_names_every_rule_that_speaks(running: Running) -> None:
    """For a zone with an override the explanation has it first, then the programme."""
    await running.commands.zone_request("loft", Override(temp_c=22.0), WENNA)
    assert [voice.rule for voice in running.commands.explain("loft")] == ["override", "programme"]


async def test_loading_a_house_runs_it_at_once(running: Running, store: Store) -> None:
    """The new house's wishes are ordered, the revision is stored with who and why, and the event is recorded."""
    house = make_house(make_zone("loft"), programmes=(every_day("loft", ("05:00", "09:00", 19.0)),))
    await running.commands.zone_request("hall", Override(temp_c=22.0, duration="PT1H"), WENNA)
    revision = await running.commands.load_house(house, origin=WENNA, why="hall let", expected=house_etag(HOUSE))
    assert (revision.who, revision.why, revision.digest) == ("Wenna", "hall let", house_etag(house))
    assert running.ledger.newest("loft-1").setpoint_c == 19.0
    assert running.ledger.withdrawn == ["hall-1"]
    assert running.ledger.gone == {"hall", "hall-1"}
    assert [zone.id for zone in running.live.zones_now(running.clock.now())] == ["loft"]
    stored = await store.read(houses.current)
    assert stored is not None
    assert stored.house == house
    assert [event.data["why"] for event in await running.events("house")] == ["hall let"]
    assert [event.data["by"] for event in await running.events("hold-ended")] == ["house"]


async def test_what_left_the_house_while_nobody_served_is_taken_back(store: Store, clock: FakeClock) -> None:
    """A start takes back what an earlier life ordered and told of heaters and zones that are gone since."""
    for house in (HOUSE, make_house(make_zone("loft"))):
        await store.write(partial(houses.save, house=house, who="Wenna", why="", t_ms=to_ms(clock.now())))
    running = Running(store, clock)
    await running.start(None)
    assert running.ledger.withdrawn == ["hall-1"]
    assert running.ledger.gone == {"hall", "hall-1"}


async def test_two_people_do_not_overwrite_each_other(running: Running) -> None:
    """A house based on one that no longer runs is refused, and the running one stays."""
    with pytest.raises(Refused, match="changed meanwhile"):
        await running.commands.load_house(make_house(), origin=WENNA, why="", expected="0" * 32)
    assert running.live.house is HOUSE


async def test_a_stored_house_is_run_at_the_next_start(running: Running, store: Store, clock: FakeClock) -> None:
    """A start without a house takes the newest revision."""
    await running.commands.load_house(HOUSE, origin=WENNA, why="first", expected=None)
    again = Running(store, clock)
    await again.start(None)
    assert again.live.house == HOUSE


class FullDisk:
    """A store whose disk is full until a test frees it; it counts its commits."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.full = True

    async def write(self, fn: Any) -> Any:
        """Refuse, or write."""
        if self.full:
            raise Unreachable("the database cannot be written: the disk is full")
        return await self.store.write(fn)

    async def read(self, fn: Any) -> Any:
        """Read as ever."""
        return await self.store.read(fn)


async def test_with_a_full_disk_requests_act_and_their_rows_follow(store: Store, clock: FakeClock) -> None:
    """Nothing waits for the disk; when it is back all rows are there, in their order."""
    disk = FullDisk(store)
    running = Running(disk, clock)  # type: ignore[arg-type]  # stands in for a store
    await running.start()
    zone = await running.commands.zone_request("loft", Override(temp_c=22.0, duration="PT90M"), WENNA)
    assert zone.wanted_c == 22.0
    assert running.ledger.newest("loft-1").setpoint_c == 22.0
    await running.commands.zone_request("loft", Release(), WENNA)
    await running.commands.zone_request("loft", SetLevel(level="vacant", duration="PT90M"), WENNA)
    assert not await running.commands.flush()
    disk.full = False
    dos = [event.data["do"] for event in await running.events("request")]
    assert dos == ["override", "release", "set-level"]
    again = Running(store, clock)
    await again.start()
    loft = again.live.zone_now("loft", clock.now())
    assert loft is not None
    assert loft.level == "vacant"


async def test_a_house_is_not_run_that_would_be_forgotten(store: Store, clock: FakeClock) -> None:
    """With a full disk a new house is refused, and the running one stays."""
    running = Running(FullDisk(store), clock)  # type: ignore[arg-type]  # stands in for a store
    await running.start()
    with pytest.raises(Unreachable, match="disk is full"):
        await running.commands.load_house(make_house(), origin=WENNA, why="", expected=None)
    assert running.live.house is HOUSE


async def test_a_database_that_cannot_be_read_does_not_stop_the_heating(tmp_path: Path, clock: FakeClock) -> None:
    """Without a database the house given is run."""
    store = await Store.open(tmp_path / "gone.db", clock=clock)
    await store.close()
    running = Running(store, clock)
    await running.start()
    assert running.ledger.newest("loft-1").setpoint_c == 16.0


async def test_the_outbox_is_bounded(store: Store, clock: FakeClock, monkeypatch: pytest.MonkeyPatch) -> None:
    """Past its bound the oldest rows go, and are counted."""
    monkeypatch.setattr("ingle.commands.outbox.BOUND", 3)
    outbox = Outbox(FullDisk(store), clock)
    for _ in range(5):
        outbox.put(lambda connection: connection)
    assert (len(outbox), outbox.lost) == (3, 2)


async def test_a_row_that_the_database_refuses_does_not_block_the_next(
    store: Store, clock: FakeClock, caplog: pytest.LogCaptureFixture
) -> None:
    """It is let go and said; what comes after is written."""
    outbox = Outbox(store, clock)
    assert await outbox.commit(lambda connection: connection.execute("INSERT INTO nowhere VALUES (1)"))
    assert (len(outbox), outbox.lost) == (0, 1)
    assert "no such table" in caplog.text
    assert await outbox.commit(lambda connection: connection.execute("SELECT 1"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("PT90M", timedelta(minutes=90)),
        ("P1W", timedelta(days=7)),
        ("P1DT2H3M4S", timedelta(days=1, hours=2, minutes=3, seconds=4)),
    ],
)
def test_durations(text: str, expected: timedelta) -> None:
    """Weeks, days, hours, minutes and seconds are read as ISO 8601 has them."""
    assert span(text) == expected


def test_a_far_transition_does_not_hold_for_ever() -> None:
    """Even to the next transition a request holds for seven days at most."""
    now = datetime(2026, 1, 12, tzinfo=UTC)
    assert ends(Override(temp_c=21.0), now, now + timedelta(days=30)) == now + timedelta(days=7)
