"""``ingle design`` as a person or a script meets it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from ingle.config.house import dump_house
from ingle.design import design_house
from ingle.model.envelope import Element
from ingle.model.house import House
from ingle.model.provenance import Provenance
from ingle.store.db import Store
from ingle.store.houses import save
from surveys import net_loft, two_rooms

PARTY = Element(name="partition", kind="party", area_m2=12.0, u_w_per_m2k=1.7, beyond="zone:cool")


def ingle(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run ``ingle design`` in a process of its own."""
    command = [sys.executable, "-m", "ingle", "design", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def written(house: House, folder: Path) -> Path:
    """Return a house file."""
    file = folder / "house.toml"
    file.write_text(dump_house(house), encoding="utf-8")
    return file


async def stored(house: House, path: Path) -> None:
    """Put a house into a new database."""
    store = await Store.open(path)
    await store.write(lambda conn: save(conn, house, who="Wenna Trask", why="survey", t_ms=1_768_200_000_000))
    await store.close()


def test_a_file_gives_a_row_a_room_and_the_total(tmp_path: Path) -> None:
    """The table has units, the load, its band, the total and what nobody vouched for."""
    done = ingle(written(net_loft(), tmp_path))
    assert done.returncode == 0
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    assert "domestic method" in lines[0]
    assert "sum W/K" in lines[2]
    row = ["net-loft", "21", "46.7", "4.7", "19.3", "70.7", "61.1", "305", "1931", "1749", "to", "2114"]
    assert lines[3].split() == row
    assert any(line.startswith("total 1931 W") for line in lines)
    assert sum(line.startswith("Without provenance") for line in lines) == 1
    beside = next(" ".join(line.split()) for line in lines if line.startswith("net-loft") and "gable" in line)
    assert beside == "net-loft 64 10 to 212 2.78 0.3 to 9.2 1373 to 3432 U of gable 1931"


def test_a_total_of_several_rooms_has_its_band_and_what_one_source_would_need(tmp_path: Path) -> None:
    """Both stand below the table, each once."""
    house = two_rooms(PARTY)
    doubt = Provenance(kind="assumed", low=0.3, high=0.8)
    wall = replace(house.zones[1].elements[0], provenance={"u_w_per_m2k": doubt})
    house = replace(house, zones=(house.zones[0], replace(house.zones[1], elements=(wall,))))
    design = design_house(house)
    lines = ingle(written(house, tmp_path)).stdout.splitlines()
    (total,) = (line for line in lines if line.startswith("total"))
    assert f"95 % {design.total_low_w:.0f} to {design.total_high_w:.0f} W" in total
    (one,) = (line for line in lines if line.startswith("one source"))
    assert f"{design.one_source_w:.0f} W" in one


def test_json_has_the_documented_shape(tmp_path: Path) -> None:
    """Every documented key is there, numbers as numbers."""
    done = ingle(written(net_loft(method="en12831"), tmp_path), "--json")
    design = json.loads(done.stdout)
    assert done.returncode == 0
    assert {"design_version", "method", "outdoor_design_c", "zones", "total_w"} <= set(design)
    (zone,) = design["zones"]
    assert {
        "id",
        "fabric_w_per_k",
        "bridges_w_per_k",
        "ventilation_w_per_k",
        "heat_loss_w_per_k",
        "in_use_w_per_k",
        "reheat_w",
        "heat_loss_w",
        "low_w",
        "high_w",
        "working",
        "warnings",
    } <= set(zone)
    assert set(zone["working"][0]) == {"item", "inputs", "formula", "value", "unit", "source"}
    assert zone["heat_loss_w"] == pytest.approx(1640 + 305, abs=1)
    assert design["method"] == "en12831"


def test_zone_prints_the_whole_working(tmp_path: Path) -> None:
    """Each step with its inputs, formula, value, unit and source."""
    done = ingle(written(net_loft(), tmp_path), "--zone", "net-loft")
    assert done.returncode == 0
    for words in ("gable", "A·U·f", "0.33 n·V", "thermal bridges", "reheat", "1931 W", "coefficient in use", "survey"):
        assert words in done.stdout, words


def test_zone_narrows_json_but_not_the_total(tmp_path: Path) -> None:
    """One zone of two; the house total stays the house's."""
    file = written(two_rooms(PARTY), tmp_path)
    whole, narrowed = (json.loads(ingle(file, "--json", *more).stdout) for more in ((), ("--zone", "cool")))
    assert [zone["id"] for zone in narrowed["zones"]] == ["cool"]
    assert narrowed["total_w"] == whole["total_w"]


def test_an_unknown_zone_is_said_with_the_known_ones(tmp_path: Path) -> None:
    """Exit 2 and one line on stderr."""
    done = ingle(written(net_loft(), tmp_path), "--zone", "attic")
    assert done.returncode == 2
    assert done.stderr.splitlines() == ["no zone is called attic; this house has: net-loft"]
    assert done.stdout == ""


def test_a_bad_file_is_refused_with_every_fault(tmp_path: Path) -> None:
    """Exit 2, one line per fault, naming file, place, value and what is allowed."""
    file = tmp_path / "house.toml"
    file.write_text('[house]\nname = ""\noutdoor_design_c = "cold"\n', encoding="utf-8")
    done = ingle(file)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 2
    assert all(line.startswith("house.toml: house.") and "allowed:" in line for line in done.stderr.splitlines())


@pytest.mark.parametrize("words", [(), ("house.toml", "--house")])
def test_a_file_or_the_database_but_one_of_them(words: tuple[str, ...]) -> None:
    """Neither and both are bad input."""
    done = ingle(*words)
    assert done.returncode == 2
    assert "one of the two" in done.stderr


def test_a_missing_file_is_bad_input_and_a_missing_database_cannot_be_reached(tmp_path: Path) -> None:
    """A wrong file name is the writer's slip (2), a database that is not there is not (3); both named in a line."""
    for words, code in (((tmp_path / "none.toml",), 2), (("--house", "--db", tmp_path / "none.db"), 3)):
        done = ingle(*words)
        assert done.returncode == code
        assert str(tmp_path) in done.stderr
        assert len(done.stderr.splitlines()) == 1


async def test_the_house_of_the_database(tmp_path: Path) -> None:
    """``--house`` gives what the file gave, from the newest revision."""
    path = tmp_path / "ingle.db"
    await stored(net_loft(), path)
    from_database = ingle("--house", "--db", path, "--json")
    from_file = ingle(written(net_loft(), tmp_path), "--json")
    assert from_database.returncode == 0, from_database.stderr
    assert json.loads(from_database.stdout) == json.loads(from_file.stdout)


async def test_a_database_without_a_house(tmp_path: Path) -> None:
    """Exit 3, and how to load one."""
    path = tmp_path / "ingle.db"
    store = await Store.open(path)
    await store.close()
    done = ingle("--house", "--db", path)
    assert done.returncode == 3
    assert "ingle house load" in done.stderr
