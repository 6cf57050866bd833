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

Celsius = Annotated[float, Meta(ge=-60, le=60)]
RoomCelsius = Annotated[float, Meta(ge=1, le=35)]
Area = Annotated[float, Meta(gt=0, le=5000)]
Length = Annotated[float, Meta(gt=0, le=500)]
UValue = Annotated[float, Meta(gt=0, le=7)]
Share = Annotated[float, Meta(ge=0, le=1)]
Conductivity = Annotated[float, Meta(gt=0, le=500)]
Degrees = Annotated[float, Meta(ge=0, lt=360)]
Watts = Annotated[float, Meta(gt=0, le=30_000)]
Volts = Annotated[float, Meta(ge=90, le=480)]
Amps = Annotated[float, Meta(gt=0, le=400)]
Year = Annotated[int, Meta(ge=1000, le=2100, description="year in which the fabric was built, or rebuilt to new rules")]

MonthDegreeDays = Annotated[float, Meta(ge=0, le=2000, description="of a month, January first, base 15.5 °C")]

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LevelName = Literal["occupied", "setback", "vacant", "frost"]
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
ElementKind = Literal["wall", "window", "rooflight", "door", "roof", "floor", "ground-floor", "party"]


class Provenance(Value, frozen=True, kw_only=True):
    """Where an input comes from; ``low`` and ``high`` are its 95 % limits, in the field's own unit."""

    kind: Literal["measured", "observed", "assumed"]
    low: float | None = None
    high: float | None = None
    note: Annotated[str, Meta(max_length=400)] = ""


class Levels(Value, frozen=True, kw_only=True):
    """The house's default temperature of each level [°C]."""

    occupied_c: RoomCelsius = 20.0
    setback_c: RoomCelsius = 16.0
    vacant_c: RoomCelsius = 12.0
    frost_c: Annotated[float, Meta(ge=4, le=15)] = 7.0


class ZoneLevels(Value, frozen=True, kw_only=True):
    """A zone's own temperatures; what is left out follows the house [°C]."""

    occupied_c: RoomCelsius | None = None
    setback_c: RoomCelsius | None = None
    vacant_c: RoomCelsius | None = None
    frost_c: Annotated[float, Meta(ge=4, le=15)] | None = None


class Bridge(Value, frozen=True, kw_only=True):
    """A second material in a layer, such as studs in insulation: its share of the area and its conductivity."""

    share: Share
    conductivity: Conductivity = field(name="lambda")


class Fixings(Value, frozen=True, kw_only=True):
    """Ties, screws or nails through a layer of insulation; ``length_mm`` if their heads are sunk into it."""

    conductivity: Conductivity = field(name="lambda")
    area_mm2: Annotated[float, Meta(gt=0, le=1000, description="cross-section of one")]
    per_m2: Annotated[float, Meta(gt=0, le=200)]
    length_mm: Annotated[float, Meta(gt=0, le=3000)] | None = None


class Layer(Value, frozen=True, kw_only=True):
    """One layer, given in one of four ways: mm and lambda; mm and material; air_mm; or r [m²·K/W]."""

    mm: Annotated[float, Meta(gt=0, le=3000)] | None = None
    conductivity: Conductivity | None = field(name="lambda", default=None)
    material: str | None = None
    air_mm: Annotated[float, Meta(gt=0, le=300)] | None = None
    r: Annotated[float, Meta(gt=0, le=20)] | None = None
    bridge: Bridge | None = None
    vent_mm2: (
        Annotated[float, Meta(ge=0, le=100_000, description="air: openings to outside, per m upright, per m² flat")]
        | None
    ) = None
    emissivity: Annotated[float, Meta(gt=0, le=1, description="air: of its brighter face")] | None = None
    gap_level: Annotated[int, Meta(ge=0, le=2, description="insulation: 1 gaps, 2 gaps with air moving")] = 0
    fixings: Fixings | None = None


class Ground(Value, frozen=True, kw_only=True):
    """A floor on or near the ground, for ISO 13370."""

    floor: Literal["slab", "suspended", "basement"] = "slab"
    perimeter_m: Annotated[float, Meta(ge=0, le=1000, description="exposed perimeter only")]
    wall_mm: Annotated[float, Meta(gt=0, le=1500)] = 300.0
    soil_lambda: Annotated[float, Meta(gt=0, le=5)] = 1.5
    insulation_r: Annotated[float, Meta(ge=0, le=20)] = 0.0
    height_m: Annotated[float, Meta(gt=0, le=3, description="suspended: floor above ground")] | None = None
    vent_m2_per_m: Annotated[float, Meta(gt=0, le=0.1)] | None = None
    wall_u: UValue | None = None
    depth_m: Annotated[float, Meta(gt=0, le=6, description="basement: floor below ground")] | None = None
    edge_insulation_r: Annotated[float, Meta(gt=0, le=20)] | None = None
    edge_insulation_width_m: Annotated[float, Meta(gt=0, le=5, description="flat, inward from the edge")] | None = None
    edge_insulation_depth_m: Annotated[float, Meta(gt=0, le=5, description="upright, down along the edge")] | None = (
        None
    )


