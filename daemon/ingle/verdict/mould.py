"""Mould risk in a room, from temperature and humidity that were measured and a surface that was not.

The coldest inner surface stands at θ_si = θ_e + f_Rsi (θ_i - θ_e). Mould may grow where the air there is above 80 % for
days, long before water is seen (ISO 13788:2012, 5). Daily means are used, because a surface takes hours to follow. How
many days are "several" the standard leaves open; five of a week is common practice here.

f_Rsi is nobody's measurement: 0.75 is what keeps dwellings clear of mould (BRE Information Paper IP 1/06), and a worse
wall that the survey knows counts with its own, reckoned as in a corner or behind furniture (R_si 0.25 m²·K/W).

What helps most follows from the same sum. If the room at an ordinary temperature would be dry enough with the water it
holds, it lacks heat. Else the water is compared with outdoors: as much as people give is for air to take away, more
than that has a source that should go. The limits are the humidity classes of ISO 13788:2012, Annex A (from memory).
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from ingle.model.verdicts import Moisture, MouldVerdict
from ingle.physics.moisture import (
    DWELLING_F_RSI,
    MOULD_PERCENT,
    R_SI_MOULD,
    saturation_pressure_pa,
    surface_c,
    surface_humidity_percent,
    vapour_pressure_pa,
    wall_f_rsi,
)
from ingle.verdict.causes.case import Case
from ingle.verdict.series import Floats

#: How many of the newest days are looked at, how many must be known and how many over the limit.
WEEK_D: Final = 7
LEAST_D: Final = 3
RISK_D: Final = 5
WATCH_D: Final = 2
#: A day counts with so many hours of it known.
LEAST_HOURS: Final = 12
#: A temperature that most rooms can be kept at [°C] (WHO, Housing and health guidelines, 2018: at least 18).
ORDINARY_C: Final = 19.0
#: Humidity of outdoor air in the heating season where nobody measures it [%]; common practice.
OUTDOOR_PERCENT: Final = 85.0
#: Water beyond outdoors from which on there is a source [g/m³]: upper limit of class 3, ISO 13788:2012, Annex A.
SOURCE_G_PER_M3: Final = 6.0
#: Gas constant of water vapour [J/(kg·K)].
_VAPOUR_R: Final = 461.5

_GLASS: Final = frozenset({"window", "rooflight", "door"})

Lever = Literal["heat", "air", "moisture"]

_NEXT: Final[dict[Lever, str]] = {
    "heat": "Keep the room a little warmer, all day rather than in bursts, and furniture a hand's breadth off outer "
    "walls.",
    "air": "Air it: windows wide open for some minutes several times a day, or an extract fan that runs; never close "
    "an air inlet of a room in which something burns.",
    "moisture": "Look for where the water comes from: washing dried indoors, cooking without a lid or extract, a leak, "
    "rain through a wall; then air the rest away.",
}
_CAUTION: Final = (
    " Look at the coldest corner and behind furniture. Mould that is there harms people: whoever is unwell, old or "
    "very young should not sleep by it, and more than a small patch is for somebody competent."
)


def moisture(case: Case) -> Moisture | None:
    """Return a room's mould risk, None where nobody measures its humidity."""
    if not np.isfinite(case.room.hour_humidity_percent).any():
        return None
    f_rsi, source = temperature_factor(case)
    days = _days(case)
    if len(days) < LEAST_D:
        return _said(
            "cannot-say-yet", len(days), 0, f_rsi, source, f"{LEAST_D} days of temperature and humidity are needed."
        )
    week = days[-WEEK_D:]
    surface = [surface_humidity_percent(warm, damp, cold, f_rsi) for warm, damp, cold in week]
    over = sum(each > MOULD_PERCENT for each in surface)
    room_c, room_percent, outdoor_c = (float(np.mean(column)) for column in zip(*week, strict=True))
    verdict: MouldVerdict = "risk" if over >= min(RISK_D, len(week)) else "watch" if over >= WATCH_D else "none"
    cold_c = surface_c(room_c, outdoor_c, f_rsi)
    sentence = (
        f"On {over} of {len(week)} days the air at the coldest surfaces, about {cold_c:.0f} °C, was above "
        f"{MOULD_PERCENT:.0f} % ({np.mean(surface):.0f} % on average)."
    )
    lever = _lever(room_c, room_percent, outdoor_c, f_rsi) if verdict != "none" else None
    return Moisture(
        verdict=verdict,
        days=len(week),
        days_over=over,
        limit_percent=MOULD_PERCENT,
        surface_rh_percent=round(float(np.mean(surface)), 1),
        surface_c=round(cold_c, 1),
        room_rh_percent=round(room_percent, 1),
        room_c=round(room_c, 1),
        f_rsi=round(f_rsi, 3),
        f_rsi_source=source,
        lever=lever,
        sentence=sentence,
        check_next=None if lever is None else _NEXT[lever] + _CAUTION,
    )


