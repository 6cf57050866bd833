"""The house's rules between fields: ids that are unique, names that lead somewhere, values that agree.

``faults`` runs them all. Each rule is a function that looks at one thing; where a rule speaks of the fabric or of
the week it lives in ``fabric`` or ``weeks``.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence
from zoneinfo import ZoneInfo, available_timezones

import msgspec

from ingle.config.fabric import check_fabric
from ingle.config.findings import Findings, Path
from ingle.config.tariffs import check_tariffs
from ingle.config.warmth import check_warmth
from ingle.config.weeks import check_weeks
from ingle.errors import Fault
from ingle.model.devices import Heater
from ingle.model.envelope import Space
from ingle.model.house import House, Site, Zone
from ingle.model.week import Levels, ZoneLevels

_MONTHS = 12
#: The id of what lies around the house; a sensor may stand there, nothing may be called so.
OUTDOOR = "outdoor"


def faults(house: House, source: str, besides: Sequence[Fault]) -> list[Fault]:
    """Return what does not agree in a house, apart from echoes of the faults already found in single fields."""
    findings = Findings(source)
    _check_site(house.site, findings)
    _check_ids(house, findings)
    _check_names(house, findings)
    check_fabric(house, findings)
    for index, zone in enumerate(house.zones):
        _check_levels(house.site.levels, zone.levels, ("zone", index, "levels"), findings)
        check_warmth(zone, ("zone", index), findings)
    _check_circuits(house, findings)
    _check_connections(house, findings)
    check_weeks(house, findings)
    check_tariffs(house, findings)
    return list(findings.besides(besides))


def _check_site(site: Site, findings: Findings) -> None:
    if not known_timezone(site.timezone):
        findings.add(("house", "timezone"), site.timezone, _timezone_words(site.timezone))
    if (site.latitude_deg is None) != (site.longitude_deg is None):
        missing = "latitude_deg" if site.latitude_deg is None else "longitude_deg"
        both: list[Path] = [("house", "latitude_deg"), ("house", "longitude_deg")]
        findings.add(("house", missing), None, "latitude_deg and longitude_deg together", rests_on=both)
    _check_levels(Levels(), ZoneLevels(**_level_values(site.levels)), ("house", "levels"), findings)
    _check_ways(site, findings)
    _check_climate(site, findings)


def _check_climate(site: Site, findings: Findings) -> None:
    """Check that heights come as a pair, and that a year is given in one way, with twelve months."""
    heights = ("altitude_m", "outdoor_at_altitude_m")
    missing = [key for key in heights if getattr(site, key) is None]
    if len(missing) == 1:
        allowed = "altitude_m and outdoor_at_altitude_m together: one says little without the other"
        findings.add(("house", missing[0]), None, allowed, rests_on=[("house", key) for key in heights])
    years = ("degree_days", "degree_days_by_month", "mean_c_by_month")
    given = [key for key in years if getattr(site, key)]
    for key in given[1:]:
        allowed = f"one of {', '.join(years)}: each tells the same year"
        value = msgspec.to_builtins(getattr(site, key))
        findings.add(("house", key), value, allowed, rests_on=[("house", each) for each in given])
    for key in years[1:]:
        months = getattr(site, key)
        if months and len(months) != _MONTHS:
            allowed = f"{_MONTHS} numbers, January first; here {len(months)}"
            findings.add(("house", key), list(months), allowed)


def _check_ways(site: Site, findings: Findings) -> None:
    """Check that a boiler's water comes back cooler, and that a coefficient lies within its own range."""
    boiler, unit = site.boiler, site.air_to_air
    if boiler is not None and boiler.return_c >= boiler.flow_c:
        path: Path = ("house", "boiler")
        allowed = f"below flow_c, which is {boiler.flow_c:g}"
        findings.add((*path, "return_c"), boiler.return_c, allowed, rests_on=[(*path, "flow_c")])
    if unit is None:
        return
    rests_on: list[Path] = [("house", "air_to_air", "coefficient")]
    if unit.low is not None and unit.low > unit.coefficient:
        allowed = f"at most coefficient, which is {unit.coefficient:g}"
        findings.add(("house", "air_to_air", "low"), unit.low, allowed, rests_on=rests_on)
    if unit.high is not None and unit.high < unit.coefficient:
        allowed = f"at least coefficient, which is {unit.coefficient:g}"
        findings.add(("house", "air_to_air", "high"), unit.high, allowed, rests_on=rests_on)


