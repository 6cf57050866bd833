"""The simulated house: built from the survey's own figures, then spoilt by its flaws.

Every room loses what the design says it should lose in use, split into windows, ventilation, fabric and ground. A
healthy room therefore is as designed by construction, and a flawed one differs by a known amount.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from random import Random
from zoneinfo import ZoneInfo

from ingle.demo.appliance import Appliance
from ingle.demo.flaws import SOUND, Flaws
from ingle.demo.occupants import EMPTY_W_PER_M2, gains_w, other_load_w
from ingle.demo.physics import CONVECTIVE, Room, Rooms, fabric_for
from ingle.demo.sky import on_wall
from ingle.demo.weather import MEAN_C, MEAN_WIND_M_PER_S, Weather
from ingle.design.typical import filled
from ingle.model.design import Design, ZoneDesign
from ingle.model.envelope import Element
from ingle.model.house import House, Zone

#: Air to fabric per floor area: ISO 13790:2008, 7.2.2 and 12.2.2: 4.5 m² of surface at 3.45 in series with 2.5 m² of
#: mass at 9.1 W/(m²·K), which is 9.2 W/K for each m² of floor.
SURFACES_W_PER_M2K = 1 / (1 / (4.5 * 3.45) + 1 / (2.5 * 9.1))
#: Depth of store by class [J/(m²·K)]: ISO 13790:2008, table 12.
FABRIC_J_PER_M2K = {"light": 110e3, "medium": 165e3, "heavy": 260e3}
#: Air and furniture [J/(m²·K)]: twice the 10 kJ of ISO 52016-1, for furnished bedrooms (assumption).
AIR_J_PER_M2K = 20e3
#: What a door or stud partition passes that no survey measured [W/K] (assumption).
NEIGHBOUR_W_PER_K = 9.0
#: Ventilation grows with the wind by this share of it (assumption).
WIND_SHARE = 0.5
#: Glass loses some of its sun to dirt, curtains and angle (common practice: 0.9 x 0.9).
SUN_CARE = 0.8
#: How often sun, guests and wind are looked up anew [s].
LOOK_S = 300.0
LATITUDE_DEG, LONGITUDE_DEG = 50.4, -5.9
#: Volts that the supply loses for each watt drawn: 0.05 ohm at 230 V (assumption).
DROP_V_PER_W = 0.05 / 230


@dataclass(slots=True)
class Outdoors:
    """What the weather station on the chimney reads."""

    temp_c: float = MEAN_C
    wind_m_per_s: float = MEAN_WIND_M_PER_S
    irradiance_w_per_m2: float = 0.0


@dataclass(slots=True)
class Supply:
    """What the supply's meter reads."""

    power_w: float = 0.0
    energy_wh: float = 0.0
    voltage_v: float = 230.0


class Site:
    """The house in motion.

    Parameters
    ----------
    house, design
        What the supervisor is told, and what the survey makes of it.
    flaws
        What it is not told.
    seed
        Chooses weather, guests and the scatter of manufacture.
    start_s
        The Unix time at which it starts [s].
    """

    def __init__(self, house: House, design: Design, *, flaws: Flaws = SOUND, seed: int = 7, start_s: float) -> None:
        self.house = house = filled(house)
        self.flaws = flaws
        self.t_s = start_s
        self.outdoors = Outdoors()
        self.supply = Supply(energy_wh=4_211_000.0)
        self.true_w_per_k = {zone.id: _true_loss(zone, design, flaws) for zone in house.zones}
        rooms = [_room(house, zone, design, self.true_w_per_k[zone.id]) for zone in house.zones]
        self.rooms = Rooms(rooms, list(_links(house)), start_c=17.0)
        self._place = {zone.id: place for place, zone in enumerate(house.zones)}
        self.appliances = tuple(_appliances(house, flaws, seed))
        self._seed = seed
        self._zone_info = ZoneInfo(house.site.timezone)
        self._weather = Weather(
            seed, house.site.latitude_deg or LATITUDE_DEG, house.site.longitude_deg or LONGITUDE_DEG
        )
        self._glass = [list(_glass(zone)) for zone in house.zones]
        #: Whether the guests have left, as they are asked to for a heating test.
        self.empty = False
        self._looked_s = float("-inf")
        self._air_gain_w: list[float] = []
        self._draught = 1.0
        self._other_w = 0.0

    def air_c(self, zone_id: str) -> float:
        """Return a zone's air temperature [°C]."""
        return self.rooms.air_c[self._place[zone_id]]

    def advance(self, seconds: float) -> None:
        """Let at most a minute pass."""
        if self.t_s - self._looked_s >= LOOK_S:
            self._look()
        rooms = self.rooms
        air_c = rooms.air_c
        to_air = self._air_gain_w[:]
        to_fabric = self._air_gain_w[:]
        volts = self._weather.voltage_v(self.t_s) - DROP_V_PER_W * self.supply.power_w
        total = self._other_w
        for appliance in self.appliances:
            place = appliance.room
            power = appliance.run(seconds, t_s=self.t_s, air_c=air_c[place], voltage_v=volts)
            if power:
                total += power
                to_air[place] += CONVECTIVE * power
                to_fabric[place] += (1 - CONVECTIVE) * power
        self.outdoors.temp_c = self._weather.outdoor_c(self.t_s)
        rooms.step(
            seconds,
            outdoor_c=self.outdoors.temp_c,
            ground_c=MEAN_C,
            draught=self._draught,
            to_air_w=to_air,
            to_fabric_w=to_fabric,
        )
        self.supply.power_w = total
        self.supply.voltage_v = volts
        self.supply.energy_wh += total * seconds / 3600
        self.t_s += seconds

    def _look(self) -> None:
        """Look up what changes slowly: sun, wind, guests. Half of such heat goes to the air, half to the fabric."""
        self._looked_s = self.t_s
        local = datetime.fromtimestamp(self.t_s, UTC).astimezone(self._zone_info)
        place, sky = self._weather.sun(self.t_s)
        bright = {faces for room in self._glass for faces, _ in room}
        by_face = {faces: on_wall(place, sky, faces) for faces in bright}
        self._air_gain_w = [
            0.5
            * (
                (EMPTY_W_PER_M2 * zone.floor_area_m2 if self.empty else gains_w(zone.use, zone.id, local, self._seed))
                + sum(by_face[faces] * aperture_m2 for faces, aperture_m2 in glass)
            )
            for zone, glass in zip(self.house.zones, self._glass, strict=True)
        ]
        wind = self._weather.wind_m_per_s(self.t_s)
        self._draught = 1 + WIND_SHARE * (wind / MEAN_WIND_M_PER_S - 1)
        self._other_w = other_load_w(local, self._seed)
        self.outdoors.wind_m_per_s = wind
        self.outdoors.irradiance_w_per_m2 = sky.global_w_per_m2


