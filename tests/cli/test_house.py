"""``ingle house``, run as a person runs it."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from ingle.config.house import parse_house
from ingle.store.connect import open_readonly
from ingle.store.houses import current
from ingle.store.lock import take_lock

CHAPEL = """
[house]
name = "Quay Chapel"
timezone = "Europe/London"
outdoor_design_c = -3

[[zone]]
id = "hall"
name = "Hall"
floor_area_m2 = 80
height_m = 5

[[zone.heater]]
id = "hall-1"
rated_w = 2400
"""


def ingle(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a command and return how it ended."""
    return subprocess.run(
        [sys.executable, "-m", "ingle", *map(str, words)], capture_output=True, text=True, check=False, cwd=cwd
    )


@pytest.fixture(name="chapel")
def _chapel(tmp_path: Path) -> Path:
    """Return a house file."""
    path = tmp_path / "chapel.toml"
    path.write_text(CHAPEL)
    return path


COOL = """floor_area_m2 = 80
vulnerable = true
levels.occupied_c = 17
"""


def test_someone_vulnerable_is_kept_cooler_only_with_a_reason(chapel: Path) -> None:
    """Without one the file is checked and worked out with a warning that names 18 °C, but not loaded."""
    folder = chapel.parent
    chapel.write_text(CHAPEL.replace("floor_area_m2 = 80\n", COOL))
    checked, shown = ingle("house", "check", chapel, cwd=folder), ingle("design", chapel, cwd=folder)
    assert (checked.returncode, shown.returncode) == (0, 0)
    assert "To be loaded it needs a reason: chapel.toml: zone[0].levels.occupied_c: 17.0" in checked.stdout
    assert "17 °C is below the 18 °C" in shown.stdout
    refused = ingle("house", "load", chapel, "--db", "a.db", "--why", " ", cwd=folder)
    assert refused.returncode == 2
    assert "at least 18 °C where someone vulnerable lives, as in hall" in refused.stderr
    assert not (folder / "a.db").exists()
    said = ingle("house", "load", chapel, "--db", "a.db", "--why", "their doctor advises it", cwd=folder)
    assert "revision 1" in said.stdout
    chapel.write_text(CHAPEL.replace("floor_area_m2 = 80\n", COOL + 'cooler_reason = "feverish, by doctor"\n'))
    assert "revision 2" in ingle("house", "load", chapel, "--db", "a.db", cwd=folder).stdout
    assert "the reason given: feverish, by doctor." in ingle("design", chapel, cwd=folder).stdout


def test_load_dump_history(chapel: Path) -> None:
    """A loaded house is the database's newest revision, comes back as a house file, and is in the history."""
    folder = chapel.parent
    loaded = ingle("house", "load", chapel, "--db", "a.db", "--who", "Wenna Trask", "--why", "survey", cwd=folder)
    assert (loaded.returncode, loaded.stderr) == (0, "")
    assert loaded.stdout == "Quay Chapel: revision 1, 1 zone, 1 heater\n"
    dumped = ingle("house", "dump", "--db", "a.db", cwd=folder)
    assert parse_house(dumped.stdout, "dump") == parse_house(CHAPEL, "chapel.toml")
    chapel.write_text(CHAPEL.replace("2400", "2000"))
    assert "revision 2" in ingle("house", "load", chapel, "--db", "a.db", cwd=folder).stdout
    first = ingle("house", "dump", "--db", "a.db", "--revision", "1", cwd=folder)
    assert first.stdout == dumped.stdout
    history = json.loads(ingle("house", "history", "--json", "--db", "a.db", cwd=folder).stdout)
    assert [(line["revision"], line["why"]) for line in history] == [(1, "survey"), (2, "")]
    assert history[0]["who"] == "Wenna Trask"
    assert history[0]["design_version"] == history[1]["design_version"] != ""
    table = ingle("house", "history", "--db", "a.db", cwd=folder)
    assert [line.split()[0] for line in table.stdout.splitlines()] == ["revision", "1", "2"]


def test_the_database_is_where_the_settings_say(chapel: Path) -> None:
    """Without --db the settings file names the database, by flag or by environment."""
    folder = chapel.parent
    settings = folder / "ingle.toml"
    settings.write_text('database = "data/chapel.db"')
    assert ingle("house", "load", chapel, "--config", settings, cwd=folder).returncode == 0
    assert (folder / "data" / "chapel.db").exists()


