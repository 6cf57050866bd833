"""Is the right cause named? Simulated homes with one fault each, and healthy ones under weekly looks.

Own command, not part of the tests:
``python tests/long/causes_table.py [--homes 24] [--healthy 40] [--days 84] [--seed 20000]``.
Thresholds were chosen on seeds below 1000. Each row of the confusion table is what was done to a room, each column the
first cause named; a star counts rooms in which a verdict of more or less loss stood beside it.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from ingle.model.verdicts import ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.faults import KINDS, Fault, drawn, faulty_homes
from verdict.homes import ROOMS, Home

BATCH = 24
#: The causes for which a goal is set: right in so many of a hundred after 28 and after 84 days.
GOAL = ("leak", "opening", "part-failed", "too-small", "other-heat", "sensor-bias")


def say(line: str) -> None:
    """Write a line at once: the table takes minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def said(home: Home, days: float) -> tuple[ZoneVerdict, ...]:
    """Return the verdicts on a home's first days."""
    end_s = min(home.end_s, home.start_s + days * 86400)
    return assess_rooms(home.house, home.design, home.links, home.until(end_s).read, home.start_s, end_s).zones


def confusion(seed: int, days: int, count: int) -> None:
    """Print what is named for each fault, and how often it is right."""
    looks = [look for look in (14, 28, 84) if look <= days]
    right = {look: Counter[str]() for look in looks}
    total: Counter[str] = Counter()
    for kind, (code, _) in KINDS.items():
        faults = drawn(kind, seed, count)
        named = {look: Counter[str]() for look in looks}
        beside = {look: Counter[str]() for look in looks}
        for start in range(0, count, BATCH):
            some = faults[start : start + BATCH]
            found = faulty_homes(seed + start, days, [fault for _, fault in some])
            for home, (room, _) in zip(found, some, strict=True):
                for look in looks:
                    zones = said(home, look)
                    first = zones[room].causes[0].code if zones[room].causes else "nothing"
                    named[look][first] += 1
                    right[look][code] += first == code
                    beside[look].update(
                        each.causes[0].code
                        for place, each in enumerate(zones)
                        if place != room and each.causes and each.causes[0].code != code
                    )
        total[code] += count
        for look in looks:
            tally = ", ".join(f"{name} {times}" for name, times in named[look].most_common())
            others = ", ".join(f"{name} {times}" for name, times in beside[look].most_common()) or "none"
            say(f"{kind:21s} {look:3d} d  {tally}; in the {count * (len(ROOMS) - 1)} other rooms: {others}")
    for look in looks:
        shares = ", ".join(f"{code} {right[look][code] / total[code]:.0%}" for code in total)
        goal = sum(right[look][code] / total[code] for code in GOAL) / len(GOAL)
        say(f"right after {look} days: {shares}; mean of {', '.join(GOAL)}: {goal:.0%}")


def healthy(seed: int, days: int, count: int) -> None:
    """Print how many healthy rooms a winter of weekly looks gives a cause or a verdict."""
    causes: Counter[str] = Counter()
    flagged: set[tuple[int, str]] = set()
    for start in range(0, count, BATCH):
        found = faulty_homes(seed + start, days, [Fault() for _ in range(min(BATCH, count - start))])
        for number, home in enumerate(found):
            for look in range(7, days + 1, 7):
                for zone in said(home, look):
                    if zone.causes and (start + number, zone.id) not in flagged:
                        flagged.add((start + number, zone.id))
                        causes.update([zone.causes[0].code])
    say(f"healthy rooms given a cause at any weekly look: {len(flagged)} of {count * len(ROOMS)} {dict(causes)}")


def main() -> None:
    """Run the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--homes", type=int, default=24)
    parser.add_argument("--healthy", type=int, default=40)
    parser.add_argument("--days", type=int, default=84)
    parser.add_argument("--seed", type=int, default=20_000)
    given = parser.parse_args()
    say(f"seed {given.seed}, {given.homes} homes a fault, {given.healthy} healthy homes")
    if given.homes:
        confusion(given.seed, given.days, given.homes)
    if given.healthy:
        healthy(given.seed + 5000, given.days, given.healthy)


if __name__ == "__main__":
    main()
