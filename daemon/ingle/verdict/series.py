"""Readings of one source as columns, and means over any grid of times.

Everything here works on running integrals: the area under a value up to each reading, and the time for which the
value was known. A mean over any span is then a difference of two interpolated points, however irregular the readings,
and a gap shows as time that does not count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from ingle.model.counter import step
from ingle.model.readings import Reading

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

#: A room's temperature is not drawn as a straight line across a longer silence [s].
TEMPERATURE_GAP_S: Final = 3 * 3600.0
#: A counter's energy is not spread evenly over a longer silence [s]; across midday and night it would be wrong.
ENERGY_GAP_S: Final = 12 * 3600.0
#: Sampled power says nothing about a longer silence [s].
POWER_GAP_S: Final = 900.0
#: A contact that has not spoken for longer is not believed any more [s].
STATE_GAP_S: Final = 24 * 3600.0
#: A counter that has not moved says that nothing was drawn, for however long [Wh].
STILL_WH: Final = 0.5
#: Air temperatures outside of this are a broken sensor [°C].
COLDEST_C: Final = -60.0
HOTTEST_C: Final = 60.0

#: Values a heater may report and a verdict may use, in the order in which they are read from the store.
FIELDS: Final = (
    "power_w",
    "energy_wh",
    "voltage_v",
    "temp_c",
    "setpoint_c",
    "irradiance_w_per_m2",
    "wind_m_per_s",
    "humidity_percent",
    "opening",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """One source's readings in time order; NaN where a value was not reported. Units stand in the names."""

    t_s: Floats
    computed: Bools
    values: dict[str, Floats]

    def __getitem__(self, name: str) -> Floats:
        """Return a value's column, all NaN where it was not read."""
        found = self.values.get(name)
        return np.full(len(self.t_s), np.nan) if found is None else found

    @classmethod
    def of(cls, readings: Iterable[Reading]) -> Columns:
        """Return readings, in time order, as columns."""
        rows = [
            (r.t_ms / 1000, r.energy_is == "computed", *(getattr(r, name) for name in FIELDS))
            for r in sorted(readings, key=lambda r: r.t_ms)
        ]
        table = np.array(rows, dtype=np.float64).reshape(len(rows), 2 + len(FIELDS))
        values = {name: table[:, 2 + place].copy() for place, name in enumerate(FIELDS)}
        return cls(t_s=table[:, 0].copy(), computed=table[:, 1] > 0, values=values)


@dataclass(frozen=True, slots=True)
class Running:
    """A running integral: at each time, the area so far and the seconds known so far."""

    t_s: Floats
    area: Floats
    known_s: Floats

    def between(self, edges_s: Floats) -> tuple[Floats, Floats]:
        """Return, for each span between two edges, the mean (NaN where nothing is known) and the share known."""
        if len(self.t_s) < 2:
            empty = len(edges_s) - 1
            return np.full(empty, np.nan), np.zeros(empty)
        area = np.diff(np.interp(edges_s, self.t_s, self.area))
        known = np.diff(np.interp(edges_s, self.t_s, self.known_s))
        mean = np.divide(area, known, out=np.full(len(area), np.nan), where=known > 1e-6)
        return mean, np.clip(known / np.diff(edges_s), 0.0, 1.0)

    def around(self, times_s: Floats, half_s: float) -> Floats:
        """Return the mean in a window around each time, NaN where under half of it is known."""
        pairs = np.stack([times_s - half_s, times_s + half_s], axis=1).ravel()
        mean, share = self.between(pairs)
        return np.asarray(np.where(share[::2] >= 0.5, mean[::2], np.nan))


def running_mean_of(t_s: Floats, values: Floats, gap_s: float) -> Running:
    """Return the running integral of a sampled value, straight lines between samples no further apart than a gap."""
    good = np.isfinite(values)
    t, v = t_s[good], values[good]
    steps = np.diff(t)
    counts = (steps > 0) & (steps <= gap_s)
    area = np.where(counts, (v[1:] + v[:-1]) / 2 * steps, 0.0)
    known = np.where(counts, steps, 0.0)
    return Running(t, _from_zero(area, len(t)), _from_zero(known, len(t)))


