"""How much each of several changes had in a difference, without preferring any order of telling them.

Told one after another, changes share a difference out exactly, but what each gets depends on the order: a dearer
kilowatt-hour costs more after the cold snap than before it. The mean over all orders does not, and still adds up
exactly; it gives nothing to what did not change, and the opposite when both sides are swapped.

References
----------
Shapley L. S., A value for n-person games, Contributions to the Theory of Games II, 1953, 307-317.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from math import factorial
from typing import TypeVar

Name = TypeVar("Name", bound=Hashable)


def shares(names: Sequence[Name], worth: Callable[[frozenset[Name]], Fraction]) -> Mapping[Name, Fraction]:
    """Return each change's share of the difference between all changes made and none.

    Parameters
    ----------
    names
        The changes, a dozen at most: every set of them is looked at once.
    worth
        What the result is when these have happened and the others have not.

    Examples
    --------
    >>> area = lambda made: Fraction(3 if "wide" in made else 2) * (7 if "high" in made else 5)
    >>> {name: str(share) for name, share in shares(["wide", "high"], area).items()}  # 2·5 becomes 3·7
    {'wide': '6', 'high': '5'}
    """
    worths = {
        frozenset(made): worth(frozenset(made)) for size in range(len(names) + 1) for made in combinations(names, size)
    }
    return {name: _share(name, names, worths) for name in names}


def _share(name: Name, names: Sequence[Name], worths: Mapping[frozenset[Name], Fraction]) -> Fraction:
    count = len(names)
    total = Fraction(0)
    for made, before in worths.items():
        if name not in made:
            orders = factorial(len(made)) * factorial(count - len(made) - 1)
            total += Fraction(orders, factorial(count)) * (worths[made | {name}] - before)
    return total
