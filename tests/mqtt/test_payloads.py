"""Payloads: what is taken, what is refused and why."""

from __future__ import annotations

import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.model.readings import OUTDOOR, Source
from ingle.mqtt import payloads
from ingle.mqtt.payloads import Refused, reading

LOFT = Source("heater", "loft-1")


def test_a_full_reading_is_taken() -> None:
    """Every field of the topic table arrives under its own name, with the source's own time."""
    body = {
        "t": "2026-01-12T06:00:00+01:00",
        "boot": 17,
        "seq": 4,
        "power_w": 812,
        "energy_wh": 1234.5,
        "energy_is": "computed",
        "voltage_v": 231.5,
        "temp_c": 18.6,
        "setpoint_c": 20,
        "opening": False,
        "fault": "probe",
        "firmware": "what we do not know is passed over",
    }
    taken = reading(LOFT, json.dumps(body).encode(), 5)
    assert (taken.t_ms, taken.arrived_ms, taken.boot, taken.seq) == (1768194000000, 5, "17", 4)
    assert (taken.power_w, taken.energy_wh, taken.energy_is) == (812.0, 1234.5, "computed")
    assert (taken.voltage_v, taken.temp_c, taken.setpoint_c) == (231.5, 18.6, 20.0)
    assert (taken.opening, taken.fault, taken.retained) == (False, "probe", False)


def test_without_a_time_of_its_own_it_gets_the_time_of_arrival() -> None:
    """A reading without `t` is dated at arrival; a sequence number without a boot counts for nothing."""
    taken = reading(OUTDOOR, b'{"temp_c": 4.5, "seq": 9}', 1768194000123)
    assert taken.t_ms == 1768194000123
    assert taken.seq is None


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (b"", "empty"),
        (b" " * 5000, "too much"),
        (b"\xff\xfe", "not JSON in UTF-8"),
        (b"{", "not JSON"),
        (b"[]", "Expected `object`"),
        (b"[" * 4000, "Expected `object`"),
        (b'{"x":' * 600 + b"1" + b"}" * 600, ""),
        (b'{"temp_c": NaN}', "not JSON"),
        (b'{"temp_c": Infinity}', "not JSON"),
        (b'{"temp_c": 1e999}', ""),
        (b'{"temp_c": true}', "Expected `float | null`, got `bool`"),
        (b'{"temp_c": "19"}', "Expected `float | null`, got `str`"),
        (b'{"temp_c": 68000}', "<= 100"),
        (b'{"energy_wh": -1}', ">= 0"),
        (b'{"power_w": 1e9}', "<= 100000"),
        (b'{"opening": "open"}', "Expected `bool | null`"),
        (b'{"energy_is": "guessed"}', "energy_is"),
        (b'{"t": 1768194000}', "no measured value"),
        (b"{}", "no measured value"),
        (b'{"temp_c": null}', "no measured value"),
        (b'{"temp_c": 20, "t": "yesterday"}', "is no time"),
        (b'{"temp_c": 20, "t": "2026-01-12T06:00:00"}', "has no offset"),
        (b'{"temp_c": 20, "t": 1768194000000}', "epoch seconds"),
        (b'{"temp_c": 20, "t": -1}', "epoch seconds"),
        (b'{"temp_c": 20, "t": "1970-01-01T00:00:09Z"}', "the years 2000 to 2099"),
        (b'{"temp_c": 20, "t": "0001-01-01T00:00:00+14:00"}', "the years 2000 to 2099"),
        (b'{"temp_c": 20, "t": "9999-12-31T23:59:59-14:00"}', "the years 2000 to 2099"),
        (b'{"temp_c": 20, "boot": "a", "seq": -1}', ">= 0"),
    ],
)
def test_a_refusal_says_why(payload: bytes, words: str) -> None:
    """What cannot be taken is refused with its reason, never with anything but Refused."""
    with pytest.raises(Refused) as refused:
        reading(LOFT, payload, 0)
    assert words in str(refused.value)


def test_a_blank_boot_numbers_nothing() -> None:
    """A boot of spaces and control signs tells no boots apart: such a reading is known by its time."""
    taken = reading(LOFT, json.dumps({"temp_c": 20, "boot": " \x00 ", "seq": 4}).encode(), 0)
    assert (taken.boot, taken.seq) == (None, None)
    assert reading(LOFT, b'{"temp_c": 20, "boot": " b7\\n", "seq": 4}', 0).boot == "b7"


@given(st.binary(max_size=6000))
def test_any_bytes_are_taken_or_refused(payload: bytes) -> None:
    """No bytes at all raise anything else than a refusal."""
    with suppress(Refused):
        assert reading(LOFT, payload, 0).source == LOFT


@given(
    st.dictionaries(
        st.sampled_from(payloads.Body.__struct_fields__),
        st.none()
        | st.booleans()
        | st.integers()
        | st.floats(allow_nan=False)
        | st.text(max_size=30)
        | st.lists(st.none()),
    )
)
def test_any_values_in_known_fields_are_taken_or_refused(body: dict[str, object]) -> None:
    """Wrong types and ranges in our own fields are refusals, and what is taken is within its range."""
    try:
        taken = reading(LOFT, json.dumps(body).encode(), 0)
    except Refused:
        return
    assert taken.temp_c is None or -60 <= taken.temp_c <= 100
    assert taken.energy_wh is None or taken.energy_wh >= 0


@pytest.mark.parametrize(("word", "up"), [(b"up", True), (b"down", False), (b' "UP" ', True)])
def test_link_words(word: bytes, *, up: bool) -> None:
    """A link says up or down."""
    assert payloads.link(word) is up


def test_other_link_words_are_refused() -> None:
    """Anything else is refused."""
    with pytest.raises(Refused, match="allowed: up, down"):
        payloads.link(b"maybe")
