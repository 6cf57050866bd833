"""What heaters and thermometers do within the hour: switching, and how fast a thermometer follows the heater.

**Switching.** A heater goes on when its power rises from nothing to heating. Only readings at most two minutes apart
can count that; from slower ones nothing is said.

**How fast a thermometer follows.** In the room's air a heater's warmth arrives within an hour or so, and the walls
take a day. A thermometer in the heater's own warm draught rises within minutes and falls as fast once the heater goes
off, on top of what the room does. So the change of temperature from one reading to the next is held against the
heater's power, lagged with several time constants,

    dT = Σ k(τ) · d[P lagged by τ] + drift,      τ = 3, 12, 40 and 200 min, k ≥ 0,

and k(3 min) times the rated power is what the heater puts on the thermometer alone [K]: air with furniture in it has
taken a quarter of an hour and more wherever it was measured or simulated. The thermostat answers the
thermometer, which would hide just this; so only the time after a change of the wanted temperature counts, when the
heater follows the clock (an instrument: Ljung, System Identification, 1999, chapter 13, closed loops).
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
#: How far back habits are looked at [s].
RECENT_S: Final = 14 * 86400.0
#: Readings of a thermometer closer than this are thinned; further apart they cannot show minutes [s].
STEP_S: Final = 240.0
LONGEST_STEP_S: Final = 660.0
#: A change of the wanted temperature that counts [K], and for how long after it the heater follows the clock [s].
CHANGE_K: Final = 0.9
AFTER_S: Final = 2700.0
#: Fewer steps than this show nothing: a week's changes.
LEAST_STEPS: Final = 60
LAGS_MIN: Final = (3.0, 12.0, 40.0, 200.0)
_HALF: Final = 0.5
#: Under this share of the rated power the heater hardly changed [-].
_LEAST_CHANGE: Final = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Following:
    """How a thermometer follows the heaters at full power [K].

    ``at_once_k`` within some three minutes, with its standard error; ``soon_k`` within a quarter of an hour, what comes
    at once included; ``slowly_k`` within an hour or hours.
    """

    at_once_k: float
    spread_k: float
    soon_k: float
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


@dataclass(frozen=True, slots=True)
class Samples:
    """A value as it was reported: times [s] and values, NaN where a report left it out."""

    t_s: Floats
    values: Floats

    def known(self) -> Samples:
        """Return those that hold a value."""
        good = np.isfinite(self.values)
        return Samples(self.t_s[good], self.values[good])


def following(
    heats: Sequence[Running], wanted: Samples, thermometers: Mapping[str, Samples], rated_w: float
) -> dict[str, Following]:
    """Return how each thermometer of a room follows its heaters, where the readings can show it.

    Parameters
    ----------
    heats
        Running energy of each heater [W·s].
    wanted
        The wanted temperature [°C].
    thermometers
        What each thermometer reported [°C], by name.
    rated_w
        What all heaters give together [W].
    """
    changes = _changes(wanted.known())
    if not heats or rated_w <= 0 or not len(changes):
        return {}
    found = {name: _follows(samples.known(), heats, changes, rated_w) for name, samples in thermometers.items()}
    return {name: each for name, each in found.items() if each is not None}


def _changes(wanted: Samples) -> Floats:
    """Return when the wanted temperature changed, in the newest fortnight [s]."""
    if len(wanted.t_s) < 2:
        return np.empty(0)
    at = np.flatnonzero((np.abs(np.diff(wanted.values)) >= CHANGE_K) & (np.diff(wanted.t_s) <= LONGEST_STEP_S))
    times = wanted.t_s[at]
    return np.asarray(times[times >= wanted.t_s[-1] - RECENT_S])


def _follows(seen: Samples, heats: Sequence[Running], changes: Floats, rated_w: float) -> Following | None:
    recent = seen.t_s >= changes[0] - 86400.0
    t, temp = seen.t_s[recent], seen.values[recent]
    if len(t) < LEAST_STEPS:
        return None
    at = _thinned(t)
    t, temp = t[at], temp[at]
    power = np.zeros(len(t) - 1)
    for heat in heats:
        mean, share = heat.between(t)
        power += np.where(share > _HALF, mean, np.nan)
    steps = np.diff(t)
    last = np.searchsorted(changes, t[:-1] + 1.0) - 1
    # The change shows in the reading after it: the step before belongs to it.
    since = t[:-1] - changes[np.maximum(last, 0)]
    good = (steps <= LONGEST_STEP_S) & np.isfinite(power) & (last >= 0) & (since <= AFTER_S)
    if good.sum() < LEAST_STEPS:
        return None
    x, y = _lagged_steps(power, steps)[good], np.diff(temp)[good]
    scale = np.sqrt((x**2).mean(axis=0))
    if (scale < _LEAST_CHANGE * rated_w).any():  # the heater hardly ever changed
        return None
    k, spread = _positive(x / scale, y)
    k, spread = k / scale * rated_w, spread / scale * rated_w
    return Following(
        at_once_k=float(k[0]), spread_k=float(spread[0]), soon_k=float(k[:2].sum()), slowly_k=float(k[1:3].sum())
    )


def _thinned(t_s: Floats) -> list[int]:
    """Return which readings to keep, no two closer than a step."""
    kept, before = [], -np.inf
    for place, now in enumerate(t_s.tolist()):
        if now - before >= STEP_S:
            kept.append(place)
            before = now
    return kept


def _lagged_steps(power: Floats, steps: Floats) -> Floats:
    """Return the steps of power behind each lag, one column each [W]; unknown power is drawn straight across."""
    known = np.isfinite(power)
    if not known.any():
        return np.zeros((len(power), len(LAGS_MIN)))
    filled = np.interp(np.arange(len(power)), np.flatnonzero(known), power[known]).tolist()
    columns = []
    for minutes in LAGS_MIN:
        keep = np.exp(-steps / 60 / minutes).tolist()
        state, row = filled[0], np.empty(len(filled))
        for place, (value, share) in enumerate(zip(filled, keep, strict=True)):
            new = share * state + (1 - share) * value
            row[place] = new - state
            state = new
        columns.append(row)
    return np.stack(columns, axis=1)


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
