"""Other firmware, by its profile: their payloads to our values, our orders to their payloads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from ingle.model.decisions import Wanted
from ingle.model.profile import Heard, Profile, Said
from ingle.model.readings import Reading, Source
from ingle.mqtt.payloads import PAYLOAD_MAX, Body, Refused, from_body, number

_TEXTS = ("fault", "t")


def topics(profile: Profile, heater_id: str) -> frozenset[str]:
    """Return the topics on which a heater of this firmware reports."""
    heard = (*profile.hears, *((profile.link,) if profile.link else ()))
    return frozenset(rule.topic.replace("{heater}", heater_id) for rule in heard)


def reading(
    profile: Profile, heater_id: str, topic: str, payload: bytes, arrived_ms: int, *, retained: bool
) -> Reading:
    """Turn a foreign payload into a reading of ours.

    Raises
    ------
    Refused
        With the reason, among them that no value of the profile stands on this topic.
    """
    found: dict[str, object] = {}
    for rule in profile.hears:
        if rule.topic.replace("{heater}", heater_id) == topic:
            value = heard(rule, payload)
            if value is not None:
                found[rule.value] = value
    if not found:
        raise Refused(f"nothing that profile {profile.id} expects on {topic}")
    if "seq" in found:
        found["seq"] = math.floor(float(str(found["seq"])))
    try:
        body = msgspec.convert(found, Body)
    except msgspec.ValidationError as error:
        raise Refused(str(error)) from error
    return from_body(Source("heater", heater_id), body, arrived_ms, retained=retained)


def heard(rule: Heard, payload: bytes) -> object:
    """Return the value that a rule finds in a payload, None where it is not there.

    >>> heard(Heard(topic="x/{heater}", value="power_w", scale=0.1), b"12345")
    1234.5
    >>> heard(Heard(topic="x/{heater}", value="temp_c", pointer="/air/0"), b'{"air": [19.5]}')
    19.5
    """
    raw = _scalar(payload) if rule.pointer is None else _at(rule.pointer, payload)
    if raw is None:
        return None
    if rule.words:
        word = str(raw).lower() if isinstance(raw, bool) else str(raw)
        if word not in rule.words:
            raise Refused(f"{word[:20]!r} is no word of this value; allowed: {', '.join(rule.words)}")
        return rule.words[word]
    if rule.value == "opening":
        return raw
    if rule.value in _TEXTS and isinstance(raw, str):
        return raw
    value = number(raw)
    if value is None:
        raise Refused(f"{str(raw)[:20]!r} is no number")
    return _unrounded(value * rule.scale)


def said(profile: Profile, heater_id: str, order: Wanted) -> Iterator[tuple[str, bytes, bool]]:
    """Yield topic, payload and retain flag of the messages that carry an order."""
    objects: dict[str, dict[str, Any]] = {}
    retained: dict[str, bool] = {}
    for rule in profile.says:
        topic = rule.topic.replace("{heater}", heater_id)
        value = _theirs(rule, order)
        if rule.pointer is None:
            yield topic, (value if isinstance(value, str) else _plain(value)).encode(), rule.retain
            continue
        retained[topic] = rule.retain
        _put(objects.setdefault(topic, {}), rule.pointer.split("/")[1:], value)
    for topic, body in objects.items():
        yield topic, msgspec.json.encode(body), retained[topic]


def _theirs(rule: Said, order: Wanted) -> str | float | bool:
    ours: bool | float = order.limit_w > 0 if rule.value == "on" else getattr(order, rule.value)
    if rule.words:
        word = str(ours).lower() if isinstance(ours, bool) else _plain(ours)
        return rule.words.get(word, word)
    if isinstance(ours, bool):
        return ours
    scaled = _unrounded(ours * rule.scale)
    return round(scaled) if rule.whole or isinstance(ours, int) else scaled


def _plain(value: float | bool) -> str:  # noqa: FBT001 - a value, not a switch
    return str(value).lower() if isinstance(value, bool) else f"{value:g}"


def _put(body: dict[str, Any], path: list[str], value: object) -> None:
    for key in path[:-1]:
        body = body.setdefault(key, {})
    body[path[-1]] = value


def _scalar(payload: bytes) -> str:
    if len(payload) > PAYLOAD_MAX:
        raise Refused(f"{len(payload)} bytes is too much; allowed: {PAYLOAD_MAX}")
    try:
        text = payload.decode().strip()
    except UnicodeDecodeError as error:
        raise Refused("not text in UTF-8") from error
    if not text:
        raise Refused("the payload is empty")
    return text


def _at(pointer: str, payload: bytes) -> object:
    """Return what a JSON Pointer finds, None where there is nothing."""
    try:
        here: object = msgspec.json.decode(_scalar(payload))
    except (msgspec.DecodeError, RecursionError) as error:
        raise Refused(f"not JSON: {error}") from error
    for part in pointer.split("/")[1:]:
        key = part.replace("~1", "/").replace("~0", "~")
        if isinstance(here, Mapping) and key in here:
            here = here[key]
        elif isinstance(here, list) and key.isdecimal() and int(key) < len(here):
            here = here[int(key)]
        else:
            return None
    return here


def _unrounded(value: float) -> float:
    """Drop what binary fractions add to a scaled decimal."""
    return float(f"{value:.12g}")
