"""The sentence that says why a room is as it is: which of several true things it names."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace as changed

from ingle.model.decisions import HeaterState, HeldBy, Rule, ZoneState
from ingle.model.explanation import CauseSaid, HeaterSaid, VerdictSaid
from ingle.reports.explain_words import Seen, sentence

PROGRAMME = "The programme wants 20 °C (occupied) until 22:30, then 16 °C (setback)."
CAP = "Held by the 60 A cap of the supply: zones that need heat more go first."
HEATER = HeaterSaid(
    id="room-1", name="room-1", state="heating", held_by=None, sentence=PROGRAMME, power_w=980.0, plate_w=1000.0
)
COLD = Seen(
    name="Room 4",
    temp_c=17.2,
    fresh=True,
    age_s=20.0,
    wanted_c=20.0,
    state="warming",
    rule="programme",
    reason=PROGRAMME,
    heaters=(HEATER,),
    verdict=None,
)
FOUND = VerdictSaid(
    at=None,
    verdict="as-designed",
    measured_w_per_k=38.0,
    low_w_per_k=33.0,
    high_w_per_k=43.0,
    probability=0.9,
    causes=(
        CauseSaid(
            code="part-failed", probability=0.97, evidence="room-1 gives 506 W of 1,000 W at 231 V.", check_next="Look."
        ),
    ),
)


def with_heater(**fields: object) -> tuple[HeaterSaid, ...]:
    """Return the room's heater in another state."""
    return (changed(HEATER, **fields),)


def test_a_cap_that_binds_is_named_and_the_heater_is_not_blamed() -> None:
    """The cap by its amps, that it is not the heater, and how cold the room is; once the cap is clear, neither."""
    capped = replace(
        COLD,
        state="below",
        rule="cap",
        reason=f"{CAP[:-1]}; 20 °C (occupied) is wanted until 22:30.",
        heaters=with_heater(state="held", held_by="cap", sentence=CAP, power_w=0.0),
        verdict=FOUND,
    )
    said = sentence(capped)
    assert said == (
        "Room 4 is at 17.2 °C, 2.8 K below the 20 °C wanted, because the 60 A cap of the supply holds its heating "
        "back, not because of its heaters: rooms that need heat more go first."
    )
    assert "cap" not in sentence(COLD)


def test_a_cap_eaten_by_heaters_out_of_reach_says_so() -> None:
    """The coldest room is not only told that colder ones go first."""
    lost = f"{CAP[:-1]}, and heaters out of reach count as heating."
    held = with_heater(state="held", held_by="cap", sentence=lost, power_w=0.0)
    said = sentence(replace(COLD, state="below", rule="cap", reason=lost, heaters=held))
    assert said.endswith("rooms that need heat more go first, and heaters out of reach count as heating.")


def test_a_cap_that_holds_some_of_the_heaters_says_how_many() -> None:
    """One of two: the room is cold, the cap is named, and it is told that it is a part."""
    two = (HEATER, changed(HEATER, id="room-2", state="held", held_by="cap", sentence=CAP, power_w=0.0))
    assert "because the 60 A cap of the supply holds 1 of its 2 heaters back" in sentence(replace(COLD, heaters=two))


def test_a_room_that_warms_says_with_what_and_what_metering_found() -> None:
    """Watts of the plates; where the newest verdict has a cause that makes rooms cold, that with its evidence."""
    assert sentence(COLD) == (
        "Room 4 is at 17.2 °C, 2.8 K below the 20 °C wanted; it is warming at 980 W of 1,000 W on its plates."
    )
    said = sentence(replace(COLD, verdict=FOUND, heaters=with_heater(power_w=506.0)))
    assert said.endswith(
        "it is warming at 506 W of 1,000 W on its plates, and the newest verdict names part-failed "
        "(room-1 gives 506 W of 1,000 W at 231 V)."
    )


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("unreachable", "Silent since 04:10; its order waits for it."),
        ("isolated", "Observed, not driven: its mains is off."),
        ("fault", "Observed, not driven: it reports a fault (E3)."),
    ],
)
def test_a_heater_out_of_action_is_named(state: str, said: str) -> None:
    """By its id, with its own sentence."""
    heaters = with_heater(state=state, sentence=said, power_w=None)
    assert f"because of heater room-1: {said[0].lower()}{said[1:]}" in sentence(
        replace(COLD, state="below", heaters=heaters)
    )


def test_a_heater_that_may_heat_and_does_not_is_named() -> None:
    """A thermostat or switch of its own may hold it: the watts show that it draws nothing."""
    heaters = with_heater(state="satisfied", power_w=0.0)
    assert sentence(replace(COLD, state="below", heaters=heaters)).endswith("; its heaters may heat but draw 0 W.")


