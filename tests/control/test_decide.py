"""Decisions: laws that hold whatever is seen, states, who may be driven, fall-backs, notices."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from houses import every_day, make_house, make_zone
from ingle.control.decide import bar, decide, fallback_c
from ingle.control.situation import Given, HeaterSeen, Situation, ZoneSeen
from ingle.control.states import heater_state, heats, zone_state
from ingle.model.commands import Held, Origin, Override, SetLevel
from ingle.model.decisions import HeaterDecision, Notice, Plan, ZoneDecision
from ingle.model.devices import Gateway, Heater
from ingle.model.house import House
from ingle.model.week import ZoneLevels

NOW = datetime(2026, 1, 12, 7, 0, tzinfo=UTC)
GATEWAY_DOWN = HeaterSeen(away="gateway gw is down", cut_off=True)

TEMPS = st.one_of(st.none(), st.floats(-10, 40))
ZONES = st.builds(
    ZoneSeen, temp_c=TEMPS, falling=st.booleans(), open=st.sampled_from([(), ("opening gable",)]), lost=st.just(())
)
HEATERS = st.builds(
    HeaterSeen,
    away=st.sampled_from(["", "", "", "silent since 06:00"]),
    power_w=st.one_of(st.none(), st.floats(0, 2000)),
    voltage_v=st.one_of(st.none(), st.floats(200, 255)),
    setpoint_c=st.one_of(st.none(), st.floats(5, 30)),
    fault=st.sampled_from([None, None, None, "E4"]),
)
GIVEN = st.builds(
    Given,
    setpoint_c=st.floats(5, 30),
    limit_w=st.sampled_from([0.0, 1500.0]),
    since_s=st.floats(0, 1000),
    unchanged_s=st.floats(0, 1000),
)
REQUESTS = st.one_of(
    st.builds(Override, temp_c=st.floats(7, 35)), st.builds(SetLevel, level=st.sampled_from(["vacant", "frost"]))
)
NAMES = ("hall", "loft", "room")


@st.composite
def situations(draw: st.DrawFn) -> Situation:
    """Return anything that could be seen of a house with three zones of two heaters."""
    heaters = [f"{zone}-{i}" for zone in NAMES for i in (1, 2)]
    holds = [
        Held(zone=zone, request=draw(REQUESTS), origin=Origin(who="x", via="http"), since=NOW, until=NOW + timedelta(1))
        for zone in NAMES
        if draw(st.booleans())
    ]
    return Situation(
        zones={zone: draw(ZONES) for zone in NAMES},
        heaters={heater: draw(HEATERS) for heater in heaters},
        given={heater: draw(GIVEN) for heater in heaters if draw(st.booleans())},
        holds=tuple(holds),
        locked=frozenset({"hall"}),
        supply_v=draw(st.one_of(st.none(), st.floats(210, 253))),
        clock_trusted=draw(st.booleans()),
    )


def house_of(cap_a: float | None) -> House:
    """Return a house with three zones of two heaters each."""
    zones = (make_zone(z, *(Heater(id=f"{z}-{i}", rated_w=1500.0) for i in (1, 2))) for z in NAMES)
    return make_house(
        *zones, programmes=(every_day("hall", ("06:00", "09:00", "occupied")),), site={"supply_cap_a": cap_a}
    )


def heaters_of(plan: Plan) -> list[HeaterDecision]:
    """Return all heaters of a plan."""
    return [heater for zone in plan.zones for heater in zone.heaters]


@given(situations(), st.one_of(st.none(), st.floats(0.1, 60)))
def test_orders_stay_within_plate_floor_and_cap(situation: Situation, cap_a: float | None) -> None:
    """No order exceeds its plate, asks for less than the frost level, or takes the sum over the cap."""
    plan = decide(house_of(cap_a), situation, NOW)
    for heater in heaters_of(plan):
        assert heater.limit_w in {0.0, 1500.0}
        assert heater.setpoint_c >= 7.0
        assert heater.locked == (heater.zone == "hall")
    volts = situation.supply_v or 253.0
    if cap_a is not None and all(seen.voltage_v is None for seen in situation.heaters.values()):
        assert plan.supply_allowed_w <= cap_a * volts + 1e-6


@given(situations())
def test_a_frozen_zone_is_heated_unless_nothing_can(situation: Situation) -> None:
    """Below its frost level on a live reading, each heater that is driven and need not rest gets its plate."""
    plan = decide(house_of(None), situation, NOW)
    for zone in plan.zones:
        temp_c = situation.zone(zone.id).temp_c
        for heater in zone.heaters:
            order = situation.given.get(heater.id)
            rests = order is not None and order.limit_w == 0 and order.since_s < 60
            if temp_c is not None and temp_c < 7 and heater.driven and not rests:
                assert heater.limit_w == 1500.0
                assert heater.setpoint_c >= 7.0


@given(situations(), st.one_of(st.none(), st.floats(0.1, 60)))
def test_deciding_twice_is_deciding_once(situation: Situation, cap_a: float | None) -> None:
    """The same house, situation and instant give the same plan."""
    house = house_of(cap_a)
    assert decide(house, situation, NOW) == decide(house, situation, NOW)


@given(situations())
def test_every_decision_has_its_sentence(situation: Situation) -> None:
    """Each zone and each heater says why, in one sentence that ends."""
    for zone in decide(house_of(20.0), situation, NOW).zones:
        for reason in (zone.reason, *(heater.reason for heater in zone.heaters)):
            assert reason.endswith(".")
            assert reason[0].isupper()


@pytest.mark.parametrize(
    ("heater", "seen", "why"),
    [
        ({}, {}, ""),
        ({"automatic": False}, {}, "suitable for automatic switching"),
        ({"portable": True}, {}, "portable"),
        ({"portable": True, "automatic": True}, {}, "portable"),
        ({}, {"fault": "E4"}, "fault (E4)"),
        ({}, {"voltage_v": 3.0}, "mains is off"),
        ({"drives": ("switch",)}, {"expires": False}, "can only be switched"),
        ({"drives": ("switch",), "own_thermostat": True}, {"expires": False}, ""),
        ({"drives": ("switch",)}, {"expires": True}, ""),
        ({}, {"drives": ("switch",), "expires": False}, "can only be switched"),
        ({}, {"drives": ()}, "takes no orders"),
    ],
)
def test_who_may_be_driven(heater: dict[str, Any], seen: dict[str, Any], why: str) -> None:
    """Only a heater that is fixed, automatic, sound and has something that ends its heat by itself is driven."""
    found = bar(Heater(id="h", rated_w=1500.0, **heater), HeaterSeen(**seen))
    assert (found == "") if not why else why in found


def one_zone(*heaters: Heater, **fields: Any) -> tuple[House, str]:
    """Return a house with one zone and its heater's id."""
    zone = make_zone("loft", *heaters, **fields)
    return make_house(zone, programmes=(every_day("loft", ("06:00", "09:00", "occupied")),)), zone.heaters[0].id


