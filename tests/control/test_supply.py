"""Sharing a supply: limits hold whatever happens, the coldest go first, nobody waits for ever."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from houses import make_house, make_zone
from ingle.control.decide import decide
from ingle.control.situation import Given, HeaterSeen, Situation, ZoneSeen
from ingle.control.supply import Load, could_draw, share
from ingle.model.commands import Cap, Held, Origin
from ingle.model.devices import Circuit, Heater

NOW = datetime(2026, 1, 12, 7, 0, tzinfo=UTC)


def load(name: str, amps: float = 10.0, **fields: object) -> Load:
    """Return a claim on the supply that needs heat."""
    values: dict[str, object] = {"candidate": True, "needs": True, "budgets": ("supply",), **fields}
    return Load(id=name, amps=amps, watts=amps * 230.0, **values)  # type: ignore[arg-type]  # fields by name


def test_without_a_limit_everyone_may_draw() -> None:
    """A house with neither cap nor circuits lets every candidate heat."""
    shares = share([load("a", budgets=()), load("b", budgets=())], {})
    assert shares.allowed == {"a", "b"}


def test_the_coldest_goes_first() -> None:
    """With room for one of two, the one further below its wish gets it, and the other knows what holds it."""
    shares = share([load("mild", gap_k=1.0), load("cold", gap_k=3.0)], {"supply": 15.0})
    assert (shares.allowed, dict(shares.held)) == ({"cold"}, {"mild": "supply"})


def test_frost_goes_before_everything() -> None:
    """A zone at its frost floor is served before one that is further below its wish."""
    shares = share([load("cold", gap_k=9.0, running=True), load("frost", gap_k=1.0, frost=True)], {"supply": 10.0})
    assert shares.allowed == {"frost"}


def test_one_that_needs_no_heat_gives_way() -> None:
    """A heater whose zone has its temperature is served after those that need heat."""
    shares = share([load("warm", needs=False, running=True), load("cold", gap_k=0.5)], {"supply": 10.0})
    assert shares.allowed == {"cold"}


def test_a_place_is_kept_for_a_while() -> None:
    """A heater just started is not stopped for a colder one; after that it is, or for one that waited too long."""
    running = load("running", gap_k=1.0, running=True, since_s=100.0)
    assert share([running, load("colder", gap_k=2.0)], {"supply": 10.0}).allowed == {"running"}
    over = load("running", gap_k=1.0, running=True, since_s=301.0)
    assert share([over, load("same", gap_k=1.1)], {"supply": 10.0}).allowed == {"running"}
    assert share([over, load("colder", gap_k=2.0)], {"supply": 10.0}).allowed == {"colder"}
    starved = load("starved", gap_k=0.1, since_s=601.0)
    assert share([over, starved], {"supply": 10.0}).allowed == {"starved"}


def test_break_before_make() -> None:
    """One that gains a place starts only when the one that lost it is measured to have stopped."""
    leaving = load("leaving", gap_k=0.0, running=True, since_s=301.0, draws_a=10.0)
    coming = load("coming", gap_k=3.0)
    assert share([leaving, coming], {"supply": 10.0}).allowed == set()
    stopped = load("leaving", gap_k=0.0, since_s=2.0, draws_a=0.0)
    assert share([stopped, coming], {"supply": 10.0}).allowed == {"coming"}


def test_what_cannot_be_reached_counts_in_full() -> None:
    """A heater out of reach takes its plate off what others may have; no data is not 0 W."""
    away = load("away", away=True, unstoppable=True, candidate=False)
    assert share([away, load("here")], {"supply": 15.0}).allowed == set()


def test_the_coldest_is_told_of_heaters_out_of_reach_that_hold_it() -> None:
    """The only room that needs heat, held because another's lost heater counts: not only that colder ones go first."""
    house = make_house(
        make_zone("hall", Heater(id="hall-1", rated_w=2300.0)),
        make_zone("loft", Heater(id="loft-1", rated_w=2300.0)),
        site={"supply_cap_a": 15.0},
    )
    zones = {"hall": ZoneSeen(temp_c=5.0), "loft": ZoneSeen(temp_c=20.0)}

    def said(**of_loft: str) -> str:
        seen = {"hall-1": HeaterSeen(heard=True), "loft-1": HeaterSeen(heard=True, **of_loft)}  # type: ignore[arg-type]  # fields by name
        hall = decide(house, Situation(zones=zones, heaters=seen, supply_v=230.0), NOW).zones[0]
        return hall.heaters[0].reason

    assert said(away="nothing has been heard from it for 5 min") == (
        "Held by the 15 A cap of the supply: zones that need heat more go first, and heaters out of reach count as "
        "heating."
    )
    assert "Held" not in said()