def test_a_room_at_its_setback_is_cold_because_it_is_wanted_so() -> None:
    """As wanted, and the programme's own sentence says when that ends."""
    night = replace(
        COLD,
        temp_c=16.2,
        wanted_c=16.0,
        state="within",
        reason="The programme wants 16 °C (setback) until 06:30, then 20 °C.",
    )
    assert sentence(night) == (
        "Room 4 is at 16.2 °C, as wanted: the programme wants 16 °C (setback) until 06:30, then 20 °C."
    )


@pytest.mark.parametrize(
    ("state", "heater", "power_w", "said"),
    [
        ("coasting", "satisfied", 0.0, ": no heat is given, and it cools down; the programme wants 20 °C"),
        (
            "above",
            "satisfied",
            0.0,
            ": no heat is given, so it is warm from before, or by sun, people or a neighbour; the",
        ),
        ("above", "heating", 980.0, ", and heater room-1 draws 980 W although no heat is wanted: look at its own"),
        ("above", "unreachable", None, "2.5 K above the 20 °C wanted; the programme wants 20 °C"),
    ],
)
def test_a_room_that_is_too_warm_says_where_that_comes_from(
    state: str, heater: str, power_w: float | None, said: str
) -> None:
    """Coasting, warm from elsewhere, or a heater that heats by itself; silent where its power is not known."""
    warm = replace(COLD, temp_c=22.5, state=state, heaters=with_heater(state=heater, power_w=power_w))  # type: ignore[arg-type]  # drawn from ZoneState
    assert said in sentence(warm)


@pytest.mark.parametrize(
    ("rule", "reason"),
    [
        ("opening", "Heat is held while opening window is open; 20 °C (occupied) again when closed."),
        ("not-driven", "Not driven: heater room-1: it is portable; 20 °C (occupied) is wanted."),
        ("override", "Held at 17 °C for Wenna until 14:00."),
    ],
)
def test_a_rule_that_speaks_for_itself_is_the_explanation(rule: str, reason: str) -> None:
    """Its sentence stands behind how warm the room is, whatever else is known."""
    said = sentence(replace(COLD, state="below", rule=rule, reason=reason, verdict=FOUND))  # type: ignore[arg-type]  # drawn from Rule
    assert said == f"Room 4 is at 17.2 °C, 2.8 K below the 20 °C wanted: {reason[0].lower()}{reason[1:]}"


def test_an_old_temperature_is_not_taken_for_now() -> None:
    """It is told with its age, and that nobody knows; where there is none at all, that."""
    old = sentence(replace(COLD, fresh=False, age_s=7500.0, state="unknown"))
    assert old.startswith("Room 4 was last at 17.2 °C, 2 h ago, and nobody knows how warm it is now; 20 °C is wanted")
    just = sentence(replace(COLD, fresh=False, age_s=8.0, state="unknown"))
    assert just.startswith("Room 4 was at 17.2 °C 8 s ago, and no live reading has come since; 20 °C is wanted")
    none = sentence(replace(COLD, temp_c=None, fresh=False, age_s=None, state="unknown"))
    assert none.startswith("Nobody knows how warm Room 4 is, for no temperature has come; 20 °C is wanted")


heaters = st.lists(
    st.builds(
        HeaterSaid,
        id=st.just("room-1"),
        name=st.just("room-1"),
        state=st.sampled_from(get_args(HeaterState)),
        held_by=st.none() | st.sampled_from(get_args(HeldBy)),
        sentence=st.sampled_from((PROGRAMME, CAP, "Nothing was heard of it then.")),
        power_w=st.none() | st.floats(-5, 3000),
        plate_w=st.floats(100, 3000),
    ),
    max_size=3,
)
rooms = st.builds(
    Seen,
    name=st.just("Room 4"),
    temp_c=st.none() | st.floats(-20, 40),
    fresh=st.booleans(),
    age_s=st.none() | st.floats(0, 1e7),
    wanted_c=st.floats(1, 35),
    state=st.sampled_from(get_args(ZoneState)),
    rule=st.sampled_from(get_args(Rule)),
    reason=st.sampled_from((PROGRAMME, CAP, "")),
    heaters=heaters,
    verdict=st.none() | st.just(FOUND),
)


@given(rooms)
def test_whatever_is_known_it_is_one_sentence_of_words(seen: Seen) -> None:
    """It begins with the room and ends with a full stop; no figure is undefined, and nothing is called None."""
    said = sentence(seen)
    assert "Room 4" in said.split(",")[0]
    assert said.endswith(".")
    assert not said.endswith("..")
    assert not [word for word in ("None", "nan", "inf ", "  ", ": .") if word in said]
