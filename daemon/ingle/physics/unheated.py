"""How warm spaces without heating are: each settles where as much heat comes in as goes out.

With conductances to surroundings of known temperature and among each other, the balances of all spaces together are
linear equations: for each space, Σ H (θ - θ_there) = 0. One space beside a room at θi and outdoors at θe stands at
θe + (θi-θe) H_iu / (H_iu + H_ue) (ISO 13789:2007, Annex B, formula of b).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

# Below this a space is joined to nothing, and any temperature would do [W/K].
_LEAST_W_PER_K = 1e-12


def unheated_temperatures(
    to_known: Sequence[Sequence[tuple[float, float]]], between: Mapping[tuple[int, int], float]
) -> list[float | None]:
    """Return how warm each space is [°C]; None for one that nothing of known temperature reaches.

    Parameters
    ----------
    to_known
        For each space its surroundings: conductance [W/K] and temperature [°C].
    between
        Conductance between two spaces, by their places [W/K].

    Examples
    --------
    A roof void: 30 m² of ceiling at 0.5 to a room at 20 °C, 40 W/K of roof and air to 0 °C: 20 x 15 / 55.

    >>> unheated_temperatures([[(15, 20), (40, 0)]], {})
    [5.454545454545454]

    A lobby behind a porch, 10 W/K each step from 20 to 0 °C, is a third of the way down.

    >>> [round(each, 2) for each in unheated_temperatures([[(10, 20)], [(10, 0)]], {(0, 1): 10})]
    [13.33, 6.67]
    """
    count = len(to_known)
    rows = [[0.0] * count + [0.0] for _ in range(count)]
    for place, surroundings in enumerate(to_known):
        rows[place][place] = sum(conductance for conductance, _ in surroundings)
        rows[place][count] = sum(conductance * there_c for conductance, there_c in surroundings)
    for (one, other), conductance in between.items():
        rows[one][one] += conductance
        rows[other][other] += conductance
        rows[one][other] -= conductance
        rows[other][one] -= conductance
    return _solved(rows)


def _solved(rows: list[list[float]]) -> list[float | None]:
    """Return the solution of a symmetric, diagonally dominant system, which needs no pivoting."""
    count = len(rows)
    free = set()
    for place in range(count):
        pivot = rows[place][place]
        if pivot <= _LEAST_W_PER_K:
            free.add(place)
            continue
        for below in range(place + 1, count):
            ratio = rows[below][place] / pivot
            if ratio:
                rows[below] = [mine - ratio * its for mine, its in zip(rows[below], rows[place], strict=True)]
    found: list[float | None] = [None] * count
    for place in reversed(range(count)):
        row = rows[place]
        joined = [(row[other], found[other]) for other in range(place + 1, count) if row[other]]
        if place in free or any(value is None for _, value in joined):
            continue
        found[place] = (row[count] - sum(factor * (value or 0.0) for factor, value in joined)) / row[place]
    return found
