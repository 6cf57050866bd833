"""``ingle explain``: why a room is as it is, and what it would take if it were run another way."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import quote, urlencode

import click

from ingle.cli.common import config_option, db_option, json_option, table

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable

    from ingle.model.explanation import Explanation
    from ingle.model.house import House
    from ingle.model.what_if import WhatIf

T = TypeVar("T")


@click.command()
@click.argument("room", metavar="[ZONE]", required=False)
@click.option("--zone", "named", metavar="ID", help="The room, by a flag as in the other reports.")
@click.option("--at", "at", metavar="TIME", help="A past instant, ISO 8601 with its offset (default: now).")
@click.option("--what-if", "ways", is_flag=True, help="Instead: what the room would take if it were run another way.")
@click.option("--outdoor", "outdoor_c", metavar="°C", help="What if: outside (the last week measured).")
@click.option("--less-k", "less_k", metavar="K", help="What if: how much cooler (1).")
@click.option("--less-h", "less_h", metavar="H", help="What if: how much sooner the day's last warm period ends (1).")
@click.option("--hold", "held_c", metavar="°C", help="What if: held all day (the warmest of the programme).")
@click.option("--cap", "cap_a", metavar="A", help="What if: another cap of the supply.")
@click.option("--tax", "tax_percent", metavar="%", help="What if: another tax on energy.")
@click.option("--loss", "loss_w_per_k", metavar="W/K", help="What if: the room's coefficient (metered, else designed).")
@click.option("--tau", "tau_h", metavar="H", help="What if: the room's time constant (of its design).")
@click.option("--power", "power_w", metavar="W", help="What if: full power (the plates).")
@click.option("--gains", "gains_k", metavar="K", help="What if: what people, sun and appliances warm it by (0).")
@json_option
@db_option
@config_option
def explain(
    *,
    room: str | None,
    named: str | None,
    at: str | None,
    ways: bool,
    as_json: bool,
    db: Path | None,
    config: Path | None,
    **words: str | None,
) -> None:
    """Say why a room is as cold or warm as it is: one sentence, then the rules that spoke, and what was read.

    Of now it asks the ingle that runs; where none runs, and of a past time, it tells what was noted.
    """
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.config.daemon import load_settings  # noqa: PLC0415

    zone_id = room or named
    if zone_id is None or (room is not None and named is not None):
        raise click.UsageError("name one room: ingle explain ZONE, or --zone ID")
    given = {name: value for name, value in words.items() if value is not None}
    if given and not ways:
        raise click.UsageError("those options go with --what-if")
    if ways and at is not None:
        raise click.UsageError("--at goes without --what-if, which asks of the programme that runs now")
    path = load_settings(config, os.environ).db if db is None else db
    house = _house(path)
    found: Explanation | WhatIf = _ways(path, house, zone_id, given) if ways else _why(path, house, zone_id, at)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(found)).decode())
    else:
        click.echo(_text(found, house))


def _house(path: Path) -> House:
    from contextlib import closing  # noqa: PLC0415 - as above

    from ingle.errors import Unreachable  # noqa: PLC0415
    from ingle.store.db import open_readonly  # noqa: PLC0415
    from ingle.store.houses import current  # noqa: PLC0415

    with closing(open_readonly(path)) as conn:
        revision = current(conn)
    if revision is None:
        raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
    return revision.house


def _why(path: Path, house: House, zone_id: str, at: str | None) -> Explanation:
    from ingle.cli import desk  # noqa: PLC0415 - as above
    from ingle.clock import SystemClock  # noqa: PLC0415
    from ingle.errors import BadInput, Fault  # noqa: PLC0415
    from ingle.model.explanation import Explanation as Kind  # noqa: PLC0415
    from ingle.reports.explain_record import of_record  # noqa: PLC0415
    from ingle.reports.spans import instant  # noqa: PLC0415

    now = SystemClock().now()
    when = now if at is None else instant(at, "--at", house.site.timezone)
    if when > now:
        raise BadInput([Fault(("--at",), at, f"an instant up to now ({now.isoformat(timespec='seconds')})")])
    if at is None and desk.running(path):
        return _asked(path, f"/desk/zones/{quote(zone_id, safe='')}/explain", Kind)
    why = "From the record:" if at is not None else "No ingle runs here now, so this is from the record:"
    return _read(path, lambda conn: of_record(conn, zone_id, when, why_record=why))


def _ways(path: Path, house: House, zone_id: str, given: dict[str, str]) -> WhatIf:
    from ingle.cli import desk  # noqa: PLC0415 - as above
    from ingle.clock import SystemClock  # noqa: PLC0415
    from ingle.model.what_if import WhatIf as Kind  # noqa: PLC0415
    from ingle.reports.what_if import changes, what_if  # noqa: PLC0415

    asked = changes(given)
    if desk.running(path):
        query = f"?{urlencode(given)}" if given else ""
        return _asked(path, f"/desk/zones/{quote(zone_id, safe='')}/what-if{query}", Kind)
    now = SystemClock().now()
    return _read(path, lambda conn: what_if(conn, house, zone_id, asked, now, None))


def _asked(path: Path, address: str, kind: type[T]) -> T:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.cli import desk  # noqa: PLC0415
    from ingle.errors import Unreachable  # noqa: PLC0415

    answer = desk.get(path, address)
    try:
        return msgspec.convert(answer, kind)
    except msgspec.ValidationError as error:
        raise Unreachable(f"{path}: the running ingle answers in words of another version") from error


def _read(path: Path, ask: Callable[[sqlite3.Connection], T]) -> T:
    from contextlib import closing  # noqa: PLC0415 - as above

    from ingle.store.db import open_readonly  # noqa: PLC0415

    with closing(open_readonly(path)) as conn:
        return ask(conn)


def _text(found: Explanation | WhatIf, house: House) -> str:
    from ingle.model.explanation import Explanation as Kind  # noqa: PLC0415 - as above
    from ingle.reports import explain as explanation  # noqa: PLC0415
    from ingle.reports import what_if_words  # noqa: PLC0415

    if isinstance(found, Kind):
        return explanation.text(found, house.site.timezone)
    return what_if_words.text(found, table)
