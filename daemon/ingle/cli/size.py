"""``ingle size``: heaters that meet a room's load, where they go, and the circuits under them."""

from __future__ import annotations

from pathlib import Path

import click

from ingle.cli.common import EXIT_FINDING, config_option, db_option, json_option, table
from ingle.cli.subject import file_argument, house_option, subject


@click.command()
@file_argument
@house_option
@click.option("--zone", "zone_id", metavar="ID", help="The room; without it, the circuits of the whole house.")
@click.option("--rating", "rating_w", metavar="W", help="Only heaters of this plate.")
@click.option("--section", "section_w", metavar="W", help="Heaters built from sections of this plate.")
@click.option("--sections-max", "sections_max", metavar="N", help="Most sections in one heater (16).")
@click.option("--element", "element", metavar="KIND", help="resistive (the default) or ptc.")
@click.option("--rated-voltage", "rated_v", metavar="V", help="Voltage of the plate (230 near 230 V).")
@click.option("--voltage", "voltage_v", metavar="V", help="Voltage as measured on site (the house's).")
@click.option("--outdoor", "outdoor_c", metavar="°C", help="An ordinary day of the heating season (8).")
@click.option("--warm-from", "from_c", metavar="°C", help="Warm-up from (the zone's setback level).")
@click.option("--warm-to", "to_c", metavar="°C", help="Warm-up to (the zone's occupied level).")
@json_option
@db_option
@config_option
def size(
    file: Path | None,
    *,
    of_house: bool,
    zone_id: str | None,
    as_json: bool,
    db: Path | None,
    config: Path | None,
    **wishes: str | None,
) -> int:
    """Show which heaters would meet the load of a room of FILE, and what the circuits under its heaters carry.

    Without --zone, all circuits and the supply. Exit code 1 where a circuit fails or a heater may not stand where it
    stands. A competent electrician and the local rules decide; these sums do not.
    """
    import msgspec  # noqa: PLC0415 - verbs load what they need only when called

    from ingle.reports import size as report  # noqa: PLC0415

    house = subject(file, of_house=of_house, db=db, config=config)
    given = {name: value for name, value in wishes.items() if value is not None}
    if zone_id is None and given:
        raise click.UsageError("name the room with --zone ID; without it no heaters are chosen")
    found = report.circuits(house) if zone_id is None else report.options(house, zone_id, report.wishes(given))
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(found)).decode())
    else:
        click.echo(report.text(found, table))
    return EXIT_FINDING if report.findings(found) else 0
