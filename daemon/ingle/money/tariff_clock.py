"""Load that is meant for a cheap window and runs beside it, night after night: a clock that is wrong.

A timed block (a storage heater's charge, a floor that is charged by night) is set on a clock of its own. When clocks
change and the tariff's window does not (it is on UTC), or a timer drifts through a power cut, the block goes on with
its old times: part of it is then charged at the day's rate, silently, until a bill comes.

Only a load that plainly follows a block is looked at: wholly on or off, about as long as the window, at the same time
of the clock every night, most of it in the window, and most of what the heater takes. Room heating by day is none of
that, so a room that is warm in the morning is never named. The price of that caution is a block that is not found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, tzinfo
from decimal import Decimal
from statistics import median
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.model.instants import from_ms
from ingle.model.tariff import Tariff
from ingle.money.amounts import exact
from ingle.money.blocks import QUARTER_MS, Block, Quarter, blocks
from ingle.money.stretches import Stretch, stretches

#: Nights in a row that must show it, and how much of each: once is a visitor, five in a row are a setting [min].
#: These and the limits below are this engine's own choice (common practice has none).
LEAST_NIGHTS: Final = 5
LEAST_OUTSIDE_MIN: Final = 15.0
#: How far back nights are looked at.
LOOK_BACK_DAYS: Final = 28
#: A window is cheap where its rate is this much below the dearest of the day, and this long [h].
_CHEAPER: Final = Decimal("0.9")
_WINDOW_H: Final = (2.0, 12.0)
#: A block is as long as its window within this [min], starts alike within this [min], and lies in it by this share.
_LONGER_MIN: Final = 120.0
_ALIKE_MIN: Final = 10.0
_INSIDE: Final = 0.5
#: It takes this share of what the heater takes, at this share of its plate at least.
OF_ALL: Final = 0.7
_OF_PLATE: Final = 0.7
_MS_A_MINUTE: Final = 60_000
_DAY_MS: Final = 86_400_000
_MINUTES_A_DAY: Final = 1440


class Window(NamedTuple):
    """A cheap window [ms], its rate before tax, and the tariff."""

    start_ms: int
    end_ms: int
    rate: Decimal
    tariff: Tariff


class Night(NamedTuple):
    """A block that runs beside its window: minutes before and after it, energy there, and what that cost too much."""

    day: date
    block: Block
    window: Window
    before_min: float
    after_min: float
    wh: float
    lost: Decimal
    dear: Decimal


class Misplaced(NamedTuple):
    """A block outside its window over some nights, the newest last."""

    nights: tuple[Night, ...]

    @property
    def kwh(self) -> float:
        """The energy at the wrong rate [kWh]."""
        return sum(night.wh for night in self.nights) / 1000

    @property
    def lost(self) -> Decimal:
        """What it cost too much, before tax [currency]."""
        return sum((night.lost for night in self.nights), Decimal(0))

    @property
    def minutes(self) -> float:
        """How long a night it runs outside, typically [min]."""
        return median(night.before_min + night.after_min for night in self.nights)

    @property
    def moved(self) -> tuple[int, int]:
        """Where the newest block belongs [ms]: moved into its window, and cut to it where it is longer."""
        block, window = self.nights[-1].block, self.nights[-1].window
        start_ms = min(max(block.start_ms, window.start_ms), max(window.start_ms, window.end_ms - _length(block)))
        return start_ms, min(window.end_ms, start_ms + _length(block))


def cheap_windows(
    tariffs: Sequence[Tariff], start_ms: int, end_ms: int, timezone: ZoneInfo
) -> list[tuple[Window, list[Stretch]]]:
    """Return the cheap windows of a span, each with the day's stretches around it; none of half-hourly prices."""
    whole = [each for each in stretches(tariffs, start_ms, end_ms, timezone) if each.rate is not None]
    found: list[tuple[Window, list[Stretch]]] = []
    for joined in _joined(whole):
        tariff, rate = joined.tariff, joined.rate
        if tariff is None or rate is None or tariff.series is not None:
            continue
        around = [s for s in whole if s.end_ms > joined.start_ms - _DAY_MS and s.start_ms < joined.end_ms + _DAY_MS]
        dearest = max(s.rate for s in around if s.rate is not None)
        hours = (joined.end_ms - joined.start_ms) / 3_600_000
        if rate < dearest * _CHEAPER and _WINDOW_H[0] <= hours <= _WINDOW_H[1]:
            found.append((Window(joined.start_ms, joined.end_ms, rate, tariff), around))
    return found


