"""Simulated houses under a heating test, many at once, with their truth known.

Built to differ from the estimator: three heat stores a room (air with furniture, inner walls, outer wall), steps of a
minute, thermostats that switch or modulate on sensors that are off by a constant, sun through clouds, draughts that
follow the wind, soil, fridges and standby, a neighbour that stays cool in some houses, meters of 1 Wh, thermometers of
0.1 K, lost messages. People live there until the test starts. Three rooms: the tested one, its guard, a third.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from ingle.control.heating_test import times
from ingle.design import design_house
from ingle.model.design import Design
from ingle.model.devices import Heater
from ingle.model.envelope import Element
from ingle.model.heating_tests import HeatingTest
from ingle.model.house import House, Site, Zone
from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.series import Columns

Floats = npt.NDArray[np.float64]

ROOMS = ("parlour", "landing", "study")
USES = ("living", "hall", "kitchen")
AREA = np.array([18.0, 10.0, 12.0])
FACES = np.array([180.0, 0.0, 90.0])
#: The first day of the record: three days of ordinary living go before the test.
BEFORE_DAYS = 3
LONDON = ZoneInfo("Europe/London")
SOIL_C = 9.0


@dataclass(slots=True)
class TrialHome:
    """One simulated house: its survey, its test, its readings, its truth."""

    house: House
    design: Design
    links: dict[tuple[str, str], float]
    test: HeatingTest
    sources: dict[Source, Columns]
    true_w_per_k: dict[str, float]

    def read(self, source: Source) -> Columns:
        """Return a source's readings, none for an unknown one."""
        return self.sources.get(source, Columns.of([]))


def trial_homes(
    seed: int, count: int, *, nights: int = 4, outdoor_c: float = 4.0, cool_down: bool = False, every_min: int = 5
) -> list[TrialHome]:
    """Simulate houses under a heating test."""
    batch = _Batch(np.random.default_rng(seed), count, nights, outdoor_c, every_min, cool_down=cool_down)
    batch.run()
    return [batch.home(index) for index in range(count)]


