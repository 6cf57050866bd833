"""Heating tests: started where they can tell something, run for their nights, ended by what speaks against them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fakes import FakeClock
from houses import every_day, make_house, make_zone
from ingle.errors import BadInput, Refused, Unknown
from ingle.live.trust import Trust
from ingle.model.commands import Override, Release
from ingle.model.devices import Heater
from ingle.model.heating_tests import HeatingTest, HeatingTestPlan, HeatingTestStop
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.tariff import Rate, Tariff
from ingle.store import heating_tests as stored
from ingle.store.db import Store
from ingle.store.readings import insert
from running import WENNA, Running

HOUSE = make_house(
    make_zone("loft", given_w_per_k=40.0, neighbours=("hall",)),
    make_zone("hall", given_w_per_k=30.0),
    make_zone("porch", Heater(id="porch-1", rated_w=500.0, portable=True), given_w_per_k=10.0),
    make_zone("bath", Heater(id="bath-1", rated_w=600.0), given_w_per_k=30.0),
    programmes=(every_day("loft", ("06:30", "09:00", "occupied")),),
    site={"supply_cap_a": 60.0},
    tariffs=(Tariff(start="2025-01-01", currency="GBP", rates=(Rate(per_kwh=0.30),), tax_percent=5.0),),
)
HEATERS = ("loft-1", "hall-1", "porch-1", "bath-1")


def plan(**changes: Any) -> HeatingTestPlan:
    """Return a request for a test of the loft."""
    fields = {"zones": ("loft",), "temp_c": 21.0, "nights": 4, "empty": True, "who": "Wenna", "why": "sign-off"}
    return HeatingTestPlan(**{**fields, **changes})


async def ready(running: Running, *, outdoor_c: float = 5.0, unmetered: frozenset[str] = frozenset()) -> None:
    """Let every heater and the outdoor sensor report, live and into the store."""
    t_ms = to_ms(running.clock.now())
    heard = [
        Reading(
            source=Source("heater", heater),
            t_ms=t_ms,
            arrived_ms=t_ms,
            temp_c=20.0,
            energy_wh=1000.0,
            energy_is="computed" if heater in unmetered else "metered",
        )
        for heater in HEATERS
    ]
    outdoor = Reading(source=OUTDOOR, t_ms=t_ms, arrived_ms=t_ms, temp_c=outdoor_c)
    await running.store.write(lambda connection: insert(connection, [*heard, outdoor]))
    report(running)


def report(running: Running, temp_c: float = 20.0, **values: Any) -> None:
    """Let every heater report."""
    for heater in HEATERS:
        running.hear(heater, temp_c=temp_c, **values)


def live_for(running: Running, span: timedelta, every_s: float = 600.0) -> None:
    """Let time pass while every heater reports."""
    end = running.clock.now() + span
    while running.clock.now() < end:
        running.clock.jump(min(every_s, (end - running.clock.now()).total_seconds()))
        report(running)
        running.commands.tick()


@pytest.fixture(name="house")
async def _house(running: Running) -> Running:
    """Return a running house that is ready for a test."""
    await running.commands.load_house(HOUSE, origin=WENNA, why="", expected=None)
    await ready(running)
    return running


async def kept(running: Running, number: int = 1) -> HeatingTest:
    """Return a test as the store has it."""
    await running.commands.flush()
    found = await running.store.read(lambda connection: stored.find(connection, number))
    assert found is not None
    return found[0]


def rules(running: Running) -> dict[str, tuple[str, float]]:
    """Return what rules each zone, and what is wanted."""
    zones = running.live.zones_now(running.clock.now())
    return {zone.id: (zone.rule, zone.wanted_c) for zone in zones}


async def test_a_test_holds_its_rooms_and_their_neighbours_at_once(house: Running) -> None:
    """The answer is a number, the orders are out, and the audit trail has who asked for what."""
    test = await house.commands.heating_tests.start(plan(), WENNA)
    assert (test.number, test.stage, test.zones, test.guards) == (1, "settling", ("loft",), ("hall",))
    assert {zone: rule for zone, (rule, _) in rules(house).items()} == {
        "loft": "heating-test",
        "hall": "heating-test",
        "porch": "not-driven",
        "bath": "no-programme",
    }
    assert house.ledger.newest("loft-1").setpoint_c == 21.0
    assert house.ledger.newest("hall-1").setpoint_c == 21.0
    first, second = await house.events("heating-test")
    assert (first.data["stage"], first.data["who"], first.data["why"]) == ("planned", "Wenna", "sign-off")
    assert (second.subject, second.data["stage"]) == ("1", "settling")
    notice = next(one for one in house.live.notices(house.clock.now()) if one.key == "heating-test")
    assert notice.cause == "Heating test 1 holds Loft and Hall at 21 °C, night and day."


async def test_it_settles_measures_and_ends_by_itself(house: Running) -> None:
    """Over its nights the stages follow each other, each an event, and afterwards the programmes rule again."""
    test = await house.commands.heating_tests.start(plan(nights=3), WENNA)
    live_for(house, test.end - house.clock.now() + timedelta(minutes=1))
    stages = [event.data["stage"] for event in await house.events("heating-test")]
    assert stages == ["planned", "settling", "measuring", "done"]
    assert (await kept(house)).ended is not None
    assert rules(house)["loft"][0] == "programme"
    assert not [one for one in house.live.notices(house.clock.now()) if one.key == "heating-test"]


async def test_it_outlives_a_restart(house: Running, store: Store, clock: FakeClock) -> None:
    """Started again in the middle, the daemon holds the same rooms at once and goes on to the same end."""
    test = await house.commands.heating_tests.start(plan(nights=3), WENNA)
    live_for(house, timedelta(hours=40))
    await house.commands.flush()
    clock.jump(3600)
    again = Running(store, clock)
    await again.start(None)
    assert rules(again)["loft"] == ("heating-test", 21.0)
    assert again.commands.heating_tests.current is not None
    assert again.commands.heating_tests.current.stage == "measuring"
    live_for(again, test.end - clock.now() + timedelta(minutes=1))
    assert (await kept(again)).stage == "done"


async def test_a_start_after_its_end_only_notes_that(house: Running, store: Store, clock: FakeClock) -> None:
    """Where the machine was off when a test ended, the next start closes it and heats nothing for it."""
    await house.commands.heating_tests.start(plan(nights=3), WENNA)
    await house.commands.flush()
    clock.jump(10 * 86_400)
    again = Running(store, clock)
    await again.start(None)
    assert (await kept(again)).stage == "done"
    assert rules(again)["loft"][0] == "programme"


async def test_on_an_unset_clock_it_holds_on_and_still_ends(house: Running, store: Store, clock: FakeClock) -> None:
    """Back with a clock nobody vouches for, years off, the test goes on, and ends by the running time at last."""
    test = await house.commands.heating_tests.start(plan(nights=3), WENNA)
    live_for(house, timedelta(hours=40))
    await house.commands.flush()
    wrong = FakeClock(datetime(2021, 1, 1, tzinfo=UTC))
    trust = Trust(wrong, synchronised=lambda: False, newest_ms=to_ms(clock.now()))
    again = Running(store, wrong, trust=trust)
    await again.start(None)
    assert rules(again)["loft"] == ("heating-test", 21.0)
    live_for(again, test.end - test.asked - timedelta(hours=1))
    assert again.commands.heating_tests.current is not None
    live_for(again, timedelta(hours=2))
    assert again.commands.heating_tests.current is None
    assert (await kept(again)).reason.endswith("nobody vouches for the clock")


async def test_finding_the_time_after_a_start_ends_nothing(house: Running, store: Store, clock: FakeClock) -> None:
    """A board that starts with an old time and then finds a time server goes on with the test it had."""
    await house.commands.heating_tests.start(plan(nights=3), WENNA)
    live_for(house, timedelta(hours=40))
    await house.commands.flush()
    found: list[bool] = []
    late = FakeClock(clock.now() - timedelta(days=400))
    again = Running(store, late, trust=Trust(late, synchronised=lambda: bool(found), newest_ms=to_ms(clock.now())))
    await again.start(None)
    late.step(400 * 86_400 + 3600)
    found.append(True)
    report(again)
    again.commands.tick()
    assert again.commands.heating_tests.current is not None
    assert again.commands.heating_tests.current.stage == "measuring"


async def test_a_clock_that_is_set_by_hours_ends_it(house: Running) -> None:
    """Ten minutes are borne; two hours, on a clock that was vouched for, tear the nights apart."""
    await house.commands.heating_tests.start(plan(), WENNA)
    live_for(house, timedelta(hours=30))
    house.clock.step(600)
    report(house)
    house.commands.tick()
    assert house.commands.heating_tests.current is not None
    house.clock.step(7200)
    house.commands.tick()
    assert (await kept(house)).reason == "the clock was set by +2.0 h, so that its nights do not fit together"


@pytest.mark.parametrize("zone", ["loft", "bath"])
async def test_a_request_for_heat_ends_it_at_once(house: Running, zone: str) -> None:
    """Who asks for heat, in any room, is in the house: the test ends, and the request is served."""
    await house.commands.heating_tests.start(plan(), WENNA)
    live_for(house, timedelta(hours=30))
    now = await house.commands.zone_request(zone, Override(temp_c=22.0), WENNA)
    assert (now.rule, now.wanted_c) == ("override", 22.0)
    ended = await kept(house)
    assert ended.stage == "ended-early"
    assert ended.reason == f"Wenna asked for heat in {zone.title()}, so it is in use"
    notice = next(one for one in house.live.notices(house.clock.now()) if one.key == "heating-test")
    assert "ended early: Wenna asked for heat" in notice.cause
    assert rules(house)["hall"][0] == "no-programme"


async def test_a_look_inside_is_forgiven_an_open_window_is_not(house: Running) -> None:
    """A door that stands open for five minutes ends nothing; after ten the test is over."""
    await house.commands.heating_tests.start(plan(), WENNA)
    live_for(house, timedelta(minutes=5), every_s=30)
    for minutes, goes_on in ((5, True), (15, False)):
        end = house.clock.now() + timedelta(minutes=minutes)
        while house.clock.now() < end:
            house.clock.jump(30)
            report(house, opening=True)
            house.commands.tick()
        assert (house.commands.heating_tests.current is not None) is goes_on
        for _ in range(10):
            house.clock.jump(30)
            report(house, opening=False)
            house.commands.tick()
    assert "stood open in Loft for 10 min" in (await kept(house)).reason


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        ({"fault": "E3"}, "heater loft-1 in Loft: it reports a fault (E3)"),
        ({"voltage_v": 2.0}, "heater loft-1 in Loft: its mains is off"),
        ({"temp_c": 29.0}, "Loft stood at 29 °C: sun, or a heater that does not obey"),
    ],
)
async def test_what_goes_wrong_ends_it(house: Running, values: dict[str, Any], reason: str) -> None:
    """A fault, a heater cut off and a room that gets too hot end a test with their reason."""
    await house.commands.heating_tests.start(plan(), WENNA)
    for _ in range(80):
        house.clock.jump(30)
        report(house, **values)
        house.commands.tick()
    assert (await kept(house)).reason == reason


async def test_silence_ends_it_after_two_hours(house: Running) -> None:
    """A broker that restarts within the hour is borne; two hours without a temperature are not."""
    await house.commands.heating_tests.start(plan(), WENNA)
    live_for(house, timedelta(hours=30), every_s=60)
    house.pass_time(3600, every_s=60)
    assert house.commands.heating_tests.current is not None
    live_for(house, timedelta(minutes=10), every_s=60)
    house.pass_time(2.2 * 3600, every_s=60)
    assert "for 2 h" in (await kept(house)).reason


async def test_stop_ends_it_once(house: Running) -> None:
    """A person stops a test with a reason; a second stop is refused, another number is unknown."""
    desk = house.commands.heating_tests
    await desk.start(plan(), WENNA)
    ended = await desk.stop(1, HeatingTestStop(who="Wenna", why="guests"), WENNA)
    assert (ended.stage, ended.reason) == ("ended-early", "stopped by Wenna: guests")
    assert rules(house)["loft"][0] == "programme"
    with pytest.raises(Refused, match="ended already: stopped by Wenna: guests"):
        await desk.stop(1, HeatingTestStop(who="Wenna"), WENNA)
    with pytest.raises(Unknown, match="no heating test 9"):
        await desk.stop(9, HeatingTestStop(who="Wenna"), WENNA)
    assert (await desk.start(plan(), WENNA)).number == 2


async def test_a_planned_test_waits_for_its_start(house: Running) -> None:
    """Planned for tomorrow evening it asks nothing until then."""
    start = house.clock.now() + timedelta(hours=36)
    test = await house.commands.heating_tests.start(plan(start=start), WENNA)
    assert test.stage == "planned"
    assert rules(house)["loft"][0] == "programme"
    live_for(house, timedelta(hours=36))
    assert rules(house)["loft"] == ("heating-test", 21.0)


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"empty": False}, ("empty",)),
        ({"zones": ("loft", "attic")}, ("zones", 1)),
        ({"zones": ("loft", "loft")}, ("zones", 1)),
        ({"start": datetime(2025, 1, 1, tzinfo=UTC)}, ("start",)),
    ],
)
async def test_wrong_values_are_faults(house: Running, changes: dict[str, Any], place: tuple[Any, ...]) -> None:
    """A house not said to be empty, unknown or doubled rooms and a start in the past name their place."""
    with pytest.raises(BadInput) as caught:
        await house.commands.heating_tests.start(plan(**changes), WENNA)
    assert [fault.path for fault in caught.value.faults] == [place]


async def test_a_level_below_a_floor_is_a_fault(house: Running) -> None:
    """A vulnerable person's room is not held below 18 °C (WHO Housing and health guidelines, 2018)."""
    house_ = make_house(make_zone("loft", given_w_per_k=40.0, vulnerable=True))
    await house.commands.load_house(house_, origin=WENNA, why="", expected=None)
    with pytest.raises(BadInput, match="18 °C"):
        await house.commands.heating_tests.start(plan(temp_c=16.0), WENNA)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"zones": ("porch",)}, "heater porch-1 in Porch: it is portable"),
        ({"zones": ("bath",), "temp_c": 24.0}, "Bath needs 570 W by design"),
        ({"temp_c": 14.0}, "under 10 K the interval gets wide"),
    ],
)
async def test_a_test_that_could_tell_nothing_is_refused(house: Running, changes: dict[str, Any], said: str) -> None:
    """Portable heaters, plates too small for the level and mild weather are told before anything is heated."""
    with pytest.raises(Refused, match=said):
        await house.commands.heating_tests.start(plan(**changes), WENNA)
    assert house.commands.heating_tests.current is None


