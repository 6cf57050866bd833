"""A result that cannot be right, heaters that no room would take, and rooms too cold for those who live there."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from ingle.design import usual
from ingle.design.beyond import LEAST_DIFFERENCE_K
from ingle.design.culprit import Culprit, culprit
from ingle.design.oddity import Look, nearest
from ingle.design.sheet import tidy
from ingle.design.slips import Correction, likely
from ingle.design.usual import Usual
from ingle.model.design import Finding
from ingle.model.devices import Heater
from ingle.model.house import Zone

# What one room heater commonly gives at most from a socket-sized place [W] (common practice).
_COMMON_HEATER_W = 2000.0
# A room takes a heater for each stretch of wall; more than one for every so many square metres, it does not.
_MOST_FREELY, _M2_PER_HEATER = 3, 4.0
# Nobody counts beyond this; it keeps a plate of almost nothing from becoming an infinity.
_BEYOND_COUNT = 1e9
# Plates of room heaters [W] (common practice; IEC 60335-2-30 covers up to what a house's supply can carry).
_PLATE_W = Usual(50.0, 9000.0, "plates of room heaters")
_PLATE_SLIPS: tuple[Correction, ...] = (
    ("kilowatts for watts", lambda value: value * 1000),
    ("a decimal point in the wrong place", lambda value: value * 10),
    ("a decimal point in the wrong place", lambda value: value / 10),
)
# Living below 18 °C harms the old, the ill and the very young (WHO Housing and health guidelines, 2018).
SAFE_C = 18.0


def result(look: Look) -> Iterator[Finding]:
    """Yield the finding of a load that is unusual for the room's age and use, with the slip that would explain it."""
    room, zone = look.room, look.zone
    if room.full_k < LEAST_DIFFERENCE_K or room.heat_loss_w_per_k <= 0 or _inner(look):
        return
    area = look.floor_m2
    per_area = usual.w_per_m2(look.built, zone.use, area, room.full_k)
    fits = Usual(area * per_area.low, area * per_area.high, per_area.source)
    side = fits.side(room.steady_w)
    if not side:
        return
    yield _result(look, fits, side, culprit(look, fits))


def _inner(look: Look) -> bool:
    """Return whether a room has nothing to outside, so that no range fits it."""
    return look.room.given_w_per_k is None and not any(not piece.link for piece in look.room.pieces)


def _result(look: Look, fits: Usual, side: str, found: Culprit | None) -> Finding:
    room, zone = look.room, look.zone
    area, now = look.floor_m2, room.heat_loss_w
    age = "" if look.built is None else f" of {look.built}"
    says = (
        f"{room.steady_w / area:.0f} W/m² without reheat ({room.heat_loss_w_per_k / area:.2f} W/K per m² floor) is far "
        f"{side} the usual {fits.low / area:.0f} to {fits.high / area:.0f} W/m² of {usual.a_room(zone.use)}{age}"
        f"{_would_take(look, side)}"
    )
    limit = nearest(room.steady_w, fits)
    then = limit + room.reheat_w if found is None else found.then_w
    tail = f"the load would be {then:.0f} W instead of {now:.0f} W."
    guess = f"; check areas and U-values: at the nearest usual value {tail}"
    if found is not None:
        suspect = found.suspect
        guess = f": {found.slip.words} in {suspect.name}? With {found.slip.meant:.4g} {suspect.unit} {tail}"
    return Finding(
        code="result",
        zone=zone.id,
        element=None if found is None else found.suspect.element,
        key="heat_loss_w" if found is None else found.suspect.key,
        sentence=f"{says}{guess}",
        slip="" if found is None else found.slip.words,
        entered=tidy(room.steady_w if found is None else found.suspect.value),
        meant=tidy(limit if found is None else found.slip.meant),
        figure="heat_loss_w",
        unit="W",
        now=tidy(now),
        then=tidy(then),
    )


def _would_take(look: Look, side: str) -> str:
    """Return how many heaters a load would take, where no room would take so many."""
    plate = max((heater.rated_w for heater in look.zone.heaters), default=_COMMON_HEATER_W)
    count = ceil(min(look.room.heat_loss_w / plate, _BEYOND_COUNT))
    if side == "below" or count <= _most_heaters(look):
        return ""
    return f" and would take {count} heaters of {plate:g} W"


