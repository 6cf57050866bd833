"""One option: some heaters held against a room's terms."""

from __future__ import annotations

from collections import Counter

from msgspec.structs import replace

from ingle.design.loads import draws_w, standby_w
from ingle.design.plates import Set
from ingle.design.remarks import lines, remarks
from ingle.design.running import running
from ingle.design.sheet import tidy
from ingle.design.spread import spread
from ingle.design.terms import Terms
from ingle.model.devices import Heater
from ingle.model.options import HeaterOption
from ingle.physics.emitters import output_w, plate_limits_w, standing_kwh_per_year

#: Below this share of time on, on an ordinary day, a heater is so large that it runs in bursts (common practice).
SHORT_DUTY = 0.20
#: A heater should stay on at least this long [s]: the least on time of the house file's heaters by default.
SHORT_ON_S = 60.0


def option(terms: Terms, heaters: tuple[Heater, ...], chosen: Set | None = None) -> HeaterOption:
    """Return heaters as an option; without a ``chosen`` set they are those installed."""
    sections = () if chosen is None else chosen.sections
    plates = tuple(heater.rated_w for heater in heaters)
    drawn_w = sum(draws_w(heater, terms.voltage_v) for heater in heaters)
    standing_w = sum(standby_w(heater) for heater in heaters)
    weak_w = _output(heaters, terms.weak_v)
    limits = [plate_limits_w(plate) for plate in plates]
    shortfall_w = terms.load_w - drawn_w
    design_day = running(terms.design_day, drawn_w, terms.cap_w)
    ordinary_day = running(terms.ordinary_day, drawn_w, terms.cap_w)
    on_s = terms.ordinary_day.on_time_s(drawn_w)
    short = on_s is not None and (on_s < SHORT_ON_S or ordinary_day.duty_percent < 100 * SHORT_DUTY)
    option = HeaterOption(
        label=_label(plates, sections),
        plates_w=plates,
        sections=sections,
        rated_w=tidy(sum(plates)),
        output_w=_tidy(_output(heaters, terms.voltage_v)),
        margin_percent=tidy(_margin(drawn_w, terms.load_w)),
        shortfall_w=tidy(shortfall_w) if shortfall_w > terms.load_w * 1e-9 else 0.0,
        weak_output_w=_tidy(weak_w),
        weak_margin_percent=None if weak_w is None else tidy(_margin(weak_w, terms.load_w)),
        plate_low_w=tidy(sum(low for low, _ in limits)),
        plate_high_w=tidy(sum(high for _, high in limits)),
        current_a=tidy(drawn_w / terms.voltage_v),
        standing_w=tidy(standing_w),
        standing_kwh_per_year=tidy(standing_kwh_per_year(standing_w)),
        spread=() if chosen is None else spread(plates, terms.zone),
        design_day=design_day,
        ordinary_day=ordinary_day,
        short_cycles=short,
        working=(),
        notes=(),
    )
    return replace(option, working=tuple(lines(option, terms)), notes=tuple(remarks(option, heaters, terms)))


def _output(heaters: tuple[Heater, ...], voltage_v: float) -> float | None:
    """Return what heaters give at a voltage together, None where nobody can say it of one of them [W]."""
    each = [output_w(heater.rated_w, heater.rated_v, voltage_v, heater.element) for heater in heaters]
    known = [watts for watts in each if watts is not None]
    return sum(known) if len(known) == len(each) else None


def _margin(given_w: float, load_w: float) -> float:
    """Return what is given beyond a load, in percent of it; 0 where there is no load."""
    return 100 * (given_w / load_w - 1) if load_w > 0 else 0.0


def _tidy(value: float | None) -> float | None:
    return None if value is None else tidy(value)


def _label(plates: tuple[float, ...], sections: tuple[int, ...]) -> str:
    """Return heaters as people write them.

    >>> _label((1500.0, 750.0), ()), _label((1000.0, 1000.0), ()), _label((1050.0, 900.0), (7, 6))
    ('1500 + 750 W', '2 x 1000 W', '1050 + 900 W (7 and 6 sections)')
    """
    parts = [f"{count} x {watts:g}" if count > 1 else f"{watts:g}" for watts, count in Counter(plates).items()]
    built = f" ({' and '.join(str(each) for each in dict.fromkeys(sections))} sections)" if sections else ""
    return f"{' + '.join(parts)} W{built}"
