"""Faults that must not cost anybody their heat: full disk, clock steps, kills."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from harness import Daemon, Outside, ingle, until
from long.kills import run as kill_trial


def orders(outside: Outside, heater: str, setpoint_c: float) -> bool:
    """Whether the heater's last order holds this setpoint."""
    return bool(outside.wanted(heater).get("setpoint_c") == setpoint_c)


def test_random_kills_lose_and_double_nothing(tmp_path: Path) -> None:
    """SIGKILL at random under load: no acknowledged reading lost, no Wh counted twice, the database whole."""
    outcome = kill_trial(tmp_path, kills=4, seed=20260112, per_second=200, life_s=1.0)
    assert outcome.acknowledged > 300
    assert outcome.lost == 0
    assert outcome.duplicates == 0
    assert outcome.energy_error_wh < 0.05
    assert outcome.integrity == "ok"


@pytest.fixture(name="small_disk")
def _small_disk(tmp_path: Path) -> Iterator[Path]:
    """Return a folder on a file system of its own, small enough to fill."""
    folder = tmp_path / "small"
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(folder)], check=True)
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_heating_goes_on_with_a_full_disk(broker: Any, outside: Outside, db: Path, small_disk: Path) -> None:
    """With the disk full from the start, overrides still reach heaters; when space returns, history catches up."""
    placed = small_disk / "ingle.db"
    placed.write_bytes(db.read_bytes())
    filler = small_disk / "filler"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(b"\0" * 4096)
    log = small_disk.parent / "ingle.log"
    with Daemon(placed, "--broker", broker.url, "--clock", "trusted", log=log) as daemon:
        daemon.ready(60)
        assert daemon.get("/api/house/now")["history"] == "paused"
        daemon.post("/api/zones/north/overrides", {"do": "override", "temp_c": 21.5, "for": "PT90M"})
        until(lambda: orders(outside, "north-1", 21.5), "the override reaches the heater")
        outside.publish("ingle/heater/north-1/reading", {"temp_c": 18.5, "seq": 1, "boot": "full"})
        filler.unlink()
        until(lambda: daemon.get("/api/house/now")["history"] == "kept", "history is kept again", seconds=40)
        until(lambda: "18.5" in ingle("readings", "export", "--db", str(placed)).stdout, "the reading is stored")
        assert daemon.stop() == 0


@pytest.fixture(name="faked")
def _faked(tmp_path: Path) -> tuple[Path, dict[str, str]]:
    """Return a file that sets the daemon's wall clock, and the environment that makes it obey."""
    library = next(Path("/usr/lib").glob("*/faketime/libfaketime.so.1"))
    steps = tmp_path / "clock"
    steps.write_text("+0")
    environ = {
        "LD_PRELOAD": str(library),
        "FAKETIME_TIMESTAMP_FILE": str(steps),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    }
    return steps, environ


@pytest.mark.parametrize("step", ["-1h", "+2y"])
def test_a_clock_step_neither_hangs_nor_heats(
    broker: Any, outside: Outside, db: Path, faked: tuple[Path, dict[str, str]], step: str
) -> None:
    """After a step the daemon still ticks, answers, keeps its orders right and takes an override."""
    steps, environ = faked
    with Daemon(db, "--broker", broker.url, "--clock", "trusted", environ=environ) as daemon:
        daemon.ready()
        until(lambda: orders(outside, "north-1", 16.0), "the first order")
        steps.write_text(step)
        daemon.post("/api/zones/north/overrides", {"do": "override", "temp_c": 19.5, "for": "PT90M"})
        until(lambda: orders(outside, "north-1", 19.5), "an override right after the step")
        daemon.post("/api/zones/north/overrides", {"do": "release"})
        until(lambda: orders(outside, "north-1", 16.0), "and back again")
        with daemon.log.open() as log:
            assert "Traceback" not in log.read()
        assert daemon.stop() == 0
