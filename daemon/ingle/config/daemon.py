"""``ingle.toml``: how the daemon runs, apart from any house.

Every setting has a default, so that a house can be served without a file; flags on the command line win over it::

    listen = "127.0.0.1:8470"           # where pages and API answer; off loopback see plain_http
    broker = "mqtt://127.0.0.1:1883"    # or "embedded"
    username = "ingle"                  # at the broker
    password_file = "broker.password"   # first line of this file
    root = "ingle"                      # first part of every topic
    database = "ingle.db"               # default: in systemd's state folder, else in the current folder
    clock = "trusted"                   # this machine keeps time by itself; default "checked"
    hosts = ["tern.example"]            # further names under which a browser may ask
    profiles = "profiles"               # folder of firmware profiles besides the shipped ones
    readings_days = 730                 # how long single readings are kept
    plain_http = true                   # others on a home network may ask without encryption; takes an owner's account
    carbon = "carbon.toml"              # factors to show carbon by (config/carbon.py); without it none is shown

Paths are relative to the file's own folder.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit

import msgspec
from msgspec import Meta

from ingle.config import walk
from ingle.config.house import parse_toml, read_text
from ingle.errors import BadInput, Fault
from ingle.model.base import Value

#: The variable that names the file where no ``--config`` does.
CONFIG_VARIABLE = "INGLE_CONFIG"
#: Set by systemd to the service's own folder.
STATE_VARIABLE = "STATE_DIRECTORY"
DATABASE_NAME = "ingle.db"

LISTEN_WORDS = "HOST:PORT with a port from 0 to 65535, such as 127.0.0.1:8470 or [::1]:8470"
BROKER_WORDS = 'mqtt://HOST or mqtt://HOST:PORT, or "embedded"; a user goes into username and password_file'
ROOT_WORDS = "parts of letters, digits, - and _, joined by /"


class Settings(Value, frozen=True, kw_only=True):
    """The daemon's settings; see the head of this file."""

    listen: Annotated[str, Meta(max_length=255)] = "127.0.0.1:8470"
    broker: Annotated[str, Meta(max_length=255)] = "mqtt://127.0.0.1:1883"
    username: Annotated[str, Meta(min_length=1, max_length=128)] | None = None
    password_file: Annotated[str, Meta(min_length=1)] | None = None
    root: Annotated[str, Meta(pattern=r"^[A-Za-z0-9_-]+(/[A-Za-z0-9_-]+)*$", max_length=64, description=ROOT_WORDS)] = (
        "ingle"
    )
    database: Annotated[str, Meta(min_length=1)] = DATABASE_NAME
    clock: Literal["checked", "trusted"] = "checked"
    hosts: tuple[Annotated[str, Meta(pattern=r"^[A-Za-z0-9.:\[\]-]{1,253}$", description="a host name")], ...] = ()
    profiles: Annotated[str, Meta(min_length=1)] | None = None
    readings_days: Annotated[int, Meta(ge=7, le=36_500)] = 730
    plain_http: bool = False
    carbon: Annotated[str, Meta(min_length=1)] | None = None

    @property
    def db(self) -> Path:
        """The database file."""
        return Path(self.database)

    @property
    def listen_at(self) -> tuple[str, int]:
        """Where to listen: host and port."""
        return _host_and_port(self.listen)

    @property
    def embedded(self) -> bool:
        """Whether ingle runs a broker of its own."""
        return self.broker == "embedded"

    @property
    def broker_at(self) -> tuple[str, int]:
        """Where the broker answers: host and port."""
        parts = urlsplit(self.broker)
        return parts.hostname or "127.0.0.1", parts.port or 1883

    @property
    def clock_trusted(self) -> bool:
        """Whether the wall clock is taken as right from the start."""
        return self.clock == "trusted"

    def password(self) -> str | None:
        """Return the broker password: the first line of its file, read anew each time.

        Raises
        ------
        BadInput, Unreachable
            Where there is no such file, or it cannot be read.
        """
        if self.password_file is None:
            return None
        return read_text(Path(self.password_file)).partition("\n")[0].rstrip("\r")


