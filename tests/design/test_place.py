"""Where a heater may stand, as far as the house file tells."""

from __future__ import annotations

from typing import Any

import pytest

from houses import make_house, make_zone
from ingle.design.place import place_check
from ingle.model.circuits import PlaceCheck
from ingle.model.devices import Circuit, Heater

WITH_RCD = Circuit(id="c", rated_a=16.0, rcd_ma=30.0)


def check(use: Any = "bath", circuit: Circuit | None = WITH_RCD, **fields: Any) -> PlaceCheck:
    """Check one heater on a circuit."""
    heater = Heater(id="h", rated_w=1000, circuit=None if circuit is None else circuit.id, **fields)
    house = make_house(make_zone("room", heater, use=use), circuits=() if circuit is None else (circuit,))
    return place_check(house, house.zones[0], heater)


def test_splash_proof_in_zone_2_behind_an_rcd() -> None:
    """IPX4 in zone 2 with 30 mA (IEC 60364-7-701, from memory)."""
    assert check(bath_zone=2, ip="IPX4") == PlaceCheck(heater="h", zone="room", verdict="ok", reasons=())
    assert check(bath_zone=2, ip="IP55").verdict == "ok"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"bath_zone": 2, "ip": "IPX0"}, "IPX0 in zone 2"),
        ({"bath_zone": 2, "ip": "IP20"}, "IP20 in zone 2"),
        ({"bath_zone": 1, "ip": "IPX3"}, "IPX3 in zone 1"),
        ({"bath_zone": 2, "ip": "IP2X"}, "says nothing of water"),
        ({"bath_zone": 2}, "No IP code"),
        ({"bath_zone": 0, "ip": "IPX7"}, "Zone 0"),
        ({"circuit": None}, "no RCD is known"),
        ({"circuit": Circuit(id="c", rated_a=16.0)}, "has no RCD"),
        ({"circuit": Circuit(id="c", rated_a=16.0, rcd_ma=100.0)}, "100 mA"),
        ({"portable": True}, "portable"),
        ({"bath_zone": 2, "ip": "IPX4", "connection": "plug"}, "plug"),
    ],
)
def test_what_blocks_a_heater_in_a_bathroom(fields: dict[str, Any], words: str) -> None:
    """Water figure, RCD, extra-low voltage, nothing that is carried or plugged in (IEC 60364-7-701, from memory)."""
    found = check(**fields)
    assert found.verdict == "blocked"
    assert any(words in reason for reason in found.reasons)


def test_a_shower_in_a_bedroom_is_a_bathroom() -> None:
    """The heater's bath_zone counts, whatever the room is used as."""
    assert check(use="bedroom", bath_zone=2, ip="IPX0").verdict == "blocked"
    assert check(use="bedroom", circuit=None).verdict == "ok"


def test_zone_1_is_for_a_person_to_judge() -> None:
    """Even splash-proof: only what maker and local rules allow there."""
    assert check(bath_zone=1, ip="IPX4").verdict == "check"


def test_a_bathroom_heater_without_its_zone_is_to_be_looked_at() -> None:
    """Taken as outside the zones, and the assumption is said."""
    found = check()
    assert found.verdict == "check"
    assert "bath_zone is not given" in found.reasons[0]


@pytest.mark.parametrize(
    ("fields", "verdict"),
    [
        ({"clearance_m": 1.2}, "ok"),
        ({"clearance_m": 0.2}, "check"),
        ({"clearance_m": 0.8, "portable": True}, "blocked"),
        ({"clearance_m": 1.2, "portable": True}, "check"),
        ({"below_socket": True}, "blocked"),
    ],
)
def test_surroundings(fields: dict[str, Any], verdict: str) -> None:
    """1 m for portable heaters (fire-service advice); never below a socket (IEC 60335-2-30, from memory)."""
    assert check(use="living", **fields).verdict == verdict


def test_a_portable_heater_is_never_put_on_an_extension_lead() -> None:
    """Said wherever one stands."""
    assert any("extension lead" in reason for reason in check(use="living", portable=True).reasons)


def test_the_gravest_reason_stands_first() -> None:
    """A heater may have several; what blocks it is read first."""
    found = check(use="living", portable=True, below_socket=True)
    assert (found.verdict, "below a socket" in found.reasons[0]) == ("blocked", True)
