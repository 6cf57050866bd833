"""What is usual: ranges by kind of element, use and age, each with its source.

They are there to find slips of the pen, so they hold what real rooms have, good and bad; what lies outside is a slip
more often than a room. The year of building, where the survey gives it, narrows them.
"""

from __future__ import annotations

from bisect import bisect_right
from math import sqrt

from msgspec import Struct

from ingle.model.envelope import ElementKind
from ingle.model.house import Use


class Usual(Struct, frozen=True):
    """A range with its source."""

    low: float
    high: float
    source: str

    def side(self, value: float) -> str:
        """Return how a value stands to the range: "below", "above", or "" for within.

        >>> Usual(1, 2, "a table").side(3), Usual(1, 2, "a table").side(1)
        ('above', '')
        """
        return "below" if value < self.low else "above" if value > self.high else ""

    @property
    def middle(self) -> float:
        """Geometric middle; the arithmetic one where the range is not of positive numbers."""
        return sqrt(self.low * self.high) if self.low > 0 else (self.low + self.high) / 2

    def words(self) -> str:
        """Return the range as a sentence has it.

        >>> Usual(0.25, 3, "a table").words()
        '0.25 to 3'
        """
        return f"{self.low:g} to {self.high:g}"


# ------------------------------------------------------------------------------------------------- whole rooms

_TABULA = "TABULA building table, EPISCOPE: whole houses of Great Britain"
# (h_tr + h_ve) of published houses per m² of floor [W/(m²·K)]: terrace before 1919 5.3, 1945-64 5.4, 1981-90 3.7,
# 2004-09 1.5, 2010 and later 1.4; detached before 1919 4.8, 2010 and later 1.4. Years are the first of each row here.
_HOUSES_FROM = (1965, 1991, 2004)
_HOUSES_W_PER_M2K = ((4.8, 5.4), (3.7, 5.4), (1.5, 3.7), (1.4, 1.5))
# One room has more outside than its house (a loft) or less (a flat's middle room), and old houses have been improved:
# below and above these parts of its house's coefficient a slip is likelier than a room (own judgement).
_ROOM_PART = (0.15, 1.7)
_ANY_W_PER_M2K = Usual(0.3, 9.2, f"{_TABULA}, 1.4 to 5.4, with room for single rooms")
# A small room has more wall for its floor: the sides of a square one grow with the root of its area.
_SMALL_M2 = 20.0
# Kitchens and baths change more air; halls and lofts are high (own judgement).
_AIRY: frozenset[Use] = frozenset({"bath", "kitchen", "hall", "utility", "assembly"})
_AIRY_PART = 1.4
# Less than this no room loses in a heating climate [W/m²] (own judgement).
_LEAST_W_PER_M2 = 10.0
_LEAST_FLOOR_M2 = 0.01

# Trade's rule of thumb for a room's heating: 5 to 12.5 W per square foot of floor, that is 54 to 135 W/m².
THUMB_W_PER_M2 = Usual(54.0, 135.0, "trade rule of thumb, 5 to 12.5 W/ft² (common practice)")


def w_per_m2k(built: int | None, use: Use, floor_m2: float = _SMALL_M2) -> Usual:
    """Return the usual coefficient of a room per m² of floor, by age, use and size [W/(m²·K)].

    >>> w_per_m2k(None, "bedroom").words(), w_per_m2k(1905, "bedroom").words(), w_per_m2k(2015, "bath", 5).words()
    ('0.3 to 9.2', '0.72 to 9.2', '0.21 to 7.1')
    """
    high_part = (_AIRY_PART if use in _AIRY else 1.0) * sqrt(max(1.0, _SMALL_M2 / max(floor_m2, _LEAST_FLOOR_M2)))
    if built is None:
        return Usual(_ANY_W_PER_M2K.low, round(_ANY_W_PER_M2K.high * high_part, 1), _ANY_W_PER_M2K.source)
    low, high = _HOUSES_W_PER_M2K[bisect_right(_HOUSES_FROM, built)]
    source = f"{_TABULA} of {built}, {low:g} to {high:g}, with room for single rooms"
    return Usual(round(low * _ROOM_PART[0], 2), round(high * _ROOM_PART[1] * high_part, 1), source)