def decide_one(house: House, **fields: Any) -> tuple[ZoneDecision, tuple[Notice, ...]]:
    """Return what is decided for the first zone."""
    plan = decide(house, Situation(**fields), NOW)
    return plan.zones[0], plan.notices


def test_the_why_line_of_a_programme() -> None:
    """It says what is wanted, until when on the house's clock, and what follows."""
    zone, _ = decide_one(one_zone()[0])
    assert zone.reason == "The programme wants 20 °C (occupied) until 09:00, then 16 °C (setback)."


def test_a_heater_in_its_minimum_off_time_waits() -> None:
    """The return waits, and says so; the stop did not."""
    house, heater_id = one_zone()
    order = Given(setpoint_c=20.0, limit_w=0.0, since_s=30.0, unchanged_s=30.0)
    heater = decide_one(house, given={heater_id: order})[0].heaters[0]
    assert (heater.limit_w, heater.held_by, heater.reason) == (
        0.0,
        "limit",
        "No heat yet: it stays off for at least 60 s.",
    )


def test_a_heater_that_is_cut_off_is_ordered_no_heat() -> None:
    """It is still driven, so that the order waits for it, and it starts in its turn when it is back."""
    house, heater_id = one_zone()
    away = HeaterSeen(away="gateway gw-east is down", cut_off=True)
    heater = decide_one(house, heaters={heater_id: away})[0].heaters[0]
    assert (heater.state, heater.driven, heater.limit_w) == ("unreachable", True, 0.0)
    heater = decide_one(house, waiting=frozenset({heater_id}))[0].heaters[0]
    assert (heater.held_by, heater.limit_w) == ("limit", 0.0)


def test_a_silent_heater_keeps_its_order() -> None:
    """A heater that may still hear is not told to stop because it is not heard."""
    house, heater_id = one_zone()
    heater = decide_one(house, heaters={heater_id: HeaterSeen(away="silent since 06:00")})[0].heaters[0]
    assert (heater.state, heater.limit_w) == ("unreachable", 1500.0)


