"""Topics: built and read back in one place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.mqtt.topics import Route, Topics

TOPICS = Topics("site/ingle")


@pytest.mark.parametrize(
    ("topic", "route"),
    [
        ("site/ingle/heater/a-1/reading", Route("reading", "heater", "a-1")),
        ("site/ingle/sensor/s/reading", Route("reading", "sensor", "s")),
        ("site/ingle/meter/m/reading", Route("reading", "meter", "m")),
        ("site/ingle/outdoor/reading", Route("reading", "outdoor", "outdoor")),
        ("site/ingle/heater/a/link", Route("link", "heater", "a")),
        ("site/ingle/gateway/g/link", Route("link", "gateway", "g")),
        ("site/ingle/zone/z/request", Route("request", "zone", "z")),
        ("site/ingle/limit/request", Route("request", "limit", "")),
        ("site/ingle/zone/z/reading", None),
        ("site/ingle/zone/z/now", None),
        ("site/ingle/heater/A/reading", None),
        ("site/ingle/heater//reading", None),
        ("site/ingle/heater/a/b/reading", None),
        ("ingle/heater/a/reading", None),
        ("site/ingle/", None),
    ],
)
def test_what_a_topic_is_about(topic: str, route: Route | None) -> None:
    """Each topic of the table has one meaning; anything else has none."""
    assert TOPICS.route(topic) == route


@given(st.text())
def test_any_text_is_a_route_or_none(text: str) -> None:
    """Nothing that a broker can hand over breaks the reading of topics."""
    route = TOPICS.route("site/ingle/" + text)
    assert route is None or route.way in {"reading", "link", "request"}


@pytest.mark.parametrize(
    ("topic", "fine"),
    [
        ("elsewhere/answers", True),
        ("site/ingle/zone/z/response", True),
        ("site/ingle/heater/a/wanted", False),
        ("site/ingle/heater/a/reading", False),
        ("", False),
        ("a/+", False),
        ("a/#", False),
        ("$SYS/x", False),
    ],
)
def test_an_answer_may_not_go_where_orders_and_readings_go(topic: str, *, fine: bool) -> None:
    """A requester cannot make ingle publish an order, a reading or a request."""
    assert TOPICS.answerable(topic) is fine
