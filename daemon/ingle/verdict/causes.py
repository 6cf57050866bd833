"""What may explain a room, each with its own threshold, evidence, and what to look at on site.

Rules of this file: a cause is only named where the readings speak of it directly; whoever is unsure says nothing.
What is found wrong with a heater or a sensor comes before an excess loss, and heaters are judged by power that was
metered, never by energy computed from duty. Whatever is to be opened or measured at an element or a circuit is for a
competent electrician, under the local rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final

import numpy as np

from ingle.model.design import Design
from ingle.model.house import Heater, House
from ingle.model.verdicts import Cause
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.judge import MARGIN, Judgement, above
from ingle.verdict.plateau import Plateaus
from ingle.verdict.series import Bools, Floats
from ingle.verdict.system import Estimate

#: How far back a heater is looked at [s]: it may have been mended since.
RECENT_S: Final = 10 * 86400.0
#: Under these shares of the plate something is wrong; IEC 60335-1 allows −10 % (from memory). Without a measured
#: voltage the supply may be 10 % low (EN 50160), which takes 19 % of the power.
WEAK_SHARE: Final = 0.80
WEAK_SHARE_UNMEASURED: Final = 0.70
FULL_SHARE: Final = 0.88
LEAST_PLATEAUS: Final = 8
#: Below this share of the nominal voltage the supply is weak: EN 50160 allows −10 %, wiring in a house takes a few %.
WEAK_VOLTAGE: Final = 0.90
#: A room this far below its wanted temperature has its heater wholly on [K].
DEMAND_K: Final = 1.0
CLEAR_DEMAND_K: Final = 1.5
LONG_RUN_S: Final = 5 * 3600.0
#: Rooms in which unmetered warmth in the evening is normal.
COOKING: Final = frozenset({"kitchen", "dining", "bath", "utility", "workshop"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """All that is known of one room."""

    house: House
    design: Design
    balance: Balance
    room: RoomDays
    found: Estimate | None
    judgement: Judgement
    ratios: Mapping[str, float]


def causes(case: Case) -> tuple[Cause, ...]:
    """Return what explains a room, most probable first."""
    of_heaters = [cause for heater in case.room.zone.heaters for cause in _plate(case, heater)]
    listed = [*of_heaters, *_biased_sensor(case), *_other_heat(case)]
    if not of_heaters:
        listed += _too_small(case)
    listed += _loss(case, explained={cause.code for cause in listed})
    return tuple(sorted(listed, key=lambda cause: -cause.probability))


def _plate(case: Case, heater: Heater) -> Iterator[Cause]:
    """Power of uninterrupted heating against the plate, at the measured voltage; P ~ V² holds for resistance only."""
    seen = case.room.plateaus.get(heater.id)
    if seen is None or heater.element != "resistive" or not len(seen.end_s):
        return
    recent = seen.pick(seen.end_s >= seen.end_s[-1] - RECENT_S)
    measured = bool(np.isfinite(recent.voltage_v).mean() > 0.5)
    if measured:
        recent = recent.pick(np.isfinite(recent.voltage_v))
    share = plate_share(recent, heater, case.house.site.voltage_v)
    chosen = _at_full(recent, share, seen.steady_switching)
    if chosen.sum() < LEAST_PLATEAUS or _spread_of_days(recent.start_s[chosen]) < 2:
        return
    best = float(np.quantile(share[chosen], 0.9))
    limit = WEAK_SHARE if measured else WEAK_SHARE_UNMEASURED
    watts = float(np.median(recent.power_w[chosen]))
    volts = float(np.nanmedian(recent.voltage_v[chosen])) if measured else None
    if best < limit:
        at = f" at {volts:.0f} V, where the plate means {watts / best:,.0f} W" if volts is not None else ""
        since = _since(case, heater, seen)
        yield Cause(
            code="part-failed",
            probability=round(min(0.99, 1 - above((0.90 - best) / 0.05)), 3),
            evidence=f"{heater.id} gives {watts:,.0f} W of {heater.rated_w:,.0f} W while it heats without a "
            f"break{at}{since}.",
            check_next="Have a competent electrician measure the current and the resistance of each element; "
            "check that the plate entered is the plate fitted.",
        )
    elif volts is not None and volts < WEAK_VOLTAGE * case.house.site.voltage_v:
        yield Cause(
            code="weak-voltage",
            probability=0.95,
            evidence=f"{heater.id} sees {volts:.0f} V while it heats and so gives {watts:,.0f} W of "
            f"{heater.rated_w:,.0f} W.",
            check_next="Have a competent electrician measure the voltage at the supply and at the heater under load: "
            "a warm terminal or a long thin cable can be dangerous.",
        )


def plate_share(seen: Plateaus, heater: Heater, supply_v: float) -> Floats:
    """Return power as a share of what the plate means at the voltage measured, else at the supply's."""
    volts = np.where(np.isfinite(seen.voltage_v), seen.voltage_v, supply_v)
    return np.asarray(seen.power_w / (heater.rated_w * (volts / heater.rated_v) ** 2))


