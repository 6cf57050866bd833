"""A heating test in the daemon as its users meet it: started, killed in the middle, gone on with, stopped, told."""

from __future__ import annotations

import urllib.error
from pathlib import Path
from typing import Any

import pytest

from harness import Daemon, Outside, ingle, until

PLAN = {"zones": ["north"], "temp_c": 21, "nights": 4, "empty": True, "who": "Wenna Trask", "why": "sign-off"}


def speak(outside: Outside, seq: int) -> None:
    """Let both heaters and the outdoor sensor report."""
    for heater in ("north-1", "south-1"):
        body = {"boot": "b", "seq": seq, "energy_wh": 1000.0 + seq, "energy_is": "metered", "temp_c": 19.0}
        outside.publish(f"ingle/heater/{heater}/reading", body)
    outside.publish("ingle/outdoor/reading", {"temp_c": 3.0})


def ready(daemon: Daemon) -> bool:
    """Whether nothing stands against a test any more."""
    return not daemon.post("/api/heating-tests/look", PLAN)["refusals"]


def test_a_test_outlives_a_kill_and_is_told_at_its_end(broker: Any, outside: Outside, db: Path) -> None:
    """The order stands again after a kill, a second start is refused, a stop ends it, and a child tells its nights."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
        speak(outside, 1)
        until(lambda: ready(daemon), "a test may start")
        started = daemon.post("/api/heating-tests", PLAN)
        assert (started["test"]["number"], started["test"]["stage"]) == (1, "settling")
        until(lambda: outside.wanted("north-1").get("setpoint_c") == 21.0, "the level reaches the heater")
        assert outside.wanted("south-1").get("setpoint_c") != 21.0
        daemon.kill()
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        shown = daemon.get("/api/heating-tests/1")
        assert shown["test"]["stage"] == "settling"
        assert shown["waits_for"].startswith("The rooms warm through until")
        assert daemon.get("/api/zones/north")["rule"] == "heating-test"
        speak(outside, 2)
        with pytest.raises(urllib.error.HTTPError) as refused:
            daemon.post("/api/heating-tests", PLAN)
        assert refused.value.code == 409
        assert "heating test 1 is settling" in refused.value.read().decode()
        ended = daemon.post("/api/heating-tests/1/stop", {"who": "Wenna Trask", "why": "guests"})
        assert ended["test"]["stage"] == "ended-early"
        assert ended["test"]["reason"].endswith(": guests")
        until(lambda: outside.wanted("north-1").get("setpoint_c") == 16.0, "the programme rules again")
        until(lambda: daemon.get("/api/heating-tests/1")["result"] is not None, "its nights are told", seconds=90)
        (room,) = daemon.get("/api/heating-tests/1")["result"]["zones"]
        assert room["measured_w_per_k"] is None
        assert room["missing"] == ["0 good nights of the 3 it takes at least; start another test."]
        loaded = Path(f"/proc/{daemon.process.pid}/maps").read_text()
        assert "numpy" not in loaded
        assert daemon.stop() == 0
    asked = ingle("assess", "--test", "1", "--db", str(db))
    assert asked.returncode == 0, asked.stderr
    assert "ended-early" in asked.stdout
    assert "0 good nights" in asked.stdout
    assert ingle("assess", "--test", "2", "--db", str(db)).stderr.strip() == "there is no heating test 2"
