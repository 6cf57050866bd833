"""The first of the two stages: a room's temperature as far as it is driven from outside.

A gain warms the room and cuts the metered power on the same day, so the measured temperature is partly an answer to
what the model cannot see. Its projection on outdoor temperature, wanted temperatures and sun is not. Reference:
Wooldridge, Introductory Econometrics, chapter 15 (instrumental variables, two-stage least squares).
"""

from __future__ import annotations

import numpy as np

from ingle.verdict.balance import Balance
from ingle.verdict.series import Bools, Floats


def exogenous(balance: Balance, name: str, sun: Floats | None, days: Bools | None) -> Floats:
    """Return a room's temperature as far as outdoors, wanted temperatures and sun explain it (first stage)."""
    room = balance.rooms[name]
    warm = room.temp_c
    if days is None or not np.isfinite(room.setpoint_c[days]).all() or days.sum() < 14:
        return warm
    outdoors = balance.outdoor_c
    before = np.concatenate([outdoors[:1], outdoors[:-1]])
    drivers = [outdoors, np.where(np.isfinite(before), before, outdoors), room.setpoint_c]
    drivers += [np.concatenate([room.setpoint_c[:1], room.setpoint_c[:-1]])]
    if sun is not None:
        drivers.append(sun)
    stack = np.stack([np.where(np.isfinite(each), each, np.nanmean(each)) for each in drivers], axis=1)
    centre = stack[days].mean(axis=0)
    width = stack[days].std(axis=0)
    kept = width > 1e-3
    z = (stack[:, kept] - centre[kept]) / width[kept]
    target = warm[days] - warm[days].mean()
    # A little ridge: setpoints that hardly move must not be stretched to explain anything.
    normal = z[days].T @ z[days] + 0.5 * np.eye(int(kept.sum()))
    fitted = warm[days].mean() + z @ np.linalg.solve(normal, z[days].T @ target)
    return np.asarray(np.where(days, fitted, warm))
