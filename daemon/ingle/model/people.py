"""Who may do what: people with a role, and one written matrix that every face asks.

Four roles. An **owner** runs the house and its people; an **installer** surveys, binds, sets limits and commissions;
an **occupant** lives in some of its zones and sees and asks only there; a **reader** looks at everything and changes
nothing. Rules of this file: a role's right is a cell of ``MATRIX`` and nowhere else; a route or topic names the act,
never a role.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Final, Literal, get_args

from msgspec import Meta

from ingle.model.base import Id, Result

Instant = Annotated[datetime, Meta(tz=True)]

Role = Literal["owner", "installer", "occupant", "reader"]
ROLES: Final[tuple[Role, ...]] = get_args(Role)

#: What can be done to a house. ``look-zone`` and ``ask-zone`` are about one zone, the others about the whole.
Act = Literal[
    "look-zone",
    "ask-zone",
    "look-house",
    "lock-buttons",
    "lower-cap",
    "change-house",
    "work-out",
    "keep-books",
    "test-heating",
    "confirm-clock",
    "keep-own-account",
    "manage-people",
]

#: ``True`` everywhere, ``"own"`` in the person's own zones, absent: never.
Right = Literal[True, "own"]

#: The matrix, a row an act. Shown at ``/api/people/rights`` and tested cell by cell.
MATRIX: Final[dict[Act, dict[Role, Right]]] = {
    "look-zone": {"owner": True, "installer": True, "occupant": "own", "reader": True},
    "ask-zone": {"owner": True, "installer": True, "occupant": "own"},
    "look-house": {"owner": True, "installer": True, "reader": True},
    "lock-buttons": {"owner": True, "installer": True},
    "lower-cap": {"owner": True, "installer": True},
    "change-house": {"owner": True, "installer": True},
    "work-out": {"owner": True, "installer": True, "reader": True},
    "keep-books": {"owner": True, "installer": True},
    "test-heating": {"owner": True, "installer": True},
    "confirm-clock": {"owner": True, "installer": True},
    "keep-own-account": {"owner": True, "installer": True, "occupant": True, "reader": True},
    "manage-people": {"owner": True},
}


class Person(Result, frozen=True, kw_only=True):
    """Somebody with an account. ``zones`` are an occupant's own; ``ended`` is when the account was closed."""

    id: Id
    name: str
    role: Role
    zones: tuple[Id, ...] = ()
    since: Instant
    ended: Instant | None = None


class Asker(Result, frozen=True, kw_only=True):
    """Whoever asks now, as far as rights go."""

    who: str
    role: Role
    zones: tuple[Id, ...] = ()

    def may(self, act: Act, zone: str | None = None) -> bool:
        """Return whether the asker may do something, in a zone where it is about one.

        With no zone named, an act that an occupant may do in own zones only is allowed: what comes back must then be
        narrowed to ``scope``.

        >>> guest = Asker(who="guest-3", role="occupant", zones=("room-3",))
        >>> guest.may("ask-zone", "room-3"), guest.may("ask-zone", "room-4"), guest.may("look-house")
        (True, False, False)
        """
        right = MATRIX[act].get(self.role)
        if right != "own":
            return right is True
        return zone is None or zone in self.zones

    @property
    def scope(self) -> frozenset[str] | None:
        """The zones that the asker sees; None for all of them."""
        return frozenset(self.zones) if self.role == "occupant" else None


#: Whoever is at this machine while nobody has an account, and at its command line always.
LOCAL: Final = Asker(who="local user", role="owner")
