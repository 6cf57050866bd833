"""Records that allow no verdict, through the real verb: what is missing is said, and nothing else is claimed."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from ingle.model.readings import OUTDOOR, Reading
from ingle.store.connect import open_writer
from ingle.store.houses import save
from ingle.store.readings import insert
from verdict.still import START_MS, still_house, still_readings

DAY_MS = 86_400_000
Readings = list[Reading]


def still(days: int = 28, **words: bool) -> Readings:
    """Return what the still house reports every half hour."""
    return list(still_readings(40, 30, days, every_s=1800, **words))


def heaters(readings: Readings, change: Callable[[Reading], Reading]) -> Readings:
    """Return readings with those of heaters changed."""
    return [change(each) if each.source.kind == "heater" else each for each in readings]


def windy(readings: Readings) -> Readings:
    """Return readings under an outdoor temperature that wanders by some 10 K."""

    def outdoors(each: Reading) -> Reading:
        return replace(each, temp_c=5 + 5 * float(np.sin((each.t_ms - START_MS) / DAY_MS * 1.3)))

    return [outdoors(each) if each.source == OUTDOOR else each for each in readings]


def following(readings: Readings) -> Readings:
    """Return heaters whose power follows that weather, while their thermometers stand at 20 °C to the digit."""
    counter: dict[str, float] = {}

    def follow(each: Reading) -> Reading:
        power = 600 - 200 * float(np.sin((each.t_ms - START_MS) / DAY_MS * 1.3))
        counter[each.source.id] = counter.get(each.source.id, 0.0) + power / 2
        return replace(each, power_w=power, energy_wh=counter[each.source.id], temp_c=20.0)

    return heaters(windy(readings), follow)


@dataclass(frozen=True)
class Hard:
    """A record, a word of what is said to be missing, and whether a date is given from when it may be possible."""

    readings: Callable[[], Readings]
    says: str
    dated: bool


HARD = {
    "one day": Hard(lambda: still(1), "whole day", dated=True),
    "two days": Hard(lambda: still(2), "at least 3 are needed", dated=True),
    "no outdoor temperature": Hard(lambda: still(outdoors=False), "outdoor temperature is missing", dated=False),
    "all rooms at one temperature": Hard(lambda: following(still()), "stuck", dated=False),
    "as warm outside as in": Hard(
        lambda: [replace(each, temp_c=20.0) for each in still()], "warmer inside than out", dated=True
    ),
    "never on": Hard(
        lambda: heaters(still(), lambda each: replace(each, power_w=0.0, energy_wh=500.0)), "not heated", dated=True
    ),
    "a counter that grows evenly": Hard(lambda: windy(still()), "whatever the weather", dated=False),
    "no thermometer": Hard(
        lambda: heaters(still(), lambda each: replace(each, temp_c=None)), "thermometer", dated=False
    ),
    "no readings": Hard(list, "", dated=False),
}


def judged(folder: Path, readings: Readings) -> tuple[subprocess.CompletedProcess[str], list[dict[str, Any]]]:
    """Judge a record by the verb; return what it did and what it said of the rooms."""
    path = folder / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, still_house(), who="Wenna Trask", why="survey", t_ms=START_MS)
        insert(conn, readings)
        conn.execute("COMMIT")
    command = [sys.executable, "-m", "ingle", "assess", "--json", "--fit", "--db", str(path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    return done, json.loads(done.stdout)["zones"]


@pytest.mark.parametrize("case", HARD)
def test_a_hard_record_says_why_not(case: str, tmp_path: Path) -> None:
    """No traceback, cannot-say-yet with a whole sentence; a date only where waiting helps."""
    hard = HARD[case]
    done, zones = judged(tmp_path, hard.readings())
    # A stuck thermometer is a finding of its own.
    assert (done.returncode, done.stderr) == (int(any(zone["findings"] for zone in zones)), "")
    for zone in zones:
        assert zone["verdict"] == "cannot-say-yet"
        assert zone["probability"] is None
        assert zone["causes"] == []
        assert zone["missing"]
        assert all(sentence.endswith((".", "?")) for sentence in zone["missing"])
        assert hard.says in " ".join(zone["missing"])
        assert (zone["possible_from"] is not None) == hard.dated
        assert all(day["used"] or day["why_not"] for day in zone["fit"])


def jumps() -> Iterator[tuple[str, Callable[[int], int]]]:
    """Return ways in which a clock goes wrong, each as the time that a reading claims."""
    yield "a day ahead for five hours", lambda t: t + (DAY_MS if 9 * DAY_MS < t - START_MS < 9.2 * DAY_MS else 0)
    yield "a year behind for an hour", lambda t: t - (365 * DAY_MS if 9 * DAY_MS < t - START_MS < 9.05 * DAY_MS else 0)
    yield "an hour back for good", lambda t: t - (3_600_000 if t - START_MS > 12 * DAY_MS else 0)


@pytest.mark.parametrize(("name", "claims"), list(jumps()))
def test_a_clock_that_jumped_is_survived(name: str, claims: Callable[[int], int], tmp_path: Path) -> None:
    """The figure stands within a few percent, or a sentence says why there is none; never a false verdict."""
    del name
    readings = [replace(each, t_ms=claims(each.t_ms), arrived_ms=claims(each.t_ms)) for each in still()]
    unlike = {(each.source, each.t_ms): each for each in readings}  # two claims of one instant: the store keeps one
    done, zones = judged(tmp_path, list(unlike.values()))
    assert done.stderr == ""
    for zone, truth in zip(zones, (40.0, 30.0), strict=True):
        assert zone["verdict"] in {"as-designed", "cannot-say-yet"}
        assert zone["missing"] or zone["measured_w_per_k"] == pytest.approx(truth, rel=0.05)
