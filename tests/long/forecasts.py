"""How near weekly forecasts come on the simulated house: said on each Sunday of its record, scored by the week after.

    python tests/long/forecasts.py --weeks 20

The house, its weather and its people are simulated (``ingle demo``): figures show that the method does what it says,
not what an inhabited house would do.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from ingle.model.forecasts import ForecastRequest, Score
from ingle.model.instants import from_ms
from ingle.reports.forecast import forecast
from ingle.reports.forecast_rooms import BACK_DAYS
from ingle.reports.forecast_score import score
from ingle.store.db import open_readonly
from ingle.store.houses import current


def scored(database: Path) -> list[tuple[datetime, float, Score]]:
    """Return each Sunday's forecast and its score."""
    found = []
    with closing(open_readonly(database)) as conn:
        revision = current(conn)
        assert revision is not None
        first_ms, last_ms = conn.execute("SELECT min(t), max(t) FROM reading").fetchone()
        last = from_ms(last_ms)
        sunday = (last - timedelta(days=14 + (last.weekday() + 1) % 7)).replace(hour=4, minute=30, tzinfo=UTC)
        while sunday - timedelta(days=BACK_DAYS) > from_ms(first_ms):
            said = forecast(conn, revision.house, ForecastRequest(), sunday, "long")
            found.append((sunday, said.kwh or 0.0, score(conn, revision.house, said, last)))
            sunday -= timedelta(days=7)
    return found


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    """Simulate, forecast, score, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--weeks", type=int, default=20, help="how many weeks of history to simulate (up to 26)")
    weeks = parser.parse_args().weeks
    with tempfile.TemporaryDirectory() as folder:
        database = Path(folder) / "demo.db"
        command = [
            sys.executable,
            "-m",
            "ingle",
            "demo",
            "--db",
            str(database),
            "--seconds",
            "60",
            "--weeks",
            str(weeks),
        ]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        found = scored(database)
    off, informed, inside, rooms = [], [], 0, []
    for sunday, kwh, each in found:
        say(f"{sunday.date()}  said {kwh:7.0f} kWh  {each.sentence}")
        if each.kwh_was and each.kwh_error_percent is not None and each.kwh_at_that_weather is not None:
            off.append(abs(each.kwh_error_percent))
            informed.append(abs(each.kwh_at_that_weather / each.kwh_was - 1) * 100)
            inside += bool(each.within_limits)
            rooms += [abs(zone.kwh_error_percent) for zone in each.zones if zone.kwh_error_percent is not None]
    if not off:
        sys.exit("no week could be scored: simulate more weeks")
    say(
        f"{len(off)} weeks scored: off by {median(off):.1f} % (median), {median(informed):.1f} % with the weather known"
    )
    say(f"within the limits, with the weather known: {inside} of {len(off)}; single rooms off by {median(rooms):.1f} %")


if __name__ == "__main__":
    main()
