"""Where every reading enters: who is bound, what time it is kept under, and when its sender is told."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fakes import FakeClock
from ingle.intake import Intake
from ingle.intake.intake import FUTURE_MS
from ingle.live import Live
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store.db import Store
from reading_makers import START_MS, reading
from small_house import HALL, HOUSE, LOFT, renamed, stored


def committed_rows(database: Path) -> int:
    """Return how many readings another program sees in the file."""
    conn = sqlite3.connect(database)
    (count,) = conn.execute("SELECT count(*) FROM reading").fetchone()
    conn.close()
    return int(count)


async def test_the_sender_is_told_only_after_commit(intake: Intake, store: Store, db: Path) -> None:
    """``done`` waits for COMMIT: when it is called, on the writer's thread, another program sees the row."""
    seen: list[tuple[int, bool]] = []
    intake.accept(
        reading(0, arrived_s=0, temp_c=19.5),
        lambda: seen.append((committed_rows(db), threading.current_thread() is threading.main_thread())),
    )
    assert seen == []
    assert committed_rows(db) == 0
    await store.write(lambda _: None)
    assert seen == [(1, False)]


async def test_readings_that_came_together_are_told_once(intake: Intake, store: Store) -> None:
    """One message with several readings is acknowledged once, when all of them are kept."""
    told: list[int] = []
    intake.accept_all([reading(at, arrived_s=2, temp_c=19.5) for at in range(3)], lambda: told.append(1))
    assert len(await stored(store)) == 3
    assert told == [1]


async def test_what_need_not_be_stored_is_told_at_once(intake: Intake, store: Store) -> None:
    """A message of which nothing is kept must not be sent for ever: its sender is told without a commit."""
    told: list[str] = []
    intake.accept(reading(0, Source("heater", "nobodys"), temp_c=19.5), lambda: told.append("stranger"))
    intake.accept_all((), lambda: told.append("nothing"))
    assert told == ["stranger", "nothing"]
    assert await stored(store) == []


async def test_the_house_says_who_is_bound(intake: Intake, store: Store) -> None:
    """Heaters, sensors and meters of the house, and the outdoor station, are stored; all others are not."""
    known = [LOFT, HALL, OUTDOOR, Source("sensor", "loft-air"), Source("meter", "main")]
    strangers = [Source("sensor", "loft-1"), Source("meter", "loft-air"), Source("heater", "loft")]
    for source in (*known, *strangers):
        assert intake.bound(source) == (source in known)
        intake.accept(reading(0, source, arrived_s=0, temp_c=5.0))
    assert {each.source for each in await stored(store)} == set(known)


async def test_strangers_are_listed_or_counted(intake: Intake, clock: FakeClock) -> None:
    """An unbound heater is listed with what it last said; any other unknown source is a counted refusal."""
    stranger = Source("heater", "nobodys")
    for at, temp_c in enumerate((18.0, 18.5)):
        clock.jump(1)
        intake.accept(reading(at, stranger, temp_c=temp_c))
    listed = intake.unbound["nobodys"]
    assert (listed.heard, listed.last.temp_c, listed.first_ms) == (2, 18.5, START_MS + 1000)
    intake.accept(reading(0, Source("sensor", "attic"), temp_c=18.0))
    assert dict(intake.refusals) == {"no sensor attic in this house": 1}


async def test_a_flood_of_invented_ids_does_not_fill_the_memory(intake: Intake) -> None:
    """Beyond a thousand, further strangers and their refusals are not kept one by one."""
    for number in range(3000):
        intake.accept(reading(0, Source("heater", f"x{number}"), temp_c=18.0))
        intake.accept(reading(0, Source("sensor", f"x{number}"), temp_c=18.0))
        intake.refuse(Source("heater", f"x{number}"), "not JSON")
    assert len(intake.unbound) == 1000
    assert len(intake.counts) == 1000
    assert len(intake.refusals) <= 1000


async def test_a_heater_is_bound_by_the_next_house(intake: Intake, live: Live, store: Store) -> None:
    """A stranger that a new revision names is no longer listed, and is stored from then on; the one left out is not."""
    intake.accept(reading(0, Source("heater", "loft-9"), arrived_s=0, temp_c=18.0))
    live.set_house(renamed(HOUSE, "loft-1", "loft-9"))
    intake.accept(reading(1, Source("heater", "loft-9"), arrived_s=1, temp_c=18.0))
    intake.accept(reading(1, LOFT, arrived_s=1, temp_c=18.0))
    assert [(each.source.id, each.t_ms) for each in await stored(store)] == [("loft-9", START_MS + 1000)]
    assert list(intake.unbound) == ["loft-1"]


@pytest.mark.parametrize("trusted", [True, False])
async def test_a_time_ahead_of_a_trusted_clock_is_not_believed(
    store: Store, live: Live, clock: FakeClock, *, trusted: bool
) -> None:
    """On a trusted clock it is stored under its arrival, flagged and never live; a doubted clock judges nobody."""
    intake = Intake(store, live, clock, trusted=lambda: trusted)
    intake.accept(reading(3600, arrived_s=0, temp_c=30.0))
    (kept,) = await stored(store)
    assert (kept.t_ms, kept.future) == ((START_MS, True) if trusted else (START_MS + 3_600_000, False))
    assert intake.counts_of(LOFT).future == int(trusted)
    assert (live.situation(clock.now()).zones["loft"].temp_c is None) == trusted


