"""``ingle design``: the heat loss of each room of a house file, or of the house that the database holds."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import config_option, db_option, json_option, table, zone_option

if TYPE_CHECKING:
    from ingle.model.house import House


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--house", "of_house", is_flag=True, help="The house that the database holds, instead of a file.")
@json_option
@zone_option
@db_option
@config_option
def design(
    file: Path | None, *, of_house: bool, as_json: bool, zones: tuple[str, ...], db: Path | None, config: Path | None
) -> None:
    """Show the heat loss of each room of FILE; with --zone, its calculation line by line.

    A design sizes heaters. It does not say what a circuit may carry: that is for local rules and a competent
    electrician.
    """
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.design import design_house  # noqa: PLC0415
    from ingle.reports.design import chosen, sheet, summary  # noqa: PLC0415

    if (file is None) != of_house:
        raise click.UsageError("give a house FILE, or --house for the one in the database; one of the two")
    result = design_house(_of_database(db, config) if file is None else _of_file(file))
    picked = chosen(result, zones)
    if as_json:
        shown = msgspec.structs.replace(result, zones=picked)
        click.echo(msgspec.json.format(msgspec.json.encode(shown)).decode())
    elif zones:
        click.echo("\n\n".join(sheet(result, zone) for zone in picked))
    else:
        click.echo(summary(result, table))


def _of_file(file: Path) -> House:
    from ingle.config.house import read_house_file  # noqa: PLC0415

    return read_house_file(file)


def _of_database(db: Path | None, config: Path | None) -> House:
    from ingle.config.daemon import load_settings  # noqa: PLC0415
    from ingle.errors import Unreachable  # noqa: PLC0415
    from ingle.store.db import open_readonly  # noqa: PLC0415
    from ingle.store.houses import current  # noqa: PLC0415

    path = load_settings(config, os.environ).db if db is None else db
    with closing(open_readonly(path)) as conn:
        revision = current(conn)
    if revision is None:
        raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
    return revision.house
