"""The whole job on arithmetic: readings made from a known heat loss give that heat loss back, by either way in."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from harness import Daemon, ingle, until

HOUSE = """
[house]
name = "Two Rooms"
timezone = "UTC"
outdoor_design_c = -2.0

[[zone]]
id = "north"
name = "North room"
floor_area_m2 = 12.0
volume_m3 = 28.8
[[zone.element]]
name = "wall"
kind = "wall"
area_m2 = 20.0
u_w_per_m2k = 1.5
[[zone.element]]
name = "partition"
kind = "party"
area_m2 = 9.0
u_w_per_m2k = 1.7
beyond = "zone:south"
[[zone.heater]]
id = "north-1"
rated_w = 2000

[[zone]]
id = "south"
name = "South room"
floor_area_m2 = 15.0
volume_m3 = 36.0
[[zone.element]]
name = "wall"
kind = "wall"
area_m2 = 14.0
u_w_per_m2k = 1.5
[[zone.heater]]
id = "south-1"
rated_w = 2000
"""

START = datetime(2026, 1, 5, tzinfo=UTC)
DAYS, STEP_S = 28, 900
NORTH_C, SOUTH_C, OUTSIDE_C, LINK_W_PER_K = 21.0, 18.0, 5.0, 9.0 * 1.7


class Truth(NamedTuple):
    """The heat loss that the readings are made from [W/K]."""

    north: float
    south: float


#: As designed: walls, and half the design's one air change of 0.34 W/(m³·K), which is the assumption for in use.
AS_DESIGNED = Truth(30.0 + 0.34 * 0.5 * 28.8, 21.0 + 0.34 * 0.5 * 36.0)


def powers(truth: Truth) -> tuple[float, float]:
    """Return what holds both rooms at their temperatures [W]: loss to outside and flow through the partition."""
    flow = LINK_W_PER_K * (NORTH_C - SOUTH_C)
    return truth.north * (NORTH_C - OUTSIDE_C) + flow, truth.south * (SOUTH_C - OUTSIDE_C) - flow


def moments() -> Iterator[tuple[datetime, int]]:
    """Yield each reading's time and the seconds since the start."""
    for place in range(DAYS * 86_400 // STEP_S + 1):
        yield START + timedelta(seconds=place * STEP_S), place * STEP_S


def write_csv(path: Path, truth: Truth) -> None:
    """Write the readings as a table."""
    north_w, south_w = powers(truth)
    lines = ["time,zone,heater,power_w,energy_wh,temp_c,setpoint_c"]
    for at, seconds in moments():
        when = at.isoformat()
        lines.append(f"{when},north,north-1,{north_w:.3f},{north_w * seconds / 3600:.3f},{NORTH_C},")
        lines.append(f"{when},south,south-1,{south_w:.3f},{south_w * seconds / 3600:.3f},{SOUTH_C},")
        lines.append(f"{when},outdoor,,,,{OUTSIDE_C},")
    path.write_text("\n".join(lines) + "\n")


def loaded(folder: Path) -> Path:
    """Return a database in which the house is loaded."""
    (folder / "house.toml").write_text(HOUSE)
    db = folder / "ingle.db"
    assert ingle("house", "load", str(folder / "house.toml"), "--db", str(db)).returncode == 0
    return db


def assessed(db: Path) -> dict[str, Any]:
    """Return what `ingle assess --json` says, by zone and as a whole."""
    out = ingle("assess", "--json", "--db", str(db))
    assert out.returncode in {0, 1}, out.stderr
    assert out.stderr == ""
    found: dict[str, Any] = json.loads(out.stdout)
    return found


@pytest.mark.parametrize("factor", [1.0, 1.5])
def test_28_constant_days_give_back_the_heat_loss_they_were_made_from(tmp_path: Path, factor: float) -> None:
    """W/K within 1 %, the truth inside the interval, and the verdict that the truth deserves."""
    truth = Truth(*(factor * value for value in AS_DESIGNED))
    db = loaded(tmp_path)
    write_csv(tmp_path / "readings.csv", truth)
    first = ingle("readings", "import", str(tmp_path / "readings.csv"), "--db", str(db))
    assert first.returncode == 0, first.stderr
    found = assessed(db)
    for zone, true in zip(found["zones"], truth, strict=True):
        assert zone["measured_w_per_k"] == pytest.approx(true, rel=0.01), zone["id"]
        assert zone["low_w_per_k"] < true < zone["high_w_per_k"], zone["id"]
        assert zone["design_w_per_k"] == pytest.approx(getattr(AS_DESIGNED, zone["id"]), rel=1e-3)
        # Where no temperature moves nobody can tell a wall from a door ajar to the next room. The south room, which
        # that door could warm by a quarter of its loss, may stay unjudged, but is never called out.
        fair = {"loses-more"} if factor > 1.0 else {"as-designed"}
        if factor == 1.0 and zone["id"] == "south":
            fair.add("cannot-say-yet")
        assert zone["verdict"] in fair, zone["id"]
    again = ingle("readings", "import", str(tmp_path / "readings.csv"), "--db", str(db))
    assert again.returncode == 0, again.stderr
    assert assessed(db) == found


def test_the_same_readings_over_mqtt_give_the_same_assessment(tmp_path: Path, broker: Any) -> None:
    """Published by mosquitto_pub with their old times, the readings end in the very same verdicts as imported."""
    broker.stop()
    broker.settings = "max_queued_messages 20000\nmax_inflight_messages 200\nset_tcp_nodelay true"
    broker.start()
    for name in ("table", "wire"):
        (tmp_path / name).mkdir()
    by_table, by_wire = loaded(tmp_path / "table"), loaded(tmp_path / "wire")
    write_csv(tmp_path / "readings.csv", AS_DESIGNED)
    assert ingle("readings", "import", str(tmp_path / "readings.csv"), "--db", str(by_table)).returncode == 0
    messages: dict[str, list[str]] = {"heater/north-1": [], "heater/south-1": [], "outdoor": []}
    for at, seconds in moments():
        when = at.isoformat()
        for heater, watts, temp_c in zip(("north-1", "south-1"), powers(AS_DESIGNED), (NORTH_C, SOUTH_C), strict=True):
            body = {"t": when, "power_w": round(watts, 3), "energy_wh": round(watts * seconds / 3600, 3)}
            messages[f"heater/{heater}"].append(json.dumps({**body, "temp_c": temp_c}))
        messages["outdoor"].append(json.dumps({"t": when, "temp_c": OUTSIDE_C}))
    with Daemon(by_wire, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
        for topic, lines in messages.items():
            words = ["mosquitto_pub", "-p", str(broker.port), "-q", "1", "-l", "-t", f"ingle/{topic}/reading"]
            subprocess.run(words, input="\n".join(lines) + "\n", text=True, check=True, timeout=60)
        wanted = sum(map(len, messages.values()))

        def exported() -> int:
            return ingle("readings", "export", "--db", str(by_wire)).stdout.count("\n") - 1

        until(lambda: exported() == wanted, "every message is stored", seconds=60, every=0.5)
        assert daemon.stop() == 0
    assert assessed(by_wire) == assessed(by_table)
