"""What the record of a heating test tells of its rooms: night by night, with its interval, or why there is none.

A night counts where the room was held, its heaters had power in hand, nothing stood open, every hour was measured, and
it was cold enough outside. The figure is the one after the last night; the ones before show how it settled. It stands
only once it has converged, by the rules of ISO 9869-1:2014 for the average method, applied to whole nights: three
nights or more; the last one moves it by at most 5 %; the first two thirds of the nights agree with the last two thirds
within 5 %, or within what so few nights differ by chance.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np
import numpy.typing as npt

from ingle.model.design import Design
from ingle.model.heating_tests import FEWEST_NIGHTS, HeatingTest, NightSeen, RoomTested
from ingle.model.house import House, Zone
from ingle.verdict.balance import Balance, Read, RoomDays, balances
from ingle.verdict.prior import LinkPrior, RoomPrior, design_of, link_priors, room_prior
from ingle.verdict.series import Bools, Floats
from ingle.verdict.trial_fit import Hours, Link, Loss, known, loss_of, time_constant_h
from ingle.verdict.trial_sun import clear_sun_w

METHOD: Final = "nights held at a level, lagged balance with averaged time constants"
METHOD_VERSION: Final = 1
#: How long before the test the record is looked at: walls remember days [h].
BEFORE_H: Final = 72
#: Around a night's own hours those that are dark count as well [h]; an hour after sunset the air is rid of its sun.
AROUND_H: Final = 4
#: Two-sided 95 % of the normal distribution.
Z95: Final = 1.96
#: A good night: mean within this of the level [K], share of hours known, least difference to outside [K].
HELD_K: Final = 1.0
KNOWN_SHARE: Final = 0.9
LEAST_K: Final = 5.0
#: A heater that gives this share of its plate over an hour has nothing in hand; so many hours spoil a night.
FULL_SHARE: Final = 0.95
FULL_HOURS: Final = 3
#: Share of an hour for which something stood open that spoils a night.
OPEN_SHARE: Final = 0.15
#: ISO 9869-1:2014, 7.1: differences that an average method may still show.
CONVERGED: Final = 0.05


Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Night:
    """One night of one room: its hours in the record, and why it does not count (empty: it does)."""

    number: int
    date: str
    hours: Places
    why_not: str


def judge_test(
    house: House,
    design: Design,
    surveyed: Mapping[tuple[str, str], float],
    read: Read,
    test: HeatingTest,
    nights: Sequence[tuple[datetime, datetime]],
    until: datetime,
) -> tuple[RoomTested, ...]:
    """Return what a test's record tells of each of its rooms.

    Parameters
    ----------
    house, design
        As surveyed; they give links, ground, glass and what to compare with, never the answer.
    surveyed
        Conductances between rooms [W/K], by their ids in order.
    read
        Gives a source's readings.
    test
        Its times and its level.
    nights
        The nights that it measures, each from dusk to dawn.
    until
        Where the record ends: nights that end later are not looked at.
    """
    start_s = (test.start - timedelta(hours=BEFORE_H)).timestamp()
    balance = balances(house, read, start_s, min(until, test.end).timestamp() + 3600.0)
    links = link_priors(house, surveyed)
    over = [night for night in nights if night[1] <= until]
    zones = [zone for zone in house.zones if zone.id in test.zones]
    return tuple(_room(house, zone, design, links, balance, test, over) for zone in zones)


def _room(
    house: House,
    zone: Zone,
    design: Design,
    links: Sequence[LinkPrior],
    balance: Balance,
    test: HeatingTest,
    nights: Sequence[tuple[datetime, datetime]],
) -> RoomTested:
    limits = design_of(zone, design)
    prior = room_prior(zone, design)
    room = balance.rooms.get(zone.id)
    seen: list[NightSeen] = []
    found: list[Loss | None] = []
    good: list[int] = []
    hours: Hours | None = None
    if room is not None and prior is not None and balance.days and len(balance.hours_s) > 1:
        hours = _hours(house, zone, prior, links, balance, room, test)
        for number, (dusk, dawn) in enumerate(nights):
            night = _night(number, dusk, dawn, balance, hours, room, zone, test)
            if not night.why_not:
                hours.night[night.hours] = number
                good.append(number)
            found.append(loss_of(hours, frozenset(good)) if good else None)
            seen.append(_seen(night, hours, found[-1]))
    last = found[-1] if found else None
    converged = hours is not None and _converged(hours, good, last)
    missing = _missing(zone, prior, test, seen, good, last, converged=converged)
    stands = last is not None and not missing
    return RoomTested(
        id=zone.id,
        name=zone.name,
        design_w_per_k=None if limits is None else limits[0],
        design_low_w_per_k=None if limits is None else limits[1],
        design_high_w_per_k=None if limits is None else limits[2],
        measured_w_per_k=_rounded(last.w_per_k) if last is not None and stands else None,
        low_w_per_k=_rounded(_low(last)) if last is not None and stands else None,
        high_w_per_k=_rounded(_high(last)) if last is not None and stands else None,
        time_constant_h=_time_constant_h(hours, balance, test, last) if stands else None,
        good_nights=len(good),
        converged=converged,
        missing=missing,
        nights=tuple(seen),
    )


def _hours(
    house: House,
    zone: Zone,
    prior: RoomPrior,
    links: Sequence[LinkPrior],
    balance: Balance,
    room: RoomDays,
    test: HeatingTest,
) -> Hours:
    middle = (balance.hours_s[:-1] + balance.hours_s[1:]) / 2
    temp, _ = known(room.hour_temp_c)
    outdoor, _ = known(balance.hour_outdoor_c)
    power, _ = known(room.hour_power_w)
    measured = bool(np.isfinite(balance.hour_sun_w_per_m2).any())
    clear = clear_sun_w(house, zone, middle, None)
    sun = clear_sun_w(house, zone, middle, known(balance.hour_sun_w_per_m2)[0]) if measured else clear
    mean_c = float(outdoor.mean())
    year_c = house.site.outdoor_mean_c
    return Hours(
        t_h=(middle - test.start.timestamp()) / 3600.0,
        room_c=temp,
        outdoor_c=outdoor,
        power_w=power,
        sun_w=sun,
        sun_measured=measured,
        lit=clear > 0,
        day=np.floor(middle / 86400.0),
        night=np.full(len(middle), -1.0),
        soil_c=mean_c if year_c is None else (mean_c + year_c) / 2,
        ground_share=prior.ground_share,
        floor_area_m2=zone.floor_area_m2,
        kitchen=zone.use == "kitchen",
        capacity_wh_per_k=prior.capacity_wh_per_k,
        links=[*_links(zone, links, balance, temp)],
    )


def _links(zone: Zone, links: Sequence[LinkPrior], balance: Balance, temp: Floats) -> list[Link]:
    """Return the neighbours whose temperature is known, with how much warmer the room is than each."""
    found: list[Link] = []
    for link in links:
        if zone.id not in link.zones:
            continue
        other = link.zones[0] if link.zones[1] == zone.id else link.zones[1]
        beside = balance.rooms.get(other)
        if beside is None or not np.isfinite(beside.hour_temp_c).any():
            continue
        found.append(Link(link.w_per_k, link.spread_w_per_k, temp - known(beside.hour_temp_c)[0]))
    return found


def _night(
    number: int,
    dusk: datetime,
    dawn: datetime,
    balance: Balance,
    hours: Hours,
    room: RoomDays,
    zone: Zone,
    test: HeatingTest,
) -> _Night:
    """Return a night's dark hours and why it does not count."""
    begins = balance.hours_s[:-1]
    dark = ~(hours.lit | np.concatenate([hours.lit[:1], hours.lit[:-1]]))
    inside = (begins >= dusk.timestamp() - 1) & (begins + 3600.0 <= dawn.timestamp() + 1)
    near = (begins >= dusk.timestamp() - AROUND_H * 3600.0) & (begins < dawn.timestamp() + AROUND_H * 3600.0)
    near &= begins + 3600.0 <= test.end.timestamp() + 1
    at = np.flatnonzero(near & dark & ~_cooling(begins, test))
    why = _why_not(np.flatnonzero(inside), (dawn - dusk).total_seconds() / 3600.0, balance, room, zone, test)
    return _Night(number, dusk.date().isoformat(), at, why)


