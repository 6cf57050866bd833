"""The record that a verb reads: the database, the house in it, and the span that a person means."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from ingle.cli.common import Decorator

if TYPE_CHECKING:
    from ingle.model.house import House

from_option: Decorator = click.option(
    "--from",
    "start",
    metavar="TIME",
    help="First day or instant, ISO 8601 (default: the first of the last day's month).",
)
to_option: Decorator = click.option(
    "--to",
    "end",
    metavar="TIME",
    help="Last day (to its end) or instant, ISO 8601 (default: the newest reading's day).",
)


@contextmanager
def record(db: Path | None, config: Path | None) -> Iterator[tuple[sqlite3.Connection, House]]:
    """Open a database to read, with the house that it holds.

    Raises
    ------
    Unreachable
        Where there is no database, or no house in it.
    """
    from ingle.config.daemon import load_settings  # noqa: PLC0415 - verbs load what they need only when called
    from ingle.errors import Unreachable  # noqa: PLC0415 - as above
    from ingle.store.db import open_readonly  # noqa: PLC0415 - as above
    from ingle.store.houses import current  # noqa: PLC0415 - as above

    path = load_settings(config, os.environ).db if db is None else db
    with closing(open_readonly(path)) as conn:
        revision = current(conn)
        if revision is None:
            raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
        yield conn, revision.house


def asked(conn: sqlite3.Connection, house: House, start: str | None, end: str | None) -> tuple[datetime, datetime]:
    """Return the span that a person means: without words, the month of the newest reading up to its day.

    Raises
    ------
    BadInput
        With all that is wrong with both ends.
    """
    from ingle.clock import SystemClock  # noqa: PLC0415 - as above
    from ingle.model.instants import from_ms  # noqa: PLC0415 - as above
    from ingle.reports.spans import span  # noqa: PLC0415 - as above
    from ingle.store.columns import span as known  # noqa: PLC0415 - as above

    timezone = ZoneInfo(house.site.timezone)
    first, last = span(start, end, house.site.timezone)
    if last is None:
        found = known(conn, start_ms=0, end_ms=2**62)
        newest = SystemClock().now() if found is None else from_ms(max(found[0], found[1] - 1))
        last = _midnight(max(newest, first or newest).astimezone(timezone) + timedelta(days=1))
    if first is None:
        first = _midnight((last - timedelta(seconds=1)).astimezone(timezone).replace(day=1))
    return first, last


def beside(
    house: House, of: tuple[datetime, datetime], start: str | None, end: str | None
) -> tuple[datetime, datetime]:
    """Return the span that another is compared with: without words, as many days just before it.

    Raises
    ------
    BadInput
        With all that is wrong with both ends.
    """
    from ingle.reports.spans import span  # noqa: PLC0415 - as above

    first, last = span(start, end, house.site.timezone, ("--with-from", "--with-to"))
    last = of[0] if last is None else last
    return (last - (of[1] - of[0]) if first is None else first), last


def _midnight(when: datetime) -> datetime:
    return when.replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
