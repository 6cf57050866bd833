"""What the benches share: a tuned broker, a bench house, a publisher of its own, and how a ratio is said."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from conftest import Broker

HEATERS = 31

TUNED = """
set_tcp_nodelay true
max_queued_messages 100000
max_inflight_messages 1000
"""


@contextmanager
def broker() -> Iterator[Broker]:
    """Run a mosquitto with the settings that ingle ships."""
    with tempfile.TemporaryDirectory(prefix="ingle-bench-") as folder:
        path = Path(folder) / "broker"
        path.mkdir()
        running = Broker(path, settings=TUNED)
        running.start()
        try:
            yield running
        finally:
            running.stop()


def house(heaters: int = HEATERS) -> str:
    """Return a house file of one-heater rooms."""
    head = '[house]\nname = "Bench House"\ntimezone = "UTC"\noutdoor_design_c = -2.0\n'
    rooms = (
        f'[[zone]]\nid = "room-{number}"\nname = "Room {number}"\nfloor_area_m2 = 12.0\nvolume_m3 = 28.0\n'
        f'given_w_per_k = 30.0\n[[zone.heater]]\nid = "heater-{number}"\nrated_w = 2000\n'
        for number in range(1, heaters + 1)
    )
    return head + "".join(rooms)


def publish(port: int, count: int, boot: str) -> None:
    """Send readings as fast as the broker takes them, from a process of its own."""
    subprocess.run(
        [sys.executable, str(Path(__file__).parent / "publisher.py"), str(port), str(count), boot], check=True
    )


def verdict(name: str, ours: Sequence[float], floor: Sequence[float], limit: float, unit: str) -> bool:
    """Say medians, their ratio and whether it is within the limit; return whether it is."""
    mine, bare = statistics.median(ours), statistics.median(floor)
    ratio = mine / bare
    fine = ratio <= limit
    line = {"bench": name, "ours": round(mine, 2), "floor": round(bare, 2), "unit": unit, "ratio": round(ratio, 2)}
    sys.stdout.write(json.dumps({**line, "limit": limit, "ok": fine}) + "\n")
    return fine


def repeat(times: int, ours: Callable[[], float], floor: Callable[[], float]) -> tuple[list[float], list[float]]:
    """Measure both in turn, so that a noisy minute hits both."""
    mine, bare = [], []
    for _ in range(times):
        bare.append(floor())
        mine.append(ours())
    return mine, bare
