"""Revisions, lifetimes, events, holds, the lock, the last house and backups."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from house_strategies import houses as any_house
from ingle.config.house import check_house, read_house_file
from ingle.errors import Unreachable
from ingle.model.commands import Cap, Held, Origin, Override, SetLevel
from ingle.model.house import House, Site
from ingle.model.instants import to_ms
from ingle.model.week import Levels
from ingle.store import events, holds, houses, last
from ingle.store.backup import backup
from ingle.store.connect import Link, open_readonly
from ingle.store.lock import take_lock, try_lock
from ingle.store.offline import transaction
from ingle.store.readings import insert, select
from reading_makers import reading

NOW = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)
CALM = settings(
    deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


def house(**zones: list[str]) -> House:
    """Return a house of zones with these heaters."""
    return check_house(
        {
            "house": {"name": "Tern House", "outdoor_design_c": -2},
            "zone": [
                {"id": name, "name": name, "floor_area_m2": 9, "height_m": 2.4, "heater": [_plate(h) for h in heaters]}
                for name, heaters in zones.items()
            ],
        }
    )


def _plate(heater: str) -> dict[str, Any]:
    return {"id": heater, "rated_w": 1500}


def save(link: Link, value: House, t_ms: int = 0, why: str = "") -> houses.Revision:
    """Save a revision."""
    return houses.save(link, value, who="Wenna Trask", why=why, t_ms=t_ms, design_version="d1")


@CALM
@given(value=any_house())
def test_a_stored_house_comes_back(link: Link, value: House) -> None:
    """Save, then read, is identity for any house, and the digest is that of the house read back."""
    saved = save(link, value)
    found = houses.current(link)
    assert found == saved
    assert found is not None
    assert (found.house, houses.digest(found.house)) == (value, saved.digest)


def test_the_history_keeps_who_when_and_why(link: Link) -> None:
    """Every load is a revision of its own; none is changed by the next."""
    assert houses.current(link) is None
    save(link, house(loft=["a"]), 1000, "survey")
    save(link, house(loft=["a", "b"]), 2000, "second heater")
    told = [(each.number, each.t_ms, each.who, each.why, each.design_version) for each in houses.history(link)]
    assert told == [(1, 1000, "Wenna Trask", "survey", "d1"), (2, 2000, "Wenna Trask", "second heater", "d1")]
    first = houses.numbered(link, 1)
    assert first is not None
    assert first.house == house(loft=["a"])
    assert houses.numbered(link, 3) is None


def test_a_digest_tells_houses_apart_and_nothing_else() -> None:
    """A value spelled out or left to its default, whole or with a fraction of zero, is the same house."""
    plain = House(site=Site(name="Quay Chapel", outdoor_design_c=-3))
    spelled = House(site=Site(name="Quay Chapel", outdoor_design_c=-3.0, voltage_v=230, levels=Levels(frost_c=7)))
    other = House(site=Site(name="Quay Chapel", outdoor_design_c=-3.5))
    assert houses.digest(plain) == houses.digest(spelled) != houses.digest(other)


def test_what_a_house_no_longer_has_is_closed_not_deleted(link: Link) -> None:
    """A heater that goes, moves or comes back has a span for each place it stood in."""
    save(link, house(loft=["a"], hall=["b"]), 1000)
    save(link, house(loft=["b"]), 2000)
    save(link, house(loft=["b"], hall=["a"]), 3000)
    spans = {(each.kind, each.id, each.zone, each.start_ms, each.finish_ms) for each in houses.lifetimes(link)}
    assert spans == {
        ("zone", "loft", "loft", 1000, None),
        ("zone", "hall", "hall", 1000, 2000),
        ("zone", "hall", "hall", 3000, None),
        ("heater", "a", "loft", 1000, 2000),
        ("heater", "a", "hall", 3000, None),
        ("heater", "b", "hall", 1000, 2000),
        ("heater", "b", "loft", 2000, None),
    }


def test_a_revision_of_another_version_is_named(link: Link) -> None:
    """A stored document that this version cannot read is a sentence, not a traceback."""
    save(link, house())
    link.execute("""UPDATE revision SET document = '{"castle": 1}'""")
    with pytest.raises(Unreachable, match="revision 1 of the house cannot be read"):
        houses.current(link)


def test_the_last_house_is_written_after_the_commit(db: Path) -> None:
    """Beside the database lies the newest house as a house file; a revision rolled back leaves it alone."""
    first, second = house(loft=["a"]), house(loft=["a", "b"])
    with transaction(db) as link:
        save(link, first)
        assert not last.path_beside(db).exists()
    assert read_house_file(last.path_beside(db)) == first
    with suppress(ZeroDivisionError), transaction(db) as link:
        save(link, second).number / 0
    assert read_house_file(last.path_beside(db)) == first
    assert [path.name for path in db.parent.iterdir() if path.suffix == ".part"] == []


def test_a_transaction_without_a_disk_is_a_sentence(tmp_path: Path) -> None:
    """Where the database cannot be made, the command learns it in words."""
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(Unreachable, match=r"ingle\.db"), transaction(tmp_path / "file" / "ingle.db"):
        pytest.fail("the block must not run")


def test_events_are_kept_in_order(link: Link) -> None:
    """Events come back as they were recorded, from any point on, and in bounded portions."""
    ids = [events.record(link, 1000 * n, "decision", "loft", {"n": n, "why": "Tür"}) for n in range(5)]
    assert [event.data["n"] for event in events.since(link, ids[1], limit=2)] == [2, 3]
    assert [event.id for event in events.latest(link, limit=2)] == [ids[4], ids[3]]
    (first, *_) = events.since(link, 0)
    assert (first.t_ms, first.kind, first.subject, first.data) == (0, "decision", "loft", {"n": 0, "why": "Tür"})


def held(zone: str | None, request: Override | SetLevel | Cap, hours: float = 1.0) -> Held:
    """Return a request in force from NOW on."""
    origin = Origin(who="Wenna Trask", via="http")
    return Held(zone=zone, request=request, origin=origin, since=NOW, until=NOW + timedelta(hours=hours))


def test_holds_outlive_a_restart(link: Link) -> None:
    """What is in force is found again, whole, until its time is over."""
    wanted = [
        held("loft", Override(temp_c=21, duration="PT90M", why="bath")),
        held("hall", SetLevel(level="vacant"), hours=2),
        held(None, Cap(cap_a=20)),
    ]
    for each in wanted:
        holds.save(link, each)
    assert holds.active(link, to_ms(NOW)) == wanted
    assert holds.active(link, to_ms(NOW + timedelta(hours=1))) == wanted[1:2]


def test_a_hold_takes_the_place_of_the_one_before(link: Link) -> None:
    """A zone has one hold at a time, the supply one of its own; ending one says whether there was any."""
    holds.save(link, held("loft", Override(temp_c=21)))
    holds.save(link, held(None, Cap(cap_a=20)))
    newer = held("loft", SetLevel(level="frost"))
    holds.save(link, newer)
    assert [each.request for each in holds.active(link, to_ms(NOW)) if each.zone == "loft"] == [newer.request]
    assert holds.end(link, "loft", to_ms(NOW))
    assert not holds.end(link, "loft", to_ms(NOW))
    assert [each.zone for each in holds.active(link, to_ms(NOW))] == [None]
    assert holds.end(link, None, to_ms(NOW))


def test_a_lock_belongs_to_one_process_and_ends_with_it(tmp_path: Path) -> None:
    """A second process cannot take it; when its holder is gone, however it went, it is free."""
    path = tmp_path / "data" / "ingle.db"
    code = (
        "import sys; from pathlib import Path; from ingle.store.lock import take_lock\n"
        "lock = take_lock(Path(sys.argv[1])); print('held', flush=True); sys.stdin.read()"
    )
    holder = subprocess.Popen([sys.executable, "-c", code, str(path)], stdin=-1, stdout=-1)
    assert holder.stdout is not None
    assert holder.stdout.readline() == b"held\n"
    assert try_lock(path) is None
    with pytest.raises(Unreachable, match="in use by a running ingle"):
        take_lock(path)
    holder.kill()
    holder.communicate()
    with take_lock(path) as lock:
        assert try_lock(path) is None
    lock.release()
    again = try_lock(path)
    assert again is not None
    again.release()


def test_a_lock_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    """A folder that cannot exist is named."""
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(Unreachable, match=r"ingle\.db\.lock"):
        try_lock(tmp_path / "file" / "ingle.db")


def test_a_backup_is_of_one_instant(link: Link, tmp_path: Path) -> None:
    """Rows written while the copy is made are not in it, and what is in it is whole."""
    insert(link, [reading(at, fault="x" * 500) for at in range(3000)])
    link.execute("COMMIT")
    shares: list[float] = []

    def meanwhile(done: int, total: int) -> None:
        shares.append(done / total)
        link.execute("BEGIN IMMEDIATE")
        insert(link, [reading(10_000 + len(shares), temp_c=1.0)])
        link.execute("COMMIT")

    made = backup(link.path, tmp_path / "copies", NOW, meanwhile)
    assert made.name == "ingle-20260112T060000Z.db"
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    with sqlite3.connect(made) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    raw.close()
    copy = open_readonly(made)
    assert len(list(select(copy))) == 3000
    copy.close()
    assert [path.name for path in made.parent.iterdir()] == [made.name]


def test_a_backup_that_cannot_be_written_leaves_nothing(db: Path, tmp_path: Path) -> None:
    """A folder that cannot be made is named, and so is a database that is not there."""
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(Unreachable, match="the backup cannot be written"):
        backup(db, tmp_path / "file" / "copies", NOW)
    with pytest.raises(Unreachable, match="there is no database"):
        backup(tmp_path / "none.db", tmp_path / "copies", NOW)
    assert not (tmp_path / "copies").exists()
