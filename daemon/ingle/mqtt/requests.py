"""Requests over MQTT: refused if the broker kept them, obeyed and answered otherwise.

The answer goes to the request's response topic with its correlation data (MQTT 5), else to ``.../response`` beside the
request. A request is acknowledged after it was carried out and stored, so one that was lost with us comes again;
overrides are absolute, so obeying it twice does no harm.
"""

from __future__ import annotations

import logging
from typing import Any, Protocol

import msgspec

from ingle.config import request
from ingle.errors import BadInput, Fault, IngleError
from ingle.model.commands import LimitRequest, Origin, ZoneRequest
from ingle.mqtt.payloads import PAYLOAD_MAX, to_json
from ingle.mqtt.session import Message
from ingle.mqtt.topics import Route

ORIGIN = Origin(who="mqtt", via="mqtt")
#: The answer to a request that comes while too many others are under way.
TOO_MANY = to_json({"ok": False, "title": "too many requests at a time; ask again", "faults": []})

log = logging.getLogger(__name__)


class Obeys(Protocol):
    """What carries requests out: ``commands``."""

    async def zone_request(self, zone_id: str, request: ZoneRequest, origin: Origin) -> object:
        """Carry out a request to a zone and return its new state."""

    async def limit_request(self, request: LimitRequest, origin: Origin) -> object:
        """Carry out a request to the supply limit and return what is in force."""


async def answer(commands: Obeys, route: Route, message: Message) -> bytes:
    """Carry out a request and return the answer to send."""
    try:
        result = await _obey(commands, route, message)
    except BadInput as error:
        return to_json({"ok": False, "title": str(error).splitlines()[0], "faults": _faults(error)})
    except IngleError as error:
        return to_json({"ok": False, "title": str(error), "faults": []})
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        return to_json({"ok": False, "title": f"not JSON in UTF-8: {error}", "faults": []})
    except Exception as error:  # noqa: BLE001 - a request that breaks us is answered, or it would come for ever
        log.error("%s: the request failed: %s: %s", message.topic, type(error).__name__, error)  # noqa: TRY400
        return to_json({"ok": False, "title": "ingle could not do it; its log says why", "faults": []})
    return to_json({"ok": True, "now": result})


async def _obey(commands: Obeys, route: Route, message: Message) -> object:
    if message.size > PAYLOAD_MAX:
        raise BadInput([Fault((), f"{message.size} bytes", f"a request of at most {PAYLOAD_MAX} bytes")])
    body = msgspec.json.decode(message.payload)
    if route.kind == "limit":
        return await commands.limit_request(request.value(body, LimitRequest), ORIGIN)
    return await commands.zone_request(route.id, request.value(body, ZoneRequest), ORIGIN)


def _faults(error: BadInput) -> list[dict[str, Any]]:
    return [
        {"pointer": fault.pointer, "value": str(fault.value)[:100], "allowed": fault.allowed} for fault in error.faults
    ]
