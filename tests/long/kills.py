"""Kill the daemon at random under load, then compare what was acknowledged with what is in the database.

    python tests/long/kills.py --kills 60 [--seed 7]

A publisher sends readings at QoS 1 and keeps a ledger of those that the broker acknowledged. The daemon is ended by
SIGKILL at random moments and started again. In the end every acknowledged reading must be in the database once, and
the energy of each heater must be what its counter says, neither more nor less. The seed is printed.
"""

from __future__ import annotations

import argparse
import json
import random
import sqlite3
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import paho.mqtt.client as mqtt

sys.path.insert(0, str(Path(__file__).parents[1]))

from conftest import Broker
from harness import Daemon, ingle, until

HEATERS = tuple(f"heater-{number}" for number in range(1, 9))

BROKER_SETTINGS = """
persistence true
persistence_file broker.db
autosave_interval 1
autosave_on_changes true
max_inflight_messages 200
max_queued_messages 50000
set_tcp_nodelay true
"""

HOUSE = """
[house]
name = "Kill House"
timezone = "UTC"
outdoor_design_c = -2.0
""" + "".join(
    f"""
[[zone]]
id = "room-{number}"
name = "Room {number}"
floor_area_m2 = 12.0
volume_m3 = 28.0
given_w_per_k = 30.0
[[zone.heater]]
id = "{heater}"
rated_w = 2000
"""
    for number, heater in enumerate(HEATERS, 1)
)


@dataclass
class Ledger:
    """What the publisher sent and what the broker said it has."""

    sent: dict[int, tuple[str, int, float]] = field(default_factory=dict)
    acknowledged: set[int] = field(default_factory=set)


class Publisher(threading.Thread):
    """Sends readings with a boot id, a sequence number, a rising counter and a time of their own."""

    def __init__(self, port: int, per_second: float, rng: random.Random) -> None:
        super().__init__(daemon=True)
        self.ledger = Ledger()
        self._per_second = per_second
        self._rng = rng
        self._end = threading.Event()
        self._client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="publisher", clean_session=False)
        self._client.max_inflight_messages_set(1000)
        self._client.on_publish = self._acknowledged
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()

    def _acknowledged(self, _client: object, _data: object, mid: int, *_: object) -> None:
        self.ledger.acknowledged.add(mid)

    def run(self) -> None:
        """Publish until told to stop."""
        energy = dict.fromkeys(HEATERS, 1000.0)
        start_ms = int(time.time() * 1000) - 3_600_000  # noqa: TID251 - the heaters' own clocks
        number = 0
        while not self._end.wait(1 / self._per_second):
            heater = HEATERS[number % len(HEATERS)]
            energy[heater] += round(self._rng.uniform(0, 0.2), 1)
            body = {
                "t": (start_ms + number * 50) / 1000,
                "boot": "b1",
                "seq": number,
                "power_w": 700.0,
                "energy_wh": round(energy[heater], 1),
                "temp_c": 19.5,
            }
            info = self._client.publish(f"ingle/heater/{heater}/reading", json.dumps(body), qos=1)
            self.ledger.sent[info.mid] = (heater, number, body["energy_wh"])
            number += 1

    def finish(self) -> None:
        """Stop sending and wait for the broker's last acknowledgements."""
        self._end.set()
        self.join()
        until(lambda: len(self.ledger.acknowledged) >= len(self.ledger.sent), "the broker acknowledges", seconds=30)
        self._client.loop_stop()
        self._client.disconnect()


@dataclass(frozen=True)
class Outcome:
    """What a run found."""

    acknowledged: int
    lost: int
    rows: int
    duplicates: int
    energy_error_wh: float
    integrity: str
    slowest_start_s: float


def readings(db: Path) -> list[tuple[str, int, float]]:
    """Return heater, seq and counter of every stored reading, through the product's own reader."""
    from ingle.model.readings import Source
    from ingle.store.readings import select

    connection = sqlite3.connect(f"file:{db}?mode=ro", uri=True)
    try:
        sources = [Source("heater", heater) for heater in HEATERS]
        return [
            (reading.source.id, reading.seq, reading.energy_wh)
            for reading in select(connection, sources=sources, start_ms=0, end_ms=2**53)
            if reading.seq is not None and reading.energy_wh is not None
        ]
    finally:
        connection.close()


