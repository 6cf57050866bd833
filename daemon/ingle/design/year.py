"""The heat that a room needs in a year, as low, mid and high: its coefficient in use, its week, and the weather.

Heat = H · degree days · 24 h. Degree days are taken at the base that belongs to the room: the mean of what is wanted
over the week, less what people, sun and appliances warm it by. A room does not follow its programme at once, so a heavy
one takes more than this says of a short week; the band holds what is usual.

The band combines by root-sum-square: the coefficient by its own limits, the weather of single years, and the gains.
"""

from __future__ import annotations

from math import hypot
from typing import Final

from ingle.design.sheet import Figure, tidy
from ingle.design.week import ORDINARY_DAY, Week
from ingle.model.design import ZoneDesign
from ingle.model.house import House, Site
from ingle.model.ways import Band, Year
from ingle.physics.weather import degree_days_of_month, heating_kwh
from ingle.physics.year import MONTH_DAYS, STANDARD_KD, degree_days_of_year

#: How far single years lie from the mean one, 95 % (common practice).
WEATHER_SHARE: Final = 0.10
#: How far the gains may lie from what is said of them [K] (common practice).
GAINS_K: Final = 1.5


def local_degree_days(site: Site) -> float:
    """Return the degree days of a house's year at base 15.5 °C, however it tells them; else the standard year's [K·d].

    >>> round(local_degree_days(Site(name="x", outdoor_design_c=0, mean_c_by_month=(4.4,) * 12)))
    4053
    """
    if site.degree_days_by_month:
        return sum(site.degree_days_by_month)
    if site.mean_c_by_month:
        months = zip(MONTH_DAYS, site.mean_c_by_month, strict=True)
        return sum(degree_days_of_month(days, mean) for days, mean in months)
    return site.degree_days or STANDARD_KD


def told_by(site: Site) -> str:
    """Return the key by which a house tells its year, or nothing."""
    keys = ("degree_days", "degree_days_by_month", "mean_c_by_month")
    return next((key for key in keys if getattr(site, key)), "")


def year(house: House, room: ZoneDesign, wanted: Week) -> Year:
    """Return a year of heat for a room."""
    site = house.site
    total_kd = local_degree_days(site)
    base_c = wanted.mean_c - site.gains_k
    degree_days = degree_days_of_year(base_c, total_kd)
    loss = max(0.0, room.in_use_w_per_k)
    mid = heating_kwh(loss, degree_days)

    def off(loss_w_per_k: float, share: float, gains_k: float) -> tuple[float, float, float]:
        """Return how far each cause alone takes the figure from its middle [kWh]."""
        other = degree_days_of_year(base_c - gains_k, total_kd)
        return (
            heating_kwh(max(0.0, loss_w_per_k), degree_days) - mid,
            mid * share,
            heating_kwh(loss, other) - mid,
        )

    down = hypot(*off(room.in_use_low_w_per_k, -WEATHER_SHARE, GAINS_K))
    up = hypot(*off(room.in_use_high_w_per_k, WEATHER_SHARE, -GAINS_K))
    inputs: dict[str, float | str] = {"in_use_w_per_k": loss, "degree_days": degree_days, "base_c": base_c}
    base: dict[str, float | str] = {"mean_wanted_c": wanted.mean_c, "gains_k": site.gains_k}
    local: dict[str, float | str] = {"base_c": base_c, "degree_days_at_15_5": total_kd}
    told = told_by(site)
    weather = f"{told} of the house file" if told else "twenty-year standard year, United Kingdom"
    return Year(
        kwh=Band(low=tidy(max(0.0, mid - down)), mid=tidy(mid), high=tidy(mid + up)),
        warm_hours_per_week=tidy(wanted.warm_hours),
        mean_wanted_c=tidy(wanted.mean_c),
        base_c=tidy(base_c),
        degree_days=tidy(degree_days),
        working=(
            Figure(base_c, "°C", base, "mean wanted - gains", "CIBSE TM41 (from memory)").line("base temperature"),
            Figure(degree_days, "K·d", local, "Hitchin, month by month", weather).line("degree days"),
            Figure(mid, "kWh", inputs, "H·DD·24/1000", "CIBSE TM41 (from memory)").line("heat in a year"),
        ),
        assumptions=(_hours(wanted), _weather(house, total_kd), _gains(house)),
    )


def _hours(wanted: Week) -> str:
    start, end = (f"{minute // 60:02d}:00" for minute in ORDINARY_DAY)
    plan = "by its programmes" if wanted.planned else f"no programme yet, so occupied from {start} to {end} every day"
    return f"Hours: {wanted.warm_hours:.0f} h a week warm, {wanted.mean_c:.1f} °C on average as wanted; {plan}."


def _weather(house: House, total_kd: float) -> str:
    whose = "of the house file" if told_by(house.site) else "of a standard year for the United Kingdom, assumed"
    return f"Weather: {total_kd:.0f} K·d at base 15.5 °C, {whose}; single years ±{100 * WEATHER_SHARE:.0f} %."


def _gains(house: House) -> str:
    return f"People, sun and appliances warm the house by {house.site.gains_k:g} ±{GAINS_K:g} K."