def test_a_supply_meter_bounds_what_is_out_of_reach() -> None:
    """Where the meter shows that nothing unseen is drawn, heaters out of reach leave room for others."""
    away = load("away", away=True, unstoppable=True, candidate=False)
    assert share([away, load("here")], {"supply": 15.0}, unseen_a=1.0).allowed == {"here"}


def test_one_that_cannot_be_stopped_counts_as_measured() -> None:
    """A heater that is not driven takes off what it is measured to draw, else its plate."""
    observed = load("observed", unstoppable=True, candidate=False, draws_a=2.0)
    assert share([observed, load("here")], {"supply": 12.0}).allowed == {"here"}
    unknown = load("observed", unstoppable=True, candidate=False)
    assert share([unknown, load("here")], {"supply": 12.0}).allowed == set()


def test_one_that_disobeys_may_have_heat_again() -> None:
    """A heater that draws although it was ordered off counts as drawing, and gets its order when it is wanted."""
    disobeying = load("disobeying", unstoppable=True, draws_a=9.0)
    assert share([disobeying, load("other")], {"supply": 15.0}).allowed == {"disobeying"}
    unwanted = load("disobeying", unstoppable=True, draws_a=9.0, candidate=False)
    assert share([unwanted, load("other")], {"supply": 15.0}).allowed == set()


LOADS = st.lists(
    st.builds(
        load,
        st.uuids().map(str),
        st.floats(0.5, 14.0),
        candidate=st.booleans(),
        frost=st.booleans(),
        needs=st.booleans(),
        gap_k=st.floats(-5, 15),
        running=st.booleans(),
        since_s=st.floats(0, 2000),
        draws_a=st.one_of(st.none(), st.floats(0, 14)),
        unstoppable=st.booleans(),
        budgets=st.sampled_from([("supply",), ("supply", "circuit x"), ("supply", "circuit y")]),
    ),
    max_size=14,
)


@given(LOADS, st.floats(0, 80), st.floats(1, 32), st.one_of(st.none(), st.floats(0, 50)))
def test_no_limit_is_ever_exceeded(loads: list[Load], cap: float, circuit: float, unseen: float | None) -> None:
    """What the allowed could draw is within every limit, and only candidates are allowed."""
    limits = {"supply": cap, "circuit x": circuit, "circuit y": 16.0}
    shares = share(loads, limits, unseen)
    allowed = [one for one in loads if one.id in shares.allowed]
    assert all(one.candidate for one in allowed)
    for name, limit in limits.items():
        assert sum(one.amps for one in allowed if name in one.budgets) <= limit + 1e-6
    assert shares.allowed_w == pytest.approx(sum(one.watts for one in allowed))


@given(LOADS, st.floats(0, 80))
def test_a_start_leaves_room_for_what_still_draws(loads: list[Load], cap: float) -> None:
    """When a heater is started, all that is allowed and all that is still measured to draw fit under the cap."""
    shares = share(loads, {"supply": cap, "circuit x": 99.0, "circuit y": 99.0})
    stoppable = [one for one in loads if not one.unstoppable]
    started = [one for one in stoppable if one.id in shares.allowed and not one.running]
    still = sum(one.draws_a or 0.0 for one in stoppable if one.id not in shares.allowed)
    allowed = sum(one.amps for one in loads if one.id in shares.allowed)
    assert not started or allowed + still <= cap + 1e-6


@pytest.mark.parametrize(
    ("seen", "supply_v", "amps"),
    [
        (HeaterSeen(voltage_v=207.0), 253.0, 9.0),  # its own voltage first: 2300 W x 0.9^2 / 207 V
        (HeaterSeen(), 253.0, 11.0),  # the supply's: 2300 W x 1.1^2 / 253 V
        (HeaterSeen(), None, 11.55),  # worst case: 5 % above the plate at 253 V
        (HeaterSeen(voltage_v=230.0, power_w=2530.0), None, 11.0),  # measured above the plate counts as measured
    ],
)
def test_a_resistive_heater_counts_at_the_real_voltage(seen: HeaterSeen, supply_v: float | None, amps: float) -> None:
    """Current goes with the voltage; unknown is the worst: IEC 60335-1's plate tolerance at EN 50160's upper limit."""
    house = make_house(make_zone())
    assert could_draw(house, Heater(id="h", rated_w=2300.0), seen, supply_v)[0] == pytest.approx(amps)


