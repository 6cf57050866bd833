"""Which rule rules a zone: a table of rules in their order of precedence; the first that speaks wins.

Each rule is a function of the case that returns what it says, or None where it has nothing to say. The order of the
table is the order of the product's rules as far as their inputs exist: frost floor, opening, heating test, override
(or a level held), then the programme. While nobody vouches for the clock, ``clock-untrusted`` stands in the
programme's place; where a zone has no programme, ``no-programme`` does. Plate, caps and heaters that may not be driven
act on single heaters and stand in ``decide``.

Where two rules meet:

* The frost floor is a floor, not a wish: it starts heat that an open window would hold, and never lowers what the
  rules after it want. It speaks on a live temperature only; a lost sensor is not cold.
* An opening holds heat and leaves the zone's wish as it was, so that a page can say what comes back when it closes.
* A heating test stands beside the override: a request of a person ends the test, so that the two never compete.
* Nothing asks for less than the frost level.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.control.heating_test import ask
from ingle.control.levels import frost_c, level_c, warm_enough_c
from ingle.control.programme import programmed
from ingle.control.situation import Situation, ZoneSeen
from ingle.control.words import degrees, listed, span_text, want_text
from ingle.model.commands import Override, SetLevel
from ingle.model.decisions import Due, HeldBy, Next, Rule
from ingle.model.house import House, Zone
from ingle.model.week import LevelName

#: How far above the frost level a zone must be before the frost floor falls silent again [K]; common practice for a
#: room thermostat's differential, so that sensor noise does not switch heaters.
FROST_DIFFERENTIAL_K: Final = 0.5

#: What is due in a zone at an instant: ``programme.due`` for a house, or something that remembers its answers.
Dues = Callable[[Zone, datetime], Due]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One zone to be decided, with everything a rule may look at."""

    house: House
    zone: Zone
    situation: Situation
    now: datetime
    dues: Dues
    timezone: ZoneInfo

    @property
    def seen(self) -> ZoneSeen:
        """What is seen of the zone."""
        return self.situation.zone(self.zone.id)

    def span(self, until: datetime | None, following: Next | None) -> str:
        """Return "until ..., then ..." in the house's clock."""
        return span_text(until, following, self.now, self.timezone)


class Voice(NamedTuple):
    """What a rule says: the temperature, whether heat may be given, its sentence, until when, what follows."""

    rule: Rule
    level: LevelName | None
    wanted_c: float
    reason: str
    until: datetime | None = None
    next: Next | None = None
    held_by: HeldBy | None = None


def frost_floor(case: Case) -> Voice | None:
    """Keep a zone from freezing, whatever else was asked for; only a live temperature says that it is cold."""
    temp_c, floor_c = case.seen.temp_c, frost_c(case.house, case.zone)
    margin_k = FROST_DIFFERENTIAL_K if case.situation.ruling.get(case.zone.id) == "frost-floor" else 0.0
    if temp_c is None or temp_c >= floor_c + margin_k:
        return None
    below = f"At {degrees(temp_c)} the zone is at its frost floor of {degrees(floor_c)}: it is heated"
    if case.seen.open:
        return Voice("frost-floor", "frost", floor_c, f"{below} to the floor although {_open_text(case)}.")
    rest = first_after(frost_floor, case)
    wanted_c = max(floor_c, rest.wanted_c)
    reason = f"{below}, to {want_text(rest.level, wanted_c)}{case.span(rest.until, rest.next)}."
    return Voice("frost-floor", rest.level, wanted_c, reason, rest.until, rest.next)


def opening(case: Case) -> Voice | None:
    """Hold heat while a window or door of the zone stands open."""
    if not case.seen.open:
        return None
    rest = first_after(opening, case)
    reason = f"Heat is held while {_open_text(case)}; {want_text(rest.level, rest.wanted_c)} again when closed."
    return Voice("opening", rest.level, rest.wanted_c, reason, None, None, "opening")


def override(case: Case) -> Voice | None:
    """Give what a person or a program asked for, until it ends."""
    held = case.situation.hold(case.zone.id, case.now)
    if held is None or not isinstance(held.request, Override | SetLevel):
        return None
    level = held.request.level if isinstance(held.request, SetLevel) else None
    if isinstance(held.request, SetLevel):
        wanted_c = level_c(case.house, case.zone, held.request.level)
    else:
        wanted_c = warm_enough_c(case.house, case.zone, held.request.temp_c)
    following = _following(case, held.until)
    said = f"Held at {want_text(level, wanted_c)} for {held.origin.who}{case.span(held.until, following)}."
    reason = f"{said} {held.request.why.strip()}".strip()
    return Voice("override", level, wanted_c, reason, held.until, following)


