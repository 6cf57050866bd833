"""From the house, the situation and now to a plan: the order for every heater, and why.

The way of a decision:

1. Each zone gets its wish from the first rule that speaks (``rules``).
2. Each heater is looked at: may it be driven at all, and does a rule of its zone hold it?
3. The heaters that may have heat share the supply and the circuits (``supply``); frost is shared like the rest, for a
   fuse knows no frost, but its zones go first and a notice says so.
4. Each heater gets an order within its plate: the whole plate, or no heat. How often it heats below that is the
   business of its own thermostat, against the setpoint.

A heater that may not be driven gets no order at all. One that cannot be reached is still driven: its order waits for
it. One that is known to be cut off is ordered no heat meanwhile, so that heaters that come back together after a power
cut do not start together; it gets its turn when it is back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from ingle.control import notices, rules, supply
from ingle.control.levels import frost_c, level_c
from ingle.control.programme import due
from ingle.control.rules import Case, Dues, Voice
from ingle.control.situation import Given, HeaterSeen, Situation
from ingle.control.states import heater_state, heats, isolated, zone_state
from ingle.model.commands import Cap
from ingle.model.decisions import HeaterDecision, HeldBy, Plan, ZoneDecision
from ingle.model.devices import Heater
from ingle.model.house import House, Zone

#: A zone needs heat below this much over the wanted temperature [K]; common practice for a thermostat's differential.
NEEDS_K: Final = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A heater on its way to a decision. ``bar`` says why it may not be driven, ``wait`` why it gets no heat yet."""

    heater: Heater
    zone: Zone
    seen: HeaterSeen
    given: Given | None
    voice: Voice
    needs: bool
    gap_k: float
    frost: bool
    bar: str
    wait: str

    @property
    def disobeys(self) -> bool:
        """Whether it heats although it was ordered off long enough ago."""
        off = self.given is not None and self.given.limit_w == 0 and self.given.since_s > supply.DISOBEYS_S
        return off and bool(heats(self.heater, self.seen))


def decide(house: House, situation: Situation, now: datetime, dues: Dues | None = None) -> Plan:
    """Return what every zone wants and every heater is ordered at an instant, and why.

    A pure function: the same house, situation and instant give the same plan. ``dues`` may stand in for
    ``programme.due`` of this house, to spare it being computed again.
    """
    cases = [_case(house, zone, situation, now, dues) for zone in house.zones]
    voices = {case.zone.id: rules.rule(case) for case in cases}
    candidates = {
        case.zone.id: [_candidate(case, h, voices[case.zone.id]) for h in case.zone.heaters] for case in cases
    }
    cap_a = _cap_a(house, situation, now)
    everyone = [candidate for zone in candidates.values() for candidate in zone]
    shares = _share(house, situation, everyone, cap_a)
    zones = tuple(_zone(case, voices[case.zone.id], candidates[case.zone.id], shares, cap_a) for case in cases)
    return Plan(
        at=now,
        zones=zones,
        notices=notices.collect(house, situation, now, zones, frozenset(c.heater.id for c in everyone if c.disobeys)),
        supply_cap_a=cap_a,
        supply_allowed_w=shares.allowed_w,
    )


def explain(house: House, situation: Situation, now: datetime, zone: Zone) -> tuple[Voice, ...]:
    """Return what every rule that has something to say says about a zone, the winner first."""
    return rules.considered(_case(house, zone, situation, now, None))


def bar(heater: Heater, seen: HeaterSeen) -> str:
    """Return why a heater may not be driven, as the end of a sentence; empty when it may.

    >>> bar(Heater(id="h", rated_w=1500.0, portable=True), HeaterSeen())
    'it is portable, and nobody on site has confirmed that it may start unattended'
    """
    drives = frozenset(heater.drives or seen.drives)
    endless = drives == {"switch"} and not seen.expires and not heater.own_thermostat
    bars = (
        (isolated(seen), "its mains is off"),
        (bool(seen.fault), f"it reports a fault ({seen.fault})"),
        (heater.portable, "it is portable, and nobody on site has confirmed that it may start unattended"),
        (not heater.switched_automatically, "it is not marked as suitable for automatic switching"),
        (not drives, "its firmware takes no orders"),
        (endless, "it can only be switched, no order to it ends by itself, and its own thermostat is not confirmed"),
    )
    return next((why for barred, why in bars if barred), "")


