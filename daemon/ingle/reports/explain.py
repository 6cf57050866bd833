"""Why a room of the running house is as it is now, and any explanation as text. Of a past time: ``explain_record``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from ingle.control.rules import Voice
from ingle.model.decisions import Notice
from ingle.model.explanation import Explanation, HeaterSaid, RuleSaid, VerdictSaid, Witness
from ingle.model.house import House
from ingle.model.now import ZoneNow
from ingle.reports.explain_words import Seen, age_text, comes_next, sentence


def of_now(
    house: House,
    zone: ZoneNow,
    voices: Sequence[Voice],
    readings: tuple[Witness, ...],
    notices: Iterable[Notice],
    verdict: VerdictSaid | None,
    at: datetime,
) -> Explanation:
    """Return why a zone of the running house is as it is.

    Parameters
    ----------
    voices
        What every rule that has something to say says, the winner first.
    """
    heaters = tuple(
        HeaterSaid(
            id=each.id,
            name=each.name,
            state=each.state,
            held_by=each.held_by,
            sentence=each.reason,
            power_w=each.power_w,
            plate_w=each.plate_w,
        )
        for each in zone.heaters
    )
    seen = Seen(
        name=zone.name,
        temp_c=zone.temp_c,
        fresh=zone.quality != "stale",
        age_s=None if zone.t is None else (at - zone.t).total_seconds(),
        wanted_c=zone.wanted_c,
        state=zone.state,
        rule=zone.rule,
        reason=zone.reason,
        heaters=heaters,
        verdict=verdict,
    )
    timezone = ZoneInfo(house.site.timezone)
    return Explanation(
        zone=zone.id,
        name=zone.name,
        at=at,
        source="live",
        basis="From the running house, now.",
        sentence=sentence(seen),
        state=zone.state,
        rule=zone.rule,
        temp_c=zone.temp_c,
        temp_t=zone.t,
        temp_quality=None if zone.temp_c is None else zone.quality,
        wanted_c=zone.wanted_c,
        level=zone.level,
        until=zone.until,
        next=zone.next,
        comes_next=comes_next(zone.until, zone.next, at, timezone, zone.rule),
        rules=tuple(_rules(zone, voices)),
        heaters=heaters,
        readings=readings,
        notices=tuple(each for each in notices if each.zone == zone.id),
        verdict=verdict,
    )


def _rules(zone: ZoneNow, voices: Sequence[Voice]) -> Iterator[RuleSaid]:
    """Yield the rules that spoke; what acts on single heaters (a cap, a bar) stands above those of the zone."""
    overruled = zone.rule not in {voice.rule for voice in voices}
    if overruled:
        yield RuleSaid(
            rule=zone.rule,
            sentence=zone.reason,
            wanted_c=zone.wanted_c,
            level=zone.level,
            until=zone.until,
            wins=True,
        )
    elif any(heater.held_by == "cap" for heater in zone.heaters):
        held = next(heater for heater in zone.heaters if heater.held_by == "cap")
        yield RuleSaid(
            rule="cap",
            sentence=f"{held.id}: {held.reason}",
            wanted_c=zone.wanted_c,
            level=zone.level,
            until=None,
            wins=False,
        )
    for place, voice in enumerate(voices):
        yield RuleSaid(
            rule=voice.rule,
            sentence=voice.reason,
            wanted_c=voice.wanted_c,
            level=voice.level,
            until=voice.until,
            wins=place == 0 and not overruled,
        )


def text(found: Explanation, timezone: str) -> str:
    """Return an explanation as text for a person."""
    zone_of_time = ZoneInfo(timezone)
    lines = [
        found.sentence,
        "",
        f"next: {found.comes_next}",
        f"at {found.at.astimezone(zone_of_time):%Y-%m-%d %H:%M}; {found.basis}",
    ]
    lines += ["", "rules:"] if found.rules else []
    lines += [f"  {'*' if said.wins else ' '} {said.rule}: {said.sentence}" for said in found.rules]
    lines += ["", "heaters:"] if found.heaters else []
    lines += [f"  {each.id}, {each.state}: {each.sentence}" for each in found.heaters]
    lines += ["", "readings:"] if found.readings else []
    lines += [
        f"  {each.kind} {each.id} {each.what} {each.value:g} {each.unit}, {age_text(each.age_s)} old, {each.quality}"
        for each in found.readings
    ]
    lines += [f"notice: {notice.cause} {notice.effect} {notice.next_step}" for notice in found.notices]
    if found.verdict is not None:
        lines += ["", f"newest verdict: {found.verdict.verdict}{_verdict_words(found.verdict)}"]
        lines += [f"  {each.code}: {each.evidence or 'see ingle assess'}" for each in found.verdict.causes]
    return "\n".join(lines)


def _verdict_words(verdict: VerdictSaid) -> str:
    if verdict.measured_w_per_k is None:
        return ""
    return f", {verdict.measured_w_per_k:.1f} W/K metered"
