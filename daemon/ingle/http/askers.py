"""Who is behind a request, and whether they may.

A browser shows a session in a cookie that scripts cannot read and other sites cannot send; everything else shows a
token: ``Authorization: Bearer ingle_…`` (RFC 6750). While the house has no owner, whoever is at this machine is taken
for one: ingle then listens on loopback only. At the desk's socket that stays so, for only ingle's own user can open it.
"""

from __future__ import annotations

from typing import Final

from aiohttp import web

from ingle.commands.people import Known
from ingle.http.parts import PARTS
from ingle.http.problems import Refusal
from ingle.model.people import LOCAL, Act, Asker

COOKIE: Final = "ingle"
#: True in the application behind the desk's socket.
AT_DESK: Final = web.AppKey("at_desk", bool)
_ANYBODY: Final = Known(LOCAL, 0)


def who_asks(request: web.Request) -> Known | None:
    """Return who asks; None where nobody that ingle knows does."""
    people = request.app[PARTS].people
    if request.app.get(AT_DESK, False) or not people.owned:
        return _ANYBODY
    given = request.headers.get("Authorization", "")
    if given:
        kind, _, secret = given.partition(" ")
        return people.known(secret.strip()) if kind.lower() == "bearer" else None
    return people.known(request.cookies.get(COOKIE, ""))


def checked(request: web.Request, act: Act | None, zone: str | None) -> Known:
    """Return who asks, where they may do something.

    Parameters
    ----------
    act
        What is asked for; None for what anybody may.
    zone
        The zone that it is about.

    Raises
    ------
    Refusal
        401 for nobody known, 403 for somebody who may not.
    """
    known = who_asks(request)
    if act is None:
        return known or _ANYBODY
    if known is None:
        asked = {"WWW-Authenticate": 'Bearer realm="ingle"'}
        raise Refusal(401, "say who you are: sign in, or send a token as Bearer", headers=asked)
    allow(known.asker, act, zone)
    return known


def allow(asker: Asker, act: Act, zone: str | None) -> None:
    """Refuse where somebody may not do something.

    Raises
    ------
    Refusal
        403, naming the act, and the zone where it may be done in others.
    """
    if not asker.may(act, zone):
        about = f" in zone {zone!r}" if zone is not None and asker.may(act) else ""
        raise Refusal(403, f"{asker.who}, {_an(asker.role)}, may not {act}{about}")


def address(request: web.Request) -> str:
    """Return where a request came from, for slowing down guesses."""
    return request.remote or "this machine"


def _an(role: str) -> str:
    return f"{'an' if role[0] in 'aeiou' else 'a'} {role}"