def _cooling(begins: Floats, test: HeatingTest) -> Bools:
    """Return which hours lie in a last night without heat."""
    if test.cool_from is None:
        return np.zeros(len(begins), np.bool_)
    return np.asarray(begins + 3600.0 > test.cool_from.timestamp())


def _why_not(at: Places, expected: float, balance: Balance, room: RoomDays, zone: Zone, test: HeatingTest) -> str:
    temp, outdoor, power = room.hour_temp_c[at], balance.hour_outdoor_c[at], room.hour_power_w[at]
    for values, what in ((power, "energy"), (temp, "temperature"), (outdoor, "outdoor temperature")):
        if np.isfinite(values).sum() < KNOWN_SHARE * expected:
            return f"{what} is missing for {expected - np.isfinite(values).sum():.0f} of {expected:.0f} h"
    if room.computed:
        return f"the energy of {', '.join(room.computed)} is computed, not metered"
    if max((float(np.nanmax(each[at], initial=0.0)) for each in room.hour_open.values()), default=0.0) > OPEN_SHARE:
        return "a window or door stood open"
    return _not_held(temp, outdoor, power, zone, test)


def _not_held(temp: Floats, outdoor: Floats, power: Floats, zone: Zone, test: HeatingTest) -> str:
    """Return why a night was not one at the level with power in hand and cold outside, empty where it was."""
    plate_w = sum(heater.rated_w for heater in zone.heaters)
    full = int((np.nan_to_num(power) >= FULL_SHARE * plate_w).sum())
    mean_c, difference_k = float(np.nanmean(temp)), float(np.nanmean(temp) - np.nanmean(outdoor))
    if full >= FULL_HOURS:
        return (
            f"the heaters gave all they have for {full} h and the room stood at {mean_c:.1f} °C: test at a lower level"
        )
    if abs(mean_c - test.temp_c) > HELD_K:
        return f"the room stood at {mean_c:.1f} °C instead of {test.temp_c:g} °C"
    if difference_k < LEAST_K:
        return f"it was too mild: {difference_k:.1f} K between room and outside"
    return ""


