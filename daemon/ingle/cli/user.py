"""``ingle user``: who may do what on this house, from the machine itself."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import click

from ingle.cli.common import config_option, db_option, json_option, table
from ingle.errors import Refused
from ingle.model.people import ROLES


@click.group()
def user() -> None:
    """Say who may do what: owners, installers, occupants of a zone, readers."""


@user.command()
@click.argument("person_id", metavar="ID")
@click.option("--role", type=click.Choice(ROLES), required=True, help="What they may do; occupants only in --zone.")
@click.option("--name", help="What they are called (default: ID).")
@click.option("--zone", "zones", multiple=True, metavar="ID", help="An occupant's own zone (repeatable).")
@click.option("--password-file", type=click.File(), help="Where the password stands, - for stdin (default: ask).")
@db_option
@config_option
def add(
    person_id: str,
    role: str,
    name: str | None,
    zones: tuple[str, ...],
    password_file: Any,  # noqa: ANN401 - an open file of click's
    db: Path | None,
    config: Path | None,
) -> None:
    """Open an account for ID."""
    body = {"id": person_id, "name": name or person_id, "role": role, "zones": list(zones)}
    body["password"] = _password(password_file)
    _ask(_database(db, config), "people", body)
    click.echo(f"{person_id}: {role}{' of ' + ', '.join(zones) if zones else ''}")


@user.command()
@click.argument("person_id", metavar="ID")
@click.option("--label", required=True, help="What it is for.")
@click.option("--days", type=click.IntRange(1, 3650), default=365, show_default=True, help="How long it lasts.")
@db_option
@config_option
def token(person_id: str, label: str, days: int, db: Path | None, config: Path | None) -> None:
    """Make a token of ID's for a script, and print it; it is shown this once."""
    made = _ask(_database(db, config), f"people/{person_id}/tokens", {"label": label, "days": days})
    click.echo(made["token"])


@user.command()
@click.argument("person_id", metavar="ID", required=False)
@click.option("--number", type=click.IntRange(1), help="Only this session or token; `ingle user list` has the numbers.")
@db_option
@config_option
def revoke(person_id: str | None, number: int | None, db: Path | None, config: Path | None) -> None:
    """Close ID's account with all its sessions and tokens, or end one of them."""
    if (person_id is None) == (number is None):
        raise Refused("name either whose account to close, or one session or token by --number")
    if number is not None:
        _ask(_database(db, config), f"proofs/{number}/end", {})
        click.echo(f"{number}: ended")
    else:
        _ask(_database(db, config), f"people/{person_id}/close", {})
        click.echo(f"{person_id}: closed")


@user.command(name="list")
@json_option
@db_option
@config_option
def list_(as_json: bool, db: Path | None, config: Path | None) -> None:  # noqa: FBT001 - a flag of the command line
    """Show everybody, and what they are signed in with."""
    import json  # noqa: PLC0415 - loaded only when the verb runs

    told = _ask(_database(db, config), "people/known", {})
    if as_json:
        click.echo(json.dumps(told, indent=2, ensure_ascii=False))
        return
    rows = [
        [p["id"], p["name"], p["role"], ", ".join(p["zones"]) or "all", p["since"][:10], (p["ended"] or "")[:10]]
        for p in told["people"]
    ]
    click.echo(table(["id", "name", "role", "zones", "since", "closed"], rows, left=frozenset(range(6))))
    if told["proofs"]:
        rows = [
            [str(p["number"]), p["person"], p["kind"], p["label"] or "-", p["until"][:10], p["used"][:16]]
            for p in told["proofs"]
        ]
        click.echo("")
        click.echo(table(["number", "of", "kind", "for", "until", "last used"], rows, left=frozenset(range(1, 6))))


def _database(db: Path | None, config: Path | None) -> Path:
    from ingle.config.daemon import load_settings  # noqa: PLC0415 - loaded only when the verb runs

    return db or load_settings(config, os.environ).db


def _password(given: Any) -> str:  # noqa: ANN401 - an open file of click's
    if given is not None:
        return str(given.readline()).rstrip("\r\n")
    return str(click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True))


def _ask(database: Path, path: str, body: dict[str, Any]) -> Any:  # noqa: ANN401 - JSON
    """Have it done by the running daemon, or do it here under the lock."""
    import json  # noqa: PLC0415 - loaded only when the verb runs

    from ingle.cli import desk  # noqa: PLC0415
    from ingle.store.lock import try_lock  # noqa: PLC0415

    lock = try_lock(database)
    if lock is None:
        if path == "people/known":
            return desk.get(database, f"/desk/{path}")
        return desk.post(database, f"/desk/{path}", json.dumps(body).encode(), "application/json")
    with lock:
        return _offline(database, path, body)


def _offline(database: Path, path: str, body: dict[str, Any]) -> Any:  # noqa: ANN401 - JSON
    import asyncio  # noqa: PLC0415 - loaded only when the verb runs

    import msgspec  # noqa: PLC0415

    from ingle.clock import SystemClock  # noqa: PLC0415
    from ingle.commands.people import People  # noqa: PLC0415
    from ingle.http.people import at_machine  # noqa: PLC0415
    from ingle.store.db import Store  # noqa: PLC0415

    async def do() -> Any:  # noqa: ANN401 - JSON
        clock = SystemClock()
        store = await Store.open(database, clock=clock)
        try:
            people = People(store, clock)
            await people.start()
            return msgspec.to_builtins(await at_machine(people, clock, path, body))
        finally:
            await store.close()

    return asyncio.run(do())