async def test_mild_weather_may_be_accepted(house: Running) -> None:
    """Who knows that the interval will be wide may start all the same."""
    await house.commands.heating_tests.start(plan(temp_c=14.0, mild_accepted=True), WENNA)
    assert house.commands.heating_tests.current is not None


async def test_one_at_a_time_and_not_with_people(house: Running) -> None:
    """A second test, and a test in a house where somebody asked for heat, are refused with the reason."""
    await house.commands.zone_request("bath", Override(temp_c=20.0), WENNA)
    with pytest.raises(Refused, match="Wenna asked for heat in Bath"):
        await house.commands.heating_tests.start(plan(), WENNA)
    await house.commands.zone_request("bath", Release(), WENNA)
    await house.commands.heating_tests.start(plan(), WENNA)
    with pytest.raises(Refused, match="heating test 1 is settling"):
        await house.commands.heating_tests.start(plan(zones=("bath",), temp_c=18.0), WENNA)


async def test_a_room_that_measures_nothing_is_refused(running: Running) -> None:
    """Energy reckoned from duty and a thermometer that is silent are no ground for a test."""
    await running.commands.load_house(HOUSE, origin=WENNA, why="", expected=None)
    await ready(running, unmetered=frozenset({"loft-1"}))
    with pytest.raises(Refused, match="heater loft-1 reports no metered energy"):
        await running.commands.heating_tests.start(plan(), WENNA)
    running.pass_time(3600, every_s=60)
    with pytest.raises(Refused, match="Loft has no live thermometer"):
        await running.commands.heating_tests.start(plan(), WENNA)


