"""``ingle backup``: copy the database while it is in use."""

from __future__ import annotations

import os
from pathlib import Path

import click

from ingle.cli.common import Progress, config_option, db_option


@click.command()
@click.option(
    "--to", "folder", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder for the copy."
)
@db_option
@config_option
def backup(folder: Path, db: Path | None, config: Path | None) -> None:
    """Copy the database, also while the house is served, and print where the copy is."""
    from ingle.clock import SystemClock  # noqa: PLC0415 - loaded only when the verb runs
    from ingle.config.daemon import load_settings  # noqa: PLC0415
    from ingle.store.backup import backup as copy  # noqa: PLC0415

    database = db or load_settings(config, os.environ).db
    with Progress("backup", 100) as bar:
        made = copy(database, folder, SystemClock().now(), lambda done, total: bar.at(done * 100 // max(total, 1)))
    click.echo(made)
