"""Temperatures out of the ordinary: outdoors, inside, and beyond an element; differences with the wrong sign."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace as replace_with

from msgspec.structs import replace

from ingle.design import usual
from ingle.design.beyond import LEAST_DIFFERENCE_K
from ingle.design.oddity import Change, Look, Oddity, outlier
from ingle.design.slips import DECIMAL, TEMPERATURE, middling
from ingle.design.usual import Usual
from ingle.model.envelope import Element, Space
from ingle.model.house import House, Site

# Air behind an element: a cold loft in a hard winter, a boiler room.
_BEYOND_MOST_C, _BEYOND_LESS_K = 32.0, 3.0


def inside(look: Look) -> Iterator[Oddity]:
    """Yield what is odd in a room's own temperature and in those behind its elements."""
    zone, outdoor = look.zone, look.near.site.outdoor_here_c
    fits = usual.design_c(zone.use)
    odd = outlier(
        "inside-temperature",
        "design_c",
        "A design temperature of",
        zone.design_c,
        fits,
        DECIMAL,
        lambda value: look.zone_as(design_c=value),
        unit="°C",
        of=usual.a_room(zone.use),
    )
    if odd is None and look.room.full_k < LEAST_DIFFERENCE_K and not _outdoor_usual(look.near.site).side(outdoor):
        odd = _no_difference(look, fits)
    if odd is not None:
        yield odd
    yield from _beyond(look)


def _no_difference(look: Look, fits: Usual) -> Oddity:
    zone, outdoor = look.zone, look.near.site.outdoor_here_c
    says = (
        f"The design temperature of {zone.design_c:g} °C is not above the {outdoor:g} °C outside, so there is no "
        "design heat loss"
    )
    return Oddity(
        "no-difference",
        "design_c",
        says,
        zone.design_c,
        None,
        fits.middle,
        lambda value: look.zone_as(design_c=value),
        "°C",
    )


def _beyond(look: Look) -> Iterator[Oddity]:
    outdoor = look.near.site.outdoor_here_c
    fits = Usual(outdoor - _BEYOND_LESS_K, _BEYOND_MOST_C, "between outdoors and a boiler room")
    for piece in look.own:
        element = piece.element
        if not isinstance(element.beyond, Space) or element.beyond.temperature_c is None:
            continue
        odd = outlier(
            "temperature-beyond",
            "beyond.temperature_c",
            f"A temperature behind {element.name} of",
            element.beyond.temperature_c,
            fits,
            TEMPERATURE,
            _beyond_of(look, element),
            unit="°C",
            element=element.name,
        )
        if odd is not None:
            yield odd


def _beyond_of(look: Look, element: Element) -> Change:
    return lambda value: look.element_as(element, beyond=Space(temperature_c=value))


def _outdoor_usual(site: Site) -> Usual:
    return usual.outdoor_design_c(site.latitude_deg, site.longitude_deg, site.outdoor_mean_c)


def outdoors(house: House) -> Iterator[Oddity]:
    """Yield what is odd in the temperatures of the site."""
    site = house.site
    odd = outlier(
        "outdoor-temperature",
        "outdoor_design_c",
        "An outdoor design temperature of",
        site.outdoor_design_c,
        _outdoor_usual(site),
        TEMPERATURE,
        lambda value: replace(house, site=replace(site, outdoor_design_c=value)),
        unit="°C",
        of="a winter here" if site.latitude_deg is not None else "a winter",
    )
    if odd is not None:
        yield replace_with(odd, slip=middling(site.outdoor_design_c, _ordinary(site), TEMPERATURE))
    if site.outdoor_mean_c is not None:
        yield from _mean(house, site.outdoor_mean_c)


# The middle of Europe's outdoor design temperatures [°C], to choose by where two slips would do.
_MIDDLE_C = -6.0


def _ordinary(site: Site) -> Usual:
    """Return a winter's usual range, cut so that its middle is an ordinary winter."""
    fits = _outdoor_usual(site)
    return Usual(max(fits.low, 2 * _MIDDLE_C - fits.high), fits.high, fits.source)


def _mean(house: House, mean: float) -> Iterator[Oddity]:
    site = house.site
    fits = usual.OUTDOOR_MEAN_C
    if mean <= site.outdoor_design_c:
        fits = Usual(site.outdoor_design_c + 1, fits.high, "above the coldest days")
    odd = outlier(
        "outdoor-temperature",
        "outdoor_mean_c",
        "An outdoor annual mean of",
        mean,
        fits,
        TEMPERATURE,
        lambda value: replace(house, site=replace(site, outdoor_mean_c=value)),
        unit="°C",
    )
    if odd is not None:
        yield odd
