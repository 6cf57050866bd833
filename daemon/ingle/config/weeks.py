"""What programmes and calendars must agree on: times that do not collide."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from ingle.config.findings import Findings, Path
from ingle.model.house import House
from ingle.model.week import WEEKDAYS, Period, Programme, Weekday

DAY = 24 * 60
WEEK = 7 * DAY


class Stretch(NamedTuple):
    """A period laid out on the week's minutes; the end may lie in the next week."""

    start: int
    end: int
    path: Path


def check_weeks(house: House, findings: Findings) -> None:
    """Check programmes and calendars."""
    _check_programmes(house, findings)
    for index, calendar in enumerate(house.calendars):
        path: Path = ("calendar", index)
        if (calendar.file is None) == (calendar.url is None):
            value = calendar.url
            findings.add((*path, "url"), value, "exactly one of file and url", rests_on=[(*path, "file")])
        elif calendar.url is not None and not calendar.url.startswith(("http://", "https://")):
            findings.add((*path, "url"), calendar.url, "an address that starts with http:// or https://")


def minutes(text: str) -> int:
    """Return a clock time as minutes since midnight.

    >>> minutes("06:30"), minutes("24:00")
    (390, 1440)
    """
    hours, _, rest = text.partition(":")
    return int(hours) * 60 + int(rest)


def _check_programmes(house: House, findings: Findings) -> None:
    taken: dict[tuple[str, str], int] = {}
    stretches: dict[str, list[Stretch]] = defaultdict(list)
    for index, programme in enumerate(house.programmes):
        path: Path = ("programme", index)
        for place, period in enumerate(programme.periods):
            _check_period(period, (*path, "periods", place), findings)
        for place, day in enumerate(programme.days):
            first = taken.setdefault((programme.zone, day), index)
            if programme.days.index(day) != place:
                findings.add((*path, "days", place), day, "each day once")
            elif first != index:
                allowed = f"a day that no other programme of zone {programme.zone} has; programme[{first}] has it"
                zones: list[Path] = [("programme", each, "zone") for each in (first, index)]
                findings.add((*path, "days", place), day, allowed, rests_on=zones)
            else:
                stretches[programme.zone] += _laid_out(programme, day, path)
    for of_zone in stretches.values():
        _check_overlaps(of_zone, findings)


def _check_period(period: Period, path: Path, findings: Findings) -> None:
    if (period.level is None) == (period.temp_c is None):
        findings.add((*path, "level"), period.level, "exactly one of level and temp_c", rests_on=[(*path, "temp_c")])
    if period.start == "24:00":
        findings.add((*path, "from"), period.start, "00:00 to 23:59; a period may end at 24:00, not begin there")


def _laid_out(programme: Programme, day: Weekday, path: Path) -> Iterator[Stretch]:
    midnight = WEEKDAYS.index(day) * DAY
    for place, period in enumerate(programme.periods):
        where = (*path, "periods", place)
        if not (is_time(period.start) and is_time(period.end)):
            continue
        start, end = minutes(period.start), minutes(period.end)
        yield Stretch(midnight + start, midnight + end + (DAY if end <= start else 0), where)


def is_time(text: str) -> bool:
    """Whether text can be laid out; a time that was refused is kept as it came, and is left out here."""
    hours, colon, rest = text.partition(":")
    return bool(colon) and hours.isdecimal() and rest.isdecimal()


def _check_overlaps(stretches: list[Stretch], findings: Findings) -> None:
    for first, second in overlaps(stretches):
        _say_overlap(first, second, findings)


def overlaps(stretches: list[Stretch]) -> Iterator[tuple[Stretch, Stretch]]:
    """Yield stretches that share a minute, also across midnight and from Sunday into Monday; each pair once."""
    once = sorted(stretches)
    around = once + [Stretch(each.start + WEEK, each.end + WEEK, each.path) for each in once]
    said: set[frozenset[Path]] = set()
    latest = None
    for stretch in around:
        if latest is not None and stretch.start < latest.end and stretch.path != latest.path:
            pair = frozenset((stretch.path, latest.path))
            if pair not in said:
                said.add(pair)
                yield latest, stretch
        if latest is None or stretch.end > latest.end:
            latest = stretch


def _say_overlap(first: Stretch, second: Stretch, findings: Findings) -> None:
    day = WEEKDAYS[second.start // DAY % 7]
    at = clock(second.start)
    allowed = f"a period that begins when the one before has ended; on {day} it begins inside {place_of(first.path)}"
    rests_on: list[Path] = [(*each.path, key) for each in (first, second) for key in ("from", "to")]
    rests_on += [(*each.path[:2], key) for each in (first, second) for key in ("zone", "days")]
    findings.add((*second.path, "from"), at, allowed, rests_on=rests_on)


def place_of(path: Path) -> str:
    """Return the place of a period or rate as a person writes it."""
    return f"{path[0]}[{path[1]}].{path[2]}[{path[3]}]"


def clock(minute: int) -> str:
    """Return a minute of the week as a clock time."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"
