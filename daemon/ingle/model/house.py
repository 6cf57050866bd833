"""The house as one value: what a house file holds, field for field.

The structs are the only schema: ``config`` walks them to find every fault of a file, HTTP serves them as JSON Schema,
the store keeps them whole, and ``dump`` writes them back. Units stand in the field names; limits stand in ``Meta``
and are wide enough for any real house, so that what they refuse is a slip of the pen, not an opinion. What one field
must agree with another is checked in ``config``; what is physically unusual is said by ``design``.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from ingle.model.base import ClockTime, Id, Name, Value
from ingle.model.devices import Circuit, Gateway, Heater, Meter, Opening, Sensor
from ingle.model.envelope import AirStream, Element, UnheatedSpace
from ingle.model.limits import Amps, Area, Celsius, MonthDegreeDays, RoomCelsius, Share, Volts, Year
from ingle.model.provenance import Provenance
from ingle.model.tariff import Tariff
from ingle.model.week import LevelName, Levels, Programme, ZoneLevels

Use = Literal[
    "living",
    "bedroom",
    "bath",
    "kitchen",
    "hall",
    "office",
    "store",
    "dining",
    "utility",
    "workshop",
    "assembly",
    "other",
]


class Zone(Value, frozen=True, kw_only=True):
    """A room with one wanted temperature."""

    id: Id
    name: Name
    use: Use = "living"
    vulnerable: bool = False
    cooler_reason: (
        Annotated[str, Meta(min_length=1, max_length=400, description="why someone vulnerable is kept below 18 °C")]
        | None
    ) = None
    built: Year | None = None
    floor_area_m2: Area
    volume_m3: Annotated[float, Meta(gt=0, le=50_000)] | None = None
    height_m: Annotated[float, Meta(gt=0, le=40)] | None = None
    design_c: RoomCelsius = 20.0
    air_changes_per_h: Annotated[float, Meta(ge=0, le=20)] = 1.0
    air_changes_in_use_per_h: Annotated[float, Meta(ge=0, le=20)] | None = None
    air: tuple[AirStream, ...] = ()
    air_gradient_k_per_m: (
        Annotated[float, Meta(ge=0, le=2, description="how much warmer each metre up, in rooms of 4 m and higher")]
        | None
    ) = None
    reheat_w_per_m2: Annotated[float, Meta(ge=0, le=150)] = 0.0
    warm_up_h: (
        Annotated[float, Meta(ge=0.1, le=72, description="wanted warm-up time, instead of reheat_w_per_m2")] | None
    ) = None
    warm_up_from_c: RoomCelsius | None = None
    bridges_percent: Annotated[float, Meta(ge=0, le=100)] | None = None
    bridges_w_per_m2k: Annotated[float, Meta(ge=0, le=1)] | None = None
    bridges_typical: bool = False
    thermal_mass: Literal["light", "medium", "heavy"] = "medium"
    capacity_wh_per_k: Annotated[float, Meta(gt=0, le=1_000_000)] | None = None
    given_w_per_k: Annotated[float, Meta(gt=0, le=10_000)] | None = None
    ground_share: Share | None = None
    neighbours: tuple[Id, ...] = ()
    provenance: dict[str, Provenance] = {}
    levels: ZoneLevels = ZoneLevels()
    elements: tuple[Element, ...] = field(name="element", default=())
    heaters: tuple[Heater, ...] = field(name="heater", default=())

    @property
    def mean_height_m(self) -> float:
        """The zone's height: as given, or volume over floor area [m]."""
        return self.height_m if self.height_m is not None else min(40.0, self.air_volume_m3 / self.floor_area_m2)

    @property
    def air_volume_m3(self) -> float:
        """The zone's air volume: as given, or floor area times height [m³]. ``config`` makes sure one is there."""
        if self.volume_m3 is not None:
            return self.volume_m3
        return self.floor_area_m2 * (self.height_m if self.height_m is not None else 0.0)


class CalendarSource(Value, frozen=True, kw_only=True):
    """A calendar of bookings or absences (RFC 5545)."""

    file: str | None = None
    url: str | None = None
    kind: Literal["booking", "absence"] = "booking"
    zones: tuple[Id, ...] = ()


class Boiler(Value, frozen=True, kw_only=True):
    """A boiler that is there and could feed a radiator: what it gives, what already hangs on it, how warm its water.

    ``useful_percent``: how much of the fuel's heat reaches the water. ``fuel_per_kwh`` is before the tariff's tax.
    """

    output_w: Annotated[float, Meta(gt=0, le=1_000_000)]
    used_w: Annotated[float, Meta(ge=0, le=1_000_000, description="design load of what hangs on it")]
    flow_c: Annotated[float, Meta(ge=20, le=95)] = 70.0
    return_c: Annotated[float, Meta(ge=15, le=95)] = 50.0
    useful_percent: Annotated[float, Meta(ge=30, le=110)] = 85.0
    fuel_per_kwh: Annotated[float, Meta(ge=0, le=100)] | None = None


