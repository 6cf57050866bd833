"""People: the claim, signing in and out, accounts, sessions and tokens, and the matrix of rights."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated, Any, Final

import msgspec
from aiohttp import web
from msgspec import Meta

from ingle.clock import Clock
from ingle.commands.people import SESSION, Denied, People
from ingle.config.request import value
from ingle.errors import Unknown
from ingle.http.askers import COOKIE, address
from ingle.http.problems import Refusal
from ingle.http.route import Call, Reply, Route
from ingle.model.base import Id, Result
from ingle.model.instants import from_ms
from ingle.model.people import LOCAL, MATRIX, ROLES, Person, Role
from ingle.store.people import Proof

Instant = Annotated[datetime, Meta(tz=True)]
Name = Annotated[str, Meta(min_length=1, max_length=80)]
#: Its length is checked by ``commands.people``, which says it without quoting the value.
Password = Annotated[str, Meta(max_length=400)]
Zones = Annotated[tuple[Id, ...], Meta(max_length=100)]


class _Body(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    pass


class Claim(_Body, frozen=True, kw_only=True):
    """Become the first owner, with the code that the console shows."""

    code: Annotated[str, Meta(max_length=80)]
    id: Id
    name: Name
    password: Password


class SignIn(_Body, frozen=True, kw_only=True):
    """Who, and what only they know."""

    id: Annotated[str, Meta(max_length=80)]
    password: Password


class NewPerson(_Body, frozen=True, kw_only=True):
    """An account to open; an occupant has zones, nobody else."""

    id: Id
    name: Name
    role: Role
    zones: Zones = ()
    password: Password


class Changed(_Body, frozen=True, kw_only=True):
    """What an account should be from now on."""

    name: Name
    role: Role
    zones: Zones = ()


class NewPassword(_Body, frozen=True, kw_only=True):
    """A password, and the one until now: an owner who sets somebody else's gives their own."""

    password: Password
    present: Password


class NewToken(_Body, frozen=True, kw_only=True):
    """What a token is for, and how many days it lasts."""

    label: Name
    days: Annotated[int, Meta(ge=1, le=3650)] = 365


class ProofShown(Result, frozen=True, kw_only=True):
    """A session or token, without its secret."""

    number: int
    person: str
    kind: str
    label: str
    since: Instant
    until: Instant
    used: Instant


class TokenMade(Result, frozen=True, kw_only=True):
    """A new token. Its secret is shown this once."""

    token: str
    proof: ProofShown


class Me(Result, frozen=True, kw_only=True):
    """Who asks, what they may, and by what they are known. ``owned`` is false until the first owner has claimed."""

    id: str
    role: Role
    zones: tuple[str, ...]
    may: tuple[str, ...]
    owned: bool
    signed_in: bool
    proofs: tuple[ProofShown, ...]


class Everybody(Result, frozen=True, kw_only=True):
    """Every account, closed ones too, oldest first."""

    people: tuple[Person, ...]


class Known(Result, frozen=True, kw_only=True):
    """Everybody, and all that anybody is signed in with."""

    people: tuple[Person, ...]
    proofs: tuple[ProofShown, ...]


class Rights(Result, frozen=True, kw_only=True):
    """Who may do what: acts, and for each role true, own (in the person's own zones) or false."""

    rights: dict[str, dict[str, bool | str]]


class Done(Result, frozen=True, kw_only=True):
    """It is done."""

    done: bool = True


async def claim(call: Call) -> web.StreamResponse:
    """Make the asker the first owner, and sign them in."""
    body: Claim = call.body
    try:
        secret = await call.parts.people.claim(body.code, body.id, body.name, body.password, address(call.request))
    except Denied as error:
        raise _denied(error) from None
    return _signed_in(call, secret)


async def sign_in(call: Call) -> web.StreamResponse:
    """Open a session."""
    body: SignIn = call.body
    try:
        secret = await call.parts.people.sign_in(body.id, body.password, address(call.request))
    except Denied as error:
        raise _denied(error) from None
    return _signed_in(call, secret)


async def sign_out(call: Call) -> web.StreamResponse:
    """End the session by which the asker is known."""
    if call.known.number:
        await call.parts.people.sign_out(call.known)
    response = web.Response(body=msgspec.json.encode(Done()), content_type="application/json")
    response.del_cookie(COOKIE, path="/", httponly=True, samesite="Strict")
    return response


