"""Homes with one fault in one room, each drawn at random within its kind, from the verdict's own simulator.

What ``homes`` leaves out is added here: windows that are opened by habit or forgotten for days, thermometers that hang
above the heater or are wrong, plates too small, weak supplies. A fault is never a fixed amount: how large it is, when
it happens and on which days is drawn, so that no threshold can be fitted to one case.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from msgspec.structs import replace

from ingle.model.devices import Sensor
from ingle.model.readings import Source
from verdict.homes import AREA, ROOMS, Flaws, Floats, Home, _Batch, _columns

#: Hours for which a window stands open, from and to on the clock, with how much more than a sound room's air it lets
#: out: as a share of the room's coefficient.
NIGHT, MORNING, DAY = (22.0, 6.5), (7.0, 9.5), (9.0, 16.0)


@dataclass(slots=True)
class Fault(Flaws):
    """What is wrong with one home, beyond what ``Flaws`` knows; keyed by room."""

    opens: dict[int, tuple[float, float, float, float]] = field(default_factory=dict)
    forgotten: dict[int, float] = field(default_factory=dict)
    heater_on_sensor_k: dict[int, float] = field(default_factory=dict)
    sensor_off_k: dict[int, float] = field(default_factory=dict)
    plate_k: dict[int, float] = field(default_factory=dict)
    evening: tuple[float, float] = (19.0, 22.0)
    supply_v: float | None = None
    contact: bool = False


class _Faulty(_Batch):
    """A batch whose windows open and whose thermometers may be in the wrong place."""

    def __init__(
        self, rng: np.random.Generator, days: int, flaws: list[Fault], every_min: int, design_error: float
    ) -> None:
        super().__init__(rng, days, list(flaws), every_min, design_error)
        self.faults = flaws
        shape = self.true.shape
        self.extra = np.zeros(shape)
        for home, fault in enumerate(flaws):
            for room, difference_k in fault.plate_k.items():
                # Enough for so many kelvins over outdoors and no more.
                self.rated[home, room] = np.ceil(self.true[home, room] * difference_k / 25) * 25
        self.open_from, self.open_to, self.open_days = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        self.forget = np.zeros(shape)
        self.on_sensor, self.near = np.zeros(shape), np.zeros(shape)
        for home, fault in enumerate(flaws):
            for room, (share, start, end, days_share) in fault.opens.items():
                self.extra[home, room] = share * self.true[home, room]
                self.open_from[home, room], self.open_to[home, room] = start, end
                self.open_days[home, room] = days_share
            for room, share in fault.forgotten.items():
                self.extra[home, room] = share * self.true[home, room]
                self.forget[home, room] = 1.0
            for room, amount in fault.heater_on_sensor_k.items():
                self.on_sensor[home, room] = amount
            for room, amount in fault.sensor_off_k.items():
                self.offset[home, room] = amount
        self.today = np.ones(shape, np.bool_)
        self.left_open = np.zeros(shape, np.bool_)
        self.heat_from = np.array([[fault.evening[0] * 60] for fault in flaws])
        self.heat_to = np.array([[fault.evening[1] * 60] for fault in flaws])

    def run(self) -> None:
        """Step through the minutes, noting when windows stood open."""
        kept = self.days * 1440 // self.every
        self.opened = np.zeros((kept, *self.true.shape), np.bool_)
        self.bump = np.zeros((kept, *self.true.shape), np.float32)
        super().run()

    def _step(self, minute: int) -> None:
        if minute == 0:
            self.sound = self.direct.copy()
            for home, fault in enumerate(self.faults):
                if fault.supply_v is not None:
                    self.now_v[home] = fault.supply_v
        clock = (minute + 480) % 1440
        if clock == 720:
            self.today = self.rng.random(self.true.shape) < self.open_days
            # Forgotten for two to five days, closed for as long: a step down and a step up.
            flip = self.rng.random(self.true.shape) < 0.3
            self.left_open ^= flip
        hour = clock / 60
        over = self.open_from > self.open_to
        within = np.where(
            over,
            (hour >= self.open_from) | (hour < self.open_to),
            (hour >= self.open_from) & (hour < self.open_to),
        )
        is_open = ((within & self.today) | (self.left_open & (self.forget > 0))) & (self.extra > 0)
        self.direct = self.sound + np.where(is_open, self.extra, 0.0)
        super()._step(minute)
        for home, fault in enumerate(self.faults):
            if fault.supply_v is not None:
                self.now_v[home] += 0.01 * (fault.supply_v - self.now_v[home])
        self.near += (self.on_sensor * self.on - self.near) / 4  # minutes of lag
        if minute % self.every == 0:
            self.opened[minute // self.every] = is_open
            self.bump[minute // self.every] = self.near

    def _thermostats(self, clock: int) -> tuple[Floats, Floats]:
        air = self.air
        self.air = air + self.near  # what the thermostat feels
        try:
            return super()._thermostats(clock)
        finally:
            self.air = air

    def _gains(self, clock: int) -> Floats:
        hidden, self.hidden = self.hidden, np.zeros_like(self.hidden)
        try:
            gains = super()._gains(clock)
        finally:
            self.hidden = hidden
        over = self.heat_from > self.heat_to
        on = np.where(
            over,
            (clock >= self.heat_from) | (clock < self.heat_to),
            (clock >= self.heat_from) & (clock < self.heat_to),
        )
        return np.asarray(gains + self.hidden * on * (1 - self.away))

    def home(self, index: int) -> Home:
        """Return one home, its thermometers and contacts as the fault has them."""
        self.temp[:, index] += self.bump[:, index]
        found = super().home(index)
        self.temp[:, index] -= self.bump[:, index]
        fault = self.faults[index]
        sensors = list(found.house.sensors)
        for room, off in fault.sensor_off_k.items():
            # A second thermometer, at the heater, that is right; the room's own, on the wall, is not.
            name = ROOMS[room]
            heater = found.sources[Source("heater", f"{name}-1")]
            found.sources[Source("sensor", f"{name}-wall")] = _columns(heater.t_s, temp_c=heater["temp_c"])
            heater.values["temp_c"] = np.round(heater["temp_c"] - off + self.rng.normal(0, 0.2), 1)
            sensors.append(Sensor(id=f"{name}-wall", zone=name))
        if fault.contact:
            for room in (*fault.opens, *fault.forgotten):
                name = f"{ROOMS[room]}-contact"
                found.sources[Source("sensor", name)] = _columns(
                    self.t_s, opening=self.opened[:, index, room].astype(np.float64)
                )
                sensors.append(Sensor(id=name, zone=ROOMS[room], measures="opening"))
        found.house = replace(found.house, sensors=tuple(sensors))
        return found


def faulty_homes(seed: int, days: int, faults: list[Fault], *, every_min: int = 5) -> list[Home]:
    """Simulate one home for each fault."""
    batch = _Faulty(np.random.default_rng(seed), days, faults, every_min, 0.05)
    batch.run()
    return [batch.home(index) for index in range(len(faults))]


Draw = Callable[[np.random.Generator, int], Fault]


def _night(rng: np.random.Generator, room: int) -> Fault:
    start, end = NIGHT[0] + rng.uniform(-1, 1), NIGHT[1] + rng.uniform(-1, 1)
    return Fault(opens={room: (rng.uniform(0.8, 1.8), start, end, rng.uniform(0.75, 1.0))})


def _airing(rng: np.random.Generator, room: int) -> Fault:
    start = rng.uniform(7, 16)
    return Fault(opens={room: (rng.uniform(2.0, 4.0), start, start + rng.uniform(2, 4), rng.uniform(0.75, 1.0))})


def _forgotten(rng: np.random.Generator, room: int) -> Fault:
    return Fault(forgotten={room: rng.uniform(0.8, 1.6)})


def _hidden(rng: np.random.Generator, room: int) -> Fault:
    start = rng.uniform(17.5, 20.0)
    heat = AREA[room] * rng.uniform(35, 60)
    return Fault(hidden_heat_w={room: heat}, evening=(start, start + rng.uniform(2.5, 4.5)))


#: Each kind of fault: its cause's code, and how one is drawn.
KINDS: dict[str, tuple[str, Draw]] = {
    "leak": ("leak", lambda rng, room: Fault(loss_times={room: rng.uniform(1.45, 1.8)})),
    "night window": ("opening", _night),
    "airing": ("opening", _airing),
    "forgotten window": ("opening", _forgotten),
    "part failed": ("part-failed", lambda rng, room: Fault(plate_times={room: rng.uniform(0.33, 0.67)})),
    "too small": ("too-small", lambda rng, room: Fault(plate_k={room: rng.uniform(8.0, 13.0)})),
    "other heat": ("other-heat", _hidden),
    "sensor bias": (
        "sensor-bias",
        lambda rng, room: Fault(sensor_off_k={room: float(rng.choice([-1, 1])) * rng.uniform(1.8, 3.0)}),
    ),
    "two sensors": (
        "sensor-bias",
        lambda rng, room: Fault(second_sensor_off_k={room: float(rng.choice([-1, 1])) * rng.uniform(1.8, 3.0)}),
    ),
    "sensor at the heater": (
        "sensor-place",
        lambda rng, room: Fault(heater_on_sensor_k={room: rng.uniform(4.5, 8.0)}),
    ),
    "weak supply": ("weak-voltage", lambda rng, _: Fault(supply_v=rng.uniform(208.0, 214.0))),
}


def drawn(kind: str, seed: int, count: int) -> list[tuple[int, Fault]]:
    """Return faults of a kind with the room that each is in."""
    rng = np.random.default_rng([seed, sorted(KINDS).index(kind)])
    return [(room, KINDS[kind][1](rng, room)) for room in (each % len(ROOMS) for each in range(count))]
