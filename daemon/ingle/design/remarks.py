"""What stands beside an option: its sums line by line, and what a person should know before choosing it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ingle.design.loads import PLUG_A, STANDBY_W, draws_w
from ingle.design.running import Day
from ingle.design.sheet import Figure, tidy
from ingle.design.spread import heaters_for_spread
from ingle.design.terms import Terms
from ingle.model.design import Working
from ingle.model.devices import Heater
from ingle.model.options import HeaterOption, Running
from ingle.physics.emitters import AIR_AND_FURNITURE_WH_PER_M2K, THERMOSTAT_BAND_K

_SUPPLY = "230 V +10/-6 % or the like; from memory"
_STANDING = f"8760 h; {STANDBY_W:g} W a heater where standby_w is not given, the most that (EU) 2024/1103 allows"
#: Less margin than this leaves nothing for a weak voltage or a worn survey [%]; common practice.
LITTLE_MARGIN = 5.0


def lines(made: HeaterOption, terms: Terms) -> Iterator[Working]:
    """Yield an option's sums."""
    plates: dict[str, float | str] = {"rated_w": made.rated_w, "voltage_v": terms.voltage_v}
    if made.output_w is not None:
        yield Figure(made.output_w, "W", plates, "ΣP_r (V/V_r)²", "Joule's and Ohm's laws").line("output")
    if made.weak_output_w is not None:
        weak: dict[str, float | str] = {"rated_w": made.rated_w, "voltage_v": terms.weak_v}
        yield Figure(made.weak_output_w, "W", weak, "ΣP_r (V/V_r)²", _SUPPLY).line("output at weak voltage")
    against: dict[str, float | str] = {"load_w": terms.load_w, "given_w": _given(made)}
    yield Figure(made.margin_percent, "%", against, "output / load - 1", "design of this house").line("margin")
    tolerance = "-10 % to +5 % or 20 W, whichever is more, each (above 200 W)"
    source = "IEC 60335-1, power input tolerance (from memory)"
    rated: dict[str, float | str] = {"rated_w": made.rated_w}
    yield Figure(made.plate_low_w, "W", rated, tolerance, source).line("least a healthy set draws")
    yield Figure(made.plate_high_w, "W", rated, tolerance, source).line("most a healthy set draws")
    yield Figure(made.current_a, "A", {"watts": _given(made), "voltage_v": terms.voltage_v}, "P/V", "Ohm").line(
        "current"
    )
    yield from _day("design day", made.design_day, terms.design_day)
    yield from _day("ordinary day", made.ordinary_day, terms.ordinary_day)
    standing: dict[str, float | str] = {"standing_w": made.standing_w}
    yield Figure(made.standing_kwh_per_year, "kWh", standing, "P·8760 h", _STANDING).line("standing loss in a year")


def _given(made: HeaterOption) -> float:
    return made.rated_w if made.output_w is None else made.output_w


def _day(name: str, run: Running, day: Day) -> Iterator[Working]:
    loss: dict[str, float | str] = {
        "loss_w_per_k": day.loss_w_per_k,
        "room_c": day.room_c,
        "outdoor_c": day.outdoor_c,
    }
    yield Figure(run.duty_percent, "%", loss, "H (θi-θe) / P", "heat balance").line(f"duty, {name}")
    band: dict[str, float | str] = {
        "band_k": THERMOSTAT_BAND_K,
        "air_wh_per_k": tidy(AIR_AND_FURNITURE_WH_PER_M2K * day.floor_area_m2),
    }
    source = "one store; air and furniture 10 kJ/(m²·K), EN ISO 52016-1 (from memory); band: common practice"
    yield Figure(run.switchings_per_h, "1/h", band, "Q (P-Q) / (Δ C P)", source).line(f"switching, {name}")
    if run.warm_up_h is not None:
        warm: dict[str, float | str] = {
            "capacity_wh_per_k": day.capacity_wh_per_k,
            "from_c": day.from_c,
            "to_c": day.to_c,
            "settles_c": "without bound" if run.settles_c is None else run.settles_c,
        }
        source = "one store, ISO 13790:2008 Table 12 where no capacity is given"
        formula = "τ ln((θ∞-θ0)/(θ∞-θ1)), τ = C/H"
        yield Figure(run.warm_up_h, "h", warm, formula, source).line(f"warm-up, {name}")