def _case(house: House, zone: Zone, situation: Situation, now: datetime, dues: Dues | None) -> Case:
    return Case(
        house=house,
        zone=zone,
        situation=situation,
        now=now,
        dues=dues or (lambda of, at: due(house, of, at)),
        timezone=ZoneInfo(house.site.timezone),
    )


def _candidate(case: Case, heater: Heater, voice: Voice) -> Candidate:
    seen, given, temp_c = case.situation.heater(heater.id), case.situation.given.get(heater.id), case.seen.temp_c
    return Candidate(
        heater=heater,
        zone=case.zone,
        seen=seen,
        given=given,
        voice=voice,
        needs=temp_c is None or temp_c < voice.wanted_c + NEEDS_K,
        gap_k=0.0 if temp_c is None else voice.wanted_c - temp_c,
        frost=temp_c is not None and temp_c < frost_c(case.house, case.zone),
        bar=bar(heater, seen),
        wait=_wait(case, heater, seen, given),
    )


def _wait(case: Case, heater: Heater, seen: HeaterSeen, given: Given | None) -> str:
    """Return why a heater gets no heat yet although nothing else holds it; empty when it need not wait."""
    if seen.cut_off:
        return f"{seen.away}; it gets its turn when it is back"
    if heater.id in case.situation.waiting:
        return "it has come back and waits for its turn, so that heaters do not all start at once"
    if given is not None and given.limit_w == 0 and given.since_s < heater.min_off_s:
        return f"it stays off for at least {heater.min_off_s:g} s"
    return ""


def _cap_a(house: House, situation: Situation, now: datetime) -> float | None:
    held = situation.hold(None, now)
    requested = held.request.cap_a if held is not None and isinstance(held.request, Cap) else None
    return supply.cap_a(house, requested)


def _share(house: House, situation: Situation, everyone: list[Candidate], cap_a: float | None) -> supply.Shares:
    limits = supply.budgets(house, cap_a)
    loads = [_load(house, situation, candidate, limits) for candidate in everyone]
    return supply.share(loads, limits, supply.supply_unseen_a(situation, house.site.voltage_v))


def _load(house: House, situation: Situation, candidate: Candidate, limits: Mapping[str, float]) -> supply.Load:
    heater, seen, given = candidate.heater, candidate.seen, candidate.given
    amps, watts = supply.could_draw(house, heater, seen, situation.supply_v)
    return supply.Load(
        id=heater.id,
        amps=amps,
        watts=watts,
        budgets=supply.budgets_of(house, heater, limits),
        candidate=not candidate.bar and not candidate.wait and candidate.voice.held_by is None,
        frost=candidate.frost,
        needs=candidate.needs,
        gap_k=candidate.gap_k,
        running=given is not None and given.limit_w > 0,
        since_s=0.0 if given is None else given.since_s,
        draws_a=supply.draws(house, seen, situation.supply_v),
        away=bool(seen.away),
        unstoppable=bool(candidate.bar or seen.away) or candidate.disobeys,
    )


def _zone(
    case: Case, voice: Voice, candidates: list[Candidate], shares: supply.Shares, cap_a: float | None
) -> ZoneDecision:
    heaters = tuple(_heater(case, candidate, shares, cap_a) for candidate in candidates)
    voice = _as_held(case, voice, candidates, heaters)
    heating = any(heater.state == "heating" for heater in heaters)
    seen = case.seen
    return ZoneDecision(
        id=case.zone.id,
        level=voice.level,
        wanted_c=voice.wanted_c,
        rule=voice.rule,
        reason=voice.reason,
        until=voice.until,
        next=voice.next,
        state=zone_state(seen.temp_c, voice.wanted_c, heating=heating, falling=seen.falling),
        heaters=heaters,
    )


