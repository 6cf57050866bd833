"""Why a room was as it was at a past time, by what was noted: decisions with their reasons, and readings.

What is noted is each zone's winning rule when it changes, and once a day while it stands. What single heaters were
held by is not, so of them only their readings speak.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from statistics import median
from typing import Any, Final, get_args
from zoneinfo import ZoneInfo

from ingle.control.programme import due, programmed
from ingle.control.situation import HeaterSeen
from ingle.control.states import heats, zone_state
from ingle.control.words import clock_text, degrees, span_text, want_text
from ingle.errors import Unknown
from ingle.live.witnesses import UNITS, asked
from ingle.model.decisions import Next, Rule
from ingle.model.devices import Heater
from ingle.model.explanation import Explanation, HeaterSaid, RuleSaid, VerdictSaid, Witness
from ingle.model.house import House, Zone
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import Quality, Source
from ingle.reports import newest_verdicts
from ingle.reports.explain_words import Seen, comes_next, sentence
from ingle.store import events, houses
from ingle.store.moments import last_value

#: A value of the record that is older than this tells nothing of the moment [s]: the longest silence that is
#: bridged elsewhere too.
FRESH_S: Final = 900.0
#: Decisions that stand are noted once a day; an older one leaves open whether ingle ran.
_NOTED_WITHIN: Final = timedelta(hours=25)
_HOUR: Final = timedelta(hours=1)


def of_record(conn: sqlite3.Connection, zone_id: str, at: datetime, *, why_record: str) -> Explanation:
    """Return why a zone was as it was at an instant, by what was noted.

    Parameters
    ----------
    why_record
        Why the record is asked and not the running house, as the beginning of a sentence.

    Raises
    ------
    Unknown
        Where there was no such zone then.
    """
    house, zone = _then(conn, zone_id, at)
    decided = events.newest(conn, "decision", zone_id, to_ms(at))
    readings = tuple(_readings(conn, house, zone, at))
    verdict = newest_verdicts.noted(conn, zone_id, to_ms(at))
    timezone = ZoneInfo(house.site.timezone)
    if decided is None:
        return _undecided(conn, house, zone, at, readings, verdict, why_record)
    data, noted = decided.data, from_ms(decided.t_ms)
    until = _instant(data.get("until"))
    over = until is not None and until <= at
    seen, heaters = _seen_then(conn, house, zone, at, data, verdict)
    basis = f"{why_record} the decision noted {clock_text(noted, at, timezone)}."
    if over or at - noted > _NOTED_WITHIN:
        basis = f"{basis} Nothing was noted after it, so it is not sure that ingle ran then."
    programme = data.get("programme")
    following = None if over or until is None else _after(programme, data, until)
    return Explanation(
        zone=zone.id,
        name=zone.name,
        at=at,
        source="record",
        basis=basis,
        sentence=sentence(seen),
        state=seen.state,
        rule=seen.rule,
        temp_c=seen.temp_c,
        temp_t=None if seen.age_s is None else at - timedelta(seconds=seen.age_s),
        temp_quality=_quality(seen.age_s),
        wanted_c=seen.wanted_c,
        level=data.get("level"),
        until=until,
        next=following,
        comes_next=comes_next(None if over else until, following, at, timezone, seen.rule),
        rules=tuple(_rules_then(data, until)),
        heaters=heaters,
        readings=readings,
        notices=(),
        verdict=verdict,
    )


def _undecided(
    conn: sqlite3.Connection,
    house: House,
    zone: Zone,
    at: datetime,
    readings: tuple[Witness, ...],
    verdict: VerdictSaid | None,
    why_record: str,
) -> Explanation:
    """Return what can be said where no decision was noted: how warm it was, and that nobody decided."""
    temp = _temperature(conn, house, zone, at)
    how_warm = "how warm it was is not known" if temp[0] is None else f"it was at {degrees(temp[0])}"
    return Explanation(
        zone=zone.id,
        name=zone.name,
        at=at,
        source="record",
        basis=f"{why_record} it holds no decision on this zone up to then.",
        sentence=f"No decision is noted for {zone.name} up to then, so nobody can say what was wanted; {how_warm}.",
        state="unknown",
        rule=None,
        temp_c=temp[0],
        temp_t=None if temp[1] is None else at - timedelta(seconds=temp[1]),
        temp_quality=_quality(temp[1]),
        wanted_c=None,
        level=None,
        until=None,
        next=None,
        comes_next="Not known.",
        rules=(_by_programme(house, zone, at),),
        heaters=(),
        readings=readings,
        notices=(),
        verdict=verdict,
    )


def _by_programme(house: House, zone: Zone, at: datetime) -> RuleSaid:
    """Return what the programme wants at an instant, where nobody decided: no more than a plan."""
    planned = due(house, zone, at)
    span = span_text(planned.until, planned.next, at, ZoneInfo(house.site.timezone))
    return RuleSaid(
        rule="programme" if programmed(house, zone) else "no-programme",
        sentence=f"The programme, had it run, would want {want_text(planned.level, planned.wanted_c)}{span}.",
        wanted_c=planned.wanted_c,
        level=planned.level,
        until=planned.until,
        wins=False,
    )


def _then(conn: sqlite3.Connection, zone_id: str, at: datetime) -> tuple[House, Zone]:
    """Return the house in force at an instant, and its zone; before the first load, the first house."""
    entries = sorted(houses.history(conn), key=lambda entry: entry.number)
    before = [entry.number for entry in entries if entry.t_ms <= to_ms(at)]
    revision = houses.numbered(conn, before[-1] if before else entries[0].number) if entries else None
    if revision is None:
        raise Unknown(f"zone {zone_id!r} is not known: the database holds no house yet")
    zone = revision.house.zone(zone_id)
    if zone is None:
        known = ", ".join(each.id for each in revision.house.zones) or "none"
        raise Unknown(f"zone {zone_id!r} is not in this house; it has: {known}")
    return revision.house, zone


def _readings(conn: sqlite3.Connection, house: House, zone: Zone, at: datetime) -> Iterator[Witness]:
    for source, name, offset in asked(house, zone):
        found = last_value(conn, source, name, to_ms(at))
        if found is not None:
            age_s = (to_ms(at) - found.t_ms) / 1000
            yield Witness(
                kind=source.kind,
                id=source.id,
                what=name,
                value=round(found.value + offset, 2),
                unit=UNITS[name],
                t=from_ms(found.t_ms),
                age_s=age_s,
                quality="metered" if age_s <= FRESH_S else "stale",
            )


def _temperature(conn: sqlite3.Connection, house: House, zone: Zone, at: datetime) -> tuple[float | None, float | None]:
    """Return a zone's temperature at an instant and its age [°C, s]: its sensors' first, else its heaters'."""
    for kind in ("sensor", "heater"):
        inside = [
            (found.value + offset, (to_ms(at) - found.t_ms) / 1000)
            for source, name, offset in asked(house, zone)
            if name == "temp_c" and source.kind == kind and _indoors(house, zone, source.id, kind)
            if (found := last_value(conn, source, name, to_ms(at))) is not None
        ]
        fresh = [each for each in inside if each[1] <= FRESH_S]
        if fresh:
            return round(median(temp for temp, _ in fresh), 2), min(age_s for _, age_s in fresh)
        if inside and kind == "heater":
            return min(inside, key=lambda each: each[1])
    return None, None