async def test_an_untrusted_clock_starts_no_test(store: Store, clock: FakeClock) -> None:
    """Nights need a clock that somebody vouches for."""
    running = Running(store, clock, trust=Trust(clock, synchronised=lambda: False))
    await running.start(HOUSE)
    await ready(running)
    with pytest.raises(Refused, match="nobody vouches for the clock"):
        await running.commands.heating_tests.start(plan(), WENNA)


async def test_a_look_says_what_it_takes(house: Running) -> None:
    """Rooms, nights, energy and money by design are told before the start, with the cautions; nothing starts.

    Loft and hall lose 40 + 30 W/K by design: 70 W/K x 16 K, night and day, and 3 K of 2 x 920 Wh/K to warm through.
    """
    found = await house.commands.heating_tests.look(plan())
    hours = (found.end - found.start).total_seconds() / 3600
    expected = found.expected_kwh
    assert expected is not None
    assert expected == pytest.approx((70 * 16 * hours + 3 * 2 * 916.7) / 1000, rel=0.01)
    assert found.money is not None
    assert float(found.money) == pytest.approx(expected * 0.30 * 1.05, abs=0.02)
    assert found.usual_kwh is not None
    assert found.usual_kwh < expected
    assert (found.guards, found.refusals, found.currency) == (("hall",), (), "GBP")
    assert any("Nobody may be in the house" in caution for caution in found.cautions)
    assert house.commands.heating_tests.current is None