class _Batch:
    def __init__(
        self,
        rng: np.random.Generator,
        count: int,
        nights: int,
        outdoor_c: float,
        every_min: int,
        *,
        cool_down: bool,
    ) -> None:
        self.rng, self.count, self.every = rng, count, every_min
        shape = (count, len(ROOMS))
        self.begins = datetime(2026, 1, 12, 0, 0, tzinfo=UTC) + timedelta(days=int(rng.integers(0, 40)))
        self.asked = self.begins + timedelta(days=BEFORE_DAYS, hours=10)
        self.times = times(self.asked, nights, LONDON, cool_down=cool_down)
        self.nights = nights
        self.minutes = int((self.times.end - self.begins).total_seconds() // 60) + 60
        self.wanted_c = rng.uniform(20.0, 22.0, (count, 1))
        loss = AREA * rng.uniform(1.2, 3.2, (count, 1)) * rng.lognormal(0, 0.2, shape)
        self.draught = loss * rng.uniform(0.2, 0.6, shape)
        wall = loss - self.draught
        self.to_wall = wall + AREA * rng.uniform(5, 12, shape)
        self.out_of_wall = wall * self.to_wall / (self.to_wall - wall)
        self.to_inner = AREA * rng.uniform(8, 18, shape)
        self.air_wh = AREA * rng.uniform(4, 10, shape)
        heavy = rng.uniform(0.4, 1.8, (count, 1))
        self.inner_wh = AREA * 22 * heavy * rng.uniform(0.7, 1.3, shape)
        self.wall_wh = AREA * 45 * heavy * rng.uniform(0.7, 1.3, shape)
        self.soil_share = np.where(np.array([True, True, False]), rng.uniform(0.0, 0.25, shape), 0.0)
        self.surveyed_soil = self.soil_share * (1 - self.draught / loss) * rng.lognormal(0, 0.25, shape)
        self.between = np.stack(
            [
                rng.uniform(8, 20, count),
                rng.uniform(8, 16, count),
                np.where(rng.random(count) < 0.4, rng.uniform(3, 10, count), 0.0),
            ]
        )
        self.link_times = rng.lognormal(0, 0.25, self.between.shape)
        self.glass = AREA * 0.12 * 0.44 * rng.uniform(0.4, 0.9, shape)
        self.leak_wind = rng.uniform(0.01, 0.07, shape)
        self.standby = AREA * rng.uniform(0.05, 1.0, shape) + np.array([0, 0, 1.0]) * rng.uniform(15, 40, (count, 1))
        self.modulating = rng.random(shape) < 0.4
        self.offset = rng.normal(0, 0.2, shape)
        self.meter = rng.normal(1.0, 0.007, shape)
        self.rated = np.ceil(loss * rng.uniform(1.5, 2.2, shape) * 23 / 250) * 250 + 250
        self.third_c = rng.uniform(15.0, 19.0, (count, 1))
        self._weather(outdoor_c)

    def _weather(self, outdoor_c: float) -> None:
        rng, count = self.rng, self.count
        days = self.minutes // 1440 + 3
        front, cloud, breeze = np.zeros((days, count)), np.zeros((days, count)), np.zeros((days, count))
        front[0], breeze[0] = rng.normal(0, 2.5, count), rng.normal(0, 1.5, count)
        for day in range(1, days):
            front[day] = 0.7 * front[day - 1] + rng.normal(0, 1.9, count)
            cloud[day] = 0.5 * cloud[day - 1] + rng.normal(0, 0.9, count)
            breeze[day] = 0.6 * breeze[day - 1] + rng.normal(0, 1.5, count)
        clock = np.arange(self.minutes) / 1440
        clear = 1 / (1 + np.exp(cloud))

        def smooth(values: Floats) -> Floats:
            return np.stack([np.interp(clock, np.arange(days), values[:, each]) for each in range(count)], axis=1)

        clearness = smooth(clear)
        hour = (clock % 1) * 24
        swing = (0.8 + 4.5 * clearness) * np.cos(2 * np.pi * (hour - 14.5) / 24)[:, None]
        self.out = outdoor_c + smooth(front) + swing
        up = np.maximum(np.sin(np.pi * (hour - 7.6) / 9.0), 0) * (hour > 7.6) * (hour < 16.6)
        self.sun = up[:, None] * (60 + 400 * clearness)
        self.wind = np.maximum(0.3, 4 + smooth(breeze))

    def run(self) -> None:
        """Step through the minutes."""
        kept = self.minutes // self.every
        shape = (kept, self.count, len(ROOMS))
        self.t_s = self.begins.timestamp() + np.arange(kept) * self.every * 60.0
        self.temp, self.power, self.energy = (np.zeros(shape) for _ in range(3))
        self.air = np.full(shape[1:], 17.5) + self.rng.normal(0, 0.5, shape[1:])
        self.inner, self.wall = self.air.copy(), self.air - 4.0
        self.on, self.used = np.zeros(shape[1:]), np.zeros(shape[1:])
        for minute in range(self.minutes):
            self._step(minute)

    def _step(self, minute: int) -> None:
        heat = self._heat(minute)
        gains = self.standby + self._people(minute)
        out = self.out[minute][:, None]
        solar = self.glass * self.sun[minute][:, None] * self._facing(minute)
        blown = self.draught * (1 + self.leak_wind * (self.wind[minute] - 4)[:, None])
        inward, outward = self.to_inner * (self.air - self.inner), self.to_wall * (self.air - self.wall)
        beyond = self.out_of_wall * (self.wall - (1 - self.soil_share) * out - self.soil_share * SOIL_C)
        air_w = 0.75 * heat + gains + 0.35 * solar - blown * (self.air - out) - inward - outward + self._links()
        self.inner = self.inner + (inward + 0.1 * heat + 0.4 * solar) / self.inner_wh / 60
        self.wall = self.wall + (outward + 0.15 * heat + 0.25 * solar - beyond) / self.wall_wh / 60
        self.air = self.air + air_w / self.air_wh / 60
        self.used += heat / 60
        if minute % self.every == 0 and minute // self.every < len(self.t_s):
            at = minute // self.every
            self.temp[at], self.power[at], self.energy[at] = self.air, heat, self.used

    def _heat(self, minute: int) -> Floats:
        now = self.begins + timedelta(minutes=minute)
        wanted = np.repeat(self.wanted_c, len(ROOMS), axis=1)
        wanted[:, 2:] = self.third_c
        if now < self.asked:
            day = 7 <= now.hour < 22
            wanted = np.full_like(wanted, 19.5 if day else 16.0)
        elif self.times.cool_from is not None and now >= self.times.cool_from:
            wanted[:, :2] = 16.0
        seen = self.air + self.offset
        switch = np.where(seen < wanted - 0.2, 1.0, np.where(seen > wanted + 0.2, 0.0, self.on))
        self.on = np.where(self.modulating, np.clip((wanted + 0.15 - seen) / 0.5, 0, 1), switch)
        return np.asarray(self.rated * self.on)

    def _people(self, minute: int) -> Floats:
        now = self.begins + timedelta(minutes=minute)
        if now >= self.asked:
            return np.zeros(len(ROOMS))
        return np.array([120.0, 0.0, 60.0]) if 17 <= now.hour < 23 else np.array([20.0, 5.0, 40.0])

    @staticmethod
    def _facing(minute: int) -> Floats:
        azimuth = 90 + ((minute % 1440) / 60 - 6) * 15
        return np.asarray(0.35 + 1.2 * np.maximum(0, np.cos(np.radians(FACES - azimuth))))

    def _links(self) -> Floats:
        flow = np.zeros_like(self.air)
        for number, (one, other) in enumerate(((0, 1), (1, 2), (0, 2))):
            q = self.between[number] * self.link_times[number] * (self.air[:, other] - self.air[:, one])
            flow[:, one] += q
            flow[:, other] -= q
        return flow

    def true(self) -> Floats:
        """Return what steady heating would need to hold one kelvin more [W/K]: the answer."""
        passes = self.out_of_wall / (self.to_wall + self.out_of_wall)
        return np.asarray((self.draught + self.to_wall * passes) / (1 - 0.15 * passes))

    def home(self, index: int) -> TrialHome:
        """Return one house of the batch, its data made as dirty as real ones."""
        rng = self.rng
        sources: dict[Source, Columns] = {}
        for room, name in enumerate(ROOMS):
            keep = rng.random(len(self.t_s)) > 0.05
            temp = self.temp[:, index, room] + self.offset[index, room] + rng.normal(0, 0.06, len(self.t_s))
            sources[Source("heater", f"{name}-1")] = _columns(
                self.t_s[keep],
                power_w=np.round(self.power[keep, index, room]),
                energy_wh=np.round(1000.0 + self.energy[keep, index, room] * self.meter[index, room]),
                temp_c=np.round(temp[keep], 1),
            )
        out = self.out[:: self.every, index][: len(self.t_s)] + rng.normal(0, 0.25)
        sources[OUTDOOR] = _columns(self.t_s[::2], temp_c=np.round(out[::2] + rng.normal(0, 0.1, len(out[::2])), 1))
        true = self.true()[index]
        surveyed = true * rng.lognormal(0, 0.25, len(ROOMS))
        pairs = {("landing", "parlour"): 0, ("landing", "study"): 1, ("parlour", "study"): 2}
        house = self._house(index, surveyed)
        return TrialHome(
            house=house,
            design=design_house(house),
            links={pair: float(self.between[number, index]) for pair, number in pairs.items()},
            test=self._test(index),
            sources=sources,
            true_w_per_k=dict(zip(ROOMS, true.tolist(), strict=True)),
        )

    def _test(self, index: int) -> HeatingTest:
        return HeatingTest(
            number=1,
            zones=("parlour",),
            guards=("landing",),
            temp_c=float(self.wanted_c[index, 0]),
            nights=self.nights,
            who="test",
            via="cli",
            why="",
            asked=self.asked,
            start=self.asked,
            measure_from=self.times.measure_from,
            cool_from=self.times.cool_from,
            end=self.times.end,
            stage="done",
            ended=self.times.end,
        )

    def _house(self, index: int, surveyed: Floats) -> House:
        zones = tuple(
            Zone(
                id=name,
                name=name.title(),
                use=USES[room],  # type: ignore[arg-type]  # names of uses
                floor_area_m2=float(AREA[room]),
                height_m=2.4,
                given_w_per_k=float(surveyed[room]),
                ground_share=min(1.0, float(self.surveyed_soil[index, room])),
                elements=(
                    Element(
                        name="window",
                        kind="window",
                        area_m2=float(AREA[room] * 0.12),
                        u_w_per_m2k=1.6,
                        faces_deg=float(FACES[room]),
                    ),
                ),
                heaters=(Heater(id=f"{name}-1", rated_w=float(self.rated[index, room])),),
            )
            for room, name in enumerate(ROOMS)
        )
        site = Site(
            name="Drift Cottage",
            timezone="Europe/London",
            outdoor_design_c=-2.0,
            outdoor_mean_c=10.5,
            latitude_deg=52.0,
            longitude_deg=0.0,
        )
        return House(site=site, zones=zones)


def _columns(t_s: Floats, **values: Floats) -> Columns:
    floats = {name: np.asarray(each, np.float64) for name, each in values.items()}
    return Columns(t_s=np.asarray(t_s, np.float64), computed=np.zeros(len(t_s), np.bool_), values=floats)