def remarks(made: HeaterOption, heaters: Sequence[Heater], terms: Terms) -> Iterator[str]:
    """Yield what a person should know of an option, the gravest first."""
    yield from _meets(made, terms)
    yield from _voltage(made, terms)
    few = heaters_for_spread(terms.zone)
    if len(heaters) < few:
        spread = "One heater spreads" if len(heaters) == 1 else f"{len(heaters)} heaters spread"
        yield f"{spread} the heat badly in {terms.zone.floor_area_m2:g} m²; {few} would do better."
    yield from _warm_up(made)
    yield from _in_time(made, terms)
    if made.short_cycles:
        run = made.ordinary_day
        yield (
            f"Short cycles on an ordinary day: on {run.duty_percent:.1f} % of the time, in {run.switchings_per_h:.0f} "
            "bursts an hour; smaller heaters would run more evenly."
        )
    yield from _alone(heaters, terms)
    yield from _connection(heaters, terms)


def _meets(made: HeaterOption, terms: Terms) -> Iterator[str]:
    if made.shortfall_w:
        share = 100 * made.shortfall_w / terms.load_w
        yield (
            f"Falls {made.shortfall_w:.0f} W ({share:.1f} %) short of the {terms.load_w:.0f} W wanted; take it only "
            "knowing that, or one heater more."
        )
    elif terms.load_w > 0 and made.margin_percent < LITTLE_MARGIN:
        yield f"The margin of {made.margin_percent:.1f} % is little."
    missing_w = terms.high_w - _given(made)
    if not made.shortfall_w and terms.high_w > terms.load_w and round(missing_w) > 0:
        yield f"{missing_w:.0f} W short of the survey's upper 95 % limit of {terms.high_w:.0f} W."


def _voltage(made: HeaterOption, terms: Terms) -> Iterator[str]:
    if made.weak_output_w is None or made.weak_margin_percent is None:
        yield "Nothing is claimed for PTC elements at another voltage than the plate's; the margin rests on the plate."
    elif not made.shortfall_w and terms.load_w > 0 and terms.weak_v < terms.voltage_v:
        left = made.weak_margin_percent
        words = f"margin {left:.0f} %" if left >= 0 else f"{terms.load_w - made.weak_output_w:.0f} W short"
        yield f"At {terms.weak_v:.0f} V, the low end of the supply, it gives {made.weak_output_w:.0f} W: {words}."


def _warm_up(made: HeaterOption) -> Iterator[str]:
    for name, run in (("design day", made.design_day), ("ordinary day", made.ordinary_day)):
        if run.warm_up_h is None:
            settles = run.settles_c
            end = (
                "it would take more than a year" if settles is None else f"at full power it settles at {settles:.1f} °C"
            )
            yield f"On the {name} the room never reaches {run.warm_up_to_c:g} °C: {end}."


def _in_time(made: HeaterOption, terms: Terms) -> Iterator[str]:
    """Yield that the warm-up takes longer than the survey wants, on the day that the load is for."""
    wanted_h, zone = terms.zone.warm_up_h, terms.zone
    run = made.design_day
    if wanted_h is None or run.warm_up_h is None or run.warm_up_from_c != zone.warm_up_from_c:
        return
    if run.warm_up_h > 1.005 * wanted_h:
        yield f"The warm-up takes {run.warm_up_h:.1f} h on the design day; the survey wants it in {wanted_h:g} h."


def _alone(heaters: Sequence[Heater], terms: Terms) -> Iterator[str]:
    """Yield that one of several is enough on an ordinary day: it may run long and even while the others rest."""
    largest_w = max((draws_w(heater, terms.voltage_v) for heater in heaters), default=0.0)
    loss_w = terms.ordinary_day.loss_w
    if len(heaters) > 1 and 0 < loss_w <= largest_w:
        share = 100 * loss_w / largest_w
        yield f"On an ordinary day {largest_w:.0f} W alone holds the room, on {share:.0f} % of the time."


def _connection(heaters: Sequence[Heater], terms: Terms) -> Iterator[str]:
    for rated_w in dict.fromkeys(heater.rated_w for heater in heaters):
        drawn_w = max(draws_w(heater, terms.voltage_v) for heater in heaters if heater.rated_w == rated_w)
        if drawn_w / terms.voltage_v > PLUG_A * (1 + 1e-9):
            yield (
                f"{rated_w:g} W draws {drawn_w / terms.voltage_v:.2f} A at {terms.voltage_v:g} V, more than the "
                f"{PLUG_A:g} A of a plug or fused spur (BS 1363)."
            )
