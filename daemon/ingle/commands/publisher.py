"""What ``commands`` needs from whoever carries orders to heaters: a seam, filled by the MQTT link."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from ingle.model.decisions import Notice, Wanted
from ingle.model.devices import Heater
from ingle.model.house import Zone
from ingle.model.now import HeaterNow, ZoneNow


class Publisher(Protocol):
    """Takes absolute orders and states; never blocks, never raises for a broker that is away.

    A later order for the same heater replaces an earlier one that has not gone out yet. Called on the loop thread.
    """

    def wanted(self, heater: Heater, zone: Zone, order: Wanted) -> None:
        """Carry an order to a driven heater; it is absolute and expires by itself."""

    def withdraw(self, heater_id: str) -> None:
        """Take back what was ordered from a heater that is no longer driven or no longer in the house."""

    def closed(self, heaters: Iterable[str], zones: Iterable[str]) -> None:
        """Take back what was told of heaters and zones that are no longer in the house."""

    def heater_now(self, now: HeaterNow) -> None:
        """Tell the state of one heater."""

    def zone_now(self, now: ZoneNow) -> None:
        """Tell the state of one zone."""

    def notices(self, notices: tuple[Notice, ...]) -> None:
        """Tell what a person should know now; empty when there is nothing."""


class NoPublisher:
    """Carries nothing anywhere: a house served without a broker is still decided and shown."""

    def wanted(self, heater: Heater, zone: Zone, order: Wanted) -> None:
        """Drop the order."""

    def withdraw(self, heater_id: str) -> None:
        """Drop the withdrawal."""

    def closed(self, heaters: Iterable[str], zones: Iterable[str]) -> None:
        """Drop the news."""

    def heater_now(self, now: HeaterNow) -> None:
        """Drop the state."""

    def zone_now(self, now: ZoneNow) -> None:
        """Drop the state."""

    def notices(self, notices: tuple[Notice, ...]) -> None:
        """Drop the notices."""
