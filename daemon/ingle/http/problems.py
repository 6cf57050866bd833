"""How an error is answered: problem details (RFC 9457), once for all routes.

``type`` is ``about:blank`` throughout: the status says what kind of problem it is, ``detail`` says it in words, and
``errors`` names each value that is at fault, by JSON Pointer (RFC 6901) into the body or the query taken as an object.
"""

from __future__ import annotations

import logging
import traceback
from collections.abc import Awaitable, Callable, Mapping
from http import HTTPStatus
from typing import Any, Final, Literal

import msgspec
from aiohttp import web

from ingle.errors import BadInput, Fault, IngleError, Refused, Unknown, Unreachable
from ingle.model.base import Result

log = logging.getLogger(__name__)

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]
Place = Literal["body", "query"]

#: How much of a text value at fault is given back [characters].
_SHOWN: Final = 200


class Wrong(Result, frozen=True, kw_only=True):
    """One value at fault: where, what came, what is allowed. ``source`` is the file it stood in, if it was one."""

    pointer: str
    place: Place
    value: Any
    allowed: str
    source: str = ""


class Problem(Result, frozen=True, kw_only=True):
    """Problem details (RFC 9457)."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    errors: tuple[Wrong, ...] = ()


class Refusal(Exception):  # noqa: N818 - a request that the HTTP face itself refuses
    """A request that is refused before it reaches a room below."""

    def __init__(
        self, status: int, detail: str, faults: tuple[Fault, ...] = (), headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.faults = faults
        self.headers = dict(headers or {})


class BadQuery(BadInput):
    """A fault in the query string."""


def answer(problem: Problem, headers: Mapping[str, str] | None = None) -> web.Response:
    """Return a problem as a response."""
    return web.Response(
        status=problem.status,
        body=msgspec.json.encode(problem),
        content_type="application/problem+json",
        headers={"Cache-Control": "no-store", **(headers or {})},
    )


def problem(status: int, detail: str, faults: tuple[Fault, ...] = (), place: Place = "body") -> Problem:
    """Return a problem with the status's own title."""
    return Problem(title=HTTPStatus(status).phrase, status=status, detail=detail, errors=wrongs(faults, place))


def of_error(error: IngleError) -> Problem:
    """Return the problem that one of ingle's errors makes."""
    match error:
        case BadQuery():
            return problem(400, _count(error.faults), error.faults, "query")
        case BadInput():
            return problem(422, _count(error.faults), error.faults)
        case Unknown():
            return problem(404, str(error))
        case Refused():
            return problem(409, str(error))
        case Unreachable():
            return problem(503, str(error))
        case _:
            raise TypeError(type(error).__name__)


@web.middleware
async def as_problems(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Answer every error of ``/api`` and of the desk as a problem; pages get theirs in plain words."""
    try:
        return await handler(request)
    except Refusal as refusal:
        return answer(problem(refusal.status, refusal.detail, refusal.faults), refusal.headers)
    except IngleError as error:
        return answer(of_error(error))
    except web.HTTPException as error:
        return _of_http(request, error)
    except ConnectionError:
        raise  # The client has gone; aiohttp knows what to do.
    except Exception as error:  # noqa: BLE001 - the last net: a fault of ours must not take the connection down
        log.error("%s %s failed: %s", request.method, request.path, one_line(error))  # noqa: TRY400 - one line
        return answer(problem(500, "something in ingle failed; its log says what"))


def one_line(error: BaseException) -> str:
    """Say an unexpected error in one line, with the place in the code: a log must not fill with tracebacks."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f" ({frames[-1].filename}:{frames[-1].lineno})" if frames else ""
    return f"{type(error).__name__}: {' '.join(str(error).split())[:300]}{where}"


def is_api(path: str) -> bool:
    """Whether a path is answered in JSON.

    >>> is_api("/api/zones"), is_api("/api"), is_api("/apiary"), is_api("/healthz")
    (True, True, False, True)
    """
    return path.startswith(("/api/", "/desk/")) or path in {"/api", "/healthz", "/readyz"}


_DETAILS: Final = {
    404: "there is nothing at this path; /api/openapi.json lists what there is",
    405: "this path has no such method",
    413: "the body is too large",
}


def _of_http(request: web.Request, error: web.HTTPException) -> web.Response:
    headers = {"Allow": error.headers["Allow"]} if "Allow" in error.headers else {}
    if not is_api(request.path):
        return web.Response(status=error.status, text=f"{error.reason}\n", headers=headers)
    detail = _DETAILS.get(error.status, error.reason)
    return answer(problem(error.status, detail), headers)


def wrongs(faults: tuple[Fault, ...], place: Place = "body") -> tuple[Wrong, ...]:
    """Return faults as an answer names them."""
    return tuple(_wrong(fault, place) for fault in faults)


def _wrong(fault: Fault, place: Place) -> Wrong:
    return Wrong(
        pointer=fault.pointer, place=place, value=_shown(fault.value), allowed=fault.allowed, source=fault.source
    )


def _shown(value: object) -> object:
    """Return a value as JSON can hold it."""
    if value is None or isinstance(value, bool | int):
        return value if not isinstance(value, int) or abs(value) < 2**53 else str(value)
    if isinstance(value, float):
        return value if value - value == 0 else str(value)  # NaN and infinity have no JSON
    text = value if isinstance(value, str) else repr(value)
    text = text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."
    return text.encode(errors="replace").decode()


def _count(faults: tuple[Fault, ...]) -> str:
    if len(faults) == 1:
        return str(faults[0])
    return f"{len(faults)} values are not allowed; see errors"
