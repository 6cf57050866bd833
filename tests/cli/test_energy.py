"""``ingle energy`` and ``ingle cost`` as a person or a script meets them."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from ingle.model.instants import to_ms
from ingle.store.connect import open_writer
from ingle.store.houses import save
from reports.lived import FIRST, HOUSE, SECOND, World


@pytest.fixture(name="db", scope="module")
def _db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the database of a house that lived through two bills: the second colder, warmer kept, and dearer."""
    path = tmp_path_factory.mktemp("lived") / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, HOUSE, who="Wenna Trask", why="survey", t_ms=to_ms(FIRST))
        world = World(conn)
        world.period(FIRST, 28)
        world.period(SECOND, 28, warm_c=21.5, outdoor_c=lambda day: 3.0 + day % 4, per_kwh="0.31")
        conn.execute("COMMIT")
    return path


def ingle(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a verb in a process of its own."""
    command = [sys.executable, "-m", "ingle", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def answer(*words: str | Path) -> str:
    """Run a verb that must do, and return what it said."""
    done = ingle(*words)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_energy_by_zone(db: Path) -> None:
    """January's first week: each zone, the total, how it is known; the same numbers as JSON."""
    words = ("energy", "--db", db, "--from", "2026-01-01", "--to", "2026-01-07")
    said = answer(*words)
    assert "loft" in said
    assert "metered" in said
    found = json.loads(answer(*words, "--json"))
    # 120 W/K x (17.333 - 3 - 7) K on average x 168 h; days of 6, 7 and 8 °C come round, the seventh is of 6 °C again
    assert found["total_wh"] == pytest.approx(120 * (7 * (17 + 1 / 3 - 3) - (3 * 6 + 2 * 7 + 2 * 8)) * 24, rel=1e-6)
    assert f"{found['total_wh'] / 1000:,.2f}" in said


def test_energy_of_one_zone(db: Path) -> None:
    """Only what is asked for, in words and in JSON."""
    found = json.loads(answer("energy", "--db", db, "--from", "2026-01-01", "--zone", "hall", "--json"))
    assert [zone["zone"] for zone in found["zones"]] == ["hall"]
    assert found["total_wh"] == found["zones"][0]["energy_wh"]
    assert "loft" not in answer("energy", "--db", db, "--from", "2026-01-01", "--zone", "hall")


def test_without_a_span_it_is_the_month_of_the_newest_reading(db: Path) -> None:
    """An old record is shown as it was, not an empty month of today."""
    found = json.loads(answer("energy", "--db", db, "--json"))
    assert (found["from"], found["to"]) == ("2026-02-01T00:00:00Z", "2026-02-26T00:00:00Z")


def test_days_and_csv(db: Path) -> None:
    """Day by day beside the cold; as CSV a row for each day and zone, read back by any program."""
    said = answer("energy", "--db", db, "--days", "--from", "2026-01-01", "--to", "2026-01-03")
    assert "K·d below 15.5" in said
    assert said.count("2026-01-0") == 3
    rows = list(
        csv.DictReader(answer("energy", "--db", db, "--csv", "--from", "2026-01-01", "--to", "2026-01-03").splitlines())
    )
    assert [(row["date"], row["zone"]) for row in rows[:3]] == [
        ("2026-01-01", "loft"),
        ("2026-01-01", "hall"),
        ("2026-01-02", "loft"),
    ]
    assert float(rows[0]["energy_wh"]) == pytest.approx(2 * float(rows[1]["energy_wh"]))


def test_one_period_beside_another(db: Path) -> None:
    """More a day; the sentence and both rows; by default beside as many days before."""
    words = ("energy", "--db", db, "--from", "2026-01-29", "--to", "2026-02-25")
    said = answer(*words, "--with-to", "2026-01-28")
    assert "A day uses more" in said
    found = json.loads(answer(*words, "--with-from", "2026-01-01", "--json"))
    assert (found["period"]["days"], found["other"]["days"]) == (28, 28)
    assert found["other"]["from"] == "2026-01-01T00:00:00Z"


def test_cost_by_zone_and_heater(db: Path) -> None:
    """What it cost, with the rate, the standing charge and the total; the same to the hundredth as JSON and CSV."""
    words = ("cost", "--db", db, "--from", "2026-01-01", "--to", "2026-01-28")
    said, found = answer(*words), json.loads(answer(*words, "--json"))
    assert Decimal(found["units"]) + Decimal(found["standing"]) == Decimal(found["total"])
    assert found["standing"] == "14.00"
    assert found["total"] in said
    assert "at 0.3" in said
    rows = list(csv.DictReader(answer(*words, "--csv").splitlines()))
    assert [row["heater"] for row in rows] == ["loft-1", "hall-1"]
    assert rows[0]["total"] == found["zones"][0]["total"]
    days = list(csv.DictReader(answer(*words, "--days", "--csv").splitlines()))
    assert len(days) == 28
    assert days[0]["total"] == found["by_day"][0]["total"]


def test_bills_and_why(db: Path) -> None:
    """The bills in a list, and the steps between them: colder, warmer rooms, a dearer kWh; they add up."""
    assert "2026-01-29" in answer("cost", "--db", db, "--bills")
    assert len(json.loads(answer("cost", "--db", db, "--bills", "--json"))["bills"]) == 2
    said = answer("cost", "--db", db, "--bill", "2", "--against", "1")
    assert "colder" in said
    assert "averaged over all orders" in said
    found = json.loads(answer("cost", "--db", db, "--bill", "2", "--json"))
    steps = {step["code"]: Decimal(step["money"]) for step in found["steps"]}
    assert sum(steps.values()) == Decimal(found["difference"])
    assert min(steps["weather"], steps["warmer"], steps["price"]) > 5
    assert abs(steps["unexplained"]) < 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("energy", "--from", "yesterday"), "--from: 'yesterday' is not allowed"),
        (("energy", "--with-from", "2026-03-01", "--with-to", "2026-01-01"), "later than --with-from"),
        (("energy", "--zone", "cellar"), "loft, hall"),
        (("energy", "--csv", "--json"), "one of the two"),
        (("cost", "--to", "2026-02-30"), "--to: '2026-02-30' is not allowed"),
        (("cost", "--from", "2026-02-01", "--to", "2026-01-01"), "later than --from"),
        (("cost", "--zone", "cellar"), "loft, hall"),
        (("cost", "--bill", "9"), "there is no bill 9"),
        (("cost", "--bill", "1"), "no bill before bill 1"),
        (("cost", "--bill", "1", "--against", "1"), "another bill"),
        (("cost", "--bill", "0"), "--bill"),
        (("cost", "--against", "1"), "give --bill too"),
        (("cost", "--bills", "--csv"), "--bills stands alone"),
        (("cost", "--bill", "1", "--from", "2026-01-01"), "stands alone"),
        (("cost", "--bill", "1", "--bills"), "one of the two"),
        (("cost", "--bills", "--zone", "loft"), "whole house"),
    ],
)
def test_bad_words_are_exit_code_2(db: Path, words: tuple[str, ...], told: str) -> None:
    """A line that says what is wrong, no traceback."""
    done = ingle(*words, "--db", db)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("verb", ["energy", "cost"])