def _as_held(case: Case, voice: Voice, candidates: list[Candidate], heaters: tuple[HeaterDecision, ...]) -> Voice:
    """Return the zone's voice, overruled where none of its heaters may be driven or a cap holds all that could."""
    if not heaters:
        return voice
    driven = [heater for heater in heaters if heater.driven]
    if not driven:
        only = candidates[0]
        others = f", nor {len(candidates) - 1} more" if len(candidates) > 1 else ""
        return rules.not_driven(case, voice, f"heater {only.heater.id}{others}: {only.bar}")
    if all(heater.held_by == "cap" for heater in driven):
        return rules.with_cap(case, voice, driven[0].reason.removesuffix("."))
    return voice


def _heater(case: Case, candidate: Candidate, shares: supply.Shares, cap_a: float | None) -> HeaterDecision:
    heater, voice, seen = candidate.heater, candidate.voice, candidate.seen
    held_by, reason = _holding(candidate, shares, cap_a)
    allowed = heater.id in shares.allowed
    setpoint_c = (
        voice.wanted_c if allowed or "limit" in (heater.drives or seen.drives) else frost_c(case.house, case.zone)
    )
    if voice.held_by is not None:
        setpoint_c = frost_c(case.house, case.zone)
    return HeaterDecision(
        id=heater.id,
        zone=case.zone.id,
        state=heater_state(
            away=bool(seen.away) or not seen.heard,
            fault=bool(seen.fault),
            cut=isolated(seen),
            heating=heats(heater, seen),
            held=held_by is not None,
            needs=candidate.needs and not candidate.bar,
        ),
        held_by=held_by,
        reason=reason,
        until=voice.until,
        setpoint_c=setpoint_c,
        limit_w=heater.rated_w if allowed else 0.0,
        locked=case.zone.id in case.situation.locked,
        driven=not candidate.bar,
    )


def _holding(candidate: Candidate, shares: supply.Shares, cap_a: float | None) -> tuple[HeldBy | None, str]:
    """Return what holds a heater, if anything, and the sentence that says what it does and why."""
    voice, seen = candidate.voice, candidate.seen
    if candidate.bar:
        return None, f"Observed, not driven: {candidate.bar}."
    if voice.held_by is not None:
        return voice.held_by, voice.reason
    if candidate.wait:
        return ("limit" if not seen.cut_off else None), f"No heat yet: {candidate.wait}."
    short = shares.held.get(candidate.heater.id)
    if short is not None and candidate.needs:
        return "cap", _cap_sentence(short, cap_a, guessed=short in shares.guessed)
    return None, _unheard_text(seen) or voice.reason


def _unheard_text(seen: HeaterSeen) -> str:
    """Return what to say of a heater that does not answer, empty when it does."""
    if seen.away:
        return f"{seen.away[:1].upper()}{seen.away[1:]}; its order waits for it."
    return "" if seen.heard else "Nothing has been heard from it yet; its order waits for it."


def _cap_sentence(short: str, cap_a: float | None, *, guessed: bool) -> str:
    limit = f"limit of {short}" if short.startswith("circuit") else f"{cap_a:g} A cap of the {short}"
    first = "zones that need heat more go first"
    # Without this the coldest room of all would be told that colder ones go first.
    return f"Held by the {limit}: {first}{', and heaters out of reach count as heating' if guessed else ''}."


def fallback_c(house: House, zone: Zone, decision: ZoneDecision, heater: HeaterDecision) -> float:
    """Return what a heater holds by itself once its order has run out and nothing new came [°C].

    The zone's setback, so that a house without its supervisor stays usable, but never warmer than what is wanted now.
    The frost level while heat is held from the heater: without a supervisor nobody shares the supply, sees the window
    or gives out turns, so what may not heat now must not begin to by itself.
    """
    if heater.held_by is not None:
        return frost_c(house, zone)
    return max(frost_c(house, zone), min(level_c(house, zone, "setback"), decision.wanted_c))