def _indoors(house: House, zone: Zone, source: str, kind: str) -> bool:
    return kind == "heater" or any(sensor.id == source and sensor.zone == zone.id for sensor in house.sensors)


def _seen_then(
    conn: sqlite3.Connection,
    house: House,
    zone: Zone,
    at: datetime,
    data: dict[str, Any],
    verdict: VerdictSaid | None,
) -> tuple[Seen, tuple[HeaterSaid, ...]]:
    """Return a zone as the record shows it at an instant."""
    temp_c, age_s = _temperature(conn, house, zone, at)
    fresh = age_s is not None and age_s <= FRESH_S
    earlier_c, _ = _temperature(conn, house, zone, at - _HOUR)
    wanted_c, rule = float(data["wanted_c"]), _rule(data.get("rule"))
    heaters = tuple(_heater_then(conn, heater, at) for heater in zone.heaters)
    state = zone_state(
        temp_c if fresh else None,
        wanted_c,
        heating=any(heater.state == "heating" for heater in heaters),
        falling=temp_c is not None and earlier_c is not None and temp_c < earlier_c,
    )
    seen = Seen(
        name=zone.name,
        temp_c=temp_c,
        fresh=fresh,
        age_s=age_s,
        wanted_c=wanted_c,
        state=state,
        rule=rule,
        reason=str(data.get("reason", "")),
        heaters=heaters,
        verdict=verdict,
    )
    return seen, heaters


def _heater_then(conn: sqlite3.Connection, heater: Heater, at: datetime) -> HeaterSaid:
    found = last_value(conn, Source("heater", heater.id), "power_w", to_ms(at))
    power_w = found.value if found is not None and to_ms(at) - found.t_ms <= FRESH_S * 1000 else None
    hot = heats(heater, HeaterSeen(power_w=power_w))
    return HeaterSaid(
        id=heater.id,
        name=heater.name or heater.id,
        state="unreachable" if power_w is None else "heating" if hot else "satisfied",
        held_by=None,
        sentence="Nothing was heard of it then." if power_w is None else f"It drew {power_w:,.0f} W.",
        power_w=power_w,
        plate_w=heater.rated_w,
    )


def _rules_then(data: dict[str, Any], until: datetime | None) -> Iterator[RuleSaid]:
    yield RuleSaid(
        rule=_rule(data.get("rule")),
        sentence=str(data.get("reason", "")),
        wanted_c=float(data["wanted_c"]),
        level=data.get("level"),
        until=until,
        wins=True,
    )
    alone = data.get("programme")
    if data.get("rule") != "programme" and isinstance(alone, dict):
        wanted_c = float(alone["wanted_c"])
        yield RuleSaid(
            rule="programme",
            sentence=f"The programme alone wanted {degrees(wanted_c)}.",
            wanted_c=wanted_c,
            level=alone.get("level"),
            until=None,
            wins=False,
        )


def _after(programme: object, data: dict[str, Any], until: datetime) -> Next | None:
    """Return what the programme wanted after a hold; of the programme itself the record says no more than the end."""
    if data.get("rule") == "programme" or not isinstance(programme, dict):
        return None
    return Next(at=until, level=programme.get("level"), wanted_c=float(programme["wanted_c"]))


def _rule(name: object) -> Rule:
    known: Rule = name if name in get_args(Rule) else "programme"  # type: ignore[assignment]  # checked in the same line
    return known


def _instant(text: object) -> datetime | None:
    return datetime.fromisoformat(text) if isinstance(text, str) else None


def _quality(age_s: float | None) -> Quality | None:
    return None if age_s is None else "metered" if age_s <= FRESH_S else "stale"
