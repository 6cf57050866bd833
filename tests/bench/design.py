"""Time to design a house of 100 rooms, how it grows with their number, and to work out one of them again.

    python tests/bench/design.py [--times 7]

Each room has ten elements, two of them joined to its neighbours, a ceiling under a roof void that all rooms share, and
four inputs with limits. Times are of the processor. The promises: at most 100 ms for 100 rooms, and to check and try
a document of 100 rooms in which one is being surveyed; the time for a room of 100 at most 1.5 times that for a room
of 10, so that it grows in line with the rooms.

The floor is the bare arithmetic in the same run: every A·U·f of the same rooms added up, once at the central values and
once at each limit of each input, without reading a survey, a name, a sentence or a source. It tells a slow machine
from a slow design.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable

import msgspec

from ingle.config.house import check_house
from ingle.design import design_house
from ingle.design.nearby import nearby
from ingle.design.room import room as worked_out
from ingle.model.devices import Heater
from ingle.model.envelope import Element, Ground, Layer, UnheatedSpace
from ingle.model.house import House, Site, Zone
from ingle.model.provenance import Provenance

MOST_MS, MOST_RATIO = 100.0, 1.5
FEW, MANY = 10, 100
# At the central values, and at both limits of air changes, in use and at design, window and ceiling.
RUNS = 1 + 2 * 4

WALLS = tuple(
    Element(
        name=f"wall {number}",
        kind="wall",
        area_m2=8.0 + number,
        layers=(Layer(mm=102, conductivity=0.77), Layer(air_mm=50), Layer(mm=100, conductivity=0.2 + number / 10)),
    )
    for number in range(3)
)
OTHERS = (
    Element(
        name="window",
        kind="window",
        area_m2=2.0,
        u_w_per_m2k=2.8,
        provenance={"u_w_per_m2k": Provenance(kind="assumed", low=2.4, high=3.1)},
    ),
    Element(name="door", kind="door", area_m2=1.8, u_w_per_m2k=2.0),
    Element(name="slab", kind="ground-floor", area_m2=15.0, ground=Ground(perimeter_m=8.0)),
    Element(
        name="ceiling",
        kind="roof",
        area_m2=15.0,
        u_w_per_m2k=0.4,
        beyond="space:void",
        provenance={"u_w_per_m2k": Provenance(kind="assumed", low=0.25, high=0.7)},
    ),
    Element(name="chimney breast", kind="wall", area_m2=1.0, u_w_per_m2k=1.7),
)
VOID = UnheatedSpace(
    id="void",
    name="Roof void",
    volume_m3=100.0,
    elements=(Element(name="tiles", kind="roof", area_m2=120.0, u_w_per_m2k=2.0),),
)


def house(rooms: int) -> House:
    """Return a house with a row of so many rooms."""
    return House(
        site=Site(name="Bench House", outdoor_design_c=-2.0), zones=tuple(map(zone, range(rooms))), spaces=(VOID,)
    )


def zone(number: int) -> Zone:
    """Return one room of the row; its partition leads to the room before it."""
    party = Element(name="partition", kind="party", area_m2=9.0, u_w_per_m2k=1.5, beyond=f"zone:r{number - 1}")
    return Zone(
        id=f"r{number}",
        name=f"Room {number}",
        floor_area_m2=15.0,
        height_m=2.4,
        design_c=18.0 + number % 4,
        elements=(*WALLS, *OTHERS, *((party,) if number else ())),
        heaters=(Heater(id=f"h{number}", rated_w=1500),),
        provenance={"air_changes_per_h": Provenance(kind="assumed", low=0.5, high=2.0)},
    )


def milliseconds(times: int, work: Callable[[], object]) -> float:
    """Return the least processor time of some runs after one that is not counted [ms]: what others do adds to it."""
    work()
    taken = []
    for _ in range(times):
        begun = time.process_time()
        work()
        taken.append((time.process_time() - begun) * 1000)
    return min(taken)


def bare(whole: House) -> Callable[[], float]:
    """Return what adds up the rooms' conductances as often as their bands need it, and nothing else."""
    rooms = [
        [(piece.area_m2, piece.u.value, piece.share) for piece in worked_out(near, each).pieces]
        for zone_id, near in nearby(whole).items()
        for each in near.zones
        if each.id == zone_id
    ]

    def add() -> float:
        return sum(sum(area * u * share for area, u, share in pieces) for pieces in rooms for _ in range(RUNS))

    return add


def main() -> int:
    """Run from the command line."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--times", type=int, default=7)
    times = options.parse_args().times
    few, many = house(FEW), house(MANY)
    few_ms = milliseconds(times, lambda: design_house(few))
    many_ms = milliseconds(times, lambda: design_house(many))
    floor_ms = milliseconds(times, bare(many))
    document = msgspec.to_builtins(many)
    one_ms = milliseconds(times, lambda: design_house(many, "r50"))
    tried_ms = milliseconds(times, lambda: design_house(check_house(document), "r50"))
    ratio = (many_ms / MANY) / (few_ms / FEW)
    fine = max(many_ms, tried_ms) <= MOST_MS and ratio <= MOST_RATIO
    line = {
        "bench": f"design of {MANY} rooms",
        "ms": round(many_ms, 1),
        "limit_ms": MOST_MS,
        "ms_a_room": round(many_ms / MANY, 2),
        "ratio_a_room": round(ratio, 2),
        "limit_ratio": MOST_RATIO,
        "bare_arithmetic_ms": round(floor_ms, 2),
        "times_bare_arithmetic": round(many_ms / floor_ms, 1),
        "one_room_of_them_ms": round(one_ms, 2),
        "one_room_times_bare_arithmetic": round(one_ms / floor_ms, 1),
        "one_room_tried_as_document_ms": round(tried_ms, 2),
        "ok": fine,
    }
    sys.stdout.write(json.dumps(line) + "\n")
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
