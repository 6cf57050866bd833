"""Why a bill is higher, from a record whose causes are known: each is found by its own name, nothing is made up."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from ingle.errors import BadInput, Unknown
from ingle.model.bills import Bill, BillWhy
from ingle.model.instants import to_ms
from ingle.model.verdicts import Assessment, Change, ZoneVerdict
from ingle.reports.bill_why import why
from ingle.store import bills, events, verdicts
from ingle.store.connect import open_writer
from reports.lived import DAY, FIRST, HOUSE, SECOND, World


@pytest.fixture(name="world")
def _world(tmp_path: Path) -> Iterator[World]:
    link = open_writer(tmp_path / "ingle.db")
    link.execute("BEGIN IMMEDIATE")
    yield World(link)
    link.undo()
    link.close()


def shares(found: BillWhy) -> dict[str, float]:
    """Return each step's part of the difference, those under a hundredth left out."""
    whole = Decimal(found.difference or "nan")
    assert sum(Decimal(step.money or "nan") for step in found.steps) == whole
    assert sum(Decimal(str(step.kwh)) for step in found.steps) == pytest.approx(Decimal(str(found.difference_kwh)))
    parts = {step.code: float(Decimal(step.money or "nan") / whole) for step in found.steps}
    return {code: share for code, share in parts.items() if abs(share) > 0.01}


@pytest.mark.parametrize(
    ("code", "how", "told"),
    [
        ("price", {"per_kwh": "0.36"}, "0.3600 instead of 0.3000"),
        ("weather", {"outdoor_c": lambda day: 1.0 + day % 3}, "colder: 2.0 °C outdoors instead of 7.0"),
        (
            "warmer",
            {"warm_c": 23.0},
            "23.0 °C instead of 20.0 in their occupied hours, 16.0 instead of 16.0 outside of them",
        ),
        ("longer", {"hours": 14}, "14.0 h a day at the occupied level instead of 8.0"),
        ("other-load", {"other_kwh": 14.0}, "14.0 kWh a day instead of 8.0"),
    ],
)
def test_each_cause_is_found_by_its_name(world: World, code: str, how: dict[str, Any], told: str) -> None:
    """With one thing changed, its step is the whole difference, and its sentence has both figures."""
    world.period(FIRST, 27)
    world.period(SECOND, 27, **how)
    found = world.why()
    assert shares(found) == {code: pytest.approx(1.0, abs=0.02)}
    assert told in next(step.sentence for step in found.steps if step.code == code)
    assert found.order == "averaged over all orders"


def test_a_longer_bill_is_not_a_higher_one(world: World) -> None:
    """27 days and 36 of the same life: all of it is days, and the sentence says no change."""
    world.period(FIRST, 27)
    world.period(SECOND, 36)
    found = world.why()
    assert shares(found) == {"days": pytest.approx(1.0, abs=0.02)}
    assert "no change; the longer bill has 36 days, the other 27" in found.sentence


def test_a_leak_without_verdicts_is_unexplained(world: World) -> None:
    """Rooms lose a third more, and nobody noted verdicts: nothing known explains most of it, and that is said."""
    world.period(FIRST, 27)
    world.period(SECOND, 27, leak=1.33)
    found = world.why()
    assert shares(found) == {"unexplained": pytest.approx(1.0, abs=0.02)}
    assert any("no verdicts were kept" in said for said in found.missing)


def noted(world: World, at: datetime, half_width: float, **rooms: float) -> None:
    """Note verdicts as the night's job does."""
    zones = {
        zone: {"verdict": "as-designed", "w_per_k": w, "low_w_per_k": w - half_width, "high_w_per_k": w + half_width}
        for zone, w in rooms.items()
    }
    events.record(world.conn, to_ms(at), "verdicts", "", {"zones": zones})


def test_a_leak_that_verdicts_know_of_is_loss(world: World) -> None:
    """The loft was noted at 80 W/K and later at 120: its part of the bill is the step of that name."""
    world.period(FIRST, 27)
    world.period(SECOND, 27, leak=4 / 3)
    noted(world, FIRST + 26 * DAY, 5.0, loft=80.0, hall=40.0)
    noted(world, SECOND + 26 * DAY, 5.0, loft=106.7, hall=53.3)
    found = world.why()
    assert shares(found) == {"loss": pytest.approx(1.0, abs=0.02)}
    assert "Loft 80 to 107 W/K" in next(step.sentence for step in found.steps if step.code == "loss")


def looked(world: World, at: datetime, past: Change | None) -> None:
    """Keep a look at the house's verdicts over all its days, in which the loft's past shows a change or none."""
    rooms = [
        ZoneVerdict(
            id=zone,
            name=zone.title(),
            design_w_per_k=w_per_k,
            design_low_w_per_k=w_per_k,
            design_high_w_per_k=w_per_k,
            measured_w_per_k=w_per_k,
            low_w_per_k=w_per_k - 5,
            high_w_per_k=w_per_k + 5,
            probability=0.9,
            verdict="as-designed",
            causes=(),
            days_used=40,
            missing=(),
            possible_from=None,
            metered_kwh=None,
            expected_kwh=None,
            against_past=past if zone == "loft" else None,
        )
        for zone, w_per_k in (("loft", 93.0), ("hall", 40.0))
    ]
    assessment = Assessment(
        start=FIRST.isoformat(),
        end=at.isoformat(),
        design_version="d",
        method="m",
        method_version=1,
        zones=tuple(rooms),
    )
    verdicts.save(world.conn, assessment, t_ms=to_ms(at), digest="h")