def test_a_bad_file_is_refused_whole(chapel: Path) -> None:
    """Every fault is a line with file, place, value and what is allowed; no database is made; exit 2."""
    chapel.write_text(CHAPEL.replace("height_m = 5", "height = 5").replace("rated_w = 2400", "rated_w = nan"))
    for verb in ("load", "check"):
        done = ingle("house", verb, chapel, "--db", "a.db", cwd=chapel.parent)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.splitlines() == [
            "chapel.toml: zone[0].height: 5 is not allowed; allowed: no such key here; did you mean height_m?",
            "chapel.toml: zone[0].heater[0].rated_w: nan is not allowed; allowed: a number above 0 and at most 30000",
            "chapel.toml: zone[0].volume_m3: nothing is not allowed; allowed: volume_m3 or height_m (one is needed)",
        ]
    assert not (chapel.parent / "a.db").exists()


def test_check_says_that_a_file_is_fine(chapel: Path) -> None:
    """A file without fault is exit 0 and one line, and loads nothing."""
    done = ingle("house", "check", chapel, cwd=chapel.parent)
    assert (done.returncode, done.stdout) == (0, "chapel.toml: Quay Chapel, 1 zone, 1 heater; no fault\n")
    assert [path.name for path in chapel.parent.iterdir()] == ["chapel.toml"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("dump", "--db", "none.db"), 3, "there is no database"),
        (("history", "--db", "none.db"), 3, "there is no database"),
        (("load", "none.toml", "--db", "a.db"), 2, "'none.toml' is not allowed"),
        (("check", "none.toml"), 2, "'none.toml' is not allowed"),
        (("load", "chapel.toml", "--db", "chapel.toml/a.db"), 3, "cannot be made"),
        (("load", "chapel.toml", "--why", "x" * 1001, "--db", "a.db"), 2, "--why"),
        (("dump", "--config", "chapel.toml"), 2, "no such key here"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(chapel: Path, words: tuple[str, ...], code: int, said: str) -> None:
    """A missing database ends with 3, a wrong file name and other bad input with 2; never with a traceback."""
    done = ingle("house", *words, cwd=chapel.parent)
    assert (done.returncode, done.stdout) == (code, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_an_empty_database_and_a_missing_revision_are_named(chapel: Path) -> None:
    """A revision that was never made is bad input."""
    folder = chapel.parent
    ingle("house", "load", chapel, "--db", "a.db", cwd=folder)
    done = ingle("house", "dump", "--revision", "7", "--db", "a.db", cwd=folder)
    assert (done.returncode, "no revision 7" in done.stderr) == (2, True)


def test_a_locked_database_is_not_written(chapel: Path) -> None:
    """While another process holds the lock and no daemon answers, loading ends with 3 and changes nothing."""
    folder = chapel.parent
    database = folder / "a.db"
    ingle("house", "load", chapel, "--db", database, cwd=folder)
    with take_lock(database):
        done = ingle("house", "load", chapel, "--db", database, cwd=folder)
    assert (done.returncode, done.stdout) == (3, "")
    assert "does not answer" in done.stderr
    conn = open_readonly(database)
    newest = current(conn)
    conn.close()
    assert newest is not None
    assert newest.number == 1


@pytest.fixture(name="served")
def _served(tmp_path: Path) -> Iterator[Path]:
    """Return the database of a running daemon, whose broker does not answer."""
    database = tmp_path / "served.db"
    words = ["serve", "--db", str(database), "--listen", "127.0.0.1:0", "--broker", "mqtt://127.0.0.1:1"]
    daemon = subprocess.Popen(
        [sys.executable, "-m", "ingle", *words], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    assert daemon.stdout is not None
    assert "http://127.0.0.1:" in daemon.stdout.readline()
    yield database
    daemon.terminate()
    daemon.communicate(timeout=15)


def test_a_running_daemon_takes_the_house(chapel: Path, served: Path) -> None:
    """With a daemon the words, faults and exit codes are the same, and it is the daemon that writes."""
    folder = chapel.parent
    loaded = ingle("house", "load", chapel, "--db", served, "--who", "Wenna Trask", "--why", "live", cwd=folder)
    assert (loaded.returncode, loaded.stdout) == (0, "Quay Chapel: revision 1, 1 zone, 1 heater\n")
    chapel.write_text(CHAPEL.replace("height_m = 5", ""))
    refused = ingle("house", "load", chapel, "--db", served, cwd=folder)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "chapel.toml: zone[0].volume_m3" in refused.stderr
    history = json.loads(ingle("house", "history", "--json", "--db", served, cwd=folder).stdout)
    assert [(line["who"], line["why"]) for line in history] == [("Wenna Trask", "live")]
