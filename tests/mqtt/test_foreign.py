"""Other firmware by profile: values in, orders out."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from ingle.config.profile import load_profiles, parse_profile
from ingle.errors import BadInput
from ingle.model.decisions import Wanted
from ingle.mqtt import foreign
from ingle.mqtt.payloads import Refused

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
