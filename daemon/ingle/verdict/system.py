"""One joint linear Bayesian daily heat balance for the whole house.

For each room and day, all in watts:

    power = H·[(1-g)(T - Te) + g(T - Ts)] + Σ L(T - Tn) + C1·ΔT/Δt + C2·ΔT̄/Δt + K·(Te,yesterday - Te) + W·wind - A·S - G

``H`` is what is looked for [W/K]; ``g`` the share of it that goes to the soil at ``Ts``; ``L`` couples two rooms with
one coefficient for both; ``C1`` is heat stored between the day's two ends, ``C2`` between the means of two days,
``K`` what of yesterday's cold still comes through the walls; ``S`` the sun on the room's glass; ``G`` the unmetered
gains together with the constant errors of thermometers and soil. Gaussian priors come from the survey (``prior``).

Rules of this file:

* **Gains are bounded by the noise.** Where outdoor and room temperature stand still, H and G cannot be told apart and
  the prior on G decides. People's heat changes from day to day, so the scatter that is left over bounds its mean.
  A second pass uses that bound.
* **The room's temperature is no cause of its own.** A gain warms the room and cuts the power on the same day. In the
  temperature differences T is therefore replaced by its projection on what drives it from outside: outdoor
  temperature, wanted temperatures, sun (two-stage least squares).
* **Positive things stay positive**: links, capacities, sun. What comes out negative is set to 0 and the rest solved
  again. With no information a value stays at its prior mean.
* **Heavy tails.** Days are weighted after Huber; the prior on H after a t distribution, so that a wrong design
  shifts the answer the less the more wrong it is.
* Errors of consecutive days resemble one another (AR(1)); the posterior counts this, and the fact that the noise is
  itself estimated from few days (t quantiles). What a linear daily model gets wrong whatever the length of the
  record is added as ``MODEL_SPREAD``.

References: Zellner, An Introduction to Bayesian Inference in Econometrics, Wiley, 1971 (linear model, Gaussian
priors); Huber and Ronchetti, Robust Statistics, Wiley, 2009; ISO 9869-1 (storage and drift in measured balances).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.verdict.balance import Balance
from ingle.verdict.exogenous import exogenous
from ingle.verdict.prior import (
    GAINS_DAILY_SPREAD,
    LOSS_SPREAD,
    NOISE_SHARE,
    SENSOR_K,
    SOIL_K,
    STORAGE_SHARE,
    LinkPrior,
    RoomPrior,
)
from ingle.verdict.scatter import inverse, likeness, upper_limit
from ingle.verdict.series import Bools, Floats

#: What the model itself gets wrong, as a share of H: the spread of estimates around the truth in very long simulated
#: records, where no other error is left. Compare: rolling 20-day estimates of 19 real homes scatter by 7 % on average
#: (published in-use measurements).
MODEL_SPREAD: Final = 0.04
#: A known neighbour whose temperature nobody measures may be this much off ours [K].
UNKNOWN_NEIGHBOUR_K: Final = 2.0
_ROUNDS: Final = 6
_HUBER: Final = 1.5
_FIXED: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A room's coefficient with its standard error [W/K], the days behind it, and what would have been expected."""

    zone_id: str
    loss_w_per_k: float
    error_w_per_k: float
    freedom: float
    days: Bools
    expected_w: Floats
    metered_w: float
    noise_w: float
    difference_k: float
    lasting_error_w_per_k: float

    @property
    def relative_error(self) -> float:
        """Standard error as a share."""
        return self.error_w_per_k / self.loss_w_per_k


@dataclass(slots=True)
class _Rows:
    """The equations of one room: which days, right side, and what multiplies each kind of unknown."""

    days: Bools
    at: np.typing.NDArray[np.intp]
    power_w: Floats
    drive_k: Floats
    stored_w: Floats
    drift_w: Floats
    lag_k: Floats
    sun_w: Floats
    wind: Floats


