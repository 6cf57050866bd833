"""``ingle explain`` as a person or a script meets it, with a daemon and without."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from harness import SMALL_HOUSE, Daemon, Outside, ingle, until


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    file = tmp_path / "house.toml"
    file.write_text(SMALL_HOUSE)
    db = tmp_path / "ingle.db"
    done = ingle("house", "load", str(file), "--db", str(db))
    assert done.returncode == 0, done.stderr
    return db


def test_the_running_house_answers_and_later_the_record(broker: Any, db: Path) -> None:
    """With a daemon: of now, by its live state. Without: the last decision, saying that none runs."""
    outside = Outside(broker.port)
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: outside.wanted("north-1"), "the first order")
        outside.publish("ingle/heater/north-1/reading", {"power_w": 1200, "temp_c": 12.25})
        until(lambda: daemon.get("/api/zones/north")["temp_c"] == 12.25, "the zone shows the temperature")
        live = ingle("explain", "--zone", "north", "--db", str(db))
        assert (live.returncode, live.stderr) == (0, "")
        assert live.stdout.startswith("North room is at 12.2 °C, 3.8 K below the 16 °C wanted")
        assert "From the running house, now." in live.stdout
        assert "no-programme" in live.stdout
        ways = ingle("explain", "--zone", "north", "--what-if", "--outdoor", "5", "--db", str(db), "--json")
        held = next(case for case in json.loads(ways.stdout)["cases"] if case["code"] == "held")
        assert held["kwh_per_day"] == pytest.approx(40 * 11 * 24 / 1000)
        wrong = ingle("explain", "--zone", "attic", "--db", str(db))
        assert (wrong.returncode, wrong.stdout) == (2, "")
        assert wrong.stderr == "zone 'attic' is not in this house; it has: north, south\n"
        assert daemon.stop() == 0
    outside.close()
    dead = ingle("explain", "--zone", "north", "--db", str(db), "--json")
    found = json.loads(dead.stdout)
    assert dead.returncode == 0
    assert found["source"] == "record"
    assert found["basis"].startswith("No ingle runs here now, so this is from the record: the decision noted")
    assert (found["temp_c"], found["wanted_c"], found["rule"]) == (12.25, 16.0, "no-programme")
    assert found["sentence"].startswith("North room is at 12.2 °C")


def test_where_nothing_was_decided_the_plan_is_told(db: Path) -> None:
    """No decision in the record: said, with what the programme would want."""
    done = ingle("explain", "north", "--db", str(db))
    assert done.returncode == 0
    assert done.stdout.startswith("No decision is noted for North room up to then")
    assert "would want 16 °C (setback)" in done.stdout


def test_what_if_is_a_table_with_its_assumptions(db: Path) -> None:
    """Each way with kWh a day, what it is against the programme, and everything assumed."""
    done = ingle("explain", "--zone", "north", "--what-if", "--outdoor", "5", "--less-k", "2", "--db", str(db))
    assert (done.returncode, done.stderr) == (0, "")
    for words in ("programme", "late", "held", "2 K less", "40.0 W/K", "no money is shown", "2,000 W", "5 °C outside"):
        assert words in done.stdout, words


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--zone", "attic"], "zone 'attic' is not in this house; it has: north, south"),
        (["--zone", "north", "--at", "noon"], "--at: 'noon' is not allowed"),
        (["--zone", "north", "--at", "2090-01-01"], "an instant up to now"),
        (["--zone", "north", "--what-if"], "outdoor_c: nothing is not allowed; allowed: the temperature outside"),
        (["--zone", "north", "--what-if", "--outdoor", "warm"], "outdoor_c: 'warm' is not allowed"),
        (["--zone", "north", "--outdoor", "5"], "those options go with --what-if"),
        (["--zone", "north", "--what-if", "--at", "2026-01-01"], "--at goes without --what-if"),
        ([], "name one room: ingle explain ZONE, or --zone ID"),
        (["north", "--zone", "south"], "name one room"),
        (["attic"], "zone 'attic' is not in this house; it has: north, south"),
    ],
)
def test_bad_input_is_said_in_a_line(db: Path, words: list[str], said: str) -> None:
    """Exit 2, place, value and what is allowed; nothing on stdout."""
    done = ingle("explain", *words, "--db", str(db))
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr


def test_a_missing_database_cannot_be_reached(tmp_path: Path) -> None:
    """Exit 3 with the file's name."""
    done = ingle("explain", "--zone", "north", "--db", str(tmp_path / "none.db"))
    assert done.returncode == 3
    assert "none.db" in done.stderr
