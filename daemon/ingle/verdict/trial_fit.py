"""The loss of a room from the nights of a heating test: one linear balance, averaged over what is not known.

While a room is held at a level, what its heater takes is, hour by hour,

    P = a (T - To) + b (T - L[To]) + c (T - L[T]) + C dT/dt + x e^(-t/tau) + sum l (T - Tn) - sum s L[sun] - g + noise

``a`` is what leaves at once (air, glass), ``b`` what leaves through a wall that follows the outdoors late: ``L`` is a
first-order lag of time constant tau, the wall's own. ``H = a + b`` is what is looked for [W/K]. ``c`` and ``C`` are the
heat that walls and air take up when the room itself moves, ``x`` what is left of how the walls began, ``l`` the links
to neighbours, ``s`` each day's sun that the walls give back by night, ``g`` heat that nobody metered. The share of H
that goes to the soil sees the soil's temperature.

For a given tau, and given sizes of the noise, all of it is linear with Gaussian priors, so the posterior is exact; tau
and the noise are averaged over a grid by how well each explains the nights. Noise has three parts: from bin to bin, a
slow one of about a day and a half (wind through the leaks, share of P), and what no night can tell: constant errors of
thermometers and meter, which are added to the interval at the end. Nights only: by day an unknown sun comes in.

References: ISO 9869-1:2014 (average method, correction for stored heat, convergence); Bacher and Madsen, Identifying
suitable models for the heat dynamics of buildings, Energy and Buildings 43 (2011), 1511; Johnston et al., Whole house
heat loss test method (coheating), Leeds Metropolitan University, 2013 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product
from typing import Final, NamedTuple

import numpy as np

from ingle.verdict.series import Bools, Floats

#: Time constants of the wall between a room and outside [h], and how likely each is beforehand: what a wall stores,
#: some 40 Wh/(m²·K) of brick or of plaster and frame (common practice), leaves through the stronger of its two sides,
#: 4-9 W/(m²·K). The measured light-timber house published with the pySIP library has 7 h (Cw, Ri and Ro of its fit).
TAUS_H: Final = (2.0, 3.5, 6.0, 10.0, 16.0, 26.0, 42.0)
TAU_MIDDLE_H: Final = 6.0
TAU_SPREAD: Final = 0.8
#: Noise from bin to bin, and slow noise by the wind, as shares of the mean power; the slow one with its weights.
NOISE_SHARES: Final = (0.01, 0.02, 0.04, 0.08, 0.16)
WIND_SHARES: Final = (0.015, 0.03, 0.06)
WIND_WEIGHTS: Final = (0.3, 0.4, 0.3)
#: How long the wind keeps its mind [h]; common practice, the time scale of passing weather.
WIND_H: Final = 36.0
#: Bins of a night [h]: long enough that a thermostat's switching averages out.
BIN_H: Final = 3
#: Heat nobody metered in an empty room [W/m²], mean and spread: standby, pipes, a clock; a kitchen has its fridge.
#: Common practice.
STANDBY_W_PER_M2: Final = (0.5, 0.4)
KITCHEN_W_PER_M2: Final = (2.5, 1.5)
#: Constant error of two thermometers, indoors and out, each about ±0.25 K; and of one against its neighbour's.
SENSOR_K: Final = 0.35
BETWEEN_K: Final = 0.28
#: Constant error of a heater's own meter: class B of EN 50470 allows 1 %.
METER: Final = 0.01
#: What the picture of a room with one wall misses, as a share of H: chosen on simulated houses (seeds below 1000) so
#: that the 95 % interval holds 93-97 % of the truths.
MODEL: Final = 0.015
#: How far the soil's temperature is not known [K].
SOIL_K: Final = 2.5
#: A night without heat tells a time constant from this fall and length on; common practice.
LEAST_FALL_K: Final = 1.5
LEAST_COOLING_H: Final = 6
#: Cloudiness of an unknown day, mean and spread of the share of a clear sky's sun; the walls keep
#: about a third of it past dusk. Common practice.
CLOUD: Final = (0.4, 0.3)
KEPT_BY_WALLS: Final = 0.3


@dataclass(slots=True, kw_only=True)
class Hours:
    """A room hour by hour: temperatures [°C], power [W], sun through its glass under a clear sky or as measured [W].

    ``t_h`` are hours since the test began; ``lit`` tells where the sun is up; ``night`` is the number of the measured
    night of each hour, -1 by day; ``links`` are conductances to neighbours [W/K] with their spread, and how much
    warmer the room is, hour by hour [K].
    """

    t_h: Floats
    room_c: Floats
    outdoor_c: Floats
    power_w: Floats
    sun_w: Floats
    sun_measured: bool
    lit: Bools
    day: Floats
    night: Floats
    soil_c: float
    ground_share: float
    floor_area_m2: float
    kitchen: bool
    capacity_wh_per_k: float
    links: list[Link] = field(default_factory=list)


class Link(NamedTuple):
    """A neighbour: conductance and spread [W/K], and the hours' temperature difference to it [K]."""

    w_per_k: float
    spread_w_per_k: float
    warmer_k: Floats


