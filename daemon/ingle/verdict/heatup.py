"""A few days of strong heating: what a room's response says where daily balances are too few.

Daily balances need weeks. A room that is driven hard - a heater fully on for a day or two, the room warming and
cooling by many kelvins - tells its loss sooner, through the shape of the curve. Two heat stores, the air with the
furniture at ``Ti`` and the walls at ``Tw``, with random disturbances of both:

    Ci dTi = (Tw - Ti)/Ri dt + (P + A·S) dt + noise
    Cw dTw = (Ti - Tw)/Ri dt + (Te - Tw)/Ro dt + noise,        H = 1/(Ri + Ro)

The likelihood is a Kalman filter's over hourly means; wide priors keep what the record cannot tell; the error comes
from the curvature at the best fit. Over weeks of ordinary living this model claims to know far more than it does, so
it is only asked for short records with a large swing, in rooms without a heated neighbour.

References: Madsen and Holst, Estimation of continuous-time models for the heat dynamics of a building, Energy and
Buildings 22 (1995), 67; Bacher and Madsen, Identifying suitable models for the heat dynamics of buildings, Energy and
Buildings 43 (2011), 1511.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log, sqrt
from typing import Final

import numpy as np

from ingle.verdict.balance import Balance, RoomDays
from ingle.verdict.prior import SENSOR_K, RoomPrior
from ingle.verdict.series import Floats

LONGEST_DAYS: Final = 10
LEAST_HOURS: Final = 72
#: How far the hourly temperature has to swing [K], and for how long the heater has to give half its most [h].
LEAST_SWING_K: Final = 8.0
LEAST_HEATED_H: Final = 24
#: What is not modelled, as a share of H: thermal bridges into the ground, long waves to the sky, moving air.
MODEL_SPREAD: Final = 0.05
#: Steady heat nobody metered in a room under such a trial [W/m²]: an empty room's standby and pipes.
UNMETERED_W_PER_M2: Final = 1.0

_NAMES: Final = ("log_h", "split", "log_ci", "log_cw", "sun_m2", "wall_k", "log_qi", "log_qw", "log_r")
_ROUNDS: Final = 60
_STEP: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Trial:
    """Hourly means of one room: temperatures [°C], power [W], sun [W/m²]; NaN where a temperature is not known."""

    room_c: Floats
    outdoor_c: Floats
    power_w: Floats
    sun_w_per_m2: Floats


@dataclass(frozen=True, slots=True)
class Response:
    """The loss that the response tells, and its standard error [W/K]."""

    loss_w_per_k: float
    error_w_per_k: float


def trial_of(room: RoomDays, balance: Balance, prior: RoomPrior) -> Trial | None:
    """Return a room's hours where they make a trial: short, complete, a large swing, long heating."""
    if balance.days > LONGEST_DAYS or len(room.hour_temp_c) < LEAST_HOURS:
        return None
    outdoors, power, temp = balance.hour_outdoor_c, room.hour_power_w, room.hour_temp_c
    if min(np.isfinite(each).mean() for each in (outdoors, power, temp)) < 0.9:
        return None
    most = float(np.nanmax(power))
    heated = np.nan_to_num(power) > 0.5 * most
    # The heater, not the sun, has to be able to make the swing.
    if most < LEAST_SWING_K * prior.loss_w_per_k or heated.sum() < LEAST_HEATED_H:
        return None
    if np.nanmax(temp) - np.nanmin(temp) < LEAST_SWING_K:
        return None
    sun = balance.hour_sun_w_per_m2
    return Trial(
        temp, _filled(outdoors), _filled(power), _filled(sun) if np.isfinite(sun).any() else np.zeros(len(sun))
    )


def _filled(values: Floats) -> Floats:
    good = np.isfinite(values)
    at = np.arange(len(values))
    return np.asarray(np.interp(at, at[good], values[good]))


def respond(trial: Trial, prior: RoomPrior, floor_area_m2: float) -> Response | None:
    """Return the loss from a trial, or None where the fit does not settle.

    Parameters
    ----------
    trial
        Hourly means.
    prior
        What the survey says; the coefficient within a factor of about seven.
    floor_area_m2
        For the size of what is not known.
    """
    heat = prior.capacity_wh_per_k
    mean = np.array([log(prior.loss_w_per_k), -2.0, log(heat), log(3 * heat), 0.0, 0.0, log(0.1), log(0.05), log(0.05)])
    spread = np.array([1.0, 1.0, 0.8, 1.0, max(0.05 * floor_area_m2, 0.1), 3.0, 1.5, 1.5, 1.0])
    first = float(trial.room_c[np.isfinite(trial.room_c)][0])

    def loss(many: Floats) -> Floats:
        return np.asarray(_misfit(many, trial, first) + 0.5 * (((many - mean) / spread) ** 2).sum(axis=1))

    best: tuple[float, Floats, Floats] | None = None
    for start_at in (-0.5, 0.0, 0.5):
        start = mean.copy()
        start[0] += start_at
        found = _minimum(loss, start, spread)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        return None
    covariance = np.linalg.inv(best[2])
    value = float(np.exp(best[1][0]))
    inside = trial.room_c - trial.outdoor_c
    apart = max(float(np.nanmean(inside)), 1.0)
    errors = (
        sqrt(max(covariance[0, 0], 0.0)),
        MODEL_SPREAD,
        1.41 * SENSOR_K / apart,  # two thermometers
        UNMETERED_W_PER_M2 * floor_area_m2 / (apart * value),
    )
    return Response(value, value * sqrt(sum(each**2 for each in errors)))