def heating_test(case: Case) -> Voice | None:
    """Hold what a heating test asks for; while nobody vouches for the clock, a test that ran goes on."""
    test, trusted = case.situation.heating_test, case.situation.clock_trusted
    asked = None if test is None else ask(case.house, test, case.zone, case.now, trusted=trusted)
    if test is None or asked is None:
        return None
    said = "Cools down to" if asked.cooling else "Held at"
    following = _following(case, asked.until) if asked.until == test.end else None
    role = "" if case.zone.id in test.zones else " so that no heat flows to the rooms it measures"
    whose = f"heating test {test.number}{role}"
    reason = f"{said} {degrees(asked.wanted_c)} for {whose}{case.span(asked.until, following)}."
    return Voice("heating-test", None, asked.wanted_c, reason, asked.until, following)


def clock_untrusted(case: Case) -> Voice | None:
    """Keep the last decision, else setback, while nobody vouches for the wall clock."""
    if case.situation.clock_trusted:
        return None
    kept = case.situation.kept.get(case.zone.id)
    if kept is None:
        wanted_c = level_c(case.house, case.zone, "setback")
        reason = f"The clock is not trusted yet, so no programme runs: {want_text('setback', wanted_c)}."
        return Voice("clock-untrusted", "setback", wanted_c, reason)
    wanted_c = max(kept.wanted_c, frost_c(case.house, case.zone))
    reason = f"The clock is not trusted yet, so no programme runs: {want_text(kept.level, wanted_c)} as decided last."
    return Voice("clock-untrusted", kept.level, wanted_c, reason)


def programme(case: Case) -> Voice:
    """Give what the programme wants; a zone without one runs at setback."""
    due = case.dues(case.zone, case.now)
    text = want_text(due.level, due.wanted_c)
    if not programmed(case.house, case.zone):
        return Voice("no-programme", due.level, due.wanted_c, f"No programme for this zone: {text}.")
    reason = f"The programme wants {text}{case.span(due.until, due.next)}."
    return Voice("programme", due.level, due.wanted_c, reason, due.until, due.next)


#: The rules of a zone in their order; the last one always speaks.
RULES: Final[tuple[Callable[[Case], Voice | None], ...]] = (
    frost_floor,
    opening,
    heating_test,
    override,
    clock_untrusted,
    programme,
)


def rule(case: Case) -> Voice:
    """Return what the first rule that speaks says."""
    return _first(case, RULES)


def first_after(own: Callable[[Case], Voice | None], case: Case) -> Voice:
    """Return what would rule if a rule and all before it were silent."""
    return _first(case, RULES[RULES.index(own) + 1 :])


def considered(case: Case) -> tuple[Voice, ...]:
    """Return what every rule that has something to say says, the winner first: the explanation in full."""
    return tuple(voice for speak in RULES if (voice := speak(case)) is not None)


def _first(case: Case, rules: tuple[Callable[[Case], Voice | None], ...]) -> Voice:
    return next(voice for speak in rules if (voice := speak(case)) is not None)


def _following(case: Case, at: datetime) -> Next | None:
    """Return what the rules after an override want at its end, as far as that is known now."""
    if not case.situation.clock_trusted:
        return None
    due = case.dues(case.zone, at)
    return Next(at=at, level=due.level, wanted_c=due.wanted_c)


def _open_text(case: Case) -> str:
    names = case.seen.open
    return f"{listed(names)} {'is' if len(names) == 1 else 'are'} open"


def with_cap(case: Case, voice: Voice, why: str) -> Voice:
    """Return a voice as a cap that holds all of the zone's heaters changes it."""
    reason = f"{why}; {want_text(voice.level, voice.wanted_c)} is wanted{case.span(voice.until, voice.next)}."
    return voice._replace(rule="cap", reason=reason, held_by="cap")


def not_driven(case: Case, voice: Voice, why: str) -> Voice:
    """Return a voice as it stands in a zone whose heaters may not be driven."""
    reason = (
        f"Not driven: {why}; {want_text(voice.level, voice.wanted_c)} is wanted{case.span(voice.until, voice.next)}."
    )
    return voice._replace(rule="not-driven", reason=reason)
