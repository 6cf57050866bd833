"""Plugs, spurs, circuits and the supply under their heaters."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from houses import make_house, make_zone
from ingle.design.circuits import circuits_of
from ingle.model.circuits import CircuitCheck, Circuits
from ingle.model.devices import Circuit, Heater
from ingle.model.house import House

RADIAL = Circuit(id="radial", kind="radial", rated_a=20.0, rcd_ma=30.0)


def house_of(*heaters: Heater, circuit: Circuit | None = None, use: Any = "living", **site: Any) -> House:
    """Return a house of one room with these heaters."""
    circuits = () if circuit is None else (circuit,)
    return make_house(make_zone("room", *heaters, use=use), circuits=circuits, site=site)


def heaters(count: int, watts: float, **fields: Any) -> tuple[Heater, ...]:
    """Return equal heaters."""
    return tuple(Heater(id=f"h-{number}", rated_w=watts, **fields) for number in range(count))


def only(found: Circuits) -> CircuitCheck:
    """Return the only circuit."""
    assert len(found.circuits) == 1
    return found.circuits[0]


def test_three_of_two_kilowatts_on_a_20_a_radial() -> None:
    """3 x 2000 W / 230 V = 26.1 A: fails, with the sum shown (arithmetic)."""
    check = only(circuits_of(house_of(*heaters(3, 2000, circuit="radial"), circuit=RADIAL)))
    assert check.connected_a == pytest.approx(26.09, abs=0.005)
    assert check.verdict == "over"
    assert check.sum == "3 x 2000 W at 230 V = 26.1 A, more than the 20 A of the radial"
    assert any("this fails" in note and "26.1 A" in note for note in check.notes)


def test_a_cap_does_not_mend_a_circuit_that_fails() -> None:
    """With a cap of 16 A ingle would hold it to 16 A, and it still fails: a cap protects no cable."""
    circuit = Circuit(id="radial", kind="radial", rated_a=20.0, cap_a=16.0)
    check = only(circuits_of(house_of(*heaters(3, 2000, circuit="radial"), circuit=circuit)))
    assert (check.verdict, check.capped_a) == ("over", 16)


def test_a_cap_below_the_rating_is_held() -> None:
    """2 x 2000 W are 17.4 A: within 20 A, above the 16 A that the installer lets ingle allow."""
    circuit = Circuit(id="radial", kind="radial", rated_a=20.0, cap_a=16.0)
    check = only(circuits_of(house_of(*heaters(2, 2000, circuit="radial"), circuit=circuit)))
    assert (check.verdict, check.capped_a) == ("held", 16)


def test_eight_of_2400_on_a_supply_of_60_a() -> None:
    """83.5 A connected, 10 + 50 % of 73.5 = 46.7 A by the household rule (handbook), 60 A as ingle would hold it."""
    found = circuits_of(house_of(*heaters(8, 2400), use="assembly", supply_cap_a=60.0))
    (supply,) = found.supply
    assert supply.connected_a == pytest.approx(83.48, abs=0.005)
    assert supply.household_a == pytest.approx(46.74, abs=0.005)
    assert supply.capped_a == 60
    assert supply.verdict == "held"
    assert any("not for 100 %-on halls" in note and "83.5 A" in note for note in supply.notes)


def test_a_guest_house_is_counted_largest_first() -> None:
    """100 % of the largest, 80 % of the second, 60 % of the rest (handbook): 10 + 0.8 x 5 + 0.6 x 5 A."""
    found = circuits_of(house_of(*heaters(2, 1150), Heater(id="large", rated_w=2300)))
    assert found.supply[0].guest_house_a == pytest.approx(10 + 4 + 3)


@pytest.mark.parametrize("kind", ["storage", "underfloor"])
def test_no_custom_lessens_storage_and_underfloor(kind: Any) -> None:
    """They charge together: 20 A count as 20 A (handbook), beside direct heaters counted 10 A + 50 %."""
    (supply,) = circuits_of(house_of(*heaters(2, 2300, kind=kind))).supply
    assert supply.household_a == pytest.approx(20)
    assert supply.guest_house_a == pytest.approx(20)
    direct = Heater(id="direct", rated_w=4600)
    (mixed,) = circuits_of(house_of(*heaters(2, 2300, kind=kind), direct)).supply
    assert mixed.household_a == pytest.approx(20 + 15)
    assert any("counts whole" in note for note in mixed.notes)


@pytest.mark.parametrize(
    "house",
    [
        house_of(Heater(id="h", rated_w=3000, circuit="p"), circuit=Circuit(id="p", kind="plug", rated_a=13.0)),
        house_of(Heater(id="h", rated_w=3000, circuit="p"), circuit=Circuit(id="p", kind="spur", rated_a=13.0)),
        house_of(Heater(id="h", rated_w=3000, connection="plug")),
        house_of(Heater(id="h", rated_w=3000, connection="spur")),
        house_of(Heater(id="h", rated_w=3000, portable=True)),
    ],
)
def test_three_kilowatts_on_a_13_a_plug(house: House) -> None:
    """3000 W / 230 V = 13.04 A: more than a 13 A fuse (BS 1363), however it is said that it hangs on one."""
    check = only(circuits_of(house))
    assert check.connected_a == pytest.approx(13.04, abs=0.005)
    assert check.verdict == "over"
    assert "13.04 A, more than the 13 A" in check.sum


def test_2990_w_are_what_a_13_a_plug_carries() -> None:
    """13 A x 230 V = 2990 W is within."""
    assert only(circuits_of(house_of(Heater(id="h", rated_w=2990, connection="plug")))).verdict == "ok"


def test_a_heater_on_a_ring_is_judged_by_ring_and_by_plug() -> None:
    """Both stand side by side, and the ring says what the lasting load leaves of its 32 A (7360 W)."""
    ring = Circuit(id="ring", kind="ring", rated_a=32.0)
    found = circuits_of(house_of(*heaters(2, 2000, circuit="ring", connection="plug"), circuit=ring))
    assert [each.id for each in found.circuits] == ["ring", "plug of h-0", "plug of h-1"]
    assert any("leave 14.6 A for all else" in note for note in found.circuits[0].notes)
    assert any("up to 100 m²" in note for note in found.circuits[0].notes)
    full = circuits_of(house_of(*heaters(2, 3680, circuit="ring"), circuit=ring)).circuits[0]
    assert full.connected_a == pytest.approx(32)
    assert full.verdict == "ok"
    assert any("radial of its own" in note for note in full.notes)


def test_the_real_voltage_counts() -> None:
    """3 kW rated at 240 V give 2755 W at 230 V: 11.98 A, within a plug's 13 A; a PTC element counts as its plate."""
    check = only(circuits_of(house_of(Heater(id="h", rated_w=3000, rated_v=240.0, connection="plug"))))
    assert check.connected_a == pytest.approx(11.98, abs=0.005)
    assert check.verdict == "ok"
    ptc = only(circuits_of(house_of(Heater(id="h", rated_w=2300, connection="plug", element="ptc"), voltage_v=220.0)))
    assert ptc.connected_a == pytest.approx(2300 / 220)


