"""The same readings through the table and through the intake."""

from __future__ import annotations

import json
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fakes import FakeClock
from ingle.intake import Intake, imports, table
from ingle.live import Live
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.mqtt import payloads
from ingle.store import houses
from ingle.store.db import Store
from reading_makers import START_MS
from small_house import HALL, LOFT, stored

COLUMNS = (*table.COLUMNS, *table.OPTIONAL)
NUMBERS = {
    "power_w": st.floats(-100, 3000),
    "energy_wh": st.floats(0, 1e7),
    "temp_c": st.floats(-60, 100),
    "setpoint_c": st.floats(5, 30),
    "voltage_v": st.floats(0, 500),
    "humidity_percent": st.floats(0, 100),
    "irradiance_w_per_m2": st.floats(-10, 2000),
    "wind_m_per_s": st.floats(0, 120),
}
#: A source with the cells that name it.
SOURCES: list[tuple[Source, dict[str, str]]] = [
    (LOFT, {"zone": "loft", "heater": "loft-1"}),
    (HALL, {"zone": "hall", "heater": "hall-1"}),
    (OUTDOOR, {"zone": "outdoor"}),
    (Source("sensor", "loft-air"), {"zone": "loft"}),
    (Source("meter", "main"), {"meter": "main"}),
]


def numbered() -> st.SearchStrategy[dict[str, Any]]:
    """Return the number that a source gave a report, or none."""
    return st.just({}) | st.fixed_dictionaries({"boot": st.sampled_from(["b1", "b2"]), "seq": st.integers(0, 3)})


def reports() -> st.SearchStrategy[list[tuple[Source, dict[str, str], dict[str, Any]]]]:
    """Return reports: who, the cells that say so in a table, and what is told."""
    told = st.fixed_dictionaries(
        {"t": st.integers(-20, 0).map(lambda step: from_ms(START_MS + step * 500).isoformat())},
        optional={
            **NUMBERS,
            "energy_is": st.sampled_from(["metered", "computed"]),
            "opening": st.booleans(),
            "fault": st.sampled_from(["probe", 'x, "y"']),
        },
    ).filter(lambda values: len(values.keys() - {"energy_is"}) > 1)
    both = st.tuples(told, numbered()).map(lambda parts: {**parts[0], **parts[1]})
    return st.lists(st.tuples(st.sampled_from(SOURCES), both).map(lambda pair: (*pair[0], pair[1])), max_size=12)


def row(who: dict[str, str], body: dict[str, Any]) -> str:
    """Return a report as a line of a table."""
    cells = {**{name: json.dumps(value).strip('"') for name, value in body.items()}, **who, "time": body["t"]}
    if "fault" in body:
        cells["fault"] = '"' + body["fault"].replace('"', '""') + '"'
    return ",".join(cells.get(name, "") for name in COLUMNS)


def told(readings: list[Reading]) -> list[Reading]:
    """Return what readings tell apart from when they arrived."""
    return [msgspec.structs.replace(reading, arrived_ms=0) for reading in readings]


@asynccontextmanager
async def two_stores(blank: Path) -> AsyncIterator[tuple[Store, Store]]:
    """Open two stores on fresh copies of a database."""
    with TemporaryDirectory() as folder:
        paths = [shutil.copyfile(blank, f"{folder}/{name}.db") for name in ("air", "table")]
        first, second = [await Store.open(Path(path), batch_s=600) for path in paths]
        yield first, second
        await first.close()
        await second.close()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(reports=reports())
async def test_a_table_and_messages_store_the_same(
    reports: list[tuple[Source, dict[str, str], dict[str, Any]]], blank: Path
) -> None:
    """Payloads through the intake, and the same values as rows of a table, leave the same readings in the store."""
    clock = FakeClock()
    live, now_ms = Live(clock), to_ms(clock.now()) + 1000
    async with two_stores(blank) as (by_air, by_table):
        revision = await by_air.read(houses.current)
        assert revision is not None
        live.set_house(revision.house)
        intake = Intake(by_air, live, clock)
        for source, _, body in reports:
            intake.accept(payloads.reading(source, json.dumps(body).encode(), now_ms))
        kept = await stored(by_air)
        lines = [row(who, body) for _, who, body in reports]
        taken = await by_table.write(lambda conn: imports.take(conn, COLUMNS, lines, first_line=2, now_ms=now_ms))
        assert taken.rejects == ()
        assert told(await stored(by_table)) == told(kept)
        counts = list(intake.counts.values())
        assert taken.known == sum(each.duplicates for each in counts)
        assert taken.conflicts == sum(each.conflicts for each in counts)
