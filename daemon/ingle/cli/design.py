"""``ingle design``: the heat loss of each room of a house file, or of the house that the database holds."""

from __future__ import annotations

from pathlib import Path

import click

from ingle.cli.common import config_option, db_option, json_option, table, zone_option
from ingle.cli.subject import file_argument, house_option, subject


@click.command()
@file_argument
@house_option
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

    result = design_house(subject(file, of_house=of_house, db=db, config=config))
    picked = chosen(result, zones)
    if as_json:
        shown = msgspec.structs.replace(result, zones=picked)
        click.echo(msgspec.json.format(msgspec.json.encode(shown)).decode())
    elif zones:
        click.echo("\n\n".join(sheet(result, zone) for zone in picked))
    else:
        click.echo(summary(result, table))