def test_a_ptc_heater_makes_no_voltage_claim() -> None:
    """A PTC element counts at its plate, whatever the voltage."""
    house, ptc = make_house(make_zone()), Heater(id="h", rated_w=2300.0, element="ptc")
    assert could_draw(house, ptc, HeaterSeen(voltage_v=207.0), None) == pytest.approx((10.0, 2300.0))


def test_a_circuit_limits_its_heaters() -> None:
    """Two 3 kW heaters on a circuit of 16 A heat one at a time, and the sentence names the circuit."""
    zones = [make_zone(name, Heater(id=f"{name}-1", rated_w=3000.0, circuit="ring-2")) for name in ("hall", "loft")]
    house = make_house(*zones, circuits=(Circuit(id="ring-2", rated_a=32.0, cap_a=16.0),))
    seen = {"hall": ZoneSeen(temp_c=15.0), "loft": ZoneSeen(temp_c=12.0)}
    hall, loft = decide(house, Situation(zones=seen, supply_v=230.0), NOW).zones
    assert (hall.rule, hall.heaters[0].limit_w) == ("cap", 0.0)
    assert "circuit ring-2" in hall.reason
    assert loft.heaters[0].limit_w == 3000.0


def test_on_three_phases_each_has_the_cap() -> None:
    """Heaters on circuits of different phases do not share a phase's cap; one of unknown phase counts on all."""
    circuits = tuple(Circuit(id=f"c{phase}", rated_a=32.0, phase=phase) for phase in (1, 2))
    heaters = [Heater(id=f"h{i}", rated_w=2300.0, circuit=circuit) for i, circuit in enumerate(["c1", "c2", None])]
    house = make_house(
        *(make_zone(f"z{i}", heater) for i, heater in enumerate(heaters)),
        circuits=circuits,
        site={"phases": 3, "supply_cap_a": 15.0},
    )
    plan = decide(house, Situation(supply_v=230.0), NOW)
    assert [zone.heaters[0].limit_w > 0 for zone in plan.zones] == [True, True, False]


def test_a_requested_cap_only_lowers() -> None:
    """A cap asked for above the installer's has no effect."""

    def held(cap_a: float) -> Held:
        request, origin = Cap(cap_a=cap_a), Origin(who="Wenna", via="http")
        return Held(zone=None, request=request, origin=origin, since=NOW, until=NOW + timedelta(hours=1))

    house = make_house(make_zone(), site={"supply_cap_a": 20.0})
    assert decide(house, Situation(holds=(held(50.0),)), NOW).supply_cap_a == 20.0
    assert decide(house, Situation(holds=(held(5.0),)), NOW).supply_cap_a == 5.0


def test_everybody_is_served_within_a_quarter_of_an_hour() -> None:
    """Three equally cold zones with room for one: each gets its slice within 15 minutes, one at a time."""
    house = make_house(*(make_zone(name) for name in "abc"), site={"supply_cap_a": 7.0})
    given: dict[str, Given] = {}
    flipped = dict.fromkeys(("a-1", "b-1", "c-1"), 0.0)
    served: dict[str, float] = {}
    for tick in range(0, 1200, 2):
        running = {name for name, order in given.items() if order.limit_w > 0}
        heaters = {name: HeaterSeen(voltage_v=230.0, power_w=1500.0 if name in running else 0.0) for name in flipped}
        seen = {name: ZoneSeen(temp_c=10.0) for name in "abc"}
        plan = decide(house, Situation(zones=seen, heaters=heaters, given=given), NOW)
        orders = {heater.id: heater.limit_w for zone in plan.zones for heater in zone.heaters}
        assert sum(limit > 0 for limit in orders.values()) <= 1
        for name, limit in orders.items():
            if name not in given or (given[name].limit_w > 0) != (limit > 0):
                flipped[name] = tick
            given[name] = Given(setpoint_c=16.0, limit_w=limit, since_s=tick + 2 - flipped[name], unchanged_s=0.0)
            if limit > 0:
                served.setdefault(name, tick)
    assert max(served.values()) <= 900
    assert set(served) == set(flipped)