def running_state(t_s: Floats, values: Floats, gap_s: float = STATE_GAP_S) -> Running:
    """Return the running integral of a state that holds from one report to the next, such as open (1) or shut (0)."""
    good = np.isfinite(values)
    t, v = t_s[good], values[good]
    steps = np.diff(t)
    counts = (steps > 0) & (steps <= gap_s)
    area = np.where(counts, v[:-1] * steps, 0.0)
    return Running(t, _from_zero(area, len(t)), _from_zero(np.where(counts, steps, 0.0), len(t)))


def running_temperature(columns: Columns, offset_k: float = 0.0) -> Running:
    """Return the running integral of a temperature [K·s], what no air can have left out."""
    temp = columns["temp_c"] + offset_k
    with np.errstate(invalid="ignore"):
        temp = np.where((temp > COLDEST_C) & (temp <= HOTTEST_C), temp, np.nan)
    return running_mean_of(columns.t_s, temp, TEMPERATURE_GAP_S)


def running_energy(columns: Columns, rated_w: float) -> Running:
    """Return the running energy of a cumulative counter [W·s], with resets, roll-overs and wild readings resolved."""
    good = np.isfinite(columns["energy_wh"])
    t, wh = columns.t_s[good], columns["energy_wh"][good]
    keep = _without_spikes(t, wh, rated_w)
    t, wh = t[keep], wh[keep]
    steps, grown = np.diff(t), np.diff(wh)
    sure = _plain(steps, grown, rated_w)
    lost = np.zeros(len(steps), dtype=np.bool_)
    for at in np.flatnonzero(~sure):
        found = step(float(wh[at]), float(wh[at + 1]), float(steps[at]), rated_w=rated_w)
        grown[at] = found.energy_wh
        lost[at] = found.kind == "suspect" or (found.kind == "reset" and steps[at] > POWER_GAP_S)
    counts = ~lost & ((steps <= ENERGY_GAP_S) | (grown <= STILL_WH))
    area = np.where(counts, grown * 3600.0, 0.0)
    return Running(t, _from_zero(area, len(t)), _from_zero(np.where(counts, steps, 0.0), len(t)))


def running_power(columns: Columns) -> Running:
    """Return the running energy that sampled power suggests [W·s]."""
    return running_mean_of(columns.t_s, columns["power_w"], POWER_GAP_S)


def _plain(steps: Floats, grown: Floats, rated_w: float) -> Bools:
    """Whether each step of a counter is ordinary: forwards, and no faster than the plate allows (``model.counter``)."""
    return np.asarray((grown >= 0) & (grown <= rated_w * 1.2 * steps / 3600 + 100.0))


def _without_spikes(t: Floats, wh: Floats, rated_w: float) -> Bools:
    """Return which readings of a counter to keep: one that fits neither neighbour, while these fit, is wrong."""
    keep = np.ones(len(wh), dtype=np.bool_)
    if len(wh) < 3:
        return keep
    sure = _plain(np.diff(t), np.diff(wh), rated_w)
    over = _plain(t[2:] - t[:-2], wh[2:] - wh[:-2], rated_w)
    # Up and down again: one of the two steps cannot be, yet leaving the reading out makes an ordinary one.
    keep[1:-1] = ~((~sure[:-1] | ~sure[1:]) & over)
    # Two wild readings in a row are told from a reset by the counter's own rules, step by step.
    return keep


def _from_zero(parts: Floats, count: int) -> Floats:
    total = np.zeros(count)
    if count > 1:
        np.cumsum(parts, out=total[1:])
    return total


def median_of(rows: Sequence[Floats], count: int) -> Floats:
    """Return the median over several rows, value by value, of those that are known."""
    if not rows:
        return np.full(count, np.nan)
    if len(rows) == 1:
        return rows[0]
    stack = np.sort(np.stack(rows), axis=0)  # NaN sorts last
    known = np.isfinite(stack).sum(axis=0)
    at = np.arange(count)
    low, high = np.maximum(known - 1, 0) // 2, known // 2
    high = np.minimum(high, len(rows) - 1)
    return np.asarray(np.where(known > 0, (stack[low, at] + stack[high, at]) / 2, np.nan))
