"""What one source last said, value by value, and how far each can still be believed.

A reading carries any subset of the values, so each value has its own age and its own rhythm. Ages run on monotonic
time from the arrival, plus how long the reading was under way; so a wall clock that is set ages nothing.

A value is *fresh* up to three of its source's intervals: only then is it acted on. After that it is *stale*: shown,
with its age, and not acted on. After five minutes, or four intervals if that is longer, its source is *lost*. What
came retained, future-dated or from the store was never live here: it is shown as stale.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from statistics import median
from typing import Final

from ingle.model.readings import MEASURED, Reading

STALE_INTERVALS: Final = 3
LOST_INTERVALS: Final = 4
#: A source is never lost before this [s].
LOST_S: Final = 300.0
#: The interval of a source that has not shown its own yet, and the shortest one believed [s].
DEFAULT_INTERVAL_S: Final = 60.0
SHORTEST_INTERVAL_S: Final = 2.0
#: Intervals remembered to learn from; their median is not moved by one gap.
_REMEMBERED: Final = 9
#: How long an opening counts that is not reported again, by a contact that only speaks when it moves [s].
OPENING_S: Final = 4 * 3600.0


Measured = float | str | bool


@dataclass(slots=True)
class Value:
    """One measured value: what, when it was taken, when it arrived [s, monotonic], how long it was under way [s]."""

    value: Measured
    t_ms: int
    at: float
    lag_s: float
    live: bool
    intervals: deque[float] = field(default_factory=lambda: deque(maxlen=_REMEMBERED))

    def renew(self, new: Measured, t_ms: int, at: float, lag_s: float) -> None:
        """Take a newer value of the same kind; the rhythm is that of the source's own times.

        By arrival, what waited in a broker would look like a source that speaks all the time.
        """
        if self.live and t_ms > self.t_ms:
            self.intervals.append((t_ms - self.t_ms) / 1000)
        self.value, self.t_ms, self.at, self.lag_s = new, t_ms, at, lag_s

    def age_s(self, monotonic: float) -> float:
        """Return how old the value is [s]."""
        return monotonic - self.at + self.lag_s


class Record:
    """The newest values of one source. ``interval_s`` is what the house file gives, else the rhythm is learned."""

    def __init__(self, interval_s: float | None = None) -> None:
        self.given_s = interval_s
        self.values: dict[str, Value] = {}
        self.heard_at: float | None = None
        self.heard_ms: int | None = None

    def take(self, reading: Reading, monotonic: float, *, lag_s: float) -> bool:
        """Merge a reading; return whether any value of it is now the newest live one."""
        live = not reading.retained and not reading.future
        taken = False
        for name, value in _values(reading):
            known = self.values.get(name)
            if known is None or (live and not known.live):
                # Of two kinds the live one always replaces the one for showing, whatever their times.
                self.values[name] = Value(value, reading.t_ms, monotonic, lag_s, live)
            elif known.live != live or reading.t_ms < known.t_ms:
                continue
            else:
                known.renew(value, reading.t_ms, monotonic, lag_s)
            taken = True
        if live:
            self.heard_at, self.heard_ms = monotonic, reading.arrived_ms
        return live and taken

    def interval_s(self, name: str) -> float:
        """Return the interval at which a value comes: given, else learned, else assumed [s]."""
        if self.given_s is not None:
            return self.given_s
        known = self.values.get(name)
        if known is None or not known.intervals:
            return DEFAULT_INTERVAL_S
        return max(SHORTEST_INTERVAL_S, median(known.intervals))

    def lost_after_s(self) -> float:
        """Return how long the source may be silent before it is lost [s]; the most talkative value sets the rhythm."""
        shortest = min((self.interval_s(name) for name in self.values), default=self.given_s or DEFAULT_INTERVAL_S)
        return max(LOST_S, LOST_INTERVALS * shortest)

    def fresh(self, name: str, monotonic: float) -> Value | None:
        """Return a value that may be acted on, None when there is none."""
        known = self.values.get(name)
        if known is None or not known.live:
            return None
        return known if known.age_s(monotonic) <= STALE_INTERVALS * self.interval_s(name) else None

    def number(self, name: str, monotonic: float) -> float | None:
        """Return a fresh number, None when there is none."""
        known = self.fresh(name, monotonic)
        return None if known is None else float(known.value)

    def fault(self, monotonic: float) -> str | None:
        """Return the fault that stands: the last one reported, until it is cleared or no longer repeated."""
        known = self.values.get("fault")
        if known is None or not known.live or known.age_s(monotonic) > self.lost_after_s():
            return None
        return str(known.value) or None

    def open(self, monotonic: float) -> bool:
        """Return whether an opening is known to stand open; a contact that fell silent too long counts as closed."""
        known = self.values.get("opening")
        if known is None or not known.live or not known.value:
            return False
        limit_s = OPENING_S if self.given_s is None else self.lost_after_s()
        return known.age_s(monotonic) <= limit_s

    def lost(self, monotonic: float, since: float) -> bool:
        """Return whether the source has been silent too long, counted from a start if it was never heard."""
        return monotonic - (since if self.heard_at is None else self.heard_at) > self.lost_after_s()

    def lacks(self, name: str, monotonic: float, since: float) -> bool:
        """Return whether a value has been missing, or arrives too old, for as long as makes a source lost."""
        known = self.values.get(name)
        age_s = monotonic - since if known is None or not known.live else known.age_s(monotonic)
        return age_s > self.lost_after_s()

    def behind_s(self) -> float:
        """Return how long after its own time the newest value arrived [s]."""
        newest = max((value for value in self.values.values() if value.live), key=lambda value: value.at, default=None)
        return 0.0 if newest is None else newest.lag_s

    def clock_stepped(self, now_ms: int) -> None:
        """Let readings in whose time lies before that of an old one, because the wall clock was set back."""
        for value in self.values.values():
            value.t_ms = min(value.t_ms, now_ms)


def _values(reading: Reading) -> Iterator[tuple[str, Measured]]:
    """Yield the values that a reading carries; a number that is not finite is none."""
    for name in MEASURED:
        number = getattr(reading, name)
        if number is not None and math.isfinite(number):
            yield name, float(number)
    if reading.opening is not None:
        yield "opening", reading.opening
    if reading.fault is not None:
        yield "fault", reading.fault
