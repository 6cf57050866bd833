"""Feeds of changes: newest wins, memory is bounded, a reader that comes back misses nothing."""

from __future__ import annotations

import asyncio

from hypothesis import given
from hypothesis import strategies as st

from ingle.live.feed import BOUND, Board, Change, Feed
from ingle.model.decisions import Next
from ingle.model.instants import from_ms


def value(number: float) -> Next:
    """Return some value."""
    return Next(at=from_ms(0), level=None, wanted_c=number)


async def unread(feed: Feed) -> list[Change]:
    """Return all that a feed holds, by closing it."""
    feed.close()
    return [change async for change in feed]


async def test_a_reader_gets_what_changes() -> None:
    """Changes arrive in order, each with a higher id."""
    board = Board(10)
    feed = board.subscribe()
    board.post("zone", "a", value(1))
    board.post("zone", "b", value(2))
    assert [(c.id, c.subject, c.data) for c in await unread(feed)] == [(11, "a", value(1)), (12, "b", value(2))]


async def test_a_slow_reader_gets_only_the_newest_of_each() -> None:
    """An unread change is replaced by a newer one of the same thing."""
    board = Board(0)
    feed = board.subscribe()
    for number in range(1000):
        board.post("zone", "a", value(number))
    assert [change.data for change in await unread(feed)] == [value(999)]


async def test_what_stays_the_same_is_not_told() -> None:
    """Posting the same state again is no change."""
    board = Board(0)
    assert board.post("zone", "a", value(1))
    assert not board.post("zone", "a", value(1))
    assert board.post("heater", "a", value(1))


async def test_memory_is_bounded() -> None:
    """Past the bound the oldest unread change goes, and is counted."""
    board = Board(0)
    feed = board.subscribe()
    for number in range(BOUND + 5):
        board.post("zone", str(number), value(number))
    assert feed.dropped == 5
    assert len(await unread(feed)) == BOUND


async def test_a_new_reader_first_gets_the_state() -> None:
    """Subscribing tells the newest of everything, oldest change first."""
    board = Board(0)
    for number in range(3):
        board.post("zone", "a", value(number))
    board.post("zone", "b", value(9))
    assert [change.data for change in await unread(board.subscribe())] == [value(2), value(9)]


async def test_an_id_of_an_earlier_life_gets_everything() -> None:
    """An id that was never given out yet comes from before a restart."""
    board = Board(0)
    board.post("zone", "a", value(1))
    assert len(await unread(board.subscribe(after=10**15))) == 1


async def test_what_is_gone_is_forgotten() -> None:
    """The state of a zone that the house no longer has is told to nobody."""
    board = Board(0)
    board.post("zone", "a", value(1))
    board.post("zone", "b", value(1))
    board.forget("zone", frozenset({"b"}))
    assert [change.subject for change in await unread(board.subscribe())] == ["b"]


async def test_closing_lets_a_waiting_reader_go() -> None:
    """A reader that waits ends when the board closes, and a closed feed is left by the board."""
    board = Board(0)
    feed = board.subscribe()
    reader = asyncio.ensure_future(anext(feed, None))
    await asyncio.sleep(0)
    board.close()
    assert await asyncio.wait_for(reader, 1) is None
    with board.subscribe() as later:
        board.post("zone", "a", value(1))
    assert later.closed


@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 3)), max_size=40), st.integers(0, 40))
def test_a_reader_that_comes_back_ends_with_the_same_state(changes: list[tuple[str, int]], leaves: int) -> None:
    """Leaving after any change and coming back with its id gives the state that one who stayed has."""

    async def play() -> None:
        board = Board(0)
        stayed, first = board.subscribe(), board.subscribe()
        state: dict[str, object] = {}
        for subject, number in changes[:leaves]:
            board.post("zone", subject, value(number))
        seen = 0
        for change in await unread(first):
            state[change.subject] = change.data
            seen = change.id
        for subject, number in changes[leaves:]:
            board.post("zone", subject, value(number))
        for change in await unread(board.subscribe(after=seen)):
            state[change.subject] = change.data
        assert state == {change.subject: change.data for change in await unread(stayed)}

    asyncio.run(play())
