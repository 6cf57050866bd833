"""The steps between two bills: they add up exactly, favour no order, and each finds the change that it is named for."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.money.steps import CODES, Account, Rooms, known, steps

GAINS_K = 3.0
WINTER = Account(
    days=30,
    kwh=Decimal("1200.00"),
    money=Decimal("381.00"),
    standing=Decimal("0.70"),
    heaters_kwh=900.0,
    outdoor_c=(4.0, 6.0, 2.0, 8.0),
    rooms=Rooms(warm_c=20.0, cool_c=16.0, share=0.5),
    loss_w_per_k=125.0,
)

hundredths = st.integers(0, 500_000).map(lambda each: Decimal(each) / 100)
temps = st.floats(-15, 30).map(lambda each: round(each, 2))
accounts = st.builds(
    Account,
    days=st.integers(1, 400),
    kwh=hundredths,
    money=st.none() | hundredths,
    standing=st.integers(0, 200).map(lambda each: Decimal(each) / 100),
    heaters_kwh=st.none() | st.floats(0, 5000),
    outdoor_c=st.lists(temps, max_size=5).map(tuple),
    rooms=st.none() | st.builds(Rooms, warm_c=st.floats(15, 25), cool_c=st.floats(7, 20), share=st.floats(0, 1)),
    loss_w_per_k=st.none() | st.floats(0, 500),
)


def money(before: Account, after: Account) -> dict[str, Decimal]:
    """Return the steps that are not zero."""
    found = {step.code: step.money for step in steps(before, after, GAINS_K)}
    return {code: each for code, each in found.items() if each}


def kwh(before: Account, after: Account) -> dict[str, Decimal]:
    """Return the steps of energy that are not zero."""
    return {step.code: step.kwh for step in steps(before, after, GAINS_K) if step.kwh}


@given(accounts, accounts)
def test_steps_add_up_exactly(before: Account, after: Account) -> None:
    """To the hundredth, for any two bills, whatever is known of them; unexplained is a step like the others."""
    found = steps(before, after, GAINS_K)
    assert tuple(step.code for step in found) == CODES
    assert sum(step.kwh for step in found) == after.kwh - before.kwh
    if before.money is not None and after.money is not None:
        assert sum(step.money or Decimal(0) for step in found) == after.money - before.money
    else:
        assert all(step.money is None for step in found)


@given(accounts)
def test_a_bill_beside_itself_has_no_steps(account: Account) -> None:
    """No difference: every step is zero."""
    assert all(not step.kwh and not step.money for step in steps(account, account, GAINS_K))


@given(accounts, accounts)
def test_swapping_the_bills_turns_every_step_round(before: Account, after: Account) -> None:
    """What made one bill higher makes the other lower by as much, to the last hundredth's rounding."""
    there, back = steps(before, after, GAINS_K), steps(after, before, GAINS_K)
    for one, other in zip(there, back, strict=True):
        assert abs(one.kwh + other.kwh) <= Decimal("0.01")
        assert abs((one.money or 0) + (other.money or 0)) <= Decimal("0.01")


def test_a_longer_bill_is_days_alone() -> None:
    """35 days at the same use a day as 28 are seven days' money, and nothing else."""
    short = replace(WINTER, days=28, kwh=Decimal(1120), heaters_kwh=840.0, money=Decimal("355.60"))
    long = replace(WINTER, days=35, kwh=Decimal(1400), heaters_kwh=1050.0, money=Decimal("444.50"))
    assert money(short, long) == {"days": Decimal("88.90")}
    assert kwh(short, long) == {"days": Decimal("280.00")}


def test_a_dearer_kilowatt_hour_is_price_alone() -> None:
    """3 p more on 1200 kWh are 36.00."""
    assert money(WINTER, replace(WINTER, money=Decimal("417.00"))) == {"price": Decimal("36.00")}
    assert kwh(WINTER, replace(WINTER, money=Decimal("417.00"))) == {}


def test_a_higher_standing_charge_is_price() -> None:
    """10 p more a day, the same unit price: 3.00 in 30 days."""
    dearer = replace(WINTER, standing=Decimal("0.80"), money=Decimal("384.00"))
    assert money(WINTER, dearer) == {"price": Decimal("3.00")}


def test_other_load_is_what_the_heaters_did_not_take() -> None:
    """90 kWh more of anything but heaters, at 30 p."""
    more = replace(WINTER, kwh=Decimal("1290.00"), money=Decimal("408.00"))
    assert money(WINTER, more) == {"other-load": Decimal("27.00")}