async def me(call: Call) -> Reply:
    """Return who asks."""
    people, (asker, number) = call.parts.people, call.known
    may = tuple(act for act in MATRIX if asker.may(act))
    shown = tuple(_shown(proof) for proof in people.proofs(asker.who)) if number else ()
    value = Me(
        id=asker.who,
        role=asker.role,
        zones=asker.zones,
        may=may,
        owned=people.owned,
        signed_in=number > 0,
        proofs=shown,
    )
    return Reply(value=value)


async def everybody(call: Call) -> Reply:
    """Return every account."""
    return Reply(value=Everybody(people=tuple(await call.parts.people.everybody())))


async def add(call: Call) -> Reply:
    """Open an account."""
    body: NewPerson = call.body
    person = _person(body, call.parts.clock)
    await call.parts.people.add(person, body.password, call.known.asker.who)
    return Reply(value=person, status=201)


async def change(call: Call) -> Reply:
    """Change an account."""
    body: Changed = call.body
    who = call.known.asker.who
    return Reply(value=await call.parts.people.change(call.path("id"), body.role, body.zones, body.name, who))


async def close(call: Call) -> Reply:
    """Close an account."""
    await call.parts.people.close(call.path("id"), call.known.asker.who)
    return Reply(value=Done())


async def set_password(call: Call) -> Reply:
    """Set a password: one's own, or an owner somebody else's."""
    body: NewPassword = call.body
    asker, number = call.known
    own = call.path("id") == asker.who
    if not own and not asker.may("manage-people"):
        raise Refusal(403, f"{asker.who} may set no password but their own")
    if number:
        try:
            await call.parts.people.is_own(asker.who, body.present, address(call.request))
        except Denied as error:
            raise _denied(error, 403) from None
    keep = number if own else 0
    await call.parts.people.set_password(call.path("id"), body.password, asker.who, keep=keep)
    return Reply(value=Done())


async def make_token(call: Call) -> Reply:
    """Make a token of one's own, or an owner one of somebody else's."""
    body: NewToken = call.body
    asker = call.known.asker
    person_id = call.path("id")
    if person_id != asker.who and not asker.may("manage-people"):
        raise Refusal(403, f"{asker.who} may make no token but their own")
    proof, secret = await call.parts.people.make_token(person_id, body.label, asker.who, timedelta(days=body.days))
    return Reply(value=TokenMade(token=secret, proof=_shown(proof)), status=201)


async def end_proof(call: Call) -> Reply:
    """End a session or token: one's own, or an owner anybody's."""
    number, asker = call.path("number"), call.known.asker
    if not number.isdecimal() or len(number) > 15:
        raise Refusal(404, f"there is no session or token {number[:20]!r}")
    of = None if asker.may("manage-people") else asker.who
    await call.parts.people.end_proof(int(number), asker.who, of=of)
    return Reply(value=Done())


async def rights(_: Call) -> Reply:
    """Return the matrix."""
    rows: dict[str, dict[str, bool | str]] = {
        act: {role: row.get(role, False) for role in ROLES} for act, row in MATRIX.items()
    }
    return Reply(value=Rights(rights=rows))


async def known(call: Call) -> Reply:
    """Return every account and all that anybody is signed in with."""
    return Reply(value=await _known(call.parts.people))


async def _known(people: People) -> Known:
    proofs = tuple(_shown(proof) for proof in people.proofs())
    return Known(people=tuple(await people.everybody()), proofs=proofs)


async def at_machine(people: People, clock: Clock, path: str, body: object) -> Result:
    """Do for the command line without a daemon what the desk does with one; ``path`` is that of the desk.

    Raises
    ------
    BadInput, Refused, Unknown
        As over HTTP.
    """
    who = LOCAL.who
    match path.split("/"):
        case ["people"]:
            asked: NewPerson = value(body, NewPerson)
            person = _person(asked, clock)
            await people.add(person, asked.password, who)
            return person
        case ["people", "known"]:
            return await _known(people)
        case ["people", person_id, "tokens"]:
            wanted: NewToken = value(body, NewToken)
            proof, secret = await people.make_token(person_id, wanted.label, who, timedelta(days=wanted.days))
            return TokenMade(token=secret, proof=_shown(proof))
        case ["people", person_id, "close"]:
            await people.close(person_id, who)
        case ["proofs", number, "end"]:
            await people.end_proof(int(number), who)
        case _:
            raise Unknown(f"nothing at {path}")
    return Done()