def w_per_m2(built: int | None, use: Use, floor_m2: float, difference_k: float) -> Usual:
    """Return the usual steady heat loss of a room per m² of floor at a temperature difference [W/m²].

    >>> w_per_m2(None, "living", 25, 23).words(), w_per_m2(1905, "living", 25, 20).words()
    ('10 to 212', '14 to 184')
    """
    usual = w_per_m2k(built, use, floor_m2)
    low = max(usual.low * difference_k, _LEAST_W_PER_M2) if built is None else usual.low * difference_k
    return Usual(round(low), max(round(usual.high * difference_k), round(low)), usual.source)


# ------------------------------------------------------------------------------------------------------ fabric

# As built in England and Wales (RdSAP 2012, tables S6, S9, S14, S15a), with room for what is better [W/(m²·K)].
_RDSAP = "RdSAP 2012, tables S6, S9, S14 and S15a"
_U_ANY: dict[ElementKind, tuple[float, float]] = {
    "wall": (0.08, 3.0),
    "party": (0.08, 4.0),
    "roof": (0.07, 3.0),
    "floor": (0.07, 3.0),
    "ground-floor": (0.04, 2.0),
    "window": (0.65, 6.0),
    "rooflight": (0.65, 6.5),
    "door": (0.4, 6.0),
}
# Age bands of RdSAP 2012 in England and Wales: the first years of bands E to L; before them A to D.
_BANDS_FROM = (1967, 1976, 1983, 1991, 1996, 2003, 2007, 2012)
# The best and worst as built of each band. Walls: table S6 (timber and solid brick at worst, filled cavity at best).
# Roofs: no insulation to 300 mm at the joists up to band E (S9), then as the rules of the time asked (S10, from
# memory).
# Windows and doors: S14 and S15a; a replaced one is of its own time, hence the one lower limit.
_U_BUILT: dict[ElementKind, tuple[tuple[float, float], ...]] = {
    "wall": (
        (0.5, 2.5),
        (0.5, 1.9),
        (0.4, 1.0),
        (0.35, 0.8),
        (0.3, 0.6),
        (0.3, 0.45),
        (0.25, 0.4),
        (0.2, 0.3),
        (0.18, 0.28),
    ),
    "roof": (
        (0.14, 2.3),
        (0.14, 2.3),
        (0.14, 1.5),
        (0.14, 0.7),
        (0.14, 0.4),
        (0.14, 0.35),
        (0.1, 0.25),
        (0.1, 0.2),
        (0.1, 0.18),
    ),
}
# What is left of as-built room: a wall can be worse than its table, and better by insulation added since. Better than
# a quarter of the best of its time it is only where someone insulated it, who can say so as provenance.
_WORSE, _BETTER = 1.35, 0.4
_SINCE_GLASS = 2002
_GLASS_HIGH = {"window": 3.2, "rooflight": 3.5, "door": 3.2}


def u_value(kind: ElementKind, built: int | None) -> Usual:
    """Return the usual U of a kind of element, by age [W/(m²·K)].

    >>> u_value("wall", None).words(), u_value("wall", 1905).words(), u_value("wall", 2015).words()
    ('0.08 to 3', '0.2 to 3', '0.08 to 0.378')
    """
    low, high = _U_ANY[kind]
    if built is None:
        return Usual(low, high, _RDSAP)
    source = f"{_RDSAP}, as built in {built}"
    if kind in _GLASS_HIGH:
        return Usual(low, _GLASS_HIGH[kind] if built > _SINCE_GLASS else high, source)
    if kind not in _U_BUILT:
        return Usual(low, high, source)
    best, worst = _U_BUILT[kind][bisect_right(_BANDS_FROM, built)]
    return Usual(max(low, best * _BETTER), min(high, worst * _WORSE), source)


def bare_u(kind: ElementKind) -> Usual:
    """Return the usual U of what encloses an unheated space, bare sheet and slate included [W/(m²·K)].

    >>> bare_u("roof").words()
    '0.07 to 6.5'
    """
    low, high = _U_ANY[kind]
    return Usual(low, max(high, _BARE_HIGH), f"{_RDSAP}; a bare sheet has 1 / (0.10 + 0.04) at most")


# A sheet without resistance between two air films: 1 / (0.10 + 0.04) = 7.1 (ISO 6946:2007); the file's limit is 7.
_BARE_HIGH = 6.5


