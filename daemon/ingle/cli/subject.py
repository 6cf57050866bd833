"""Which house a verb speaks of: that of a file, or that of the database."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ingle.cli.common import Decorator

if TYPE_CHECKING:
    from ingle.model.house import House

file_argument: Decorator = click.argument("file", required=False, type=click.Path(path_type=Path))
house_option: Decorator = click.option(
    "--house", "of_house", is_flag=True, help="The house that the database holds, instead of a file."
)


def subject(file: Path | None, *, of_house: bool, db: Path | None, config: Path | None) -> House:
    """Return the house that a person means.

    Raises
    ------
    click.UsageError
        Where both or neither is named.
    BadInput
        With every fault of the file.
    Unreachable
        Where there is no database, or no house in it.
    """
    if (file is None) != of_house:
        raise click.UsageError("give a house FILE, or --house for the one in the database; one of the two")
    return _of_database(db, config) if file is None else _of_file(file)


def _of_file(file: Path) -> House:
    from ingle.config.house import read_house_file  # noqa: PLC0415 - verbs load what they need only when called

    return read_house_file(file)


def _of_database(db: Path | None, config: Path | None) -> House:
    from ingle.config.daemon import load_settings  # noqa: PLC0415 - as above
    from ingle.errors import Unreachable  # noqa: PLC0415 - as above
    from ingle.store.db import open_readonly  # noqa: PLC0415 - as above
    from ingle.store.houses import current  # noqa: PLC0415 - as above

    path = load_settings(config, os.environ).db if db is None else db
    with closing(open_readonly(path)) as conn:
        revision = current(conn)
    if revision is None:
        raise Unreachable(f"{path}: it holds no house yet; load one with: ingle house load FILE --db {path}")
    return revision.house