def _person(asked: NewPerson, clock: Clock) -> Person:
    return Person(id=asked.id, name=asked.name, role=asked.role, zones=asked.zones, since=clock.now())


def _signed_in(call: Call, secret: str) -> web.StreamResponse:
    response = web.Response(body=msgspec.json.encode(Done()), content_type="application/json")
    response.headers["Cache-Control"] = "no-store"
    response.set_cookie(
        COOKIE,
        secret,
        max_age=int(SESSION.total_seconds()),
        path="/",
        httponly=True,
        samesite="Strict",
        secure=call.request.secure,
    )
    return response


def _denied(error: Denied, status: int = 401) -> Refusal:
    if error.wait_s > 0 and str(error).startswith("too many"):
        return Refusal(429, str(error), headers={"Retry-After": str(max(1, round(error.wait_s)))})
    return Refusal(status, str(error))


def _shown(proof: Proof) -> ProofShown:
    return ProofShown(
        number=proof.number,
        person=proof.person.id,
        kind=proof.kind,
        label=proof.label,
        since=from_ms(proof.made_ms),
        until=from_ms(proof.until_ms),
        used=from_ms(proof.used_ms),
    )


#: What the desk adds to the routes of people.
DESK_ROUTE = Route(
    method="GET",
    path="/desk/people/known",
    summary="Everybody, and what they are signed in with",
    handler=known,
    answers=Known,
)

_OWN: Final[dict[str, Any]] = {"act": "keep-own-account"}
_OF_PEOPLE: Final[dict[str, Any]] = {"act": "manage-people"}

ROUTES = (
    Route(
        method="POST",
        path="/api/claim",
        summary="Become the first owner, with the code that the console shows",
        handler=claim,
        answers=Done,
        body=Claim,
        act=None,
        errors=(401, 409, 429),
    ),
    Route(
        method="POST",
        path="/api/session",
        summary="Sign in",
        handler=sign_in,
        answers=Done,
        body=SignIn,
        act=None,
        errors=(401, 429),
    ),
    Route(method="POST", path="/api/session/end", summary="Sign out", handler=sign_out, answers=Done, **_OWN),
    Route(method="GET", path="/api/me", summary="Who asks, and what they may", handler=me, answers=Me, **_OWN),
    Route(
        method="GET", path="/api/people/rights", summary="Which role may what", handler=rights, answers=Rights, **_OWN
    ),
    Route(
        method="GET", path="/api/people", summary="Every account", handler=everybody, answers=Everybody, **_OF_PEOPLE
    ),
    Route(
        method="POST",
        path="/api/people",
        summary="Open an account",
        handler=add,
        answers=Person,
        status=201,
        body=NewPerson,
        errors=(409,),
        **_OF_PEOPLE,
    ),
    Route(
        method="POST",
        path="/api/people/{id}",
        summary="Change an account's name, role or zones",
        handler=change,
        answers=Person,
        body=Changed,
        errors=(409,),
        **_OF_PEOPLE,
    ),
    Route(
        method="POST",
        path="/api/people/{id}/close",
        summary="Close an account, and end its sessions and tokens",
        handler=close,
        answers=Done,
        errors=(409,),
        **_OF_PEOPLE,
    ),
    Route(
        method="POST",
        path="/api/people/{id}/password",
        summary="Set a password, and end what the person was signed in with",
        handler=set_password,
        answers=Done,
        body=NewPassword,
        errors=(429,),
        **_OWN,
    ),
    Route(
        method="POST",
        path="/api/people/{id}/tokens",
        summary="Make a token; its secret is shown this once",
        handler=make_token,
        answers=TokenMade,
        status=201,
        body=NewToken,
        errors=(409,),
        **_OWN,
    ),
    Route(
        method="POST",
        path="/api/proofs/{number}/end",
        summary="End a session or token",
        handler=end_proof,
        answers=Done,
        **_OWN,
    ),
)