Construction = Literal[
    "granite",
    "sandstone",
    "solid-brick",
    "cob",
    "cavity",
    "filled-cavity",
    "timber-frame",
    "system-built",
    "loft",
    "rafters",
    "flat",
    "thatch",
    "exposed-floor",
    "plain-door",
    "single-glazing",
    "double-glazing",
    "secondary-glazing",
    "triple-glazing",
]


class Typical(Value, frozen=True, kw_only=True):
    """What a piece is like, where its U-value is to come from a table of typical ones: assumed, with a range.

    ``built`` is the piece's own year, by default the zone's or the house's; of double glazing it is the year in which
    it was put in. ``insulation_mm`` is what was put on a wall since, or what is seen in a roof or floor.
    """

    construction: Construction
    built: Year | None = None
    insulation_mm: Annotated[float, Meta(ge=0, le=1000)] | None = None
    thickness_mm: Annotated[float, Meta(ge=100, le=1200, description="of a stone wall")] | None = None
    gap_mm: Annotated[float, Meta(gt=0, le=50, description="between the panes of double glazing")] | None = None
    frame: Literal["pvc", "wood", "metal"] | None = None


class Space(Value, frozen=True, kw_only=True):
    """What lies beyond an element when it is neither outside, ground, a zone nor a surveyed space: one of the two."""

    factor: Annotated[float, Meta(ge=0, le=1, description="share of the full temperature difference")] | None = None
    temperature_c: Celsius | None = None


Beyond = (
    Annotated[
        str,
        Meta(
            pattern=r"^(outside|ground|(zone|space):[a-z0-9][a-z0-9-]{0,31})$",
            description='"outside", "ground", "zone:" and a zone\'s id or "space:" and an unheated space\'s id',
        ),
    ]
    | Space
)


class Element(Value, frozen=True, kw_only=True):
    """A piece of a zone's envelope."""

    name: Name
    kind: ElementKind
    area_m2: Annotated[float, Meta(gt=0, le=5000, description="net of openings")] | None = None
    width_m: Length | None = None
    height_m: Length | None = None
    openings: tuple[str, ...] = ()
    u_w_per_m2k: UValue | None = None
    layers: tuple[Layer, ...] = ()
    ground: Ground | None = None
    typical: Typical | None = None
    faces_deg: Degrees | None = None
    g_value: Share | None = None
    frame_share: Share | None = None
    psi_w_per_mk: Annotated[float, Meta(ge=0, le=3)] | None = None
    psi_length_m: Annotated[float, Meta(gt=0, le=500)] | None = None
    beyond: Beyond = "outside"
    provenance: dict[str, Provenance] = {}


class AirStream(Value, frozen=True, kw_only=True):
    """Air that a fan or a door brings into a zone beside its air changes, at a temperature of its own.

    ``from`` is ``{temperature_c}``, ``{factor}`` (1 less what heat recovery gives back), ``zone:<id>`` for air drawn
    from another room, ``space:<id>``, or ``outside``.
    """

    name: Name
    m3_per_h: Annotated[float, Meta(gt=0, le=100_000)]
    source: Beyond = field(name="from")


class Heater(Value, frozen=True, kw_only=True):
    """One appliance and its plate."""

    id: Id
    name: Name | None = None
    rated_w: Watts
    rated_v: Volts = 230.0
    kind: Literal["direct", "storage", "underfloor"] = "direct"
    element: Literal["resistive", "ptc"] = "resistive"
    profile: Id = "plain"
    automatic: bool | None = None
    portable: bool = False
    gateway: Id | None = None
    circuit: Id | None = None
    drives: tuple[Literal["setpoint", "limit", "switch"], ...] = ()
    ip: Annotated[str, Meta(pattern=r"^IP[0-9X][0-9X][A-D]?$", description="IEC 60529, such as IP24")] | None = None
    bath_zone: Annotated[int, Meta(ge=0, le=2)] | None = None
    connection: Literal["plug", "spur", "wired"] | None = None
    clearance_m: (
        Annotated[float, Meta(ge=0, le=20, description="to the nearest cloth, furniture or bed, as measured")] | None
    ) = None
    below_socket: bool = False
    standby_w: Annotated[float, Meta(ge=0, le=50, description="drawn with the heat off")] | None = None
    own_thermostat: bool = False
    min_on_s: Annotated[float, Meta(ge=0, le=3600)] = 60.0
    min_off_s: Annotated[float, Meta(ge=0, le=3600)] = 60.0
    interval_s: Annotated[float, Meta(gt=0, le=86400)] | None = None

    @property
    def switched_automatically(self) -> bool:
        """Whether ingle may drive it: as its plate's loader said, by default true unless it is portable."""
        return (not self.portable) if self.automatic is None else self.automatic