def _at_full(seen: Plateaus, share: Floats, steady_switching: bool) -> Bools:  # noqa: FBT001 - private, one caller
    """Return the plateaus in which the heater must have been wholly on.

    Either the room was well below the wanted temperature, or the heater plainly switches between nothing and one
    level, which then is its full power. A heater that modulates in a contented room proves nothing.
    """
    with np.errstate(invalid="ignore"):
        asked = seen.setpoint_c - seen.temp_c >= CLEAR_DEMAND_K
    if asked.sum() >= LEAST_PLATEAUS or not steady_switching:
        return np.asarray(asked)
    middle = np.median(share)
    alike = np.abs(share - middle) <= 0.05 * middle
    return np.asarray(alike if alike.mean() > 0.9 else asked)


def _since(case: Case, heater: Heater, seen: Plateaus) -> str:
    share = plate_share(seen, heater, case.house.site.voltage_v)
    good = np.flatnonzero(share >= FULL_SHARE)
    if not len(good):
        return ""
    when = datetime.fromtimestamp(float(seen.end_s[good[-1]]), UTC).astimezone(case.balance.zone_of_time)
    return f"; until {when.date().isoformat()} it gave more"


def _spread_of_days(times_s: Floats) -> int:
    return len(np.unique(times_s // 86400))


def _too_small(case: Case) -> Iterator[Cause]:
    """Full power for hours and still well below the wanted temperature, on days milder than design."""
    zone = case.room.zone
    if not zone.heaters:
        return
    days: set[date] | None = None
    for heater in zone.heaters:
        of_heater = _strained_days(case, heater)
        days = of_heater if days is None else days & of_heater
    if days is None or len(days) < 3:
        return
    wanting = case.design.zone(zone.id)
    installed = sum(heater.rated_w for heater in zone.heaters)
    loss = wanting.heat_loss_w if wanting is not None else 0.0
    short = f" The design asks for {loss:,.0f} W." if loss > installed else ""
    yield Cause(
        code="too-small",
        probability=0.95 if len(days) >= 5 else 0.85,
        evidence=f"On {len(days)} days milder than design {installed:,.0f} W ran for five hours and more and the room "
        f"stayed over {DEMAND_K:.0f} K below the wanted temperature.{short}",
        check_next="Compare the plates with the room's design heat loss; look for a door that stands open.",
    )


def _strained_days(case: Case, heater: Heater) -> set[date]:
    seen = case.room.plateaus.get(heater.id)
    if seen is None or not len(seen.end_s):
        return set()
    share = plate_share(seen, heater, case.house.site.voltage_v)
    with np.errstate(invalid="ignore"):
        strained = (share >= FULL_SHARE) & (seen.setpoint_c - seen.temp_c >= DEMAND_K)
    strained &= seen.end_s >= seen.end_s[-1] - 28 * 86400.0
    at = np.flatnonzero(strained)
    if not len(at):
        return set()
    breaks = np.flatnonzero((seen.start_s[at][1:] - seen.end_s[at][:-1] > 1800.0) | (np.diff(at) > 1))
    firsts, lasts = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(at) - 1]])
    found = set()
    for start_s, end_s in zip(seen.start_s[at[firsts]], seen.end_s[at[lasts]], strict=True):
        edges = np.clip(case.balance.edges_s, start_s, end_s)
        for day in np.flatnonzero(np.diff(edges) >= LONG_RUN_S):
            if case.balance.outdoor_c[day] > case.house.site.outdoor_here_c + 1:
                found.add(case.balance.dates[day])
    return found


def _biased_sensor(case: Case) -> Iterator[Cause]:
    """Two thermometers of one room that stay apart by the same amount: one of them is off."""
    rows = {name: row for name, row in case.room.sensors_c.items() if np.isfinite(row).sum() >= 72}
    names = sorted(rows)
    for first, second in ((a, b) for at, a in enumerate(names) for b in names[at + 1 :]):
        apart = rows[first] - rows[second]
        apart = apart[np.isfinite(apart)]
        if len(apart) < 72:
            continue
        middle, scatter = float(np.median(apart)), float(np.quantile(apart, 0.95) - np.quantile(apart, 0.05))
        if abs(middle) >= 1.5 and scatter < abs(middle):
            yield Cause(
                code="sensor-bias",
                probability=0.9,
                evidence=f"{first} shows {abs(middle):.1f} K {'more' if middle > 0 else 'less'} than {second}, "
                "day and night alike.",
                check_next="Lay both side by side with a thermometer you trust for an hour; enter the offset.",
            )


