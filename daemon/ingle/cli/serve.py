"""``ingle serve``: run the house."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import config_option, db_option

if TYPE_CHECKING:
    from ingle.app.running import Running


@click.command()
@db_option
@config_option
@click.option("--broker", metavar="URL", help="mqtt://HOST:PORT, or embedded (for a first evening).")
@click.option("--listen", metavar="HOST:PORT", help="Where pages and API answer; port 0 takes a free one.")
@click.option("--clock", metavar="WORD", help="trusted: programmes run without waiting for a time server.")
def serve(db: Path | None, config: Path | None, broker: str | None, listen: str | None, clock: str | None) -> None:
    """Run the house: pages and API on loopback, heaters over MQTT."""
    import asyncio  # noqa: PLC0415 - a verb loads what it needs when it is called
    import logging  # noqa: PLC0415 - likewise
    import os  # noqa: PLC0415 - likewise

    from ingle.app.serve import serve as run  # noqa: PLC0415 - likewise
    from ingle.app.serve import set_up_logging  # noqa: PLC0415 - likewise
    from ingle.clock import SystemClock  # noqa: PLC0415 - likewise
    from ingle.config.daemon import load_settings, with_flags  # noqa: PLC0415 - likewise

    settings = with_flags(load_settings(config, os.environ), db=db, listen=listen, broker=broker, clock=clock)
    set_up_logging()

    def ready(running: Running) -> None:
        click.echo(f"page {running.page}")
        people = running.parts.people
        if not people.owned:
            # Into the log, not the output: who reads the console may become the owner, not who is handed the rest.
            words = "no owner yet; claim code %s (good for 15 minutes, at %saccount)"
            logging.getLogger(__name__).warning(words, people.new_claim(), running.page)

    asyncio.run(run(settings, SystemClock(), ready))