def _misfit(many: Floats, trial: Trial, first_c: float) -> Floats:
    """Return the negative log likelihood of each row of parameters, all rows filtered side by side."""
    h, split = np.exp(many[:, 0]), 1 / (1 + np.exp(-many[:, 1]))
    ci, cw, glass = np.exp(many[:, 2]), np.exp(many[:, 3]), many[:, 4]
    inner, outer = h / split, h / (1 - split)  # conductances room-wall and wall-outdoors
    a, b, c, d = -inner / ci, inner / ci, inner / cw, -(inner + outer) / cw
    f11, f12, f21, f22 = _exponential(a, b, c, d)
    qi, qw, r = np.exp(2 * many[:, 6]), np.exp(2 * many[:, 7]), np.exp(2 * many[:, 8])
    det = a * d - b * c
    ti, tw = np.full(len(many), first_c), first_c + many[:, 5]
    p11, p12, p22 = np.full(len(many), 1.0), np.zeros(len(many)), np.full(len(many), 1.0)
    total = np.zeros(len(many))
    power, sun, out = (
        np.concatenate([each[:1], (each[1:] + each[:-1]) / 2])
        for each in (trial.power_w, trial.sun_w_per_m2, trial.outdoor_c)
    )
    for at, seen in enumerate(trial.room_c):
        if at:
            # The steady state that this hour's inputs lead to, and the way towards it.
            ui, uw = (power[at] + glass * sun[at]) / ci, outer * out[at] / cw
            si, sw = (b * uw - d * ui) / det, (c * ui - a * uw) / det
            di, dw = ti - si, tw - sw
            ti, tw = si + f11 * di + f12 * dw, sw + f21 * di + f22 * dw
            g11, g12 = f11 * p11 + f12 * p12, f11 * p12 + f12 * p22
            g21, g22 = f21 * p11 + f22 * p12, f21 * p12 + f22 * p22
            p11, p12, p22 = g11 * f11 + g12 * f12 + qi, g11 * f21 + g12 * f22, g21 * f21 + g22 * f22 + qw
        if np.isfinite(seen):
            s, off = p11 + r, seen - ti
            total += 0.5 * (np.log(s) + off**2 / s)
            k1, k2 = p11 / s, p12 / s
            ti, tw = ti + k1 * off, tw + k2 * off
            p11, p12, p22 = (1 - k1) * p11, (1 - k1) * p12, p22 - k2 * p12
    return np.asarray(np.where(np.isfinite(total), total, 1e12))


def _exponential(a: Floats, b: Floats, c: Floats, d: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the exponential of [[a, b], [c, d]] with real eigenvalues, as those of two coupled stores are."""
    middle, half = (a + d) / 2, np.sqrt(np.maximum(((a - d) / 2) ** 2 + b * c, 1e-18))
    slow, fast = np.exp(middle + half), np.exp(middle - half)
    even, odd = (slow + fast) / 2, (slow - fast) / (2 * half)
    return even + odd * (a - middle), odd * b, odd * c, even + odd * (d - middle)


def _minimum(loss: Callable[[Floats], Floats], start: Floats, spread: Floats) -> tuple[float, Floats, Floats] | None:
    """Return the least value, where, and the curvature there: Newton's method, damped (Levenberg and Marquardt)."""
    at, damp = start, 1.0
    value = float(loss(at[None, :])[0])
    for _ in range(_ROUNDS):
        slope, curve = _derivatives(loss, at, spread)
        moved = False
        while damp < 1e8:
            try:
                step = np.linalg.solve(curve + damp * np.diag(1 / spread**2), -slope)
            except np.linalg.LinAlgError:
                damp *= 10
                continue
            step = np.clip(step, -1.5 * spread, 1.5 * spread)
            new = float(loss((at + step)[None, :])[0])
            if new < value:
                gained, value, at, damp, moved = value - new, new, at + step, damp / 5, True
                break
            damp *= 5
        if not moved or gained < 1e-6:
            break
    _, curve = _derivatives(loss, at, spread)
    if not np.isfinite(curve).all() or np.linalg.eigvalsh(curve).min() <= 0:
        return None
    return value, at, curve


def _derivatives(loss: Callable[[Floats], Floats], at: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Return slope and curvature by central differences, all points in one call."""
    count = len(at)
    move = np.diag(_STEP * spread) * 3
    pairs = [(i, j) for i in range(count) for j in range(i)]
    points = [at, *(at + each for each in move), *(at - each for each in move)]
    points += [
        at + sign * (move[i] + other * move[j])
        for i, j in pairs
        for sign, other in ((1, 1), (1, -1), (-1, 1), (-1, -1))
    ]
    values = loss(np.stack(points))
    width = np.diag(move)
    up, down = values[1 : count + 1], values[count + 1 : 2 * count + 1]
    curve = np.diag((up - 2 * values[0] + down) / width**2)
    cross = values[2 * count + 1 :].reshape(-1, 4)
    for (i, j), (pp, pm, mm, mp) in zip(pairs, cross, strict=True):
        curve[i, j] = curve[j, i] = (pp - pm - mp + mm) / (4 * width[i] * width[j])
    return (up - down) / (2 * width), curve
