"""What a person should know of the link to the broker and of who speaks on it: cause, effect, next step."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from ingle.model.decisions import Notice
from ingle.model.devices import Heater
from ingle.model.house import Zone

BROKER: Final = "broker"
REFUSED_TOPICS: Final = "broker-topics"


def no_broker(words: str, since: datetime) -> Notice:
    """Say that the broker cannot be used, and why."""
    return Notice(
        key=BROKER,
        severity="attention",
        zone=None,
        cause=f"The broker cannot be used: {words}.",
        effect="Heaters keep their last orders, and their fall-back temperature when these lapse.",
        next_step="Check that the broker runs and that its address, user and password are right.",
        since=since,
    )


def refused_topics(codes: tuple[str, ...], since: datetime) -> Notice:
    """Say that the broker lets us in but does not let us listen."""
    return Notice(
        key=REFUSED_TOPICS,
        severity="attention",
        zone=None,
        cause=f"The broker refuses {len(codes)} of the topics that ingle listens on: {codes[0].lower()}.",
        effect="What is published there is not heard: heaters may seem silent, requests are not carried out.",
        next_step="Give ingle's user the right to read them in the broker's list of rights.",
        since=since,
    )


def kept_key(topic: str) -> str:
    """Return the key of a kept request's notice."""
    return f"kept-request-{topic}"[:120]


def kept_request(topic: str, since: datetime) -> Notice:
    """Say that the broker keeps a request, which is refused."""
    return Notice(
        key=kept_key(topic),
        severity="attention",
        zone=None,
        cause=f"A request lies retained at the broker on {topic}.",
        effect="It was refused: a kept request would be carried out again at every start.",
        next_step="Publish requests without the retain flag, and clear the kept one with an empty retained message.",
        since=since,
    )


def unknown_profile(heater: Heater, zone: Zone, known: Iterable[str], since: datetime) -> Notice:
    """Say that nobody has described a heater's firmware."""
    return Notice(
        key=f"profile-{heater.id}",
        severity="attention",
        zone=zone.id,
        cause=f"Heater {heater.id} is of profile {heater.profile!r}, which is not there.",
        effect="It is spoken to on ingle's own topics; if its firmware speaks otherwise, it is not heard nor driven.",
        next_step=f"Put {heater.profile}.toml into the folder of profiles, or name one of {', '.join(sorted(known))}.",
        since=since,
    )
