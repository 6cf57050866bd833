"""What a heating test asks: whole nights at one level, never too cold or too warm, and always an end."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from houses import make_house, make_zone
from ingle.control.decide import decide
from ingle.control.heating_test import SETTLE_H, ask, guards, nights, stage, times
from ingle.control.heating_watch import troubles
from ingle.control.situation import HeaterSeen, Situation, ZoneSeen
from ingle.model.commands import Held, Origin, Override
from ingle.model.devices import Heater
from ingle.model.envelope import Element
from ingle.model.heating_tests import FEWEST_NIGHTS, LEAST_C, MOST_NIGHTS, SAFE_MAX_C, HeatingTest
from ingle.model.house import House
from ingle.model.week import ZoneLevels

START = datetime(2026, 1, 12, 9, 0, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
WENNA = Origin(who="Wenna", via="http")

starts = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)).map(lambda when: when.replace(tzinfo=UTC))  # noqa: DTZ001 - made aware at once
zones_of_time = st.sampled_from(["Europe/London", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia", "UTC"])


def a_test(
    start: datetime = START,
    night_count: int = 4,
    *,
    timezone: ZoneInfo = LONDON,
    temp_c: float = 21.0,
    cool_down: bool = False,
) -> HeatingTest:
    """Return a test of the loft, with the hall as its guard."""
    when = times(start, night_count, timezone, cool_down=cool_down)
    return HeatingTest(
        number=1,
        zones=("loft",),
        guards=("hall",),
        temp_c=temp_c,
        nights=night_count,
        who="Wenna",
        via="http",
        why="",
        asked=start,
        start=start,
        measure_from=when.measure_from,
        cool_from=when.cool_from,
        end=when.end,
    )


HOUSE = make_house(make_zone("loft"), make_zone("hall"), make_zone("porch"))


@given(start=starts, count=st.integers(FEWEST_NIGHTS, MOST_NIGHTS), place=zones_of_time, cool_down=st.booleans())
def test_a_test_settles_a_day_measures_its_nights_and_ends(
    *, start: datetime, count: int, place: str, cool_down: bool
) -> None:
    """Whatever the start, the zone and the clock changes, the nights come in order after a day and before the end."""
    timezone = ZoneInfo(place)
    test = a_test(start, count, timezone=timezone, cool_down=cool_down)
    found = nights(test, timezone)
    assert len(found) == count
    assert test.measure_from == found[0][0]
    assert timedelta(hours=SETTLE_H) <= test.measure_from - start < timedelta(hours=SETTLE_H + 26)
    edges = [edge for night in found for edge in night]
    assert edges == sorted(edges)
    assert all(timedelta(hours=9) <= end - begin <= timedelta(hours=13) for begin, end in found)
    assert edges[-1] <= (test.cool_from or test.end)
    assert test.end - start <= timedelta(days=count + 4)


@given(
    start=starts,
    count=st.integers(FEWEST_NIGHTS, MOST_NIGHTS),
    temp_c=st.floats(LEAST_C, SAFE_MAX_C),
    frost_c=st.floats(4.0, 15.0),
    setback_c=st.floats(1.0, 35.0),
    vulnerable=st.booleans(),
    cool_down=st.booleans(),
    after_h=st.floats(-100.0, 600.0),
    trusted=st.booleans(),
    stored=st.sampled_from(["planned", "settling", "measuring"]),
)
def test_it_never_asks_for_less_than_frost_or_more_than_the_limit(
    *,
    start: datetime,
    count: int,
    temp_c: float,
    frost_c: float,
    setback_c: float,
    vulnerable: bool,
    cool_down: bool,
    after_h: float,
    trusted: bool,
    stored: str,
) -> None:
    """At any instant, by any clock, what a test asks lies between the frost level and the safe maximum."""
    zone = make_zone("loft", vulnerable=vulnerable, levels=ZoneLevels(frost_c=frost_c, setback_c=setback_c))
    house = make_house(zone)
    test = a_test(start, count, temp_c=temp_c, cool_down=cool_down)
    test = msgspec.structs.replace(test, stage=stored)
    asked = ask(house, test, zone, start + timedelta(hours=after_h), trusted=trusted)
    if asked is not None:
        assert frost_c <= asked.wanted_c <= SAFE_MAX_C
        assert test.start < asked.until <= test.end


@given(start=starts, count=st.integers(FEWEST_NIGHTS, MOST_NIGHTS), cool_down=st.booleans())
def test_outside_its_time_it_asks_nothing(*, start: datetime, count: int, cool_down: bool) -> None:
    """Before the start, from the end on, and in rooms that are not its own, a test is silent."""
    test = a_test(start, count, cool_down=cool_down)
    loft, _, porch = HOUSE.zones
    assert ask(HOUSE, test, loft, start - timedelta(seconds=1)) is None
    assert ask(HOUSE, test, loft, test.end) is None
    assert ask(HOUSE, test, porch, start) is None
    assert ask(HOUSE, test, loft, start) is not None
    over = msgspec.structs.replace(test, stage="ended-early")
    assert ask(HOUSE, over, loft, start) is None


def test_while_nobody_vouches_for_the_clock_a_running_test_holds_on() -> None:
    """After a power cut the clock may say any year: a test that ran goes on, one that had not begun does not begin."""
    loft = HOUSE.zones[0]
    running = msgspec.structs.replace(a_test(), stage="measuring")
    for wrong in (datetime(1970, 1, 1, tzinfo=UTC), datetime(2036, 1, 1, tzinfo=UTC)):
        asked = ask(HOUSE, running, loft, wrong, trusted=False)
        assert asked is not None
        assert asked.wanted_c == 21.0
        assert ask(HOUSE, a_test(), loft, wrong, trusted=False) is None


def test_stages_follow_each_other() -> None:
    """Planned, settling, measuring, done; what has ended stays so."""
    test = a_test()
    instants = [START - timedelta(hours=1), START, test.measure_from, test.end]
    assert [stage(test, now) for now in instants] == ["planned", "settling", "measuring", "done"]
    ended = msgspec.structs.replace(test, stage="ended-early")
    assert stage(ended, test.end) == "ended-early"


def test_a_cool_down_night_asks_for_setback() -> None:
    """The night after the measured ones the rooms cool, to setback at most, and the test ends in the morning."""
    test = a_test(cool_down=True)
    assert test.cool_from is not None
    loft = HOUSE.zones[0]
    held = ask(HOUSE, test, loft, test.cool_from - timedelta(seconds=1))
    cooling = ask(HOUSE, test, loft, test.cool_from)
    assert held is not None
    assert cooling is not None
    assert (held.wanted_c, cooling.wanted_c, cooling.cooling) == (21.0, 16.0, True)
    assert test.end - test.cool_from == timedelta(hours=11)


def test_neighbours_guard_whichever_side_names_them() -> None:
    """A heated room that shares an element, or is named as a neighbour on either side, is held too."""
    wall = Element(name="partition", kind="party", area_m2=8.0, u_w_per_m2k=1.5, beyond="zone:loft")
    house = make_house(
        make_zone("loft", neighbours=("hall",)),
        make_zone("hall"),
        make_zone("bath", elements=(wall,)),
        make_zone("porch"),
    )
    assert guards(house, ("loft",)) == ("hall", "bath")
    assert guards(house, ("loft", "hall", "bath")) == ()
    assert guards(house, ("bath",)) == ("loft",)


def _decided(house: House, situation: Situation, now: datetime) -> dict[str, tuple[str, float]]:
    return {zone.id: (zone.rule, zone.wanted_c) for zone in decide(house, situation, now).zones}


def test_the_test_rules_its_rooms_and_their_neighbours() -> None:
    """Tested and guarding rooms are held at the level, others follow their programmes, and the reason says which."""
    situation = Situation(heating_test=a_test())
    now = START + timedelta(hours=30)
    assert _decided(HOUSE, situation, now) == {
        "loft": ("heating-test", 21.0),
        "hall": ("heating-test", 21.0),
        "porch": ("no-programme", 16.0),
    }
    loft, hall, _ = decide(HOUSE, situation, now).zones
    assert loft.reason == "Held at 21 °C for heating test 1 until Sat 07:00, then 16 °C (setback)."
    assert "no heat flows to the rooms it measures" in hall.reason


def test_an_opening_holds_the_heat_of_a_test() -> None:
    """With a window open no heat is given, test or not."""
    situation = Situation(heating_test=a_test(), zones={"loft": ZoneSeen(temp_c=19.0, open=("gable",))})
    loft = decide(HOUSE, situation, START + timedelta(hours=1)).zones[0]
    assert (loft.rule, loft.heaters[0].limit_w) == ("opening", 0.0)


def test_what_ends_a_test_is_said() -> None:
    """People, openings, barred or silent heaters, lost sensors and a room too hot each have their sentence."""
    override = Held(zone="porch", request=Override(temp_c=21.0), origin=WENNA, since=START, until=START.replace(day=13))
    warm = ZoneSeen(temp_c=21.0)
    sound = Situation(zones={"loft": warm, "hall": warm}, heaters={"loft-1": HeaterSeen(), "hall-1": HeaterSeen()})
    cases: dict[str, dict[str, Any]] = {
        "Wenna asked for heat in Porch, so it is in use": {"holds": (override,)},
        "gable stood open in Hall for 10 min": {
            "zones": {"loft": warm, "hall": ZoneSeen(temp_c=21.0, open=("gable",))}
        },
        "no temperature came from Loft for 2 h": {"zones": {"hall": warm}},
        "Loft stood at 28.5 °C: sun, or a heater that does not obey": {
            "zones": {"loft": ZoneSeen(temp_c=28.5), "hall": warm}
        },
        "heater loft-1 in Loft: it reports a fault (E3)": {"heaters": {"loft-1": HeaterSeen(fault="E3")}},
        "heater hall-1 in Hall: its mains is off": {"heaters": {"hall-1": HeaterSeen(voltage_v=3.0)}},
        "heater loft-1 in Loft could not be reached for 2 h: it is silent": {
            "heaters": {"loft-1": HeaterSeen(away="it is silent")}
        },
    }
    assert troubles(HOUSE, a_test(), sound, START) == ()
    for sentence, change in cases.items():
        situation = msgspec.structs.replace(sound, **change)
        assert [one.reason for one in troubles(HOUSE, a_test(), situation, START)] == [sentence]


def test_a_changed_house_ends_a_test() -> None:
    """A room that has left the house, or a heater made portable since, ends the test that rests on it."""
    warm = Situation(zones={"loft": ZoneSeen(temp_c=21.0), "hall": ZoneSeen(temp_c=21.0)})
    gone = troubles(make_house(make_zone("loft")), a_test(), warm, START)
    assert [one.reason for one in gone] == ["hall is no longer in the house"]
    portable = make_house(make_zone("loft", Heater(id="loft-1", rated_w=1500.0, portable=True)), make_zone("hall"))
    assert "portable" in troubles(portable, a_test(), warm, START)[0].reason
