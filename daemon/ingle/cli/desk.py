"""The command line's side of the desk: hand work to the running daemon, and get its errors back as our own."""

from __future__ import annotations

import http.client
import json
from pathlib import Path
from typing import Any, Final

from ingle.errors import BadInput, Fault, IngleError, Refused, Unknown, Unreachable
from ingle.http.unix import connect, socket_path

#: How long the daemon may take [s]; it waits for its disk.
TIMEOUT_S: Final = 60.0
_CONNECT_S: Final = 2.0


class _Desk(http.client.HTTPConnection):
    """HTTP over the socket beside a database."""

    def __init__(self, path: Path, timeout_s: float) -> None:
        super().__init__("localhost", timeout=timeout_s)
        self._path = path

    def connect(self) -> None:
        """Open the socket."""
        self.sock = connect(self._path, _CONNECT_S)
        self.sock.settimeout(self.timeout)


def running(database: Path) -> bool:
    """Return whether a daemon serves a database and listens at its desk."""
    try:
        connect(socket_path(database), _CONNECT_S).close()
    except OSError:
        return False
    return True


def post(database: Path, path: str, body: bytes, content_type: str, *, timeout_s: float = TIMEOUT_S) -> Any:  # noqa: ANN401 - JSON
    """Hand a body to the daemon that serves a database, and return what it answers.

    Parameters
    ----------
    path
        The desk's path with its query, such as ``/desk/house?who=...``.

    Raises
    ------
    BadInput
        With every fault that the daemon found, as if it had been found here.
    Unknown, Refused
        As the daemon says.
    Unreachable
        Where no daemon answers, or it cannot do it now.
    """
    return _ask(database, "POST", path, timeout_s, body, {"Content-Type": content_type})


def get(database: Path, path: str, *, timeout_s: float = TIMEOUT_S) -> Any:  # noqa: ANN401 - JSON
    """Ask the daemon that serves a database, and return what it answers; errors are those of ``post``."""
    return _ask(database, "GET", path, timeout_s, None, {})


def _ask(database: Path, method: str, path: str, timeout_s: float, body: bytes | None, headers: dict[str, str]) -> Any:  # noqa: ANN401 - JSON
    desk = _Desk(socket_path(database), timeout_s)
    try:
        desk.request(method, path, body, headers)
        answer = desk.getresponse()
        text = answer.read()
    except (OSError, http.client.HTTPException) as error:
        words = getattr(error, "strerror", None) or str(error) or type(error).__name__
        raise Unreachable(f"{database}: the running ingle does not answer: {words}") from error
    finally:
        desk.close()
    try:
        value = json.loads(text)
    except ValueError as error:
        raise Unreachable(f"{database}: the running ingle answers in words of another version") from error
    if answer.status < http.client.BAD_REQUEST:
        return value
    raise _error(answer.status, value)


def _error(status: int, problem: dict[str, Any]) -> IngleError:
    faults = [_fault(wrong) for wrong in problem.get("errors", ())]
    detail = str(problem.get("detail", "")) or f"status {status}"
    if faults:
        return BadInput(faults)
    if status == http.client.NOT_FOUND:
        return Unknown(detail)
    if status >= http.client.INTERNAL_SERVER_ERROR:
        return Unreachable(detail)
    return Refused(detail)


def _fault(wrong: dict[str, Any]) -> Fault:
    """Return a fault as it was before it travelled; no key of a house file is a bare number."""
    keys = [key.replace("~1", "/").replace("~0", "~") for key in str(wrong["pointer"]).split("/")[1:]]
    path = tuple(int(key) if key.isdecimal() else key for key in keys)
    return Fault(path, wrong.get("value"), str(wrong["allowed"]), str(wrong.get("source", "")))
