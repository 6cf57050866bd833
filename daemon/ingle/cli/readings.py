"""``ingle readings``: import from CSV, export to CSV."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

import click

from ingle.cli.common import EXIT_FINDING, Progress, config_option, db_option, json_option, zone_option
from ingle.errors import BadInput, Fault, Unknown, Unreachable

if TYPE_CHECKING:
    from ingle.cli.csv_file import Chunk, Rejects
    from ingle.intake.imports import Taken

    Take = Callable[[Chunk], Awaitable[Taken]]

#: Rejects that are named on the terminal; the file of rejects has them all.
NAMED: Final = 20


@click.group()
def readings() -> None:
    """Import readings from CSV, or export them."""


@readings.command("import")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@json_option
@db_option
@config_option
def import_(file: Path, as_json: bool, db: Path | None, config: Path | None) -> int:  # noqa: FBT001 - click hands it over
    """Store the readings of FILE, a CSV table whose first line names its columns.

    Columns: time, zone, heater, power_w, energy_wh, temp_c, setpoint_c; and where there is more:
    irradiance_w_per_m2, wind_m_per_s, voltage_v, humidity_percent, energy_is, opening, boot, seq, sensor, meter,
    fault, future. Times are ISO 8601 with offset. The outdoor station's zone is "outdoor", with no heater; a zone with
    no heater is its thermometer.

    Importing a file again changes nothing. Rows that cannot be taken are named by line, written to FILE.rejects.csv,
    and the exit code is 1.
    """
    from ingle.cli.csv_file import Rejects  # noqa: PLC0415 - loaded only when the verb runs

    database, rejects = _database(db, config), Rejects(file)
    if not database.exists():
        raise Unreachable(f"{database}: there is no database; `ingle house load` or `ingle serve` makes one")
    try:
        opened = file.open("rb")
    except (FileNotFoundError, NotADirectoryError) as error:
        raise BadInput([Fault((), file.name, f"the name of a file; there is none at {file}")]) from error
    except OSError as error:
        raise Unreachable(f"{file}: cannot be read: {error.strerror or error}") from error
    try:
        with opened, Progress(f"importing {file.name}", file.stat().st_size) as progress:
            taken = asyncio.run(_import(opened, file.name, database, rejects, progress))
    finally:
        rejects.close()
    for reject in taken.rejects[:NAMED]:
        click.echo(f"{file.name}: line {reject.line}: {reject.reason}", err=True)
    if taken.rejected > NAMED:
        click.echo(f"{file.name}: and {taken.rejected - NAMED} more; {rejects.path} has all", err=True)
    click.echo(_json(file, taken, rejects) if as_json else _sentence(file, taken, rejects))
    return EXIT_FINDING if taken.rejected else 0


@readings.command()
@click.option("--from", "start", metavar="WHEN", help="From this date or instant on (default: the first reading).")
@click.option(
    "--to", "end", metavar="WHEN", help="To the end of this date, or up to this instant (default: the last reading)."
)
@zone_option
@db_option
@config_option
def export(start: str | None, end: str | None, zones: tuple[str, ...], db: Path | None, config: Path | None) -> None:
    """Write readings as CSV to standard output, in order of time and in the columns that ``import`` reads.

    A date means the whole day on the house's clock. It works beside a running daemon.
    """
    from ingle.intake import exports  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.model.instants import to_ms  # noqa: PLC0415
    from ingle.reports.spans import span  # noqa: PLC0415
    from ingle.store import houses  # noqa: PLC0415
    from ingle.store.connect import open_readonly  # noqa: PLC0415

    connection = open_readonly(_database(db, config))
    try:
        revision = houses.current(connection)
        timezone = "UTC" if revision is None else revision.house.site.timezone
        start_ms, end_ms = (None if edge is None else to_ms(edge) for edge in span(start, end, timezone))
        planned = exports.plan(connection, zones=zones, start_ms=start_ms, end_ms=end_ms)
        for zone in zones:
            if zone not in planned.zones.values():
                raise Unknown(f"--zone: {zone!r} is not in this house, nor was it ever")
        with Progress("exporting", planned.rows) as progress:
            for number, line in enumerate(exports.lines(connection, planned)):
                sys.stdout.write(line)
                progress.at(number)
        sys.stdout.flush()
    finally:
        connection.close()


async def _import(opened: IO[bytes], name: str, database: Path, rejects: Rejects, progress: Progress) -> Taken:
    """Hand the file over chunk by chunk: to the running daemon, or to the database under its lock."""
    from ingle.cli.csv_file import chunks  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.intake import table  # noqa: PLC0415
    from ingle.intake.imports import Taken  # noqa: PLC0415
    from ingle.store.lock import try_lock  # noqa: PLC0415

    rest = chunks(opened)
    first = next(rest, None)
    head = "" if first is None else first.lines[0].removeprefix("\ufeff")
    columns = table.header(head, name)
    taken = Taken()

    async def all_of(take: Take) -> Taken:
        nonlocal taken
        for chunk in rest:
            outcome = await take(chunk)
            rejects.write(head, chunk, outcome.rejects)
            taken += outcome
            progress.at(chunk.read)
        return taken

    lock = try_lock(database)
    if lock is None:
        return await all_of(partial(_to_daemon, database, head))
    with lock:
        return await _alone(database, columns, all_of)


async def _to_daemon(database: Path, head: str, chunk: Chunk) -> Taken:
    """Let the running daemon store a chunk."""
    import msgspec  # noqa: PLC0415 - loaded only beside a running daemon

    from ingle.cli import desk  # noqa: PLC0415
    from ingle.intake.imports import Taken  # noqa: PLC0415

    body = "\n".join([head, *chunk.lines]).encode("utf-8", "surrogateescape")
    path = f"/desk/readings?first_line={chunk.first_line}"
    return msgspec.convert(await asyncio.to_thread(desk.post, database, path, body, "text/csv"), Taken)


async def _alone(database: Path, columns: tuple[str, ...], all_of: Callable[[Take], Awaitable[Taken]]) -> Taken:
    """Store everything through a store of our own, a commit for each chunk; the caller holds the lock."""
    from ingle.clock import SystemClock  # noqa: PLC0415 - loaded only without a daemon
    from ingle.intake import imports  # noqa: PLC0415
    from ingle.model.instants import to_ms  # noqa: PLC0415
    from ingle.store.db import Store  # noqa: PLC0415

    store, clock = await Store.open(database), SystemClock()

    async def take(chunk: Chunk) -> Taken:
        now_ms = to_ms(clock.now())
        return await store.write(
            lambda conn: imports.take(conn, columns, chunk.lines, first_line=chunk.first_line, now_ms=now_ms)
        )

    try:
        return await all_of(take)
    finally:
        await store.close()


def _sentence(file: Path, taken: Taken, rejects: Rejects) -> str:
    """Say what became of a file."""
    parts = [f"{taken.stored} stored", f"{taken.known} known already"]
    if taken.conflicts:
        parts.append(f"{taken.conflicts} known with other values, of which the first stay")
    if taken.future:
        parts.append(f"{taken.future} dated ahead of this machine's clock, and flagged")
    if taken.rejected:
        parts.append(f"{taken.rejected} refused, see {rejects.path}")
    nothing = "" if taken.stored else "; nothing is changed"
    rows = "1 row" if taken.rows == 1 else f"{taken.rows} rows"
    return f"{file.name}: {rows}: {', '.join(parts)}{nothing}"


def _json(file: Path, taken: Taken, rejects: Rejects) -> str:
    import msgspec  # noqa: PLC0415 - loaded only for JSON

    summary: dict[str, Any] = {
        "file": str(file),
        "rows": taken.rows,
        "rejects_file": str(rejects.path) if taken.rejected else None,
        **msgspec.to_builtins(taken),
    }
    return msgspec.json.format(msgspec.json.encode(summary), indent=2).decode()


def _database(db: Path | None, config: Path | None) -> Path:
    from ingle.config.daemon import load_settings  # noqa: PLC0415 - loaded only when the verb runs

    return db or load_settings(config, os.environ).db
