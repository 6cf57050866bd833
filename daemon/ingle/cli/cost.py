"""``ingle cost``: what it cost, by zone, heater and day; bills, and why one is higher than another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import config_option, db_option, json_option, table, zone_option
from ingle.cli.record import asked, from_option, record, to_option

if TYPE_CHECKING:
    import sqlite3

    from ingle.model.bills import BillsShown
    from ingle.model.house import House


@click.command()
@from_option
@to_option
@click.option("--days", "by_day", is_flag=True, help="Day by day.")
@click.option("--bills", "list_bills", is_flag=True, help="List the bills and hand-read meters that were entered.")
@click.option("--bill", "bill", type=click.IntRange(1), metavar="N", help="Why this bill is higher or lower.")
@click.option(
    "--against", "against", type=click.IntRange(1), metavar="M", help="Than that one (default: the bill before)."
)
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
    said: bool,
    as_csv: bool,
    as_json: bool,
    zones: tuple[str, ...],
    db: Path | None,
    config: Path | None,
) -> None:
    """Show what the heaters' energy cost, each quarter-hour at its rate, rounded once.

    With --bill N, the steps from an earlier bill to that one: they add up exactly, each averaged over all orders.
    """
    _check(bill=bill, against=against, list_bills=list_bills, as_csv=as_csv, as_json=as_json)
    if said and (bill is not None or list_bills or by_day or as_csv or start or end or zones):
        raise click.UsageError("--forecasts stands alone, or with --json: it lists what was said, as it was said")
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.clock import SystemClock  # noqa: PLC0415 - as above
    from ingle.reports import cost_text as text  # noqa: PLC0415 - as above
    from ingle.reports.bill_why import why  # noqa: PLC0415 - as above
    from ingle.reports.cost import costs  # noqa: PLC0415 - as above

    with record(db, config) as (conn, house):
        if said:
            found, shown = _forecasts(conn, house)
        elif bill is not None:
            steps = why(conn, house, bill, against)
            found, shown = msgspec.json.encode(steps), text.why_text(steps, table)
        elif list_bills:
            entered = _bills(conn, house)
            found, shown = msgspec.json.encode(entered), text.bills_text(entered, table)
        else:
            spent = costs(conn, house, *asked(conn, house, start, end), now=SystemClock().now(), zones=zones)
            found = msgspec.json.encode(spent)
            shown = text.costs_csv(spent, days=by_day) if as_csv else text.costs_text(spent, table, days=by_day)
    click.echo(msgspec.json.format(found).decode() if as_json else shown.rstrip("\n"))


def _check(*, bill: int | None, against: int | None, list_bills: bool, as_csv: bool, as_json: bool) -> None:
    if as_csv and as_json:
        raise click.UsageError("--csv or --json, one of the two")
    if against is not None and bill is None:
        raise click.UsageError("--against names the bill that --bill is compared with; give --bill too")
    if list_bills and bill is not None:
        raise click.UsageError("--bills lists them all; --bill N explains one; give one of the two")
    if as_csv and (list_bills or bill is not None):
        raise click.UsageError("--csv is for costs; bills have --json")


def _forecasts(conn: sqlite3.Connection, house: House) -> tuple[bytes, str]:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.clock import SystemClock  # noqa: PLC0415 - as above
    from ingle.reports.forecast_score import listed  # noqa: PLC0415 - as above
    from ingle.reports.forecast_text import forecasts_text  # noqa: PLC0415 - as above
    from ingle.store.forecasts import LISTED  # noqa: PLC0415 - as above

    found = listed(conn, house, SystemClock().now(), LISTED)
    return msgspec.json.encode(found), forecasts_text(found, table, house.site.timezone)


def _bills(conn: sqlite3.Connection, house: House) -> BillsShown:
    from ingle.model.bills import BillsShown  # noqa: PLC0415 - as above
    from ingle.reports.bills import shown  # noqa: PLC0415 - as above
    from ingle.store import bills  # noqa: PLC0415 - as above

    return BillsShown(bills=tuple(shown(conn, house, each) for each in bills.every(conn)))
