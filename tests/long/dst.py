"""Programmes against a count of minutes, around every clock change of every time zone in some years.

Run by hand, with the years to cover: ``PYTHONPATH=tests python tests/long/dst.py 2025 2027``. Prints the zones that
disagree, and exits 1 if there is one. Takes a few minutes a year on one core.
"""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from due_reference import MINUTE, wants
from houses import every_day, make_house, make_zone
from ingle.control.programme import due

LOFT = make_zone("loft")
PROGRAMME = every_day(
    "loft", ("23:40", "00:20", 19.0), ("01:15", "01:45", "occupied"), ("02:10", "03:05", 21.0), otherwise="vacant"
)


def changes(timezone: ZoneInfo, first_year: int, last_year: int) -> list[date]:
    """Return the days on which a zone's offset changes."""
    start = datetime(first_year, 1, 1, tzinfo=UTC)
    hours = [start + timedelta(hours=h) for h in range((last_year - first_year + 1) * 366 * 24)]
    offsets = [hour.astimezone(timezone).utcoffset() for hour in hours]
    return sorted({hours[i].date() for i in range(1, len(hours)) if offsets[i] != offsets[i - 1]})


def disagreements(name: str, day: date) -> list[datetime]:
    """Return the minutes around a day at which the two opinions differ."""
    house = make_house(LOFT, programmes=(PROGRAMME,), site={"timezone": name})
    expected = wants(house, LOFT, day - timedelta(days=1), 4)
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=12)
    minutes = [start + i * MINUTE for i in range(0, 48 * 60, 5)]
    found = {at: due(house, LOFT, at) for at in minutes}
    return [at for at in minutes if (found[at].level, found[at].wanted_c) != expected[at]]


def main(first_year: int, last_year: int) -> int:
    """Compare all zones."""
    wrong = checked = 0
    for name in sorted(available_timezones()):
        for day in changes(ZoneInfo(name), first_year, last_year):
            checked += 1
            for at in disagreements(name, day)[:1]:
                wrong += 1
                sys.stdout.write(f"{name} {at.isoformat()}\n")
    sys.stdout.write(f"{checked} clock changes compared, {wrong} disagree\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(*(int(year) for year in sys.argv[1:3])))
