"""``ingle assess``: metered use against design, room by room."""

from __future__ import annotations

import os
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import EXIT_FINDING, config_option, db_option, json_option, table, zone_option
from ingle.errors import BadInput, Fault

if TYPE_CHECKING:
    from ingle.model.house import House


@click.command()
@click.option("--from", "start", metavar="TIME", help="First day or instant, ISO 8601 (default: a year back).")
@click.option("--to", "end", metavar="TIME", help="Last day (to its end) or instant, ISO 8601 (default: the newest).")
@json_option
@zone_option
@db_option
@config_option
def assess(
    *, start: str | None, end: str | None, as_json: bool, zones: tuple[str, ...], db: Path | None, config: Path | None
) -> int:
    """Compare what each room took with what its design says it should.

    Every figure has its 95 % interval; where the readings do not suffice, the answer is what is missing and from
    when it may be possible. Exit code 1: there is a finding.
    """
    # One thread: more make a small regression slower. To be set before numpy is first loaded.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.config.daemon import load_settings  # noqa: PLC0415
    from ingle.design import design_house  # noqa: PLC0415
    from ingle.errors import Unreachable  # noqa: PLC0415
    from ingle.reports.assess import assess as assess_house  # noqa: PLC0415
    from ingle.reports.assess import has_finding, summary  # noqa: PLC0415
    from ingle.store.db import open_readonly  # noqa: PLC0415
    from ingle.store.houses import current  # noqa: PLC0415

    path = load_settings(config, os.environ).db if db is None else db
    with closing(open_readonly(path)) as conn:
        revision = current(conn)
        if revision is None:
            raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
        house = revision.house
        first, last = _instants(house, start, end)
        result = assess_house(conn, house, design_house(house), first, last, zones)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(result)).decode())
    else:
        click.echo(summary(result, table))
    return EXIT_FINDING if has_finding(result) else 0


def _instants(house: House, start: str | None, end: str | None) -> tuple[datetime | None, datetime | None]:
    """Read both ends of the span, all that is wrong with them at once."""
    faults: list[Fault] = []
    first = _instant(house, "--from", start, faults)
    last = _instant(house, "--to", end, faults)
    if first is not None and last is not None and first >= last:
        faults.append(Fault(("--to",), end, f"later than --from, {start}"))
    if faults:
        raise BadInput(faults)
    return first, last


def _instant(house: House, flag: str, text: str | None, faults: list[Fault]) -> datetime | None:
    """Read a day, whole, in the house's time zone, or an instant with its offset."""
    from zoneinfo import ZoneInfo  # noqa: PLC0415

    if text is None:
        return None
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        when = None
    if when is None or not 1970 <= when.year <= 9000:
        faults.append(Fault((flag,), text, "a date such as 2026-01-31, or an instant such as 2026-01-31T18:00:00Z"))
        return None
    if len(text) <= len("2026-01-31") and flag == "--to":
        when += timedelta(days=1)
    return when.replace(tzinfo=ZoneInfo(house.site.timezone)).astimezone(UTC) if when.tzinfo is None else when
