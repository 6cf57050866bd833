"""Readings to daily heat balances: what each room used, and how warm it and its surroundings were.

A day runs from 04:00 to 04:00 local time, when most rooms have been left alone for hours, so that little heat is on
its way between air and walls. Everything is a mean power [W] or a mean temperature [°C] over such a day. Hours are
kept beside the days for the causes that only show within a day; the estimate itself gets worse with shorter bins,
because people, sun and thermostats share the clock.

Energy comes from the cumulative counter where there is one: it bridges lost messages. Only where there is none is
sampled power added up, and the day is marked. Energy that a heater computes from its own duty is kept apart: a dead
element is invisible in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from ingle.model.devices import Heater, Sensor
from ingle.model.house import House, Zone
from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.habits import Following, Samples, following, switchings
from ingle.verdict.plateau import Plateaus, plateaus
from ingle.verdict.series import (
    TEMPERATURE_GAP_S,
    Bools,
    Columns,
    Floats,
    Running,
    median_of,
    running_energy,
    running_mean_of,
    running_power,
    running_state,
    running_temperature,
)

DAY_STARTS: Final = time(4, 0)
#: Shares of a day that must be known for it to count; a counter that bridges a gap knows the whole day.
ENERGY_SHARE: Final = 0.95
TEMPERATURE_SHARE: Final = 0.7
#: A source that reports nothing for longer has been silent [s].
SILENT_S: Final = 3600.0
#: No verdict looks further back than this [days].
LONGEST_DAYS: Final = 400

Read = Callable[[Source], Columns]


@dataclass(slots=True, kw_only=True)
class RoomDays:
    """A room's days: arrays of one value a day, NaN where not known; ``start_c`` has one more, at each boundary."""

    zone: Zone
    power_w: Floats
    temp_c: Floats
    start_c: Floats
    setpoint_c: Floats
    estimated: Bools
    hour_power_w: Floats
    hour_temp_c: Floats
    computed: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    sensors_c: dict[str, Floats] = field(default_factory=dict)
    plateaus: dict[str, Plateaus] = field(default_factory=dict)
    hour_setpoint_c: Floats = field(default_factory=lambda: np.empty(0))
    heater_temps_c: dict[str, Floats] = field(default_factory=dict)
    switchings_per_h: dict[str, Floats] = field(default_factory=dict)
    following: dict[str, Following] = field(default_factory=dict)
    hour_humidity_percent: Floats = field(default_factory=lambda: np.empty(0))
    hour_open: dict[str, Floats] = field(default_factory=dict)
    filled: Bools = field(default_factory=lambda: np.zeros(0, np.bool_))

    @property
    def complete(self) -> Bools:
        """Which days have both energy and temperature."""
        return np.isfinite(self.power_w) & np.isfinite(self.temp_c)


@dataclass(slots=True, kw_only=True)
class Balance:
    """The house's days."""

    edges_s: Floats
    hours_s: Floats
    dates: tuple[date, ...]
    zone_of_time: tzinfo
    outdoor_c: Floats
    outdoor_range_k: Floats
    hour_outdoor_c: Floats
    hour_sun_w_per_m2: Floats
    sun_w_per_m2: Floats
    wind_m_per_s: Floats
    rooms: dict[str, RoomDays]

    @property
    def days(self) -> int:
        """How many days there are."""
        return len(self.dates)