#: Worked by hand: inside 18 °C, base 15 °C, 10 degree days a day; 125 W/K x 10 x 0.024 = 30 kWh a day, 900 in 30 days.
#: 360 of these cost 30 p: (381 - 30 x 0.7) / 1200 = 0.30.
@pytest.mark.parametrize(
    ("code", "changed", "degree_days", "loss"),
    [
        ("weather", {"outdoor_c": (2.0, 4.0, 0.0, 6.0)}, 12.0, 125.0),
        ("warmer", {"rooms": Rooms(warm_c=22.0, cool_c=18.0, share=0.5)}, 12.0, 125.0),
        ("longer", {"rooms": Rooms(warm_c=20.0, cool_c=16.0, share=0.75)}, 11.0, 125.0),
        ("loss", {"loss_w_per_k": 150.0}, 10.0, 150.0),
    ],
)
def test_each_cause_alone_is_found_whole(code: str, changed: dict[str, Any], degree_days: float, loss: float) -> None:
    """A colder month, warmer rooms, longer hours, a leakier house: the whole difference is the step of that name."""
    heat = Decimal(str(loss * degree_days * 0.024 * 30))
    more = heat - 900
    after = replace(
        WINTER,
        **changed,
        kwh=WINTER.kwh + more,
        heaters_kwh=float(heat),
        money=Decimal("381.00") + more * Decimal("0.3"),
    )
    assert kwh(WINTER, after) == {code: more}
    assert money(WINTER, after) == {code: more * Decimal("0.3")}


def test_a_temperature_without_hours_is_no_change() -> None:
    """Never at the occupied level before, half the time after: it is longer hours, not warmer rooms."""
    before = replace(WINTER, rooms=Rooms(warm_c=None, cool_c=16.0, share=0.0))
    assert set(kwh(before, WINTER)) == {"longer", "unexplained"}
    assert kwh(before, WINTER)["longer"] > 0


def test_two_causes_at_once_share_what_they_do_together() -> None:
    """A fifth more degree days at a price a tenth higher: each gets its own, and half of what both make together.

    Energy 900 to 1080 kWh of heat; price 0.30 to 0.33. Colder first: 180 x 0.30 = 54.00, then 1380 x 0.03 = 41.40;
    dearer first: 1200 x 0.03 = 36.00, then 180 x 0.33 = 59.40. The means are 56.70 and 38.70.
    """
    after = replace(
        WINTER,
        outdoor_c=(2.0, 4.0, 0.0, 6.0),
        kwh=Decimal(1380),
        heaters_kwh=1080.0,
        money=Decimal("21.00") + Decimal(1380) * Decimal("0.33"),
    )
    assert money(WINTER, after) == {"weather": Decimal("56.70"), "price": Decimal("38.70")}


def test_what_is_not_known_on_both_sides_is_unexplained() -> None:
    """Without outdoor readings the cold cannot be told: the heaters' increase has no other name."""
    more = {"kwh": Decimal(1380), "heaters_kwh": 1080.0, "money": Decimal("435.00")}
    after = replace(WINTER, outdoor_c=(), **more)
    assert known(WINTER, after)._asdict() == {
        "money": True,
        "heaters": True,
        "outdoor": False,
        "rooms": False,
        "loss": False,
    }
    assert money(WINTER, after) == {"unexplained": Decimal("54.00")}
    assert money(replace(WINTER, heaters_kwh=None), replace(after, outdoor_c=WINTER.outdoor_c)) == {
        "unexplained": Decimal("54.00")
    }


def test_without_a_loss_on_both_sides_one_is_taken_for_both() -> None:
    """Colder by a fifth, the heaters took a fifth more: one coefficient explains both, nothing is left over."""
    before = replace(WINTER, loss_w_per_k=None)
    after = replace(
        before, outdoor_c=(2.0, 4.0, 0.0, 6.0), kwh=Decimal(1380), heaters_kwh=1080.0, money=Decimal("435.00")
    )
    assert money(before, after) == {"weather": Decimal("54.00")}


def test_a_bill_of_nothing_used_is_its_standing_charge() -> None:
    """No kilowatt-hour has no price: what was asked for is a charge by the day."""
    empty = Account(days=30, kwh=Decimal(0), money=Decimal("21.00"), standing=Decimal("0.70"))
    fuller = Account(days=30, kwh=Decimal(0), money=Decimal("24.00"), standing=Decimal("0.70"))
    assert money(empty, fuller) == {"price": Decimal("3.00")}
