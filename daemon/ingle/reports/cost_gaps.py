"""What keeps costs from being whole, in sentences: no tariff, no reading, prices that nobody gave."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, datetime

from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money import Stretch
from ingle.reports.use import Use

#: A heater that is known for less of the time is named.
_WHOLE = 0.98


def gaps(house: House, used: Sequence[Use], pieces: Sequence[Stretch], *, now: datetime) -> tuple[str, ...]:
    """Return what is missing from the costs of some stretches."""
    return (*_tariffs(house, pieces), *_energy(used, pieces, to_ms(now)))


def _tariffs(house: House, pieces: Sequence[Stretch]) -> Iterator[str]:
    without = sorted({piece.day for piece in pieces if piece.tariff is None})
    if not without:
        return
    if not house.tariffs:
        yield "the house has no tariff, so there is energy and no money"
        return
    first = min(tariff.start for tariff in house.tariffs)
    if without[0].isoformat() < first:
        yield f"no tariff covers {_days(without)}: the house's first begins on {first}"
    else:
        yield f"the tariff of {_days(without)} is in another currency and is left out"


def _energy(used: Sequence[Use], pieces: Sequence[Stretch], now_ms: int) -> Iterator[str]:
    wanted_s = (min(pieces[-1].end_ms, max(now_ms, pieces[0].start_ms)) - pieces[0].start_ms) / 1000
    if not used:
        yield "no heater stood there in this time"
    if wanted_s <= 0 or not used:
        return
    nothing = sorted({use.heater for use in used if use.covered_s == 0})
    if nothing:
        yield f"nothing is known of the energy of {', '.join(nothing)}"
    covered: dict[str, float] = defaultdict(float)
    for use in used:
        covered[use.heater] += use.covered_s
    partly: dict[str, list[str]] = defaultdict(list)
    for heater, known_s in sorted(covered.items()):
        if 0 < known_s < _WHOLE * wanted_s:
            partly[f"{known_s / wanted_s:.0%}"].append(heater)
    for share, heaters in partly.items():
        yield f"the energy of {', '.join(heaters)} is known for {share} of the time"


def _days(days: Sequence[date]) -> str:
    return str(days[0]) if len(days) == 1 else f"{len(days)} days from {days[0]} to {days[-1]}"