def energies(db: Path) -> dict[str, float]:
    """Return each heater's energy from the roll-ups [Wh]."""
    from ingle.model.readings import Source
    from ingle.store.rollups import energy

    connection = sqlite3.connect(f"file:{db}?mode=ro", uri=True)
    try:
        sums = energy(connection, [Source("heater", heater) for heater in HEATERS], 0, 2**42)
        return {source.id: total.energy_wh or 0.0 for source, total in sums.items()}
    finally:
        connection.close()


def judge(db: Path, ledger: Ledger, slowest: float) -> Outcome:
    """Compare ledger and database."""
    rows = readings(db)
    stored = {(heater, seq) for heater, seq, _ in rows}
    wanted = {ledger.sent[mid][:2] for mid in ledger.acknowledged if mid in ledger.sent}
    error = 0.0
    got = energies(db)
    for heater in HEATERS:
        counters = sorted(wh for name, _, wh in rows if name == heater)
        if counters:
            error = max(error, abs(got.get(heater, 0.0) - (counters[-1] - counters[0])))
    connection = sqlite3.connect(db)
    integrity = connection.execute("PRAGMA integrity_check").fetchone()[0]
    connection.close()
    return Outcome(
        acknowledged=len(wanted),
        lost=len(wanted - stored),
        rows=len(rows),
        duplicates=len(rows) - len(stored),
        energy_error_wh=round(error, 3),
        integrity=integrity,
        slowest_start_s=round(slowest, 2),
    )


def run(folder: Path, *, kills: int, seed: int, per_second: float = 300.0, life_s: float = 1.5) -> Outcome:
    """Run the whole trial in a folder and return what it found."""
    rng = random.Random(seed)  # noqa: S311 - a repeatable trial, not a secret
    (folder / "house.toml").write_text(HOUSE)
    db = folder / "ingle.db"
    loaded = ingle("house", "load", str(folder / "house.toml"), "--db", str(db))
    if loaded.returncode:
        raise RuntimeError(loaded.stderr)
    (folder / "broker").mkdir()
    broker = Broker(folder / "broker", settings=BROKER_SETTINGS)
    broker.start()
    slowest = 0.0
    publisher = Publisher(broker.port, per_second, rng)
    try:
        with Daemon(db, "--broker", broker.url) as first:
            first.ready()
            until(lambda: first.get("/api/house/now")["broker"] == "up", "the first connection")
            first.kill()
        publisher.start()
        for _ in range(kills):
            with Daemon(db, "--broker", broker.url) as daemon:
                begun = time.monotonic()
                daemon.ready()
                slowest = max(slowest, time.monotonic() - begun)
                threading.Event().wait(rng.uniform(0, life_s))
                daemon.kill()
        publisher.finish()
        wanted = len(publisher.ledger.acknowledged)
        with Daemon(db, "--broker", broker.url) as last:
            last.ready()
            until(lambda: len(readings(db)) >= wanted, "the last queue is stored", seconds=60, every=0.5)
            if last.stop():
                raise RuntimeError("the last stop was not clean")
    except AssertionError as stuck:
        sys.stderr.write(f"{stuck}\n")
    finally:
        broker.stop()
    return judge(db, publisher.ledger, slowest)


def main() -> int:
    """Run from the command line."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=60)
    options.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    options.add_argument("--rate", type=float, default=300.0, help="readings a second")
    chosen = options.parse_args()
    sys.stdout.write(f"seed {chosen.seed}\n")
    with tempfile.TemporaryDirectory(prefix="ingle-kills-") as folder:
        outcome = run(Path(folder), kills=chosen.kills, seed=chosen.seed, per_second=chosen.rate)
    sys.stdout.write(f"{outcome}\n")
    fine = not outcome.lost and not outcome.duplicates and outcome.energy_error_wh < 0.05 and outcome.integrity == "ok"
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