def misplaced(
    quarters: Sequence[Quarter],
    plate_w: float,
    windows: Sequence[tuple[Window, Sequence[Stretch]]],
    timezone: ZoneInfo,
    *,
    stores: bool = False,
) -> Misplaced | None:
    """Return a heater's block that runs beside its window night after night; None where it does not, or has none.

    Parameters
    ----------
    quarters
        The heater's energy, in time order; quarters of which nothing is known are left out.
    plate_w
        Its rated power [W].
    windows
        Of ``cheap_windows``.
    stores
        Whether it charges a store, so that a block ends when that is full and may be shorter than the window.
    """
    total_wh = sum(quarter.wh for quarter in quarters)
    full_w = _full_w(quarters)
    if full_w < _OF_PLATE * plate_w or total_wh <= 0:
        return None
    known = {quarter.start_ms for quarter in quarters}
    nights = []
    for window, around in windows:
        if not _covered(known, window):
            continue
        fitting = [each for each in blocks(quarters, full_w) if _inside_ms(each, window) >= _INSIDE * _length(each)]
        longest = max(fitting, key=lambda each: each.minutes, default=None)
        nights.append(None if longest is None else _night(longest, window, around, timezone))
    if sum(night.block.wh for night in nights if night is not None) < OF_ALL * total_wh:
        return None
    trailing = tuple(_trailing(nights, stores=stores))
    return Misplaced(trailing) if len(trailing) >= LEAST_NIGHTS and _alike(trailing, timezone) else None


def _full_w(quarters: Sequence[Quarter]) -> float:
    """Return what the load draws when it is on [W]: the upper decile of the quarters that are not idle."""
    highest = max((quarter.wh for quarter in quarters), default=0.0)
    on = sorted(quarter.wh for quarter in quarters if quarter.wh > highest / 20)
    return on[min(len(on) - 1, len(on) * 9 // 10)] * 4 if on else 0.0


def _covered(known: set[int], window: Window) -> bool:
    """Return whether nearly all of a window and an hour on either side are in the record."""
    first, last = window.start_ms // QUARTER_MS - 4, -(-window.end_ms // QUARTER_MS) + 4
    there = sum(place * QUARTER_MS in known for place in range(first, last))
    return there >= 0.9 * (last - first)


def _night(block: Block, window: Window, around: Sequence[Stretch], timezone: ZoneInfo) -> Night:
    """Return what of a block lies beside its window, and what that cost too much."""
    wh, lost, dear = 0.0, Decimal(0), window.rate
    for quarter in block.quarters:
        begins, ends = max(block.start_ms, quarter.start_ms), min(block.end_ms, quarter.start_ms + QUARTER_MS)
        for part in around:
            shared = min(ends, part.end_ms) - max(begins, part.start_ms)
            if shared <= 0 or part.rate is None or part.rate <= window.rate:
                continue
            outside_wh = quarter.wh * shared / (ends - begins)
            wh += outside_wh
            lost += exact(outside_wh) / 1000 * (part.rate - window.rate)
            dear = max(dear, part.rate)
    before = max(0, min(block.end_ms, window.start_ms) - block.start_ms) / _MS_A_MINUTE
    after = max(0, block.end_ms - max(block.start_ms, window.end_ms)) / _MS_A_MINUTE
    day = from_ms(window.start_ms).astimezone(timezone).date()
    return Night(day, block, window, before, after, wh, lost, dear)


def _fits(night: Night, *, stores: bool) -> bool:
    """Return whether a block is about as long as its window; a store may be full sooner."""
    longer = night.block.minutes - (night.window.end_ms - night.window.start_ms) / _MS_A_MINUTE
    return longer <= _LONGER_MIN if stores else abs(longer) <= _LONGER_MIN


def _trailing(nights: Sequence[Night | None], *, stores: bool) -> Iterator[Night]:
    """Yield the newest nights without a break that run outside, oldest first."""
    run: list[Night] = []
    for night in reversed(nights):
        if night is None or not _fits(night, stores=stores) or night.before_min + night.after_min < LEAST_OUTSIDE_MIN:
            break
        run.append(night)
    yield from reversed(run)


def _alike(nights: Sequence[Night], timezone: ZoneInfo) -> bool:
    """Return whether blocks begin, or end, at the same time of one clock every night."""
    return any(
        _scatter_min(edges, clock) <= _ALIKE_MIN
        for clock in (timezone, UTC)
        for edges in ([night.block.start_ms for night in nights], [night.block.end_ms for night in nights])
    )


def _scatter_min(times_ms: Sequence[int], clock: tzinfo) -> float:
    """Return how far times of day lie from their middle, typically [min].

    >>> day = 86_400_000
    >>> _scatter_min([0, day + 60_000, 2 * day - 120_000], UTC)
    1.0
    """
    first = _minute(times_ms[0], clock)
    apart = [(_minute(each, clock) - first + _MINUTES_A_DAY / 2) % _MINUTES_A_DAY for each in times_ms]
    middle = median(apart)
    return median(abs(each - middle) for each in apart)


def _minute(t_ms: int, clock: tzinfo) -> float:
    at = from_ms(t_ms).astimezone(clock)
    return at.hour * 60 + at.minute + at.second / 60


def _inside_ms(block: Block, window: Window) -> int:
    return max(0, min(block.end_ms, window.end_ms) - max(block.start_ms, window.start_ms))


def _length(block: Block) -> int:
    return block.end_ms - block.start_ms


def _joined(pieces: Sequence[Stretch]) -> Iterator[Stretch]:
    """Yield stretches with those of one rate and one tariff joined across midnight."""
    standing: Stretch | None = None
    for piece in pieces:
        if standing is not None and (standing.end_ms, standing.rate, standing.tariff) == (
            piece.start_ms,
            piece.rate,
            piece.tariff,
        ):
            standing = standing._replace(end_ms=piece.end_ms)
            continue
        if standing is not None:
            yield standing
        standing = piece
    if standing is not None:
        yield standing