def test_a_heater_without_a_limit_is_held_by_its_setpoint() -> None:
    """Where the firmware knows no limit, holding heat means the frost level."""
    house, _ = one_zone(Heater(id="loft-1", rated_w=1500.0, drives=("setpoint",)))
    no_current = make_house(*house.zones, programmes=house.programmes, site={"supply_cap_a": 0.1})
    assert decide_one(no_current)[0].heaters[0].setpoint_c == 7.0
    with_limit, _ = one_zone()
    no_current = make_house(*with_limit.zones, programmes=with_limit.programmes, site={"supply_cap_a": 0.1})
    assert decide_one(no_current)[0].heaters[0].setpoint_c == 20.0


@pytest.mark.parametrize(
    ("fields", "fallback"),
    [
        ({}, 16.0),
        ({"zones": {"loft": ZoneSeen(temp_c=15.0, open=("opening gable",))}}, 7.0),
        ({"holds": ("frost",)}, 7.0),
        ({"holds": ("vacant",)}, 12.0),
    ],
)
def test_the_fall_back_is_setback_but_never_more_than_wanted(fields: dict[str, Any], fallback: float) -> None:
    """Without its supervisor a heater holds setback, less where less is wanted, and frost where heat is held."""
    house, _ = one_zone()
    if "holds" in fields:
        request = SetLevel(level=fields["holds"][0])
        origin = Origin(who="x", via="http")
        held = Held(zone="loft", request=request, origin=origin, since=NOW, until=NOW + timedelta(hours=1))
        fields = {"holds": (held,)}
    zone, _ = decide_one(house, **fields)
    assert fallback_c(house, house.zones[0], zone, zone.heaters[0]) == fallback


@pytest.mark.parametrize(
    ("temp_c", "heating", "falling", "state"),
    [
        (19.4, False, False, "below"),
        (19.4, True, False, "warming"),
        (19.5, True, False, "within"),
        (20.5, False, True, "within"),
        (20.6, True, True, "above"),
        (20.6, False, False, "above"),
        (20.6, False, True, "coasting"),
        (None, True, True, "unknown"),
    ],
)
def test_zone_states(temp_c: float | None, state: str, *, heating: bool, falling: bool) -> None:
    """A zone is below, within or above its band, warming or coasting, or unknown."""
    assert zone_state(temp_c, 20.0, heating=heating, falling=falling) == state


@pytest.mark.parametrize(
    ("fields", "state"),
    [
        ({"away": True, "fault": True}, "unreachable"),
        ({"cut": True, "fault": True}, "isolated"),
        ({"fault": True, "held": True}, "fault"),
        ({"held": True, "heating": True}, "held"),
        ({"heating": True}, "heating"),
        ({"heating": False, "needs": True}, "satisfied"),
        ({"heating": None, "needs": True}, "heating"),
        ({"heating": None, "needs": False}, "satisfied"),
    ],
)
def test_heater_states(fields: dict[str, Any], state: str) -> None:
    """A heater's state is the first that fits, from what cannot be known to what is measured."""
    seen = {"away": False, "fault": False, "cut": False, "heating": False, "held": False, "needs": False}
    assert heater_state(**{**seen, **fields}) == state


def test_standby_is_not_heating() -> None:
    """A few watts are a heater's electronics; without a live power nothing is known."""
    heater = Heater(id="h", rated_w=1500.0)
    assert heats(heater, HeaterSeen(power_w=15.0)) is False
    assert heats(heater, HeaterSeen(power_w=200.0)) is True
    assert heats(heater, HeaterSeen()) is None


@pytest.mark.parametrize(
    ("heater", "fields", "key", "severity"),
    [
        ({"portable": True}, {}, "not-driven:loft", "attention"),
        ({}, {"heaters": {"h": HeaterSeen(fault="E4")}}, "fault:h", "urgent"),
        ({}, {"heaters": {"h": HeaterSeen(away="silent since 06:00")}}, "away:h", "attention"),
        (
            {"gateway": "gw"},
            {"heaters": {"h": HeaterSeen(away="gateway gw is down", cut_off=True)}},
            "gateway:gw",
            "attention",
        ),
        ({}, {"heaters": {"h": HeaterSeen(behind_s=240.0)}}, "behind:h", "attention"),
        ({}, {"zones": {"loft": ZoneSeen(lost=("sensor s1",))}}, "sensor:loft", "attention"),
        ({}, {"clock_trusted": False}, "clock", "attention"),
        ({}, {"clock_assumed": True}, "clock", "attention"),
        (
            {},
            {
                "heaters": {"h": HeaterSeen(setpoint_c=25.0)},
                "given": {"h": Given(setpoint_c=20.0, limit_w=1500.0, since_s=400.0, unchanged_s=400.0)},
            },
            "unconfirmed:h",
            "attention",
        ),
        (
            {},
            {
                "heaters": {"h": HeaterSeen(power_w=1500.0)},
                "given": {"h": Given(setpoint_c=7.0, limit_w=0.0, since_s=400.0, unchanged_s=400.0)},
            },
            "on-while-off:h",
            "urgent",
        ),
    ],
)
def test_what_a_person_is_told(heater: dict[str, Any], fields: dict[str, Any], key: str, severity: str) -> None:
    """Each trouble makes one notice with its cause, its effect and the next step."""
    zone = make_zone("loft", Heater(id="h", rated_w=1500.0, **heater))
    _, notices = decide_one(make_house(zone, gateways=(Gateway(id="gw"),)), **fields)
    assert [(notice.key, notice.severity) for notice in notices if notice.key == key] == [(key, severity)]
    told = next(notice for notice in notices if notice.key == key)
    assert all(text.endswith(".") for text in (told.cause, told.effect, told.next_step))