class Zone(Value, frozen=True, kw_only=True):
    """A room with one wanted temperature."""

    id: Id
    name: Name
    use: Use = "living"
    vulnerable: bool = False
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


class UnheatedSpace(Value, frozen=True, kw_only=True):
    """A space without heating of its own, such as a roof void: how warm it is follows from its heat balance.

    Its elements lead outside, to the ground, to a known temperature or to another space; what lies between it and a
    zone is listed in the zone, with ``beyond = "space:<id>"``.
    """

    id: Id
    name: Name
    built: Year | None = None
    volume_m3: Annotated[float, Meta(gt=0, le=50_000)]
    air_changes_per_h: Annotated[float, Meta(ge=0, le=20, description="of outdoor air")] = 1.0
    provenance: dict[str, Provenance] = {}
    elements: tuple[Element, ...] = field(name="element", default=())


class Period(Value, frozen=True, kw_only=True):
    """A stretch of a day at a level or a temperature; ``to`` at or before ``from`` ends next day."""

    start: ClockTime = field(name="from")
    end: ClockTime = field(name="to")
    level: LevelName | None = None
    temp_c: RoomCelsius | None = None


class Programme(Value, frozen=True, kw_only=True):
    """What a zone wants on some days of the week."""

    zone: Id
    days: Annotated[tuple[Weekday, ...], Meta(min_length=1)]
    periods: tuple[Period, ...] = ()
    otherwise: LevelName = "setback"


class Circuit(Value, frozen=True, kw_only=True):
    """A final circuit that heaters hang on."""

    id: Id
    kind: Literal["ring", "radial", "spur", "plug", "other"] = "radial"
    rated_a: Amps
    cap_a: Amps | None = None
    rcd_ma: Annotated[float, Meta(gt=0, le=1000)] | None = None
    phase: Annotated[int, Meta(ge=1, le=3)] = 1


class Gateway(Value, frozen=True, kw_only=True):
    """A radio bridge that some heaters sit behind."""

    id: Id
    name: Name | None = None
    heaters_max: Annotated[int, Meta(ge=1, le=1000)] | None = None
    frames_per_h: Annotated[float, Meta(gt=0, le=100_000)] | None = None


class Sensor(Value, frozen=True, kw_only=True):
    """Something that measures, in a zone or outdoors."""

    id: Id
    zone: Id
    measures: Literal["temperature", "humidity", "opening", "irradiance", "wind", "presence"] = "temperature"
    offset_k: Annotated[float, Meta(ge=-10, le=10)] = 0.0
    interval_s: Annotated[float, Meta(gt=0, le=86400)] | None = None


class Opening(Value, frozen=True, kw_only=True):
    """A window or door that can stand open, and the contact that tells."""

    id: Id
    zone: Id
    element: str | None = None
    sensor: Id | None = None


class Meter(Value, frozen=True, kw_only=True):
    """A meter that ingle can read over MQTT."""

    id: Id
    measures: Literal["supply", "other"] = "supply"


class Rate(Value, frozen=True, kw_only=True):
    """A unit rate, always or between two clock times, in the tariff's currency."""

    per_kwh: Annotated[float, Meta(ge=-10, le=100)]
    start: ClockTime | None = field(name="from", default=None)
    end: ClockTime | None = field(name="to", default=None)
    clock: Literal["local", "utc"] = "local"


class Tariff(Value, frozen=True, kw_only=True):
    """Prices from a date on."""

    start: Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\d$", description="date, YYYY-MM-DD")] = field(name="from")
    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$", description="ISO 4217 code")]
    tax_percent: Annotated[float, Meta(ge=0, le=100)] = 0.0
    standing_per_day: Annotated[float, Meta(ge=0, le=100)] = 0.0
    rates: Annotated[tuple[Rate, ...], Meta(min_length=1)]


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