def _most_heaters(look: Look) -> int:
    return max(_MOST_FREELY, int(look.floor_m2 / _M2_PER_HEATER))


def heaters(look: Look) -> Iterator[Finding]:
    """Yield plates of no room heater, and more heaters than a room of this size takes."""
    for heater in look.zone.heaters:
        side = _PLATE_W.side(heater.rated_w)
        if side:
            yield _plate(look, heater, side)
    count = len(look.zone.heaters)
    if count > _most_heaters(look):
        yield _count(look, count)


def _plate(look: Look, heater: Heater, side: str) -> Finding:
    slip = likely(heater.rated_w, _PLATE_W, _PLATE_SLIPS)
    meant = nearest(heater.rated_w, _PLATE_W) if slip is None else slip.meant
    now = sum(each.rated_w for each in look.zone.heaters)
    then = now - heater.rated_w + meant
    guess = "; at" if slip is None else f": {slip.words}? With"
    return Finding(
        code="heater-plate",
        zone=look.zone.id,
        element=heater.id,
        key="rated_w",
        sentence=(
            f"A plate of {heater.rated_w:g} W on {heater.id} is {side} the usual {_PLATE_W.words()} W{guess} {meant:g} "
            f"W {then:.0f} W would be installed instead of {now:g} W."
        ),
        slip="" if slip is None else slip.words,
        entered=heater.rated_w,
        meant=tidy(meant),
        figure="installed_w",
        unit="W",
        now=tidy(now),
        then=tidy(then),
    )


def _count(look: Look, count: int) -> Finding:
    now = sum(each.rated_w for each in look.zone.heaters)
    each_w = now / count
    enough = max(1, ceil(look.room.heat_loss_w / each_w))
    needed = min(enough, _most_heaters(look))
    return Finding(
        code="heater-count",
        zone=look.zone.id,
        element=None,
        key="heater",
        sentence=(
            f"{count} heaters are more than {look.size()} would take; with {needed} of them, {needed * each_w:.0f} W "
            f"would be installed instead of {now:g} W for a load of {look.room.heat_loss_w:.0f} W."
        ),
        slip="",
        entered=float(count),
        meant=float(needed),
        figure="installed_w",
        unit="W",
        now=tidy(now),
        then=tidy(needed * each_w),
    )


def people(look: Look) -> Iterator[Finding]:
    """Yield the warning that a room is planned below what is safe for someone vulnerable."""
    zone = look.zone
    if not zone.vulnerable:
        return
    occupied = look.near.level_c(zone, "occupied")
    if zone.design_c < SAFE_C:
        then = look.load_w(look.zone_as(design_c=SAFE_C))
        now = look.room.heat_loss_w
        yield Finding(
            code="vulnerable",
            zone=zone.id,
            element=None,
            key="design_c",
            sentence=(
                f"{zone.design_c:g} °C is below the {SAFE_C:g} °C that the WHO calls safe, and someone vulnerable "
                f"lives here; with {SAFE_C:g} °C the load would be {then:.0f} W instead of {now:.0f} W."
            ),
            slip="",
            entered=zone.design_c,
            meant=SAFE_C,
            figure="heat_loss_w",
            unit="W",
            now=tidy(now),
            then=tidy(then),
        )
    if occupied < SAFE_C:
        yield Finding(
            code="vulnerable",
            zone=zone.id,
            element=None,
            key="levels.occupied_c",
            sentence=(
                f"The level occupied of {occupied:g} °C is below the {SAFE_C:g} °C that the WHO calls safe, and "
                f"someone vulnerable lives here; {_why_cooler(zone)}"
            ),
            slip="",
            entered=occupied,
            meant=SAFE_C,
            figure="occupied_c",
            unit="°C",
            now=occupied,
            then=SAFE_C,
        )


def _why_cooler(zone: Zone) -> str:
    if zone.cooler_reason is None:
        return (
            f"ingle holds {SAFE_C:g} °C while the room is lived in, unless it is saved with a reason, as cooler_reason "
            "of the zone."
        )
    return f"the reason given: {zone.cooler_reason.rstrip('.')}."
