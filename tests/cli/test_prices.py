"""``ingle house prices`` as a person meets it: a file taken whole, or refused with its lines."""

from __future__ import annotations

import json
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from conftest import Broker
from harness import Daemon
from ingle.model.tariff import Rate, Tariff
from ingle.store.connect import open_readonly, open_writer
from ingle.store.houses import save
from ingle.store.prices import series
from reports.lived import HOUSE

SOUND = """from,to,per_kwh
2026-01-05T00:00:00Z,2026-01-05T00:30:00Z,0.21
2026-01-05T00:30:00+00:00,2026-01-05T01:00:00Z,-0.035
"""
TARIFF = Tariff(start="2026-01-01", currency="GBP", rates=(Rate(per_kwh=0.3),), series="grid")


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    path = tmp_path / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, replace(HOUSE, tariffs=(TARIFF,)), who="Wenna Trask", why="survey", t_ms=0)
        conn.execute("COMMIT")
    return path


def ingle(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a verb in a process of its own."""
    command = [sys.executable, "-m", "ingle", "house", "prices", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def stored(db: Path) -> list[str]:
    """Return the prices of the series as text."""
    with closing(open_readonly(db)) as conn:
        return [str(each) for each in series(conn, "grid", 0, 2**62).per_kwh]


def test_a_file_is_taken_whole(db: Path, tmp_path: Path) -> None:
    """Both prices, one below zero; twice the same file changes nothing."""
    file = tmp_path / "prices.csv"
    file.write_text(SOUND)
    done = ingle(file, "--series", "grid", "--db", db)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("grid: 2 prices from 2026-01-05")
    assert "no tariff" not in done.stdout
    again = ingle(file, "--series", "grid", "--db", db, "--json")
    assert json.loads(again.stdout)["in_use"] is True
    assert stored(db) == ["0.21", "-0.035"]


def test_a_series_that_no_tariff_names_is_said(db: Path, tmp_path: Path) -> None:
    """It is stored all the same, for the tariff may come after its prices."""
    file = tmp_path / "prices.csv"
    file.write_text(SOUND)
    assert 'series = "other"' in ingle(file, "--series", "other", "--db", db).stdout


def test_a_running_daemon_takes_the_file(db: Path, tmp_path: Path, broker: Broker) -> None:
    """The daemon that holds the database stores it, and says the same; a fault comes back as the same line."""
    file, bad = tmp_path / "prices.csv", tmp_path / "bad.csv"
    file.write_text(SOUND)
    bad.write_text(SOUND + "2026-01-05T00:45:00Z,2026-01-05T01:15:00Z,0.2\n")
    with Daemon(db, "--broker", broker.url) as daemon:
        daemon.ready()
        done = ingle(file, "--series", "grid", "--db", db)
        assert (done.returncode, done.stderr) == (0, "")
        shown = daemon.get("/api/prices?series=grid&from=2026-01-05&to=2026-01-05")
        assert [each["per_kwh"] for each in shown["prices"]] == ["0.21", "-0.035"]
        assert daemon.stop() == 0
    assert stored(db) == ["0.21", "-0.035"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "line 1"),
        ("from,per_kwh\n", "the columns from, to, per_kwh"),
        ("from,to,per_kwh\n", "at least one row"),
        (SOUND + "yesterday,2026-01-05T01:30:00Z,0.2\n", "line 4.from: 'yesterday'"),
        (SOUND + "2026-01-05T01:00:00,2026-01-05T01:30:00Z,0.2\n", "line 4.from"),
        (SOUND + "2026-01-05T01:00:00Z,2026-01-05T01:30:00Z,0.2p\n", "line 4.per_kwh: '0.2p'"),
        (SOUND + "2026-01-05T01:00:00Z,2026-01-05T01:30:00Z,nan\n", "line 4.per_kwh"),
        (SOUND + "2026-01-05T01:00:00Z\n", "line 4.to"),
        (SOUND + "2026-01-05T01:00:00Z,2026-01-05T00:30:00Z,0.2\n", "line 4.to"),
        (SOUND + "2026-01-05T00:45:00Z,2026-01-05T01:15:00Z,0.2\n", "line 4.from"),
        ("\xff", "line 1"),
    ],
)
def test_a_fault_names_its_line(db: Path, tmp_path: Path, text: str, told: str) -> None:
    """Refused whole with exit code 2; nothing of the file is stored."""
    file = tmp_path / "prices.csv"
    file.write_text(text)
    done = ingle(file, "--series", "grid", "--db", db)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr
    assert stored(db) == []


def test_bytes_and_names_that_cannot_be(db: Path, tmp_path: Path) -> None:
    """Not UTF-8, no such file, a name that no tariff could have."""
    file = tmp_path / "prices.csv"
    file.write_bytes(b"\xff\xfe\x00")
    done = ingle(file, "--series", "grid", "--db", db)
    assert (done.returncode, "UTF-8" in done.stderr) == (2, True)
    assert ingle(tmp_path / "none.csv", "--series", "grid", "--db", db).returncode == 3
    file.write_text(SOUND)
    done = ingle(file, "--series", "Grid price", "--db", db)
    assert (done.returncode, "--series" in done.stderr) == (2, True)
