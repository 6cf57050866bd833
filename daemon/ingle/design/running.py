"""How some heaters do in a room on one day: the hold, the switching, the warm-up, in closed form.

One store behind one conductance (``physics.dynamics``): honest for warm-ups of some hours, and for the share of time
on. What switches is the air: the walls do not follow within minutes.
"""

from __future__ import annotations

from dataclasses import dataclass

from ingle.design.sheet import tidy
from ingle.model.options import Running
from ingle.physics.dynamics import hours_to_reach, settled_c, time_constant_h
from ingle.physics.emitters import (
    AIR_AND_FURNITURE_WH_PER_M2K,
    THERMOSTAT_BAND_K,
    duty,
    switchings_per_h,
)

_NOTHING_W_PER_K = 1e-9
#: Longer than this is never: more than a year [h].
_NEVER_H = 8760.0
#: Nothing is reckoned beyond these: a heater that would have to be a thousand times as large, and a switch that turns
#: every second. They keep a slip of the pen in a plate or an area from becoming an infinity.
_MOST_DUTY, _MOST_SWITCHINGS_PER_H = 1000.0, 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day that heaters are held against: temperatures [°C], loss coefficient [W/K], and the room's stores [Wh/K]."""

    outdoor_c: float
    room_c: float
    from_c: float
    to_c: float
    loss_w_per_k: float
    capacity_wh_per_k: float
    floor_area_m2: float

    @property
    def loss_w(self) -> float:
        """What the room loses when it is warm, never below 0 [W]."""
        return max(0.0, self.loss_w_per_k * (self.room_c - self.outdoor_c))

    @property
    def air_wh_per_k(self) -> float:
        """What a thermostat feels: air and furniture [Wh/K]."""
        return AIR_AND_FURNITURE_WH_PER_M2K * self.floor_area_m2

    def warm_up_h(self, power_w: float) -> float | None:
        """Return how long a power takes from ``from_c`` to ``to_c`` [h]; None if never, or not within a year."""
        if self.to_c <= self.from_c:
            return 0.0
        hours = self._hours(power_w)
        return None if hours is None or not hours <= _NEVER_H else hours

    def _hours(self, power_w: float) -> float | None:
        settles = self.settles_c(power_w)
        if settles is None:
            return self.capacity_wh_per_k * (self.to_c - self.from_c) / power_w
        return hours_to_reach(
            self.from_c, self.to_c, settles, time_constant_h(self.capacity_wh_per_k, self.loss_w_per_k)
        )

    def settles_c(self, power_w: float) -> float | None:
        """Return the temperature at which a power ends, None where nothing bounds it [°C]."""
        if self.loss_w_per_k <= _NOTHING_W_PER_K:
            return None
        return settled_c(self.outdoor_c, power_w, self.loss_w_per_k)

    def duty(self, power_w: float) -> float:
        """Return the share of time that a power is on to hold the room."""
        return min(_MOST_DUTY, duty(self.loss_w, power_w))

    def switchings_per_h(self, power_w: float) -> float:
        """Return how often an hour it is turned on [1/h]."""
        often = switchings_per_h(power_w, self.loss_w, self.air_wh_per_k, THERMOSTAT_BAND_K)
        return min(_MOST_SWITCHINGS_PER_H, often)

    def on_time_s(self, power_w: float) -> float | None:
        """Return how long a heater is on at a time, None where it does not switch [s]."""
        often = self.switchings_per_h(power_w)
        return self.duty(power_w) * 3600 / often if often else None


def running(day: Day, power_w: float, cap_w: float | None) -> Running:
    """Return how heaters of a power do on a day; ``cap_w`` is what a supply's cap would leave them [W]."""
    settles = day.settles_c(power_w)
    share = day.duty(power_w)
    often = day.switchings_per_h(power_w)
    warm_up = day.warm_up_h(power_w)
    return Running(
        outdoor_c=day.outdoor_c,
        room_c=day.room_c,
        loss_w=tidy(day.loss_w),
        duty_percent=tidy(100 * share),
        switchings_per_h=tidy(often),
        settles_c=None if settles is None else tidy(settles),
        warm_up_from_c=day.from_c,
        warm_up_to_c=day.to_c,
        warm_up_h=None if warm_up is None else tidy(warm_up),
        warm_up_capped_h=_capped(day, power_w, cap_w),
        says=f"{_hold(day, share, settles)}; {_warm_up(day, warm_up, settles)}",
    )


def _capped(day: Day, power_w: float, cap_w: float | None) -> float | None:
    if cap_w is None or cap_w >= power_w:
        return None
    hours = day.warm_up_h(cap_w)
    return None if hours is None else tidy(hours)


def _hold(day: Day, share: float, settles: float | None) -> str:
    at = f"{day.room_c:g} °C at {day.outdoor_c:g} °C outside"
    if share > 1 + 1e-9 and settles is not None:
        return f"cannot hold {at}: full power settles at {settles:.1f} °C"
    return f"holds {at} with {100 * share:.1f} % of its time"


def _warm_up(day: Day, hours: float | None, settles: float | None) -> str:
    way = f"from {day.from_c:g} to {day.to_c:g} °C"
    if hours is None:
        end = "it would take more than a year" if settles is None else f"full power settles at {settles:.1f} °C"
        return f"never gets {way}: {end}"
    return f"{way} in {hours:.1f} h"
