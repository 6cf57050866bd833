"""The command line: verbs are loaded only when called, so that ``ingle --help`` costs nothing."""

from __future__ import annotations

import importlib
import os
import sys

import click

from ingle import __version__
from ingle.cli.common import EXIT_UNREACHABLE, exit_code, say_error
from ingle.errors import IngleError

#: Set to see a traceback, for developers; users get a line.
TRACE_VARIABLE = "INGLE_TRACE"

VERBS: dict[str, str] = {
    "demo": "Run a simulated guest house, with broker, heaters and pages.",
    "serve": "Run the house.",
    "design": "Heat loss of each room, line by line.",
    "size": "Heaters that fit a room, and the circuits under them.",
    "assess": "Metered use against design, room by room.",
    "explain": "Why a room is as it is; what it would take run another way.",
    "energy": "What was used, by heater and day; one period beside another.",
    "cost": "What it cost, by heater and day; why one bill is higher than another.",
    "house": "Load, dump, check the house file; see its history.",
    "readings": "Import and export readings.",
    "user": "Say who may do what: accounts, tokens.",
    "backup": "Copy the database while it runs.",
}


class _Verbs(click.Group):
    """Finds each verb in the module of its name."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in VERBS:
            return None
        command: click.Command = getattr(importlib.import_module(f"ingle.cli.{cmd_name}"), cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Verbs"):
            formatter.write_dl(list(VERBS.items()))


@click.command(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="ingle")
def ingle() -> None:
    """Supervise a home's electric room heaters, and check metered use against design heat loss.

    ingle is not a safety device: thermal cut-outs stay in the heaters, and a competent electrician and local rules
    decide about circuits.
    """


def main() -> None:
    """Run a verb and leave with its exit code."""
    try:
        # Not ingle.main(): click would end a broken pipe with 1, which here means a finding.
        with ingle.make_context("ingle", sys.argv[1:]) as context:
            result = ingle.invoke(context)
    except click.exceptions.Exit as end:
        sys.exit(end.exit_code)
    except (click.exceptions.Abort, KeyboardInterrupt):
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except IngleError as error:
        say_error(error)
        sys.exit(exit_code(error))
    except BrokenPipeError:
        # The reader of our output has gone (ingle ... | head); nothing is left to say.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        # A full disk behind a redirection, a folder that went away: the verbs say the rest themselves.
        click.echo(f"{error.filename or 'output'}: {error.strerror or error}", err=True)
        sys.exit(EXIT_UNREACHABLE)
    except Exception as error:
        if os.environ.get(TRACE_VARIABLE):
            raise
        click.echo(f"ingle itself failed: {type(error).__name__}: {error} ({TRACE_VARIABLE}=1 shows where)", err=True)
        sys.exit(EXIT_UNREACHABLE)
    sys.exit(result if isinstance(result, int) else 0)