# Thermal bridges: RdSAP 2012, table S13, y 0.08 to 0.15 W/(m²·K) of exposed area, is 5 to 25 % of ordinary fabric;
# ISO 14683:2007, table 2, ψ up to 1.0 W/(m·K), a balcony that runs through the wall.
BRIDGES_W_PER_M2K = Usual(0.0, 0.20, "RdSAP 2012, table S13, 0.08 to 0.15; EN 12831-1:2017, table B.1, 0.02 to 0.15")
BRIDGES_PERCENT = Usual(0.0, 35.0, "common practice, 5 to 25 %")
BRIDGES_SHARE_PERCENT = Usual(0.0, 60.0, "RdSAP 2012, table S13, on well-insulated fabric 25 to 50 %")
PSI_W_PER_MK = Usual(0.0, 1.2, "ISO 14683:2007, table 2, up to 1.0")
# A layer of a building: a membrane to a rubble wall [mm]; what insulates best and what is metal [W/(m·K)]
# (ISO 10456:2007, tables 3 and 4; vacuum panels from memory).
LAYER_MM = Usual(1.0, 900.0, "common practice, from a board to a rubble wall")
INSULATION_MM = Usual(5.0, 500.0, "common practice")
AIR_LAYER_MM = Usual(1.0, 300.0, "ISO 6946:2007, table 2, up to 300")
LAYER_R = Usual(0.005, 12.0, "common practice, from a felt to thick insulation")
LAYER_LAMBDA = Usual(0.006, 3.5, "ISO 10456:2007, table 3, from vacuum panels to granite; metals in thin layers only")

# ------------------------------------------------------------------------------------------------- sizes and air

# Rooms of dwellings and small houses by use: floor [m²] and mean height [m] (own judgement; common practice).
_FLOOR_M2: dict[Use, tuple[float, float]] = {
    "living": (5.0, 90.0),
    "bedroom": (4.0, 60.0),
    "bath": (1.2, 25.0),
    "kitchen": (3.0, 60.0),
    "hall": (1.2, 60.0),
    "office": (4.0, 250.0),
    "store": (0.6, 300.0),
    "dining": (4.0, 150.0),
    "utility": (1.2, 50.0),
    "workshop": (5.0, 1000.0),
    "assembly": (20.0, 3000.0),
    "other": (1.0, 1000.0),
}
_HEIGHT_M: dict[Use, tuple[float, float]] = {
    "hall": (1.8, 7.5),
    "office": (1.9, 5.0),
    "store": (1.5, 8.0),
    "workshop": (1.9, 12.0),
    "assembly": (2.2, 16.0),
    "other": (1.7, 7.0),
}
_ROOM_HEIGHT_M = (1.7, 5.0)
_SIZES = "rooms of dwellings and small houses (common practice)"

# MacKay (2008), table E.1: 0.5 to 3 air changes an hour; EN 12831-1:2017, table B.12, from 0.25; UK domestic practice
# for houses before 2000 has bath 3, kitchen and hall 2, living 1.5, bedroom 1 (from memory).
_AIR_PER_H: dict[Use, tuple[float, float]] = {
    "bath": (0.4, 4.0),
    "kitchen": (0.4, 4.0),
    "utility": (0.4, 4.0),
    "store": (0.1, 3.0),
    "assembly": (0.25, 6.0),
}
_ROOM_AIR_PER_H = (0.25, 3.0)
_TIGHT_SINCE, _TIGHT_PART = 2003, 0.7
_AIR = "MacKay (2008), table E.1, 0.5 to 3; EN 12831-1:2017, table B.12, from 0.25"


_ROOMS_BY_NAME: frozenset[Use] = frozenset({"bedroom", "kitchen", "hall", "office", "store", "workshop"})


def a_room(use: Use) -> str:
    """Return a room of a use in words.

    >>> a_room("bath"), a_room("office"), a_room("other")
    ('a bath room', 'an office', 'a room')
    """
    if use == "other":
        return "a room"
    name = use if use in _ROOMS_BY_NAME else f"{use} room"
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def floor_m2(use: Use) -> Usual:
    """Return the usual floor area of one room [m²]."""
    return Usual(*_FLOOR_M2[use], _SIZES)


