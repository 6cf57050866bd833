"""``ingle assess`` finds what is wrong with Tern House, and nothing else, from readings alone."""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from fakes import FakeClock
from ingle.demo.clock import DemoClock
from ingle.demo.prepare import prepare
from ingle.model.design import Design
from ingle.model.house import House

END = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)


@pytest.fixture(name="assessed")
def _assessed(tern_house: House, tern_design: Design, tmp_path: Path) -> tuple[dict[str, Any], dict[str, float]]:
    """Return what the command says of five weeks, by zone, and what each room really loses."""
    database = tmp_path / "tern-house.db"
    site = asyncio.run(prepare(database, tern_house, tern_design, DemoClock(FakeClock(END)), weeks=5))
    command = [sys.executable, "-m", "ingle", "assess", "--json", "--db", str(database)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=100, check=False)
    assert done.returncode == 1, done.stderr  # a finding
    return {zone["id"]: zone for zone in json.loads(done.stdout)["zones"]}, site.true_w_per_k


def test_flaws_are_found_and_sound_rooms_left_alone(
    assessed: tuple[dict[str, Any], dict[str, float]],
) -> None:
    """Room 7 loses more; room 4's element has failed in part, which is no loss; of no other room anything is said."""
    zones, truth = assessed
    assert zones["room-7"]["verdict"] == "loses-more"
    assert zones["room-7"]["causes"][0]["code"] == "leak"
    assert zones["room-7"]["low_w_per_k"] < 71 < zones["room-7"]["high_w_per_k"]
    assert zones["room-4"]["verdict"] != "loses-more"
    assert [cause["code"] for cause in zones["room-4"]["causes"]] == ["part-failed"]
    for zone_id, zone in zones.items():
        assert zone["measured_w_per_k"] == pytest.approx(truth[zone_id], rel=0.25)
        if zone_id not in ("room-4", "room-7"):
            assert zone["verdict"] in ("as-designed", "cannot-say-yet")
            assert zone["causes"] == []
    inside = sum(zone["low_w_per_k"] <= truth[name] <= zone["high_w_per_k"] for name, zone in zones.items())
    assert inside >= 11  # of 13 intervals of 95 %