@pytest.mark.parametrize(("since", "share"), [("2026-01-29", 1.0), ("2026-01-15", 0.5), ("2025-12-01", 0.0)])
def test_a_change_in_a_rooms_past_is_loss_from_its_date_on(world: World, since: str, share: float) -> None:
    """Found with its date by a kept look: all of it where it fell between the bills, half where it was in the first."""
    world.period(FIRST, 28)
    world.period(SECOND, 28, leak=1.25)
    past = Change(since=since, before_w_per_k=80.0, after_w_per_k=110.0, low=1.2, high=1.5, probability=0.99)
    looked(world, SECOND + 27 * DAY, past)
    found = world.why()
    # 30 W/K x 24 h x 28 d x (17.333 - 3 - 7 K, the mean of the second weeks' outdoors)
    whole = 30 * 0.024 * 28 * (17 + 1 / 3 - 3 - (6 * 10 + 7 * 9 + 8 * 9) / 28)
    step = next(step for step in found.steps if step.code == "loss")
    assert step.kwh == pytest.approx(share * whole, rel=0.02, abs=0.1)
    assert ("Loft" in step.sentence) == (share > 0)
    assert not any("verdicts" in said for said in found.missing)


def test_a_change_that_is_not_sure_is_no_loss(world: World) -> None:
    """A look that is 80 % sure of a change makes no step of it."""
    world.period(FIRST, 28)
    world.period(SECOND, 28)
    past = Change(since="2026-01-29", before_w_per_k=80.0, after_w_per_k=90.0, low=0.9, high=1.4, probability=0.8)
    looked(world, SECOND + 27 * DAY, past)
    assert next(step for step in world.why().steps if step.code == "loss").kwh == 0


def test_what_chance_does_to_verdicts_is_no_loss(world: World) -> None:
    """84 W/K beside 80, each give or take 10, is the same room: there is no step of loss in a colder month."""
    world.period(FIRST, 27)
    world.period(SECOND, 27, outdoor_c=lambda day: 1.0 + day % 3)
    noted(world, FIRST + 26 * DAY, 10.0, loft=80.0, hall=40.0)
    noted(world, SECOND + 26 * DAY, 10.0, loft=84.0, hall=39.0)
    assert shares(world.why()) == {"weather": pytest.approx(1.0, abs=0.02)}


def test_what_nobody_recorded_is_unexplained(world: World) -> None:
    """Bills from before ingle came: only days and price can be told, and everything that is missing is named."""
    for start, kwh, money in (("2024-01-01", 900.0, "300.00"), ("2024-02-01", 1200.0, "420.00")):
        end = (datetime.fromisoformat(start) + 28 * DAY).date().isoformat()
        bill = Bill(start=start, end=end, kwh=kwh, money=money, currency="GBP", estimated_read=True)
        world.numbers.append(bills.add(world.conn, bill).number)
    found = world.why()
    assert set(shares(found)) == {"price", "unexplained"}
    assert [said for said in found.missing if "counters are known for 0%" in said]
    assert [said for said in found.missing if "no tariff covers bill 1" in said]
    assert [said for said in found.missing if "estimated reading" in said]


def test_meters_read_by_hand_have_steps_of_energy(world: World) -> None:
    """No amount, no steps of money; the energy is still told apart."""
    world.period(FIRST, 27)
    world.period(SECOND, 27, other_kwh=14.0)
    for number, bill in bills.every(world.conn):
        plain = Bill(start=bill.start, end=bill.end, kwh=bill.kwh, kind="meter")
        bills.replace(world.conn, number, plain)
    found = world.why()
    assert (found.difference, found.currency, {step.money for step in found.steps}) == (None, None, {None})
    other = next(step for step in found.steps if step.code == "other-load")
    assert other.kwh == pytest.approx(27 * 6, abs=0.1)


def test_the_bill_before_is_what_it_is_compared_with(world: World) -> None:
    """Without another named it is the newest that ended before; the first of all has none."""
    world.period(FIRST, 27)
    world.period(SECOND, 27)
    assert why(world.conn, HOUSE, world.numbers[1]).from_bill == world.numbers[0]
    with pytest.raises(Unknown, match="no bill before"):
        why(world.conn, HOUSE, world.numbers[0])


def test_bills_that_cannot_be_compared_are_refused(world: World) -> None:
    """With itself, in another currency, or not there."""
    world.period(FIRST, 27)
    world.period(SECOND, 27)
    first, second = world.numbers
    with pytest.raises(BadInput, match="another bill"):
        why(world.conn, HOUSE, second, second)
    with pytest.raises(Unknown, match="no bill 99"):
        why(world.conn, HOUSE, second, 99)
    bills.replace(
        world.conn,
        first,
        Bill(start="2026-01-01", end="2026-01-28", kwh=1.0, money="1.00", currency="EUR"),
    )
    with pytest.raises(BadInput, match="a bill in GBP"):
        why(world.conn, HOUSE, second, first)