def _seen(night: _Night, hours: Hours, loss: Loss | None) -> NightSeen:
    at = night.hours

    def mean(values: Floats) -> float | None:
        return _rounded(float(values[at].mean())) if len(at) else None

    return NightSeen(
        date=night.date,
        power_w=mean(hours.power_w),
        temp_c=mean(hours.room_c),
        outdoor_c=mean(hours.outdoor_c),
        good=not night.why_not,
        why_not=night.why_not or None,
        w_per_k=None if loss is None else _rounded(loss.w_per_k),
        low_w_per_k=None if loss is None else _rounded(_low(loss)),
        high_w_per_k=None if loss is None else _rounded(_high(loss)),
    )


def _converged(hours: Hours, good: Sequence[int], last: Loss | None) -> bool:
    """Return whether the figure has settled, by ISO 9869-1's rules for whole nights."""
    if last is None or len(good) < FEWEST_NIGHTS:
        return False
    before = loss_of(hours, frozenset(good[:-1]))
    if before is None or abs(last.w_per_k - before.w_per_k) > CONVERGED * last.w_per_k:
        return False
    count = int(2 * len(good) / 3)
    first, second = loss_of(hours, frozenset(good[:count])), loss_of(hours, frozenset(good[-count:]))
    return first is not None and second is not None and _agree(first, second)


def _agree(first: Loss, second: Loss) -> bool:
    """Return whether two figures differ by no more than the rule allows, or than few nights make them differ."""
    chance = Z95 * float(np.hypot(first.chance_w_per_k, second.chance_w_per_k))
    return abs(first.w_per_k - second.w_per_k) <= max(CONVERGED * second.w_per_k, chance)


def _missing(
    zone: Zone,
    prior: RoomPrior | None,
    test: HeatingTest,
    seen: Sequence[NightSeen],
    good: Sequence[int],
    last: Loss | None,
    *,
    converged: bool,
) -> tuple[str, ...]:
    """Return why there is no figure yet, empty where there is one."""
    if prior is None:
        return (f"The survey gives {zone.name} no heat loss, so links and storage are not known.",)
    reasons = [f"Night of {night.date}: {night.why_not}." for night in seen if night.why_not]
    if len(good) < FEWEST_NIGHTS:
        ahead = test.open and len(good) + test.nights - len(seen) >= FEWEST_NIGHTS
        need = "the test goes on" if ahead else "start another test"
        return (*reasons, f"{len(good)} good nights of the {FEWEST_NIGHTS} it takes at least; {need}.")
    if last is None:
        return (*reasons, "The heaters took too little to tell anything.")
    if not converged:
        return (*reasons, "It has not settled: earlier and later nights differ by more than 5 %; measure more nights.")
    return ()


def _low(loss: Loss) -> float:
    return max(0.0, loss.w_per_k - Z95 * loss.error_w_per_k)


def _high(loss: Loss) -> float:
    return loss.w_per_k + Z95 * loss.error_w_per_k


def _time_constant_h(hours: Hours | None, balance: Balance, test: HeatingTest, loss: Loss | None) -> float | None:
    """Return how slowly the room cools [h], where the test had a night without heat."""
    if hours is None or loss is None:
        return None
    begins = balance.hours_s[:-1]
    whole = (
        (begins >= test.cool_from.timestamp() - 1) if test.cool_from is not None else np.zeros(len(begins), np.bool_)
    )
    found = time_constant_h(hours, whole & (begins + 3600.0 <= test.end.timestamp() + 1), loss)
    return None if found is None else float(round(found))


def _rounded(value: float) -> float:
    return round(float(value), 2)
