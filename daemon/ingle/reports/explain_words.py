"""The one sentence that says why a room is as it is: how warm against what is wanted, and what explains it first.

First what is not the heater's doing (a cap, an opening, a rule that forbids), then the heaters (not reached, without
mains, in fault, waiting), then heat that is on its way with what metering has found of the room, then the rule itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from ingle.control.states import BAND_K
from ingle.control.words import clock_text, degrees, listed, want_text
from ingle.model.decisions import Next, Rule, ZoneState
from ingle.model.explanation import HeaterSaid, VerdictSaid

#: Causes that make a room cold though it is heated.
COLD_CAUSES: Final = frozenset(
    {"leak", "opening", "cold-neighbour", "gains-low", "part-failed", "weak-voltage", "too-small", "sensor-place"}
)
#: A rule that speaks for itself: its sentence is the explanation.
_PLAIN: Final = frozenset({"opening", "not-driven", "frost-floor", "override", "heating-test", "clock-untrusted"})
#: A room's temperature hardly moves within this, though nothing confirms it yet [s].
_JUST_NOW_S: Final = 300.0
_MINUTE_S, _HOUR_S, _DAY_S = 60, 3600, 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A room at an instant, as far as it is known."""

    name: str
    temp_c: float | None
    fresh: bool
    age_s: float | None
    wanted_c: float
    state: ZoneState
    rule: Rule
    reason: str
    heaters: Sequence[HeaterSaid]
    verdict: VerdictSaid | None

    @property
    def warm(self) -> bool:
        """Whether it is known to be warmer than wanted by more than its band."""
        return self.fresh and self.temp_c is not None and self.temp_c > self.wanted_c + BAND_K

    @property
    def cold(self) -> bool:
        """Whether it is known to be colder than wanted by more than its band."""
        return self.fresh and self.temp_c is not None and self.temp_c < self.wanted_c - BAND_K


def sentence(seen: Seen) -> str:
    """Return why a room is as it is."""
    return f"{_lead(seen)}{_why(seen)}".rstrip(".") + "."


def _lead(seen: Seen) -> str:
    wanted = degrees(seen.wanted_c)
    if seen.temp_c is None:
        return f"Nobody knows how warm {seen.name} is, for no temperature has come; {wanted} is wanted"
    if not seen.fresh:
        age = "" if seen.age_s is None else f", {age_text(seen.age_s)} ago"
        if seen.age_s is not None and seen.age_s < _JUST_NOW_S:
            read = f"{seen.name} was at {degrees(seen.temp_c)} {age_text(seen.age_s)} ago"
            return f"{read}, and no live reading has come since; {wanted} is wanted"
        known = f"{seen.name} was last at {degrees(seen.temp_c)}{age}"
        return f"{known}, and nobody knows how warm it is now; {wanted} is wanted"
    gap_k = seen.temp_c - seen.wanted_c
    if abs(gap_k) <= BAND_K:
        return f"{seen.name} is at {degrees(seen.temp_c)}, as wanted"
    side = "below" if gap_k < 0 else "above"
    return f"{seen.name} is at {degrees(seen.temp_c)}, {abs(gap_k):.1f} K {side} the {wanted} wanted"


def _why(seen: Seen) -> str:
    if seen.rule == "cap":
        held = next((heater.sentence for heater in seen.heaters if heater.held_by == "cap"), seen.reason)
        back = "holds its heating back, not because of its heaters"
        return f", because {_holder(held)} {back}: {_first(held)}"
    if seen.rule in _PLAIN or not (seen.warm or seen.cold):
        return _told(": ", seen.reason)
    return f"{_warmth(seen)}{_told('; ', seen.reason)}" if seen.warm else _coldness(seen)


def _coldness(seen: Seen) -> str:
    """Return why a room is colder than wanted though nothing forbids heat: its heaters, or heat on its way."""
    lame = [heater for heater in seen.heaters if heater.state in {"unreachable", "isolated", "fault"}]
    if lame:
        return f", because of {_ids(lame)}: {_lowered(lame[0].sentence)}"
    capped = [heater for heater in seen.heaters if heater.held_by == "cap"]
    if capped:
        part = f"{len(capped)} of its {len(seen.heaters)} heaters"
        held = capped[0].sentence
        return f", because {_holder(held)} holds {part} back: {_first(held)}"
    return _heating(seen)