@given(ahead_ms=st.integers(-1000 * 86_400_000, 1000 * 86_400_000))
def test_only_what_is_clearly_ahead_is_from_the_future(ahead_ms: int) -> None:
    """Whatever the time of a reading, it is kept under it unless it is more than five minutes ahead."""
    kept: list[Reading] = []

    class Shelf:
        """A store that only remembers."""

        def append(self, readings: list[Reading], committed: object = None) -> None:
            del committed
            kept.extend(readings)

    clock = FakeClock()
    live = Live(clock)
    live.set_house(HOUSE)
    Intake(Shelf(), live, clock).accept(reading(ahead_ms / 1000, arrived_s=0, temp_c=19.0))
    (only,) = kept
    assert only.future == (ahead_ms > FUTURE_MS)
    assert only.t_ms == START_MS + (0 if only.future else ahead_ms)


async def test_what_the_broker_kept_is_only_shown(intake: Intake, live: Live, store: Store, clock: FakeClock) -> None:
    """A retained copy without a time of its own is not stored, one with its time is; neither is acted on."""
    told: list[str] = []
    intake.accept(reading(0, LOFT, arrived_s=0, temp_c=18.0, retained=True), lambda: told.append("at once"))
    assert told == ["at once"]
    intake.accept(reading(-600, HALL, arrived_s=0, temp_c=17.0, retained=True))
    assert [(each.source, each.t_ms) for each in await stored(store)] == [(HALL, START_MS - 600_000)]
    situation = live.situation(clock.now())
    assert [situation.zones[zone].temp_c for zone in ("loft", "hall")] == [None, None]
    assert {zone.id: zone.temp_c for zone in live.zones_now(clock.now())} == {"loft": 18.0, "hall": 17.0, "store": None}


async def test_a_late_reading_corrects_history_and_drives_nothing(
    intake: Intake, live: Live, store: Store, clock: FakeClock
) -> None:
    """It is stored under its own time, with the time of its arrival, and the newest still is what is acted on."""
    intake.accept(reading(0, arrived_s=0, temp_c=20.0))
    intake.accept(reading(-7200, arrived_s=0, temp_c=12.0))
    kept = await stored(store)
    assert [(each.t_ms, each.arrived_ms, each.temp_c) for each in kept] == [
        (START_MS - 7_200_000, START_MS, 12.0),
        (START_MS, START_MS, 20.0),
    ]
    assert live.situation(clock.now()).zones["loft"].temp_c == 20.0


async def test_repeats_are_counted_and_told(intake: Intake, store: Store) -> None:
    """A delivery that comes again is acknowledged like the first and counted; of two values the first wins."""
    told: list[str] = []
    for name, temp_c in (("first", 20.0), ("again", 20.0), ("other", 21.0)):
        intake.accept(reading(0, arrived_s=5, temp_c=temp_c), lambda name=name: told.append(name))
        assert [each.temp_c for each in await stored(store)] == [20.0]
    counts = intake.counts_of(LOFT)
    assert told == ["first", "again", "other"]
    assert (counts.accepted, counts.duplicates, counts.conflicts) == (3, 1, 1)


async def test_numbered_readings_of_one_instant_are_all_kept(intake: Intake, store: Store) -> None:
    """Two readings that number themselves differently are two, also under one time; the same number is one."""
    for boot, seq in (("a", 1), ("a", 2), ("b", 1), ("a", 1)):
        intake.accept(reading(0, arrived_s=5, boot=boot, seq=seq, temp_c=20.0))
    kept = await stored(store)
    assert sorted((each.boot or "", each.seq or 0) for each in kept) == [("a", 1), ("a", 2), ("b", 1)]
    assert intake.counts_of(LOFT).duplicates == 1


async def test_refused_payloads_are_counted_with_their_reason(intake: Intake) -> None:
    """What could not be read is counted by its source and by its reason, cut short."""
    intake.refuse(LOFT, "not JSON")
    intake.refuse(LOFT, "x" * 200)
    counts = intake.counts_of(LOFT)
    assert (counts.refused, counts.last_refusal) == (2, "x" * 200)
    assert dict(intake.refusals) == {"not JSON": 1, "x" * 80: 1}


async def test_more_power_than_the_plate_is_taken_and_counted(intake: Intake, store: Store) -> None:
    """A plate, a unit or a meter may be wrong: the reading is kept, and counted as suspect."""
    for at, power_w in enumerate((1500.0, 1900.0, 2300.0)):
        intake.accept(reading(at, arrived_s=at, power_w=power_w))
    intake.accept(reading(0, Source("meter", "main"), arrived_s=0, power_w=9000.0))
    assert len(await stored(store)) == 4
    assert intake.counts_of(LOFT).suspect == 1
    assert intake.counts_of(Source("meter", "main")).suspect == 0


async def test_numbers_that_were_jumped_over_are_counted(intake: Intake) -> None:
    """A gap in a source's own numbers shows that something was lost; a new boot starts anew."""
    for at, (boot, seq) in enumerate([("a", 1), ("a", 2), ("a", 6), ("b", 90), ("b", 91)]):
        intake.accept(reading(at, arrived_s=at, boot=boot, seq=seq, temp_c=20.0))
    assert intake.counts_of(LOFT).skipped == 3


async def test_what_cannot_be_shown_is_stored_all_the_same(
    intake: Intake, live: Live, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error of ours in the state of now costs the display, not the history, nor the readings that came with it."""

    def broken(_: Reading) -> bool:
        raise ZeroDivisionError

    monkeypatch.setattr(live, "update", broken)
    told: list[int] = []
    intake.accept_all([reading(at, arrived_s=2, temp_c=19.5) for at in range(2)], lambda: told.append(1))
    assert len(await stored(store)) == 2
    assert told == [1]
    assert intake.counts_of(LOFT).last_refusal == "it broke the state of now: ZeroDivisionError"