@pytest.mark.parametrize(
    ("hall", "said"),
    [
        ({"temp_c": None}, "Hall is beside and cannot be held (Hall has no live thermometer)"),
        (
            {"temp_c": 20.0, "fault": "E3"},
            "Hall is beside and cannot be held (heater hall-1 in Hall: it reports a fault",
        ),
    ],
)
async def test_a_neighbour_that_cannot_be_held_is_left_out(running: Running, hall: dict[str, Any], said: str) -> None:
    """A neighbour without thermometer, or with a fault, does not stop the test: it is told, and is no guard."""
    await running.commands.load_house(HOUSE, origin=WENNA, why="", expected=None)
    await ready(running)
    running.pass_time(1800, every_s=60)
    for heater in ("loft-1", "porch-1", "bath-1"):
        running.hear(heater, temp_c=20.0)
    running.hear("hall-1", **hall)
    found = await running.commands.heating_tests.look(plan())
    assert (found.guards, found.refusals) == ((), ())
    assert found.cautions[-1].startswith(said)


async def test_the_cap_must_carry_all_rooms(running: Running) -> None:
    """Rooms that together need more than the supply's cap leaves are told so before they grow cold in turn."""
    small: House = make_house(
        make_zone("loft", given_w_per_k=40.0), make_zone("hall", given_w_per_k=30.0), site={"supply_cap_a": 6.0}
    )
    await running.commands.load_house(small, origin=WENNA, why="", expected=None)
    await ready(running)
    with pytest.raises(Refused, match="too much for the cap of 6 A"):
        await running.commands.heating_tests.start(plan(zones=("loft", "hall")), WENNA)
