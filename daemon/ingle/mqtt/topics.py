"""The topics of ingle's own way of speaking, built and read in one place.

Only ids enter a topic, and ids hold nothing but a-z, 0-9 and -; so a name can never widen a subscription.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from ingle.model.readings import OUTDOOR, Source

Way = Literal["reading", "link", "request"]
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,31}")
_WAYS: dict[str, Way] = {"reading": "reading", "link": "link", "request": "request"}
_KINDS: dict[str, tuple[str, ...]] = {
    "reading": ("heater", "sensor", "meter"),
    "link": ("heater", "gateway"),
    "request": ("zone",),
}


class Route(NamedTuple):
    """What a topic is about: a report of a source, a link of a heater or gateway, a request to a zone or the supply."""

    way: Way
    kind: str
    id: str


class Topics:
    """All topics under one root.

    >>> topics = Topics("ingle")
    >>> topics.wanted("loft-1")
    'ingle/heater/loft-1/wanted'
    >>> topics.route("ingle/heater/loft-1/reading")
    Route(way='reading', kind='heater', id='loft-1')
    >>> topics.route("ingle/heater/+/reading") is None
    True
    """

    def __init__(self, root: str) -> None:
        self.root = root
        self.supervisor = f"{root}/supervisor/link"
        self.notices = f"{root}/house/notices"

    def subscriptions(self) -> tuple[str, ...]:
        """Return what to subscribe to: one level of wildcard at most, nothing that ingle itself publishes."""
        under = ("heater/+/reading", "heater/+/link", "gateway/+/link", "sensor/+/reading", "outdoor/reading",
                 "meter/+/reading", "zone/+/request", "limit/request")  # fmt: skip
        return tuple(f"{self.root}/{topic}" for topic in under)

    def wanted(self, heater_id: str) -> str:
        """Return where a heater's order goes."""
        return f"{self.root}/heater/{heater_id}/wanted"

    def heater_now(self, heater_id: str) -> str:
        """Return where a heater's state goes."""
        return f"{self.root}/heater/{heater_id}/now"

    def zone_now(self, zone_id: str) -> str:
        """Return where a zone's state goes."""
        return f"{self.root}/zone/{zone_id}/now"

    def response(self, request_topic: str) -> str:
        """Return where a request without a response topic of its own is answered."""
        return request_topic.removesuffix("request") + "response"

    def answerable(self, topic: str) -> bool:
        """Whether a requester may have its answer there: nowhere that an order, a reading or a request would go."""
        if not topic or any(sign in topic for sign in "+#\0") or topic.startswith("$"):
            return False
        return not topic.startswith(f"{self.root}/") or topic.endswith("/response")

    def route(self, topic: str) -> Route | None:
        """Return what a topic is about, None for one that is not ours."""
        if not topic.startswith(f"{self.root}/"):
            return None
        match topic[len(self.root) + 1 :].split("/"):
            case ["outdoor", "reading"]:
                return Route("reading", *OUTDOOR)
            case ["limit", "request"]:
                return Route("request", "limit", "")
            case [kind, name, str(way)] if kind in _KINDS.get(way, ()) and _ID.fullmatch(name):
                return Route(_WAYS[way], kind, name)
            case _:
                return None


def source_of(route: Route) -> Source:
    """Return the source that a reading's route names.

    >>> source_of(Route("reading", "meter", "main"))
    Source(kind='meter', id='main')
    """
    match route.kind:
        case "heater":
            return Source("heater", route.id)
        case "sensor":
            return Source("sensor", route.id)
        case "meter":
            return Source("meter", route.id)
        case _:
            return OUTDOOR
