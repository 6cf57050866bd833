"""What all verbs share: options, tables, progress, and how an error reaches a person.

Errors go to stderr, one per line, never as a traceback. Exit codes: 0 done, 1 a finding, 2 bad input, 3 something
cannot be reached.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import click

from ingle.errors import BadInput, IngleError, Unreachable

EXIT_FINDING = 1
EXIT_BAD_INPUT = 2
EXIT_UNREACHABLE = 3

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

db_option: Decorator = click.option(
    "--db", "db", type=click.Path(dir_okay=False, path_type=Path), help="Database file (default: from the settings)."
)
config_option: Decorator = click.option(
    "--config",
    "config",
    envvar="INGLE_CONFIG",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The daemon's settings, ingle.toml (environment: INGLE_CONFIG).",
)
json_option: Decorator = click.option("--json", "as_json", is_flag=True, help="Write JSON instead of a table.")
zone_option: Decorator = click.option(
    "--zone", "zones", multiple=True, metavar="ID", help="Only this zone (repeatable)."
)


def exit_code(error: IngleError) -> int:
    """Return the exit code of an error."""
    return EXIT_UNREACHABLE if isinstance(error, Unreachable) else EXIT_BAD_INPUT


def say_error(error: IngleError) -> None:
    """Write an error to stderr, one line per fault."""
    lines = [str(fault) for fault in error.faults] if isinstance(error, BadInput) else str(error).splitlines()
    for line in lines:
        click.echo(line, err=True)


def table(headers: Sequence[str], rows: Sequence[Sequence[str]], *, left: frozenset[int] = frozenset({0})) -> str:
    """Return an aligned text table; columns in ``left`` are flush left, all others flush right.

    >>> print(table(["zone", "W"], [["loft", "1931"], ["hall", "80"]]))
    zone     W
    loft  1931
    hall    80
    """
    cells = [list(headers), *[list(row) for row in rows]]
    widths = [max(len(row[column]) for row in cells) for column in range(len(headers))]
    lines = [
        "  ".join(
            text.ljust(width) if column in left else text.rjust(width)
            for column, (text, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]
    return "\n".join(lines)


class Progress:
    """A one-line progress count on stderr, only where a person is watching."""

    def __init__(self, what: str, total: int) -> None:
        self._what = what
        self._total = max(total, 1)
        self._shown = -1
        self._live = sys.stderr.isatty()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._live and self._shown >= 0:
            click.echo("", err=True)

    def at(self, done: int) -> None:
        """Show how far it is."""
        percent = min(100, done * 100 // self._total)
        if not self._live or percent == self._shown:
            return
        self._shown = percent
        filled = percent * 30 // 100
        click.echo(f"\r{self._what} [{'#' * filled}{'.' * (30 - filled)}] {percent:3d} %", nl=False, err=True)
