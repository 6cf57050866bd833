"""Forecasts and carbon on the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from harness import SMALL_HOUSE, Daemon, ingle

FACTORS = 'name = "Invented factors"\nregion = "Haverlock"\n[[factor]]\nyear = 2026\nkg_per_kwh = 0.2\n'
READINGS = (
    "time,zone,heater,power_w,energy_wh,temp_c,setpoint_c\n"
    "2026-01-05T00:00:00Z,north,north-1,1000,0,18,19\n"
    "2026-01-05T06:00:00Z,north,north-1,1000,6000,19,19\n"
)


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    file, rows, db = tmp_path / "house.toml", tmp_path / "rows.csv", tmp_path / "ingle.db"
    file.write_text(SMALL_HOUSE)
    rows.write_text(READINGS)
    for words in (["house", "load", str(file)], ["readings", "import", str(rows)]):
        done = ingle(*words, "--db", str(db))
        assert done.returncode == 0, done.stderr
    return db


def test_what_was_said_is_listed_with_its_score(broker: Any, db: Path) -> None:
    """None yet, said so; then one made over HTTP, with its kWh, limits and that its days have not begun."""
    assert ingle("cost", "--forecasts", "--db", str(db)).stdout.startswith("No forecast has been made yet")
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        made = daemon.post("/api/forecasts", {"outdoor_c": 5, "who": "Wenna"})
        assert daemon.stop() == 0
    done = ingle("cost", "--forecasts", "--db", str(db))
    assert (done.returncode, done.stderr) == (0, "")
    assert "1: Its days have not begun." in done.stdout
    assert f"{made['forecast']['kwh']:,.0f}" in done.stdout
    assert "by design, programme and plates" in done.stdout
    found = json.loads(ingle("cost", "--forecasts", "--json", "--db", str(db)).stdout)
    assert found["forecasts"][0]["forecast"] == made["forecast"]


def test_carbon_by_a_file_of_factors(db: Path, tmp_path: Path) -> None:
    """6 kWh at 0.2 are 1.2 kg, with the name of the factors; without a file there is no carbon in the answer."""
    file = tmp_path / "carbon.toml"
    file.write_text(FACTORS)
    span = ("--from", "2026-01-05", "--to", "2026-01-05", "--db", str(db))
    done = ingle("energy", "--carbon", str(file), *span)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Carbon by Invented factors, Haverlock" in done.stdout
    assert done.stdout.splitlines()[2].split() == ["2026", "6.0", "0.2", "1.2"]
    found = json.loads(ingle("energy", "--carbon", str(file), "--json", *span).stdout)
    assert found["kg"] == pytest.approx(1.2)
    assert "kg" not in ingle("energy", *span).stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["energy", "--carbon", "none.toml"], "none.toml"),
        (["energy", "--carbon", "BAD"], "factor[0].kg_per_kwh: -1.0 is not allowed; allowed: a number from 0 to 3"),
        (["energy", "--carbon", "BAD", "--days"], "--carbon goes with --from, --to and --json"),
        (["cost", "--forecasts", "--days"], "--forecasts stands alone"),
    ],
)
def test_bad_input_is_said_in_a_line(db: Path, tmp_path: Path, words: list[str], said: str) -> None:
    """Exit 2, place, value and what is allowed; nothing on stdout."""
    bad = tmp_path / "bad.toml"
    bad.write_text(FACTORS.replace("0.2", "-1.0"))
    done = ingle(*(str(bad) if word == "BAD" else word for word in words), "--db", str(db))
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