class System:
    """The joint system, its weights and its solution; built once, solved twice."""

    def __init__(
        self,
        balance: Balance,
        priors: Mapping[str, RoomPrior],
        links: Sequence[LinkPrior],
        sun: Mapping[str, Floats],
        days: Mapping[str, Bools],
        soil_c: Floats,
    ) -> None:
        self._balance = balance
        self._priors = priors
        self._days = dict(days)
        self._soil_c = soil_c
        self._links = [link for link in links if link.zones[0] in days or link.zones[1] in days]
        self._warmth = {name: exogenous(balance, name, sun.get(name), days.get(name)) for name in balance.rooms}
        self._rows = {name: self._rows_of(name, sun) for name in days}
        self._slice: dict[str, slice] = {}
        self._names: list[tuple[str, str]] = []
        self._design_matrix()
        self._priors_of_unknowns()
        count = len(self._y)
        self._weight = np.ones(count)
        self._noise = {name: self._first_noise(name) for name in days}
        self._alike = dict.fromkeys(days, 0.0)
        self._freedom = dict.fromkeys(days, 5.0)
        self._plain_scatter = dict.fromkeys(days, np.inf)

    def _rows_of(self, name: str, sun: Mapping[str, Floats]) -> _Rows:
        room, prior, balance = self._balance.rooms[name], self._priors[name], self._balance
        which = self._days[name]
        at = np.flatnonzero(which)
        warm = self._warmth[name]
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
        return _Rows(
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

    def _design_matrix(self) -> None:
        own = ("loss", "stored", "drift", "lag", "sun", "gains", "wind")
        self._names = [(name, kind) for name in self._days for kind in own]
        self._names += [("|".join(link.zones), "link") for link in self._links]
        self._at = {key: place for place, key in enumerate(self._names)}
        self._y = np.concatenate([rows.power_w for rows in self._rows.values()])
        self._x = np.zeros((len(self._y), len(self._names)))
        start = 0
        for name, rows in self._rows.items():
            here = self._slice[name] = slice(start, start + len(rows.at))
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
                self._x[here, self._at[name, kind]] = values
        for link in self._links:
            for name, other in (link.zones, link.zones[::-1]):
                if name in self._days:
                    apart = self._warmth[name] - self._warmth.get(other, self._warmth[name])
                    apart = np.where(np.isfinite(apart), apart, 0.0)[self._rows[name].at]
                    self._x[self._slice[name], self._at["|".join(link.zones), "link"]] = apart

    def _priors_of_unknowns(self) -> None:
        self._mean = np.zeros(len(self._names))
        self._spread = np.ones(len(self._names))
        for name in self._days:
            prior = self._priors[name]
            loss, heat = prior.loss_w_per_k, prior.capacity_wh_per_k
            for kind, mean, spread in (
                ("loss", loss, LOSS_SPREAD * loss),
                ("stored", 0.7 * heat, 0.5 * heat),
                ("drift", 0.5 * heat, 0.5 * heat),
                ("lag", 0.0, 0.15 * loss),
                ("sun", prior.sun, max(prior.sun_spread, _FIXED)),
                ("wind", 0.0, 0.04 * loss),
            ):
                self._set(name, kind, mean, spread)
            self._set_gains(name, prior.gains_w, prior.gains_spread_w, loss)
        for link in self._links:
            self._set("|".join(link.zones), "link", link.w_per_k, link.spread_w_per_k)

    def _set(self, name: str, kind: str, mean: float, spread: float) -> None:
        at = self._at[name, kind]
        self._mean[at], self._spread[at] = mean, spread

    def _set_gains(self, name: str, mean_w: float, spread_w: float, loss_w_per_k: float) -> None:
        """Gains and the constant errors of thermometers and soil are one unknown: their spreads add."""
        share = self._priors[name].ground_share
        spread = np.hypot(np.hypot(spread_w, SENSOR_K * loss_w_per_k), SOIL_K * share * loss_w_per_k)
        self._set(name, "gains", mean_w, float(spread))

    def _first_noise(self, name: str) -> float:
        """Return the noise to expect: of measuring, and of heat stored in more ways than two."""
        rows, heat = self._rows[name], self._priors[name].capacity_wh_per_k
        measured = NOISE_SHARE * float(np.abs(rows.power_w).mean())
        stored = STORAGE_SHARE * heat * float(np.sqrt((rows.stored_w**2 + rows.drift_w**2).mean()))
        return max(float(np.hypot(measured, stored)), 1.0)

    def bound_gains(self) -> None:
        """Use the scatter that is left to bound the gains, and the estimate to size the thermometers' error."""
        for name in self._days:
            prior = self._priors[name]
            bound = self._plain_scatter[name] / GAINS_DAILY_SPREAD
            self._set_gains(
                name,
                min(prior.gains_w, bound),
                min(prior.gains_spread_w, bound),
                max(self._value(name, "loss"), 0.1 * prior.loss_w_per_k),
            )

    def solve(self) -> None:
        """Iterate weights, noise, likeness of days and limits until they settle."""
        heavy = np.ones(len(self._names))
        held = np.zeros(len(self._names), dtype=np.bool_)
        for _ in range(_ROUNDS):
            x, y = self._whitened()
            precision = heavy / self._spread**2
            mean = np.where(held, 0.0, self._mean)
            firm = np.where(held, 1 / _FIXED**2, precision)
            self._beta = inverse(x.T @ x + np.diag(firm)) @ (x.T @ y + firm * mean)
            # What is held at 0 is not known to be 0: the errors are those of the problem without limits.
            self._cov = inverse(x.T @ x + np.diag(precision))
            held |= self._negative()
            heavy = self._heavy_tails()
            self._weigh()

    def _negative(self) -> Bools:
        positive = np.array([kind in {"link", "stored", "drift", "sun"} for _, kind in self._names])
        return np.asarray(positive & (self._beta < 0))

    def _heavy_tails(self) -> Floats:
        """Weights of a t distribution with 3 degrees of freedom, for the prior on H alone."""
        off = (self._beta - self._mean) / self._spread
        loss = np.array([kind == "loss" for _, kind in self._names])
        return np.asarray(np.where(loss, 4 / (3 + off**2), 1.0))

    def _whitened(self) -> tuple[Floats, Floats]:
        """Return the equations divided by their noise, yesterday's error taken off (Prais and Winsten)."""
        xs, ys = [], []
        for name, here in self._slice.items():
            x, y, weight = self._x[here], self._y[here], np.sqrt(self._weight[here])
            alike = self._alike[name]
            at = self._rows[name].at
            follows = np.concatenate([[False], np.diff(at) == 1])
            x_before = np.concatenate([x[:1], x[:-1]])
            y_before = np.concatenate([y[:1], y[:-1]])
            first = np.sqrt(1 - alike**2)
            new_x = np.where(follows[:, None], x - alike * x_before, x * first)
            new_y = np.where(follows, y - alike * y_before, y * first)
            scale = weight / (self._noise[name] * first)
            xs.append(new_x * scale[:, None])
            ys.append(new_y * scale)
        return np.concatenate(xs), np.concatenate(ys)

    def _weigh(self) -> None:
        residual = self._y - self._x @ self._beta
        for name, here in self._slice.items():
            r = residual[here]
            count = len(r)
            expected = self._first_noise(name)
            used = min(self._unknowns(name), 0.7 * count)
            middle = float(np.median(np.abs(r))) * 1.48
            plain = max(float(np.sqrt((r**2).mean())), middle) * np.sqrt(count / (count - used))
            self._plain_scatter[name] = plain * upper_limit(count - used)
            weight = np.minimum(1.0, _HUBER * self._noise[name] / np.maximum(np.abs(r), 1e-12))
            self._weight[here] = weight
            # Scatter with a prior worth three days, so that a lucky short record is not believed to the watt.
            square = (3 * expected**2 + (weight * r**2).sum() * count / max(count - used, 1.0)) / (3 + count)
            self._noise[name] = float(np.sqrt(square))
            self._freedom[name] = 3 + count - used
            self._alike[name] = likeness(r, self._rows[name].at)

    def _unknowns(self, name: str) -> float:
        """Return how many unknowns the room's own days settle: the effective number of parameters."""
        own = [self._at[name, kind] for kind in ("loss", "stored", "drift", "lag", "sun", "gains", "wind")]
        left = np.diag(self._cov)[own] / self._spread[own] ** 2
        return float(np.clip(1 - left, 0, 1).sum())

    def _value(self, name: str, kind: str) -> float:
        return float(self._beta[self._at[name, kind]])

    def answer(self, name: str) -> Estimate:
        """Return a room's estimate with all errors added up."""
        at = self._at[name, "loss"]
        loss, prior, rows = float(self._beta[at]), self._priors[name], self._rows[name]
        difference = float(rows.drive_k.mean())
        blind = self._blind_links(name)
        lasting = np.hypot(MODEL_SPREAD * loss, blind * UNKNOWN_NEIGHBOUR_K / max(difference, 1.0))
        here = self._slice[name]
        fitted = self._x[here] @ self._beta
        expected = np.full(self._balance.days, np.nan)
        expected[rows.at] = np.maximum(fitted + (prior.loss_w_per_k - loss) * rows.drive_k, 0.0)
        return Estimate(
            zone_id=name,
            loss_w_per_k=loss,
            error_w_per_k=float(np.hypot(np.sqrt(self._cov[at, at]), lasting)),
            freedom=self._freedom[name],
            days=rows.days,
            expected_w=expected,
            metered_w=float(rows.power_w.sum()),
            noise_w=self._noise[name],
            difference_k=difference,
            lasting_error_w_per_k=float(np.hypot(lasting, self._constant_error(name, difference))),
        )

    def _blind_links(self, name: str) -> float:
        """Return the links [W/K] to rooms whose temperature nobody measures."""
        total = 0.0
        for link in self._links:
            if name in link.zones:
                other = link.zones[1] if link.zones[0] == name else link.zones[0]
                warm = self._warmth.get(other)
                if warm is None or not np.isfinite(warm[self._days[name]]).any():
                    total += max(link.w_per_k, 0.5 * link.spread_w_per_k)
        return total

    def _constant_error(self, name: str, difference_k: float) -> float:
        """Return the error of H that more days like these would not lower [W/K]."""
        drive = self._rows[name].drive_k
        spread = self._spread[self._at[name, "gains"]]
        # Days of unlike cold tell gains from loss; many of them would.
        free = drive.std() / max(difference_k, 1e-6)
        return float(spread / max(difference_k, 1.0) * max(0.0, 1 - 3 * free))
