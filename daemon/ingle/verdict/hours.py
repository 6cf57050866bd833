"""What each hour of the day takes beyond the room's own balance: windows that open by habit, heat that nobody meters.

The estimate of a room's loss works on days, because people, sun and thermostats share the clock. A cause that *lives*
on the clock needs hours. For every hour, all in watts:

    P = H·(T - Te) + H'·(T - Te~) + Ca·dT/dt + b·(T - T~) + c·(T - T~~) - s·P~ + Σ L·(T - Tn) - G + e[hour]·(T - Te)

A tilde is a first-order lag, two of them for the room's own temperature: this is the room of an air and a mass node,
written in what is measured (the mass follows air, outdoors and the heater's radiant share with one time constant).
Stored heat can only be positive, so that it cannot be traded against the clock; what is left over for an hour of the
day is ``e`` [W/K], shrunk towards nothing. A window that stands open at night shows as a plateau of ``e`` over these
hours; a stove that nobody meters as a hole. Sun makes a hole at noon and slow walls a bump when the room is heated up
in the morning, so neither is believed as easily.

References: Madsen and Holst, Energy and Buildings 22 (1995), stochastic models of a building's heat dynamics (two time
constants in the short run); ISO 52016-1, hourly balance by nodes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.model.house import Zone
from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.prior import LinkPrior
from ingle.verdict.series import Bools, Floats

#: No habit is looked for further back than this [h]; people change.
LONGEST_H: Final = 42 * 24
#: Fewer known hours than this tell no habit [h].
LEAST_H: Final = 10 * 24
#: Time constants of a room's mass that are tried, and of the building behind it [h]; common practice.
MASS_H: Final = (2.0, 4.5, 9.0)
SLOW_H: Final = 30.0
#: What a surveyed coefficient and an hour of the day may be off by, as a share of it.
LOSS_SPREAD: Final = 0.3
HOUR_SPREAD: Final = 0.3
#: Heat stored in air and furniture, in the mass that a day reaches and in slow walls [Wh/(m²·K)]: mean and spread;
#: twice the air's own for furniture, the rest from the classes of ISO 13790:2008, table 12.
AIR_WH: Final = (20.0, 12.0)
MASS_W: Final = (13.0, 8.0)
SLOW_W: Final = (4.0, 4.0)
#: Unmetered heat [W/m²], mean and spread.
GAINS_W: Final = (4.0, 4.0)
#: Errors of neighbouring hours are alike; so many count as one.
ALIKE_H: Final = 6.0
_ROUNDS: Final = 6
_HUBER: Final = 1.5
_LEAST_NOISE_W: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """A room hour by hour: local hour of the day, what it takes beyond its balance, and how that lies on the clock.

    Attributes
    ----------
    clock
        The local hour of the day, 0 to 23, of each hour looked at.
    day
        Which of the balance's days each hour lies in, from 04:00 to 04:00; -1 outside of them.
    beyond_w
        Power beyond the room's balance, as if no hour were special [W]; NaN where not known.
    left_w
        What is left with the special hours counted too [W].
    difference_k
        Inside less outside [K].
    special_w_per_k
        For each hour of the day, what it takes beyond the rest [W/K].
    loss_w_per_k
        The room's coefficient in this balance [W/K].
    noise_w
        What an hour scatters [W].
    """

    clock: np.typing.NDArray[np.intp]
    day: np.typing.NDArray[np.intp]
    beyond_w: Floats
    left_w: Floats
    difference_k: Floats
    special_w_per_k: Floats
    loss_w_per_k: float
    noise_w: float


def hours_of(zone: Zone, loss_w_per_k: float, balance: Balance, links: Sequence[LinkPrior]) -> Hours | None:
    """Return a room's hours, or None where too few are known.

    Parameters
    ----------
    zone
        The room.
    loss_w_per_k
        What the survey says of it [W/K].
    balance
        The house's days and hours.
    links
        What joins it to other rooms.
    """
    room = balance.rooms[zone.id]
    recent = slice(max(len(balance.hours_s) - 1 - LONGEST_H, 0), None)
    power = room.hour_power_w[recent]
    if not balance.days or np.isfinite(power).sum() < LEAST_H or not (np.nan_to_num(power) > 1.0).any():
        return None
    clock, day = _clock(balance, recent)
    best: Hours | None = None
    for mass_h in MASS_H:
        model = _Model(zone, loss_w_per_k, balance, room, links, recent, mass_h, clock)
        if model.known.sum() < LEAST_H:
            return None
        found = model.solve(day)
        if best is None or found.noise_w < best.noise_w:
            best = found
    return best


def _clock(balance: Balance, recent: slice) -> tuple[np.typing.NDArray[np.intp], np.typing.NDArray[np.intp]]:
    """Return each hour's local hour of the day and its day; right also on days of 23 and 25 hours."""
    start = balance.hours_s[:-1][recent]
    day = np.searchsorted(balance.edges_s, start + 1.0) - 1
    base = balance.edges_s[np.clip(day, 0, len(balance.edges_s) - 1)]
    clock = ((start - base) / 3600 + 4) % 24
    inside = (day >= 0) & (day < balance.days)
    return clock.round().astype(np.intp) % 24, np.where(inside, day, -1)


