"""Assessments out of a real database."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import msgspec
import pytest

from ingle.cli.common import table
from ingle.design import design_house
from ingle.errors import Unknown
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.verdicts import Against, Change
from ingle.reports.assess import assess, columns, has_finding, links, summary
from ingle.store.connect import open_writer
from ingle.store.readings import insert
from verdict.still import START_MS, assess_columns, columns_by_source, still_house, still_readings, zone_of


@pytest.fixture(name="conn", scope="module")
def _conn(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    """Return a database of a house that holds still, its hall losing half as much again as designed."""
    with closing(open_writer(tmp_path_factory.mktemp("still") / "ingle.db")) as conn:
        conn.execute("BEGIN IMMEDIATE")
        insert(conn, list(still_readings(60, 30, every_s=600)))
        conn.execute("COMMIT")
        yield conn


def test_the_store_says_what_memory_says(conn: sqlite3.Connection) -> None:
    """Readings through the database give the same assessment as the same readings in memory."""
    house = still_house()
    of_store = assess(conn, house, design_house(house))
    of_memory = assess_columns(house, columns_by_source(still_readings(60, 30, every_s=600)))
    assert of_store.zones[0].measured_w_per_k == pytest.approx(of_memory.zones[0].measured_w_per_k, rel=1e-4)
    assert [zone.verdict for zone in of_store.zones] == ["loses-more", "as-designed"]
    assert of_store.design_version == design_house(house).design_version
    assert has_finding(of_store)


def test_a_span_limits_what_is_read(conn: sqlite3.Connection) -> None:
    """Only days within the span count, and the span told is the readings'."""
    house = still_house()
    start, end = datetime(2026, 1, 10, tzinfo=UTC), datetime(2026, 1, 20, tzinfo=UTC)
    result = assess(conn, house, design_house(house), start, end)
    assert result.start == "2026-01-10T00:00:00+00:00"
    assert result.end <= "2026-01-20T00:00:00+00:00"
    assert zone_of(result, "hall").days_used == 9


def test_a_span_without_readings_is_silent(conn: sqlite3.Connection) -> None:
    """Nothing there: no verdict, no error."""
    house = still_house()
    result = assess(conn, house, design_house(house), datetime(2030, 1, 1, tzinfo=UTC))
    assert {zone.verdict for zone in result.zones} == {"cannot-say-yet"}
    assert not has_finding(result)
    assert all(zone.missing for zone in result.zones)


def test_an_unknown_zone_is_named(conn: sqlite3.Connection) -> None:
    """The error lists the zones that there are."""
    house = still_house()
    with pytest.raises(Unknown, match=r"cellar.*hall, loft"):
        assess(conn, house, design_house(house), zones=("cellar",))


def test_json_has_the_documented_keys(conn: sqlite3.Connection) -> None:
    """The assessment is written with from and to, and nulls where nothing is known."""
    house = still_house()
    document = msgspec.json.decode(msgspec.json.encode(assess(conn, house, design_house(house))))
    assert {"from", "to", "design_version", "method", "method_version", "zones"} == set(document)
    assert document["zones"][0]["possible_from"] is None
    assert set(document["zones"][0]["causes"][0]) == {
        "code",
        "probability",
        "evidence",
        "against",
        "check_next",
        "kwh",
        "kwh_low",
        "kwh_high",
        "money",
        "money_low",
        "money_high",
        "currency",
    }


def test_the_table_tells_interval_verdict_and_cause(conn: sqlite3.Connection) -> None:
    """What a person reads: both figures, the interval, how sure, why and what next."""
    house = still_house()
    text = summary(assess(conn, house, design_house(house)), table)
    assert "95 %" in text
    assert "loses-more" in text
    assert "leak (" in text
    assert "Next:" in text


def test_house_and_past_are_told_in_words(conn: sqlite3.Connection) -> None:
    """A ratio to the other rooms where it is a finding, and a change with its date and both figures."""
    house = still_house()
    found = assess(conn, house, design_house(house))
    told = msgspec.structs.replace(
        found.zones[0],
        against_house=Against(ratio=1.31, low=1.12, high=1.53, probability=0.97, verdict="loses-more"),
        against_past=Change(
            since="2026-01-29", before_w_per_k=31.04, after_w_per_k=43.2, low=1.2, high=1.6, probability=0.999
        ),
    )
    text = summary(msgspec.structs.replace(found, zones=(told, found.zones[1])), table)
    assert "beside the house's other rooms it takes 1.31 times what it should (95 %: 1.12 to 1.53)" in text
    assert "changed on 2026-01-29: 31.0 W/K before, 43.2 W/K since (times 1.20 to 1.60)" in text


def test_links_are_counted_once() -> None:
    """A party element is mirrored into both rooms but is one conductance."""
    assert links(still_house()) == {("hall", "loft"): pytest.approx(15.0)}


def test_columns_are_the_readings(conn: sqlite3.Connection) -> None:
    """Scaled integers come back as what was reported; what kind of energy it is comes along."""
    told = Reading(
        source=Source("heater", "odd"),
        t_ms=START_MS + 1,
        arrived_ms=START_MS + 1,
        power_w=12.34,
        temp_c=-3.217,
        energy_wh=5.5,
        energy_is="computed",
    )
    conn.execute("BEGIN IMMEDIATE")
    insert(conn, [told, msgspec.structs.replace(told, t_ms=START_MS, arrived_ms=START_MS, energy_is="metered")])
    found = columns(conn, told.source, START_MS, START_MS + 10)
    conn.execute("ROLLBACK")
    assert found.t_s.tolist() == [START_MS / 1000, START_MS / 1000 + 0.001]
    assert found.computed.tolist() == [False, True]
    assert found["power_w"][1] == pytest.approx(12.34)
    assert found["temp_c"][1] == pytest.approx(-3.217)
    assert not len(columns(conn, Source("heater", "nobody"), 0, START_MS).t_s)
    assert len(columns(conn, OUTDOOR, START_MS, START_MS + 600_000).t_s) == 2


def test_the_store_gives_columns_without_numpy(tmp_path: Path) -> None:
    """Reading columns is also open to the serving process, which never loads numpy."""
    code = "import sys, ingle.store.columns; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=tmp_path, check=False).returncode == 0
