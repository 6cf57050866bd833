"""A room among the house's other rooms: what they tell of the error that all share.

The logarithm u of metered over design is wrong in every room for reasons of its own (people, the room's thermometer,
its own part of the survey) and for reasons all rooms share: the outdoor thermometer, wind nobody measures, the
surveyor's habits. The other rooms' u tell the shared part. Conditioning one normal on others does the sum:

    error of room i, given the others:  mean = kᵀ u,  variance = V_ii + s² - kᵀ c,  k = S⁻¹ c

with ``V`` the covariance of the estimates with the rooms' own design errors on its diagonal, ``s`` the shared error,
``c`` its covariance with the others and ``S`` theirs. Whether a whole house takes more or is only surveyed wrongly
cannot be told from its rooms alone, so three readings of the same figures are weighed by how well they fit: a usual
shared error; a survey wrong everywhere; a house that does take more or less in every room.

A room that stands out itself does not speak for the rest. References: Gelman et al., Bayesian Data Analysis, 3rd
edition, chapter 5 (hierarchical models); Anderson, An Introduction to Multivariate Statistical Analysis, section 2.5.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import erfc, log, sqrt
from typing import Final, NamedTuple

import numpy as np

from ingle.verdict.estimate import t_quantile
from ingle.verdict.prior import RoomPrior
from ingle.verdict.series import Floats
from ingle.verdict.system import Estimate

#: Fewer other rooms than this say nothing of what all share.
LEAST_OTHERS: Final = 2
#: Another room speaks for the house once it is known to this (standard error of u).
KNOWN: Final = 0.20
#: A room further off the others' middle than this many standard errors does not speak for them.
OUTLYING: Final = 2.5


class _Story(NamedTuple):
    """One reading of a house: its weight, the error all rooms share, what all rooms truly take more."""

    weight: float
    shared: float
    truly: float


#: From common practice: surveys agree to some 2 % over a house, one in ten is off by some 10 % everywhere, one in ten
#: houses is truly unlike its survey.
_STORIES: Final = (_Story(0.80, 0.02, 0.0), _Story(0.10, 0.10, 0.0), _Story(0.10, 0.02, 0.30))
#: For the plain comparison with the house everything shared is set aside.
_APART: Final = (_Story(1.0, 0.30, 0.0),)


@dataclass(frozen=True, slots=True)
class Standing:
    """What is believed of the logarithm of a room's metered over design: normals with their weights."""

    parts: tuple[tuple[float, float, float], ...]

    @property
    def middle(self) -> float:
        """Its mean."""
        return sum(weight * mean for weight, mean, _ in self.parts)

    @property
    def spread(self) -> float:
        """Its standard deviation."""
        square = sum(weight * (spread**2 + mean**2) for weight, mean, spread in self.parts)
        return sqrt(max(square - self.middle**2, 1e-12))

    def beyond(self, x: float) -> float:
        """Return the chance that it exceeds x.

        >>> round(Standing(((1.0, 0.2, 0.1),)).beyond(0.2), 3)
        0.5
        """
        return sum(weight * erfc((x - mean) / spread / sqrt(2)) / 2 for weight, mean, spread in self.parts)


@dataclass(frozen=True, slots=True)
class _House:
    """Logarithms of metered over design, and the covariance of their errors."""

    names: tuple[str, ...]
    u: Floats
    cov: Floats


def relative_spread(found: Estimate) -> float:
    """Return an estimate's standard error as a share, widened for days so few that their scatter is hardly known."""
    return found.relative_error * t_quantile(found.freedom) / 1.96


def alone(found: Estimate, prior: RoomPrior) -> Standing:
    """Return a room's standing by itself."""
    own = sqrt(relative_spread(found) ** 2 + prior.design_spread**2)
    return Standing(((1.0, log(found.loss_w_per_k / prior.loss_w_per_k), own),))


def among(found: Mapping[str, Estimate], priors: Mapping[str, RoomPrior]) -> tuple[dict[str, Standing], ...]:
    """Return each room's standing against its design, told with the others' help, and that against the house alone.

    Rooms without enough others are judged alone, and have no place in the second.
    """
    house = _house({name: each for name, each in found.items() if each.loss_w_per_k > 0}, priors)
    against_design, against_house = {}, {}
    for at, name in enumerate(house.names):
        others = _speaking(house, at)
        if len(others) < LEAST_OTHERS:
            against_design[name] = alone(found[name], priors[name])
            continue
        against_design[name] = _told(house, at, others, _STORIES)
        against_house[name] = _told(house, at, others, _APART)
    return against_design, against_house


def _house(found: Mapping[str, Estimate], priors: Mapping[str, RoomPrior]) -> _House:
    names = tuple(found)
    u = np.array([log(found[name].loss_w_per_k / priors[name].loss_w_per_k) for name in names])
    cov = np.zeros((len(names), len(names)))
    for i, name in enumerate(names):
        cov[i, i] = relative_spread(found[name]) ** 2 + priors[name].design_spread ** 2
        for j, other in enumerate(names[:i]):
            both = found[name].shared.get(other, 0.0) / (found[name].loss_w_per_k * found[other].loss_w_per_k)
            cov[i, j] = cov[j, i] = both
    return _House(names, u, cov)


def _speaking(house: _House, at: int) -> list[int]:
    """Return the other rooms that are known well and do not stand out themselves."""
    spread = np.sqrt(np.diag(house.cov))
    others = [each for each in range(len(house.names)) if each != at and spread[each] < KNOWN]
    if len(others) <= LEAST_OTHERS:
        return others
    middle = float(np.median(house.u[others]))
    return [each for each in others if abs(house.u[each] - middle) < OUTLYING * spread[each]]


def _told(house: _House, at: int, others: list[int], stories: tuple[_Story, ...]) -> Standing:
    heard, own = house.u[others], house.cov[at, at]
    between, alike = house.cov[np.ix_(others, others)], house.cov[at, others]
    parts, fits = [], []
    for story in stories:
        s = between + (story.shared**2 + story.truly**2)
        inverse = np.linalg.inv(s)
        c = alike + story.shared**2
        k = inverse @ c
        fits.append(log(story.weight) - 0.5 * float(heard @ inverse @ heard + np.linalg.slogdet(s)[1]))
        parts.append((house.u[at] - float(k @ heard), sqrt(max(own + story.shared**2 - float(k @ c), 1e-6))))
    weights = np.exp(np.array(fits) - max(fits))
    weights /= weights.sum()
    return Standing(tuple((float(w), float(m), s) for w, (m, s) in zip(weights, parts, strict=True)))
