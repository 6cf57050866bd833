"""What heaters and thermometers do within the hour: switching, and how fast a thermometer follows the heater.

**Switching.** A heater goes on when its power rises from nothing to heating. Only readings at most two minutes apart
can count that; from slower ones nothing is said.

**How fast a thermometer follows.** In the room's air a heater's warmth arrives within an hour or so, and the walls
take a day. A thermometer in the heater's own warm draught rises within minutes and falls as fast once the heater goes
off, on top of what the room does. So the change of temperature from one step of five minutes to the next is held
against the heater's power, lagged with several time constants,

    dT = Σ k(τ) · d[P lagged by τ] + drift,      τ = 6, 20, 60 and 240 min, k ≥ 0,

and k(6 min) times the rated power is what the heater puts on the thermometer alone [K]. Method: regression on a set of
fixed lags, as for thermal response factors (Mitalas, ASHRAE Transactions 74, 1968, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.verdict.plateau import HEATING_W
from ingle.verdict.series import Columns, Floats, Running

#: Readings further apart cannot count switchings [s].
COUNTED_STEP_S: Final = 120.0
#: An hour counts where so much of it is known [s].
KNOWN_HOUR_S: Final = 2700.0
#: How far back habits are looked at [s], and in which steps [s].
RECENT_S: Final = 14 * 86400.0
STEP_S: Final = 300.0
#: Fewer steps than this show nothing: two days.
LEAST_STEPS: Final = 576
LAGS_MIN: Final = (6.0, 20.0, 60.0, 240.0)
_HALF: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Following:
    """How a thermometer follows the heaters at full power [K]: within minutes, and within an hour or hours."""

    at_once_k: float
    spread_k: float
    slowly_k: float


def switchings(columns: Columns, hours_s: Floats) -> Floats:
    """Return how often a heater went on in each hour [1/h]; NaN where readings are too few to count."""
    power = columns["power_w"]
    good = np.isfinite(power)
    t, on = columns.t_s[good], power[good] > HEATING_W
    count = max(len(hours_s) - 1, 0)
    if len(t) < 2 or not count:
        return np.full(count, np.nan)
    steps = np.diff(t)
    near = steps <= COUNTED_STEP_S
    hour = np.searchsorted(hours_s, t[1:]) - 1
    inside = near & (hour >= 0) & (hour < count)
    known = np.bincount(hour[inside], weights=steps[inside], minlength=count)
    rises = inside & on[1:] & ~on[:-1]
    times = np.bincount(hour[rises], minlength=count).astype(np.float64)
    return np.asarray(np.where(known >= KNOWN_HOUR_S, times, np.nan))


def following(
    heats: Sequence[Running], thermometers: Mapping[str, Running], rated_w: float, end_s: float
) -> dict[str, Following]:
    """Return how each thermometer of a room follows its heaters.

    Parameters
    ----------
    heats
        Running energy of each heater [W·s].
    thermometers
        Running temperature of each thermometer [K·s], by name.
    rated_w
        What all heaters give together [W].
    end_s
        The newest time; the fortnight before it is looked at [s].
    """
    if not heats or not thermometers or rated_w <= 0:
        return {}
    first = max(end_s - RECENT_S, max((heat.t_s[0] for heat in heats if len(heat.t_s)), default=end_s))
    edges = np.arange(first, end_s, STEP_S)
    if len(edges) - 1 < LEAST_STEPS:
        return {}
    power = np.zeros(len(edges) - 1)
    for heat in heats:
        mean, share = heat.between(edges)
        power += np.where(share > _HALF, mean, np.nan)
    if not np.isfinite(power).sum() >= LEAST_STEPS:
        return {}
    ways = _lagged_steps(power)
    found = {name: _follows(running, edges, ways, rated_w) for name, running in thermometers.items()}
    return {name: each for name, each in found.items() if each is not None}


def _lagged_steps(power: Floats) -> Floats:
    """Return the steps of power behind each lag, one column each [W]; unknown power is drawn straight across."""
    known = np.isfinite(power)
    filled = np.interp(np.arange(len(power)), np.flatnonzero(known), power[known])
    columns = []
    for minutes in LAGS_MIN:
        keep = float(np.exp(-STEP_S / 60 / minutes))
        state, row = float(filled[:12].mean()), np.empty(len(filled))
        for place, value in enumerate(filled.tolist()):
            state = keep * state + (1 - keep) * value
            row[place] = state
        columns.append(np.diff(row))
    return np.stack(columns, axis=1)


def _follows(thermometer: Running, edges: Floats, ways: Floats, rated_w: float) -> Following | None:
    # A mean over each step lies half a step behind its end, as the mean power's does.
    temp, share = thermometer.between(edges)
    step = np.diff(np.where(share > _HALF, temp, np.nan))
    good = np.isfinite(step)
    if good.sum() < LEAST_STEPS:
        return None
    x, y = ways[good], step[good]
    scale = np.sqrt((x**2).mean(axis=0))
    if (scale < 1.0).any():  # the heater hardly ever changed
        return None
    k, spread = _positive(x / scale, y - y.mean())
    k, spread = k / scale * rated_w, spread / scale * rated_w
    return Following(at_once_k=float(k[0]), spread_k=float(spread[0]), slowly_k=float(k[1:3].sum()))


def _positive(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return least squares with no coefficient below 0, and their standard errors; jolts count less (Huber)."""
    weight = np.ones(len(y))
    k = np.zeros(x.shape[1])
    spread = np.full(x.shape[1], np.inf)
    for _ in range(4):
        normal = (x * weight[:, None]).T @ x + 1e-6 * len(y) * np.eye(x.shape[1])
        right = (x * weight[:, None]).T @ y
        free = np.ones(x.shape[1], dtype=np.bool_)
        while free.any():
            k = np.zeros(x.shape[1])
            k[free] = np.linalg.solve(normal[np.ix_(free, free)], right[free])
            if (k >= 0).all():
                break
            free &= k > 0
        rest = np.abs(y - x @ k)
        noise = max(1.48 * float(np.median(rest)), 1e-3)
        weight = np.minimum(1.0, 1.5 * noise / np.maximum(rest, 1e-9))
        spread = noise * np.sqrt(np.diag(np.linalg.inv(normal)))
    return k, spread
