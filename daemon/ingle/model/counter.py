"""What two readings of a cumulative energy counter say about the energy between them.

A counter should only grow. When it does not, or grows faster than the heater can draw, one of these has happened:

* the device lost its count (``reset``): what it shows has been counted since, and what was drawn before is lost;
* the register is full and began again (``roll-over``): nothing is lost;
* a reading is wrong, or another device was put under the same name (``suspect``): the step says nothing.

A reset may never be booked as consumption of the whole count, nor a wrong reading as any at all; so each explanation
must also be possible for the heater's plate in the time that passed. A step longer than ``GAP_S`` bridges a ``gap``:
its total is right, but when the energy was drawn within it is not known.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

StepKind = Literal["ok", "gap", "reset", "roll-over", "suspect"]

#: A longer silence is a gap: the grid of the roll-ups, a quarter of an hour [s].
GAP_S: Final = 900.0
#: Supply voltage up to 10 % above the plate's draws 21 % more in a resistive element (P = V²/R; the 10 % is the
#: limit of EN 50160).
OVER_PLATE: Final = 1.2
#: Coarse registers count in steps of 0.1 kWh, so that a step may show up to this much too much [Wh]; common practice.
REGISTER_STEP_WH: Final = 100.0
#: Where registers begin again [Wh]: decimal displays from 100 kWh up, and 16, 24 and 32 bits; common practice.
ROLL_POINTS_WH: Final = (65_536.0, 1e5, 1e6, 1e7, float(2**24), 1e8, 1e9, float(2**32))


class Step(NamedTuple):
    """The energy between two readings of a counter [Wh] and how it was found; 0 where nothing can be said."""

    kind: StepKind
    energy_wh: float


def step(
    before_wh: float, after_wh: float, seconds: float, *, rated_w: float, rolls_at_wh: float | None = None
) -> Step:
    """Return what happened between two readings of a counter.

    Parameters
    ----------
    before_wh, after_wh
        The counter's readings [Wh].
    seconds
        The time between them [s].
    rated_w
        The plate power of what it meters [W].
    rolls_at_wh
        The count at which the register begins again, where it is known [Wh]; else the usual ones are tried.

    >>> step(1000.0, 1025.0, 60, rated_w=1500)
    Step(kind='ok', energy_wh=25.0)
    >>> step(83_000.0, 10.0, 60, rated_w=1500)
    Step(kind='reset', energy_wh=10.0)
    >>> step(99_990.0, 5.0, 60, rated_w=1500)
    Step(kind='roll-over', energy_wh=15.0)
    >>> step(1000.0, 900_000.0, 60, rated_w=1500)
    Step(kind='suspect', energy_wh=0.0)
    >>> step(1000.0, 2500.0, 3600, rated_w=1500)
    Step(kind='gap', energy_wh=1500.0)
    """
    most = rated_w * OVER_PLATE * max(seconds, 0.0) / 3600 + REGISTER_STEP_WH
    if after_wh >= before_wh:
        grown = after_wh - before_wh
        if grown > most:
            return Step("suspect", 0.0)
        return Step("gap" if seconds > GAP_S else "ok", grown)
    for point in ROLL_POINTS_WH if rolls_at_wh is None else (rolls_at_wh,):
        rolled = point - before_wh + after_wh
        if before_wh <= point and rolled <= most:
            return Step("roll-over", rolled)
    if 0 <= after_wh <= most:
        return Step("reset", after_wh)
    return Step("suspect", 0.0)
