"""``ingle assess`` as a person or a script meets it."""

from __future__ import annotations

import json
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from ingle.store.connect import open_writer
from ingle.store.houses import save
from ingle.store.readings import insert
from verdict.still import START_MS, still_house, still_readings


@pytest.fixture(name="db", scope="module")
def _db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the database of a house whose hall loses half as much again as designed."""
    path = tmp_path_factory.mktemp("still") / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, still_house(), who="Wenna Trask", why="survey", t_ms=START_MS)
        insert(conn, list(still_readings(60, 30, every_s=600)))
        conn.execute("COMMIT")
    return path


def ingle(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run ``ingle assess`` in a process of its own."""
    command = [sys.executable, "-m", "ingle", "assess", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def test_a_finding_is_exit_code_1_and_a_table(db: Path) -> None:
    """The hall is flagged, the loft is not."""
    done = ingle("--db", db)
    assert done.returncode == 1
    assert done.stderr == ""
    assert "loses-more" in done.stdout
    assert "as-designed" in done.stdout


def test_no_finding_is_exit_code_0(db: Path) -> None:
    """Asked for the healthy room alone there is nothing to report."""
    done = ingle("--db", db, "--zone", "loft")
    assert done.returncode == 0
    assert "hall" not in done.stdout


def test_json_is_the_whole_assessment(db: Path) -> None:
    """Numbers as numbers, the truth within 1 %."""
    done = ingle("--db", db, "--json", "--from", "2026-01-06", "--to", "2026-01-31")
    found = json.loads(done.stdout)
    hall = found["zones"][0]
    assert hall["id"] == "hall"
    assert hall["measured_w_per_k"] == pytest.approx(60, rel=0.01)
    assert hall["low_w_per_k"] < 60 < hall["high_w_per_k"]
    assert found["from"] == "2026-01-06T00:00:00+00:00"
    assert found["to"] == "2026-01-31T23:50:00+00:00"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--from", "yesterday"), "--from: 'yesterday' is not allowed"),
        (("--from", "2026-02-01", "--to", "2026-01-01"), "later than --from"),
        (("--from", "x", "--to", "0001-01-01"), "--to: '0001-01-01'"),
        (("--zone", "cellar"), "hall, loft"),
    ],
)
def test_bad_words_are_exit_code_2(db: Path, words: tuple[str, ...], told: str) -> None:
    """One line a fault, no traceback."""
    done = ingle("--db", db, *words)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr


def test_a_missing_database_is_exit_code_3(tmp_path: Path) -> None:
    """The file that is not there is named and not made."""
    done = ingle("--db", tmp_path / "none.db")
    assert done.returncode == 3
    assert "none.db" in done.stderr
    assert not list(tmp_path.iterdir())


def test_a_database_without_a_house_says_how_to_load_one(tmp_path: Path) -> None:
    """Readings alone are not enough."""
    path = tmp_path / "ingle.db"
    open_writer(path).close()
    done = ingle("--db", path)
    assert done.returncode == 3
    assert "ingle house load" in done.stderr
