"""Simulated homes for the verdict's tests, many at once, with their truth known.

Built to differ from the estimator in structure: two heat stores a room, steps of one minute, thermostats that switch
or modulate, people who come and go, sun through clouds, draughts that follow the wind, soil under the ground floor,
mains voltage that wanders, and data with noise, offsets, holes and a counter that starts again. All homes of a batch
run through the same steps as one array, so that sixty cost little more than one.

``varied`` homes differ from one another in kind as well: furniture and inner walls as a third store, doors that stand
open for hours, no setback at all or rooms left off for days, a terrace's warm neighbour behind an unsurveyed wall, an
outdoor thermometer that the sun shines on, draughts up to twice as strong, weekends unlike weekdays, glass the survey
does not list, walls that face elsewhere than noted.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from ingle.model.design import Design, ZoneDesign
from ingle.model.devices import Heater, Sensor
from ingle.model.envelope import Element
from ingle.model.house import House, Site, Zone
from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.series import Columns

Floats = npt.NDArray[np.float64]

ROOMS = ("kitchen", "living", "bedroom-1", "bedroom-2", "bath", "office")
USES = ("kitchen", "living", "bedroom", "bedroom", "bath", "office")
AREA = np.array([14.0, 24.0, 14.0, 11.0, 6.0, 10.0])
GROUND = np.array([True, True, False, False, False, False])
FACES = np.array([90.0, 180.0, 180.0, 0.0, 0.0, 270.0])
#: Which rooms share a wall or a floor, and how well [W/K].
LINKS = {(0, 1): 14.0, (0, 4): 9.0, (1, 2): 16.0, (1, 3): 10.0, (2, 3): 9.0, (3, 4): 8.0, (4, 5): 8.0, (2, 5): 7.0}
START_S = 1_767_600_000.0  # 2026-01-05 08:00 UTC, a Monday
SOIL_MEAN_C = 10.5
#: A terrace's neighbour behind a wall that the survey does not list.
PARTY_C = 18.5


@dataclass(slots=True)
class Flaws:
    """What is wrong with one home: room index to amount."""

    loss_times: dict[int, float] = field(default_factory=dict)
    loss_from_day: float = 0.0
    plate_times: dict[int, float] = field(default_factory=dict)
    hidden_heat_w: dict[int, float] = field(default_factory=dict)
    rated_times: dict[int, float] = field(default_factory=dict)
    warmer_k: float = 0.0
    second_sensor_off_k: dict[int, float] = field(default_factory=dict)


@dataclass(slots=True)
class Home:
    """One simulated home: its survey, its readings, its truth."""

    house: House
    design: Design
    links: dict[tuple[str, str], float]
    sources: dict[Source, Columns]
    true_w_per_k: dict[str, float]
    start_s: float
    end_s: float

    def read(self, source: Source) -> Columns:
        """Return a source's readings, none for an unknown one."""
        return self.sources.get(source, Columns.of([]))

    def until(self, end_s: float) -> Home:
        """Return the home as it was known at an earlier time."""
        sources = {source: _first(each, int(np.searchsorted(each.t_s, end_s))) for source, each in self.sources.items()}
        return replace(self, sources=sources, end_s=end_s)


def _first(columns: Columns, count: int) -> Columns:
    return Columns(
        t_s=columns.t_s[:count],
        computed=columns.computed[:count],
        values={name: each[:count] for name, each in columns.values.items()},
    )


def homes(
    seed: int,
    days: int,
    flaws: list[Flaws],
    *,
    every_min: int = 5,
    design_error: float = 0.05,
    varied: bool = False,
    design_everywhere: float = 0.0,
) -> list[Home]:
    """Simulate one home for each set of flaws; ``design_everywhere`` puts the whole survey wrong, up or down."""
    batch = _Batch(np.random.default_rng(seed), days, flaws, every_min, design_error)
    if varied:
        batch.vary(np.random.default_rng(seed + 50_000))
    up_or_down = np.where(np.arange(len(flaws)) % 2, 1 + design_everywhere, 1 - design_everywhere)
    batch.design = batch.design * up_or_down[:, None]
    batch.run()
    return [batch.home(index) for index in range(len(flaws))]


