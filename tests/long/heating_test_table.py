"""How well heating tests find a room's loss: simulated houses by nights and weather, with seeds of their own.

    python tests/long/heating_test_table.py --houses 200 --seed 9000

The simulator (``tests/verdict/tested_homes.py``) has another structure than the estimator but the same author, and
nothing was checked on inhabited houses.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from ingle.control.heating_test import nights
from ingle.verdict.trial import judge_test
from verdict.tested_homes import LONDON, trial_homes


def say(line: str) -> None:
    """Write a line at once: the table takes minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def row(seed: int, count: int, label: str, *, night_count: int, outdoor_c: float) -> str:
    """Return one line of the table."""
    homes = trial_homes(seed, count, nights=night_count, outdoor_c=outdoor_c)
    errors, halves, inside = [], [], []
    for home in homes:
        when = nights(home.test, LONDON)
        (found,) = judge_test(home.house, home.design, home.links, home.read, home.test, when, home.test.end)
        low, value, high = found.low_w_per_k, found.measured_w_per_k, found.high_w_per_k
        if low is None or value is None or high is None:
            continue
        true = home.true_w_per_k["parlour"]
        errors.append(value / true - 1)
        halves.append((high - low) / 2 / value)
        inside.append(low <= true <= high)
    error = np.array(errors)
    rmse, bias = np.sqrt((error**2).mean()), error.mean()
    cells = (
        label,
        f"{len(errors)} of {count}",
        f"{rmse:.1%}",
        f"{bias:+.1%}",
        f"{np.mean(inside):.1%}",
        f"{np.median(halves):.1%}",
        f"{np.quantile(halves, 0.9):.1%}",
    )
    return "| " + " | ".join(cells) + " |"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Error, coverage and width of heating tests on simulated houses.")
    parser.add_argument("--houses", type=int, default=200)
    parser.add_argument("--seed", type=int, default=9000)
    asked = parser.parse_args()
    say(f"seed {asked.seed}, {asked.houses} houses a row")
    say("| test | figure given | RMSE of W/K | bias | coverage of 95 % | half-width, median | half-width, 90 % |")
    say("|---|---|---|---|---|---|---|")
    rows = [(3, 4.0), (4, 4.0), (7, 4.0), (4, 0.0), (4, 9.0)]
    for place, (night_count, outdoor_c) in enumerate(rows):
        label = f"{night_count} nights at {outdoor_c:g} °C"
        say(row(asked.seed + place, asked.houses, label, night_count=night_count, outdoor_c=outdoor_c))


if __name__ == "__main__":
    main()
