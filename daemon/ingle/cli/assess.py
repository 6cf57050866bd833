"""``ingle assess``: metered use against design, room by room."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import EXIT_FINDING, config_option, db_option, json_option, table, zone_option

if TYPE_CHECKING:
    import sqlite3

    from ingle.model.house import House


@click.command()
@click.option("--from", "start", metavar="TIME", help="First day or instant, ISO 8601 (default: a year back).")
@click.option("--to", "end", metavar="TIME", help="Last day (to its end) or instant, ISO 8601 (default: the newest).")
@click.option("--test", "test", type=click.IntRange(min=1), metavar="N", help="What heating test N tells instead.")
@click.option("--fit", is_flag=True, help="With --json: also the days that each figure rests on.")
@click.option("--nice", "niceness", type=click.IntRange(0, 19), default=0, help="Give way to other processes by this.")
@json_option
@zone_option
@db_option
@config_option
def assess(
    *,
    start: str | None,
    end: str | None,
    test: int | None,
    fit: bool,
    niceness: int,
    as_json: bool,
    zones: tuple[str, ...],
    db: Path | None,
    config: Path | None,
) -> int:
    """Compare what each room took with what its design says it should.

    Every figure has its 95 % interval; where the readings do not suffice, the answer is what is missing and from
    when it may be possible. With --test, what the nights of a heating test tell. Exit code 1: there is a finding.
    """
    # One thread: more make a small regression slower. To be set before numpy is first loaded.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if niceness:
        os.nice(niceness)
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.config.daemon import load_settings  # noqa: PLC0415
    from ingle.design import design_house  # noqa: PLC0415
    from ingle.errors import Unreachable  # noqa: PLC0415
    from ingle.reports.assess import assess as assess_house  # noqa: PLC0415
    from ingle.reports.assess import has_finding, summary  # noqa: PLC0415
    from ingle.reports.spans import span  # noqa: PLC0415
    from ingle.store.db import open_readonly  # noqa: PLC0415
    from ingle.store.houses import current  # noqa: PLC0415

    path = load_settings(config, os.environ).db if db is None else db
    with closing(open_readonly(path)) as conn:
        revision = current(conn)
        if revision is None:
            raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
        house = revision.house
        if test is not None:
            return _heating_test(conn, house, test, as_json=as_json)
        first, last = span(start, end, house.site.timezone)
        result = assess_house(conn, house, design_house(house), first, last, zones, fit=fit)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(result)).decode())
    else:
        click.echo(summary(result, table))
    return EXIT_FINDING if has_finding(result) else 0


def _heating_test(conn: sqlite3.Connection, house: House, number: int, *, as_json: bool) -> int:
    import msgspec  # noqa: PLC0415 - as above

    from ingle.reports import heating_test as tests  # noqa: PLC0415

    found = tests.heating_test(conn, house, number)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(found.result)).decode())
    else:
        click.echo(tests.summary(found, house.site.timezone, table))
    return EXIT_FINDING if tests.has_finding(found.result) else 0
