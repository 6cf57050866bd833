"""``ingle cost``: what it cost, by zone, heater and day; bills, and why one is higher; other tariffs; forecasts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from ingle.cli.common import config_option, db_option, json_option, table, zone_option
from ingle.cli.record import asked, from_option, record, to_option

if TYPE_CHECKING:
    import sqlite3
    from datetime import datetime

    from ingle.model.house import House

FILE = click.Path(dir_okay=False, path_type=Path)


class _Said(NamedTuple):
    """An answer, as JSON and as text."""

    document: bytes
    text: str


@click.command()
@from_option
@to_option
@click.option("--days", "by_day", is_flag=True, help="Day by day.")
@click.option("--bills", "list_bills", is_flag=True, help="List the bills and hand-read meters that were entered.")
@click.option("--bill", "bill", type=click.IntRange(1), metavar="N", help="Why this bill is higher or lower.")
@click.option(
    "--against", "against", type=click.IntRange(1), metavar="M", help="Than that one (default: the bill before)."
)
@click.option("--try", "tried", type=FILE, help="What the same use would have cost at the [[tariff]] tables of a file.")
@click.option("--forecasts", "said", is_flag=True, help="What was said of weeks beforehand, and how near it came.")
@click.option("--csv", "as_csv", is_flag=True, help="Write CSV, a row for each heater, or with --days for each day.")
@json_option
@zone_option
@db_option
@config_option
def cost(
    *,
    start: str | None,
    end: str | None,
    by_day: bool,
    list_bills: bool,
    bill: int | None,
    against: int | None,
    tried: Path | None,
    said: bool,
    as_csv: bool,
    as_json: bool,
    zones: tuple[str, ...],
    db: Path | None,
    config: Path | None,
) -> None:
    """Show what the heaters' energy cost, each quarter-hour at its rate, rounded once.

    With --bill N, the steps from an earlier bill to that one: they add up exactly, each averaged over all orders.
    With --try, the use as it was at other tariffs: whether one would pay is worked out, never a rule of thumb.
    """
    if as_csv and as_json:
        raise click.UsageError("--csv or --json, one of the two")
    if against is not None and bill is None:
        raise click.UsageError("--against names the bill that --bill is compared with; give --bill too")
    alone = {"--bills": list_bills, "--bill": bill is not None, "--try": tried is not None, "--forecasts": said}
    named = [name for name, given in alone.items() if given]
    _check_alone(named, by_day=by_day or as_csv, span=bool(start or end), zones=bool(zones))
    with record(db, config) as (conn, house):
        if said:
            answer = _forecasts(conn, house)
        elif bill is not None:
            answer = _why(conn, house, bill, against)
        elif list_bills:
            answer = _bills(conn, house)
        elif tried is not None:
            answer = _trial(conn, house, asked(conn, house, start, end), tried)
        else:
            answer = _costs(conn, house, asked(conn, house, start, end), zones, (by_day, as_csv))
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    click.echo(msgspec.json.format(answer.document).decode() if as_json else answer.text.rstrip("\n"))


def _check_alone(named: list[str], *, by_day: bool, span: bool, zones: bool) -> None:
    """Refuse what does not go together."""
    if not named:
        return
    if len(named) > 1:
        raise click.UsageError(f"{named[0]} or {named[1]}, one of the two")
    if by_day:
        raise click.UsageError(f"{named[0]} stands alone, or with --json; --days and --csv are for costs")
    if zones:
        raise click.UsageError(f"{named[0]} is of the whole house; --zone is for costs")
    if span and named[0] != "--try":
        raise click.UsageError(f"{named[0]} stands alone, or with --json; --from and --to are for costs")


def _costs(
    conn: sqlite3.Connection,
    house: House,
    span: tuple[datetime, datetime],
    zones: tuple[str, ...],
    days_csv: tuple[bool, bool],
) -> _Said:
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.clock import SystemClock  # noqa: PLC0415 - as above
    from ingle.reports import cost_text as text  # noqa: PLC0415 - as above
    from ingle.reports.cost import costs  # noqa: PLC0415 - as above

    found, (days, as_csv) = costs(conn, house, *span, now=SystemClock().now(), zones=zones), days_csv
    told = text.costs_csv(found, days=days) if as_csv else text.costs_text(found, table, days=days)
    return _Said(msgspec.json.encode(found), told)


def _why(conn: sqlite3.Connection, house: House, bill: int, against: int | None) -> _Said:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.reports.bill_why import why  # noqa: PLC0415 - as above
    from ingle.reports.cost_text import why_text  # noqa: PLC0415 - as above

    found = why(conn, house, bill, against)
    return _Said(msgspec.json.encode(found), why_text(found, table))


def _bills(conn: sqlite3.Connection, house: House) -> _Said:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.model.bills import BillsShown  # noqa: PLC0415 - as above
    from ingle.reports.bills import shown  # noqa: PLC0415 - as above
    from ingle.reports.cost_text import bills_text  # noqa: PLC0415 - as above
    from ingle.store import bills  # noqa: PLC0415 - as above

    found = BillsShown(bills=tuple(shown(conn, house, each) for each in bills.every(conn)))
    return _Said(msgspec.json.encode(found), bills_text(found, table))


def _trial(conn: sqlite3.Connection, house: House, span: tuple[datetime, datetime], file: Path) -> _Said:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.config.house import parse_toml, read_text  # noqa: PLC0415 - as above
    from ingle.config.tariffs import check_tried  # noqa: PLC0415 - as above
    from ingle.reports.cost_text import trial_text  # noqa: PLC0415 - as above
    from ingle.reports.tariff_trial import tariff_trial  # noqa: PLC0415 - as above

    found = tariff_trial(conn, house, *span, check_tried(parse_toml(read_text(file), file.name), file.name))
    return _Said(msgspec.json.encode(found), trial_text(found, table))


def _forecasts(conn: sqlite3.Connection, house: House) -> _Said:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.clock import SystemClock  # noqa: PLC0415 - as above
    from ingle.reports.forecast_score import listed  # noqa: PLC0415 - as above
    from ingle.reports.forecast_text import forecasts_text  # noqa: PLC0415 - as above
    from ingle.store.forecasts import LISTED  # noqa: PLC0415 - as above

    found = listed(conn, house, SystemClock().now(), LISTED)
    return _Said(msgspec.json.encode(found), forecasts_text(found, table, house.site.timezone))
