"""The air of a room beside its air changes: streams that come in at temperatures of their own, and the least there is.

A stream's share of the full difference is that of what it comes from, as for an element. Air drawn from a **zone**
leaves the house from here: what the other room warmed it to is counted there, the rest here, so together they are the
whole. It is therefore no link, and counts in the house.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from ingle.design.beyond import Behind, behind_from, share
from ingle.design.sheet import Figure
from ingle.model.envelope import AirStream
from ingle.model.house import House, Zone
from ingle.physics.air_change import LeastAir, least_air_changes, needed_air_changes
from ingle.physics.heat_loss import AIR_WH_PER_M3K


class Stream(Struct, frozen=True):
    """A stream of air as the room sees it: what it comes from, its share, and its conductance before that [W/K]."""

    air: AirStream
    there: Behind
    share: float
    whole_w_per_k: float

    @property
    def w_per_k(self) -> float:
        """What it adds to the coefficient at design [W/K]."""
        return self.whole_w_per_k * self.share

    @property
    def in_use_w_per_k(self) -> float:
        """What it adds in use: nothing from heated rooms, a space's by its factor [W/K]."""
        part = {"zone": 0.0, "space": self.there.factor}.get(self.there.kind, self.share)
        return self.whole_w_per_k * part


def streams(house: House, zone: Zone, spaces: Mapping[str, Behind]) -> tuple[Stream, ...]:
    """Return a zone's streams of air; with the whole coefficient given there are none."""
    if zone.given_w_per_k is not None:
        return ()
    constant = AIR_WH_PER_M3K[house.site.method]
    found = []
    for air in zone.air:
        there = behind_from(house, air.source, spaces)
        found.append(Stream(air, there, share(house.site, zone.design_c, there), constant * air.m3_per_h))
    return tuple(found)


def stream_figure(house: House, zone: Zone, stream: Stream) -> Figure:
    """Return a stream's line on the sheet [W/K]."""
    site, there = house.site, stream.there
    inputs: dict[str, float | str] = {"m3_per_h": stream.air.m3_per_h, "share": stream.share}
    if there.kind == "factor":
        inputs["factor"] = there.factor
    elif there.kind in {"zone", "space", "temperature"}:
        inputs |= {"from_c": there.temperature_c, "inside_c": zone.design_c, "outdoor_c": site.outdoor_here_c}
    formula = f"{AIR_WH_PER_M3K[site.method]} V f" if there.kind == "factor" else "c·V (θi-θs)/(θi-θe)"
    source = "EN 12831-1:2017, 6.3.3" if site.method == "en12831" else "domestic method (UK practice)"
    return Figure(stream.w_per_k, "W/K", inputs, formula, source)


def least_air(house: House, zone: Zone) -> LeastAir:
    """Return the least air changes of a zone, by the house's method, its use and its age."""
    return least_air_changes(house.site.method, zone.use, house.built(zone))


def least_air_figure(house: House, zone: Zone) -> Figure:
    """Return the lower bound as a line of the sheet [1/h]."""
    built = house.built(zone)
    least = least_air(house, zone)
    inputs: dict[str, float | str] = {"use": zone.use, "built": "not said" if built is None else str(built)}
    inputs["air_changes_per_h"] = zone.air_changes_per_h
    return Figure(least.per_h, "1/h", inputs, "lower bound, not put in", least.source)


def too_little_air(house: House, zone: Zone) -> str:
    """Return the sentence that a zone is reckoned with less air than people need, or nothing.

    More than that, up to the least by use and age, is a survey's to judge: the sheet has it beside the air changes.
    """
    least = least_air(house, zone)
    if zone.given_w_per_k is not None or zone.air_changes_per_h >= needed_air_changes(zone.use):
        return ""
    missing = least.per_h - zone.air_changes_per_h
    full_k = max(0.0, zone.design_c - house.site.outdoor_here_c)
    more = AIR_WH_PER_M3K[house.site.method] * missing * zone.air_volume_m3 * full_k
    return (
        f"{zone.air_changes_per_h:g} air changes an hour are less than the {least.per_h:g} that a room of its use and "
        f"age is reckoned with ({least.source}); with them it would lose {more:.0f} W more. Keep to less only where it "
        "was measured."
    )
