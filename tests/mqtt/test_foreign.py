"""Other firmware by profile: values in, orders out."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.config.profile import load_profiles, parse_profile
from ingle.errors import BadInput
from ingle.model.decisions import Wanted
from ingle.model.profile import Heard, HeardValue, Profile
from ingle.mqtt import foreign
from ingle.mqtt.payloads import Refused

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
SHIPPED = Path(__file__).parents[2] / "config" / "profiles"
PANEL = load_profiles([SHIPPED])["harbour-scalar"]
ORDER = Wanted(
    setpoint_c=20.5,
    limit_w=1500.0,
    locked=True,
    fallback_c=16.0,
    valid_for_s=1800,
    valid_until=datetime(2026, 1, 12, 7, tzinfo=UTC),
)


@pytest.mark.parametrize(
    ("topic", "payload", "field", "value"),
    [
        ("panels/p-1/power", b"8125", "power_w", 812.5),
        ("panels/p-1/counter", b"1.2345", "energy_wh", 1234.5),
        ("panels/p-1/room", b"1865", "temp_c", 18.65),
        ("panels/p-1/target", b"2000", "setpoint_c", 20.0),
        ("panels/p-1/electric", b'{"mains": {"volts": 231.5}}', "voltage_v", 231.5),
        ("panels/p-1/window", b"open", "opening", True),
    ],
)
def test_a_foreign_value_becomes_ours(topic: str, payload: bytes, field: str, value: object) -> None:
    """Scale, pointer and words turn a payload into one of our values."""
    taken = foreign.reading(PANEL, "p-1", topic, payload, 7, retained=False)
    assert getattr(taken, field) == value
    assert taken.t_ms == 7


@pytest.mark.parametrize(
    ("topic", "payload"),
    [
        ("panels/p-1/power", b"many"),
        ("panels/p-1/power", b""),
        ("panels/p-1/power", b"nan"),
        ("panels/p-1/power", b"9" * 5000),
        ("panels/p-1/room", b"900000"),
        ("panels/p-1/electric", b"{"),
        ("panels/p-1/electric", b'{"mains": 3}'),
        ("panels/p-1/window", b"ajar"),
        ("panels/p-1/unheard", b"1"),
        ("panels/p-1/power", b"\xff"),
    ],
)
def test_a_foreign_payload_is_refused_with_a_reason(topic: str, payload: bytes) -> None:
    """What does not fit the profile is refused, never guessed."""
    with pytest.raises(Refused) as refused:
        foreign.reading(PANEL, "p-1", topic, payload, 7, retained=False)
    assert str(refused.value)


def test_an_order_becomes_theirs() -> None:
    """Each part of an order goes where the firmware expects it, in its own units and words."""
    assert set(foreign.said(PANEL, "p-1", ORDER)) == {
        ("panels/p-1/set/target", b"2050", True),
        ("panels/p-1/set/most", b"1500", True),
        ("panels/p-1/set/buttons", b"off", True),
        ("panels/p-1/set/silence", b'{"hold":1600,"after":1800}', True),
    }


def test_a_bad_profile_is_refused_with_every_fault() -> None:
    """An ability without a topic, a wildcard, an unknown key: all are named at once."""
    text = """
name = "Broken"
can = ["limit", "energy"]
colour = "red"
[[hears]]
topic = "x/+/power"
value = "power_w"
"""
    with pytest.raises(BadInput) as refused:
        parse_profile(text, "broken.toml")
    places = {fault.place for fault in refused.value.faults}
    assert {"can[0]", "can[1]", "colour", "hears[0].topic"} <= places


def test_pointers_reach_into_lists_and_odd_keys() -> None:
    """RFC 6901: list positions, and ~1 and ~0 for / and ~ in a key; what is not there is no value."""
    payload = b'{"a/b": {"~": [10, 20.5]}}'
    rule = Heard(topic="x/{heater}", value="temp_c", pointer="/a~1b/~0/1")
    assert foreign.heard(rule, payload) == 20.5
    for pointer in ("/a~1b/~0/2", "/a~1b/~0/01x", "/a", "/a~1b/~0/1/0"):
        assert foreign.heard(Heard(topic="x/{heater}", value="temp_c", pointer=pointer), payload) is None


@given(st.binary(max_size=300), st.sampled_from(sorted(foreign.topics(PANEL, "p-1"))))
def test_any_foreign_bytes_are_taken_or_refused(payload: bytes, topic: str) -> None:
    """No bytes on any topic of a profile raise anything but a refusal."""
    with suppress(Refused):
        foreign.reading(PANEL, "p-1", topic, payload, 7, retained=False)


@given(json_values, st.sampled_from(get_args(HeardValue)))
def test_any_json_is_taken_or_refused(value: object, name: str) -> None:
    """Whatever JSON stands where a rule points, and for whatever value, it is taken in range or refused."""
    rule = Heard(topic="x/{heater}", value=name, pointer="/v")
    profile = Profile(id="odd", name="Odd", can=(), hears=(rule,))
    with suppress(Refused):
        taken = foreign.reading(profile, "p-1", "x/p-1", json.dumps({"v": value}).encode(), 7, retained=False)
        assert taken.temp_c is None or -60 <= taken.temp_c <= 100
