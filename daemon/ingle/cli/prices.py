"""A file of half-hourly prices on its way into the database: by the running daemon, or under the lock."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from ingle.errors import BadInput, Fault, Unreachable
from ingle.model.prices import PricesTaken

if TYPE_CHECKING:
    from ingle.commands.prices import Placed

_ID = re.compile(r"^[a-z0-9][a-z0-9-]{0,31}$")


def load(file: Path, database: Path, series: str, who: str, why: str) -> PricesTaken:
    """Check a file and store it whole.

    Raises
    ------
    BadInput
        With every fault of it.
    Unreachable
        Where the file or the database cannot be read.
    """
    from ingle.commands.prices import Placed, check  # noqa: PLC0415 - loaded only when prices are
    from ingle.intake.price_table import parse  # noqa: PLC0415 - as above
    from ingle.store.lock import try_lock  # noqa: PLC0415 - as above

    if not _ID.match(series):
        raise BadInput([Fault(("--series",), series, "1 to 32 of a-z, 0-9 and -, starting with a letter or digit")])
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise Unreachable(f"{file}: {error.strerror or error}") from error
    placed = [Placed(price, (f"line {line}",)) for price, line in parse(raw, file.name)]
    check(placed)
    lock = try_lock(database)
    if lock is None:
        return _hand_over(database, raw, {"series": series, "who": who, "why": why, "file": file.name})
    with lock:
        return _save(database, series, placed, who, why)


def _hand_over(database: Path, raw: bytes, about: dict[str, str]) -> PricesTaken:
    import msgspec  # noqa: PLC0415 - loaded only beside a running daemon

    from ingle.cli.desk import post  # noqa: PLC0415 - as above

    return msgspec.convert(post(database, f"/desk/prices?{urlencode(about)}", raw, "text/csv"), PricesTaken)


def _save(database: Path, series: str, placed: list[Placed], who: str, why: str) -> PricesTaken:
    from ingle.clock import SystemClock  # noqa: PLC0415 - loaded only without a daemon
    from ingle.commands.prices import series_of, take  # noqa: PLC0415 - as above
    from ingle.model.commands import Origin  # noqa: PLC0415 - as above
    from ingle.store.houses import current  # noqa: PLC0415 - as above
    from ingle.store.offline import transaction  # noqa: PLC0415 - as above

    with transaction(database) as conn:
        revision = current(conn)
        in_use = revision is not None and series in series_of(revision.house)
        origin = Origin(who=who, via="cli")
        return take(conn, series, placed, now=SystemClock().now(), origin=origin, why=why, in_use=in_use)
