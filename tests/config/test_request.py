"""Requests: what a person or a script asks is read once, and what is wrong with it is named by field."""

from __future__ import annotations

import pytest

from ingle.config import request
from ingle.errors import BadInput
from ingle.model.commands import Cap, LimitRequest, Override, ZoneRequest


def test_a_request_is_read() -> None:
    """A whole number is a fine temperature, and ``for`` is its duration."""
    body = {"do": "override", "temp_c": 21, "for": "PT90M"}
    assert request.value(body, ZoneRequest) == Override(temp_c=21.0, duration="PT90M")
    assert request.value({"do": "cap", "cap_a": 20}, LimitRequest) == Cap(cap_a=20.0)


@pytest.mark.parametrize(
    ("body", "pointer", "value", "words"),
    [
        ({"do": "override", "temp_c": 99}, "/temp_c", 99, "from 1 to 35"),
        ({"do": "override", "temp_c": True}, "/temp_c", True, "a number"),
        ({"do": "override"}, "/temp_c", None, "a number"),
        ({"do": "override", "temp_c": 20, "colour": "red"}, "/colour", "red", "known: do, why, temp_c, for, until"),
        ({"do": "override", "temp_c": 20, "until": "2026-01-12T18:00:00"}, "/until", "2026-01-12T18:00:00", "offset"),
        ({"do": "override", "temp_c": 20, "for": "90"}, "/for", "90", "ISO 8601 duration"),
        ({"do": "set-level", "level": "party"}, "/level", "party", "occupied"),
        ({"do": "dance"}, "/do", "dance", "one of override, release, set-level, lock-local, unlock-local"),
        ({"temp_c": 20}, "/do", None, "one of override"),
        ([], "", [], "a JSON object"),
        (None, "", None, "a JSON object"),
    ],
)
def test_a_fault_names_place_value_and_what_is_allowed(body: object, pointer: str, value: object, words: str) -> None:
    """Whatever is wrong with a request, the fault says where, what came, and what may stand there."""
    with pytest.raises(BadInput) as refused:
        request.value(body, ZoneRequest)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.value) == (pointer, value)
    assert words in fault.allowed


def test_what_is_asked_may_go_without_saying() -> None:
    """Where a face knows what is meant, ``do`` may be left out; a wrong one is still refused."""
    assert request.value({"temp_c": 21}, ZoneRequest, "override") == Override(temp_c=21.0)
    with pytest.raises(BadInput, match="dance"):
        request.value({"do": "dance"}, ZoneRequest, "override")