def test_a_heater_that_is_only_limited_need_not_confirm_a_setpoint() -> None:
    """Where the setpoint is its own thermostat's, a report of another one is no trouble."""
    zone = make_zone("loft", Heater(id="h", rated_w=1500.0, drives=("limit",)))
    given = {"h": Given(setpoint_c=20.0, limit_w=1500.0, since_s=400.0, unchanged_s=400.0)}
    _, notices = decide_one(make_house(zone), heaters={"h": HeaterSeen(setpoint_c=25.0)}, given=given)
    assert notices == ()


def test_a_gateway_that_is_down_names_what_sits_behind_it() -> None:
    """One heater or many, they are named, so that a person knows which rooms to look at."""
    many = [Heater(id=f"h-{i}", rated_w=500.0, gateway="gw") for i in (1, 2, 3)]
    for heaters, names in ((many[:1], "h-1"), (many, "h-1, h-2 and h-3")):
        house = make_house(make_zone("loft", *heaters), gateways=(Gateway(id="gw"),))
        _, notices = decide_one(house, heaters={heater.id: GATEWAY_DOWN for heater in heaters})
        assert notices[0].cause == f"Gateway gw is down; behind it: {names}."


def test_the_words_for_a_zone_that_is_not_driven() -> None:
    """Where no heater may be driven the notice says that the frost floor is not assured."""
    zone = make_zone("loft", Heater(id="h", rated_w=1500.0, portable=True))
    _, notices = decide_one(make_house(zone))
    assert notices[0].cause.lower().startswith("frost floor not assured here")


def test_frost_held_by_a_cap_is_urgent() -> None:
    """A cap includes frost; the zone that goes without is named, urgently and first."""
    house = make_house(make_zone("loft"), make_zone("hall"), site={"supply_cap_a": 7.0})
    zones = {"loft": ZoneSeen(temp_c=3.0), "hall": ZoneSeen(temp_c=2.0, lost=("sensor s1",))}
    plan = decide(house, Situation(zones=zones, supply_v=230.0), NOW)
    assert [zone.heaters[0].limit_w for zone in plan.zones] == [0.0, 1500.0]
    assert (plan.notices[0].key, plan.notices[0].severity) == ("frost-capped:loft", "urgent")


def test_a_supply_above_its_cap_is_told() -> None:
    """When the meter reads more than the cap, other appliances draw too, and somebody should know."""
    house = make_house(make_zone("loft"), site={"supply_cap_a": 20.0})
    plan = decide(house, Situation(supply_w=6900.0, supply_v=230.0), NOW)
    assert "30 A" in next(notice.cause for notice in plan.notices if notice.key == "supply")
    assert decide(house, Situation(supply_w=2300.0, supply_v=230.0), NOW).notices == ()


def test_a_notice_keeps_its_beginning() -> None:
    """A notice that stands keeps the instant at which it first stood."""
    before = NOW - timedelta(hours=3)
    _, notices = decide_one(one_zone()[0], clock_trusted=False, standing={"clock": before})
    assert notices[0].since == before


def test_a_house_with_nothing_in_it_is_decided() -> None:
    """No zones, or a zone without heaters, is no trouble."""
    assert decide(make_house(), Situation(), NOW).zones == ()
    bare = make_zone("hall", levels=ZoneLevels(setback_c=14.0))
    zone = decide(make_house(type(bare)(**{**_fields(bare), "heaters": ()})), Situation(), NOW).zones[0]
    assert (zone.rule, zone.wanted_c, zone.heaters) == ("no-programme", 14.0, ())


def _fields(zone: Any) -> dict[str, Any]:
    return {name: getattr(zone, name) for name in zone.__struct_fields__}