class AirToAir(Value, frozen=True, kw_only=True):
    """An air-to-air unit that is being thought of: heat given per electricity taken, over a season, and its range."""

    coefficient: Annotated[float, Meta(ge=1, le=8, description="as stated, over the season")]
    low: Annotated[float, Meta(ge=1, le=8)] | None = None
    high: Annotated[float, Meta(ge=1, le=8)] | None = None


class Site(Value, frozen=True, kw_only=True):
    """The ``[house]`` table: what the whole site shares."""

    name: Name
    timezone: str = "UTC"
    country: Annotated[str, Meta(pattern=r"^[A-Z]{2}$", description="ISO 3166-1, such as GB")] | None = None
    built: Year | None = None
    method: Literal["en12831", "domestic"] = "en12831"
    outdoor_design_c: Celsius
    outdoor_mean_c: Celsius | None = None
    altitude_m: Annotated[float, Meta(ge=-450, le=5500, description="of the house above the sea")] | None = None
    outdoor_at_altitude_m: (
        Annotated[float, Meta(ge=-450, le=5500, description="of the place that the outdoor temperatures are of")] | None
    ) = None
    outdoor_k_per_100m: Annotated[float, Meta(ge=0, le=2, description="how much colder each 100 m up")] = 0.6
    supply_cap_a: Amps | None = None
    voltage_v: Volts = 230.0
    phases: Literal[1, 3] = 1
    latitude_deg: Annotated[float, Meta(ge=-90, le=90)] | None = None
    longitude_deg: Annotated[float, Meta(ge=-180, le=180)] | None = None
    check_in: ClockTime = "15:00"
    check_out: ClockTime = "10:30"
    levels: Levels = Levels()
    degree_days_by_month: tuple[MonthDegreeDays, ...] = ()
    mean_c_by_month: tuple[Celsius, ...] = ()
    degree_days: Annotated[float, Meta(ge=100, le=12_000, description="of a year, base 15.5 °C")] | None = None
    gains_k: Annotated[float, Meta(ge=0, le=15, description="what people, sun and appliances warm the house by")] = 3.0
    boiler: Boiler | None = None
    air_to_air: AirToAir | None = None
    provenance: dict[str, Provenance] = {}

    @property
    def outdoor_here_c(self) -> float:
        """The outdoor design temperature at the house's own height [°C]."""
        return self.outdoor_design_c - self._colder_k

    @property
    def mean_here_c(self) -> float | None:
        """The outdoor annual mean at the house's own height [°C]; None where it is not given."""
        return None if self.outdoor_mean_c is None else self.outdoor_mean_c - self._colder_k

    @property
    def _colder_k(self) -> float:
        if self.altitude_m is None or self.outdoor_at_altitude_m is None:
            return 0.0
        return self.outdoor_k_per_100m * (self.altitude_m - self.outdoor_at_altitude_m) / 100


class House(Value, frozen=True, kw_only=True):
    """One site with one supply; the unit that is loaded, checked, revised and dumped."""

    site: Site = field(name="house")
    zones: tuple[Zone, ...] = field(name="zone", default=())
    spaces: tuple[UnheatedSpace, ...] = field(name="space", default=())
    programmes: tuple[Programme, ...] = field(name="programme", default=())
    circuits: tuple[Circuit, ...] = field(name="circuit", default=())
    gateways: tuple[Gateway, ...] = field(name="gateway", default=())
    sensors: tuple[Sensor, ...] = field(name="sensor", default=())
    openings: tuple[Opening, ...] = field(name="opening", default=())
    meters: tuple[Meter, ...] = field(name="meter", default=())
    tariffs: tuple[Tariff, ...] = field(name="tariff", default=())
    calendars: tuple[CalendarSource, ...] = field(name="calendar", default=())

    def zone(self, zone_id: str) -> Zone | None:
        """Return the zone of that id, or None."""
        return next((zone for zone in self.zones if zone.id == zone_id), None)

    def space(self, space_id: str) -> UnheatedSpace | None:
        """Return the unheated space of that id, or None."""
        return next((space for space in self.spaces if space.id == space_id), None)

    def built(self, zone: Zone | UnheatedSpace) -> int | None:
        """Return the year that a zone's fabric is of: the zone's own, else the house's."""
        return self.site.built if zone.built is None else zone.built

    def level_c(self, zone: Zone, level: LevelName) -> float:
        """Return the temperature that a level means in a zone: the zone's own, else the house's [°C]."""
        own: float | None = getattr(zone.levels, f"{level}_c")
        default: float = getattr(self.site.levels, f"{level}_c")
        return default if own is None else own
