"""The state of now: what is seen of zones, heaters and the supply, and the objects that every face shows."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from fakes import FakeClock
from houses import make_house, make_zone
from ingle.control.decide import decide
from ingle.control.situation import HeaterSeen, ZoneSeen
from ingle.live import Live, Today
from ingle.live.senses import Drive
from ingle.model.commands import Held, Origin, Override
from ingle.model.decisions import Notice
from ingle.model.devices import Gateway, Heater, Meter, Opening, Sensor
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source

HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=1500.0, gateway="gw"), Heater(id="loft-2", rated_w=750.0)),
    sensors=(
        Sensor(id="s1", zone="loft"),
        Sensor(id="s2", zone="loft", offset_k=-1.0),
        Sensor(id="s3", zone="loft"),
        Sensor(id="c1", zone="loft", measures="opening"),
        Sensor(id="yard", zone="outdoor"),
    ),
    openings=(Opening(id="gable-window", zone="loft", sensor="c1"),),
    gateways=(Gateway(id="gw"),),
    meters=(Meter(id="main"),),
    site={"supply_cap_a": 60.0},
)


class Bench:
    """A live state on a fake clock, and short ways to feed it."""

    def __init__(self, house: House = HOUSE) -> None:
        self.clock = FakeClock()
        self.live = Live(self.clock, house)
        self.live.set_clock("synchronised", "synchronised")

    def hear(self, kind: str, name: str, **values: Any) -> bool:
        """Take a reading that arrives now."""
        t_ms = to_ms(self.clock.now())
        source = OUTDOOR if kind == "outdoor" else Source(kind, name)  # type: ignore[arg-type]  # short form
        return self.live.update(Reading(source=source, t_ms=values.pop("t_ms", t_ms), arrived_ms=t_ms, **values))

    @property
    def zone(self) -> ZoneSeen:
        """What decisions see of the zone."""
        return self.live.situation(self.clock.now()).zone("loft")

    def heater(self, name: str = "loft-1") -> HeaterSeen:
        """Return what decisions see of a heater."""
        return self.live.situation(self.clock.now()).heater(name)


@pytest.fixture(name="bench")
def _bench() -> Bench:
    return Bench()


def test_the_zone_has_the_median_of_its_live_sensors(bench: Bench) -> None:
    """Sensors go before heaters, offsets are applied, and one that is off does not move the median."""
    bench.hear("heater", "loft-1", temp_c=30.0)
    assert bench.zone.temp_c == 30.0
    for name, temp_c in (("s1", 19.0), ("s2", 21.0), ("s3", 40.0)):
        bench.hear("sensor", name, temp_c=temp_c)
    assert bench.zone.temp_c == 20.0


def test_a_silent_sensor_leaves_the_median_and_then_the_heaters_count(bench: Bench) -> None:
    """Stale sensors no longer count; when none is left the heaters' own sensors do."""
    bench.hear("sensor", "s1", temp_c=10.0)
    bench.clock.jump(120)
    bench.hear("sensor", "s3", temp_c=20.0)
    bench.hear("heater", "loft-2", temp_c=18.0)
    bench.clock.jump(61)
    assert bench.zone.temp_c == 20.0
    bench.clock.jump(60)
    bench.hear("heater", "loft-2", temp_c=18.0)
    bench.clock.jump(60)
    assert bench.zone.temp_c == 18.0


def test_a_stale_temperature_is_shown_with_its_age_and_not_acted_on(bench: Bench) -> None:
    """The page keeps the last value, marked stale with its time; decisions see nothing."""
    bench.hear("sensor", "s1", temp_c=4.0)
    taken = bench.clock.now()
    bench.clock.jump(181)
    now = bench.live.zone_now("loft", bench.clock.now())
    assert now is not None
    assert (now.temp_c, now.quality, now.t) == (4.0, "stale", taken)
    assert bench.zone.temp_c is None


def test_stored_and_retained_readings_are_only_shown(bench: Bench) -> None:
    """What comes from the store at a start, or retained from the broker, is shown as stale until a live one comes."""
    old = Reading(source=Source("sensor", "s1"), t_ms=to_ms(bench.clock.now()) - 60_000, arrived_ms=0, temp_c=4.0)
    bench.live.seed([old])
    assert not bench.hear("sensor", "s3", temp_c=3.0, retained=True)
    now = bench.live.zone_now("loft", bench.clock.now())
    assert now is not None
    assert (now.temp_c, now.quality, now.rule) == (3.0, "stale", "no-programme")
    assert bench.zone.temp_c is None
    bench.hear("sensor", "s1", temp_c=20.0)
    assert bench.zone.temp_c == 20.0


def test_an_opening_is_known_by_its_contact_and_by_a_heater(bench: Bench) -> None:
    """Contacts are named by the opening they watch; a heater that notices one is named too; closing ends it."""
    bench.hear("sensor", "c1", opening=True)
    bench.hear("heater", "loft-2", opening=True)
    assert bench.zone.open == ("opening gable-window", "a window or door that heater loft-2 noticed")
    bench.hear("sensor", "c1", opening=False)
    bench.hear("heater", "loft-2", opening=False)
    assert bench.zone.open == ()