def height_m(use: Use) -> Usual:
    """Return the usual mean height of a room, the volume over the floor area [m].

    >>> height_m("bedroom").words(), height_m("hall").words()
    ('1.7 to 5', '1.8 to 7.5')
    """
    return Usual(*_HEIGHT_M.get(use, _ROOM_HEIGHT_M), _SIZES)


def air_changes_per_h(use: Use, built: int | None = None) -> Usual:
    """Return the usual air changes of a room by use and age [1/h].

    >>> air_changes_per_h("living").words(), air_changes_per_h("bath").words()
    ('0.25 to 3', '0.4 to 4')
    """
    low, high = _AIR_PER_H.get(use, _ROOM_AIR_PER_H)
    tight = built is not None and built >= _TIGHT_SINCE
    return Usual(low, round(high * _TIGHT_PART, 2) if tight else high, _AIR)


# ---------------------------------------------------------------------------------------------- temperatures

# Reheat after setback: EN 12831:2003, table D.10b, 2 to 45 W/m² (from memory).
REHEAT_W_PER_M2 = Usual(2.0, 50.0, "EN 12831:2003, table D.10b, 2 to 45")
# A whole room of brick warmed by 4 K in an hour takes some 290 W/m² (ISO 13790:2008, table 12, heavy).
WARM_UP_W_PER_M2 = Usual(0.0, 300.0, "ISO 13790:2008, table 12, 4 K in an hour")
# What rooms are designed for (EN 12831:2003, table D.2, 15 to 24 °C, from memory), with room for stores and sickrooms.
_COOL: frozenset[Use] = frozenset({"store", "workshop", "assembly", "hall", "other"})


def design_c(use: Use) -> Usual:
    """Return the usual design temperature of a room [°C]."""
    return Usual(5.0 if use in _COOL else 12.0, 28.0, "EN 12831:2003, table D.2, 15 to 24")


def outdoor_design_c(latitude_deg: float | None, longitude_deg: float | None, mean_c: float | None) -> Usual:
    """Return the usual outdoor design temperature of a place [°C].

    In Europe west of 25° E national annexes of EN 12831 run from about -24 °C (Poland, Lithuania) to 5 °C on southern
    coasts (from memory); north of 45° none is above 2 °C. Elsewhere, and where nobody says where the house stands, the
    world's inhabited winters.

    >>> outdoor_design_c(50.4, -5.9, None).words(), outdoor_design_c(None, None, None).words()
    ('-25 to 3', '-45 to 5')
    """
    northern = latitude_deg is not None and abs(latitude_deg) >= _NORTH_DEG
    high = 3.0 if northern else 5.0
    west = latitude_deg is not None and longitude_deg is not None and _west_of_europe(latitude_deg, longitude_deg)
    # A year as mild as western Europe's has no such cold spell either.
    mild = mean_c is not None and mean_c >= _MILD_C
    low = -25.0 if west or mild else -45.0
    return Usual(low, high, "national annexes of EN 12831 (from memory)")


_NORTH_DEG, _MILD_C = 45.0, 9.0


def _west_of_europe(latitude_deg: float, longitude_deg: float) -> bool:
    return 35 <= latitude_deg < 60 and -11 <= longitude_deg <= 25


OUTDOOR_MEAN_C = Usual(-12.0, 25.0, "annual means of places where houses are heated (from memory)")

# ------------------------------------------------------------------------------------------------------- ground

GROUND_WALL_MM = Usual(80.0, 1200.0, "common practice, from a stud wall to rubble")
SOIL_LAMBDA = Usual(0.5, 4.5, "ISO 13370:2007, table 1, 1.5 to 3.5, with room for dry soil")
FLOOR_R = Usual(0.05, 10.0, "common practice, from a carpet to 350 mm of foam")
UNDERFLOOR_M = Usual(0.05, 1.5, "common practice; above 0.5 m ISO 13370 asks for more than its formula")
UNDERFLOOR_VENT = Usual(0.0003, 0.01, "Approved Document L, table C4, 0.0015 and 0.003")
BASEMENT_M = Usual(0.2, 4.0, "common practice, down to one storey")
EDGE_M = Usual(0.15, 2.5, "common practice; Approved Document L, table C2, 0.25 to 1.5")
