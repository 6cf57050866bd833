"""``ingle readings``, run as a person runs it: into a database, beside a daemon, and out again."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from conftest import Broker
from harness import SMALL_HOUSE, Daemon, Outside, ingle, until

TIME_WORDS = "ISO 8601 with offset, such as 2026-01-12T06:00:00+00:00"
HEAD = "time,zone,heater,power_w,energy_wh,temp_c,setpoint_c"


def rows(count: int) -> list[str]:
    """Return five-minute rows of the north heater."""
    start = datetime(2026, 1, 12, tzinfo=timezone(timedelta(hours=1)))
    return [
        f"{(start + step * timedelta(minutes=5)).isoformat()},north,north-1,"
        f"{700 + step % 7},{1000 + step * 60.5:g},18.5,20"
        for step in range(count)
    ]


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    """Return a folder with a house in a database."""
    house = tmp_path / "house.toml"
    house.write_text(SMALL_HOUSE)
    assert ingle("house", "load", str(house), "--db", "a.db", cwd=tmp_path).returncode == 0
    return tmp_path


def csv(folder: Path, *lines: str, name: str = "winter.csv") -> str:
    """Write a file of readings and return its name."""
    (folder / name).write_text("\n".join([HEAD, *lines]) + "\n")
    return name


def take(folder: Path, file: str, *words: str, db: str = "a.db") -> subprocess.CompletedProcess[str]:
    """Import a file."""
    return ingle("readings", "import", file, "--db", db, *words, cwd=folder)


def export(folder: Path, *words: str, db: str = "a.db") -> str:
    """Export a database."""
    out = ingle("readings", "export", "--db", db, *words, cwd=folder)
    assert (out.returncode, out.stderr) == (0, "")
    return out.stdout


def test_import_twice_then_export(folder: Path) -> None:
    """An import is counted; a second one changes nothing and says so; the export holds the same rows."""
    file = csv(folder, *rows(900))
    first = take(folder, file)
    assert (first.returncode, first.stderr) == (0, "")
    assert first.stdout == "winter.csv: 900 rows: 900 stored, 0 known already\n"
    before = export(folder)
    second = take(folder, file)
    assert second.returncode == 0
    assert second.stdout == "winter.csv: 900 rows: 0 stored, 900 known already; nothing is changed\n"
    assert export(folder) == before
    assert len(before.splitlines()) == 901
    assert before.splitlines()[1].startswith("2026-01-11T23:00:00+00:00,north,north-1,700,1000,18.5,20")


def test_what_is_exported_can_be_imported(folder: Path) -> None:
    """Export, import into a new database, export: byte for byte the same."""
    take(folder, csv(folder, *rows(50), "2026-01-12T06:00:00+00:00,outdoor,,,,4.25,"))
    (folder / "out.csv").write_text(export(folder))
    assert ingle("house", "load", "house.toml", "--db", "b.db", cwd=folder).returncode == 0
    assert take(folder, "out.csv", db="b.db").returncode == 0
    assert export(folder, db="b.db") == (folder / "out.csv").read_text()


def test_bad_rows_are_named_kept_apart_and_can_be_mended(folder: Path) -> None:
    """Bad rows are named by line, the header being line 1, and written with their reason; the good ones are stored."""
    file = csv(folder, rows(1)[0], "2026-01-12T06:00:00,north,north-1,700,,,", "", "2026-01-12T06:00:00Z,north,x,1,,,")
    ended = take(folder, file)
    assert ended.returncode == 1
    assert ended.stderr.splitlines() == [
        f"winter.csv: line 3: time: '2026-01-12T06:00:00' has no offset; allowed: {TIME_WORDS}",
        "winter.csv: line 5: heater: 'x' is not in this house",
    ]
    assert ended.stdout == "winter.csv: 3 rows: 1 stored, 0 known already, 2 refused, see winter.rejects.csv\n"
    rejects = (folder / "winter.rejects.csv").read_text().splitlines()
    assert rejects[0] == "line,reason," + HEAD
    assert rejects[2] == "5,heater: 'x' is not in this house,2026-01-12T06:00:00Z,north,x,1,,,"
    mended = [line.replace(",x,", ",north-1,").replace("06:00:00,north", "06:00:00Z,north") for line in rejects]
    (folder / "mended.csv").write_text("\n".join(mended))
    assert (
        take(folder, "mended.csv").stdout
        == "mended.csv: 2 rows: 1 stored, 0 known already, 1 known with other values, of which the first stay\n"
    )


def test_json_and_many_rejects(folder: Path) -> None:
    """The JSON summary counts everything; the terminal names some rejects, the file has them all."""
    ended = take(folder, csv(folder, *rows(10), *["bad"] * 150), "--json")
    assert ended.returncode == 1
    summary = json.loads(ended.stdout)
    assert (summary["rows"], summary["stored"], summary["rejected"]) == (160, 10, 150)
    assert summary["rejects"][0] == {"line": 12, "reason": "1 field, but the header names 7"}
    assert len(ended.stderr.splitlines()) == 21
    assert ended.stderr.splitlines()[-1] == "winter.csv: and 130 more; winter.rejects.csv has all"
    assert len((folder / "winter.rejects.csv").read_text().splitlines()) == 151


def test_bytes_of_any_kind_are_refused_by_line(folder: Path) -> None:
    """Bytes that are no text, and lines without an end, are rows like others: refused, and written back unchanged."""
    junk = b"\xff\xfe\x00junk," + b"9" * 50_000
    (folder / "junk.csv").write_bytes(b"\xef\xbb\xbf" + HEAD.encode() + b"\r\n" + junk + b"\r\n" + rows(1)[0].encode())
    ended = take(folder, "junk.csv")
    assert (ended.returncode, ended.stderr) == (1, "junk.csv: line 2: the line is longer than 2000 characters\n")
    assert "1 stored" in ended.stdout
    assert b"\xff\xfe\x00junk" in (folder / "junk.rejects.csv").read_bytes()


def test_a_first_line_that_is_no_text_is_told_as_that(folder: Path) -> None:
    """A file in another encoding is named for what it is, not for column names nobody can read."""
    (folder / "other.csv").write_bytes(f"{HEAD}\n".encode("utf-16"))
    ended = take(folder, "other.csv")
    assert ended.returncode == 2
    assert ended.stderr == "other.csv: line 1: 'bytes that are not UTF-8' is not allowed; allowed: text in UTF-8\n"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["import", "none.csv", "--db", "a.db"], 2, "'none.csv' is not allowed; allowed: the name of a file"),
        (["import", "house.toml/x.csv", "--db", "a.db"], 2, "'x.csv' is not allowed"),
        (["import", "house.toml", "--db", "none.db"], 3, "there is no database"),
        (["import", "house.toml", "--db", "a.db"], 2, "house.toml: line 1: '' is not allowed"),
        (["export", "--db", "none.db"], 3, "there is no database"),
        (["export", "--db", "a.db", "--zone", "attic"], 2, "--zone: 'attic' is not in this house"),
        (["export", "--db", "a.db", "--from", "monday"], 2, "--from: 'monday' is not allowed"),
    ],
)
def test_what_cannot_be_done_is_said(folder: Path, words: list[str], code: int, said: str) -> None:
    """Wrong input ends with 2, what cannot be reached with 3, each with a sentence and no traceback."""
    ended = ingle("readings", *words, cwd=folder)
    assert ended.returncode == code
    assert said in ended.stderr
    assert "Traceback" not in ended.stderr


def test_an_import_needs_a_house(tmp_path: Path, broker: Broker) -> None:
    """With a database but no house, ids cannot be told from slips: 2, and what to do; also beside a daemon."""
    with Daemon(tmp_path / "empty.db", "--broker", broker.url) as daemon:
        daemon.ready()
        beside = take(tmp_path, csv(tmp_path, *rows(1)), db="empty.db")
    alone = take(tmp_path, csv(tmp_path, *rows(1)), db="empty.db")
    for ended in (beside, alone):
        assert (ended.returncode, ended.stdout) == (2, "")
        assert ended.stderr == "no house is loaded; `ingle house load FILE` loads one\n"


def test_a_span_is_on_the_houses_clock(folder: Path) -> None:
    """A date is the whole day where the house stands."""
    take(folder, csv(folder, *rows(600)))
    out = export(folder, "--from", "2026-01-12", "--to", "2026-01-12", "--zone", "north").splitlines()[1:]
    assert (out[0][:16], out[-1][:16], len(out)) == ("2026-01-12T00:00", "2026-01-12T23:55", 288)


def test_rows_that_came_over_the_air_are_known(folder: Path, broker: Broker) -> None:
    """What was published with its own time, and is then imported from a table, is known already."""
    with Daemon(folder / "a.db", "--broker", broker.url) as daemon:
        daemon.ready()
        until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the daemon listens at the broker")
        outside = Outside(broker.port)
        body = {"t": "2026-01-12T06:00:00Z", "power_w": 812.5, "energy_wh": 1234.5, "temp_c": 18.65, "setpoint_c": 20}
        outside.publish("ingle/heater/north-1/reading", body)
        until(lambda: len(export(folder).splitlines()) == 2, "the reading is stored")
        outside.close()
        ended = take(folder, csv(folder, "2026-01-12T07:00:00+01:00,north,north-1,812.5,1234.5,18.65,20"))
    assert ended.stdout == "winter.csv: 1 row: 0 stored, 1 known already; nothing is changed\n"


def test_a_broken_off_import_is_taken_up_again(folder: Path) -> None:
    """An import that is killed leaves whole chunks behind; the next one adds what is missing and nothing twice."""
    lines = rows(12_000)
    os.mkfifo(folder / "slow.csv")
    words = [sys.executable, "-m", "ingle", "readings", "import", "slow.csv", "--db", "a.db"]
    with (
        subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as broken,
        (folder / "slow.csv").open("wb", buffering=0) as pipe,
    ):
        pipe.write("\n".join([HEAD, *lines[:9000], ""]).encode())
        until(lambda: len(export(folder).splitlines()) > 1, "the first chunk is stored")
        broken.kill()
    before = len(export(folder).splitlines()) - 1
    assert 0 < before < 9000
    summary = json.loads(take(folder, csv(folder, *lines), "--json").stdout)
    assert (summary["stored"], summary["known"], summary["rejected"]) == (12_000 - before, before, 0)
    assert len(export(folder).splitlines()) == 12_001


@pytest.fixture(name="served")
def _served(folder: Path, broker: Broker) -> Iterator[Daemon]:
    with Daemon(folder / "a.db", "--broker", broker.url) as daemon:
        yield daemon.ready()


@pytest.mark.usefixtures("served")
def test_beside_a_daemon_it_is_the_same(folder: Path) -> None:
    """While the daemon holds the database the import goes through it, with the same words and codes."""
    file = csv(folder, *rows(5000), "bad")
    ended = take(folder, file)
    assert (ended.returncode, ended.stderr) == (1, "winter.csv: line 5002: 1 field, but the header names 7\n")
    assert ended.stdout == "winter.csv: 5001 rows: 5000 stored, 0 known already, 1 refused, see winter.rejects.csv\n"
    assert "5000 known already, 1 refused" in take(folder, file).stdout
    assert len(export(folder).splitlines()) == 5001
    (folder / "head.csv").write_text("time;zone\n1;2\n")
    refused = take(folder, "head.csv")
    assert (refused.returncode, "head.csv: line 1" in refused.stderr) == (2, True)
