"""Which rule wins where two meet: every pair of rules, both present, against the order of the product's words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import combinations
from typing import Any

import msgspec
import pytest

from houses import every_day, make_house, make_zone
from ingle.control.decide import decide, explain
from ingle.control.situation import HeaterSeen, Situation, ZoneSeen
from ingle.model.commands import Cap, Held, Origin, Override, SetLevel
from ingle.model.decisions import Due, Rule, ZoneDecision
from ingle.model.devices import Heater
from ingle.model.heating_tests import HeatingTest
from ingle.model.house import House

NOW = datetime(2026, 1, 12, 7, 0, tzinfo=UTC)
ORIGIN = Origin(who="Wenna", via="http")


@dataclass(frozen=True)
class Setting:
    """A house with one zone, and what is seen and asked of it; rules add themselves to it."""

    heater: dict[str, Any] = field(default_factory=dict)
    seen: ZoneSeen = field(default_factory=lambda: ZoneSeen(temp_c=15.0))
    holds: tuple[Held, ...] = ()
    clock_trusted: bool = True
    programmed: bool = False
    heating_test: HeatingTest | None = None

    def decision(self) -> ZoneDecision:
        """Return what is decided for the zone."""
        return decide(self.house(), self.situation(), NOW).zones[0]

    def house(self) -> House:
        """Return the house."""
        zone = make_zone("loft", Heater(id="loft-1", rated_w=1500.0, **self.heater))
        programme = every_day("loft", ("06:00", "09:00", "occupied"))
        return make_house(zone, programmes=(programme,) if self.programmed else ())

    def situation(self) -> Situation:
        """Return the situation."""
        return Situation(
            zones={"loft": self.seen},
            heaters={"loft-1": HeaterSeen(voltage_v=230.0)},
            holds=self.holds,
            clock_trusted=self.clock_trusted,
            heating_test=self.heating_test,
        )


def a_test() -> HeatingTest:
    """Return a heating test of the loft that has begun."""
    return HeatingTest(
        number=3,
        zones=("loft",),
        guards=(),
        temp_c=22.0,
        nights=4,
        who="Wenna",
        via="http",
        why="",
        asked=NOW,
        start=NOW - timedelta(hours=30),
        measure_from=NOW - timedelta(hours=6),
        cool_from=None,
        end=NOW + timedelta(days=4),
        stage="measuring",
    )


def held(request: Override | SetLevel | Cap, zone: str | None = "loft") -> Held:
    """Return a request in force for an hour."""
    return Held(zone=zone, request=request, origin=ORIGIN, since=NOW, until=NOW + timedelta(hours=1))


def add_cap(s: Setting) -> Setting:
    """Leave no current."""
    return replace(s, holds=(*s.holds, held(Cap(cap_a=0.0), zone=None)))


def add_not_driven(s: Setting) -> Setting:
    """Make the only heater a portable one."""
    return replace(s, heater={"portable": True})


def add_frost(s: Setting) -> Setting:
    """Measure 4 °C in the zone."""
    return replace(s, seen=msgspec.structs.replace(s.seen, temp_c=4.0))


def add_opening(s: Setting) -> Setting:
    """Open a window."""
    return replace(s, seen=msgspec.structs.replace(s.seen, open=("opening gable",)))


def add_heating_test(s: Setting) -> Setting:
    """Run a heating test."""
    return replace(s, heating_test=a_test())


def add_override(s: Setting) -> Setting:
    """Ask for 21 °C."""
    return replace(s, holds=(*s.holds, held(Override(temp_c=21.0))))


def add_untrusted(s: Setting) -> Setting:
    """Let nobody vouch for the clock."""
    return replace(s, clock_trusted=False)


def add_programme(s: Setting) -> Setting:
    """Have a programme want the occupied level."""
    return replace(s, programmed=True)


#: The rules in the product's order, each with what makes it speak. A heater that may not be driven draws nothing from
#: a cap, so of these two the one that says why there is no heat at all is named.
ORDER: list[tuple[Rule, Callable[[Setting], Setting]]] = [
    ("not-driven", add_not_driven),
    ("cap", add_cap),
    ("frost-floor", add_frost),
    ("opening", add_opening),
    ("heating-test", add_heating_test),
    ("override", add_override),
    ("clock-untrusted", add_untrusted),
    ("programme", add_programme),
    ("no-programme", lambda setting: setting),
]
#: An opening holds all heat already, so that nothing of a cap is left to be said.
EXCEPT: dict[frozenset[Rule], Rule] = {frozenset[Rule]({"cap", "opening"}): "opening"}


@pytest.mark.parametrize(("first", "second"), list(combinations(ORDER, 2)), ids=lambda rule: rule[0])
def test_the_earlier_of_two_rules_wins(
    first: tuple[Rule, Callable[[Setting], Setting]], second: tuple[Rule, Callable[[Setting], Setting]]
) -> None:
    """Where two rules speak, the one that stands earlier rules, and its sentence is the one shown."""
    decision = second[1](first[1](Setting())).decision()
    assert decision.rule == EXCEPT.get(frozenset[Rule]({first[0], second[0]}), first[0])
    assert decision.reason.endswith(".")
    assert len(decision.reason) > 20


@pytest.mark.parametrize(("rule", "add"), ORDER, ids=lambda value: value if isinstance(value, str) else "")
def test_each_rule_speaks_alone(rule: Rule, add: Callable[[Setting], Setting]) -> None:
    """Each rule rules a zone when it is the only one with something to say."""
    assert add(Setting()).decision().rule == rule


def test_frost_is_heated_against_every_other_rule_at_once() -> None:
    """At a live 4 °C, with a window open, a frost-level request, an untrusted clock and a programme, there is heat."""
    setting = add_programme(add_untrusted(add_opening(add_frost(Setting()))))
    decision = replace(setting, holds=(held(SetLevel(level="frost")),)).decision()
    assert decision.rule == "frost-floor"
    assert (decision.heaters[0].setpoint_c, decision.heaters[0].limit_w) == (7.0, 1500.0)


def test_the_frost_floor_lowers_nothing() -> None:
    """Below the floor the zone still gets what the rules after it want, if that is more."""
    decision = add_override(add_frost(Setting())).decision()
    assert (decision.rule, decision.wanted_c, decision.heaters[0].setpoint_c) == ("frost-floor", 21.0, 21.0)


def test_a_lost_sensor_is_not_cold() -> None:
    """Without a live temperature the frost floor is silent."""
    setting = replace(Setting(), seen=ZoneSeen(temp_c=None))
    decision = setting.decision()
    assert (decision.rule, decision.state) == ("no-programme", "unknown")


def test_the_frost_floor_holds_until_it_is_clearly_warmer() -> None:
    """Once it rules, the floor falls silent half a degree above its level, so that noise does not switch heaters."""
    setting = add_opening(replace(Setting(), seen=ZoneSeen(temp_c=7.2)))
    assert setting.decision().rule == "opening"
    ruled = msgspec.structs.replace(setting.situation(), ruling={"loft": "frost-floor"})
    assert decide(setting.house(), ruled, NOW).zones[0].rule == "frost-floor"


def test_an_opening_keeps_the_wish_and_holds_the_heat() -> None:
    """With a window open the order is a number and no heat, and the zone still says what it wants."""
    decision = add_opening(add_override(Setting())).decision()
    heater = decision.heaters[0]
    assert decision.wanted_c == 21.0
    assert (heater.state, heater.held_by, heater.setpoint_c, heater.limit_w) == ("held", "opening", 7.0, 0.0)
    assert "opening gable is open" in decision.reason


def test_a_request_says_who_until_when_and_what_next() -> None:
    """The why line of an override names the person, its end on the house's clock, and what follows."""
    reason = add_programme(add_override(Setting())).decision().reason
    assert reason == "Held at 21 °C for Wenna until 08:00, then 20 °C (occupied)."