def known_timezone(name: str) -> bool:
    """Whether a name stands in the time zone database.

    >>> known_timezone("Europe/London"), known_timezone("Europe/Haverlock"), known_timezone("Europe")
    (True, False, False)
    """
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):  # OSError: the name of a folder of the database, such as "Europe"
        return False
    return True


def _timezone_words(name: str) -> str:
    near = difflib.get_close_matches(name, available_timezones(), n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    return f"a name of the IANA time zone database, such as Europe/London{hint}"


def _level_values(levels: Levels | ZoneLevels) -> dict[str, float | None]:
    return {f"{name}_c": getattr(levels, f"{name}_c") for name in ("occupied", "setback", "vacant", "frost")}


def _check_levels(house: Levels, own: ZoneLevels, path: Path, findings: Findings) -> None:
    """Check that frost protection is no warmer than any other level, with the house's where the zone has none."""
    given = _level_values(own)
    effective = {key: value if value is not None else getattr(house, key) for key, value in given.items()}
    frost = effective["frost_c"]
    if all(given[key] is None for key in given):
        return
    for key, value in effective.items():
        if value < frost:
            where, shown = (key, value) if given[key] is not None else ("frost_c", frost)
            keys = [(*path, each) for each in (key, "frost_c")]
            allowed = f"{key} at or above frost_c; here {value:g} against {frost:g}"
            findings.add((*path, where), shown, allowed, rests_on=keys)


def all_heaters(house: House) -> Iterator[tuple[Path, Heater]]:
    """Return every heater of the house with its place in the document."""
    for index, zone in enumerate(house.zones):
        for place, heater in enumerate(zone.heaters):
            yield ("zone", index, "heater", place), heater


def _check_ids(house: House, findings: Findings) -> None:
    """Check that ids are unique per kind, heaters across all zones, and that nothing is called ``outdoor``."""
    kinds: dict[str, Iterable[tuple[Path, str]]] = {
        "zone": _ids("zone", [each.id for each in house.zones]),
        "space": _ids("space", [each.id for each in house.spaces]),
        "heater": [(path, heater.id) for path, heater in all_heaters(house)],
        "circuit": _ids("circuit", [each.id for each in house.circuits]),
        "gateway": _ids("gateway", [each.id for each in house.gateways]),
        "sensor": _ids("sensor", [each.id for each in house.sensors]),
        "opening": _ids("opening", [each.id for each in house.openings]),
        "meter": _ids("meter", [each.id for each in house.meters]),
    }
    for kind, found in kinds.items():
        seen: dict[str, Path] = {}
        for path, given in found:
            where = (*path, "id")
            if given == OUTDOOR:
                findings.add(where, given, f"any id but {OUTDOOR}, which is the air around the house")
            elif given in seen:
                allowed = f"an id that no other {kind} of the house has; {Fault(seen[given], '', '').place} has it"
                findings.add(where, given, allowed, rests_on=[(*seen[given], "id")])
            seen.setdefault(given, path)


def _ids(kind: str, ids: Sequence[str]) -> list[tuple[Path, str]]:
    return [((kind, index), each) for index, each in enumerate(ids)]


class _Names:
    """Checks that what is named exists, and says what does."""

    def __init__(self, findings: Findings) -> None:
        self._findings = findings

    def check(self, path: Path, name: str | None, kind: str, known: Iterable[str]) -> None:
        """Note a name that leads nowhere; None names nothing."""
        names = [each for each in dict.fromkeys(known) if each]
        if name is None or name in names:
            return
        near = difflib.get_close_matches(name, names, n=1)
        hint = f"; did you mean {near[0]}?" if near else f": {', '.join(names)}" if names else "; there is none"
        self._findings.add(path, name, f"the id of a {kind} of this house{hint}")


def _check_names(house: House, findings: Findings) -> None:
    names = _Names(findings)
    zones = [zone.id for zone in house.zones]
    for index, zone in enumerate(house.zones):
        _check_zone_names(zone, ("zone", index), zones, names, findings)
    spaces = [f"space:{each.id}" for each in house.spaces]
    for where, beyond in _all_beyonds(house):
        if isinstance(beyond, str) and beyond.startswith("space:"):
            names.check(where, beyond, "space", spaces)
    circuits, gateways = [each.id for each in house.circuits], [each.id for each in house.gateways]
    for path, heater in all_heaters(house):
        names.check((*path, "circuit"), heater.circuit, "circuit", circuits)
        names.check((*path, "gateway"), heater.gateway, "gateway", gateways)
    for index, sensor in enumerate(house.sensors):
        names.check(("sensor", index, "zone"), sensor.zone, "zone", [*zones, OUTDOOR])
    for index, programme in enumerate(house.programmes):
        names.check(("programme", index, "zone"), programme.zone, "zone", zones)
    for index, calendar in enumerate(house.calendars):
        for place, zone_id in enumerate(calendar.zones):
            names.check(("calendar", index, "zones", place), zone_id, "zone", zones)
    _check_opening_names(house, names, findings)


def _all_beyonds(house: House) -> Iterator[tuple[Path, str | Space]]:
    """Return where every element leads to and every stream of air comes from, with its place in the document."""
    for index, zone in enumerate(house.zones):
        for place, element in enumerate(zone.elements):
            yield ("zone", index, "element", place, "beyond"), element.beyond
        for place, stream in enumerate(zone.air):
            yield ("zone", index, "air", place, "from"), stream.source
    for index, space in enumerate(house.spaces):
        for place, element in enumerate(space.elements):
            yield ("space", index, "element", place, "beyond"), element.beyond


def _check_zone_names(zone: Zone, path: Path, zones: list[str], names: _Names, findings: Findings) -> None:
    for place, neighbour in enumerate(zone.neighbours):
        where = (*path, "neighbours", place)
        names.check(where, neighbour, "zone", zones)
        if neighbour == zone.id:
            findings.add(where, neighbour, "another zone than its own", rests_on=[(*path, "id")])
    for place, element in enumerate(zone.elements):
        if isinstance(element.beyond, str) and element.beyond.startswith("zone:"):
            names.check((*path, "element", place, "beyond"), element.beyond, "zone", [f"zone:{each}" for each in zones])
    for place, stream in enumerate(zone.air):
        if isinstance(stream.source, str) and stream.source.startswith("zone:"):
            names.check((*path, "air", place, "from"), stream.source, "zone", [f"zone:{each}" for each in zones])


def _check_opening_names(house: House, names: _Names, findings: Findings) -> None:
    sensors = {sensor.id: sensor for sensor in house.sensors}
    for index, opening in enumerate(house.openings):
        path: Path = ("opening", index)
        names.check((*path, "zone"), opening.zone, "zone", [zone.id for zone in house.zones])
        names.check((*path, "sensor"), opening.sensor, "sensor", sensors)
        sensor = sensors.get(opening.sensor or "")
        if sensor is not None and sensor.measures != "opening":
            findings.add((*path, "sensor"), opening.sensor, 'a sensor with measures = "opening"')
        zone = house.zone(opening.zone)
        if zone is not None and opening.element is not None:
            elements = [element.name for element in zone.elements]
            if opening.element not in elements:
                allowed = f"the name of an element of zone {zone.id}: {', '.join(elements) or 'it has none'}"
                findings.add((*path, "element"), opening.element, allowed)


def _check_circuits(house: House, findings: Findings) -> None:
    for index, circuit in enumerate(house.circuits):
        path: Path = ("circuit", index)
        if circuit.phase > house.site.phases:
            allowed = f"1 to {house.site.phases}, the phases of the house"
            findings.add((*path, "phase"), circuit.phase, allowed, rests_on=[("house", "phases")])
        if circuit.cap_a is not None and circuit.cap_a > circuit.rated_a:
            allowed = f"at most rated_a, which is {circuit.rated_a:g}"
            findings.add((*path, "cap_a"), circuit.cap_a, allowed, rests_on=[(*path, "rated_a")])


def _check_connections(house: House, findings: Findings) -> None:
    """Check that what can be carried about hangs on a plug: a fixed connection would make it fixed."""
    for path, heater in all_heaters(house):
        if heater.portable and heater.connection in {"spur", "wired"}:
            rests_on: list[Path] = [(*path, "portable")]
            allowed = 'connection = "plug" for a portable heater, or portable = false'
            findings.add((*path, "connection"), heater.connection, allowed, rests_on=rests_on)
