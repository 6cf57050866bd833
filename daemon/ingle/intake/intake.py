"""Where every reading enters, from MQTT, from a file or from the demo's history.

The order of things is what makes "nothing is lost" true: a reading is put into the store's batch and shown as live at
once, but its sender is told (``done``) only after COMMIT. A sender that is not told sends again, and the store's keys
make the second one count for nothing.
"""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Protocol

import msgspec

from ingle.clock import Clock
from ingle.live.state import Live
from ingle.model.instants import to_ms
from ingle.model.measured import SUSPECT_SHARE
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store.readings import Outcome

log = logging.getLogger(__name__)

#: How far ahead of a trusted clock a reading's own time may be [ms].
FUTURE_MS = 5 * 60 * 1000
#: Sources that are counted each by its own; what floods with invented ids beyond this is counted together.
_COUNTED_SOURCES = 1000


class Keeper(Protocol):
    """What intake needs of the store."""

    def append(self, readings: Sequence[Reading], committed: Callable[[Sequence[Outcome]], None] | None = None) -> None:
        """Put readings into the running batch and tell after COMMIT."""


@dataclass
class Counts:
    """What came of the readings of one source, since the start.

    ``suspect`` counts more power than the plate allows: taken, but a plate, a unit or a meter may be wrong. ``skipped``
    counts numbers that the source jumped over: lost on the way, or still to come late.
    """

    accepted: int = 0
    suspect: int = 0
    skipped: int = 0
    duplicates: int = 0
    conflicts: int = 0
    future: int = 0
    refused: int = 0
    last_refusal: str = ""
    boot: str | None = None
    seq: int = 0

    def number(self, boot: str, seq: int) -> None:
        """Follow the numbers that a source gives its readings.

        >>> counts = Counts()
        >>> for seq in (7, 8, 11, 9):
        ...     counts.number("b1", seq)
        >>> counts.skipped
        2
        """
        if boot != self.boot:
            self.boot, self.seq = boot, seq
        elif seq > self.seq:
            self.skipped += seq - self.seq - 1
            self.seq = seq


@dataclass
class Unbound:
    """A heater that is heard and that no zone has: listed, not stored, so that it can be commissioned."""

    id: str
    first_ms: int
    last: Reading
    heard: int = field(default=1)


class Intake:
    """Accepts readings. One instance, on the loop thread.

    Parameters
    ----------
    store
        Keeps them.
    live
        Learns of them; it also holds the house, which says who is bound.
    clock
        Says when they arrive.
    trusted
        Whether the wall clock can be trusted now; only then is a reading "from the future".
    """

    def __init__(self, store: Keeper, live: Live, clock: Clock, *, trusted: Callable[[], bool] = lambda: True) -> None:
        self._store = store
        self._live = live
        self._clock = clock
        self._trusted = trusted
        self._house = live.house
        self._bound = _bound(live)
        self.counts: dict[Source, Counts] = {}
        self.unbound: dict[str, Unbound] = {}
        self.refusals: Counter[str] = Counter()

    def accept(self, reading: Reading, done: Callable[[], None] | None = None) -> None:
        """Take one reading; see ``accept_all``."""
        self.accept_all((reading,), done)

    def accept_all(self, readings: Iterable[Reading], done: Callable[[], None] | None = None) -> None:
        """Take readings that came together.

        Parameters
        ----------
        readings
            In the order in which they came.
        done
            Called once, on the store's writer thread, when all of them are committed; where none has to be stored,
            at once.
        """
        kept = [kept for reading in readings if (kept := self._take(reading)) is not None]
        if not kept:
            if done is not None:
                done()
            return

        def committed(outcomes: Sequence[Outcome]) -> None:
            if done is not None:
                done()
            for reading, outcome in zip(kept, outcomes, strict=True):
                if outcome != "stored":
                    self._count_repeat(reading.source, outcome)

        self._store.append(kept, committed)

    def refuse(self, source: Source | None, why: str) -> None:
        """Count a payload that could not be taken."""
        self.refusals[why[:80]] += 1
        if len(self.refusals) > _COUNTED_SOURCES:
            self.refusals = Counter(dict(self.refusals.most_common(_COUNTED_SOURCES // 2)))
        if source is not None and (source in self.counts or len(self.counts) < _COUNTED_SOURCES):
            counts = self.counts_of(source)
            counts.refused += 1
            counts.last_refusal = why

    def counts_of(self, source: Source) -> Counts:
        """Return the counts of a source."""
        return self.counts.setdefault(source, Counts())

    def bound(self, source: Source) -> bool:
        """Whether the house knows a source."""
        if self._live.house is not self._house:
            self._house = self._live.house
            self._bound = _bound(self._live)
            self.unbound = {name: seen for name, seen in self.unbound.items() if not self.bound(seen.last.source)}
        return source in self._bound

    def _take(self, reading: Reading) -> Reading | None:
        """Tell the state of now; return what has to be stored."""
        if not self.bound(reading.source):
            self._stranger(reading)
            return None
        counts = self.counts.get(reading.source) or self.counts_of(reading.source)
        if reading.t_ms > reading.arrived_ms + FUTURE_MS and self._trusted():
            counts.future += 1
            reading = msgspec.structs.replace(reading, t_ms=reading.arrived_ms, future=True)
        counts.accepted += 1
        if reading.power_w is not None and reading.power_w > self._bound[reading.source]:
            counts.suspect += 1
        if reading.boot is not None and reading.seq is not None:
            counts.number(reading.boot, reading.seq)
        self._show(reading)
        # What the broker kept is an old copy; without a time of its own, the time of arrival would be a lie.
        return None if reading.retained and reading.t_ms == reading.arrived_ms else reading

    def _show(self, reading: Reading) -> None:
        """Tell the state of now. A reading that it cannot take is history all the same."""
        try:
            self._live.update(reading)
        except Exception as error:  # noqa: BLE001 - one reading must not keep the others from being stored
            self.refuse(reading.source, f"it broke the state of now: {type(error).__name__}")
            log.error("%s of %s is not shown: %s", reading, reading.source.id, error)  # noqa: TRY400 - no tracebacks

    def _stranger(self, reading: Reading) -> None:
        """List a heater that nobody has; count anything else."""
        source = reading.source
        if source.kind != "heater":
            self.refuse(None, f"no {source.kind} {source.id} in this house")
            return
        self._show(reading)
        known = self.unbound.get(source.id)
        if known is not None:
            known.last, known.heard = reading, known.heard + 1
        elif len(self.unbound) < _COUNTED_SOURCES:
            self.unbound[source.id] = Unbound(source.id, to_ms(self._clock.now()), reading)

    def _count_repeat(self, source: Source, outcome: Outcome) -> None:
        counts = self.counts.get(source)
        if counts is None:
            return
        if outcome == "duplicate":
            counts.duplicates += 1
        else:
            counts.conflicts += 1


def _bound(live: Live) -> dict[Source, float]:
    """Return the sources that the house knows, each with the power above which its readings are suspect [W]."""
    house = live.house
    heaters = (heater for zone in house.zones for heater in zone.heaters)
    others = [OUTDOOR, *(Source("sensor", each.id) for each in house.sensors)]
    others += [Source("meter", each.id) for each in house.meters]
    return {
        **dict.fromkeys(others, inf),
        **{Source("heater", heater.id): heater.rated_w * SUSPECT_SHARE for heater in heaters},
    }
