"""From when to when a record reaches, where a clock has jumped in it."""

from __future__ import annotations

from ingle.model.readings import Reading, Source
from ingle.store.columns import span
from ingle.store.connect import Link
from ingle.store.readings import insert

LOFT = Source("heater", "loft-1")
DAY_MS = 86_400_000


def read(t_ms: int, *, future: bool = False) -> Reading:
    """Return a reading that arrived on the third day."""
    return Reading(source=LOFT, t_ms=t_ms, arrived_ms=3 * DAY_MS, temp_c=20.0, future=future)


def test_a_clock_that_jumped_does_not_end_the_record(link: Link) -> None:
    """A reading dated ahead of the clock by a year leaves the newest time where the others put it."""
    insert(link, [read(DAY_MS), read(2 * DAY_MS), read(400 * DAY_MS, future=True)])
    assert span(link, start_ms=0, end_ms=1000 * DAY_MS) == (DAY_MS, 2 * DAY_MS)


def test_a_record_of_nothing_else_ends_with_it(link: Link) -> None:
    """Where every reading is dated ahead they are all there is, so they are looked at."""
    insert(link, [read(400 * DAY_MS, future=True), read(401 * DAY_MS, future=True)])
    assert span(link, start_ms=0, end_ms=1000 * DAY_MS) == (400 * DAY_MS, 401 * DAY_MS)
