"""``ingle house``: load, dump and check house files; see who changed the house, when and why."""

from __future__ import annotations

import getpass
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

import click

from ingle.cli.common import config_option, db_option, json_option, table
from ingle.errors import BadInput, Fault, Unknown, Unreachable

if TYPE_CHECKING:
    from ingle.model.house import House
    from ingle.store.houses import Entry

#: The longest words that go into the history.
WHO_MAX, WHY_MAX = 200, 1000
FILE = click.Path(dir_okay=False, path_type=Path)


@click.group()
def house() -> None:
    """Load, dump and check the house file; see its history."""


@house.command()
@click.argument("file", type=FILE)
@click.option("--who", help="Who loads it (default: the user of this session).")
@click.option("--why", default="", help="Why, for the history.")
@db_option
@config_option
def load(file: Path, who: str | None, why: str, db: Path | None, config: Path | None) -> None:
    """Make FILE the house's next revision.

    A file with a fault is refused whole, every fault named. A running daemon takes the new house over at once.
    Someone vulnerable is kept below 18 °C only with a reason: cooler_reason in the zone, or --why.
    """
    from ingle.config.house import parse_house, read_text  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.config.saving import check_saving  # noqa: PLC0415
    from ingle.store.lock import try_lock  # noqa: PLC0415

    _check_words(who, why)
    text = read_text(file)
    loaded = parse_house(text, file.name)
    check_saving(loaded, why=why, source=file.name)
    database, person = _database(db, config), who or _user()
    lock = try_lock(database)
    if lock is None:
        number = _hand_over(database, text, {"who": person, "why": why, "file": file.name})
    else:
        with lock:
            number = _save(database, loaded, person, why)
    click.echo(f"{loaded.site.name}: revision {number}, {_size(loaded)}")


@house.command()
@click.option("--revision", type=click.IntRange(1), help="An earlier revision (default: the newest).")
@db_option
@config_option
def dump(revision: int | None, db: Path | None, config: Path | None) -> None:
    """Write the house as a house file to standard output."""
    from ingle.config.house import dump_house  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.store import houses  # noqa: PLC0415
    from ingle.store.connect import open_readonly  # noqa: PLC0415

    connection = open_readonly(_database(db, config))
    try:
        found = houses.current(connection) if revision is None else houses.numbered(connection, revision)
    finally:
        connection.close()
    if found is None and revision is not None:
        raise Unknown(f"--revision: there is no revision {revision}; `ingle house history` lists them")
    if found is None:
        raise Unreachable("no house is loaded; `ingle house load FILE` loads one")
    click.echo(dump_house(found.house), nl=False)


@house.command()
@click.argument("file", type=FILE)
@db_option
@config_option
def check(file: Path, db: Path | None, config: Path | None) -> None:
    """Say every fault of FILE; nothing is loaded."""
    from ingle.config.house import read_house_file  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.config.saving import unexplained  # noqa: PLC0415

    del db, config
    checked = read_house_file(file)
    click.echo(f"{file.name}: {checked.site.name}, {_size(checked)}; no fault")
    for fault in unexplained(checked, file.name):
        click.echo(f"To be loaded it needs a reason: {fault}")


@house.command()
@json_option
@db_option
@config_option
def history(as_json: bool, db: Path | None, config: Path | None) -> None:  # noqa: FBT001 - click hands it over
    """List the revisions of the house: who made them, when and why."""
    from ingle.store import houses  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.store.connect import open_readonly  # noqa: PLC0415

    connection = open_readonly(_database(db, config))
    try:
        entries = houses.history(connection)
    finally:
        connection.close()
    if as_json:
        import msgspec  # noqa: PLC0415

        document = msgspec.json.encode([_line(entry) for entry in entries])
        click.echo(msgspec.json.format(document, indent=2).decode())
        return
    rows = [
        [str(line["revision"]), line["time"], line["who"], line["digest"], line["why"]] for line in map(_line, entries)
    ]
    click.echo(table(["revision", "time", "who", "digest", "why"], rows, left=frozenset({1, 2, 3, 4})))


@house.command()
@click.argument("file", type=FILE)
@click.option("--series", required=True, metavar="ID", help="The series, as a tariff of the house names it.")
@click.option("--who", help="Who loads them (default: the user of this session).")
@click.option("--why", default="", help="Why, for the history.")
@json_option
@db_option
@config_option
def prices(
    *, file: Path, series: str, who: str | None, why: str, as_json: bool, db: Path | None, config: Path | None
) -> None:
    """Load half-hourly prices from FILE, a CSV with the columns from, to and per_kwh.

    Times have their offset; a price may be below zero. What the file covers of prices loaded before is replaced; a
    file with a fault is refused whole. A tariff uses them by: series = "ID".
    """
    from ingle.cli.prices import load  # noqa: PLC0415 - loaded only when the verb runs

    _check_words(who, why)
    taken = load(file, _database(db, config), series, who or _user(), why)
    if as_json:
        import msgspec  # noqa: PLC0415

        click.echo(msgspec.json.format(msgspec.json.encode(taken), indent=2).decode())
        return
    unused = "" if taken.in_use else f'; no tariff of the house names it yet: series = "{series}"'
    click.echo(f"{series}: {_count(taken.stored, 'price')} from {taken.start} to {taken.end}{unused}")


def _database(db: Path | None, config: Path | None) -> Path:
    from ingle.config.daemon import load_settings  # noqa: PLC0415 - loaded only when a verb runs

    return db or load_settings(config, os.environ).db


def _check_words(who: str | None, why: str) -> None:
    """Refuse what the history does not hold, with a daemon or without."""
    faults = []
    if who is not None and not 0 < len(who) <= WHO_MAX:
        faults.append(Fault(("--who",), who, f"text of 1 to {WHO_MAX} characters"))
    if len(why) > WHY_MAX:
        faults.append(Fault(("--why",), why, f"text of at most {WHY_MAX} characters"))
    if faults:
        raise BadInput(faults)


def _user() -> str:
    """Return this session's user, by number where the system does not know a name."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return f"user {os.getuid()}"


def _save(database: Path, loaded: House, who: str, why: str) -> int:
    from ingle.clock import SystemClock  # noqa: PLC0415 - loaded only when a house is loaded
    from ingle.design import design_version  # noqa: PLC0415
    from ingle.model.instants import to_ms  # noqa: PLC0415
    from ingle.store import houses  # noqa: PLC0415
    from ingle.store.offline import transaction  # noqa: PLC0415

    with transaction(database) as connection:
        saved = houses.save(
            connection,
            loaded,
            who=who,
            why=why,
            t_ms=to_ms(SystemClock().now()),
            design_version=design_version(loaded),
        )
    return saved.number


def _hand_over(database: Path, text: str, about: dict[str, str]) -> int:
    """Let the running daemon load it; what it refuses comes back as the same errors."""
    from ingle.cli.desk import post  # noqa: PLC0415 - loaded only beside a running daemon

    answer = post(database, f"/desk/house?{urlencode(about)}", text.encode(), "application/toml")
    return int(answer["revision"])


def _size(loaded: House) -> str:
    heaters = sum(len(zone.heaters) for zone in loaded.zones)
    return f"{_count(len(loaded.zones), 'zone')}, {_count(heaters, 'heater')}"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _line(entry: Entry) -> dict[str, Any]:
    from ingle.model.instants import from_ms  # noqa: PLC0415 - loaded only when the history is shown

    return {
        "revision": entry.number,
        "time": from_ms(entry.t_ms).isoformat(timespec="seconds"),
        "who": entry.who,
        "why": entry.why,
        "digest": entry.digest,
        "design_version": entry.design_version,
    }
