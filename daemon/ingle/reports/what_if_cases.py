"""One way to run a room, reckoned: its energy, money, warm-up, and when it would be cold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from math import ceil
from typing import Final
from zoneinfo import ZoneInfo

from ingle import money
from ingle.control.pattern import DAY_H
from ingle.control.programme import instant
from ingle.control.states import BAND_K
from ingle.model.tariff import Tariff
from ingle.model.what_if import CaseCode, ColdSpell
from ingle.physics.dynamics import hours_to_reach
from ingle.physics.warm_spells import Room, Step, Stretch, mean_c, settled_steps

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
#: Shorter cold spells are not worth a word [h].
_LEAST_COLD_H: Final = 0.1
_MINUTES_A_DAY: Final = 1440
_PIECE_MIN: Final = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to run a room: what is wanted when, by how much power, and whether the warm-up begins in time."""

    code: CaseCode
    title: str
    room: Room
    pattern: tuple[Stretch, ...]
    on_time: bool = True
    tax_percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """A way with its steps; money with tax [currency/d], None without a tariff."""

    way: Way
    steps: tuple[Step, ...]
    kwh_per_day: float
    money_per_day: Decimal | None
    mean_c: float
    warm_up_h: float
    cold: tuple[ColdSpell, ...]

    @property
    def highest_c(self) -> float:
        """The warmest that is wanted [°C]."""
        return max(stretch.wanted_c for stretch in self.way.pattern)

    @property
    def reaches(self) -> bool:
        """Whether full power can bring the room to the warmest that is wanted."""
        return self.way.room.full_c > self.highest_c - BAND_K


def reckon(way: Way, tariff: Tariff | None, timezone: ZoneInfo, day: date) -> Reckoned:
    """Return a way reckoned; ``day`` is the local day whose rates hold, the first day of the pattern's week."""
    steps = tuple(settled_steps(way.room, way.pattern, warm_up_on_time=way.on_time))
    days = sum(step.hours for step in steps) / DAY_H
    return Reckoned(
        way=way,
        steps=steps,
        kwh_per_day=sum(step.energy_wh for step in steps) / 1000 / days,
        money_per_day=None if tariff is None else _money(way, steps, tariff, timezone, day) / Decimal(round(days)),
        mean_c=mean_c(way.room, steps),
        warm_up_h=_longest_run_h(way.room, steps),
        cold=tuple(_cold(way, steps)),
    )


def _money(way: Way, steps: Sequence[Step], tariff: Tariff, timezone: ZoneInfo, day: date) -> Decimal:
    """Return what the energy of a whole pattern costs, tax included, each quarter of an hour at its own rate."""
    monday = day - timedelta(days=day.weekday()) if len(_days(steps)) > 1 else day
    timed = ((instant(monday, minute, timezone), wh) for minute, wh in pieces(steps))
    units = money.before_tax(tariff, timed, timezone)
    if way.tax_percent is None:
        return money.with_tax(tariff, units)
    return units * (1 + money.exact(way.tax_percent) / 100)


def pieces(steps: Sequence[Step]) -> Iterator[tuple[int, float]]:
    """Yield each quarter of an hour of a pattern, in minutes from its start, with its energy [Wh].

    >>> [(minute, round(wh)) for minute, wh in pieces([Step(0.0, 0.25, 20, 20, 800.0, 0)])]
    [(0, 200)]
    """
    total = round(sum(step.hours for step in steps) * 60)
    energy = [0.0] * ceil(total / _PIECE_MIN)
    for step in steps:
        at, end = step.start_h * 60 / _PIECE_MIN, (step.start_h + step.hours) * 60 / _PIECE_MIN
        for place in range(int(at), min(len(energy), ceil(end))):
            share = max(0.0, min(end, place + 1) - max(at, place))
            energy[place] += step.power_w * share * _PIECE_MIN / 60
    return ((place * _PIECE_MIN, wh) for place, wh in enumerate(energy))


def _days(steps: Sequence[Step]) -> range:
    return range(max(1, round(sum(step.hours for step in steps) / DAY_H)))


def _longest_run_h(room: Room, steps: Sequence[Step]) -> float:
    """Return the longest time at full power without a break [h]; a run over the pattern's end counts as one."""
    if not room.power_w or all(step.power_w == room.power_w for step in steps):
        return sum(step.hours for step in steps) if room.power_w else 0.0
    longest = run = 0.0
    for step in (*steps, *steps):
        warms = step.power_w == room.power_w and step.to_c > step.from_c
        run = run + step.hours if warms else 0.0
        longest = max(longest, run)
    return longest


def _cold(way: Way, steps: Sequence[Step]) -> Iterator[ColdSpell]:
    """Yield when the room is colder than wanted by more than its band, one spell for each time."""
    week = len(_days(steps)) > 1
    spells: list[tuple[float, float, float, float, bool]] = []
    for step in steps:
        wanted_c = way.pattern[step.stretch].wanted_c
        part = _below(way.room, step, wanted_c - BAND_K)
        if part is None:
            continue
        begins, ends, lowest_c = part
        if spells and abs(spells[-1][1] - begins) < 1e-6 and spells[-1][3] == wanted_c:
            start, _, lowest, _, _ = spells[-1]
            spells[-1] = (start, ends, min(lowest, lowest_c), wanted_c, _warm_at(step, ends))
        else:
            spells.append((begins, ends, lowest_c, wanted_c, _warm_at(step, ends)))
    for begins, ends, lowest_c, wanted_c, reached in spells:
        if ends - begins >= _LEAST_COLD_H:
            yield ColdSpell(
                day=DAYS[int(begins // DAY_H) % 7] if week else None,
                start=_clock(begins),
                until=_clock(ends),
                wanted_c=wanted_c,
                lowest_c=round(lowest_c, 1),
                reached=reached,
            )


def _below(room: Room, step: Step, limit_c: float) -> tuple[float, float, float] | None:
    """Return from when to when a step is below a temperature [h], and the lowest it is then [°C]."""
    begins, ends = step.start_h, step.start_h + step.hours
    if min(step.from_c, step.to_c) >= limit_c - 1e-6:
        return None
    if max(step.from_c, step.to_c) > limit_c:
        target = room.free_c + step.power_w / room.loss_w_per_k
        crossed = hours_to_reach(step.from_c, limit_c, target, room.tau_h) or 0.0
        if step.from_c < limit_c:
            ends = begins + min(step.hours, crossed)
        else:
            begins += min(step.hours, crossed)
    return begins, ends, min(step.from_c, step.to_c)


def _warm_at(step: Step, ends_h: float) -> bool:
    """Return whether a cold spell ended because the room was warm, not because less was wanted."""
    return ends_h < step.start_h + step.hours - 1e-6


def _clock(hours: float) -> str:
    """Return a time of a pattern on the clock.

    >>> _clock(5.5), _clock(24.0), _clock(32.26)
    ('05:30', '00:00', '08:16')
    """
    minutes = round(hours * 60) % _MINUTES_A_DAY
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