def test_an_empty_house_says_what_is_missing(tmp_path: Path, verb: str) -> None:
    """A house without readings: an answer with nothing in it, and why; no database: exit code 3."""
    path = tmp_path / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, HOUSE, who="Wenna Trask", why="survey", t_ms=to_ms(FIRST))
        conn.execute("COMMIT")
    assert "missing: nothing is known of" in answer(verb, "--db", path)
    done = ingle(verb, "--db", tmp_path / "none.db")
    assert done.returncode == 3
    assert "none.db" in done.stderr


TRIED = """
[[tariff]]
from = "2026-01-01"
currency = "GBP"
standing_per_day = 0.4
rates = [{per_kwh = 0.25}]

[[tariff]]
from = "2026-01-01"
currency = "GBP"
standing_per_day = 0.5
rates = [{per_kwh = 0.1, from = "00:30", to = "07:30", clock = "utc"}, {per_kwh = 0.4}]
"""


def test_whether_another_tariff_would_pay(db: Path, tmp_path: Path) -> None:
    """The same use at two others: the cheaper first, the share at the low rate and what would be needed of it."""
    file = tmp_path / "tariffs.toml"
    file.write_text(TRIED)
    words = ("cost", "--db", db, "--from", "2026-01-01", "--to", "2026-01-28", "--try", file)
    found = json.loads(answer(*words, "--json"))
    flat = next(each for each in found["tariffs"] if each["number"] == 1)
    assert found["tariffs"][0] == flat
    # 5 p less a kWh and 10 p less a day
    kwh = Decimal(str(found["energy_wh"])) / 1000
    assert Decimal(flat["more"]) == -round(kwh * Decimal("0.05") + Decimal("2.8"), 2)
    two = next(each for each in found["tariffs"] if each["number"] == 2)
    # At 0.3 a kWh it breaks even where a third falls at 0.1 and the rest at 0.4.
    assert two["lowest_needed_percent"] == pytest.approx(100 / 3, abs=0.01)
    assert two["lowest_percent"] == pytest.approx(100 * 7 / 24, abs=0.1)
    said = answer(*words)
    assert "Tariff 1 would have cost" in said
    assert "only the heaters are counted" in said


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "tariff: nothing is not allowed"),
        ("[house]\nname = 'x'", "house"),
        (TRIED.replace("0.25", '"cheap"'), "tariff[0].rates[0].per_kwh"),
        (TRIED.replace('"GBP"', '"EUR"', 1), "tariff[0].currency"),
        (TRIED.replace("= 0.4\n", "= \n"), "tariffs.toml"),
    ],
)
def test_a_fault_of_a_tried_tariff_is_named(db: Path, tmp_path: Path, text: str, told: str) -> None:
    """By file and place, as in a house file."""
    file = tmp_path / "tariffs.toml"
    file.write_text(text)
    done = ingle("cost", "--db", db, "--from", "2026-01-01", "--to", "2026-01-28", "--try", file)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr
