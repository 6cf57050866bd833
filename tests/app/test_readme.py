"""The README's examples are run, and what they print is what it shows."""

from __future__ import annotations

import doctest
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from harness import Daemon, ingle, until

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text()
SAME = doctest.OutputChecker()


def examples(heading: str) -> list[tuple[str, str]]:
    """Return command and shown output of each console example below a heading."""
    section = README.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    blocks = re.findall(r"```console\n(.*?)```", section, flags=re.DOTALL)
    found = []
    for block in blocks:
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output))
    return found


def check(command: str, shown: str, folder: Path) -> None:
    """Run a command as a reader would, and compare."""
    environ = {**os.environ, "PATH": f"{Path(sys.executable).parent}:{os.environ['PATH']}"}
    run = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=environ, capture_output=True, text=True, check=False, timeout=60
    )
    code = re.search(r"^\[exit (\d)\]\n", shown, flags=re.MULTILINE)
    wanted = shown.replace(code[0], "") if code else shown
    assert run.returncode == (int(code[1]) if code else 0), f"{command}\n{run.stdout}{run.stderr}"
    got = run.stdout + run.stderr
    options = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
    assert SAME.check_output(wanted or "...\n", got or "\n", options), f"$ {command}\nshown:\n{wanted}\ngot:\n{got}"


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    """Return a folder that looks like the checkout to a reader of the README."""
    shutil.copytree(ROOT / "config", tmp_path / "config")
    return tmp_path


def test_the_tour_prints_what_it_shows(folder: Path) -> None:
    """Every example of the tour, in order."""
    found = examples("A tour")
    assert len(found) >= 6
    for command, shown in found:
        check(command, shown, folder)


def test_the_served_house_answers_as_shown(folder: Path, broker: Any) -> None:
    """Every example with curl and mosquitto, in order, against a real daemon and a real broker."""
    db = folder / "loft.db"
    assert ingle("house", "load", str(ROOT / "config" / "net-loft.toml"), "--db", str(db)).returncode == 0
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
        for command, shown in examples("Serve it"):
            here = command.replace("http://127.0.0.1:8470", daemon.page)
            here = re.sub(r"^(mosquitto_\w+)", rf"\1 -p {broker.port}", here)
            check(here, shown, folder)
            if "reading" in command and command.startswith("mosquitto_pub"):
                until(lambda: daemon.get("/api/zones")["zones"][0]["temp_c"] == 18.6, "the reading is live")


def test_the_two_commands_stand_where_a_reader_looks_first() -> None:
    """The commands to try and to test come right after the opening, before any heading but the title."""
    opening = README.split("\n## ", 1)[0]
    assert "ingle demo\n```" in opening
    assert "tests/run\n```" in opening
