"""How good are verdicts? Simulated homes, sound and with a fault, looked at as a winter goes by.

Own command, not part of the tests:

    python tests/long/verdict_table.py [--homes 100] [--faulty 96] [--days 84] [--seed 9000]

Half the homes are alike in kind, half are varied (``tests/verdict/homes.py``). Thresholds were chosen on seeds below
1000; the table uses others, and prints which, so that it can be made again. Causes have a table of their own.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from ingle.model.verdicts import ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.homes import ROOMS, Flaws, Home, homes

LOOKS = (14, 28, 56, 84)
BATCH = 24
#: A fault that begins within the winter does so on this day.
MIDDLE = 35.0


def say(line: str) -> None:
    """Write a line at once: the table takes long."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def said(home: Home, days: float) -> tuple[ZoneVerdict, ...]:
    """Return the verdicts on a home's first days."""
    end_s = min(home.end_s, home.start_s + days * 86400)
    read = home.until(end_s).read
    return assess_rooms(home.house, home.design, home.links, read, home.start_s, end_s, explained=False).zones


def batches(
    seed: int, days: int, count: int, flaw: Callable[[int], Flaws], everywhere: float = 0.0
) -> Iterator[tuple[int, bool, Home]]:
    """Simulate homes in batches that fit into memory, every second one varied; yield number, kind and home."""
    for number, start in enumerate(range(0, count, BATCH)):
        varied = number % 2 == 1
        flaws = [flaw(at) for at in range(start, min(start + BATCH, count))]
        found = homes(seed + start, days, flaws, varied=varied, design_everywhere=everywhere)
        yield from ((start + at, varied, home) for at, home in enumerate(found))


@dataclass
class Tally:
    """What one look at many sound rooms showed."""

    errors: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    held: list[list[bool]] = field(default_factory=list)
    verdicts: list[str] = field(default_factory=list)

    def add(self, home: Home, zones: tuple[ZoneVerdict, ...]) -> None:
        """Count one home."""
        held = []
        for zone in zones:
            self.verdicts.append(zone.verdict)
            if zone.measured_w_per_k is None or zone.low_w_per_k is None or zone.high_w_per_k is None:
                continue
            truth = home.true_w_per_k[zone.id]
            self.errors.append(zone.measured_w_per_k / truth - 1)
            self.widths.append((zone.high_w_per_k - zone.low_w_per_k) / 2 / zone.measured_w_per_k)
            held.append(zone.low_w_per_k < truth < zone.high_w_per_k)
        self.held.append(held)

    def row(self, look: int) -> str:
        """Return the look's line of the table."""
        error = np.array(self.errors)
        by_home = [np.mean(each) for each in self.held if each]
        clustered = 1.96 * np.std(by_home) / np.sqrt(len(by_home))
        sound = sum(each == "as-designed" for each in self.verdicts) / len(self.verdicts)
        return (
            f"{look:4d} {np.sqrt((error**2).mean()):6.1%} {error.mean():+6.1%}  "
            f"{np.mean([one for each in self.held for one in each]):6.1%} ±{clustered:.1%}  "
            f"{np.median(self.widths):10.1%}  {sound:11.0%}"
        )


@dataclass
class Winter:
    """Which sound rooms were called out at any weekly look."""

    rooms: int = 0
    flagged: dict[tuple[int, str], str] = field(default_factory=dict)
    changed: set[tuple[int, str]] = field(default_factory=set)
    apart: set[tuple[int, str]] = field(default_factory=set)

    def add(self, number: int, look: int, zones: tuple[ZoneVerdict, ...]) -> None:
        """Count one home at one look."""
        for zone in zones:
            if zone.verdict.startswith("loses"):
                self.flagged.setdefault((number, zone.id), f"{zone.verdict} on day {look}")
            if zone.against_past is not None:
                self.changed.add((number, zone.id))
            if zone.against_house is not None and zone.against_house.verdict.startswith("loses"):
                self.apart.add((number, zone.id))


def sound_table(seed: int, days: int, count: int) -> None:
    """Print error, bias, coverage and false flags of sound homes."""
    tallies = {(varied, look): Tally() for varied in (False, True) for look in LOOKS if look <= days}
    winter = Winter(rooms=count * len(ROOMS))
    for number, varied, home in batches(seed, days, count, lambda _: Flaws()):
        for look in range(7, days + 1, 7):
            zones = said(home, look)
            if (varied, look) in tallies:
                tallies[varied, look].add(home, zones)
            winter.add(number, look, zones)
    for varied in (False, True):
        say(f"\n{'varied' if varied else 'plain'} sound homes, seeds {seed} and on")
        say("days   RMSE   bias  covered by 95 %  half-width  as-designed")
        for (kind, look), tally in tallies.items():
            if kind == varied and tally.errors:
                say(tally.row(look))
    rooms = winter.rooms
    flags = sorted(winter.flagged.values())
    say(f"flagged at any weekly look of {days} days: {len(winter.flagged)} of {rooms}; {flags}")
    say(f"a change of its own past: {len(winter.changed)} of {rooms}; off the others: {len(winter.apart)} of {rooms}")


def fault_table(seed: int, days: int, count: int) -> None:
    """Print by which day each fault is found, looking each week; other rooms of the same homes count as false."""
    kinds: dict[str, tuple[Callable[[int], Flaws], float]] = {
        "loses +60 %": (lambda at: Flaws(loss_times={at % 6: 1.6}), 0.0),
        "loses +30 %": (lambda at: Flaws(loss_times={at % 6: 1.3}), 0.0),
        "+30 %, survey 10 % wrong everywhere": (lambda at: Flaws(loss_times={at % 6: 1.3}), 0.10),
        f"+30 % from day {MIDDLE:.0f} on": (lambda at: Flaws(loss_times={at % 6: 1.3}, loss_from_day=MIDDLE), 0.0),
    }
    say(f"\n{count} homes a fault, seeds {seed} and on; share of faulty rooms found by day, plain/varied")
    for number, (name, (flaw, everywhere)) in enumerate(kinds.items()):
        looks = [each for each in (14, 28, 42, 49, 56, 84) if each <= days]
        found: dict[bool, list[int | None]] = {False: [], True: []}
        beside, wrong = 0, 0
        for at, varied, home in batches(seed + 1000 * number, days, count, flaw, everywhere):
            first = None
            for look in looks:
                zones = said(home, look)
                if first is None and zones[at % 6].verdict == "loses-more":
                    first = look
                others = [zone for place, zone in enumerate(zones) if place != at % 6]
                beside += len(others)
                wrong += sum(zone.verdict.startswith("loses") for zone in others)
            found[varied].append(first)
        shares = ", ".join(
            f"day {look} " + "/".join(f"{_share(found[kind], look):.0%}" for kind in (False, True) if found[kind])
            for look in looks
        )
        say(f"{name:36s} {shares}; other rooms flagged {wrong} of {beside} looks")


def _share(found: list[int | None], look: int) -> float:
    return sum(first is not None and first <= look for first in found) / len(found)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--homes", type=int, default=100)
    parser.add_argument("--faulty", type=int, default=200)
    parser.add_argument("--days", type=int, default=84)
    parser.add_argument("--seed", type=int, default=9000)
    given = parser.parse_args()
    say(f"{given.homes} sound homes, {given.faulty} homes a fault, {given.days} days, seed {given.seed}")
    fault_table(given.seed + 10_000, given.days, given.faulty)
    sound_table(given.seed, given.days, given.homes)


if __name__ == "__main__":
    main()
