"""What tariffs must agree on: dates that exist, windows that do not collide, one rate for the rest of the day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Final

from ingle.config.findings import Findings, Path
from ingle.config.weeks import DAY, Stretch, clock, is_time, minutes, overlaps, place_of
from ingle.errors import BadInput, Fault
from ingle.model.house import House
from ingle.model.tariff import Rate, Tariff
from ingle.model.week import WEEKDAYS

#: How many tariffs may be tried beside the house's own at once.
MOST_TRIED: Final = 8


def check_tariffs(house: House, findings: Findings) -> None:
    """Check a house's tariffs."""
    seen: dict[str, int] = {}
    for index, tariff in enumerate(house.tariffs):
        path: Path = ("tariff", index)
        try:
            date.fromisoformat(tariff.start)
        except ValueError:
            findings.add((*path, "from"), tariff.start, "a date that exists, YYYY-MM-DD")
        if seen.setdefault(tariff.start, index) != index:
            findings.add((*path, "from"), tariff.start, f"another date than tariff[{seen[tariff.start]}]")
        _check_rates(tariff.rates, path, findings)


def _check_rates(rates: tuple[Rate, ...], path: Path, findings: Findings) -> None:
    """Check that windows do not collide on their clock, and that one rate at most holds for the rest of a day."""
    always: dict[str, int] = {}
    windows: dict[str, list[Stretch]] = defaultdict(list)
    for index, rate in enumerate(rates):
        where = (*path, "rates", index)
        _check_days(rate, where, findings)
        if (rate.start is None) != (rate.end is None):
            missing = "from" if rate.start is None else "to"
            findings.add((*where, missing), None, "from and to together", rests_on=[(*where, "from"), (*where, "to")])
        elif rate.start is None or rate.end is None:
            _check_always(rate, index, always, path, findings)
        elif is_time(rate.start) and is_time(rate.end):
            windows[rate.clock] += _laid_out(rate, rate.start, rate.end, where)
    for of_clock in windows.values():
        for first, second in overlaps(of_clock):
            allowed = f"a window that begins when the one before has ended; it begins inside {place_of(first.path)}"
            rests_on = [(*each.path, key) for each in (first, second) for key in ("from", "to", "days")]
            findings.add((*second.path, "from"), clock(second.start), allowed, rests_on=rests_on)


def _check_days(rate: Rate, where: Path, findings: Findings) -> None:
    for place, day in enumerate(rate.days):
        if rate.days.index(day) != place:
            findings.add((*where, "days", place), day, "each day once")


def _check_always(rate: Rate, index: int, always: dict[str, int], path: Path, findings: Findings) -> None:
    """Check that no other rate without a window holds on the same days; one for every day may stand beside them."""
    for day in rate.days or ("every day",):
        first = always.setdefault(day, index)
        if first != index:
            allowed = f"from and to; rates[{first}] already holds for the rest of the day"
            rests_on: list[Path] = [(*path, "rates", first, "from"), (*path, "rates", first, "days")]
            findings.add((*path, "rates", index, "from"), None, allowed, rests_on=rests_on)
            return


def _laid_out(rate: Rate, start_text: str, end_text: str, path: Path) -> Iterator[Stretch]:
    """Lay a window out on the minutes of a week; it may end on the day after that on which it began."""
    start, end = minutes(start_text) % DAY, minutes(end_text)
    for day in rate.days or WEEKDAYS:
        midnight = WEEKDAYS.index(day) * DAY if day in WEEKDAYS else 0
        yield Stretch(midnight + start, midnight + end + (DAY if end <= start else 0), path)


def check_tried(document: object, source: str = "") -> tuple[Tariff, ...]:
    """Return the tariffs of a document that holds nothing else, checked as a house file's.

    Raises
    ------
    BadInput
        With every fault, by its place.
    """
    allowed = f"a list of 1 to {MOST_TRIED} tariffs, each as in a house file"
    if not isinstance(document, dict):
        raise BadInput([Fault(("tariff",), document, allowed, source)])
    others = [Fault((key,), value, "nothing but tariff", source) for key, value in document.items() if key != "tariff"]
    given = document.get("tariff")
    if not isinstance(given, list) or not 1 <= len(given) <= MOST_TRIED:
        raise BadInput([*others, Fault(("tariff",), given, allowed, source)])
    if others:
        raise BadInput(others)
    # Imported here, for house files are checked with what stands above.
    from ingle.config.house import check_house  # noqa: PLC0415 - as just said

    dates = [{**each, "from": f"{2000 + n}-01-01"} if isinstance(each, dict) else each for n, each in enumerate(given)]
    return check_house({"house": {"name": "tried", "outdoor_design_c": 0}, "tariff": dates}, source).tariffs