class Loss(NamedTuple):
    """A loss [W/K]: its standard error, and the part of it that more nights make smaller."""

    w_per_k: float
    error_w_per_k: float
    chance_w_per_k: float


def loss_of(hours: Hours, nights: frozenset[int]) -> Loss | None:
    """Return the loss that some nights tell, None where they tell nothing.

    Parameters
    ----------
    hours
        The whole record of the room, from before the test on, without holes.
    nights
        The numbers of the nights to use.
    """
    bins = _bins(hours, nights)
    if len(bins) < 3:
        return None
    power = _binned(hours.power_w, bins)
    warm = _binned(hours.room_c - hours.outdoor_c, bins)
    if not (power.mean() > 0 and warm.mean() > 1.0):
        return None
    guess = float(power.mean() / warm.mean())
    at = _binned(hours.t_h, bins)
    parts = [_at_tau(hours, bins, at, power, guess, tau) for tau in TAUS_H]
    weight = np.concatenate([part.log_weight for part in parts])
    weight = np.exp(weight - weight.max())
    weight /= weight.sum()
    mean = np.concatenate([part.mean for part in parts])
    variance = np.concatenate([part.variance for part in parts])
    loss = float((weight * mean).sum())
    chance = float(np.sqrt((weight * (variance + (mean - loss) ** 2)).sum()))
    constant = np.hypot(np.hypot(SENSOR_K / warm.mean(), METER), MODEL)
    soil = hours.ground_share * SOIL_K / warm.mean()
    return Loss(loss, float(np.hypot(chance, loss * np.hypot(constant, soil))), chance)


@dataclass(frozen=True, slots=True)
class _Part:
    """What one time constant says for each size of noise: log weight, loss and its variance."""

    log_weight: Floats
    mean: Floats
    variance: Floats


def _bins(hours: Hours, nights: frozenset[int]) -> list[slice]:
    """Return the stretches of ``BIN_H`` hours within the nights, the last hours of each first."""
    found: list[slice] = []
    for number in sorted(nights):
        inside = np.flatnonzero(hours.night == number)
        while len(inside) >= BIN_H:
            found.append(slice(int(inside[-BIN_H]), int(inside[-1]) + 1))
            inside = inside[:-BIN_H]
    return sorted(found, key=lambda one: one.start)


def _binned(values: Floats, bins: list[slice]) -> Floats:
    return np.array([values[each].mean() for each in bins])


def _lagged(values: Floats, tau_h: float) -> Floats:
    """Return a series through a first-order lag, in step with hourly means; it begins settled."""
    keep = float(np.exp(-1 / tau_h))
    found = np.empty_like(values)
    found[0] = state = values[0]
    for at in range(1, len(values)):
        state = keep * state + (1 - keep) * (values[at - 1] + values[at]) / 2
        found[at] = state
    return found


def _at_tau(hours: Hours, bins: list[slice], at: Floats, power: Floats, guess: float, tau_h: float) -> _Part:
    """Return the posterior of one time constant, over all sizes of noise."""
    rows, mean, prior = _columns(hours, bins, guess, tau_h)
    residual = power - rows @ mean
    explained = rows @ prior @ rows.T
    scale, apart = power.mean(), np.abs(at[:, None] - at[None, :])
    slow = np.exp(-apart / WIND_H)
    pick = np.zeros(len(mean))
    pick[:2] = 1.0
    likely = -0.5 * (np.log(tau_h / TAU_MIDDLE_H) / TAU_SPREAD) ** 2
    weights, means, variances = [], [], []
    for noise, (wind, share) in product(NOISE_SHARES, zip(WIND_SHARES, WIND_WEIGHTS, strict=True)):
        spread = explained + scale**2 * (noise**2 * np.eye(len(power)) + wind**2 * slow)
        lower = np.linalg.cholesky(spread)
        white = np.linalg.solve(lower, residual)
        gain = np.linalg.solve(lower, rows @ prior @ pick)
        weights.append(likely + np.log(share) - 0.5 * white @ white - np.log(np.diag(lower)).sum())
        means.append(float(pick @ mean + gain @ white))
        variances.append(max(float(pick @ prior @ pick - gain @ gain), 1e-12))
    return _Part(np.array(weights), np.array(means), np.array(variances))


