"""Shares of a difference: exact, without a preferred order, nothing for what did not change."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import permutations
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ingle.money.shapley import shares

NAMES = ("a", "b", "c", "d")
PLACES = {name: 1 << place for place, name in enumerate(NAMES)}
WORTHS = st.lists(st.integers(-1000, 1000).map(Fraction), min_size=16, max_size=16)


def any_game(worths: list[Fraction]) -> Callable[[frozenset[Any]], Fraction]:
    """Return what each set of changes is worth: anything."""
    return lambda made: worths[sum(PLACES[name] for name in made)]


@given(WORTHS)
def test_shares_are_the_mean_over_all_orders(worths: list[Fraction]) -> None:
    """Told in each of the 24 orders one after another, a change adds on average exactly its share."""
    worth = any_game(worths)
    added = dict.fromkeys(NAMES, Fraction(0))
    for order in permutations(NAMES):
        for place, name in enumerate(order):
            added[name] += worth(frozenset(order[: place + 1])) - worth(frozenset(order[:place]))
    assert shares(NAMES, worth) == {name: total / 24 for name, total in added.items()}


@given(WORTHS)
def test_shares_add_up_to_the_difference(worths: list[Fraction]) -> None:
    """Exactly, whatever the game."""
    assert sum(shares(NAMES, any_game(worths)).values()) == worths[15] - worths[0]


@given(WORTHS, st.permutations(NAMES))
def test_the_order_of_asking_does_not_matter(worths: list[Fraction], order: list[str]) -> None:
    """The same shares, whichever change is named first."""
    assert shares(order, any_game(worths)) == shares(NAMES, any_game(worths))


@given(WORTHS)
def test_what_changes_nothing_gets_nothing(worths: list[Fraction]) -> None:
    """A change that never makes a difference has no share."""
    found = shares(NAMES, lambda made: worths[sum(PLACES[name] for name in made) & ~PLACES["b"]])
    assert found["b"] == 0