def test_the_newest_of_two_requests_rules() -> None:
    """A later request takes the place of an earlier one."""
    later = msgspec.structs.replace(held(SetLevel(level="vacant")), since=NOW + timedelta(seconds=1))
    decision = replace(Setting(), holds=(later, held(Override(temp_c=21.0)))).decision()
    assert (decision.level, decision.wanted_c) == ("vacant", 12.0)


def test_on_an_untrusted_clock_the_last_decision_goes_on() -> None:
    """What the programme wanted last is kept; where nothing is known, setback."""
    setting = add_programme(add_untrusted(Setting()))
    assert setting.decision().wanted_c == 16.0
    due = decide(setting.house(), replace(setting, clock_trusted=True).situation(), NOW).zones[0]
    kept = msgspec.structs.replace(setting.situation(), kept={"loft": _due(due)})
    assert decide(setting.house(), kept, NOW).zones[0].wanted_c == 20.0


def _due(decision: ZoneDecision) -> Due:
    return Due(level=decision.level, wanted_c=decision.wanted_c, until=None, next=None)


def test_an_explanation_lists_every_rule_that_speaks() -> None:
    """The explanation holds all rules with something to say, in their order, the winner first."""
    setting = add_programme(add_override(add_opening(add_frost(Setting()))))
    zone = setting.house().zones[0]
    voices = explain(setting.house(), setting.situation(), NOW, zone)
    assert [voice.rule for voice in voices] == ["frost-floor", "opening", "override", "programme"]