def _other_heat(case: Case) -> Iterator[Cause]:
    """Warm rises after dark with the heater off, the neighbours no warmer, again and again."""
    room, balance = case.room, case.balance
    if room.zone.use in COOKING or not balance.days or room.silent or room.computed:
        return
    temp, power = room.hour_temp_c, room.hour_power_w
    if len(temp) < 48:
        return
    hour = ((balance.hours_s[:-1] - balance.edges_s[0]) / 3600 + 4) % 24  # local, but for the hour of summer time
    dark = (hour >= 19) | (hour <= 4)
    with np.errstate(invalid="ignore"):
        off = power < 5.0
        rise = np.diff(temp, prepend=np.nan)
        warmest = _warmest_neighbour(case)
        cooler = ~(warmest > temp + 1.0)
        event = dark & off & np.roll(off, 1) & np.roll(off, 2) & (rise > 0.25) & cooler
        event &= temp - balance.hour_outdoor_c > 8.0
    recent = np.arange(len(event)) >= len(event) - 28 * 24
    evening = (balance.hours_s[:-1] - balance.edges_s[0]) / 3600 - 15  # an evening begins at 19:00
    days = np.unique(evening[event & recent] // 24)
    if len(days) >= 8:
        total = float(np.nansum(np.where(event & recent, rise, 0.0)))
        yield Cause(
            code="other-heat",
            probability=round(min(0.97, 0.6 + 0.03 * len(days)), 3),
            evidence=f"On {len(days)} evenings of the last 28 days the room warmed after dark with its heater off, "
            f"by {total / len(days):.1f} K on average.",
            check_next="Ask about a portable heater, a stove, or pipes and appliances that give off heat.",
        )


def _warmest_neighbour(case: Case) -> Floats:
    others = [
        each.hour_temp_c for name, each in case.balance.rooms.items() if name != case.room.zone.id and each.zone.heaters
    ]
    if not others:
        return np.full(len(case.room.hour_temp_c), np.nan)
    stack = np.stack([np.where(np.isfinite(row), row, -99.0) for row in others])
    return np.asarray(stack.max(axis=0))


def _loss(case: Case, explained: set[str]) -> Iterator[Cause]:
    """Excess loss, told from a wrong survey only by the other rooms."""
    judged, found = case.judgement, case.found
    if found is None or judged.probability is None or judged.ratio is None:
        return
    others = [ratio for name, ratio in case.ratios.items() if name != case.room.zone.id]
    alike = [ratio for ratio in others if abs(np.log(ratio / judged.ratio)) < 0.15]
    of_most = len(others) >= 2 and len(alike) * 2 > len(others)
    evidence = f"The room takes {judged.ratio:.2f} times its design"
    extra = _extra_kwh(found)
    if judged.verdict == "loses-less" and not explained & {"other-heat"}:
        yield Cause(
            code="survey-wrong",
            probability=round((0.8 if of_most else 0.6) * judged.probability, 3),
            evidence=f"{evidence}{', like most rooms of the house' if of_most else ''}.",
            check_next="Check the survey's U-values, areas and air changes, first those marked assumed.",
        )
    if judged.verdict != "loses-more":
        return
    lone = len(others) >= 2 and float(np.median(others)) < MARGIN
    leak, survey = (0.25, 0.7) if of_most and not lone else (0.7, 0.25) if lone else (0.55, 0.4)
    place = ", like most rooms of the house" if of_most else "; the other rooms do not" if lone else ""
    yield Cause(
        code="leak",
        probability=round(leak * judged.probability, 3),
        evidence=f"{evidence}{place}.",
        check_next="Look for open vents, gaps at windows and loft hatch, missing or wet insulation.",
        kwh=extra,
    )
    yield Cause(
        code="survey-wrong",
        probability=round(survey * judged.probability, 3),
        evidence=f"{evidence}{place}; from one room's readings a wrong survey looks the same as a leak.",
        check_next="Check the survey's U-values, areas and air changes, first those marked assumed.",
        kwh=extra,
    )


def _extra_kwh(found: Estimate) -> float | None:
    expected = float(np.nansum(found.expected_w)) * 24 / 1000
    actual = found.metered_w * 24 / 1000
    return round(max(actual - expected, 0.0), 1)