def test_a_gateway_down_takes_its_heaters_with_it(bench: Bench) -> None:
    """Heaters behind it cannot be reached, others can; what they measured last is not taken for now."""
    bench.hear("heater", "loft-1", power_w=900.0)
    bench.live.link("gateway", "gw", up=False)
    assert (bench.heater().away, bench.heater().cut_off, bench.heater().power_w) == ("gateway gw is down", True, None)
    assert bench.heater("loft-2").away == ""
    bench.clock.jump(1)
    bench.live.link("gateway", "gw", up=True)
    assert bench.heater().power_w == 900.0


def test_a_goodbye_is_undone_by_a_reading(bench: Bench) -> None:
    """A live reading after a goodbye proves that the link is back, whatever a retained message says."""
    bench.live.link("heater", "loft-1", up=False)
    assert bench.heater().cut_off
    bench.clock.jump(1)
    bench.hear("heater", "loft-1", power_w=0.0)
    assert bench.heater().away == ""


def test_silence_makes_a_heater_unreachable(bench: Bench) -> None:
    """After five minutes without a word it cannot be reached, and the time of its last word is told."""
    bench.hear("heater", "loft-1", power_w=900.0)
    bench.clock.jump(300)
    assert bench.heater().away == ""
    assert bench.heater().power_w is None
    bench.clock.jump(1)
    assert bench.heater().away == "silent since 06:00"
    assert bench.heater("loft-2").away == "nothing has been heard from it since the start"
    assert not bench.heater().cut_off


def test_a_heater_that_never_spoke_is_not_said_to_heat(bench: Bench) -> None:
    """Until its first word its state is unreachable, without alarm, and its order stands."""
    heater = bench.live.heaters_now(bench.clock.now())[0]
    assert (heater.state, heater.driven, heater.limit_w) == ("unreachable", True, 1500.0)
    assert heater.reason == "Nothing has been heard from it yet; its order waits for it."
    assert bench.live.notices(bench.clock.now()) == ()
    bench.hear("heater", "loft-1", power_w=1400.0, temp_c=15.0)
    assert bench.live.heaters_now(bench.clock.now())[0].state == "heating"


def test_a_lost_sensor_is_named(bench: Bench) -> None:
    """A sensor that fell silent, or never spoke, is named to a person."""
    bench.clock.jump(200)
    bench.hear("sensor", "s1", temp_c=20.0)
    bench.clock.jump(200)
    assert bench.zone.lost == ("sensor s2", "sensor s3")


def test_supply_voltage_and_power_are_the_meters(bench: Bench) -> None:
    """The supply meter tells the voltage; without it the median of the heaters does."""
    bench.hear("heater", "loft-1", voltage_v=240.0)
    assert bench.live.situation(bench.clock.now()).supply_v == 240.0
    bench.hear("meter", "main", voltage_v=235.0, power_w=4000.0)
    situation = bench.live.situation(bench.clock.now())
    assert (situation.supply_v, situation.supply_w) == (235.0, 4000.0)


def test_outdoor_is_the_station_or_a_sensor(bench: Bench) -> None:
    """Whichever is fresh tells the outdoor temperature; else the newest is shown with its time."""
    bench.hear("sensor", "yard", temp_c=3.0)
    assert bench.live.house_now(bench.clock.now()).outdoor_c == 3.0
    bench.clock.jump(1)
    bench.hear("outdoor", "outdoor", temp_c=4.0)
    house = bench.live.house_now(bench.clock.now())
    assert (house.outdoor_c, house.outdoor_t) == (4.0, bench.clock.now())


def test_unknown_power_is_not_zero(bench: Bench) -> None:
    """A zone's power is known only when all its heaters' are; the house's is the sum of what is known."""
    now = bench.live.zone_now("loft", bench.clock.now())
    assert now is not None
    assert now.power_w is None
    assert bench.live.house_now(bench.clock.now()).power_w is None
    bench.hear("heater", "loft-1", power_w=900.0)
    now = bench.live.zone_now("loft", bench.clock.now())
    assert now is not None
    assert (now.power_w, now.plate_w) == (None, 2250.0)
    assert bench.live.house_now(bench.clock.now()).power_w == 900.0
    bench.hear("heater", "loft-2", power_w=100.0)
    now = bench.live.zone_now("loft", bench.clock.now())
    assert now is not None
    assert now.power_w == 1000.0


def test_the_house_at_a_glance(bench: Bench) -> None:
    """Cap, energy, money, links and clock are the house's."""
    bench.live.set_today(Today(12_000.0, 3.21, "GBP", "estimated"))
    bench.live.set_broker(up=True)
    bench.live.set_history(kept=False)
    house = bench.live.house_now(bench.clock.now())
    assert (house.energy_today_wh, house.money_today, house.currency) == (12_000.0, 3.21, "GBP")
    assert house.energy_quality == "estimated"
    assert (house.broker, house.history, house.clock) == ("up", "paused", "synchronised")
    assert house.cap_w == 60.0 * 230.0