def _designed(zone: Zone, design: Design) -> ZoneDesign:
    found = design.zone(zone.id)
    if found is None:
        raise ValueError(f"the design has no zone {zone.id}")
    return found


def _true_loss(zone: Zone, design: Design, flaws: Flaws) -> float:
    return flaws.loses_w_per_k.get(zone.id, _designed(zone, design).in_use_w_per_k)


def _room(house: House, zone: Zone, design: Design, total_w_per_k: float) -> Room:
    """Split what a room loses into its ways; a loss above the survey's is put down to the fabric."""
    designed = _designed(zone, design)
    in_use = zone.air_changes_in_use_per_h
    changes = zone.air_changes_per_h / 2 if in_use is None else in_use
    per_m3 = 0.33 if house.site.method == "domestic" else 0.34
    # Never more than 60 % by air: a whole coefficient from elsewhere may hold less than elements and volume suggest.
    room_for_air = 0.6 * designed.in_use_w_per_k
    ventilation = min(per_m3 * changes * zone.air_volume_m3, room_for_air)
    windows = min(sum(_window_w_per_k(element) for element in zone.elements), room_for_air - ventilation)
    surfaces = max(SURFACES_W_PER_M2K * zone.floor_area_m2, 1.5 * total_w_per_k)
    fabric = fabric_for(total_w_per_k, ventilation + windows, surfaces)
    ground_share = min(designed.ground_w_per_k / (total_w_per_k - ventilation - windows), 0.9)
    store = zone.floor_area_m2 * FABRIC_J_PER_M2K[zone.thermal_mass]
    if zone.capacity_wh_per_k is not None:
        store = zone.capacity_wh_per_k * 3600
    return Room(
        id=zone.id,
        windows_w_per_k=windows,
        ventilation_w_per_k=ventilation,
        fabric_w_per_k=fabric * (1 - ground_share),
        ground_w_per_k=fabric * ground_share,
        surfaces_w_per_k=surfaces,
        air_j_per_k=AIR_J_PER_M2K * zone.floor_area_m2,
        fabric_j_per_k=store,
    )


def _window_w_per_k(element: Element) -> float:
    if element.kind not in ("window", "rooflight") or element.u_w_per_m2k is None:
        return 0.0
    return element.u_w_per_m2k * _area_m2(element)


def _area_m2(element: Element) -> float:
    if element.area_m2 is not None:
        return element.area_m2
    return (element.width_m or 0.0) * (element.height_m or 0.0)


def _glass(zone: Zone) -> Iterator[tuple[float, float]]:
    """Yield each window's bearing and what it lets in: area x g x glazed share x care [°, m²]."""
    for element in zone.elements:
        if element.kind in ("window", "rooflight") and element.faces_deg is not None:
            g_value = 0.6 if element.g_value is None else element.g_value
            frame = 0.3 if element.frame_share is None else element.frame_share
            yield element.faces_deg, _area_m2(element) * g_value * (1 - frame) * SUN_CARE


def _links(house: House) -> Iterator[tuple[int, int, float]]:
    """Yield what joins rooms: surveyed party elements by area and U, unsurveyed neighbours by assumption."""
    place = {zone.id: index for index, zone in enumerate(house.zones)}
    named: set[tuple[int, int]] = set()
    for zone in house.zones:
        here = place[zone.id]
        for element in zone.elements:
            if isinstance(element.beyond, str) and element.beyond.startswith("zone:") and element.u_w_per_m2k:
                yield here, place[element.beyond.removeprefix("zone:")], element.u_w_per_m2k * _area_m2(element)
        for other in zone.neighbours:
            pair = (min(here, place[other]), max(here, place[other]))
            if pair not in named:  # either side may name it
                named.add(pair)
                yield *pair, NEIGHBOUR_W_PER_K


def _appliances(house: House, flaws: Flaws, seed: int) -> Iterator[Appliance]:
    """Yield the heaters as made: power within 2 % of the plate (IEC 60335-1 allows +5/-10 %), scattered readings."""
    chance = Random(f"manufacture {seed}")
    for room, zone in enumerate(house.zones):
        for heater in zone.heaters:
            made = chance.uniform(0.98, 1.02)
            bias_k = chance.gauss(0.0, 0.12)
            counted_wh = chance.uniform(90e3, 900e3)
            modulating = chance.random() < 0.4
            broken = flaws.element_share.get(heater.id)
            yield Appliance(
                heater.id,
                room,
                plate_w=heater.rated_w,
                plate_v=heater.rated_v,
                share=made if broken is None else broken,
                modulating=modulating,
                bias_k=bias_k,
                energy_wh=counted_wh,
            )
