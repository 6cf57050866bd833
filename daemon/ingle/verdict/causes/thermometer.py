"""Two thermometers of one room that stay apart by the same amount: one of them is off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.causes.case import Case

#: Hours that both must have reported.
LEAST_HOURS: Final = 72
#: Two sound thermometers in one room may differ by half a kelvin each, and by a draught; common practice [K].
APART_K: Final = 1.5


def biased_sensor(case: Case) -> Iterator[Cause]:
    """Yield each pair of thermometers that disagrees day and night alike."""
    rows = {name: row for name, row in case.room.sensors_c.items() if np.isfinite(row).sum() >= LEAST_HOURS}
    names = sorted(rows)
    for first, second in ((a, b) for at, a in enumerate(names) for b in names[at + 1 :]):
        apart = rows[first] - rows[second]
        apart = apart[np.isfinite(apart)]
        if len(apart) < LEAST_HOURS:
            continue
        middle, scatter = float(np.median(apart)), float(np.quantile(apart, 0.95) - np.quantile(apart, 0.05))
        if abs(middle) >= APART_K and scatter < abs(middle):
            yield Cause(
                code="sensor-bias",
                probability=0.9,
                evidence=f"{first} shows {abs(middle):.1f} K {'more' if middle > 0 else 'less'} than {second}, "
                "day and night alike.",
                against="Two places in a tall or draughty room may really differ.",
                check_next="Lay both side by side with a thermometer you trust for an hour; enter the offset.",
            )
