"""One joint linear Bayesian daily heat balance for the whole house.

For each room and day, all in watts:

    power = H·[(1-g)(T - Te) + g(T - Ts)] + Σ L(T - Tn) + C1·ΔT/Δt + C2·ΔT̄/Δt + K·(Te,yesterday - Te) + W·wind - A·S - G

``H`` is what is looked for [W/K]; ``g`` the share of it that goes to the soil at ``Ts``; ``L`` couples two rooms with
one coefficient for both; ``C1`` is heat stored between the day's two ends, ``C2`` between the means of two days,
``K`` what of yesterday's cold still comes through the walls; ``S`` the sun on the room's glass; ``G`` the unmetered
gains. Constant errors of the rooms' thermometers, of the one outdoors and of the soil's temperature are unknowns too
(``equations``). Gaussian priors come from the survey (``prior``).

Rules of this file:

* **Gains are bounded by the noise.** Where outdoor and room temperature stand still, H and G cannot be told apart and
  the prior on G decides. People's heat changes from day to day, so the scatter that is left over bounds its mean.
  A second pass uses that bound.
* **The room's temperature is no cause of its own.** A gain warms the room and cuts the power on the same day. In the
  temperature differences T is therefore replaced by its projection on what drives it from outside: outdoor
  temperature, wanted temperatures, sun (two-stage least squares).
* **What all rooms have in common on a day is taken off.** Wind nobody measures, an outdoor thermometer in the sun,
  guests: their errors are alike in all rooms of a day. An even correlation between the rooms, found from what is left
  over, is part of the noise (seemingly unrelated regressions). It makes the figures better, and above all it makes
  the likeness of their errors known: a ratio between two rooms is known better than either.
* **Positive things stay positive**: links, capacities, sun. What comes out negative is set to 0 and the rest solved
  again. With no information a value stays at its prior mean.
* **Heavy tails.** Days are weighted after Huber; the prior on H after a t distribution, so that a wrong design
  shifts the answer the less the more wrong it is.
* Errors of consecutive days resemble one another (AR(1)); the posterior counts this, and the fact that the noise is
  itself estimated from few days (t quantiles). What a linear daily model gets wrong whatever the length of the
  record is added: ``MODEL_SPREAD``, and more for a room that mostly lives on heat nobody meters.

References: Zellner, An Introduction to Bayesian Inference in Econometrics, Wiley, 1971 (linear model, Gaussian
priors); Zellner, An efficient method of estimating seemingly unrelated regressions, J. American Statistical
Association 57 (1962), 348; Huber and Ronchetti, Robust Statistics, Wiley, 2009; ISO 9869-1 (storage and drift in
measured balances).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from ingle.verdict.balance import Balance
from ingle.verdict.equations import OWN, POSITIVE, Equations
from ingle.verdict.prior import GAINS_DAILY_SPREAD, NOISE_SHARE, SENSOR_K, STORAGE_SHARE, LinkPrior, RoomPrior
from ingle.verdict.scatter import apart, in_common, inverse, likeness, upper_limit
from ingle.verdict.series import Bools, Floats

#: What the model itself gets wrong, as a share of H: the spread of estimates around the truth in very long simulated
#: records, where no other error is left.
MODEL_SPREAD: Final = 0.02
#: The error of H as a share, where as much heat is unmetered (people, sun, neighbours) as metered; it grows with the
#: square of that ratio. From simulated homes of many kinds, ``tests/long/verdict_table.py``.
UNMETERED_SPREAD: Final = 0.32
#: What flows through doors and party walls follows temperatures there, which differ by about this much from those that
#: thermometers show by the day [K]; common practice. It counts where a room is bound to others more than to outdoors.
DOORWAY_K: Final = 0.2
#: A known neighbour whose temperature nobody measures may be this much off ours [K].
UNKNOWN_NEIGHBOUR_K: Final = 2.0
#: Likeness of consecutive days with which a change is looked for.
LIKENESS_LOOKED_WITH: Final = 0.3
_ROUNDS: Final = 6
_HUBER: Final = 1.5
_FIXED: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A lasting change of a loss on a day of the record: before, the difference [W/K], and their errors."""

    day: int
    before_w_per_k: float
    before_error_w_per_k: float
    more_w_per_k: float
    more_error_w_per_k: float

    @property
    def sureness(self) -> float:
        """The change in standard errors."""
        return self.more_w_per_k / self.more_error_w_per_k


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A room's coefficient with its standard error [W/K], the days behind it, and what would have been expected.

    ``shared`` holds the covariance [(W/K)²] with the other rooms' coefficients; ``predicted_w`` and ``band_w`` what the
    fit makes of every day and its standard error, NaN where a day was not used. Where the loss changed within the
    record the figure is the newer one; ``change`` tells of it.
    """

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
    shared: Mapping[str, float] = field(default_factory=dict)
    predicted_w: Floats = field(default_factory=lambda: np.empty(0))
    band_w: Floats = field(default_factory=lambda: np.empty(0))
    change: Step | None = None

    @property
    def relative_error(self) -> float:
        """Standard error as a share."""
        return self.error_w_per_k / self.loss_w_per_k


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
        steps: Mapping[str, int] | None = None,
    ) -> None:
        self.equations = Equations(balance, priors, links, sun, days, soil_c, steps)
        self._balance, self._priors, self._days = balance, priors, dict(days)
        self._weight = np.ones(len(self.equations.y))
        self._noise = {name: self._first_noise(name) for name in days}
        self._alike = dict.fromkeys(days, 0.0)
        self._freedom = dict.fromkeys(days, 5.0)
        self._plain_scatter = dict.fromkeys(days, np.inf)
        self._common = 0.0
        self._look: tuple[Floats, Floats, Floats] | None = None

    def _first_noise(self, name: str) -> float:
        """Return the noise to expect: of measuring, and of heat stored in more ways than two."""
        rows, heat = self.equations.rows[name], self._priors[name].capacity_wh_per_k
        measured = NOISE_SHARE * float(np.abs(rows.power_w).mean())
        stored = STORAGE_SHARE * heat * float(np.sqrt((rows.stored_w**2 + rows.drift_w**2).mean()))
        return max(float(np.hypot(measured, stored)), 1.0)

    def bound_gains(self) -> None:
        """Use the scatter that is left to bound the gains, and the estimate to size the thermometers' errors."""
        pairs = ["|".join(link.zones) for link in self.equations.links]
        links = {pair: max(self._value(pair, "link"), 0.0) for pair in pairs}
        for name in self._days:
            prior = self._priors[name]
            bound = self._plain_scatter[name] / GAINS_DAILY_SPREAD
            loss = max(self._value(name, "loss"), 0.1 * prior.loss_w_per_k)
            self.equations.expect_gains(name, min(prior.gains_w, bound), min(prior.gains_spread_w, bound))
            self.equations.share_errors(name, loss, links)

    def solve(self) -> None:
        """Iterate weights, noise, likeness of days and rooms, and limits until they settle."""
        asked = self.equations
        self._look = None
        heavy = np.ones(len(asked.names))
        held = np.zeros(len(asked.names), dtype=np.bool_)
        for _ in range(_ROUNDS):
            x, y = self.whitened(asked.x), self.whitened(asked.y)
            precision = self._precision = heavy / asked.spread**2
            mean = np.where(held, 0.0, asked.mean)
            firm = np.where(held, 1 / _FIXED**2, precision)
            normal = x.T @ x
            self._beta = inverse(normal + np.diag(firm)) @ (x.T @ y + firm * mean)
            # What is held at 0 is not known to be 0: the errors are those of the problem without limits.
            self._cov = inverse(normal + np.diag(precision))
            held |= self._negative()
            heavy = self._heavy_tails()
            self._weigh()

    def _negative(self) -> Bools:
        positive = np.array([kind in POSITIVE for _, kind in self.equations.names])
        return np.asarray(positive & (self._beta < 0))

    def _heavy_tails(self) -> Floats:
        """Weights of a t distribution with 3 degrees of freedom, for the prior on H alone."""
        off = (self._beta - self.equations.mean) / self.equations.spread
        loss = np.array([kind == "loss" for _, kind in self.equations.names])
        return np.asarray(np.where(loss, 4 / (3 + off**2), 1.0))

    def whitened(self, values: Floats) -> Floats:
        """Return rows divided by their noise, yesterday's error (Prais and Winsten) and the day's own taken off."""
        return apart(self._in_time(values), self.equations.day, self._common)

    def _in_time(self, values: Floats) -> Floats:
        found = np.empty_like(values)
        for name, here in self.equations.of.items():
            own, at, alike = values[here], self.equations.rows[name].at, self._alike[name]
            before = np.concatenate([own[:1], own[:-1]])
            first = np.sqrt(1 - alike**2)
            scale = np.sqrt(self._weight[here]) / (self._noise[name] * first)
            follows = np.concatenate([[False], np.diff(at) == 1])
            if values.ndim > 1:
                scale, follows = scale[:, None], follows[:, None]
            found[here] = np.where(follows, own - alike * before, own * first) * scale
        return found

    def _weigh(self) -> None:
        asked = self.equations
        residual = asked.y - asked.x @ self._beta
        for name, here in asked.of.items():
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
            self._alike[name] = likeness(r, asked.rows[name].at)
        self._common = in_common(self._in_time(asked.y) - self._in_time(asked.x) @ self._beta, asked.day)

    def _unknowns(self, name: str) -> float:
        """Return how many unknowns the room's own days settle: the effective number of parameters."""
        own = [self.equations.at[name, kind] for kind in OWN]
        left = np.diag(self._cov)[own] / self.equations.spread[own] ** 2
        return float(np.clip(1 - left, 0, 1).sum())

    def _value(self, name: str, kind: str) -> float:
        return float(self._beta[self.equations.at[name, kind]])

    def changes(self, name: str, candidates: Sequence[int]) -> Floats:
        """Return for each day how many standard errors a room's loss would have changed by, had it changed then.

        By elimination: what is left over, projected on the column of the change as far as the other unknowns and their
        priors cannot take its place.
        """
        columns = np.stack([self.equations.step(name, day) for day in candidates], axis=1)
        x, left, cov = self._without_memory()
        alike, self._alike = self._alike, self._short_memory()
        columns = self.whitened(columns)
        self._alike = alike
        overlap = x.T @ columns
        own = (columns**2).sum(axis=0) - (overlap * (cov @ overlap)).sum(axis=0)
        return np.asarray(columns.T @ left / np.sqrt(np.maximum(own, 1e-3 * (columns**2).sum(axis=0) + 1e-9)))

    def _short_memory(self) -> dict[str, float]:
        """Return the likeness of days to look for changes with.

        A change that no unknown stands for makes all days before it alike, and all after; that must not hide it.
        """
        return {room: min(value, LIKENESS_LOOKED_WITH) for room, value in self._alike.items()}

    def _without_memory(self) -> tuple[Floats, Floats, Floats]:
        """Return matrix, what is left over and covariance for a look at changes; worked out once."""
        if self._look is None:
            asked, alike = self.equations, self._alike
            self._alike = self._short_memory()
            x, y = self.whitened(asked.x), self.whitened(asked.y)
            self._alike = alike
            cov = inverse(x.T @ x + np.diag(self._precision))
            beta = cov @ (x.T @ y + self._precision * asked.mean)
            self._look = (x, y - x @ beta, cov)
        return self._look

    def _now(self, name: str) -> Floats:
        """Return which unknowns make a room's present loss: where it changed, what it was and the change."""
        which = np.zeros(len(self.equations.names))
        which[self.equations.at[name, "loss"]] = 1.0
        if name in self.equations.steps:
            which[self.equations.at[name, "step"]] = 1.0
        return which

    def answer(self, name: str) -> Estimate:
        """Return a room's estimate with all errors added up."""
        asked, now = self.equations, self._now(name)
        rows, prior = asked.rows[name], self._priors[name]
        loss = float(now @ self._beta)
        difference = float(rows.drive_k.mean())
        lasting = float(
            np.hypot(self._model_error(name), self._blind_links(name) * UNKNOWN_NEIGHBOUR_K / max(difference, 1.0))
        )
        x = asked.x[asked.of[name]]
        fitted = x @ self._beta
        survey = prior.loss_w_per_k - self._beta[asked.at[name, "loss"]]
        without = fitted + survey * rows.drive_k
        if name in asked.steps:
            at = asked.at[name, "step"]
            without -= x[:, at] * self._beta[at]
        band = np.hypot(self._noise[name], np.sqrt(np.maximum(((x @ self._cov) * x).sum(axis=1), 0.0)))
        return Estimate(
            zone_id=name,
            loss_w_per_k=loss,
            error_w_per_k=float(np.hypot(np.sqrt(now @ self._cov @ now), lasting)),
            freedom=self._freedom[name],
            days=rows.days,
            expected_w=self._of_days(name, np.maximum(without, 0.0)),
            metered_w=float(rows.power_w.sum()),
            noise_w=self._noise[name],
            difference_k=difference,
            lasting_error_w_per_k=float(np.hypot(lasting, self._constant_error(name, difference))),
            shared={other: float(now @ self._cov @ self._now(other)) for other in self._days if other != name},
            predicted_w=self._of_days(name, fitted),
            band_w=self._of_days(name, band),
            change=self._change(name),
        )

    def _of_days(self, name: str, values: Floats) -> Floats:
        found = np.full(self._balance.days, np.nan)
        found[self.equations.rows[name].at] = values
        return found

    def _change(self, name: str) -> Step | None:
        day = self.equations.steps.get(name)
        if day is None:
            return None
        was, more = (self.equations.at[name, kind] for kind in ("loss", "step"))
        return Step(
            day=day,
            before_w_per_k=float(self._beta[was]),
            before_error_w_per_k=float(np.sqrt(self._cov[was, was])),
            more_w_per_k=float(self._beta[more]),
            more_error_w_per_k=float(np.sqrt(self._cov[more, more])),
        )

    def _model_error(self, name: str) -> float:
        """Return what the model gets wrong however long the record [W/K]."""
        rows, loss = self.equations.rows[name], self._value(name, "loss")
        metered = max(float(rows.power_w.mean()), 1.0)
        unmetered = max(loss * float(rows.drive_k.mean()) - metered, 0.0) / metered
        joined = sum(
            max(self._value("|".join(link.zones), "link"), 0.0) for link in self.equations.links if name in link.zones
        )
        through = joined * DOORWAY_K / max(float(rows.drive_k.mean()), 1.0)
        return float(np.hypot(through, loss * np.hypot(MODEL_SPREAD, UNMETERED_SPREAD * unmetered**2)))

    def _blind_links(self, name: str) -> float:
        """Return the links [W/K] to rooms whose temperature nobody measures."""
        total = 0.0
        for link in self.equations.links:
            if name in link.zones:
                other = link.zones[1] if link.zones[0] == name else link.zones[0]
                warm = self.equations.warmth.get(other)
                if warm is None or not np.isfinite(warm[self._days[name]]).any():
                    total += max(link.w_per_k, 0.5 * link.spread_w_per_k)
        return total

    def _constant_error(self, name: str, difference_k: float) -> float:
        """Return the error of H that more days like these would not lower [W/K]."""
        drive = self.equations.rows[name].drive_k
        asked, loss = self.equations, self._value(name, "loss")
        spread = np.hypot(asked.spread[asked.at[name, "gains"]], SENSOR_K * loss)
        # Days of unlike cold tell gains from loss; many of them would.
        free = drive.std() / max(difference_k, 1e-6)
        return float(spread / max(difference_k, 1.0) * max(0.0, 1 - 3 * free))