def test_unbound_heaters_are_listed(bench: Bench) -> None:
    """A heater that reports and that no zone has waits to be commissioned."""
    bench.hear("heater", "new-1", power_w=1.0)
    bench.hear("heater", "loft-1", power_w=1.0)
    assert bench.live.unbound() == ("new-1",)


def test_strangers_do_not_fill_the_memory(bench: Bench) -> None:
    """Past two hundred unknown sources no more are remembered, and the house's own still are."""
    for number in range(300):
        bench.hear("heater", f"stranger-{number}", power_w=1.0)
    assert len(bench.live.unbound()) == 200
    assert bench.hear("heater", "loft-1", power_w=1.0)


def test_a_silent_meter_and_a_new_interval_are_no_trouble(bench: Bench) -> None:
    """A source that never spoke has no value; what a new house says of an interval holds for what was heard before."""
    assert bench.live.situation(bench.clock.now()).supply_w is None
    bench.hear("heater", "loft-2", power_w=5.0)
    slow = Heater(id="loft-2", rated_w=750.0, interval_s=600.0)
    bench.live.set_house(make_house(make_zone("loft", slow)))
    bench.clock.jump(1000)
    assert bench.heater("loft-2").power_w == 5.0


def test_a_firmware_that_only_switches_for_ever_is_not_driven(bench: Bench) -> None:
    """What a profile can do decides whether its heaters are driven."""
    bench.live.set_profiles({"plain": Drive(("switch",), expires=False)})
    now = bench.live.heaters_now(bench.clock.now())[0]
    assert (now.driven, now.limit_w) == (False, 0.0)


def test_cooling_after_heat_is_coasting(bench: Bench) -> None:
    """A zone above its wish that has cooled for ten minutes is coasting; one that has not is above."""
    states = []
    for minute in range(25):
        bench.hear("sensor", "s1", temp_c=21.0 - 0.05 * max(0, minute - 12))
        bench.live.flush(bench.clock.now())
        now = bench.live.zone_now("loft", bench.clock.now())
        assert now is not None
        states.append(now.state)
        bench.clock.jump(60)
    assert states[10] == "above"
    assert states[-1] == "coasting"


def test_flush_tells_what_is_different(bench: Bench) -> None:
    """The first look tells everything, the second nothing, a reading its zone and heater."""
    first = bench.live.flush(bench.clock.now())
    assert ([z.id for z in first.zones], [h.id for h in first.heaters]) == (["loft"], ["loft-1", "loft-2"])
    assert first.notices == ()
    again = bench.live.flush(bench.clock.now())
    assert (again.zones, again.heaters, again.notices) == ((), (), None)
    bench.hear("heater", "loft-2", power_w=5.0)
    third = bench.live.flush(bench.clock.now())
    assert ([z.id for z in third.zones], [h.id for h in third.heaters]) == (["loft"], ["loft-2"])


def test_notices_from_elsewhere_stand_until_cleared(bench: Bench) -> None:
    """A link or the store may add a notice; repeated it keeps its beginning; cleared it is gone."""
    start = bench.clock.now()
    notice = Notice(key="broker", severity="urgent", zone=None, cause="a.", effect="b.", next_step="c.", since=start)
    bench.live.post_notice(notice)
    bench.clock.jump(60)
    bench.live.post_notice(Notice(**{**_fields(notice), "since": bench.clock.now()}))
    assert [n.since for n in bench.live.notices(bench.clock.now())] == [start]
    bench.live.clear_notice("broker")
    assert bench.live.notices(bench.clock.now()) == ()


def test_a_new_house_drops_what_it_does_not_have(bench: Bench) -> None:
    """Holds and locks of a zone that is gone go with it, and so does the old plan."""
    now = bench.clock.now()
    request, origin = Override(temp_c=21.0), Origin(who="Wenna", via="http")
    bench.live.set_holds([Held(zone="loft", request=request, origin=origin, since=now, until=now.replace(hour=9))])
    bench.live.set_locked({"loft"})
    bench.live.set_plan(decide(HOUSE, bench.live.situation(now), now))
    assert bench.live.zones_now(now)[0].held
    bench.live.set_house(make_house(make_zone("hall")))
    assert (bench.live.holds, bench.live.locked) == ((), frozenset())
    assert [zone.id for zone in bench.live.zones_now(now)] == ["hall"]


def test_before_a_house_is_loaded_there_is_a_state() -> None:
    """Without a house there are no zones, and the house says so."""
    live = Live(FakeClock())
    now = datetime(2026, 1, 12, tzinfo=UTC)
    assert live.zones_now(now) == []
    assert live.house_now(now).name == "No house yet"


def _fields(value: Any) -> dict[str, Any]:
    return {name: getattr(value, name) for name in value.__struct_fields__}
