"""``ingle energy``: what was used, by heater, day by day, or one period beside another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import config_option, db_option, json_option, table, zone_option
from ingle.cli.record import asked, beside, from_option, record, to_option

if TYPE_CHECKING:
    import sqlite3
    from datetime import datetime

    from ingle.model.house import House


@click.command()
@from_option
@to_option
@click.option("--days", "by_day", is_flag=True, help="Day by day, beside how cold it was.")
@click.option("--with-from", metavar="TIME", help="Compare with the period that begins then.")
@click.option("--with-to", metavar="TIME", help="Compare with the period that ends then (default: as --from begins).")
@click.option("--csv", "as_csv", is_flag=True, help="Write CSV, a row for each day and zone.")
@click.option(
    "--carbon",
    "factors",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="What it comes to in carbon, by a dated file of factors.",
)
@json_option
@zone_option
@db_option
@config_option
def energy(
    *,
    start: str | None,
    end: str | None,
    by_day: bool,
    with_from: str | None,
    with_to: str | None,
    as_csv: bool,
    factors: Path | None,
    as_json: bool,
    zones: tuple[str, ...],
    db: Path | None,
    config: Path | None,
) -> None:
    """Show the energy of each zone and heater.

    Every sum says how it is known: metered, filled (a gap bridged by the counter) or estimated. A heater of which
    nothing is known adds nothing and is named.
    """
    if as_csv and as_json:
        raise click.UsageError("--csv or --json, one of the two")
    if factors is not None and (by_day or as_csv or zones or with_from is not None or with_to is not None):
        raise click.UsageError("--carbon goes with --from, --to and --json: it counts every zone of the span")
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.reports import energy_text as text  # noqa: PLC0415 - as above
    from ingle.reports.compare import compare  # noqa: PLC0415 - as above
    from ingle.reports.days import energy_days  # noqa: PLC0415 - as above
    from ingle.reports.energy import energy as used  # noqa: PLC0415 - as above
    from ingle.reports.energy import of_zones  # noqa: PLC0415 - as above

    with record(db, config) as (conn, house):
        span = asked(conn, house, start, end)
        if factors is not None:
            found, said = _carbon(conn, house, span, factors)
        elif with_from is not None or with_to is not None:
            compared = compare(conn, house, span, beside(house, span, with_from, with_to), zones)
            found, said = msgspec.json.encode(compared), text.comparison_text(compared, table)
        elif by_day or as_csv:
            days = energy_days(conn, house, *span, zones)
            found, said = msgspec.json.encode(days), text.days_csv(days) if as_csv else text.days_text(days, table)
        else:
            summed = of_zones(used(conn, house, *span), zones)
            found, said = msgspec.json.encode(summed), text.energy_text(summed, table)
    click.echo(msgspec.json.format(found).decode() if as_json else said.rstrip("\n"))


def _carbon(conn: sqlite3.Connection, house: House, span: tuple[datetime, datetime], file: Path) -> tuple[bytes, str]:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.config.carbon import read_factors  # noqa: PLC0415 - as above
    from ingle.reports import carbon  # noqa: PLC0415 - as above

    found = carbon.carbon(conn, house, *span, read_factors(file))
    return msgspec.json.encode(found), carbon.text(found, table)