def local_time(name: str) -> tzinfo:
    """Return a time zone by name; UTC where the machine does not know it.

    >>> local_time("Nowhere/Land")
    datetime.timezone.utc
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return UTC


def day_edges(start_s: float, end_s: float, where: tzinfo) -> tuple[Floats, tuple[date, ...]]:
    """Return the boundaries of the whole days within a span, at most the newest ``LONGEST_DAYS``.

    >>> edges, dates = day_edges(0.0, 3 * 86400.0, UTC)  # 04:00 on the 1st, 2nd and 3rd
    >>> edges.tolist(), [str(day) for day in dates]
    ([14400.0, 100800.0, 187200.0], ['1970-01-01', '1970-01-02'])
    """
    start_s = max(start_s, end_s - LONGEST_DAYS * 86400.0)
    day = datetime.fromtimestamp(start_s, UTC).astimezone(where).date() - timedelta(days=1)
    edges: list[float] = []
    dates: list[date] = []
    while True:
        edge = datetime.combine(day, DAY_STARTS, where).timestamp()
        if edge > end_s + 1:
            break
        if edge >= start_s - 1:
            edges.append(edge)
            dates.append(day)
        day += timedelta(days=1)
    return np.array(edges), tuple(dates[:-1])


def balances(house: House, read: Read, start_s: float, end_s: float) -> Balance:
    """Return the daily balances of a house over a span.

    Parameters
    ----------
    house
        The house as it is now.
    read
        Gives a source's readings of the span.
    start_s, end_s
        First and last reading of the span, since 1970 [s].
    """
    where = local_time(house.site.timezone)
    edges, dates = day_edges(start_s, end_s, where)
    if len(edges) < 2:
        edges, dates = edges[:0], ()
    hours = _hour_edges(edges, start_s, end_s) if dates else edges
    grid = _Grid(edges, hours)
    outdoor, sun, wind = _outdoors(house, read)
    hour_outdoor = grid.hourly(outdoor)
    return Balance(
        edges_s=edges,
        hours_s=hours,
        dates=dates,
        zone_of_time=where,
        outdoor_c=grid.daily(outdoor, TEMPERATURE_SHARE),
        outdoor_range_k=grid.range_of(hour_outdoor),
        hour_outdoor_c=hour_outdoor,
        hour_sun_w_per_m2=grid.hourly(sun),
        sun_w_per_m2=grid.daily(sun, TEMPERATURE_SHARE),
        wind_m_per_s=grid.daily(wind, TEMPERATURE_SHARE),
        rooms={zone.id: _room(house, zone, read, grid) for zone in house.zones},
    )


def _hour_edges(edges: Floats, start_s: float, end_s: float) -> Floats:
    """Return the hours' boundaries: in step with the days, and on into the broken days at both ends."""
    before = int(min(max((edges[0] - start_s) // 3600, 0), 24))
    after = int(min(max((end_s - edges[-1]) // 3600, 0), 24))
    whole = round((edges[-1] - edges[0]) / 3600)
    return np.asarray(edges[0] + 3600.0 * np.arange(-before, whole + after + 1))


@dataclass(frozen=True, slots=True)
class _Grid:
    edges_s: Floats
    hours_s: Floats

    @property
    def days(self) -> int:
        return max(len(self.edges_s) - 1, 0)

    @property
    def hours(self) -> int:
        return max(len(self.hours_s) - 1, 0)

    def daily(self, running: Running, least: float) -> Floats:
        if not self.days:
            return np.empty(0)
        mean, share = running.between(self.edges_s)
        return np.asarray(np.where(share >= least, mean, np.nan))

    def hourly(self, running: Running) -> Floats:
        if not self.hours:
            return np.empty(0)
        mean, share = running.between(self.hours_s)
        return np.asarray(np.where(share >= 0.5, mean, np.nan))

    def range_of(self, hourly: Floats) -> Floats:
        """Return the difference between a day's warmest and coldest hour, NaN with under 18 hours."""
        found = np.full(self.days, np.nan)
        first = np.searchsorted(self.hours_s, self.edges_s)
        for day in range(self.days):
            of_day = hourly[first[day] : first[day + 1]]
            of_day = of_day[np.isfinite(of_day)]
            if len(of_day) >= 18:
                found[day] = of_day.max() - of_day.min()
        return found


def _outdoors(house: House, read: Read) -> tuple[Running, Running, Running]:
    """Return outdoor temperature, sun and wind: the station's, else the first outdoor sensor's that reports them."""
    station = read(OUTDOOR)
    own = [sensor for sensor in house.sensors if sensor.zone == "outdoor"]

    def of(measures: str, name: str) -> tuple[Columns, float]:
        if np.isfinite(station[name]).any():
            return station, 0.0
        for sensor in own:
            if sensor.measures == measures:
                columns = read(Source("sensor", sensor.id))
                if np.isfinite(columns[name]).any():
                    return columns, sensor.offset_k
        return station, 0.0

    warm, offset_k = of("temperature", "temp_c")
    sun, _ = of("irradiance", "irradiance_w_per_m2")
    wind, _ = of("wind", "wind_m_per_s")
    return (
        running_temperature(warm, offset_k),
        running_mean_of(sun.t_s, np.maximum(sun["irradiance_w_per_m2"], 0.0), TEMPERATURE_GAP_S),
        running_mean_of(wind.t_s, wind["wind_m_per_s"], TEMPERATURE_GAP_S),
    )


@dataclass(slots=True)
class _Heat:
    """What one heater says of a room."""

    power_w: Floats
    hour_power_w: Floats
    estimated: Bools
    filled: Bools
    temp: Running
    setpoint_c: Floats
    computed: bool
    silent: bool
    plateaus: Plateaus
    energy: Running
    felt: Samples
    wanted: Samples
    hour_setpoint_c: Floats
    switchings_per_h: Floats
    humidity: Floats | None


def _heater(heater: Heater, columns: Columns, grid: _Grid) -> _Heat:
    counter, sampled = running_energy(columns, heater.rated_w), running_power(columns)
    counted = grid.daily(counter, ENERGY_SHARE)
    added = grid.daily(sampled, ENERGY_SHARE)
    estimated = np.isnan(counted) & np.isfinite(added)
    hour_counted = grid.hourly(counter)
    has_energy = np.isfinite(columns["energy_wh"]) | np.isfinite(columns["power_w"])
    wanted = running_mean_of(columns.t_s, columns["setpoint_c"], TEMPERATURE_GAP_S)
    return _Heat(
        power_w=np.where(estimated, added, counted),
        hour_power_w=np.where(np.isfinite(hour_counted), hour_counted, grid.hourly(sampled)),
        estimated=estimated,
        filled=_filled(columns, grid),
        temp=running_temperature(columns),
        setpoint_c=grid.daily(wanted, 0.5),
        computed=bool((columns.computed & has_energy).any()),
        silent=not has_energy.any(),
        plateaus=plateaus(columns),
        energy=counter if len(counter.t_s) > 1 else sampled,
        felt=Samples(columns.t_s, columns["temp_c"]),
        wanted=Samples(columns.t_s, columns["setpoint_c"]),
        hour_setpoint_c=grid.hourly(wanted),
        switchings_per_h=switchings(columns, grid.hours_s),
        humidity=_humidity(columns, grid),
    )


def _humidity(columns: Columns, grid: _Grid) -> Floats | None:
    """Return the relative humidity hour by hour [%]; None where the source does not measure it."""
    percent = columns["humidity_percent"]
    if not np.isfinite(percent).any():
        return None
    return grid.hourly(running_mean_of(columns.t_s, percent, TEMPERATURE_GAP_S))


def _filled(columns: Columns, grid: _Grid) -> Bools:
    """Return the days on which the counter had to bridge silences for more than a twentieth of the time."""
    if not grid.days:
        return np.zeros(0, np.bool_)
    _, heard = running_mean_of(columns.t_s, np.ones(len(columns.t_s)), SILENT_S).between(grid.edges_s)
    return np.asarray(heard < ENERGY_SHARE)


def _room(house: House, zone: Zone, read: Read, grid: _Grid) -> RoomDays:
    heats = {heater.id: _heater(heater, read(Source("heater", heater.id)), grid) for heater in zone.heaters}
    sensed = _sensed(house, zone, read, grid)
    sensors = sensed.temps
    live = [running for running in sensors.values() if len(running.t_s) > 1]
    thermometers = live or [heat.temp for heat in heats.values() if len(heat.temp.t_s) > 1]
    nothing, hourly_nothing = np.full(grid.days, np.nan), np.full(grid.hours, np.nan)
    of_heaters = {name: heat.temp for name, heat in heats.items() if len(heat.temp.t_s) > 1}
    felt = sensed.felt or {name: heats[name].felt for name in of_heaters}
    return RoomDays(
        zone=zone,
        power_w=sum((heat.power_w for heat in heats.values()), np.zeros(grid.days)) if heats else nothing,
        temp_c=median_of([grid.daily(each, TEMPERATURE_SHARE) for each in thermometers], grid.days),
        start_c=median_of([each.around(grid.edges_s, 3600.0) for each in thermometers], len(grid.edges_s))
        if grid.days
        else np.empty(0),
        setpoint_c=median_of([heat.setpoint_c for heat in heats.values()], grid.days),
        estimated=np.any([heat.estimated for heat in heats.values()], axis=0)
        if heats
        else np.zeros(grid.days, np.bool_),
        filled=np.any([heat.filled for heat in heats.values()], axis=0) if heats else np.zeros(grid.days, np.bool_),
        hour_power_w=sum((heat.hour_power_w for heat in heats.values()), np.zeros(grid.hours))
        if heats
        else hourly_nothing,
        hour_temp_c=median_of([grid.hourly(each) for each in thermometers], grid.hours),
        computed=tuple(name for name, heat in heats.items() if heat.computed),
        silent=tuple(name for name, heat in heats.items() if heat.silent),
        sensors_c={name: grid.hourly(running) for name, running in sensors.items()},
        plateaus={name: heat.plateaus for name, heat in heats.items()},
        hour_setpoint_c=median_of([heat.hour_setpoint_c for heat in heats.values()], grid.hours),
        heater_temps_c={name: grid.hourly(running) for name, running in of_heaters.items()},
        switchings_per_h={name: heat.switchings_per_h for name, heat in heats.items()},
        following=following(
            [heat.energy for heat in heats.values()],
            next((heat.wanted for heat in heats.values()), Samples(nothing, nothing)),
            felt,
            sum(heater.rated_w for heater in zone.heaters),
        ),
        hour_humidity_percent=median_of(
            sensed.humidities or [heat.humidity for heat in heats.values() if heat.humidity is not None], grid.hours
        ),
        hour_open=sensed.open,
    )


@dataclass(slots=True)
class _Sensed:
    """What a room's own sensors say, each of them read once."""

    temps: dict[str, Running] = field(default_factory=dict)
    felt: dict[str, Samples] = field(default_factory=dict)
    humidities: list[Floats] = field(default_factory=list)
    open: dict[str, Floats] = field(default_factory=dict)


def _sensed(house: House, zone: Zone, read: Read, grid: _Grid) -> _Sensed:
    found = _Sensed()
    contacts = {opening.sensor for opening in house.openings if opening.zone == zone.id}
    for sensor in house.sensors:
        if sensor.zone != zone.id and sensor.id not in contacts:
            continue
        columns = read(Source("sensor", sensor.id))
        if _is_thermometer(sensor, zone):
            found.temps[sensor.id] = running_temperature(columns, sensor.offset_k)
            if np.isfinite(columns["temp_c"]).any():
                found.felt[sensor.id] = Samples(columns.t_s, columns["temp_c"])
        if sensor.zone == zone.id and (humidity := _humidity(columns, grid)) is not None:
            found.humidities.append(humidity)
        if np.isfinite(columns["opening"]).any():
            # A contact that only speaks when it moves holds its word until the next.
            found.open[sensor.id] = grid.hourly(running_state(columns.t_s, columns["opening"]))
    return found


def _is_thermometer(sensor: Sensor, zone: Zone) -> bool:
    return sensor.zone == zone.id and sensor.measures == "temperature"