def _columns(hours: Hours, bins: list[slice], guess: float, tau_h: float) -> tuple[Floats, Floats, Floats]:
    """Return the balance's columns in the bins, and its unknowns' prior mean and covariance."""
    room, out = hours.room_c, hours.outdoor_c
    share = hours.ground_share
    soil = share * (room - hours.soil_c)
    kitchen = KITCHEN_W_PER_M2 if hours.kitchen else STANDBY_W_PER_M2
    heat = hours.capacity_wh_per_k
    tail = np.where(hours.t_h >= 0, np.exp(-np.maximum(hours.t_h, 0.0) / tau_h), 0.0)
    columns = [
        (1 - share) * (room - out) + soil,
        (1 - share) * (room - _lagged(out, tau_h)) + soil,
        room - _lagged(room, tau_h),
        np.gradient(room),
        tail,
        -np.ones_like(room),
    ]
    # a + b is left to the nights; how they share it is known to about a third.
    total, split = 3.0 * guess, 0.35 * guess
    mean = [0.45 * guess, 0.55 * guess, heat / tau_h, 0.3 * heat, 0.0, kitchen[0] * hours.floor_area_m2]
    spread = [0.0, 0.0, heat / tau_h, 0.3 * heat, 2.0 * guess, kitchen[1] * hours.floor_area_m2]
    for link in hours.links:
        columns.append(link.warmer_k)
        mean.append(link.w_per_k)
        spread.append(link.spread_w_per_k)
        # The two thermometers need not agree on what is as warm.
        spread[5] = float(np.hypot(spread[5], BETWEEN_K * (link.w_per_k + link.spread_w_per_k)))
    for day in np.unique(hours.day):
        sun = np.where(hours.day == day, hours.sun_w, 0.0)
        if not sun.any():
            continue
        columns.append(-_lagged(sun, tau_h) * KEPT_BY_WALLS)
        mean.append(1.0 if hours.sun_measured else CLOUD[0])
        spread.append(0.5 if hours.sun_measured else CLOUD[1])
    rows = np.stack([_binned(each, bins) for each in columns], axis=1)
    covariance = np.diag(np.square(spread))
    covariance[:2, :2] = [
        [total**2 / 4 + split**2 / 4, total**2 / 4 - split**2 / 4],
        [total**2 / 4 - split**2 / 4, total**2 / 4 + split**2 / 4],
    ]
    return rows, np.array(mean), covariance


def time_constant_h(hours: Hours, cooling: Bools, loss: Loss) -> float | None:
    """Return how slowly a room cools over a night without heat [h]: the heat it gives off a kelvin, over its loss.

    What the room lost less what it was given came out of its walls and air: H integral(T - To) dt - E = C (T0 - T1).
    None where it cooled too little to tell, less than ``LEAST_FALL_K``.
    """
    at = np.flatnonzero(cooling)
    if len(at) < LEAST_COOLING_H:
        return None
    fall_k = float(hours.room_c[at[0]] - hours.room_c[at[-1]])
    if fall_k < LEAST_FALL_K:
        return None
    # Between the middles of the first and the last hour; the means of both stand for half an hour each.
    inner = np.ones(len(at))
    inner[[0, -1]] = 0.5
    lost = loss.w_per_k * float(((hours.room_c - hours.outdoor_c)[at] * inner).sum())
    given = float((hours.power_w[at] * inner).sum())
    return None if lost <= given else (lost - given) / fall_k / loss.w_per_k


def known(values: Floats) -> tuple[Floats, Bools]:
    """Return a series with its holes filled by straight lines, and which hours were known."""
    good = np.isfinite(values)
    if not good.any():
        return np.zeros_like(values), good
    place = np.arange(len(values))
    return np.asarray(np.interp(place, place[good], values[good])), good
