"""Time and memory to judge a house from its database, beside a bare read of the same rows.

    python tests/bench/assess.py [--times 5] [--year]

Six rooms over 84 days at a reading a minute: at most 2 s of the processor with start and reading, at most 200 MB; with
``--year`` also 31 rooms over a year at a reading every five minutes: at most 15 s. The floor is the same rows fetched
into numpy columns by the bare sqlite3 module, in a process of its own in the same run. The last line is how late the
worst tick of an event loop began while a verdict was worked out beside it, as the daemon does it.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
from msgspec.structs import replace

from ingle.app.ticker import Ticker
from ingle.clock import SystemClock
from ingle.model.house import House
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.reports.child import Verdicts
from ingle.store.connect import open_writer
from ingle.store.houses import save
from ingle.store.readings import insert
from ingle.verdict.series import Columns
from verdict.homes import Flaws, Home, homes

MOST_S, MOST_YEAR_S, MOST_MB, MOST_LATE_S = 2.0, 15.0, 200.0, 0.25
YEAR_DAYS, YEAR_ROOMS = 365, 31
IDLE_S = 3.0
BATCH = 20_000

#: What any program has to do that looks at every reading: fetch, and turn into columns.
FLOOR = """
import sqlite3, sys
import numpy as np
conn = sqlite3.connect(sys.argv[1])
for (series,) in conn.execute("SELECT id FROM series").fetchall():
    cursor = conn.execute(
        "SELECT t, flags, power, energy, voltage, temp, setpoint FROM reading WHERE series = ? ORDER BY t", (series,)
    )
    while rows := cursor.fetchmany(10_000):
        np.array(rows, dtype=np.float64)
"""


class Cost(NamedTuple):
    """What a process took: time of the processor [s] and the most memory it held [MB]."""

    cpu_s: float
    peak_mb: float


def cost(command: Sequence[str]) -> Cost:
    """Run a command and return what it took."""
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, env={**os.environ, "OPENBLAS_NUM_THREADS": "1"})
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in {0, 1}:
        raise AssertionError(f"{command[:4]} ended with {child.returncode}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def fill(path: Path, house: House, sources: dict[Source, Columns]) -> None:
    """Write a house and its readings into a database."""
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, house, who="bench", why="bench", t_ms=0)
        for source, columns in sources.items():
            batch: list[Reading] = []
            for reading in _readings(source, columns):
                batch.append(reading)
                if len(batch) == BATCH:
                    insert(conn, batch)
                    batch = []
            insert(conn, batch)
        conn.execute("COMMIT")


def _readings(source: Source, columns: Columns) -> Iterator[Reading]:
    names = list(columns.values)
    table = np.stack([columns.values[name] for name in names], axis=1).tolist()
    for t_s, row in zip(columns.t_s.tolist(), table, strict=True):
        t_ms = round(t_s * 1000)
        yield Reading(source=source, t_ms=t_ms, arrived_ms=t_ms, **dict(zip(names, row, strict=True)))


def year_of(home: Home) -> tuple[House, dict[Source, Columns]]:
    """Return a house of 31 rooms over a year: six rooms repeated, and their winter too."""
    zones, sources = [], {}
    for number in range(YEAR_ROOMS):
        zone = home.house.zones[number % len(home.house.zones)]
        heater = replace(zone.heaters[0], id=f"heater-{number}")
        zones.append(replace(zone, id=f"room-{number}", name=f"Room {number}", heaters=(heater,)))
        sources[Source("heater", heater.id)] = _repeated(home.sources[Source("heater", zone.heaters[0].id)])
    sources[OUTDOOR] = _repeated(home.sources[OUTDOOR])
    return replace(home.house, zones=tuple(zones)), sources


def _repeated(columns: Columns) -> Columns:
    step_s = float(np.ceil((columns.t_s[-1] - columns.t_s[0]) / 86400) * 86400)
    times = int(np.ceil(YEAR_DAYS * 86400 / step_s))
    t_s = np.concatenate([columns.t_s + turn * step_s for turn in range(times)])
    kept = t_s <= t_s[0] + YEAR_DAYS * 86400
    return Columns(
        t_s=t_s[kept],
        computed=np.tile(columns.computed, times)[kept],
        values={name: np.tile(each, times)[kept] for name, each in columns.values.items()},
    )


def measure(name: str, path: Path, times: int, most_s: float) -> bool:
    """Say what judging a database took beside the bare read; return whether it kept its promise."""
    ours = [cost([sys.executable, "-m", "ingle", "assess", "--json", "--db", str(path)]) for _ in range(times)]
    bare = [cost([sys.executable, "-c", FLOOR, str(path)]) for _ in range(times)]
    took, floor = (statistics.median(each.cpu_s for each in found) for found in (ours, bare))
    peak = max(each.peak_mb for each in ours)
    fine = took <= most_s and peak <= MOST_MB
    line = {"bench": name, "cpu_s": round(took, 2), "bare_read_s": round(floor, 2), "ratio": round(took / floor, 2)}
    limits = {"peak_mb": round(peak), "limit_s": most_s, "limit_mb": MOST_MB, "ok": fine}
    sys.stdout.write(json.dumps({**line, **limits}) + "\n")
    return fine


async def late_s(path: Path | None) -> float:
    """Return how late the worst tick began while verdicts were worked out beside it, or while nothing was [s]."""
    ticker = Ticker(lambda: None, every_s=0.1)
    ticking = asyncio.create_task(ticker.run())
    if path is None:
        await asyncio.sleep(IDLE_S)
    else:
        await Verdicts(path, SystemClock()).assess("bench")
    ticking.cancel()
    return ticker.latest_s


def main() -> None:
    """Measure and say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--year", action="store_true")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="ingle-bench-") as folder:
        winter = Path(folder) / "winter.db"
        home = homes(71, 84, [Flaws()], every_min=1)[0]
        fill(winter, home.house, home.sources)
        fine = measure("assess, 6 rooms, 84 days at 1 min", winter, given.times, MOST_S)
        late, idle = asyncio.run(late_s(winter)), asyncio.run(late_s(None))
        line = {"bench": "tick beside assess", "late_s": round(late, 3), "idle_late_s": round(idle, 3)}
        # On a machine that is busy with other things a tick is late by itself.
        sys.stdout.write(json.dumps({**line, "limit_s": MOST_LATE_S, "ok": late <= MOST_LATE_S + idle}) + "\n")
        fine &= late <= MOST_LATE_S + idle
        if given.year:
            year = Path(folder) / "year.db"
            fill(year, *year_of(homes(72, 84, [Flaws()])[0]))
            fine &= measure("assess, 31 rooms, a year at 5 min", year, 1, MOST_YEAR_S)
    sys.exit(0 if fine else 1)


if __name__ == "__main__":
    main()