def temperature_factor(case: Case) -> tuple[float, str]:
    """Return the f_Rsi of a room's coldest surfaces and where it comes from."""
    usual = "what keeps dwellings clear of mould, BRE IP 1/06"
    found = case.design.zone(case.room.zone.id)
    rows = found.parts if found is not None else ()
    # Water on glass runs off; mould grows on what holds it.
    solid = [row for row in rows if row.beyond == "outside" and row.kind not in _GLASS and row.u_w_per_m2k is not None]
    coldest = max(solid, key=lambda row: row.u_w_per_m2k or 0.0, default=None)
    u = 0.0 if coldest is None else coldest.u_w_per_m2k or 0.0
    if coldest is None or u * R_SI_MOULD >= 1 or wall_f_rsi(u, R_SI_MOULD) >= DWELLING_F_RSI:
        return DWELLING_F_RSI, usual
    return wall_f_rsi(u, R_SI_MOULD), f"{coldest.name} of the survey, U {u:.2g} W/(m²·K), as in a corner"


def _said(verdict: MouldVerdict, days: int, over: int, f_rsi: float, source: str, sentence: str) -> Moisture:
    return Moisture(
        verdict=verdict,
        days=days,
        days_over=over,
        limit_percent=MOULD_PERCENT,
        surface_rh_percent=None,
        surface_c=None,
        room_rh_percent=None,
        room_c=None,
        f_rsi=round(f_rsi, 3),
        f_rsi_source=source,
        lever=None,
        sentence=sentence,
    )


def _days(case: Case) -> list[tuple[float, float, float]]:
    """Return each known day's mean temperature, humidity and outdoor temperature [°C, %, °C]."""
    room, balance = case.room, case.balance
    first = np.searchsorted(balance.hours_s, balance.edges_s)
    found = []
    for day in range(balance.days):
        rows: list[Floats] = [
            each[first[day] : first[day + 1]]
            for each in (room.hour_temp_c, room.hour_humidity_percent, balance.hour_outdoor_c)
        ]
        known = np.isfinite(np.stack(rows)).all(axis=0)
        if known.sum() >= LEAST_HOURS:
            warm, damp, cold = (float(row[known].mean()) for row in rows)
            found.append((warm, min(max(damp, 0.0), 100.0), cold))
    return found


def _lever(room_c: float, room_percent: float, outdoor_c: float, f_rsi: float) -> Lever:
    """Return what would help most.

    >>> _lever(15.0, 70.0, 2.0, 0.75), _lever(20.0, 60.0, 2.0, 0.75), _lever(21.0, 75.0, 2.0, 0.75)
    ('heat', 'air', 'moisture')
    """
    held_pa = vapour_pressure_pa(room_c, room_percent)
    if room_c < ORDINARY_C:
        there_pa = saturation_pressure_pa(surface_c(ORDINARY_C, outdoor_c, f_rsi))
        if 100 * held_pa / there_pa <= MOULD_PERCENT:
            return "heat"
    beyond = _water_g_per_m3(held_pa, room_c) - _water_g_per_m3(
        vapour_pressure_pa(outdoor_c, OUTDOOR_PERCENT), outdoor_c
    )
    return "moisture" if beyond > SOURCE_G_PER_M3 else "air"


def _water_g_per_m3(vapour_pa: float, temperature_c: float) -> float:
    """Return the water in air [g/m³].

    >>> round(_water_g_per_m3(1168.5, 20.0), 1)
    8.6
    """
    return 1000 * vapour_pa / (_VAPOUR_R * (temperature_c + 273.15))
