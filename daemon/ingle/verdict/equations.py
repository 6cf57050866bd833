"""The equations of the joint balance: one row a room and day, one column an unknown, and what the survey expects.

Each room has its own unknowns: loss, two stores, yesterday's cold, sun, gains, wind, the error of its thermometer. Each
link has one for both its rooms. Two belong to the house: by how much the outdoor thermometer and the soil's temperature
are wrong, the same for every room, so that an error of theirs shows as what it is: a likeness of all rooms.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.verdict.balance import Balance
from ingle.verdict.exogenous import exogenous
from ingle.verdict.prior import LOSS_SPREAD, SENSOR_K, SOIL_K, LinkPrior, RoomPrior
from ingle.verdict.series import Bools, Floats

OWN: Final = ("loss", "stored", "drift", "lag", "sun", "gains", "wind")
#: What can only be more than nothing.
POSITIVE: Final = frozenset({"link", "stored", "drift", "sun"})
HOUSE: Final = "house"
_LEAST_SPREAD: Final = 1e-9

Ints = np.typing.NDArray[np.intp]


@dataclass(slots=True)
class Rows:
    """The equations of one room: which days, right side, and what multiplies each kind of unknown."""

    days: Bools
    at: Ints
    power_w: Floats
    drive_k: Floats
    stored_w: Floats
    drift_w: Floats
    lag_k: Floats
    sun_w: Floats
    wind: Floats


class Equations:
    """Matrix, right side and priors; ``rows`` and ``of`` say which part belongs to which room."""

    def __init__(
        self,
        balance: Balance,
        priors: Mapping[str, RoomPrior],
        links: Sequence[LinkPrior],
        sun: Mapping[str, Floats],
        days: Mapping[str, Bools],
        soil_c: Floats,
        steps: Mapping[str, int] | None = None,
    ) -> None:
        self._balance, self._priors, self._soil_c = balance, priors, soil_c
        #: Rooms whose loss is another from a day of the record on.
        self.steps = {name: day for name, day in (steps or {}).items() if name in days}
        self.links = [link for link in links if link.zones[0] in days or link.zones[1] in days]
        self.warmth = {name: exogenous(balance, name, sun.get(name), days.get(name)) for name in balance.rooms}
        self.rows = {name: self._rows_of(name, which, sun) for name, which in days.items()}
        self.names = [(name, kind) for name in days for kind in OWN]
        self.names += [("|".join(link.zones), "link") for link in self.links]
        self.names += [(name, "offset") for name in days]
        self.names += [(HOUSE, "outdoors"), (HOUSE, "soil")]
        self.names += [(name, "step") for name in self.steps]
        self.at = {key: place for place, key in enumerate(self.names)}
        self.of: dict[str, slice] = {}
        self.y = np.concatenate([rows.power_w for rows in self.rows.values()])
        #: Which day each row belongs to.
        self.day = np.concatenate([rows.at for rows in self.rows.values()])
        self.x = np.zeros((len(self.y), len(self.names)))
        self.mean = np.zeros(len(self.names))
        self.spread = np.ones(len(self.names))
        self._fill()
        self._expect()

    def _rows_of(self, name: str, which: Bools, sun: Mapping[str, Floats]) -> Rows:
        room, prior, balance = self._balance.rooms[name], self._priors[name], self._balance
        at = np.flatnonzero(which)
        warm = self.warmth[name]
        outdoors = balance.outdoor_c
        before = np.concatenate([outdoors[:1], outdoors[:-1]])
        earlier = np.concatenate([room.temp_c[:1], room.temp_c[:-1]])
        drift = np.where(np.isfinite(earlier), room.temp_c - earlier, 0.0)
        lag = np.where(np.isfinite(before), before - outdoors, 0.0)
        wind = balance.wind_m_per_s
        wind = np.where(np.isfinite(wind), wind - (np.nanmean(wind) if np.isfinite(wind).any() else 0.0), 0.0)
        share = prior.ground_share
        drive = (1 - share) * (warm - outdoors) + share * (warm - self._soil_c)
        hours = np.diff(balance.edges_s) / 3600
        return Rows(
            days=which,
            at=at,
            power_w=room.power_w[at],
            drive_k=drive[at],
            stored_w=(np.diff(room.start_c) / hours)[at],
            drift_w=(drift / hours)[at],
            lag_k=lag[at],
            sun_w=sun.get(name, np.zeros(balance.days))[at],
            wind=(wind * (warm - outdoors))[at],
        )

    def _fill(self) -> None:
        start = 0
        for name, rows in self.rows.items():
            here = self.of[name] = slice(start, start + len(rows.at))
            start += len(rows.at)
            columns = (
                ("loss", rows.drive_k),
                ("stored", rows.stored_w),
                ("drift", rows.drift_w),
                ("lag", rows.lag_k),
                ("sun", -rows.sun_w),
                ("gains", -np.ones(len(rows.at))),
                ("wind", rows.wind),
            )
            for kind, values in columns:
                self.x[here, self.at[name, kind]] = values
        for name in self.rows:
            self.share_errors(name, self._priors[name].loss_w_per_k)
        for name, day in self.steps.items():
            self.x[:, self.at[name, "step"]] = self.step(name, day)
        for link in self.links:
            for name, other in (link.zones, link.zones[::-1]):
                if name in self.rows:
                    apart = self.warmth[name] - self.warmth.get(other, self.warmth[name])
                    apart = np.where(np.isfinite(apart), apart, 0.0)[self.rows[name].at]
                    self.x[self.of[name], self.at["|".join(link.zones), "link"]] = apart

    def step(self, name: str, day: int) -> Floats:
        """Return the column of a change of a room's loss on a day: its drive from then on, nothing before."""
        rows, column = self.rows[name], np.zeros(len(self.y))
        column[self.of[name]] = np.where(rows.at >= day, rows.drive_k, 0.0)
        return column

    def share_errors(self, name: str, loss_w_per_k: float, links: Mapping[str, float] | None = None) -> None:
        """Say what constant errors do: of outdoor thermometer and soil to this room, of its own to its neighbours.

        A thermometer that shows too much makes the room seem to lose more to outdoors and to all its neighbours, and
        these to lose less to it.
        """
        here, share = self.of[name], self._priors[name].ground_share
        offset, through = self.at[name, "offset"], loss_w_per_k
        for link in self.links:
            if name in link.zones:
                key = "|".join(link.zones)
                w_per_k = link.w_per_k if links is None else links.get(key, link.w_per_k)
                through += w_per_k
                other = link.zones[1] if link.zones[0] == name else link.zones[0]
                if other in self.of:
                    self.x[self.of[other], offset] = w_per_k
        self.x[here, offset] = -through
        self.x[here, self.at[HOUSE, "outdoors"]] = -loss_w_per_k * (1 - share)
        self.x[here, self.at[HOUSE, "soil"]] = -loss_w_per_k * share

    def _expect(self) -> None:
        for name in self.rows:
            prior = self._priors[name]
            loss, heat = prior.loss_w_per_k, prior.capacity_wh_per_k
            for kind, mean, spread in (
                ("loss", loss, LOSS_SPREAD * loss),
                ("stored", 0.7 * heat, 0.5 * heat),
                ("drift", 0.5 * heat, 0.5 * heat),
                ("lag", 0.0, 0.15 * loss),
                ("sun", prior.sun, max(prior.sun_spread, _LEAST_SPREAD)),
                ("wind", 0.0, 0.04 * loss),
            ):
                self._set(name, kind, mean, spread)
            self.expect_gains(name, prior.gains_w, prior.gains_spread_w)
            self._set(name, "offset", 0.0, SENSOR_K)
        for link in self.links:
            self._set("|".join(link.zones), "link", link.w_per_k, link.spread_w_per_k)
        for name in self.steps:
            self._set(name, "step", 0.0, LOSS_SPREAD * self._priors[name].loss_w_per_k)
        self._set(HOUSE, "outdoors", 0.0, SENSOR_K)
        self._set(HOUSE, "soil", 0.0, SOIL_K)

    def _set(self, name: str, kind: str, mean: float, spread: float) -> None:
        at = self.at[name, kind]
        self.mean[at], self.spread[at] = mean, spread

    def expect_gains(self, name: str, mean_w: float, spread_w: float) -> None:
        """Set what unmetered heat to expect [W]."""
        self._set(name, "gains", mean_w, spread_w)
