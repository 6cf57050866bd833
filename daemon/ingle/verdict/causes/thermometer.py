"""A thermometer that is off, or in the wrong place.

Off: two thermometers of one room stay apart by the same amount day and night; what a heater puts on its own is taken
off first. In the wrong place: it rises within minutes when the heater goes on and falls as fast (``habits``), while
walls and air take hours: then it does not show the room, and no heat loss can be told from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from ingle.model.verdicts import Cause
from ingle.verdict.balance import RoomDays
from ingle.verdict.causes.case import Case
from ingle.verdict.habits import Following
from ingle.verdict.series import Floats

#: Hours that both must have reported.
LEAST_HOURS: Final = 72
#: Two sound thermometers in one room may differ by half a kelvin each, and by a draught; common practice [K].
APART_K: Final = 1.5
#: A heater's own hangs low and near its case, so a little more is ordinary [K].
APART_AT_HEATER_K: Final = 1.7
#: What a heater may put on a thermometer at once [K], how many standard errors it must be, and which share of all that
#: the heater does to it within hours. Light rooms with strong heaters reach 1.4 K and a quarter on an independent
#: simulator, so less proves nothing.
AT_ONCE_K: Final = 1.8
SURE: Final = 4.0
AT_ONCE_SHARE: Final = 0.3
#: Of two thermometers in one room, one that follows by so much more within a quarter of an hour hangs wrong [K].
MORE_K: Final = 1.5


def biased_sensor(case: Case) -> Iterator[Cause]:
    """Yield the thermometer that disagrees day and night alike with another, or with most others, of its room."""
    pairs = _pairs(case.room)
    if not pairs:
        return
    named = [name for pair in pairs for name in pair]
    suspect = max(dict.fromkeys(named), key=named.count)
    others = {first if second == suspect else second: off for (first, second), off in pairs.items()}
    off = float(np.median([-each if pair[1] == suspect else each for pair, each in pairs.items() if suspect in pair]))
    at_heater = any(name in case.room.heater_temps_c for name in named)
    if len(others) > 1:
        against = None
    elif at_heater:
        against = "Near the floor or at a cold wall a heater's own thermometer may really have it colder."
    else:
        against = (
            "Two places in a tall or draughty room may really differ; which of the two is off, only a third tells."
        )
    than = f"{'more' if off > 0 else 'less'} than {' and '.join(sorted(others))}"
    yield Cause(
        code="sensor-bias",
        probability=0.93 if len(others) > 1 else 0.9,
        evidence=f"{suspect} shows {abs(off):.1f} K {than}, day and night alike.",
        against=against,
        check_next="Lay them side by side with a thermometer you trust for an hour; enter the offset.",
    )


def _pairs(room: RoomDays) -> dict[tuple[str, str], float]:
    """Return the pairs of thermometers that always differ, with the first less the second [K]."""
    rows = {**room.sensors_c, **room.heater_temps_c}
    names = sorted(name for name, row in rows.items() if np.isfinite(row).sum() >= LEAST_HOURS)
    found = {}
    for first, second in ((a, b) for at, a in enumerate(names) for b in names[at + 1 :]):
        at_heater = first in room.heater_temps_c or second in room.heater_temps_c
        apart = _apart(rows[first] - rows[second], room, at_heater=at_heater)
        if apart is not None:
            found[first, second] = apart
    return found


def _apart(apart: Floats, room: RoomDays, *, at_heater: bool) -> float | None:
    """Return by how much two thermometers always differ [K], None where they do not.

    A heater warms its own thermometer: what goes with its power is taken off, with the heater cold as the reference.
    """
    rated = sum(heater.rated_w for heater in room.zone.heaters)
    good = np.isfinite(apart)
    if at_heater:
        good &= np.isfinite(room.hour_power_w)
    if good.sum() < LEAST_HOURS:
        return None
    apart = apart[good]
    if at_heater and rated > 0:
        share = room.hour_power_w[good] / rated
        if share.std() > 0.02:
            apart = apart - np.polyfit(share, apart, 1)[0] * share
    middle, scatter = float(np.median(apart)), float(np.quantile(apart, 0.95) - np.quantile(apart, 0.05))
    least = APART_AT_HEATER_K if at_heater else APART_K
    return middle if abs(middle) >= least and scatter < abs(middle) else None


def misplaced(room: RoomDays) -> dict[str, Following]:
    """Return the thermometers of a room that follow its heaters within minutes."""
    steadiest = min((each.soon_k for each in room.following.values()), default=0.0)
    return {
        name: each
        for name, each in room.following.items()
        if _at_once(each) or each.soon_k - steadiest >= max(MORE_K, SURE * each.spread_k)
    }


def _at_once(seen: Following) -> bool:
    least = max(AT_ONCE_K, SURE * seen.spread_k, AT_ONCE_SHARE * (seen.at_once_k + seen.slowly_k))
    return seen.at_once_k >= least


def withheld(room: RoomDays) -> list[str]:
    """Return why no heat loss can be told from a room's thermometer, where it hangs in the wrong place."""
    return [
        f"{name} follows the heater within minutes, so it shows the heater and not the room; move it first."
        for name in misplaced(room)
    ]


def misplaced_sensor(case: Case) -> Iterator[Cause]:
    """Yield each thermometer that shows the heater more than the room."""
    for name, each in misplaced(case.room).items():
        yield Cause(
            code="sensor-place",
            probability=round(min(0.97, 0.8 + 0.04 * each.soon_k), 3),
            evidence=f"{name} rises by {each.soon_k:.1f} K within minutes when the heater is wholly on and falls as "
            "fast when it goes off; air and walls of a room take hours.",
            against="A very small room with a strong fan heater comes near it.",
            check_next="Hang the thermometer on an inner wall about 1.5 m up, away from heaters, sun and draughts; "
            "a heater's own thermometer needs the offset that its maker gives, or a second one in the room.",
        )
