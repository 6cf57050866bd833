"""How good are verdicts? Simulated homes, healthy and faulty, looked at after 14, 28, 56 and 84 days.

Own command, not part of the tests: ``python tests/long/verdict_table.py [--homes 60] [--days 84] [--seed 9000]``.
Thresholds were chosen on seeds below 1000; the seed given is printed, so that a table can be made again.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from ingle.model.verdicts import ZoneVerdict
from ingle.verdict.rooms import assess_rooms
from verdict.homes import ROOMS, Flaws, Home, homes

LOOKS = (14, 28, 56, 84)
BATCH = 30


def say(line: str) -> None:
    """Write a line at once: the table takes minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def said(home: Home, days: float) -> tuple[ZoneVerdict, ...]:
    """Return the verdicts on a home's first days."""
    end_s = min(home.end_s, home.start_s + days * 86400)
    return assess_rooms(home.house, home.design, home.links, home.until(end_s).read, home.start_s, end_s).zones


def batches(seed: int, days: int, flaws: list[Flaws]) -> list[Home]:
    """Simulate homes in batches that fit into memory."""
    found: list[Home] = []
    for start in range(0, len(flaws), BATCH):
        found += homes(seed + start, days, flaws[start : start + BATCH])
    return found


def healthy_table(seed: int, days: int, count: int) -> None:
    """Print error, bias, coverage and false flags of healthy homes."""
    found = batches(seed, days, [Flaws() for _ in range(count)])
    say(f"\n{count} healthy homes, {count * len(ROOMS)} rooms, seed {seed}")
    say("days   RMSE   bias  covered by 95 %  half-width  as-designed  flagged")
    for look in (each for each in LOOKS if each <= days):
        errors, covered, widths, per_home = [], [], [], []
        verdicts: Counter[str] = Counter()
        for home in found:
            rooms = [(zone, home.true_w_per_k[zone.id]) for zone in said(home, look)]
            known = [(zone, truth) for zone, truth in rooms if zone.measured_w_per_k is not None]
            errors += [(zone.measured_w_per_k or 0) / truth - 1 for zone, truth in known]
            held = [(zone.low_w_per_k or 0) < truth < (zone.high_w_per_k or 0) for zone, truth in known]
            covered += held
            per_home.append(np.mean(held) if held else np.nan)
            widths += [
                ((zone.high_w_per_k or 0) - (zone.low_w_per_k or 0)) / 2 / (zone.measured_w_per_k or 1)
                for zone, _ in known
            ]
            verdicts.update(zone.verdict for zone, _ in rooms)
        total, error = sum(verdicts.values()), np.array(errors)
        wrong = verdicts["loses-more"] + verdicts["loses-less"]
        by_home = 1.96 * np.nanstd(per_home) / np.sqrt(len(per_home))
        say(
            f"{look:4d} {np.sqrt((error**2).mean()):6.1%} {error.mean():+6.1%}  {np.mean(covered):6.1%} ±{by_home:.1%}"
            f"  {np.median(widths):10.1%}  {verdicts['as-designed'] / total:11.0%}  {wrong:4d}/{total}"
        )
    weekly(found, days)


def weekly(found: list[Home], days: int) -> None:
    """Print how many healthy rooms a winter of weekly looks flags."""
    flagged: set[tuple[int, str]] = set()
    causes: Counter[str] = Counter()
    for number, home in enumerate(found):
        for look in range(7, days + 1, 7):
            for zone in said(home, look):
                if zone.verdict.startswith("loses") or zone.causes:
                    if (number, zone.id) not in flagged:
                        causes.update([zone.verdict, *(cause.code for cause in zone.causes)])
                    flagged.add((number, zone.id))
    say(f"flagged at any weekly look: {len(flagged)}/{len(found) * len(ROOMS)} rooms {dict(causes)}")


def fault_table(seed: int, days: int, count: int) -> None:
    """Print how often each fault is found."""
    makers = {
        "loses +60 %": lambda room: Flaws(loss_times={room: 1.6}),
        "loses +30 %": lambda room: Flaws(loss_times={room: 1.3}),
        "half a heater": lambda room: Flaws(plate_times={room: 0.5}),
        "other heat 700 W": lambda room: Flaws(hidden_heat_w={room: 700.0}),
        "heater too small": lambda room: Flaws(rated_times={room: 0.3}),
        "sensor 2 K off": lambda room: Flaws(second_sensor_off_k={room: 2.0}),
    }
    say(f"\n{count} homes a fault, seed {seed}: rooms with each verdict and first cause")
    for number, (name, make) in enumerate(makers.items()):
        places = [each % len(ROOMS) for each in range(count)]
        found = batches(seed + 100 * number, days, [make(room) for room in places])
        for look in (each for each in (14, 28, 84) if each <= days):
            rows = [said(home, look)[room] for home, room in zip(found, places, strict=True)]
            tally = Counter(f"{zone.verdict}/{zone.causes[0].code if zone.causes else '-'}" for zone in rows)
            say(f"{name:18s} {look:3d} d  " + ", ".join(f"{key} {times}" for key, times in tally.most_common()))


def main() -> None:
    """Run the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--homes", type=int, default=60)
    parser.add_argument("--faulty", type=int, default=24)
    parser.add_argument("--days", type=int, default=84)
    parser.add_argument("--seed", type=int, default=9000)
    given = parser.parse_args()
    healthy_table(given.seed, given.days, given.homes)
    fault_table(given.seed + 10_000, given.days, given.faulty)


if __name__ == "__main__":
    main()