class _Batch:
    def __init__(
        self, rng: np.random.Generator, days: int, flaws: list[Flaws], every_min: int, design_error: float
    ) -> None:
        self.rng, self.days, self.flaws, self.every = rng, days, flaws, every_min
        count, rooms = len(flaws), len(ROOMS)
        shape = (count, rooms)
        heavy = rng.uniform(0.6, 1.6, (count, 1))
        self.true = AREA * rng.uniform(1.4, 3.2, (count, 1)) * rng.lognormal(0, 0.15, shape)
        self.design = self.true * rng.lognormal(0, design_error, shape)
        self.times = np.ones(shape)
        self.plate_times = np.ones(shape)
        self.hidden = np.zeros(shape)
        rated = np.ceil(self.true * rng.uniform(1.3, 1.7, shape) * 24 / 250) * 250 + 250
        for home, flaw in enumerate(flaws):
            for room, amount in flaw.loss_times.items():
                self.times[home, room] = amount
            for room, amount in flaw.plate_times.items():
                self.plate_times[home, room] = amount
            for room, amount in flaw.hidden_heat_w.items():
                self.hidden[home, room] = amount
            for room, amount in flaw.rated_times.items():
                rated[home, room] = np.ceil(rated[home, room] * amount / 50) * 50
        self.rated = rated
        self.loss_day = np.array([[flaw.loss_from_day] for flaw in flaws])
        self.warmer = np.array([flaw.warmer_k for flaw in flaws])
        self.air_wh = AREA * 12 * rng.uniform(0.7, 1.4, shape)
        self.mass_wh = AREA * 38 * heavy * rng.uniform(0.8, 1.2, shape)
        self.between = AREA * rng.uniform(9, 14, shape)
        self.direct_share = rng.uniform(0.35, 0.6, shape)
        self.soil_share = np.where(GROUND, rng.uniform(0.12, 0.3, shape), 0.0)
        # The survey knows the floor's share of the room's loss to about a quarter.
        self.surveyed_soil = self.soil_share * (1 - self.direct_share) * rng.lognormal(0, 0.25, shape)
        self.link_times = rng.lognormal(0, 0.3, (count, len(LINKS)))
        self.glass = AREA * 0.12 * 0.44 * rng.uniform(0.4, 0.9, shape)
        self.leak_wind = rng.uniform(0.02, 0.06, shape)
        self.people = np.array([0.6, 1.0, 1.0, 0.8, 0.15, 0.5]) * rng.lognormal(0, 0.35, shape)
        self.plug = AREA * rng.uniform(0.3, 1.5, shape)
        self.modulating = rng.random(shape) < 0.4
        self.offset = rng.normal(0, 0.2, shape)
        self.faces = np.tile(FACES, (count, 1))
        self.inner_w_per_k = np.zeros(shape)
        self.inner_wh = np.ones(shape)
        self.party_w_per_k = np.zeros(shape)
        self.open_doors = np.zeros((count, 1))
        self.sunlit_k = np.zeros(count)
        self.weekend = np.ones((count, 1))
        self.setback = np.ones((count, 1))
        self.idle_share = np.zeros((count, 1))

    def vary(self, rng: np.random.Generator) -> None:
        """Make the homes differ in kind: each trait falls to some of them."""
        count, shape = len(self.flaws), self.true.shape

        def some(share: float, size: tuple[int, int] = (count, 1)) -> Floats:
            return np.asarray((rng.random(size) < share) * 1.0)

        self.inner_w_per_k = some(0.5) * AREA * rng.uniform(4, 9, shape)
        self.inner_wh = AREA * rng.uniform(10, 40, shape)
        self.party_w_per_k = some(0.4) * some(0.4, shape) * AREA * rng.uniform(0.3, 1.0, shape)
        self.open_doors = some(0.5) * rng.uniform(2, 6, (count, 1))
        self.sunlit_k = (rng.random(count) < 0.3) * rng.uniform(0.5, 2.5, count)
        self.weekend = np.where(rng.random((count, 1)) < 0.5, rng.uniform(1.2, 1.8, (count, 1)), 1.0)
        self.setback = np.where(rng.random((count, 1)) < 0.25, 0.0, 1.0)
        self.idle_share = some(0.3) * rng.uniform(0.02, 0.1, (count, 1))
        self.leak_wind = rng.uniform(0.01, 0.09, shape)
        self.glass = self.glass * np.where(rng.random(shape) < 0.25, rng.uniform(1.2, 2.0, shape), 1.0)
        self.faces = FACES + np.where(rng.random(shape) < 0.2, rng.choice([-90.0, 90.0], shape), 0.0)
        self.people = self.people * rng.choice([0.4, 1.0, 1.3], (count, 1))

    def run(self) -> None:
        """Step through the minutes."""
        rng, count, rooms = self.rng, len(self.flaws), len(ROOMS)
        minutes = self.days * 1440
        kept = minutes // self.every
        self.t_s = START_S + np.arange(kept) * self.every * 60.0
        self._weather(minutes)
        self.temp = np.zeros((kept, count, rooms), np.float32)
        self.power, self.wanted = np.zeros_like(self.temp), np.zeros_like(self.temp)
        self.energy = np.zeros((kept, count, rooms))
        self.volts = np.zeros((kept, count, 1), np.float32)
        self.warm_c = rng.uniform(19, 21.5, (count, rooms))
        self.cool_c = self.warm_c - rng.uniform(1.5, 4.0, (count, rooms))
        self.wake = rng.integers(330, 480, (count, 1))
        self.sleep = rng.integers(1260, 1400, (count, 1))
        self.cool_c = self.warm_c - (self.warm_c - self.cool_c) * self.setback
        self.air, self.mass = self.cool_c + 0.5, self.cool_c - 0.3
        self.inner = self.air.copy()
        self.idle, self.doors = np.zeros((count, rooms)), np.ones((count, 1))
        self.on, self.used_wh = np.zeros((count, rooms)), np.zeros((count, rooms))
        # The walls' way out, so that air to outdoors in the steady state is exactly the true coefficient.
        self.direct = self.true * self.direct_share
        wall = self.true - self.direct
        self.outward = wall * self.between / (self.between - wall)
        self.now_v = 236.0 + rng.normal(0, 3, (count, 1))
        self.away, self.busy = np.zeros((count, 1)), np.ones((count, rooms))
        for minute in range(minutes):
            self._step(minute)

    def _step(self, minute: int) -> None:
        clock = (minute + 480) % 1440
        wanted, heat = self._thermostats(clock)
        gains = self._gains(clock)
        gains = gains * np.where((minute + 480) // 1440 % 7 >= 5, self.weekend, 1.0)
        solar = self.glass * self.sun[minute][:, None] * self._facing(clock)
        out = self.out[minute][:, None]
        times = np.where(minute / 1440 >= self.loss_day, self.times, 1.0)
        draught = times * self.direct * (1 + self.leak_wind * (self.wind[minute] - 4)[:, None])
        into_mass = self.between * (self.air - self.mass)
        soil = self.soil_share * times * self.outward * (self.mass - self.soil[minute])
        lost = (1 - self.soil_share) * times * self.outward * (self.mass - out)
        into_inner = self.inner_w_per_k * (self.air - self.inner)
        next_door = self.party_w_per_k * (PARTY_C - self.air)
        air_w = 0.7 * heat + 0.7 * gains + 0.4 * solar - draught * (self.air - out) - into_mass + self._links(self.air)
        air_w = air_w - into_inner + next_door
        self.inner = self.inner + into_inner / self.inner_wh / 60
        mass_w = into_mass + 0.3 * heat + 0.3 * gains + 0.6 * solar - lost - soil
        self.air = self.air + air_w / self.air_wh / 60
        self.mass = self.mass + mass_w / self.mass_wh / 60
        self.used_wh += heat / 60
        self.now_v = self.now_v + self.rng.normal(0, 0.15, self.now_v.shape) - 0.002 * (self.now_v - 236)
        if minute % self.every == 0:
            at = minute // self.every
            self.temp[at], self.power[at], self.energy[at] = self.air, heat, self.used_wh
            self.wanted[at], self.volts[at] = wanted, self.now_v

    def _thermostats(self, clock: int) -> tuple[Floats, Floats]:
        """Return what each room wants and what its heater gives; a modulating one pulses within the minute."""
        wanted = np.where((clock >= self.wake) & (clock < self.sleep), self.warm_c, self.cool_c)
        wanted = np.where(self.idle > 0, 12.0, wanted)
        seen = self.air + self.offset
        switch = np.where(seen < wanted - 0.2, 1.0, np.where(seen > wanted + 0.2, 0.0, self.on))
        self.on = np.where(self.modulating, np.clip((wanted + 0.15 - seen) / 0.5, 0, 1), switch)
        return wanted, self.rated * self.plate_times * (self.now_v / 230) ** 2 * self.on

    def _gains(self, clock: int) -> Floats:
        """Return unmetered heat; each day has its own share of absence and of business."""
        if clock == 240:
            self.away = (self.rng.random(self.away.shape) < 0.12).astype(float)
            self.busy = self.rng.lognormal(-0.08, 0.4, self.busy.shape)
            if self.idle_share.any():
                self.idle = (self.rng.random(self.idle.shape) < self.idle_share).astype(float)
        if clock % 120 == 0 and self.open_doors.any():
            ajar = (self.rng.random(self.doors.shape) < 0.4) & (420 < clock < 1350)
            self.doors = np.where(ajar, 1 + self.open_doors, 1.0)
        people = self._people(clock, self.away) * self.people * 75
        plug = self.plug * (1.6 if 420 < clock < 1350 else 0.5) * (1 - 0.6 * self.away)
        gains = (people + plug) * self.busy
        if 1050 < clock < 1110:
            gains[:, 0] += 600 * (1 - self.away[:, 0]) * self.busy[:, 0]
        return np.asarray(gains + self.hidden * (1140 < clock < 1320))

    def true_w_per_k(self) -> Floats:
        """Return what steady heating would need to hold one kelvin more [W/K]: the answer."""
        direct = self.true * self.direct_share
        wall = self.true - direct
        outward = wall * self.between / (self.between - wall) * self.times
        # 30 % of the heat enters at the wall, so the room needs a little more than from the air alone.
        h, g, b = direct * self.times, outward, self.between
        return np.asarray((h + g * b / (g + b)) / (1 - 0.3 * g / (g + b)))

    def _weather(self, minutes: int) -> None:
        rng, count = self.rng, len(self.flaws)
        days = self.days + 2
        front, cloud, breeze = np.zeros((days, count)), np.zeros((days, count)), np.zeros((days, count))
        front[0] = rng.normal(0, 3, count)
        for day in range(1, days):
            front[day] = 0.75 * front[day - 1] + rng.normal(0, 2.2, count)
            cloud[day] = 0.5 * cloud[day - 1] + rng.normal(0, 0.8, count)
            breeze[day] = 0.6 * breeze[day - 1] + rng.normal(0, 1.5, count)
        clock = (np.arange(minutes) + 480) / 1440
        grid = np.arange(days)
        clear = 1 / (1 + np.exp(cloud))

        def smooth(values: Floats) -> Floats:
            return np.stack([np.interp(clock, grid, values[:, home]) for home in range(count)], axis=1)

        season = 5.0 - 1.0 * np.cos(2 * np.pi * (clock - 20) / 365) + clock * 0.03
        hour = (clock % 1) * 24
        clearness = smooth(clear)
        swing = (1.0 + 5.0 * clearness) * np.cos(2 * np.pi * (hour - 14.5) / 24)[:, None]
        self.out = season[:, None] + smooth(front) + swing + self.warmer
        up = np.maximum(np.sin(np.pi * (hour - 7.6) / 9.0), 0) * (hour > 7.6) * (hour < 16.6)
        self.sun = up[:, None] * (60 + 380 * clearness * (1 + clock[:, None] / 150))
        self.wind = np.maximum(0.5, 4 + smooth(breeze))
        self.soil = np.full(minutes, SOIL_MEAN_C - 2.0)

    def _facing(self, clock: int) -> Floats:
        """Return how a room's glass sees the sun at a time of day."""
        azimuth = 90 + (clock / 60 - 6) * 15
        away = np.radians(self.faces - azimuth)
        return np.asarray(0.35 + 1.2 * np.maximum(0, np.cos(away)))

    @staticmethod
    def _people(clock: int, away: Floats) -> Floats:
        """Return how many people each room holds at a time of day."""
        if clock < 420 or clock > 1350:
            row = np.array([0, 0, 2.0, 1.0, 0, 0])
        elif clock < 540:
            row = np.array([1.5, 0.5, 0.2, 0.2, 0.6, 0])
        elif clock < 1020:
            row = np.array([0.3, 0.4, 0, 0, 0.1, 0.7])
        else:
            row = np.array([1.0, 1.8, 0.2, 0.2, 0.3, 0.2])
        return row * (1 - away)

    def _links(self, air: Floats) -> Floats:
        flow = np.zeros_like(air)
        for number, ((a, b), conductance) in enumerate(LINKS.items()):
            q = conductance * self.link_times[:, number] * self.doors[:, 0] * (air[:, b] - air[:, a])
            flow[:, a] += q
            flow[:, b] -= q
        return flow

    def home(self, index: int) -> Home:
        """Return one home of the batch, its data made as dirty as real ones."""
        rng, flaw = self.rng, self.flaws[index]
        house, design = _survey(self, index)
        sources: dict[Source, Columns] = {}
        alive = self._holes(len(self.t_s))
        for room, name in enumerate(ROOMS):
            energy = self.energy[:, index, room] + 1000.0
            reset = rng.integers(len(energy) // 3, len(energy) - 1)
            if rng.random() < 0.3:
                energy = np.where(np.arange(len(energy)) >= reset, energy - energy[reset], energy)
            noise = rng.normal(0, 0.08, len(energy))
            temp = np.round(self.temp[:, index, room] + self.offset[index, room] + noise, 1)
            keep = alive & (rng.random(len(energy)) > 0.04)
            sources[Source("heater", f"{name}-1")] = _columns(
                self.t_s[keep],
                power_w=np.round(self.power[keep, index, room]),
                energy_wh=np.round(energy[keep]),
                voltage_v=np.round(self.volts[keep, index, 0], 1),
                temp_c=temp[keep],
                setpoint_c=np.round(self.wanted[keep, index, room], 1),
            )
            for off in [flaw.second_sensor_off_k[room]] if room in flaw.second_sensor_off_k else []:
                for sensor, bias in (("a", 0.0), ("b", off)):
                    sources[Source("sensor", f"{name}-{sensor}")] = _columns(
                        self.t_s[keep], temp_c=temp[keep] + bias + rng.normal(0, 0.05, int(keep.sum()))
                    )
        shone_on = self.sunlit_k[index] * self.sun[:: self.every, index] / 300
        outdoors = self.out[:: self.every, index] + shone_on
        out = np.round(outdoors + rng.normal(0, 0.3) + rng.normal(0, 0.1, len(self.t_s)), 1)
        sources[OUTDOOR] = _columns(self.t_s[::2], temp_c=out[::2])
        truth = self.true_w_per_k()[index]
        links = {_pair(ROOMS[a], ROOMS[b]): value for (a, b), value in LINKS.items()}
        return Home(
            house=house,
            design=design,
            links=links,
            sources=sources,
            true_w_per_k=dict(zip(ROOMS, truth.tolist(), strict=True)),
            start_s=float(self.t_s[0]),
            end_s=float(self.t_s[-1]),
        )

    def _holes(self, count: int) -> npt.NDArray[np.bool_]:
        alive = np.ones(count, np.bool_)
        for _ in range(self.days // 9):
            start = self.rng.integers(0, count)
            alive[start : start + self.rng.integers(3, 8 * 60 // self.every)] = False
        return alive


def _pair(a: str, b: str) -> tuple[str, str]:
    return (min(a, b), max(a, b))


def _columns(t_s: Floats, **values: Floats) -> Columns:
    floats = {name: np.asarray(each, np.float64) for name, each in values.items()}
    return Columns(t_s=np.asarray(t_s, np.float64), computed=np.zeros(len(t_s), np.bool_), values=floats)


def _survey(batch: _Batch, index: int) -> tuple[House, Design]:
    zones, designs, sensors = [], [], []
    healthy = batch.times.copy()
    batch.times[:] = 1.0
    true = batch.true_w_per_k()[index]
    batch.times[:] = healthy
    wrong = batch.design[index] / batch.true[index]
    for room, name in enumerate(ROOMS):
        value = float(true[room] * wrong[room])
        window = Element(
            name="window",
            kind="window",
            area_m2=float(AREA[room] * 0.12),
            u_w_per_m2k=1.6,
            faces_deg=float(FACES[room]),
        )
        heater = Heater(id=f"{name}-1", rated_w=float(batch.rated[index, room]))
        zones.append(
            Zone(
                id=name,
                name=name.title(),
                use=USES[room],
                floor_area_m2=float(AREA[room]),
                height_m=2.4,
                given_w_per_k=value,
                ground_share=float(batch.surveyed_soil[index, room]) if GROUND[room] else None,
                elements=(window,),
                heaters=(heater,),
            )
        )
        designs.append(_zone_design(name, value, heater.rated_w))
        if room in batch.flaws[index].second_sensor_off_k:
            sensors += [Sensor(id=f"{name}-{which}", zone=name) for which in ("a", "b")]
    site = Site(
        name="Drift House",
        timezone="Europe/London",
        outdoor_design_c=-2.0,
        outdoor_mean_c=10.5,
        latitude_deg=52.0,
        longitude_deg=0.0,
    )
    house = House(site=site, zones=tuple(zones), sensors=tuple(sensors))
    design = Design(
        design_version="simulated", method="en12831", outdoor_design_c=-2.0, zones=tuple(designs), total_w=0.0
    )
    return house, design


def _zone_design(name: str, value: float, installed_w: float) -> ZoneDesign:
    """Return a survey that knows a room to ±10 % at 95 %."""
    return ZoneDesign(
        id=name,
        name=name.title(),
        design_c=20.0,
        fabric_w_per_k=value,
        bridges_w_per_k=0.0,
        ventilation_w_per_k=0.0,
        heat_loss_w_per_k=value,
        in_use_w_per_k=value,
        in_use_low_w_per_k=value * 0.9,
        in_use_high_w_per_k=value * 1.1,
        ground_w_per_k=0.0,
        reheat_w=0.0,
        heat_loss_w=value * 22,
        low_w=value * 20,
        high_w=value * 24,
        installed_w=installed_w,
        working=(),
        warnings=(),
    )