def load_settings(path: Path | None, environ: Mapping[str, str]) -> Settings:
    """Read the settings.

    Parameters
    ----------
    path
        The file; None for the one that ``INGLE_CONFIG`` names, or for the defaults where it names none.
    environ
        The environment.

    Raises
    ------
    BadInput
        With all faults of the file.
    Unreachable
        Where the file cannot be read.

    >>> load_settings(None, {}).listen_at
    ('127.0.0.1', 8470)
    >>> str(load_settings(None, {"STATE_DIRECTORY": "/var/lib/ingle"}).db)
    '/var/lib/ingle/ingle.db'
    """
    named = environ.get(CONFIG_VARIABLE)
    if path is None and named:
        path = Path(named)
    document: dict[str, object] = {} if path is None else parse_toml(read_text(path), path.name)
    settings = _check(document, "" if path is None else path.name)
    folder = Path() if path is None else path.parent
    placed: dict[str, Any] = {
        key: str(folder / value) for key in ("password_file", "profiles", "carbon") if (value := getattr(settings, key))
    }
    home = folder if "database" in document else _state_folder(environ)
    return msgspec.structs.replace(settings, database=str(home / settings.database), **placed)


def _state_folder(environ: Mapping[str, str]) -> Path:
    """Return systemd's folder for the unit's own state (the first, where it gives several), or the current one."""
    return Path(environ.get(STATE_VARIABLE, "").partition(":")[0])


def with_flags(
    settings: Settings,
    *,
    db: Path | None = None,
    listen: str | None = None,
    broker: str | None = None,
    clock: str | None = None,
) -> Settings:
    """Return settings with what the command line says instead.

    Raises
    ------
    BadInput
        Naming the flag.

    >>> with_flags(Settings(), listen="127.0.0.1:0").listen_at
    ('127.0.0.1', 0)
    >>> with_flags(Settings(), listen="8470")
    Traceback (most recent call last):
    ingle.errors.BadInput: --listen: '8470' is not allowed; allowed: HOST:PORT ...
    """
    flags = {"database": None if db is None else str(db), "listen": listen, "broker": broker, "clock": clock}
    given = {key: value for key, value in flags.items() if value is not None}
    try:
        _check(given, "")
    except BadInput as error:
        names = {"database": "--db"}
        faults = [Fault((names.get(f.place, f"--{f.place}"),), f.value, f.allowed) for f in error.faults]
        raise BadInput(faults) from error
    changed: dict[str, Any] = given
    return msgspec.structs.replace(settings, **changed)


def _check(document: Mapping[str, object], source: str) -> Settings:
    settings, faults = walk.read(dict(document), Settings, source)
    wrong = {fault.path[0] for fault in faults}
    if "listen" not in wrong and not _is_listen(settings.listen):
        faults.append(Fault(("listen",), settings.listen, LISTEN_WORDS, source))
    if "broker" not in wrong and not _is_broker(settings.broker):
        faults.append(Fault(("broker",), settings.broker, BROKER_WORDS, source))
    if settings.password_file is not None and settings.username is None and "username" not in wrong:
        faults.append(Fault(("username",), None, "a user name, beside password_file", source))
    if faults:
        raise BadInput(faults)
    return settings


def _host_and_port(listen: str) -> tuple[str, int]:
    host, _, port = listen.rpartition(":")
    return host.removeprefix("[").removesuffix("]"), int(port)


def _is_listen(text: str) -> bool:
    host, colon, port = text.rpartition(":")
    bracketed = host.startswith("[") and host.endswith("]")
    if not colon or not host or (":" in host and not bracketed):
        return False
    return port.isascii() and port.isdecimal() and int(port) <= 65_535


def _is_broker(text: str) -> bool:
    if text == "embedded":
        return True
    try:
        parts = urlsplit(text)
        return (
            parts.scheme == "mqtt"
            and bool(parts.hostname)
            and parts.netloc == text.removeprefix("mqtt://")
            and (parts.username is None and parts.port != 0)
        )
    except ValueError:
        return False
