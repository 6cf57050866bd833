"""What is seen of the house: readings and links, put together per zone, heater, supply and outdoors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from statistics import median
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.clock import Clock
from ingle.control.situation import HeaterSeen, ZoneSeen
from ingle.control.states import ISOLATED_V
from ingle.control.words import clock_text
from ingle.live.links import HERE, Away, LinkKind, Links
from ingle.live.record import Record
from ingle.live.trend import Trend
from ingle.model.devices import Heater, Sensor
from ingle.model.house import House, Zone
from ingle.model.instants import from_ms
from ingle.model.readings import OUTDOOR, Reading, Source

OUTDOOR_ZONE: Final = "outdoor"
#: Sources that no house knows and that are remembered all the same, to be commissioned; the next ones are not.
STRANGERS: Final = 200


class Drive(NamedTuple):
    """How a firmware can be driven, and whether an order to it ends by itself in the device."""

    drives: tuple[str, ...]
    expires: bool


#: What the built-in profile can do.
PLAIN_DRIVE: Final = Drive(("setpoint", "limit"), expires=True)


class Shown(NamedTuple):
    """A value to show: live, or the last one known; None where nothing was ever known."""

    value: float | None
    t: datetime | None
    fresh: bool


NOTHING: Final = Shown(None, None, fresh=False)


class Senses:
    """All sources of the house and what they last said."""

    def __init__(self, clock: Clock, house: House) -> None:
        self._clock = clock
        self._since = clock.monotonic()
        self._records: dict[Source, Record] = {}
        self._links = Links()
        self._trends: dict[str, Trend] = {}
        self._profiles: Mapping[str, Drive] = {}
        self.clock_vouched = True
        self.set_house(house)

    def set_house(self, house: House) -> None:
        """Take a house; what is known of its sources stays known."""
        self._house = house
        self._timezone = ZoneInfo(house.site.timezone)
        self._intervals: dict[Source, float | None] = {
            **{Source("heater", heater.id): heater.interval_s for zone in house.zones for heater in zone.heaters},
            **{Source("sensor", sensor.id): sensor.interval_s for sensor in house.sensors},
            **{Source("meter", meter.id): None for meter in house.meters},
            OUTDOOR: None,
        }
        for source, record in self._records.items():
            record.given_s = self._intervals.get(source)

    def set_profiles(self, profiles: Mapping[str, Drive]) -> None:
        """Take what each firmware profile can do."""
        self._profiles = profiles

    def update(self, reading: Reading) -> bool:
        """Merge a reading; return whether anything of it is now the newest live value of its source."""
        if self._is_stranger(reading.source) and self._strangers() >= STRANGERS:
            return False
        lag_s = max(0, reading.arrived_ms - reading.t_ms) / 1000 if self.clock_vouched else 0.0
        return self._record(reading.source).take(reading, self._clock.monotonic(), lag_s=lag_s)

    def seed(self, newest: Iterable[Reading]) -> None:
        """Take stored readings, to be shown with their age until live ones come."""
        for reading in newest:
            shown = Reading(**{name: getattr(reading, name) for name in reading.__struct_fields__} | {"retained": True})
            self._record(reading.source).take(shown, self._clock.monotonic(), lag_s=0.0)

    def link(self, kind: LinkKind, link_id: str, *, up: bool) -> None:
        """Note a heater's or gateway's link."""
        self._links.set(kind, link_id, up=up, monotonic=self._clock.monotonic())

    def clock_stepped(self, now_ms: int) -> None:
        """Know that the wall clock was set."""
        for record in self._records.values():
            record.clock_stepped(now_ms)

    def observe_trends(self) -> None:
        """Look at how the zones' temperatures move; once a tick."""
        monotonic = self._clock.monotonic()
        for zone in self._house.zones:
            self._trends.setdefault(zone.id, Trend()).observe(self.zone_c(zone), monotonic)

    def unbound(self) -> tuple[str, ...]:
        """Return heaters that report and that no zone has."""
        known = {heater.id for zone in self._house.zones for heater in zone.heaters}
        heard = (source.id for source, record in self._records.items() if source.kind == "heater" and record.heard_at)
        return tuple(sorted(heater_id for heater_id in heard if heater_id not in known))

    def number(self, source: Source, name: str) -> float | None:
        """Return a fresh number of a source, None when there is none."""
        record = self._records.get(source)
        return None if record is None else record.number(name, self._clock.monotonic())

    def shown(self, source: Source, name: str, offset: float = 0.0) -> Shown:
        """Return a value of a source for showing, fresh or not."""
        record = self._records.get(source)
        known = None if record is None else record.values.get(name)
        if record is None or known is None:
            return NOTHING
        fresh = record.fresh(name, self._clock.monotonic()) is not None
        return Shown(float(known.value) + offset, from_ms(known.t_ms), fresh)

    def zone_c(self, zone: Zone) -> float | None:
        """Return the zone's live temperature: the median of its live sensors, else of its heaters [°C]."""
        for group in self._thermometers(zone):
            live = [c + offset for source, offset in group if (c := self.number(source, "temp_c")) is not None]
            if live:
                return median(live)
        return None

    def zone_shown(self, zone: Zone) -> Shown:
        """Return the zone's temperature for showing: the live one, else the last one known."""
        everything = [[self.shown(source, "temp_c", k) for source, k in group] for group in self._thermometers(zone)]
        for group in everything:
            live = [one for one in group if one.fresh]
            if live:
                newest = max(one.t for one in live if one.t is not None)
                return Shown(median(one.value for one in live if one.value is not None), newest, fresh=True)
        known = [one for group in everything for one in group if one.t is not None]
        return max(known, key=lambda one: one.t or from_ms(0), default=NOTHING)

    def zone_seen(self, zone: Zone) -> ZoneSeen:
        """Return what decisions need to know of a zone."""
        trend = self._trends.get(zone.id)
        return ZoneSeen(
            temp_c=self.zone_c(zone),
            falling=trend is not None and trend.falling,
            open=tuple(self._open(zone)),
            lost=tuple(f"sensor {sensor.id}" for sensor in self._sensors(zone, "temperature") if self._lost(sensor)),
        )

    def heater_seen(self, heater: Heater, now: datetime) -> HeaterSeen:
        """Return what decisions need to know of a heater."""
        source, monotonic = Source("heater", heater.id), self._clock.monotonic()
        record = self._records.get(source) or Record(heater.interval_s)
        away = self._away(heater, record, now)
        drive = self._profiles.get(heater.profile, PLAIN_DRIVE)
        live = not away.why
        return HeaterSeen(
            heard=record.heard_at is not None,
            away=away.why,
            cut_off=away.cut_off,
            power_w=record.number("power_w", monotonic) if live else None,
            voltage_v=record.number("voltage_v", monotonic) if live else None,
            setpoint_c=record.number("setpoint_c", monotonic) if live else None,
            fault=record.fault(monotonic),
            behind_s=record.behind_s() if live else 0.0,
            drives=drive.drives,
            expires=drive.expires,
        )

    def supply_v(self, heaters: Mapping[str, HeaterSeen]) -> float | None:
        """Return the measured supply voltage: the supply meter's, else the median of what heaters measure [V]."""
        for meter in self._supply_meters():
            volts = self.number(meter, "voltage_v")
            if volts is not None and volts >= ISOLATED_V:
                return volts
        measured = [s.voltage_v for s in heaters.values() if s.voltage_v is not None and s.voltage_v >= ISOLATED_V]
        return median(measured) if measured else None

    def supply_w(self) -> float | None:
        """Return what the supply meters read now, None without a live one [W]."""
        watts = [w for meter in self._supply_meters() if (w := self.number(meter, "power_w")) is not None]
        return sum(watts) if watts else None

    def outdoor(self) -> Shown:
        """Return the outdoor temperature for showing: the outdoor station's, else an outdoor sensor's."""
        sensors = [s for s in self._house.sensors if s.zone == OUTDOOR_ZONE and s.measures == "temperature"]
        sources = [(OUTDOOR, 0.0), *((Source("sensor", sensor.id), sensor.offset_k) for sensor in sensors)]
        known = [one for source, k in sources if (one := self.shown(source, "temp_c", k)).t is not None]
        return max(known, key=lambda one: (one.fresh, one.t or from_ms(0)), default=NOTHING)

    def _is_stranger(self, source: Source) -> bool:
        return source not in self._records and source not in self._intervals

    def _strangers(self) -> int:
        return sum(source not in self._intervals for source in self._records)

    def _record(self, source: Source) -> Record:
        return self._records.setdefault(source, Record(self._intervals.get(source)))

    def _sensors(self, zone: Zone, measures: str) -> list[Sensor]:
        return [s for s in self._house.sensors if s.zone == zone.id and s.measures == measures]

    def _supply_meters(self) -> list[Source]:
        return [Source("meter", meter.id) for meter in self._house.meters if meter.measures == "supply"]

    def _thermometers(self, zone: Zone) -> tuple[list[tuple[Source, float]], list[tuple[Source, float]]]:
        """Return what measures a zone's temperature with its offset: first its sensors, then its heaters."""
        sensors = [(Source("sensor", sensor.id), sensor.offset_k) for sensor in self._sensors(zone, "temperature")]
        return sensors, [(Source("heater", heater.id), 0.0) for heater in zone.heaters]

    def _lost(self, sensor: Sensor) -> bool:
        record = self._records.get(Source("sensor", sensor.id)) or Record(sensor.interval_s)
        return record.lacks("temp_c", self._clock.monotonic(), self._since)

    def _away(self, heater: Heater, record: Record, now: datetime) -> Away:
        cut = self._links.cut(heater, record.heard_at)
        if cut is not HERE:
            return cut
        if not record.lost(self._clock.monotonic(), self._since):
            return HERE
        if record.heard_ms is None:
            return Away("nothing has been heard from it since the start", cut_off=False)
        return Away(f"silent since {clock_text(from_ms(record.heard_ms), now, self._timezone)}", cut_off=False)

    def _open(self, zone: Zone) -> Iterable[str]:
        """Yield the names of the zone's openings that are known to stand open."""
        monotonic = self._clock.monotonic()
        named = {opening.sensor: f"opening {opening.id}" for opening in self._house.openings if opening.zone == zone.id}
        contacts = {s.id for s in self._sensors(zone, "opening")} | {sensor for sensor in named if sensor}
        for contact in sorted(contacts):
            record = self._records.get(Source("sensor", contact))
            if record is not None and record.open(monotonic):
                yield named.get(contact, f"what sensor {contact} watches")
        for heater in zone.heaters:
            record = self._records.get(Source("heater", heater.id))
            if record is not None and record.open(monotonic):
                yield f"a window or door that heater {heater.id} noticed"
