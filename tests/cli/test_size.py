"""``ingle size`` as a person or a script meets it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from ingle.config.house import dump_house
from ingle.model.devices import Circuit
from ingle.model.house import House
from ingle.store.db import Store
from ingle.store.houses import save
from surveys import net_loft, one_room


def ingle(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run ``ingle size`` in a process of its own."""
    command = [sys.executable, "-m", "ingle", "size", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def written(house: House, folder: Path) -> Path:
    """Return a house file."""
    file = folder / "house.toml"
    file.write_text(dump_house(house), encoding="utf-8")
    return file


def crowded() -> House:
    """Return the loft with both heaters on a circuit too small for them."""
    house = net_loft()
    zone = replace(house.zones[0], heaters=tuple(replace(each, circuit="c") for each in house.zones[0].heaters))
    return replace(house, zones=(zone,), circuits=(Circuit(id="c", rated_a=6.0),))


def test_a_room_gets_its_options_circuits_and_cautions(tmp_path: Path) -> None:
    """Load, options with margins, what is installed, the supply, and who decides."""
    done = ingle(written(net_loft(), tmp_path), "--zone", "net-loft")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[1].startswith("load 1931 W (95 % 1749 to 2114 W)")
    row = next(line for line in lines if line.startswith("1500 + 750 W "))
    assert row.split()[4:9] == ["2250", "+16.5", "%", "1988", "9.8"]
    for words in ("+3.6 %", "+29.5 %", "installed: 1500 + 750 W", "competent electrician", "under window"):
        assert words in done.stdout, words


def test_json_is_the_same_in_numbers(tmp_path: Path) -> None:
    """One object with options, what is installed, circuits and cautions."""
    done = ingle(written(net_loft(), tmp_path), "--zone", "net-loft", "--json")
    found = json.loads(done.stdout)
    assert done.returncode == 0
    assert found["zone"] == "net-loft"
    assert {"2 x 1000 W", "1500 + 750 W", "1500 + 1000 W"} <= {each["label"] for each in found["options"]}
    assert set(found["options"][0]["working"][0]) == {"item", "inputs", "formula", "value", "unit", "source"}


def test_what_just_misses_is_listed_with_its_shortfall(tmp_path: Path) -> None:
    """12,020 W in heaters of 1,500 W: nine, or eight and 20 W short; and the survey is doubted."""
    done = ingle(written(one_room(given_w_per_k=601.0), tmp_path), "--zone", "room", "--rating", "1500")
    assert done.returncode == 0
    assert "9 x 1500 W" in done.stdout
    assert "Falls 20 W (0.2 %) short of the 12020 W wanted" in done.stdout
    assert "the survey is likely wrong" in done.stdout


def test_a_warm_up_without_end_reads_never(tmp_path: Path) -> None:
    """No NaN, no number: the word, and where full power settles."""
    file = written(one_room(given_w_per_k=39.57, capacity_wh_per_k=550.0), tmp_path)
    done = ingle(file, "--zone", "room", "--rating", "800", "--warm-from", "16", "--warm-to", "21", "--outdoor", "0")
    assert done.returncode == 0
    assert "never" in done.stdout
    assert "settles at 20.2 °C" in done.stdout
    assert "nan" not in done.stdout.lower()


def test_without_a_zone_the_circuits_of_the_house(tmp_path: Path) -> None:
    """Every circuit, the supply and the standing loss; a circuit that fails is a finding."""
    done = ingle(written(crowded(), tmp_path))
    assert done.returncode == 1
    assert "1500 W + 750 W at 230 V = 9.8 A, more than the 6 A of the radial" in done.stdout
    assert "kWh in a year" in done.stdout
    found = json.loads(ingle(written(crowded(), tmp_path), "--json").stdout)
    assert found["circuits"][0]["verdict"] == "over"


def test_a_circuit_that_fails_is_a_finding_of_its_room(tmp_path: Path) -> None:
    """Exit 1, with everything printed all the same."""
    done = ingle(written(crowded(), tmp_path), "--zone", "net-loft")
    assert done.returncode == 1
    assert "this fails" in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--zone", "attic"], "no zone is called attic; this house has: net-loft"),
        (["--zone", "net-loft", "--rating", "5"], "rating_w: '5' is not allowed; allowed: a number from 100 to 30000"),
        (
            ["--zone", "net-loft", "--voltage", "nan"],
            "voltage_v: 'nan' is not allowed; allowed: a number from 90 to 480",
        ),
        (["--zone", "net-loft", "--element", "steam"], "element: 'steam' is not allowed"),
        (["--zone", "net-loft", "--rating", "500", "--section", "100"], "one of rating_w and section_w, not both"),
        (["--zone", "net-loft", "--warm-to", "12"], "to_c: 12.0 is not allowed"),
        (["--rating", "500"], "name the room with --zone ID"),
    ],
)
def test_bad_input_is_said_in_a_line(tmp_path: Path, words: list[str], said: str) -> None:
    """Exit 2, place, value and what is allowed; nothing on stdout."""
    done = ingle(written(net_loft(), tmp_path), *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr


async def test_the_house_of_the_database(tmp_path: Path) -> None:
    """``--house`` gives what the file gave; neither or both is bad input; a missing database is out of reach."""
    path = tmp_path / "ingle.db"
    store = await Store.open(path)
    await store.write(lambda conn: save(conn, net_loft(), who="Wenna Trask", why="survey", t_ms=1_768_200_000_000))
    await store.close()
    words = ("--zone", "net-loft", "--json")
    from_database = ingle("--house", "--db", path, *words)
    assert from_database.returncode == 0, from_database.stderr
    assert json.loads(from_database.stdout) == json.loads(ingle(written(net_loft(), tmp_path), *words).stdout)
    assert ingle().returncode == 2
    assert ingle("--house", "--db", tmp_path / "none.db").returncode == 3