def lagged(values: Floats, hours: float) -> Floats:
    """Return a series behind a first-order lag; unknown hours leave it where it was."""
    known = np.isfinite(values)
    if not known.any():
        return np.full(len(values), np.nan)
    keep = float(np.exp(-1 / hours))
    state = float(values[known][:48].mean())
    found = np.empty(len(values))
    for place, (value, good) in enumerate(zip(values.tolist(), known.tolist(), strict=True)):
        if good:
            state = keep * state + (1 - keep) * value
        found[place] = state
    return found


class _Model:
    """The hourly balance of one room for one time constant of its mass."""

    def __init__(
        self,
        zone: Zone,
        loss_w_per_k: float,
        balance: Balance,
        room: RoomDays,
        links: Sequence[LinkPrior],
        recent: slice,
        mass_h: float,
        clock: np.typing.NDArray[np.intp],
    ) -> None:
        self._columns: list[Floats] = []
        self._mean: list[float] = []
        self._spread: list[float] = []
        self._free: list[bool] = []
        self._power = room.hour_power_w[recent]
        warm, cold = room.hour_temp_c[recent], balance.hour_outdoor_c[recent]
        area = zone.floor_area_m2
        self.difference = warm - cold
        self._clock = clock
        slope = np.full(len(warm), np.nan)
        slope[1:-1] = (warm[2:] - warm[:-2]) / 2
        self._add(self.difference, 0.6 * loss_w_per_k, LOSS_SPREAD * loss_w_per_k)
        self._add(warm - lagged(cold, mass_h), 0.4 * loss_w_per_k, LOSS_SPREAD * loss_w_per_k)
        self._add(slope, AIR_WH[0] * area, AIR_WH[1] * area)
        self._add(warm - lagged(warm, mass_h), MASS_W[0] * area, MASS_W[1] * area)
        self._add(warm - lagged(warm, SLOW_H), SLOW_W[0] * area, SLOW_W[1] * area)
        self._add(-lagged(self._power, mass_h), 0.3, 0.15)
        for link in links:
            if zone.id in link.zones:
                other = balance.rooms.get(link.zones[link.zones[0] == zone.id])
                apart = None if other is None else warm - other.hour_temp_c[recent]
                if apart is not None and np.isfinite(apart).any():
                    self._add(np.where(np.isfinite(apart), apart, 0.0), link.w_per_k, link.spread_w_per_k)
        self._add(-np.ones(len(warm)), GAINS_W[0] * area, GAINS_W[1] * area, free=True)
        self._hours_from = len(self._columns)
        for hour in range(24):
            at = np.where(clock == hour, self.difference, 0.0)
            self._add(at, 0.0, HOUR_SPREAD * loss_w_per_k, free=True)
        self._x = np.stack(self._columns, axis=1)
        self.known: Bools = np.isfinite(self._x).all(axis=1) & np.isfinite(self._power)
        self.known[: min(24, len(self.known) // 4)] = False  # the lags have to settle

    def _add(self, column: Floats, mean: float, spread: float, *, free: bool = False) -> None:
        self._columns.append(column)
        self._mean.append(mean)
        self._spread.append(max(spread, 1e-6))
        self._free.append(free)

    def solve(self, day: np.typing.NDArray[np.intp]) -> Hours:
        """Fit, and return what is left over."""
        x, y = self._x[self.known], self._power[self.known]
        mean, spread = np.array(self._mean), np.array(self._spread)
        noise = max(0.3 * float(np.abs(y).mean()), _LEAST_NOISE_W)
        weight = np.ones(len(y))
        beta = mean
        for _ in range(_ROUNDS):
            beta = _bounded(x, y, weight / (noise**2 * ALIKE_H), mean, spread, np.array(self._free))
            rest = np.abs(y - x @ beta)
            noise = max(1.48 * float(np.median(rest)), _LEAST_NOISE_W)
            weight = np.minimum(1.0, _HUBER * noise / np.maximum(rest, 1e-9))
        plain = beta.copy()
        plain[self._hours_from :] = 0.0
        every = np.nan_to_num(self._x)
        return Hours(
            clock=self._clock,
            day=day,
            beyond_w=np.where(self.known, self._power - every @ plain, np.nan),
            left_w=np.where(self.known, self._power - every @ beta, np.nan),
            difference_k=self.difference,
            special_w_per_k=beta[self._hours_from :],
            loss_w_per_k=float(beta[0] + beta[1]),
            noise_w=noise,
        )


def _bounded(x: Floats, y: Floats, weight: Floats, mean: Floats, spread: Floats, free: Bools) -> Floats:
    """Return the regularised least squares in which what is not free stays positive."""
    weighted = x * weight[:, None]
    normal, right = weighted.T @ x, weighted.T @ y
    held = np.zeros(len(mean), dtype=np.bool_)
    while True:
        firm = np.where(held, 1e12, 1 / spread**2)
        beta = np.linalg.solve(normal + np.diag(firm), right + np.where(held, 0.0, mean / spread**2))
        bad = (beta < -1e-6) & ~free & ~held
        if not bad.any():
            return np.asarray(np.where(held, 0.0, beta))
        held |= bad