def _warmth(seen: Seen) -> str:
    """Return where the warmth of a room that is above what is wanted comes from, as far as its heaters tell."""
    power = [heater.power_w for heater in seen.heaters if heater.power_w is not None]
    if not power or len(power) < len(seen.heaters):
        return ""
    hot = [heater for heater in seen.heaters if heater.state == "heating"]
    if hot:
        return f", and {_ids(hot)} draws {sum(power):,.0f} W although no heat is wanted: look at its own thermostat"
    if seen.state == "coasting":
        return ": no heat is given, and it cools down"
    return ": no heat is given, so it is warm from before, or by sun, people or a neighbour"


def _heating(seen: Seen) -> str:
    waiting = [heater for heater in seen.heaters if heater.held_by == "limit"]
    if waiting and len(waiting) == len(seen.heaters):
        return _told(": ", waiting[0].sentence)
    power = [heater.power_w for heater in seen.heaters if heater.power_w is not None]
    plate_w = sum(heater.plate_w for heater in seen.heaters)
    if seen.state == "warming" and power:
        return f"; it is warming at {sum(power):,.0f} W of {plate_w:,.0f} W on its plates{_found(seen.verdict)}"
    if power and len(power) == len(seen.heaters) and not any(heater.state == "heating" for heater in seen.heaters):
        return f"; its heaters may heat but draw {sum(power):,.0f} W{_found(seen.verdict)}"
    return _told(": ", seen.reason)


def _found(verdict: VerdictSaid | None) -> str:
    """Return what metering has found that makes the room cold, to be put behind a statement."""
    first = next((each for each in verdict.causes if each.code in COLD_CAUSES), None) if verdict is not None else None
    if first is None:
        return ""
    evidence = "" if first.evidence is None else f" ({first.evidence.rstrip('.')})"
    return f", and the newest verdict names {first.code}{evidence}"


def comes_next(
    until: datetime | None, following: Next | None, at: datetime, timezone: ZoneInfo, rule: Rule | None = None
) -> str:
    """Return what comes next, as far as it is known.

    >>> from datetime import UTC
    >>> at = datetime(2026, 1, 12, 6, 0, tzinfo=UTC)
    >>> later = Next(at=at.replace(hour=22, minute=30), level="setback", wanted_c=16.0)
    >>> comes_next(later.at, later, at, ZoneInfo("Europe/London"))
    'From 22:30: 16 °C (setback).'
    >>> comes_next(None, None, at, ZoneInfo("Europe/London"), "opening")
    'When it is closed, heat is given again.'
    """
    if rule == "opening":
        return "When it is closed, heat is given again."
    if following is not None:
        when = clock_text(following.at, at, timezone)
        return f"From {when}: {want_text(following.level, following.wanted_c)}."
    if until is not None:
        return f"It holds until {clock_text(until, at, timezone)}; what follows is not known yet."
    return "No change is planned."


def age_text(seconds: float) -> str:
    """Return an age in words.

    >>> age_text(5), age_text(400), age_text(7500), age_text(200000)
    ('5 s', '6 min', '2 h', '2 d')
    """
    if seconds < 2 * _MINUTE_S:
        return f"{seconds:.0f} s"
    if seconds < 2 * _HOUR_S:
        return f"{int(seconds // _MINUTE_S)} min"
    return f"{int(seconds // _HOUR_S)} h" if seconds < 2 * _DAY_S else f"{int(seconds // _DAY_S)} d"


def _holder(held: str) -> str:
    """Return what holds a heater, out of its sentence.

    >>> _holder("Held by the 60 A cap of the supply: zones that need heat more go first.")
    'the 60 A cap of the supply'
    """
    return held.removeprefix("Held by ").split(":", 1)[0].rstrip(".") or "the cap"


def _first(held: str) -> str:
    """Return who has the heat instead, as far as the sentence of a held heater knows.

    >>> _first("Held by the 9 A cap of the supply: zones that need heat more go first.")
    'rooms that need heat more go first'
    """
    unknown = ", and heaters out of reach count as heating"
    return f"rooms that need heat more go first{unknown if unknown in held else ''}"


def _ids(heaters: Sequence[HeaterSaid]) -> str:
    noun = "heater" if len(heaters) == 1 else "heaters"
    return f"{noun} {listed(tuple(heater.id for heater in heaters))}"


def _told(joint: str, text: str) -> str:
    """Return a sentence put behind another; nothing where there is none."""
    return f"{joint}{_lowered(text)}" if text else ""


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]