def test_what_ingle_does_not_switch_cannot_be_held() -> None:
    """Two of three heaters are not automatic: 20 A of 30 A run whatever the cap of 16 A says."""
    own = heaters(2, 2300, automatic=False)
    (supply,) = circuits_of(house_of(*own, Heater(id="driven", rated_w=2300), supply_cap_a=16.0)).supply
    assert supply.capped_a == pytest.approx(20)
    assert supply.verdict == "over"
    assert any("does not switch" in note for note in supply.notes)


def test_three_phases_are_three_supplies() -> None:
    """A heater counts on the phase of its circuit; one whose phase nobody knows counts on each."""
    circuits = tuple(Circuit(id=f"c{phase}", rated_a=20.0, phase=phase) for phase in (1, 2, 3))
    known = tuple(Heater(id=f"h{phase}", rated_w=2300, circuit=f"c{phase}") for phase in (1, 2, 3))
    unknown = Heater(id="anywhere", rated_w=1150)
    house = make_house(make_zone("room", *known, unknown), circuits=circuits, site={"phases": 3, "supply_cap_a": 16.0})
    supply = circuits_of(house).supply
    assert [each.id for each in supply] == ["supply phase 1", "supply phase 2", "supply phase 3"]
    assert [each.connected_a for each in supply] == [pytest.approx(15)] * 3


def test_without_a_cap_nobody_has_said_what_the_supply_allows() -> None:
    """Not "ok", but unknown."""
    (supply,) = circuits_of(house_of(*heaters(2, 1000))).supply
    assert (supply.verdict, supply.limit_a) == ("unknown", None)


def test_standing_loss_of_an_installation() -> None:
    """18 heaters of 3 W draw 473 kWh a year (18 x 3 x 8760 h); what the plate says counts before the assumption."""
    assert circuits_of(house_of(*heaters(18, 500))).standing_kwh_per_year == pytest.approx(473, abs=0.1)
    found = circuits_of(house_of(*heaters(2, 500, standby_w=0.5)))
    assert found.standing_kwh_per_year == pytest.approx(8.76)


def test_a_house_without_heaters() -> None:
    """No division, no fault: nothing is connected."""
    found = circuits_of(make_house(circuits=(RADIAL,)))
    assert (only(found).connected_a, only(found).sum) == (0, "no heaters")
    assert found.standing_kwh_per_year == 0


def test_sums_are_shown_and_the_electrician_decides() -> None:
    """Each figure has its formula and source; no answer goes out without the caution."""
    found = circuits_of(house_of(*heaters(3, 2000, circuit="radial"), circuit=RADIAL))
    lines = only(found).working
    assert [line.item for line in lines] == ["connected", "household custom", "guest-house custom", "held by ingle"]
    assert all(line.formula and line.source and line.unit == "A" for line in lines)
    assert any("competent electrician" in caution for caution in found.cautions)


plates = st.lists(st.floats(100, 6000), min_size=1, max_size=8)


@given(plates, st.floats(100, 6000))
def test_one_more_heater_never_draws_less(watts: list[float], another: float) -> None:
    """Connected, by either custom and held: none falls when a heater is added; custom never exceeds connected."""
    before, after = (
        circuits_of(
            house_of(*(Heater(id=f"h-{n}", rated_w=each) for n, each in enumerate(some)), supply_cap_a=40.0)
        ).supply[0]
        for some in (watts, [*watts, another])
    )
    for name in ("connected_a", "household_a", "guest_house_a", "capped_a"):
        assert getattr(before, name) <= getattr(after, name) + 1e-6
    assert after.household_a <= after.connected_a + 1e-6
    assert after.guest_house_a <= after.connected_a + 1e-6
