"""Who can be reached: heaters and gateways by their goodbyes, and heaters by their silence."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from ingle.model.devices import Heater

LinkKind = Literal["heater", "gateway"]


class Link(NamedTuple):
    """What a heater or gateway last said of its link, and when [s, monotonic]."""

    up: bool
    at: float


class Away(NamedTuple):
    """Why a heater cannot be reached, and whether it is known to hear nothing."""

    why: str
    cut_off: bool


HERE: Final = Away("", cut_off=False)


class Links:
    """The last word of every link."""

    def __init__(self) -> None:
        self._links: dict[tuple[LinkKind, str], Link] = {}

    def set(self, kind: LinkKind, link_id: str, *, up: bool, monotonic: float) -> None:
        """Note what a heater or gateway says of its link."""
        self._links[kind, link_id] = Link(up, monotonic)

    def cut(self, heater: Heater, heard_at: float | None) -> Away:
        """Return whether a heater's own or its gateway's goodbye cuts it off; a live reading since proves otherwise."""
        if heater.gateway is not None and self._down("gateway", heater.gateway, heard_at):
            return Away(f"gateway {heater.gateway} is down", cut_off=True)
        if self._down("heater", heater.id, heard_at):
            return Away("its link is down", cut_off=True)
        return HERE

    def _down(self, kind: LinkKind, link_id: str, heard_at: float | None) -> bool:
        link = self._links.get((kind, link_id))
        if link is None or link.up:
            return False
        return heard_at is None or heard_at <= link.at
