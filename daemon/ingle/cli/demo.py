"""``ingle demo``: a simulated guest house, really run."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import Progress
from ingle.errors import BadInput, Fault, Unreachable

if TYPE_CHECKING:
    from ingle.app.running import Running

#: Faster than this an order (1800 s) could run out between two ticks (2 s of real time).
FASTEST = 300
NEW_FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.option("--db", "db", type=NEW_FILE, help="A new database file (default: in a fresh folder).")
@click.option(
    "--speed", type=click.FloatRange(1, FASTEST), default=1.0, show_default=True, help="Simulated seconds a second."
)
@click.option("--seconds", type=click.FloatRange(0), help="Stop by itself after so many real seconds.")
@click.option("--weeks", type=click.FloatRange(0, 26), default=5.0, show_default=True, help="How much history to make.")
def demo(db: Path | None, speed: float, seconds: float | None, weeks: float) -> None:
    """Run Tern House, an invented guest house: heaters and weather are simulated, everything else is real.

    Needs no broker, hardware, account or network. Some things in the house are not as surveyed; `ingle assess` finds
    them.
    """
    import asyncio  # noqa: PLC0415 - a verb loads what it needs when it is called
    import logging  # noqa: PLC0415 - likewise

    from ingle.app.demo import demonstrate  # noqa: PLC0415 - likewise
    from ingle.clock import SystemClock  # noqa: PLC0415 - likewise

    logging.basicConfig(level=logging.WARNING, format="%(levelname)s %(name)s: %(message)s")
    database = _new(db)
    click.echo("house  Tern House, Haverlock harbour (simulated)")
    click.echo(f"data   {database}")

    def ready(run: Running) -> None:
        click.echo(f"broker mqtt://{run.broker.host}:{run.broker.port}")
        click.echo(f"assess ingle assess --db {database}")
        click.echo(f"page {run.page}")

    with Progress("history", 100) as bar:
        asyncio.run(
            demonstrate(
                database,
                SystemClock(),
                speed=speed,
                weeks=weeks,
                seconds=seconds,
                progress=lambda done, of: bar.at(done * 100 // of),
                ready=ready,
            )
        )


def _new(db: Path | None) -> Path:
    """Return the path of a database that does not exist yet."""
    if db is None:
        try:
            return Path(tempfile.mkdtemp(prefix="ingle-demo-")) / "tern-house.db"
        except OSError as error:
            raise Unreachable(f"no folder can be made for the demo's data: {error.strerror}; --db names one") from error
    if db.exists():
        raise BadInput([Fault(("--db",), str(db), "a file that does not exist yet: the demo makes its own history")])
    if not db.parent.is_dir():
        raise BadInput([Fault(("--db",), str(db), "a file in a folder that exists")])
    return db
