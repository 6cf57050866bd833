"""Blocks of load: when a heater was on at full power without a break, to the minute, out of quarter-hours of energy.

A quarter-hour that a block fills has the full power's energy. The quarters at its two ends have less, in proportion to
the time that it was on in them; so the ends are known to about a minute although only quarter-hours are kept. That
holds for a load that is wholly on or off; one that switches by a thermostat has no block, and none is found in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

QUARTER_MS: Final = 900_000
#: From this share of a full quarter's energy on a quarter counts as on throughout: 0.92 of the voltage, squared.
_FULL_SHARE: Final = 0.85
#: From this share on a neighbour of a full quarter is an end of the block, not the electronics' own draw.
_END_SHARE: Final = 0.05


class Quarter(NamedTuple):
    """A quarter-hour's energy, by its start [ms, Wh]."""

    start_ms: int
    wh: float


class Block(NamedTuple):
    """A stretch at full power [ms], and the quarter-hours that it touches."""

    start_ms: int
    end_ms: int
    quarters: tuple[Quarter, ...]

    @property
    def minutes(self) -> float:
        """How long it is [min]."""
        return (self.end_ms - self.start_ms) / 60_000

    @property
    def wh(self) -> float:
        """What it took [Wh]."""
        return sum(quarter.wh for quarter in self.quarters)


def blocks(quarters: Sequence[Quarter], full_w: float) -> list[Block]:
    """Return the blocks of a load, in time order.

    Parameters
    ----------
    quarters
        In time order; what is missing was not on.
    full_w
        What the load draws when it is wholly on [W].

    Examples
    --------
    Full from 01:00 to 01:30, and for ten minutes of the quarter before:

    >>> hour = 3_600_000
    >>> [found] = blocks([Quarter(hour - 900_000, 150.0), Quarter(hour, 225.0), Quarter(hour + 900_000, 225.0)], 900.0)
    >>> (hour - found.start_ms) / 60_000, found.minutes
    (10.0, 40.0)
    """
    full_wh = full_w / 4
    found: list[Block] = []
    run: list[Quarter] = []
    for place, quarter in enumerate(quarters):
        if quarter.wh >= _FULL_SHARE * full_wh:
            if run and quarter.start_ms - run[-1].start_ms != QUARTER_MS:
                run = _closed(found, quarters, place, run, full_wh)
            run = [*run, quarter]
        elif run:
            run = _closed(found, quarters, place, run, full_wh)
    if run:
        _closed(found, quarters, len(quarters), run, full_wh)
    return found


def _closed(
    found: list[Block], quarters: Sequence[Quarter], place: int, run: list[Quarter], full_wh: float
) -> list[Quarter]:
    """Close a run of full quarters that ended before a place; return the empty run."""
    first = place - len(run)
    before = quarters[first - 1] if first > 0 else None
    after = quarters[place] if place < len(quarters) else None
    start_ms, end_ms = run[0].start_ms, run[-1].start_ms + QUARTER_MS
    whole = list(run)
    if before is not None and before.start_ms == start_ms - QUARTER_MS and before.wh >= _END_SHARE * full_wh:
        start_ms -= round(QUARTER_MS * before.wh / full_wh)
        whole.insert(0, before)
    else:
        start_ms += round(QUARTER_MS * max(0.0, 1 - run[0].wh / full_wh))
    if after is not None and after.start_ms == end_ms and after.wh >= _END_SHARE * full_wh:
        end_ms += round(QUARTER_MS * after.wh / full_wh)
        whole.append(after)
    else:
        end_ms -= round(QUARTER_MS * max(0.0, 1 - run[-1].wh / full_wh))
    found.append(Block(start_ms, end_ms, tuple(whole)))
    return []
